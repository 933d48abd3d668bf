"""The report on repeats: its cells, its reasons, and the marks of a repeat in figures."""

from dataclasses import replace

import pytest
from PIL import Image

from landmarks.agreement import cohen_of
from landmarks.figures import Again, Dot, Figure, Lozenge, Outline, figure_of, marks_again
from landmarks.geometry import Point
from landmarks.outputs.agreement import (
    COLUMNS,
    agreement_report,
    cells_of,
    name_of,
    own_doubt_words,
    readings_of,
    untold_of,
)
from landmarks.outputs.png import annotated
from landmarks.repeats import BLIND, SECOND
from landmarks.sentences import text
from landmarks.specimen import Observation
from landmarks.tables import read_tables
from tests.app.repeated import ANN, example, shells

CHARACTERS = read_tables().characters


@pytest.fixture(scope="module")
def pictures():
    _, _, picture = example()
    return {picture.id: picture}


@pytest.fixture(scope="module")
def report(pictures):
    return agreement_report(
        shells(40, repeated=range(0, 40, 2)), pictures, CHARACTERS, person=ANN.id
    )


def test_every_row_has_every_column_and_a_name(report):
    for row in (*report.measures, *report.characters):
        cells = cells_of(report, row)
        assert tuple(cells) == COLUMNS
        assert all(cells.values())
        assert "_" not in name_of(report, row)


def test_readings_are_told_to_the_decimals_of_their_limits(report):
    rows = {row.key: row for row in report.measures}
    length = rows["shell_length"]
    places = len(cells_of(report, length)["limits"].split()[0].partition(".")[2])
    for pair in length.pairs:
        first, second = readings_of(length, pair)
        assert first == f"{pair.first:.{places}f} mm"
        assert second == f"{pair.second:.{places}f} mm"
    # Where no reading differs there is nothing to round to.
    folds = rows["main_folds"]
    assert cells_of(report, folds)["limits"] == "0 to 0"
    assert readings_of(folds, folds.pairs[0]) == ("5", "5")


def test_only_those_count_as_repeated_that_this_person_repeated(pictures):
    mine, theirs = shells(4, repeated=(0, 1, 2)), shells(4, repeated=(3,))
    theirs = [replace(one, id=f"other-{one.id}", placings=tuple(
        replace(row, person="ben") for row in one.placings), observations=())
        for one in theirs]  # fmt: skip
    told = {who: agreement_report([*mine, *theirs], pictures, CHARACTERS, person=who)
            for who in (None, ANN.id, "ben")}  # fmt: skip
    assert {who: one.n_specimens for who, one in told.items()} == {
        None: 4, ANN.id: 3, "ben": 1}  # fmt: skip


def test_measures_stand_in_the_order_of_the_catalogue(report):
    keys = [row.key for row in report.measures]
    assert keys.index("shell_length") < keys.index("hinge_line") < keys.index("main_folds")


def test_what_two_pairs_cannot_tell_is_a_dash_with_its_reason(pictures):
    few = agreement_report(shells(2, repeated=(0, 1)), pictures, CHARACTERS)
    row = next(one for one in few.measures if one.key == "shell_length")
    cells = cells_of(few, row)
    assert cells["tem"].endswith(" mm")
    assert cells["limits"] == cells["drift"] == "–"
    reasons = [text(one) for one in untold_of(row)]
    assert reasons == [
        "Limits of agreement: Too few to tell: 2 where it takes 3 at least.",
        "Drift in 30 days: Too few to tell: 2 where it takes 4 at least.",
    ]


def test_scores_that_have_an_order_are_said_to_be_weighted(report):
    (row,) = report.characters
    same = sum(first == second for first, second in row.pairs)
    share = round(100 * same / len(row.pairs))
    assert cells_of(report, row)["tem"] == (
        f"same in {same} of {len(row.pairs)} ({share} %), near misses weighted"
    )


def test_scores_without_any_spread_have_no_interval(pictures):
    few = agreement_report(shells(3, repeated=range(3)), pictures, CHARACTERS)
    (row,) = few.characters
    states = ["absent", "all_over"]
    for pairs, told in (((0, 0), (1, 1)), False), (((0, 0), (1, 1), (0, 1)), True):
        given = [(states[a], states[b]) for a, b in pairs]
        kappa = cohen_of(*zip(*given, strict=True))
        made = cells_of(few, replace(row, kappa=kappa))["shared"]
        assert (" to " in made) is told


