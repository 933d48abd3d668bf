"""What a person types for a length, with or without a unit and a fraction."""

import pytest
from pytest import approx

from app.panels.lengths import distance_typed, length_typed, mm_typed
from landmarks.errors import ScaleError


@pytest.mark.parametrize(
    ("typed", "unit", "mm"),
    [
        ("150", "mm", 150.0),
        (" 152,5 ", "mm", 152.5),
        ("5 1/2", "in", 139.7),
        ("5-1/2", "in", 139.7),
        ("5\N{VULGAR FRACTION ONE HALF}", "in", 139.7),
        ("\N{VULGAR FRACTION THREE EIGHTHS}", "in", 9.525),
        ("11/16", "in", 17.4625),
        ("6 in", "mm", 152.4),
        ('5 1/2"', "mm", 139.7),
        ("5 inches", "cm", 127.0),
        ("15cm", "mm", 150.0),
        ("150 mm", "in", 150.0),
    ],
)
def test_a_length_is_read_as_it_stands_on_the_ruler(typed, unit, mm):
    assert length_typed(typed, unit) == approx(mm)
    assert distance_typed(typed, unit) == approx(mm)


@pytest.mark.parametrize(
    "typed", ["", "in", "six", "3/0", "1/2 1/2", "1//2", "5 -1/2", "nan"]
)
def test_what_is_no_length_is_none(typed):
    assert mm_typed(typed, "in") is None
    with pytest.raises(ScaleError):
        length_typed(typed, "in")
