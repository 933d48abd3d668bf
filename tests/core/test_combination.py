"""Several values of one measure: combined through what they share, or set side by side."""

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from landmarks.assessment import measure_notes, measure_rows, measure_words
from landmarks.collection import Camera, Picture
from landmarks.combination import (
    DISAGREES,
    Reading,
    check_shell,
    combine,
    differ,
    settle,
)
from landmarks.geometry import Point
from landmarks.picture import PictureFile
from landmarks.placing import Placing
from landmarks.scale import carried_over, corrected, mm_per_px
from landmarks.sentences import text
from landmarks.specimen import Frame, Observation, Specimen
from landmarks.units import Cause, Quantity, linear, uncertain
from tests.core.shells import SIZE, VALVE, ruler

RULER = Cause("ruler", "p")


def read(value, own=1.0, shared=0.0, of="a"):
    """Return a length with its own doubt and one that it shares with others."""
    budget = {Cause("placing", of): own, RULER: shared}
    return Quantity(value, "mm", {cause: part for cause, part in budget.items() if part})


# -- The arithmetic ----------------------------------------------------------------------------


def test_values_that_share_nothing_are_weighted_by_their_doubts():
    """The textbook's weighted mean: weights 1 / sigma squared."""
    found = combine([read(100.0, 1.0, of="a"), read(101.0, 2.0, of="b")])
    assert found.weights == approx((0.8, 0.2))
    assert found.value.value == approx(100.2)
    assert found.value.sigma == approx(1 / sqrt(1 + 1 / 4))


def test_what_is_shared_does_not_shrink():
    alike = [read(100.0 + i, 0.1, 2.0, of=str(i)) for i in range(3)]
    found = combine(alike[:1] * 1 + [replace(one, value=100.0) for one in alike[1:]])
    assert found.value.by_kind()["ruler"] == approx(2.0)
    assert found.value.by_kind()["placing"] == approx(0.1 / sqrt(3))


def test_one_value_twice_is_no_surer_than_once():
    one = read(100.0, 1.0, 0.5)
    found = combine([one, one])
    assert found.value.value == approx(100.0)
    assert found.value.sigma == approx(one.sigma)


def test_an_exact_value_decides_alone():
    closed = Quantity(0.0, "mm")
    assert combine([read(0.5, 1.0), closed]).value == closed


def test_values_that_contradict_the_surest_are_left_out_and_named():
    found = combine([read(100.0, of="a"), read(100.5, of="b"), read(110.0, of="c")])
    assert found.left_out == (2,)
    assert found.value.value == approx(100.25)


def test_nothing_to_combine_is_an_error():
    with pytest.raises(ValueError, match="nothing"):
        combine([])


def test_what_both_err_by_alike_makes_them_no_less_different():
    a, b = read(100.0, 0.1, 5.0, "a"), read(101.0, 0.1, 5.0, "b")
    assert differ(a, b) == approx(1 / (0.1 * sqrt(2)))
    assert differ(a, a) == 0.0


quantities = st.lists(
    st.tuples(st.floats(-2, 2), st.floats(0.1, 5), st.floats(-3, 3), st.floats(-3, 3)),
    min_size=1, max_size=6,
).map(
    lambda rows: [
        Quantity(
            100 + value, "mm",
            {Cause("placing", str(i)): own, RULER: ruled, Cause("tilt"): tilted},
        )
        for i, (value, own, ruled, tilted) in enumerate(rows)
    ]
)  # fmt: skip


@given(quantities)
def test_a_combined_value_is_no_less_sure_than_the_surest_and_within_their_range(values):
    found = combine(values)
    heard = [one.value for one, weight in zip(values, found.weights, strict=True) if weight]
    assert sum(found.weights) == approx(1.0)
    assert min(found.weights) >= 0
    assert found.value.sigma <= min(one.sigma for one in values) * (1 + 1e-9)
    assert min(heard) - 1e-9 <= found.value.value <= max(heard) + 1e-9


@given(quantities, st.randoms())
def test_the_order_of_pictures_does_not_matter(values, chance):
    mixed = list(values)
    chance.shuffle(mixed)
    assert combine(mixed).value.value == approx(combine(values).value.value)
    assert combine(mixed).value.sigma == approx(combine(values).value.sigma)


def test_the_stated_doubt_is_the_spread_of_a_simulation():
    draw = np.random.default_rng(4)
    owns, shared = (0.5, 1.0, 1.5), (1.0, 1.0, 0.2)
    causes = [read(0.0, own, share, str(i)) for i, (own, share) in
              enumerate(zip(owns, shared, strict=True))]  # fmt: skip
    weights = np.array(combine(causes).weights)
    noise = draw.normal(size=(40_000, 3)) * owns + draw.normal(size=(40_000, 1)) * shared
    assert np.std(noise @ weights) == approx(combine(causes).value.sigma, rel=0.015)
    others = draw.dirichlet(np.ones(3), 200)
    assert np.std(noise @ weights) <= np.std(noise @ others.T, axis=0).min() * 1.01


