"""The edge trace: cheapest ways, edges that are known exactly, clicks that stay clicks."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx
from scipy.ndimage import gaussian_filter
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra

from landmarks.geometry import Box, Point, area, distance
from landmarks.instruments.edges import WINDOW_PX, crop_of, edge_map, window
from landmarks.instruments.likeness import learned
from landmarks.instruments.reach import reach, reaching
from landmarks.instruments.trace import (
    Anchor,
    approaching,
    corrected,
    edges_in,
    follow,
    from_anchor,
    live,
    snapped,
    trace,
)

# -- Cheapest ways ----------------------------------------------------------------------


def textbook(costs, start):
    """Return Dijkstra's costs by scipy, over the same steps."""
    rows, columns = costs.shape
    index = np.arange(rows * columns).reshape(rows, columns)
    parts = []
    for down, right, length in ((0, 1, 1), (1, 0, 1), (1, 1, 2**0.5), (1, -1, 2**0.5)):
        left = max(0, -right)
        a = slice(0, rows - down), slice(left, columns - max(0, right))
        b = slice(down, rows), slice(left + right, columns + min(0, right))
        step = length * (costs[a] + costs[b]) / 2
        parts.append((index[a].ravel(), index[b].ravel(), step.ravel()))
    i, j, value = (np.concatenate(part) for part in zip(*parts, strict=True))
    graph = coo_matrix((value, (i, j)), shape=(rows * columns,) * 2)
    found = dijkstra(graph, directed=False, indices=index[start])
    return found.reshape(rows, columns)


@settings(max_examples=25)
@given(st.integers(0, 2**20), st.integers(2, 40), st.integers(2, 40))
def test_ways_are_as_cheap_as_dijkstras(seed, rows, columns):
    rng = np.random.default_rng(seed)
    costs = (rng.random((rows, columns)) ** 5 * 40 + 0.9).astype(np.float32)
    start = int(rng.integers(rows)), int(rng.integers(columns))
    found = reach(costs, start)
    assert found.total == approx(textbook(costs.astype(float), start), rel=1e-9)
    end = int(rng.integers(rows)), int(rng.integers(columns))
    way = found.way_to(end)
    assert (way[0], way[-1]) == (start, end)
    spent = sum(
        np.hypot(a[0] - b[0], a[1] - b[1]) * (float(costs[a]) + float(costs[b])) / 2
        for a, b in pairwise(way)
    )
    assert spent == approx(found.total[end], rel=1e-6)


def test_a_labyrinth_is_walked_to_its_end():
    costs = np.full((41, 41), 1000.0, np.float32)
    for row in range(0, 41, 4):
        costs[row] = 1.0
        costs[row : row + 4, 40 if row % 8 == 0 else 0] = 1.0
    found = reach(costs, (0, 0))
    assert found.total == approx(textbook(costs.astype(float), (0, 0)), rel=1e-9)


def test_unfinished_ways_only_grow_cheaper():
    costs = np.random.default_rng(2).random((60, 80)).astype(np.float32) + 0.1
    totals = [one.total.copy() for one in reaching(costs, (30, 10))]
    assert len(totals) > 1
    for before, after in pairwise(totals):
        assert (after <= before + 1e-9).all()


# -- Known edges ------------------------------------------------------------------------
CENTRE, AXES = Point(310.3, 240.7), (190.0, 130.0)


def on_ellipse(share, scale=1.0):
    angle = 2 * np.pi * share
    return Point(
        CENTRE.x + scale * AXES[0] * np.cos(angle),
        CENTRE.y + scale * AXES[1] * np.sin(angle),
    )


def off_ellipse(points, scale=1.0):
    """Return how far points lie from the ellipse, roughly, in pixels; outwards positive."""
    x, y = (np.array(points) - CENTRE).T
    size = np.hypot(x / AXES[0], y / AXES[1])
    return (size - scale) * np.hypot(x, y) / size


def ellipse(noise=4.0, scale=1.0, finer=4):
    """Return a pale ellipse on dark ground, its edge exact to a fraction of a pixel."""
    y, x = np.mgrid[0 : 480 * finer, 0 : 640 * finer]
    x, y = (x + 0.5) / finer - CENTRE.x, (y + 0.5) / finer - CENTRE.y
    inside = np.hypot(x / AXES[0], y / AXES[1]) < scale
    share = inside.reshape(480, finer, 640, finer).mean((1, 3))
    rng = np.random.default_rng(6)
    light = gaussian_filter(60 + 120 * share, 0.8) + rng.normal(0, noise, share.shape)
    return np.repeat(np.clip(light, 0, 255).astype(np.uint8)[..., None], 3, axis=2)


@pytest.fixture(scope="module")
def picture():
    return ellipse()


@pytest.fixture(scope="module")
def outline(picture):
    clicks = [Anchor(on_ellipse(k / 4), snap=True) for k in range(4)]
    return follow(crop_of(picture), clicks, closed=True)


