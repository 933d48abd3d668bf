"""From a specimen to measures, observations and an answer: what counts, what is silent, why."""

from dataclasses import replace
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from landmarks.assessment import (
    CharacterRow,
    assess,
    character_rows,
    circumstances,
    measure_rows,
    measure_words,
    observed,
    weights,
)
from landmarks.collection import Picture
from landmarks.documents import read_record
from landmarks.geometry import Point
from landmarks.identification import compile_tables
from landmarks.measures import MEASURES
from landmarks.observations import Condition, Hidden, Scored, Taken
from landmarks.picture import PictureFile
from landmarks.placing import Placing
from landmarks.sentences import Sentence, text
from landmarks.specimen import Frame, Observation, Specimen, Where
from landmarks.tables import read_tables
from tests.core.shells import PAIR, PX_PER_MM, SIZE, VALVE, ruler

GUIDE = compile_tables(read_tables())
CHARACTERS = GUIDE.tables.characters
PICTURES = {
    key: Picture(key, f"{key}.jpg", PictureFile("0" * 64, 1, *SIZE), ruler())
    for key in ("outside", "hinge", "above")
}
OUTSIDE = Frame("outside", "outside", "outside_of_valve", number=0, valves="single")
HINGE = Frame("hinge", "hinge", "hinge_edge", number=1, mantle="none", valves="shut")
ABOVE = Frame("above", "above", "living_from_above", number=2, mantle="extended")


def marked(points, frame):
    return tuple(
        Placing(f"{frame}-{key}", frame, key, tuple(at)) for key, at in points.items()
    )


def shell(*observations, frames=(OUTSIDE,), points=VALVE, **kinds):
    placings = marked(points, frames[0].id) if frames and points else ()
    return Specimen(
        "s", frames=frames, placings=placings, observations=observations, **kinds
    )


def typed(character, value, method="calliper", **kinds):
    return Observation(
        f"{character}-{value}-{method}", character, value=value, method=method, **kinds
    )


def scored(character, state, frame="", **kinds):
    return Observation(
        f"{character}-{state}-{frame}", character, state=state, frame=frame, **kinds
    )


def row_of(specimen, key):
    return next(one for one in measure_rows(specimen, PICTURES) if one.key == key)


def character_of(specimen, key):
    return next(
        one for one in character_rows(specimen, CHARACTERS) if one.character.key == key
    )


def seen_of(specimen, key):
    rows = measure_rows(specimen, PICTURES)
    characters = character_rows(specimen, CHARACTERS)
    seen = observed(specimen, PICTURES, rows, characters, CHARACTERS)
    return [one for one in seen if one.character == key]


# -- Measures: derived and typed ----------------------------------------------------------------


def test_a_measure_comes_from_landmarks_until_a_surer_one_is_typed():
    derived = row_of(shell(), "shell_length")
    assert (derived.method, derived.frame, derived.others) == ("derived", "outside", ())
    with_calliper = row_of(
        shell(typed("shell_length", derived.value.value)), "shell_length"
    )
    assert with_calliper.method == "calliper"
    assert with_calliper.value.relative == approx(0.003)
    beside = [(one.method, one.quantity) for one in with_calliper.others]
    assert beside == [("derived", derived.value)]
    assert with_calliper.differs is None


def test_a_value_by_eye_does_not_displace_landmarks():
    row = row_of(shell(typed("shell_length", 140.0, "by_eye")), "shell_length")
    assert row.method == "derived"
    assert [one.method for one in row.others] == ["by_eye"]


def test_two_values_more_than_three_doubts_apart_are_said_to_differ():
    derived = row_of(shell(), "shell_length").value
    for off, differs in ((2.9, False), (3.1, True)):
        sigma = 0.5
        other = derived.value + off * hypot(derived.sigma, sigma)
        row = row_of(shell(typed("shell_length", other, sigma=sigma)), "shell_length")
        assert (row.differs is not None) is differs
        if differs:
            assert row.differs == approx(off)