# -- Readings of one measure ---------------------------------------------------------------------


def derived(value, own=1.0, shared=0.0, of="a", **kinds):
    return Reading(read(value, own, shared, of), "derived", of, frames=(of,), **kinds)


def test_two_valves_are_shown_and_never_averaged():
    left = derived(150.0, 0.3, of="l", valve="left_valve")
    right = derived(146.0, 0.4, of="r", valve="right_valve")
    found = settle([right, left])
    assert found.best == left
    assert found.differs is None  # they truly differ
    assert [one.valve for one in found.valves] == ["left_valve", "right_valve"]
    again = settle([right, left, replace(left, frame="m", frames=("m",))])
    assert again.best.quantity.value == approx(150.0)
    assert again.best.frames == ("l", "m")


def test_a_picture_that_does_not_tell_shows_the_only_valve_there_is():
    found = settle([derived(150.0, of="l", valve="left_valve"), derived(150.5, of="x")])
    assert found.best.quantity.value == approx(150.25)
    assert found.best.valve == "left_valve"
    assert found.valves == ()


def test_counts_are_not_averaged():
    counts = [
        Reading(uncertain(n, 0.5, "count", Cause("counting", str(i))), "derived", str(i),
                frames=(str(i),))
        for i, n in enumerate((5, 6, 5))
    ]  # fmt: skip
    assert settle(counts).best.quantity.value == 5
    assert settle(counts).best.frames == ("0", "2")
    assert settle(counts).best.quantity.sigma == 0.5
    assert settle(counts[:2]).best.quantity.value == 6  # nobody counts what is not there


def test_contradicting_pictures_are_both_shown():
    found = settle([derived(150.0, of="a"), derived(160.0, of="b")])
    assert found.differs == approx(10 / sqrt(2))
    assert found.differs > DISAGREES
    assert len(found.others) == 1


# -- A specimen with several pictures ----------------------------------------------------------


def photographed(*frames, scales=None, setup="", **kinds):
    pictures = {
        key: Picture(
            key, f"{key}.jpg", PictureFile("0" * 64, 1, *SIZE), (scales or {}).get(key, ruler()),
            camera=Camera(900.0, setup),
        )
        for key, _ in frames
    }  # fmt: skip
    made = tuple(
        Frame(key, key, "outside_of_valve", number=i, part=part)
        for i, (key, part) in enumerate(frames)
    )
    placings = tuple(
        Placing(f"{key}-{landmark}", key, landmark, at)
        for key, _ in frames
        for landmark, at in VALVE.items()
    )
    return Specimen("s", frames=made, placings=placings, **kinds), pictures


def row(found, key="shell_length"):
    return next(one for one in measure_rows(*found) if one.key == key)


def test_two_pictures_with_one_carried_over_scale_share_its_doubt():
    one = row(photographed(("a", "left_valve")))
    carried = {"b": carried_over(ruler(), "a")}
    both = row(photographed(("a", "left_valve"), ("b", "left_valve"), scales=carried))
    own = row(photographed(("a", "left_valve"), ("b", "left_valve")))
    for kind in ("ruler", "scale_ends"):
        assert both.value.by_kind()[kind] == approx(one.value.by_kind()[kind], rel=1e-6)
        assert own.value.by_kind()[kind] < 0.8 * one.value.by_kind()[kind]
    assert own.value.sigma < both.value.sigma <= one.value.sigma


def test_with_one_camera_that_stood_still_tilt_and_distance_do_not_shrink_either():
    scales = {"b": carried_over(ruler(), "a")}
    pair = (("a", "left_valve"), ("b", "left_valve"))
    still = row(photographed(*pair, scales=scales, setup="stand"))
    hand = row(photographed(*pair, scales=scales))
    one = row(photographed(pair[0]))
    assert still.value.by_kind()["tilt"] == approx(one.value.by_kind()["tilt"], rel=1e-6)
    assert hand.value.by_kind()["tilt"] < still.value.by_kind()["tilt"]


def test_a_shell_s_own_heights_are_the_same_in_both_pictures_and_its_lie_is_not():
    one = row(photographed(("a", "left_valve")))
    both = row(photographed(("a", "left_valve"), ("b", "left_valve")))
    assert both.value.by_kind()["height"] == approx(one.value.by_kind()["height"], rel=1e-6)
    assert both.value.by_kind()["pose"] == approx(one.value.by_kind()["pose"] / sqrt(2))


def test_a_scale_carried_over_is_less_sure_and_says_so():
    first = mm_per_px(ruler(), "a")
    later = mm_per_px(carried_over(ruler(), "a"), "b")
    assert later.sigma > first.sigma
    assert later.by_kind()["set_up"] == approx(0.005 * later.value)
    twice = carried_over(carried_over(ruler(), "a"), "b")
    assert twice.origin == "a"


