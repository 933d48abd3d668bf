"""Published shells, laid flat beside a ruler and sent through the whole measuring code."""

import pytest
from pytest import approx

from landmarks.geometry import Point
from tests.core.shells import (
    OUTSIDE,
    PX_PER_MM,
    in_plane,
    measures,
    ruler,
    setting,
    turned_by,
)

# Each shell with its source and how that was come by.
SHELLS = [
    # Tridacna noae, neotype and two more shells: Su et al. 2014, read.
    ("T. noae, neotype", 94.4, 58.4, 0.6186),
    ("T. noae, second", 97.9, 52.5, 0.5363),
    ("T. noae, third", 87.7, 45.6, 0.5200),
    # Hippopus hippopus: read in a page that passes the figures on.
    ("H. hippopus, 153 mm", 153.0, 117.0, 0.7647),
    ("H. hippopus, 385 mm", 385.0, 250.0, 0.6494),
]


def valve(length_mm, height_mm, umbo=0.45):
    """Return the landmarks of a valve of this length and height, lying level."""
    length, height = length_mm * PX_PER_MM, height_mm * PX_PER_MM
    return {
        "byssal_end": (Point(300 + length, 200 + height / 2),),
        "ligament_end": (Point(300, 200 + height / 2),),
        "umbo": (Point(300 + (1 - umbo) * length, 200 + height),),
        "upper_margin": (Point(300 + 0.6 * length, 200),),
    }


@pytest.mark.parametrize("angle", [0.0, 0.4, 2.0])
@pytest.mark.parametrize(("shell", "length_mm", "height_mm", "ratio"), SHELLS)
def test_a_published_shell_has_its_published_ratio(
    shell, length_mm, height_mm, ratio, angle
):
    """In any position, and with a ruler from which its millimetres come back too."""
    flat = in_plane(OUTSIDE)
    where = setting(width=4000, height=3000)
    found = measures(where, turned_by(valve(length_mm, height_mm), angle), flat)
    value = found["height_ratio"].value
    assert value.value == approx(ratio, abs=5e-5)  # half of the last printed digit
    assert found["shell_length"].value.value == approx(length_mm, abs=1e-6)  # mm
    assert found["shell_height"].value.value == approx(height_mm, abs=1e-6)  # mm
    # What a careful click and a hand-held camera leave: half to two per cent.
    assert 0.002 < value.relative < 0.02


@pytest.mark.parametrize(("shell", "length_mm", "height_mm", "ratio"), SHELLS)
def test_a_published_ratio_needs_no_ruler(shell, length_mm, height_mm, ratio):
    where = setting(width=4000, height=3000, scale=None, camera_distance_mm=None)
    found = measures(where, valve(length_mm, height_mm), in_plane(OUTSIDE))
    assert found["height_ratio"].value.value == approx(ratio, abs=5e-5)
    assert found["shell_length"].lacks == ("scale",)


def test_a_ruler_read_one_per_cent_too_long_moves_millimetres_and_no_ratio():
    where = setting(width=4000, height=3000, scale=ruler(length_mm=1.01 * 125))
    found = measures(where, valve(94.4, 58.4), in_plane(OUTSIDE))
    assert found["shell_length"].value.value == approx(1.01 * 94.4)
    assert found["height_ratio"].value.value == approx(0.6186, abs=5e-5)