def test_a_typed_measure_needs_no_picture():
    row = row_of(shell(typed("shell_length", 152.0), frames=()), "shell_length")
    assert (row.value.value, row.value.unit) == (152.0, "mm")
    assert row.value.by_kind() == {"typed": approx(0.456)}


def test_a_typed_count_has_a_doubt_of_half_a_fold():
    assert row_of(shell(typed("main_folds", 5), frames=()), "main_folds").value.sigma == 0.5


def test_a_lower_bound_never_displaces_a_number_and_does_not_differ_from_more():
    bound = typed("shell_length", 85.0, "label", at_least=True)
    row = row_of(shell(bound), "shell_length")
    assert (row.method, row.at_least, row.differs) == ("derived", False, None)
    alone = row_of(shell(bound, frames=()), "shell_length")
    assert (alone.value.value, alone.at_least) == (85.0, True)


def test_a_lower_bound_far_above_the_number_differs():
    bound = typed("shell_length", 300.0, "label", at_least=True)
    assert row_of(shell(bound), "shell_length").differs > 3


def test_of_two_lower_bounds_the_greater_counts():
    bounds = [typed("shell_length", one, "label", at_least=True) for one in (60.0, 85.0)]
    assert row_of(shell(*bounds, frames=()), "shell_length").value.value == 85.0


def test_measures_of_two_frames_are_kept_side_by_side():
    both = shell(frames=(OUTSIDE, HINGE))
    both = replace(both, placings=(*both.placings, *marked(PAIR, "hinge")))
    row = row_of(both, "hinge_ratio")
    assert row.value.sigma <= row.others[0].quantity.sigma
    assert {row.frame} <= {"outside", "hinge"}
    assert row_of(both, "byssal_ratio").frame == "hinge"


def test_a_measure_that_one_frame_gives_is_not_missing_for_another_that_cannot():
    both = shell(frames=(OUTSIDE, HINGE))
    assert row_of(both, "hinge_ratio").missing is None
    assert row_of(both, "byssal_ratio").missing is not None


def test_a_frame_whose_picture_is_gone_gives_no_measures():
    assert measure_rows(shell(), {}) == ()


def test_a_closed_byssal_opening_is_zero_and_speaks():
    closed = tuple(
        Placing(key, "hinge", key, reason="closed")
        for key in ("byssal_opening_hinge", "byssal_opening_far")
    )
    specimen = replace(shell(frames=(HINGE,), points={}), placings=closed)
    assert seen_of(specimen, "byssal_ratio") == [
        Taken("byssal_ratio", 0.0, 0.0, frames=("hinge",))
    ]


@pytest.mark.parametrize(
    ("told", "read"), [(0.3, 0.3), (0.7, 0.3), (0.5, 0.5), (1.2, -0.2)]
)
def test_the_umbo_is_told_from_the_nearer_end(told, read):
    (taken,) = seen_of(shell(typed("umbo_position", told), frames=()), "umbo_position")
    assert taken.value == approx(read)


def test_the_visible_margin_is_at_least_even_where_it_is_typed():
    margin = shell(typed("visible_margin_length", 85.0), frames=())
    (taken,) = seen_of(margin, "visible_margin_length")
    assert taken.at_least


def test_a_measured_character_goes_by_its_other_names_too():
    """With the doubt of a count, which the other name does not tell."""
    (taken,) = seen_of(shell(typed("fold_count", 5), frames=()), "main_folds")
    assert (taken.value, taken.sigma) == (5, 0.5)


def test_a_measure_said_to_be_hidden_is_hidden_until_there_is_a_number():
    hidden = Observation("h", "hinge_ratio", hidden="broken")
    assert seen_of(shell(hidden, frames=()), "hinge_ratio") == [
        Hidden("hinge_ratio", "broken")
    ]
    (taken,) = seen_of(shell(hidden), "hinge_ratio")
    assert isinstance(taken, Taken)


# -- Measures in words ---------------------------------------------------------------------------


