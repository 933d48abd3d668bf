"""Two margins in one picture: the measures with their noise floor, and the drawn profile."""

import numpy as np
import pytest
from pytest import approx

from landmarks.geometry import Point
from landmarks.instruments.margins import TOLD, compare
from landmarks.measures import Measured, Missing
from tests.core.shells import placings, setting

SIGMA_PX = 1.5


def pair(rng=None, *, shift=0.0, gap=0.0, open_from=2.0):
    """Return a pair from above; from a share of its length on, a gap in its margins."""
    x = np.linspace(300, 1500, 160)
    wave = 2 * np.pi * 5 * (x - 300) / 1200
    half = np.where((x - 300) / 1200 > open_from, gap / 2, 0.0)

    def line(y):
        noise = rng.normal(0, SIGMA_PX, len(x)) if rng is not None else 0.0
        return tuple(Point(float(a), float(b)) for a, b in zip(x, y + noise, strict=True))

    return {
        "byssal_end": (Point(1500, 600),),
        "ligament_end": (Point(300, 600),),
        "margin_left": line(600 + 30 * np.sin(wave) - half),
        "margin_right": line(600 + 30 * np.sin(wave + 2 * np.pi * shift) + half),
    }


def test_a_closed_pair_cannot_be_told_from_a_perfect_fit():
    rng = np.random.default_rng(7)
    told = [
        compare(setting(), placings(pair(rng))).from_zero("margin_fit") for _ in range(20)
    ]
    assert sum(told) <= 6


def test_a_mirrored_pair_is_told_from_a_perfect_fit():
    found = compare(setting(), placings(pair(np.random.default_rng(7), shift=0.5)))
    assert found.from_zero("margin_fit")
    assert found.row("margin_fit").value.value > 10 * found.row("margin_fit").floor


@pytest.mark.parametrize("share", [0.2, 0.5])
def test_the_gap_is_drawn_where_it_is_and_its_share_measured(share):
    lines = pair(np.random.default_rng(7), gap=40.0, open_from=1 - share)
    found = compare(setting(), placings(lines))
    assert found.row("gap_length_share").value.value == approx(share, abs=0.04)
    assert np.mean(found.profile.gap) == approx(share, abs=0.04)
    # From the byssal end, which is where this pair gapes.
    half = len(found.profile.gap) // 2
    assert found.profile.gap[:half].mean() > found.profile.gap[half:].mean()
    assert found.profile.noise == approx(SIGMA_PX * 2**0.5, rel=0.4)


def test_the_share_of_a_gap_knows_its_doubt():
    """A gap that grows little by little, clicked again and again; and a shut pair.

    Its doubt is the spread of the clickings, its 95 % hold, its mean is not shifted; on a
    shut pair no gap is told, and the bound that is said holds.
    """
    rng = np.random.default_rng(3)
    lines = {key: at[::3] if len(at) > 1 else at for key, at in pair().items()}
    n = len(lines["margin_left"])
    wide = np.linspace(-30.0, 60.0, n).clip(0.0)

    def clicked(gap):
        moved = dict(lines)
        for key, side in (("margin_left", -0.5), ("margin_right", 0.5)):
            off = rng.normal(0.0, SIGMA_PX, (n, 2)) + np.outer(side * gap, (0.0, 1.0))
            moved[key] = tuple(
                Point(x + a, y + b) for (x, y), (a, b) in zip(lines[key], off, strict=True)
            )
        return compare(setting(), placings(moved)).row("gap_length_share")

    found = [clicked(wide) for _ in range(80)]
    values = np.array([one.value.value for one in found])
    # Two thirds of the margin gape, less what lies within three doubts of shut.
    noise = compare(setting(), placings(lines)).profile.noise
    share = 2 / 3 * (1 - 3 * noise / 60)
    assert values.mean() == approx(share, abs=0.01)
    placed = np.sqrt(np.mean([one.value.by_kind()["placing"] ** 2 for one in found]))
    assert placed == approx(values.std(ddof=1), rel=0.25)
    held = [abs(one.value.value - share) <= 1.96 * one.value.sigma for one in found]
    assert np.mean(held) >= 0.9
    shut = [clicked(0 * wide) for _ in range(20)]
    assert sum(one.value.value >= one.floor for one in shut) == 0
    assert max(one.floor for one in shut) < 0.15


def test_it_can_be_drawn_without_a_scale():
    found = compare(setting(scale=None), placings(pair()))
    assert found.profile is not None
    assert isinstance(found.row("margin_fit"), Measured)


def test_what_lacks_is_said():
    lines = {key: at for key, at in pair().items() if key != "margin_right"}
    found = compare(setting(), placings(lines))
    assert found.profile is None
    assert [type(row) for row in found.rows] == [Missing] * len(TOLD)
    assert all("margin_right" in row.lacks for row in found.rows)
    assert found.from_zero("margin_fit") is None


def test_lines_that_do_not_lie_beside_each_other_have_no_profile():
    lines = pair()
    aside = tuple(Point(p.x + 1400, p.y) for p in lines["margin_right"])
    assert compare(setting(), placings({**lines, "margin_right": aside})).profile is None