def test_four_clicks_follow_an_ellipse_to_a_fraction_of_a_pixel(outline):
    off = off_ellipse(outline.points)
    assert np.sqrt(np.mean(off**2)) < 0.5
    assert abs(off.mean()) < 0.15
    assert area(outline.points) == approx(np.pi * AXES[0] * AXES[1], rel=0.003)


def test_a_closed_line_comes_back_and_repeats_no_point(outline):
    assert outline.closed
    assert len(outline.legs) == len(outline.anchors) == 4
    assert distance(outline.points[0], outline.points[-1]) < 2
    assert max(distance(a, b) for a, b in pairwise(outline.points)) < 3


def test_the_same_clicks_give_the_same_line(picture, outline):
    clicks = [Anchor(on_ellipse(k / 4), snap=True) for k in range(4)]
    assert follow(crop_of(picture), clicks, closed=True) == outline


def test_first_clicks_go_to_the_edge_and_corrections_stay(picture, outline):
    beside = on_ellipse(0.1, 1.02)
    edges = edges_in(crop_of(picture), Box(200, 100, 400, 300), 1)
    gone_to = abs(off_ellipse([snapped(edges, beside)])[0])
    assert gone_to < 0.5 * abs(off_ellipse([beside])[0])
    made = corrected(crop_of(picture), outline, beside)
    assert made.anchors[1].point == beside
    assert beside in made.points
    assert made.legs[2:] == outline.legs[1:]


def test_where_there_is_no_edge_a_click_stays_where_it_was():
    plain = np.full((100, 100, 3), 128, np.uint8)
    at = Point(40.2, 61.7)
    assert snapped(edge_map(plain), at) == at


def test_a_plain_click_is_a_straight_line(picture):
    a, b = on_ellipse(0.0), on_ellipse(0.25)
    made = follow(crop_of(picture), [Anchor(a), Anchor(b, plain=True)])
    assert made.points == (a, b)


def test_the_line_while_pointing_runs_from_anchor_to_pointer(picture):
    a, b = on_ellipse(0.02), on_ellipse(0.2)
    box, step = window(a, b)
    edges = edges_in(crop_of(picture), box, step)
    shown = live(edges, from_anchor(edges, a), b)
    assert distance(shown[0], a) <= step
    assert distance(shown[-1], b) <= step
    assert np.sqrt(np.mean(off_ellipse(shown) ** 2)) < 1.5 * step
    *_, last = approaching(edges, a)
    assert live(edges, last, b) == shown


@pytest.mark.parametrize("reach_px", [10.0, 300.0, 900.0, 7000.0])
def test_a_window_is_never_larger_than_it_may_be(reach_px):
    box, step = window(Point(100, 100), Point(100 + reach_px, 130))
    assert max(box.width, box.height) / step <= WINDOW_PX
    assert box.holds(Point(100, 100))
    assert box.holds(Point(100 + reach_px, 130))


def test_a_large_picture_is_read_in_windows_only(picture):
    whole = crop_of(picture.repeat(4, axis=0).repeat(4, axis=1))
    largest = []

    def crop(box, step):
        pixels, origin = whole(box, step)
        largest.append(max(pixels.shape[:2]))
        return pixels, origin

    def large(share):
        return Point(*(4 * value for value in on_ellipse(share)))

    made = follow(crop, [Anchor(large(k / 6)) for k in range(6)], closed=True)
    assert max(largest) <= WINDOW_PX
    off = off_ellipse([Point(p.x / 4, p.y / 4) for p in made.points])
    assert np.sqrt(np.mean(off**2)) < 0.5


def test_clicks_at_the_border_and_on_one_spot_are_no_trouble(picture):
    crop = crop_of(picture)
    corner = follow(crop, [Anchor(Point(0, 0)), Anchor(Point(639.9, 479.9))])
    assert (corner.points[0], corner.points[-1]) == (Point(0, 0), Point(639.9, 479.9))
    assert len(follow(crop, [Anchor(Point(9, 9))] * 2).points) == 2
    assert follow(crop, [Anchor(Point(9, 9))]).points == ()
    assert trace(crop, [Anchor(Point(9, 9))], closed=True).points == ()


# -- What a line teaches ----------------------------------------------------------------


@pytest.fixture(scope="module")
def shadowed():
    """An ellipse with a dark band on it that is a stronger edge than its own outline."""
    rng = np.random.default_rng(4)
    y, x = np.mgrid[0:480, 0:640]
    size = np.hypot((x + 0.5 - CENTRE.x) / AXES[0], (y + 0.5 - CENTRE.y) / AXES[1])
    tone = np.empty((480, 640, 3))
    tone[:] = (150, 150, 158)
    tone[size < 1] = (196, 172, 130)
    tone[(size < 0.90) & (size > 0.84)] = (70, 60, 45)
    tone = gaussian_filter(tone, (0.8, 0.8, 0)) + rng.normal(0, 5, (480, 640, 1))
    return np.clip(tone, 0, 255).astype(np.uint8)