def test_measures_are_said_with_their_doubt_or_with_what_they_lack():
    def say(specimen, key):
        return text(measure_words(row_of(specimen, key)))

    assert (
        say(shell(typed("shell_length", 152.0, sigma=0.3)), "shell_length")
        == "152.0 ± 0.3 mm"
    )
    assert say(shell(), "main_folds") == "5"
    some = typed("main_folds", 4, at_least=True)
    assert say(shell(some, frames=()), "main_folds") == "≥ 4"
    named = "needs hinge, byssal side and hinge, ligament side"
    assert say(shell(points={}), "hinge_line") == named
    assert say(shell(points={}), "height_ratio") == "needs 4 landmarks"
    but_one = {key: at for key, at in VALVE.items() if key != "hinge_byssal"}
    assert say(shell(points=but_one), "hinge_line") == "needs hinge, byssal side"
    worn = shell(points={k: v for k, v in VALVE.items() if k != "umbo"})
    worn = replace(
        worn, placings=(*worn.placings, Placing("u", "outside", "umbo", reason="worn"))
    )
    assert say(worn, "umbo_position") == "umbo worn away"
    bound = typed("shell_length", 85.0, "label", sigma=1.0, at_least=True)
    assert say(shell(bound, frames=()), "shell_length") == "≥ 85.0 ± 1.0 mm"


def test_without_a_scale_lengths_say_that_they_need_one():
    bare = {"outside": replace(PICTURES["outside"], scale=None)}
    rows = {one.key: one for one in measure_rows(shell(), bare)}
    assert text(measure_words(rows["shell_length"])) == "needs a scale"
    assert rows["height_ratio"].value is not None


# -- Characters --------------------------------------------------------------------------------


def test_a_character_speaks_with_its_state_its_frame_and_its_smallest_detail():
    row = CHARACTERS["scutes"]
    (one,) = seen_of(shell(scored("scutes", "absent", "outside")), "scutes")
    assert one == Scored(
        "scutes", "absent", True, approx(row.smallest_detail_mm * PX_PER_MM), ("outside",)
    )


def test_without_a_scale_the_smallest_detail_is_unknown():
    assert seen_of(shell(scored("scutes", "absent")), "scutes")[0].detail_px is None


def test_what_no_frame_shows_is_not_in_these_pictures():
    assert character_of(shell(), "incurrent_margin").hidden == "not_in_these_pictures"
    assert character_of(shell(frames=()), "incurrent_margin").hidden == ""
    assert character_of(shell(), "scutes").hidden == ""


def test_what_was_scored_from_another_view_is_believed():
    specimen = shell(scored("incurrent_margin", "fringe"))
    assert character_of(specimen, "incurrent_margin").states == ("fringe",)


@pytest.mark.parametrize("mantle", ["withdrawn", "none"])
def test_without_a_mantle_its_characters_cannot_be_seen_and_come_back_with_it(mantle):
    score = scored("incurrent_margin", "fringe", "above")
    out = shell(score, frames=(ABOVE,), points={})
    drawn_in = replace(out, frames=(replace(ABOVE, mantle=mantle),))
    assert seen_of(drawn_in, "incurrent_margin") == [
        Hidden("incurrent_margin", "need_unmet")
    ]
    assert character_of(drawn_in, "incurrent_margin").observation == score
    assert seen_of(out, "incurrent_margin")[0].state == "fringe"


@pytest.mark.parametrize("mantle", ["extended", "partly", ""])
def test_a_mantle_that_may_be_out_hides_nothing(mantle):
    frame = replace(ABOVE, mantle=mantle)
    assert character_of(shell(frames=(frame,), points={}), "eyes").hidden == ""


@pytest.mark.parametrize("valves", ["sprung", "single"])
def test_closure_needs_shut_valves(valves):
    frame = replace(HINGE, view="upper_margin", valves=valves)
    score = scored("closure", CHARACTERS["closure"].states[0].key, "hinge")
    specimen = shell(score, frames=(frame,), points={})
    assert character_of(specimen, "closure").hidden == "need_unmet"
    shut = replace(specimen, frames=(replace(frame, valves="shut"),))
    assert character_of(shut, "closure").hidden == ""