def test_both_valves_are_said():
    found = photographed(("a", "left_valve"), ("b", "right_valve"))
    (left, right) = (text(one) for one in measure_notes(row(found)))
    assert left.startswith("left valve: 14")
    assert right.startswith("right valve: 14")


def test_width_over_length_is_made_across_pictures_with_shared_causes_kept():
    specimen, pictures = photographed(("a", ""))
    end = Frame("e", "e", "end", number=1)
    pictures["e"] = replace(
        pictures["a"], id="e", scale=carried_over(ruler(), "a"), camera=Camera(900.0)
    )
    marks = {
        "width_left": Point(600, 600), "width_right": Point(1200, 600),
        "umbo": Point(900, 900), "upper_margin": Point(900, 200),
    }  # fmt: skip
    placings = (Placing(f"e-{key}", "e", key, (at,)) for key, at in marks.items())
    both = replace(
        specimen, frames=(*specimen.frames, end), placings=(*specimen.placings, *placings)
    )
    ratio = row((both, pictures), "width_ratio")
    width, length = row((both, pictures), "shell_width"), row((both, pictures))
    assert ratio.value.value == approx(width.value.value / length.value.value)
    assert not {"ruler", "scale_ends"} & {
        kind for kind, part in ratio.value.by_kind().items() if part > 1e-12
    }
    assert set(ratio.frames) == {"a", "e"}


def test_one_valve_s_depth_is_doubled_and_said():
    specimen, pictures = photographed(("a", ""))
    marks = {
        "width_left": Point(600, 600), "width_right": Point(900, 600),
        "umbo": Point(900, 900), "upper_margin": Point(900, 200),
    }  # fmt: skip
    placings = tuple(Placing(key, "a", key, (at,)) for key, at in marks.items())
    widths = {}
    for part in ("joined_pair", "left_valve"):
        frames = (Frame("a", "a", "end", part=part),)
        shown = replace(specimen, frames=frames, placings=placings)
        widths[part] = row((shown, pictures), "shell_width")
    assert widths["left_valve"].value.value == approx(2 * widths["joined_pair"].value.value)
    assert text(measure_notes(widths["left_valve"])[0]) == "one valve: twice its depth"
    assert measure_notes(widths["joined_pair"]) == ()


def test_without_a_length_the_width_ratio_says_so():
    specimen, pictures = photographed(("a", ""))
    width = Observation("w", "shell_width", value=70.0, method="calliper")
    bare = replace(specimen, placings=(), observations=(width,))
    assert text(measure_words(row((bare, pictures), "width_ratio"))) == "needs shell length"


def test_a_ratio_of_typed_parts_needs_no_picture():
    typed = [
        Observation(key, key, value=value, sigma=0.3, method="calliper")
        for key, value in (("shell_length", 150.0), ("shell_height", 90.0))
    ]
    found = (Specimen("s", observations=tuple(typed)), {})
    assert row(found, "height_ratio").value.value == approx(0.6)
    assert row(found, "height_ratio").value.sigma == approx(
        0.6 * sqrt((0.3 / 150) ** 2 + (0.3 / 90) ** 2)
    )


# -- The check shell -----------------------------------------------------------------------------


def test_a_check_shell_read_right_needs_no_correction():
    known = uncertain(100.0, 0.05, "mm", Cause("typed", "k"))
    found = check_shell(known, read(100.4, 0.5))
    assert found.good
    assert found.apart == approx(0.4 / sqrt(0.5**2 + 0.05**2))
    assert "well within doubt" in text(found.words)


def test_a_check_shell_read_long_gives_the_factor_that_puts_the_scale_right():
    known = uncertain(100.0, 0.05, "mm", Cause("typed", "k"))
    found = check_shell(known, read(102.0, 0.4))
    assert not found.good
    assert found.factor.value == approx(100 / 102)
    assert "2 % too long" in text(found.words)
    right = corrected(ruler(), found.factor)
    assert right.length_mm == approx(ruler().length_mm * 100 / 102)
    assert right.sigma_mm / right.length_mm == approx(found.factor.relative)
    assert "too short" in text(check_shell(known, read(98.0, 0.4)).words)


def test_what_cannot_be_the_check_shell_gives_no_factor():
    known = uncertain(100.0, 0.05, "mm", Cause("typed", "k"))
    found = check_shell(known, read(140.0, 0.4))
    assert found.factor is None
    assert "cannot be" in text(found.words)


def test_readings_made_of_one_line_are_linear():
    """The combined budget is the weighted sum of the budgets, cause by cause."""
    values = [read(100.0, 1.0, 0.5, "a"), read(100.5, 2.0, 0.5, "b")]
    found = combine(values)
    assert found.value.budget == approx(
        dict(linear(0, "mm", zip(found.weights, values, strict=True)).budget)
    )
