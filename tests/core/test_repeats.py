"""Blind repeats: who is drawn, what is due, and what pairs of placings say."""

from collections import Counter
from random import Random

import pytest
from pytest import approx

from landmarks.agreement import Untold
from landmarks.collection import Picture
from landmarks.geometry import Point
from landmarks.picture import PictureFile
from landmarks.placing import Placing
from landmarks.repeats import (
    due,
    lot,
    measures_repeated,
    own_doubt,
    scores_repeated,
)
from landmarks.specimen import Frame, Observation, Specimen

ANN, BEN = "ann", "ben"
PICTURE = Picture("picture", "shell.jpg", PictureFile("0" * 64, 1, 4000, 3000))
SHELL = {
    "byssal_end": Point(3000, 1500),
    "ligament_end": Point(1000, 1500),
    "umbo": Point(2200, 2100),
    "upper_margin": Point(2000, 800),
    "hinge_byssal": Point(2600, 2000),
    "hinge_ligament": Point(1500, 1900),
}


def placed(chance, sigma_px, *, occasion="record", person=ANN, at="2026-01-01T10:00:00Z",
           zoom=1.0, prefix="", shift=0.0):  # fmt: skip
    return tuple(
        Placing(
            f"{prefix}{occasion}{key}",
            "frame",
            key,
            (
                Point(
                    p.x + shift + chance.gauss(0, sigma_px), p.y + chance.gauss(0, sigma_px)
                ),
            ),
            occasion=occasion,
            zoom=zoom,
            person=person,
            at=at,
        )
        for key, p in SHELL.items()
    )


def shell(number, *placings, observations=()):
    frame = Frame("frame", "picture", "outside_of_valve")
    return Specimen(f"shell {number:03}", frames=(frame,), placings=placings,
                    observations=observations)  # fmt: skip


def twice(n, sigma_px, zoom=1.0, seed=3):
    chance = Random(seed)
    return [
        shell(
            k,
            *placed(chance, sigma_px, zoom=zoom),
            *placed(chance, sigma_px, zoom=zoom, occasion="blind_repeat",
                    at=f"2026-02-{1 + k % 28:02}T10:00:00Z"),
        )
        for k in range(n)
    ]  # fmt: skip


# -- The lot ----------------------------------------------------------------------------