def test_a_frame_that_cannot_show_it_does_not_silence_one_that_can():
    withdrawn = replace(ABOVE, id="late", number=3, mantle="withdrawn")
    both = shell(scored("eyes", "dense_row", "above"), frames=(ABOVE, withdrawn), points={})
    assert character_of(both, "eyes").states == ("dense_row",)
    only = shell(scored("eyes", "dense_row", "late"), frames=(ABOVE, withdrawn), points={})
    assert character_of(only, "eyes").hidden == "need_unmet"


def test_pictures_that_agree_are_one_sure_observation():
    both = shell(
        scored("scutes", "absent", "outside"),
        scored("scutes", "absent", "hinge", sure=False),
        frames=(OUTSIDE, HINGE),
    )
    assert character_of(both, "scutes").states == ("absent",)
    assert any(one.sure for one in seen_of(both, "scutes"))
    once = shell(scored("scutes", "absent", "outside"), frames=(OUTSIDE, HINGE))
    assert _answer(both) == _answer(once)


def test_pictures_that_contradict_each_other_make_the_character_unsure():
    both = shell(
        scored("scutes", "absent", "outside"),
        scored("scutes", "all_over", "hinge"),
        frames=(OUTSIDE, HINGE),
    )
    assert set(character_of(both, "scutes").states) == {"absent", "all_over"}
    assert [one.sure for one in seen_of(both, "scutes")] == [False, False]


def test_scoring_again_from_the_same_picture_replaces_what_was_scored():
    again = shell(
        scored("scutes", "absent", "outside", at="2024-01-01T00:00:00Z"),
        scored("scutes", "all_over", "outside", at="2024-01-02T00:00:00Z"),
    )
    assert character_of(again, "scutes").states == ("all_over",)


def test_what_one_picture_hides_another_may_show():
    hidden = Observation(
        "h", "scutes", hidden="worn", frame="hinge", at="2024-01-02T00:00:00Z"
    )
    shown = scored("scutes", "absent", "outside", at="2024-01-01T00:00:00Z")
    assert character_of(shell(hidden, shown, frames=(OUTSIDE, HINGE)), "scutes").states == (
        "absent",
    )
    assert character_of(shell(hidden, frames=(OUTSIDE, HINGE)), "scutes").hidden == "worn"


def test_a_character_that_was_not_looked_at_says_nothing():
    assert seen_of(shell(), "scutes") == []
    assert character_of(shell(), "scutes") == CharacterRow(CHARACTERS["scutes"])


# -- Circumstances -----------------------------------------------------------------------------


def test_circumstances_are_what_the_record_and_its_frames_say():
    where = Where("red_sea", False, "trade", (Condition("worn", "umbo"),))
    around = circumstances(shell(where=where, frames=(OUTSIDE, ABOVE)))
    assert (around.region, around.use_region, around.origin) == ("red_sea", False, "trade")
    assert around.conditions == (Condition("worn", "umbo"),)
    assert around.living
    assert around.views == {"outside_of_valve", "living_from_above"}
    assert not circumstances(shell()).living
    assert circumstances(shell()).region is None


# -- The whole ---------------------------------------------------------------------------------


SCORES = [
    scored("scutes", "all_over", "outside"),
    scored("scute_size", "large", "outside"),
    scored("scute_spacing", "wide", "outside", sure=False),
    scored("fold_profile", "rounded", "outside"),
    scored("scutes", "absent", "hinge"),
    typed("shell_length", 152.0),
    typed("hinge_ratio", 0.48, "tape"),
    Observation("hidden", "coloured_bands", hidden="too_dark"),
]


def _answer(specimen):
    answer = assess(specimen, PICTURES, GUIDE).answer
    return [(one.taxon, approx(one.probability, abs=1e-12)) for one in answer.candidates]


@given(st.permutations(SCORES), st.lists(st.integers(0, 50), min_size=8, max_size=8))
def test_the_order_of_scoring_never_matters(order, seconds):
    """Neither as the rows stand nor in time: no two of them answer for the same picture."""
    first = shell(*SCORES, frames=(OUTSIDE, HINGE))
    stamped = [
        replace(one, at=f"2024-01-01T00:00:{second:02d}Z")
        for one, second in zip(order, seconds, strict=True)
    ]
    assert _answer(shell(*stamped, frames=(OUTSIDE, HINGE))) == _answer(first)