def test_scores_beyond_the_states_are_not_weighted(pictures):
    """A character that cannot be seen has no place in the order of its states."""
    made = []
    for one in shells(6, repeated=range(6)):
        rows = tuple(
            replace(row, state="", hidden="worn") if row.occasion == BLIND else row
            for row in one.observations
        )
        made.append(replace(one, observations=rows))
    found = agreement_report(made, pictures, CHARACTERS)
    (row,) = found.characters
    assert found.weighted == frozenset()
    assert cells_of(found, row)["tem"] == "same in 0 of 6 (0 %)"


def test_own_doubt_is_said_beside_the_usual_one(report):
    said = [text(one) for one in own_doubt_words(report)]
    assert said[0].startswith(f"Own placing doubt: {report.own.sigma:.2f} ± ")
    assert said[0].endswith(f"from {report.own.n} points placed twice (usual: 1.5 px).")
    assert "umbo" in said[1]


def test_too_few_points_are_no_own_doubt(pictures):
    few = agreement_report(shells(1, repeated=(0,)), pictures, CHARACTERS, person=ANN.id)
    assert [text(one) for one in own_doubt_words(few)] == [
        "Own placing doubt: not known yet (13 of 20 points placed twice)."
    ]


def test_without_a_person_there_is_no_own_doubt(pictures):
    specimens = shells(4, repeated=range(4))
    assert own_doubt_words(agreement_report(specimens, pictures, CHARACTERS)) == ()


def test_another_occasion_says_nothing_of_blind_repeats(pictures):
    specimens = shells(4, repeated=range(4))
    found = agreement_report(specimens, pictures, CHARACTERS, SECOND, ANN.id)
    assert found.measures == found.characters == ()


def test_a_character_that_the_tables_lack_goes_by_its_key(pictures):
    (one,) = shells(1, repeated=(0,))
    rows = tuple(
        Observation(f"{n}", "gill_colour", "red", frame="", occasion=occasion)
        for n, occasion in enumerate(("record", BLIND))
    )
    found = agreement_report([replace(one, observations=rows)], pictures, CHARACTERS)
    assert [name_of(found, row) for row in found.characters] == ["gill_colour"]


# -- Marks of a repeat ------------------------------------------------------------------


def test_the_record_alone_is_drawn_unless_both_are_asked_for(pictures):
    (one,) = shells(1, repeated=(0,))
    frame = one.frames[0]
    (picture,) = pictures.values()
    ids = {
        mark.id
        for mark in figure_of(picture, one, frame).marks
        if isinstance(mark, Dot | Lozenge | Outline | Again)
    }
    assert ids == {row.id for row in one.placings if row.occasion == "record"}


def test_marks_of_a_repeat_are_those_of_its_person_and_occasion():
    (one,) = shells(1, repeated=(0,))
    frame = one.frames[0]
    marks = marks_again(one, frame, BLIND, ANN.id)
    repeated = [row for row in one.placings if row.occasion == BLIND]
    assert len(marks) == sum(len(row.points) for row in repeated)
    assert {mark.id for mark in marks} == {row.id for row in repeated}
    assert all(isinstance(mark, Again) for mark in marks)
    assert marks_again(one, frame, SECOND, ANN.id) == ()
    assert marks_again(one, frame, BLIND, "somebody") == ()


def test_repeated_paths_are_provisional_lines():
    (one,) = shells(1, repeated=(0,))
    frame = one.frames[0]
    row = next(row for row in one.placings if row.occasion == BLIND)
    points = tuple(Point(100.0 + k, 200.0) for k in range(4))
    traced = one.with_one(replace(row, landmark="upper_margin_line", points=points))
    (mark,) = (m for m in marks_again(traced, frame, BLIND, ANN.id) if m.id == row.id)
    assert mark == Outline(row.id, "upper_margin_line", points, provisional=True)


def test_an_open_ring_leaves_the_pixel_of_its_point_to_be_seen(tmp_path):
    path = tmp_path / "grey.png"
    Image.new("RGB", (400, 300), (120, 130, 140)).save(path)
    ring = Figure(400, 300, (Again("a", "umbo", Point(200.0, 150.0)),))
    image = annotated(path, ring, 400)
    assert image.getpixel((200, 150)) == (120, 130, 140)
    # Its stalk points upwards and nowhere else.
    n_above = sum(image.getpixel((200, y)) != (120, 130, 140) for y in range(125, 150))
    n_below = sum(image.getpixel((200, y)) != (120, 130, 140) for y in range(151, 176))
    assert n_above > n_below > 0