def test_one_of_every_block_is_drawn():
    ids = [str(n) for n in range(200)]
    drawn = [int(one) for one in lot(ids, seed=5, every=10)]
    assert [one // 10 for one in drawn] == list(range(20))


def test_nobody_can_count_on_a_place():
    places = Counter(
        int(lot([str(n) for n in range(10)], seed, 10)[0]) for seed in range(500)
    )
    assert set(places) == set(range(10))
    assert max(places.values()) < 100


def test_more_specimens_change_no_earlier_draw():
    ids = [str(n) for n in range(95)]
    assert lot(ids[:40], 7) == lot(ids, 7)[: len(lot(ids[:40], 7))]


# -- What is due ------------------------------------------------------------------------


def recorded(n, person=ANN):
    chance = Random(1)
    return [shell(k, *placed(chance, 1.0, person=person)) for k in range(n)]


def test_due_are_drawn_specimens_that_lie_long_enough_back():
    specimens = recorded(35)
    found = due(specimens, 4, 10, person=ANN)
    drawn = lot([one.id for one in specimens], 4, 10)
    back = {one.id for one in specimens[:25]}
    assert set(found) == set(drawn) & back
    assert found


def test_a_repeated_specimen_is_done():
    specimens = recorded(35)
    first, *others = due(specimens, 4, 10, person=ANN)
    again = placed(Random(2), 1.0, occasion="blind_repeat")
    done = [
        shell(int(one.id[6:]), *one.placings, *again) if one.id == first else one
        for one in specimens
    ]
    assert set(due(done, 4, 10, person=ANN)) == set(others)


def test_a_blind_repeat_is_the_same_persons_and_a_second_look_anothers():
    specimens = recorded(35)
    assert not due(specimens, 4, 10, person=BEN)
    assert due(specimens, 4, 10, person=BEN, occasion="second_observer")
    assert not due(specimens, 4, 10, person=ANN, occasion="second_observer")


# -- Measures ---------------------------------------------------------------------------


def test_error_of_a_length_is_that_of_its_two_ends():
    # A length of two clicks errs by the root of two; so must the technical error of ratios.
    rows = {
        one.key: one for one in measures_repeated(twice(300, 2.0), {"picture": PICTURE})
    }
    ratio = rows["hinge_ratio"]
    assert len(ratio.pairs) == 300
    expected = 2.0 * 2**0.5 * (1 + ratio.repeatability.mean**2) ** 0.5 / 2000
    assert ratio.repeatability.tem == approx(expected, rel=0.12)


def test_repeats_of_one_day_tell_of_no_drift():
    chance = Random(9)
    for hours, told in ((0, False), (12, True)):
        specimens = [
            shell(
                k,
                *placed(chance, 1.0),
                *placed(chance, 1.0, occasion="blind_repeat",
                        at=f"2026-01-{5 + k * hours // 24:02}T10:0{k}:00+00:00"),
            )
            for k in range(6)
        ]  # fmt: skip
        rows = {one.key: one for one in measures_repeated(specimens, {"picture": PICTURE})}
        assert (not isinstance(rows["hinge_ratio"].drift, Untold)) is told


def test_bias_and_drift_are_told_apart_from_noise():
    chance = Random(8)
    specimens = [
        shell(
            k,
            *placed(chance, 1.0),
            *placed(chance, 1.0, occasion="blind_repeat",
                    at=f"2026-{1 + k // 4:02}-05T10:00:00+00:00"),
        )
        for k in range(44)
    ]  # fmt: skip
    rows = {one.key: one for one in measures_repeated(specimens, {"picture": PICTURE})}
    found = rows["umbo_position"]
    assert abs(found.limits.bias) < 3 * found.limits.bias_error
    moved = [
        Specimen(one.id, frames=one.frames, placings=tuple(
            Placing(p.id, p.frame, p.landmark,
                    (Point(p.points[0].x + 0.8 * k, p.points[0].y),)
                    if p.landmark == "umbo" and p.occasion == "blind_repeat" else p.points,
                    occasion=p.occasion, person=p.person, at=p.at)
            for p in one.placings))
        for k, one in enumerate(specimens)
    ]  # fmt: skip
    rows = {one.key: one for one in measures_repeated(moved, {"picture": PICTURE})}
    assert rows["umbo_position"].drift.seen
    assert (
        abs(rows["umbo_position"].limits.bias) > 3 * rows["umbo_position"].limits.bias_error
    )


def test_only_the_asked_observer_counts():
    specimens = twice(5, 1.0)
    assert not measures_repeated(specimens, {"picture": PICTURE}, person=BEN)
    assert measures_repeated(specimens, {"picture": PICTURE}, person=ANN)


# -- Scores -----------------------------------------------------------------------------


def scored(number, first, second):
    rows = [
        Observation(f"{number}a", "umbo", state=first, frame="frame", at="1"),
        Observation(f"{number}b", "umbo", state=second, frame="frame", at="2",
                    occasion="blind_repeat"),
    ]  # fmt: skip
    return shell(number, observations=tuple(rows))


def test_scores_of_a_repeat_meet_those_of_the_record():
    pairs = [("none", "none")] * 6 + [("few", "few")] * 5 + [("none", "few")] * 2
    specimens = [scored(k, *pair) for k, pair in enumerate(pairs)]
    (found,) = scores_repeated(specimens)
    assert found.key == "umbo"
    assert sorted(found.pairs) == sorted(pairs)
    assert 0 < found.kappa.value < 1
    assert found.kappa.observed == approx(11 / 13)


def test_near_misses_count_where_states_have_an_order():
    pairs = (
        [("a", "a")] * 4 + [("b", "b")] * 4 + [("c", "c")] * 4 + [("a", "b"), ("b", "c")]
    )
    specimens = [scored(k, *pair) for k, pair in enumerate(pairs)]
    (plain,) = scores_repeated(specimens)
    (weighted,) = scores_repeated(specimens, {"umbo": ("a", "b", "c")})
    assert weighted.kappa.value > plain.kappa.value


# -- Own doubt --------------------------------------------------------------------------


@pytest.mark.parametrize(("sigma_px", "zoom"), [(1.5, 1.0), (0.8, 2.0), (4.0, 0.5)])
def test_own_doubt_is_found_again_and_goes_with_the_zoom(sigma_px, zoom):
    found = own_doubt(twice(100, sigma_px, zoom), ANN)
    assert found.n == 600
    assert abs(found.sigma - sigma_px * zoom) < 4 * found.error
    assert found.sigma_px(zoom) == approx(sigma_px, rel=0.1)
    assert set(found.by_landmark) == set(SHELL)


def test_one_bad_landmark_is_said():
    chance = Random(4)
    specimens = [
        shell(k, *(
            Placing(f"{o}{key}", "frame", key,
                    (Point(chance.gauss(p.x, 6.0 if key == "umbo" else 1.0), p.y),),
                    occasion=o, person=ANN, zoom=1.0)
            for o in ("record", "blind_repeat") for key, p in SHELL.items()))
        for k in range(40)
    ]  # fmt: skip
    found = own_doubt(specimens, ANN)
    assert found.by_landmark["umbo"] > 3 * found.by_landmark["byssal_end"]
    assert found.sigma_px(1.0, "umbo") > found.sigma_px(1.0)


def test_few_repeats_tell_no_doubt():
    found = own_doubt(twice(3, 1.0), ANN)
    assert isinstance(found, Untold)
    assert "18" in str(found.why)