def test_two_states_in_one_record_contradict_each_other_whatever_their_ids():
    record = {"format": 1, "observations": {"scutes": ["absent", "all_over"]}}
    answers = []
    for ids in ("0123456789", "9876543210"):
        waiting = iter(ids)
        specimen, _ = read_record(record, new_id=lambda waiting=waiting: next(waiting))
        assert set(character_of(specimen, "scutes").states) == {"absent", "all_over"}
        answers.append(_answer(specimen))
    assert answers[0] == answers[1]


def test_the_path_of_a_drag_gives_the_same_as_the_whole():
    specimen = shell(*SCORES, frames=(OUTSIDE, HINGE))
    whole = assess(specimen, PICTURES, GUIDE)
    rows, bare = weights(specimen, PICTURES, GUIDE)
    assert rows == whole.measures
    found = dict(zip((one.key for one in GUIDE.tables.taxa), bare, strict=True))
    assert found == approx({one.taxon: one.probability for one in whole.answer.candidates})


def test_a_specimen_with_nothing_at_all_is_assessed():
    whole = assess(Specimen("s"), {}, GUIDE)
    assert whole.measures == whole.seen == ()
    assert whole.answer.level == "none"
    assert len(whole.answer.candidates) == len(GUIDE.tables.taxa)


def test_moving_a_landmark_moves_its_measures():
    before = row_of(shell(), "shell_length").value.value
    longer = shell(points=VALVE | {"byssal_end": (Point(1550, 470),)})
    assert row_of(longer, "shell_length").value.value > before + 9  # 80 px are 10 mm


@pytest.mark.parametrize("key", list(MEASURES))
def test_every_measure_that_is_a_character_has_its_unit(key):
    character = CHARACTERS.get(key)
    if character is not None:
        assert character.unit == {"": "ratio"}.get(MEASURES[key].unit, MEASURES[key].unit)


def test_a_blind_repeat_is_no_evidence():
    """Only what was seen for the record speaks; a repeat tells how far one agrees."""
    seen = Observation("a", "incurrent_margin", state="smooth", frame="f1", at="1")
    again = Observation(
        "b",
        "incurrent_margin",
        state="tentacles",
        frame="f1",
        at="2",
        occasion="blind_repeat",
    )
    frames = (Frame("f1", "p", "living_inhalant_opening", mantle="extended"),)
    record = Specimen("s", frames=frames, observations=(seen,))
    both = record.with_one(again)
    assert assess(both, {}, GUIDE) == assess(record, {}, GUIDE)
    assert assess(record, {}, GUIDE) != assess(Specimen("s", frames=frames), {}, GUIDE)


def test_a_region_that_the_tables_do_not_know_counts_as_none():
    known = assess(shell(), {}, GUIDE)
    odd = assess(shell(where=Where(region="atlantis")), {}, GUIDE)
    assert odd.answer.candidates == known.answer.candidates


def test_a_state_of_other_tables_is_kept_and_says_nothing():
    frames = (Frame("f1", "p", "outside_of_valve"),)
    strange = Observation("a", "scutes", state="like_shingles", frame="f1", at="1")
    plain = Specimen("s", frames=frames)
    kept = plain.with_one(strange)
    row = next(r for r in assess(kept, {}, GUIDE).characters if r.character.key == "scutes")
    assert row.hidden == "unknown_state"
    assert row.observation == strange
    assert text(Sentence("hidden.unknown_state")) == "a state these tables do not know"
    here, before = assess(kept, {}, GUIDE).answer, assess(plain, {}, GUIDE).answer
    assert [one.probability for one in here.candidates] == approx(
        [one.probability for one in before.candidates]
    )
    known = Observation("b", "scutes", state="absent", frame="f1", at="2")
    both = assess(kept.with_one(known), {}, GUIDE)
    row = next(r for r in both.characters if r.character.key == "scutes")
    assert row.states == ("absent",)
