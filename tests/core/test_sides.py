"""Left or right: told from four landmarks, whichever way the picture is turned."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from landmarks.geometry import Point
from landmarks.placing import Placing
from landmarks.sentences import text
from landmarks.sides import contradiction, valve_of
from landmarks.specimen import Frame
from tests.core.shells import VALVE, placings, turned_by, turns, valves

LEFT_OUTSIDE = {key: at for key, at in VALVE.items() if len(at) == 1}


def placed(points):
    return {one.landmark: one for one in placings(points)}


def mirrored(points):
    return {key: tuple(Point(1800 - p.x, p.y) for p in at) for key, at in points.items()}


@given(valves, turns)
def test_a_left_valve_is_left_whichever_way_the_picture_is_turned(points, angle):
    """Outside towards you, upper margin up, ligament end at your left: a left valve."""
    turned = turned_by(points, angle)
    assert valve_of(placed(turned), "outside_of_valve") == "left_valve"
    assert valve_of(placed(turned), "inside_of_valve") == "right_valve"
    assert valve_of(placed(mirrored(turned)), "outside_of_valve") == "right_valve"
    assert valve_of(placed(mirrored(turned)), "inside_of_valve") == "left_valve"


@pytest.mark.parametrize(
    "keys",
    [
        ("byssal_end", "ligament_end", "umbo", "upper_margin"),
        ("byssal_end", "ligament_end", "umbo"),
        ("byssal_end", "ligament_end", "upper_margin"),
        ("hinge_byssal", "hinge_ligament", "upper_margin"),
        ("hinge_byssal", "hinge_ligament", "umbo", "upper_margin"),
    ],
)
def test_three_landmarks_are_enough(keys):
    some = {key: LEFT_OUTSIDE[key] for key in keys}
    if keys == ("byssal_end", "ligament_end", "upper_margin"):
        some["upper_margin"] = (Point(910, 100),)
    assert valve_of(placed(some), "outside_of_valve") == "left_valve"


@pytest.mark.parametrize(
    "keys", [(), ("umbo", "upper_margin"), ("byssal_end", "ligament_end"), ("byssal_end",)]
)
def test_too_few_tell_nothing(keys):
    some = {key: LEFT_OUTSIDE[key] for key in keys}
    assert valve_of(placed(some), "outside_of_valve") is None


def test_ends_and_hinge_that_contradict_each_other_tell_nothing():
    odd = LEFT_OUTSIDE | {
        "hinge_byssal": LEFT_OUTSIDE["hinge_ligament"],
        "hinge_ligament": LEFT_OUTSIDE["hinge_byssal"],
    }
    assert valve_of(placed(odd), "outside_of_valve") is None


@given(st.sampled_from(["hinge_edge", "upper_margin", "living_from_above", "by_sonar", ""]))
def test_other_views_show_no_side(view):
    assert valve_of(placed(LEFT_OUTSIDE), view) is None


def test_a_landmark_that_cannot_be_placed_is_no_point():
    some = placed(LEFT_OUTSIDE) | {"umbo": Placing("u", "f", "umbo", reason="worn")}
    assert valve_of(some, "outside_of_valve") == "left_valve"


def test_a_mirrored_picture_is_noticed_and_a_right_one_is_not():
    frame = Frame("f", "p", "outside_of_valve", part="left_valve")
    assert contradiction(frame, placed(LEFT_OUTSIDE)) is None
    said = text(contradiction(frame, placed(mirrored(LEFT_OUTSIDE))))
    assert said.startswith(
        "Recorded as left valve, but the landmarks lie as in a right valve"
    )


@pytest.mark.parametrize("part", ["", "valve", "joined_pair", "fragment", "by_sonar"])
def test_where_no_side_is_recorded_none_is_contradicted(part):
    frame = Frame("f", "p", "outside_of_valve", part=part)
    assert contradiction(frame, placed(mirrored(LEFT_OUTSIDE))) is None
