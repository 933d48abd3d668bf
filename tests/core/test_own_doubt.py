"""A person's own placing doubt takes the place of the usual one in what is measured."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from pytest import approx

from landmarks.assessment import assess, measure_notes, measure_rows, weights
from landmarks.codec import decode, encode
from landmarks.collection import Person, Picture, person_of, person_parts
from landmarks.geometry import Point
from landmarks.identification import compile_tables, weigh
from landmarks.observations import Circumstances, Taken
from landmarks.own_doubt import OwnDoubt, with_own_doubt
from landmarks.picture import PictureFile
from landmarks.placing import CLICK_SIGMA_PX, Placing
from landmarks.repeats import own_doubt
from landmarks.scheme import VIEWS
from landmarks.sentences import text
from landmarks.specimen import Frame, Observation, Specimen
from landmarks.tables import read_tables
from tests.core.shells import SIZE, VALVE, ruler

GUIDE = compile_tables(read_tables())
FRAME = Frame("f", "p", "outside_of_valve", valves="single")
PICTURES = {
    "p": Picture("p", "p.jpg", PictureFile("0" * 64, 1, *SIZE), ruler()),
}
SURE = OwnDoubt(0.6, 200, 0.02, {"umbo": 4.0})


def placed(person="ann", **kinds):
    return tuple(
        Placing(f"{person}-{key}", "f", key, tuple(at), person=person, **kinds)
        for key, at in VALVE.items()
    )


def shell(placings):
    return Specimen("s", frames=(FRAME,), placings=placings)


def row(specimen, key, doubts=None):
    rows = measure_rows(specimen, PICTURES, doubts)
    return next(one for one in rows if one.key == key)


def placing_part(found):
    return found.value.by_kind()["placing"]


def test_the_budget_of_a_measure_uses_it_instead_of_the_usual_doubt():
    usual = placing_part(row(shell(placed()), "hinge_line"))
    own = placing_part(row(shell(placed()), "hinge_line", {"ann": SURE}))
    assert own / usual == approx(0.6 / CLICK_SIGMA_PX, rel=1e-6)


def test_everything_else_in_the_budget_stays():
    usual = row(shell(placed()), "hinge_line").value
    own = row(shell(placed()), "hinge_line", {"ann": SURE}).value
    assert own.value == usual.value
    for kind in usual.by_kind().keys() - {"placing"}:
        assert own.by_kind()[kind] == approx(usual.by_kind()[kind])


def test_it_is_the_doubt_of_that_landmark_where_that_is_known():
    found = with_own_doubt(placed(), {"ann": SURE})
    assert {one.landmark: one.doubt_px for one in found}["umbo"] == 4.0
    assert {one.landmark: one.doubt_px for one in found}["upper_margin"] == 0.6


def test_it_goes_with_the_zoom_and_never_below_half_a_pixel():
    for zoom, px in ((0.5, 1.2), (1.0, 0.6), (None, 0.6), (4.0, 0.5)):
        found = with_own_doubt(placed(zoom=zoom), {"ann": SURE})
        assert {one.doubt_px for one in found if one.landmark == "upper_margin"} == {px}


def test_only_what_that_person_placed_by_hand_is_meant():
    kept = (
        placed("ben"),
        placed(sigma_px=2.5),
        placed(how="proposal_accepted"),
        tuple(replace(one, points=(), reason="worn") for one in placed()),
    )
    for placings in kept:
        assert with_own_doubt(placings, {"ann": SURE}) == placings


def test_lines_and_outlines_keep_their_own_doubt():
    view = VIEWS["upper_margin"]
    line = Placing("l", "f", "margin_left", (Point(1, 2), Point(3, 4)), person="ann")
    point = Placing("p", "f", "byssal_end", (Point(1, 2),), person="ann")
    found = with_own_doubt((line, point), {"ann": SURE}, view)
    assert [one.sigma_px for one in found] == [None, 0.6]


def test_the_whole_answer_and_a_drag_take_it_alike():
    specimen = shell(placed())
    rows, shares = weights(specimen, PICTURES, GUIDE, {"ann": SURE})
    whole = assess(specimen, PICTURES, GUIDE, {"ann": SURE})
    assert rows == whole.measures
    assert shares != weights(specimen, PICTURES, GUIDE)[1]


def test_what_repeats_tell_is_kept_with_the_person_and_read_again():
    hand = np.random.default_rng(2)
    specimens = []
    for number in range(30):
        placings = []
        for occasion in ("record", "blind_repeat"):
            for key, at in VALVE.items():
                points = tuple(
                    Point(*(float(v) for v in np.array(p) + 0.8 * hand.normal(size=2)))
                    for p in at
                )
                placings.append(
                    Placing(
                        f"{number}{occasion}{key}", "f", key, points,
                        occasion=occasion, person="ann",
                    )
                )  # fmt: skip
        specimens.append(replace(shell(tuple(placings)), id=str(number)))
    found = own_doubt(specimens, "ann")
    assert isinstance(found, OwnDoubt)
    assert found.sigma == approx(0.8, abs=4 * found.error)
    person = Person("ann", "Ann", doubt=found)
    assert person_of("ann", person_parts(person)) == person
    assert decode(Person, encode(Person("ann")), "person") == Person("ann")
    usual = placing_part(row(specimens[0], "hinge_line"))
    own = placing_part(row(specimens[0], "hinge_line", {"ann": person.doubt}))
    assert own < 0.65 * usual


# -- More than 20 % doubt ----------------------------------------------------------------


def typed(sigma):
    one = Observation("o", "hinge_ratio", value=0.45, sigma=sigma, method="other")
    return Specimen("s", observations=(one,))


@pytest.mark.parametrize(("sigma", "said"), [(0.05, False), (0.089, False), (0.1, True)])
def test_a_measure_of_more_than_a_fifth_of_doubt_is_shown_so(sigma, said):
    found = row(typed(sigma), "hinge_ratio")
    assert found.doubtful is said
    notes = [note for note in measure_notes(found) if note.key == "measure.doubtful"]
    assert bool(notes) is said
    if said:
        assert "22 %" in text(notes[0])


def test_a_count_of_few_is_not_called_doubtful():
    one = Observation("o", "end_folds", value=1.0, method="other")
    assert not row(Specimen("s", observations=(one,)), "end_folds").doubtful


def test_the_more_doubtful_a_measure_the_less_it_weighs():
    """The engine widens what a cell allows by the doubt: shares come nearer to the prior."""
    numbers = sorted(
        {c.character for c in GUIDE.tables.cells} & {"hinge_ratio", "main_folds"}
    )
    assert "hinge_ratio" in numbers
    prior = np.array(weigh(GUIDE, (), Circumstances()))
    pulls = []
    for share in (0.02, 0.1, 0.2, 0.4, 1.0):
        seen = (Taken("hinge_ratio", 0.36, share * 0.36, False),)
        found = np.array(weigh(GUIDE, seen, Circumstances()))
        pulls.append(float(np.abs(found - prior).sum()))
    assert all(later < first for first, later in pairwise(pulls))
    assert pulls[-1] < 0.5 * pulls[0]