def unheld(crop, sides=None):
    """Return the ways between four clicks by the edge map alone, whatever the clicks tell."""
    found = []
    for k in range(4):
        a, b = on_ellipse(k / 4), on_ellipse((k + 1) / 4)
        edges = edges_in(crop, *window(a, b), sides)
        found += live(edges, from_anchor(edges, a), b)
    return np.abs(off_ellipse(found))


def test_a_line_learns_which_of_two_edges_parts_shell_and_ground(shadowed):
    crop = crop_of(shadowed)
    assert np.mean(unheld(crop) > 6) > 0.3, "the band is meant to mislead"
    traced = follow(crop, [Anchor(on_ellipse(k / 16)) for k in range(16)], closed=True)
    better = unheld(crop, learned(crop, traced.points, closed=True))
    assert np.mean(better > 6) < 0.05
    assert np.median(better) < 1.0


def test_clicks_tell_which_of_two_edges_is_meant(shadowed):
    for scale, share in ((1.0, 0.02), (0.90, 0.1), (0.84, 0.1)):
        clicks = [Anchor(on_ellipse(k / 4, scale)) for k in range(4)]
        line = follow(crop_of(shadowed), clicks, closed=True)
        off = np.abs(off_ellipse(line.points, scale))
        assert np.mean(off > 3) < share, scale


def test_sides_are_told_apart_and_turn_with_the_way_one_walks(picture, outline):
    taught = learned(crop_of(picture), outline.points, closed=True)
    # Walking clockwise on screen (y down), the inside lies to the right.
    inside = taught.odds.strength[taught.odds.pixel(CENTRE)]
    outside = taught.odds.strength[taught.odds.pixel(on_ellipse(0.1, 1.1))]
    assert inside > 1 > -1 > outside
    assert taught.brighter_right > 0.9
    back = learned(crop_of(picture), outline.points[::-1], closed=True)
    assert back.odds.strength[back.odds.pixel(CENTRE)] < -1
    assert back.brighter_right < 0.1


def test_too_short_a_line_teaches_nothing(picture):
    assert learned(crop_of(picture), [Point(5, 5), Point(9, 9)]) is None


def test_near_clicks_hold_a_line_beside_a_stronger_edge():
    """Two edges a dozen pixels apart: the clicks lie on the weaker one."""
    light = np.full((300, 600), 200.0)
    light[150:] -= 25
    light[162:] -= 120
    rng = np.random.default_rng(4)
    light = gaussian_filter(light, 0.8) + rng.normal(0, 3.0, light.shape)
    crop = crop_of(np.repeat(light.astype(np.uint8)[..., None], 3, axis=2))
    ends = [Anchor(Point(50, 150)), Anchor(Point(550, 150))]
    off = []
    for n in (0, 3, 7):
        between = [Anchor(Point(50 + 500 * k / (n + 1), 150)) for k in range(1, n + 1)]
        line = follow(crop, [ends[0], *between, ends[1]])
        off.append(float(np.sqrt(np.mean([(p.y - 150) ** 2 for p in line.points]))))
    assert off[0] > 8
    assert all(b < a for a, b in pairwise(off))
    assert off[-1] < 1.0


@pytest.fixture(scope="module")
def two_rims():
    """A wavy rim that is meant, a sharper one inside it, and grain."""
    x = np.arange(700) + 0.5
    rim = 150 + 12 * np.sin(x / 45)
    y = np.arange(320)[:, None] + 0.5
    rng = np.random.default_rng(9)
    light = 170 - 35.0 * (y > rim) - 110.0 * (y > 178 + 4 * np.sin(x / 30))
    light = gaussian_filter(light, 0.9) + gaussian_filter(
        rng.normal(0, 9, light.shape), 0.8
    )
    pixels = np.clip(light, 0, 255).astype(np.uint8)
    return crop_of(np.repeat(pixels[..., None], 3, axis=2)), x, rim


def test_a_click_where_a_line_is_off_most_never_makes_it_worse(two_rims):
    crop, x, rim = two_rims
    rng = np.random.default_rng(31)

    def off_at(line):
        points = np.array(sorted(line.points))
        return np.abs(np.interp(x, *points.T) - rim)[20:680]

    worse, last = [], []
    for _ in range(2):
        line = trace(crop, [Anchor(Point(x[k], rim[k])) for k in (20, 350, 680)])
        off = off_at(line)
        for _ in range(6):
            at = 20 + int(np.argmax(off))
            click = Point(*(np.array([x[at], rim[at]]) + rng.normal(0, 0.7, 2)))
            line, before = corrected(crop, line, click), np.sqrt(np.mean(off**2))
            off = off_at(line)
            worse.append(np.sqrt(np.mean(off**2)) - before)
        last.append(np.sqrt(np.mean(off**2)))
    assert np.median(worse) <= 0
    assert max(worse) < 0.5
    assert max(last) < 2.0
