"""Series: whatever the order of clicking, the guide decides; scutes are pairs of edges."""

from contextlib import closing
from dataclasses import replace
from itertools import pairwise
from math import cos, hypot, pi, sin
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from landmarks.changes import ChangeSet, Document, difference
from landmarks.codec import decode, encode
from landmarks.documents import read_record, write_record
from landmarks.geometry import Point, turned
from landmarks.instruments.series import (
    Scute,
    beside,
    gaps,
    ordered,
    place_of,
    scutes_of,
)
from landmarks.placing import Placing, edges_of, point_moved, point_taken
from landmarks.sentences import Sentence, text
from landmarks.specimen import Frame, Specimen, parts_of, specimen_of
from landmarks.storage import open_sqlite
from landmarks.storage.folder import restore_folder, write_folder
from landmarks.storage.telling import history_rows

ARC = tuple(
    Point(500 + 400 * cos(a), 500 - 400 * sin(a)) for a in (pi * k / 60 for k in range(61))
)
"""A mantle edge: half a circle from the right over the top to the left."""


def on_arc(share, off=0.0):
    radius = 400 + off
    return Point(500 + radius * cos(pi * share), 500 - radius * sin(pi * share))


@given(st.permutations(range(12)), st.integers(0, 2**30))
def test_points_come_out_in_the_order_of_the_guide(order, seed):
    chance = Random(seed)
    eyes = [on_arc((k + 0.5) / 12, chance.uniform(-25, 25)) for k in range(12)]
    assert ordered([eyes[k] for k in order], ARC) == tuple(eyes)


def test_without_a_guide_the_order_of_clicking_stands():
    points = (Point(5, 5), Point(1, 1), Point(3, 3))
    assert ordered(points) == points
    assert place_of(points, Point(0, 0)) == 3


def test_a_forgotten_point_joins_where_it_belongs():
    eyes = [on_arc(share) for share in (0.1, 0.3, 0.7, 0.9)]
    assert place_of(eyes, on_arc(0.5, 8), ARC) == 2
    assert place_of(eyes, on_arc(0.05), ARC) == 0
    assert place_of(eyes, on_arc(0.95), ARC) == 4


def test_a_guide_goes_on_straight_beyond_its_ends():
    guide = (Point(0, 0), Point(100, 0))
    assert beside(guide, Point(-20, 5)).along == approx(-20)
    assert beside(guide, Point(130, -5)).along == approx(130)
    assert beside(guide, Point(130, -5)).aside == approx(-5)


@given(st.floats(0, 6.28), st.floats(0.02, 0.98), st.floats(-30, 30))
def test_places_do_not_turn_with_the_picture(angle, share, off):
    point, about = on_arc(share, off), Point(310, 220)
    plain = beside(ARC, point)
    there = beside(turned(ARC, angle, about), turned([point], angle, about)[0])
    # Inside the bend of a corner two legs are equally near: rounding chooses between places
    # that lie 30 px times the turn of a corner apart.
    assert there.along == approx(plain.along, abs=30 * pi / 60 + 1e-6)
    assert there.aside == approx(plain.aside, abs=1e-6)


def test_a_guide_of_one_spot_is_no_guide():
    assert beside((Point(3, 3), Point(3, 3)), Point(9, 9)).along == 0


# -- Scutes -----------------------------------------------------------------------------

CREST = (Point(100, 900), Point(100, 100))
"""The crest of a fold, from the umbo below to the margin above."""


def scute(level, half=20.0):
    return Point(100 - half, level), Point(100 + half, level)


def test_each_scute_is_two_clicks_in_either_order_wherever_one_begins():
    low, middle, high = scute(800), scute(600), scute(300)
    found = scutes_of([*high, *reversed(low), *middle], CREST)
    assert found.scutes == (Scute(*low), Scute(*middle), Scute(*high))
    assert found.waiting is None
    assert [one.width for one in found.scutes] == [40, 40, 40]
    assert gaps(found.scutes, CREST) == approx((200, 300))
    assert gaps(found.scutes) == approx((200, 300))


def test_an_odd_click_waits_for_its_other_edge():
    found = scutes_of([*scute(800), scute(600)[0]], CREST)
    assert len(found.scutes) == 1
    assert found.waiting == scute(600)[0]
    assert found.next_edge == "second"
    assert scutes_of([], CREST).next_edge == "first"


@pytest.mark.parametrize("clicks", [0, 1, 2, 7])
def test_no_click_is_lost(clicks):
    chance = Random(clicks)
    points = [Point(chance.uniform(0, 200), chance.uniform(0, 900)) for _ in range(clicks)]
    found = scutes_of(points, CREST)
    kept = [edge for one in found.scutes for edge in (one.left, one.right)]
    kept += [found.waiting] if found.waiting else []
    assert sorted(kept) == sorted(points)


def test_gaps_follow_a_bent_guide():
    pairs = [(on_arc(share, -15), on_arc(share, 15)) for share in (0.2, 0.4, 0.6)]
    found = scutes_of([edge for pair in pairs for edge in pair], ARC)
    chord = hypot(*(a - b for a, b in zip(on_arc(0.2), on_arc(0.4), strict=True)))
    assert gaps(found.scutes, ARC) == approx((0.2 * pi * 400, 0.2 * pi * 400), rel=0.002)
    assert gaps(found.scutes)[0] == approx(chord, rel=1e-6)


# -- Their edges in the record ----------------------------------------------------------

EDGES = (*scute(800), *scute(600), *scute(300))
MIDDLES = (Point(100, 800), Point(100, 600), Point(100, 300))
SCUTES = Placing("s", "outside", "scutes", MIDDLES, clicks=EDGES)


def test_a_record_of_before_knows_no_edges_and_one_of_today_comes_back_the_same():
    older = Placing("s", "outside", "scutes", MIDDLES)
    assert "clicks" not in encode(older), "a default is not written: older files are alike"
    assert decode(Placing, encode(older)) == older
    assert edges_of(older) == (None, None, None)
    frames = (Frame("outside", "p", "outside_of_valve"),)
    specimen = Specimen("shell", frames=frames, placings=(SCUTES,))
    written = write_record(specimen)
    assert read_record(written)[0].placings == (SCUTES,)
    assert edges_of(SCUTES) == (scute(800), scute(600), scute(300))


@given(
    st.lists(st.tuples(*[st.floats(0, 1e5)] * 4), max_size=6, unique=True),
    st.data(),
)
def test_edges_go_where_their_scute_goes(pairs, data):
    clicks = tuple(Point(*at) for a, b, c, d in pairs for at in ((a, b), (c, d)))
    points = tuple(one.middle for one in scutes_of(clicks).scutes)
    one = Placing("s", "outside", "scutes", points, clicks=clicks)
    assert None not in edges_of(one)
    for _ in range(2 if points else 0):
        index = data.draw(st.integers(0, len(points) - 1))
        to = Point(*data.draw(st.tuples(st.floats(0, 1e5), st.floats(0, 1e5))))
        one = point_moved(one, index, to)
        assert one.points[index] == to
        assert None not in edges_of(one)
    while one.points:
        one = point_taken(one, data.draw(st.integers(0, len(one.points) - 1)))
        assert len(one.clicks) == 2 * len(one.points)


def test_edges_that_no_longer_fit_are_let_go():
    # Another program moved a point and knew nothing of the edges, or wrote half a pair.
    stale = Placing(
        "s", "outside", "scutes", (MIDDLES[0], Point(140, 610)), clicks=EDGES[:5]
    )
    assert edges_of(stale) == (scute(800), None)
    assert point_moved(stale, 1, Point(90, 90)).clicks == EDGES[:2]
    assert point_taken(stale, 0).clicks == ()
    # What would lie beside the picture cannot have been clicked.
    beside_it = point_moved(SCUTES, 1, Point(10, 600), (200, 900))
    assert beside_it.points[1] == Point(10, 600)
    assert edges_of(beside_it) == (scute(800), None, scute(300))


def test_edges_pass_through_store_history_folder_and_check(store, tmp_path):
    here = Document("specimen", "shell")
    frames = (Frame("outside", "", "outside_of_valve"),)
    bare = Specimen("shell", frames=frames)
    wider = replace(SCUTES, clicks=(*scute(800, 24.0), *EDGES[2:]))
    states = (None, bare, bare.with_one(SCUTES), bare.with_one(wider))
    for n, (old, new) in enumerate(pairwise(states)):
        before, after = (parts_of(one) if one else {} for one in (old, new))
        deed = Sentence("deed.set_label")
        store.commit(ChangeSet(f"{n}", deed, difference(here, before, after)))
    # The middles are where they were: only the edges tell what was changed.
    (told,) = history_rows(store.history(here), [], {})[0].changes
    assert text(told.what) == "scutes on the middle fold"
    assert "clicked edges: [[76,800],[124,800]" in text(told.after)
    write_folder(store, tmp_path / "folder")
    restore_folder(tmp_path / "folder", tmp_path / "again.hingeline")
    with closing(open_sqlite(tmp_path / "again.hingeline")) as other:
        (back,) = specimen_of("shell", other.load(here)[here].parts).placings
        assert edges_of(back) == edges_of(wider) == (scute(800, 24), *edges_of(SCUTES)[1:])
        assert other.check() == ()


def test_edges_of_more_scutes_than_a_shell_has_are_not_looked_through():
    middles = tuple(Point(float(k), 0.0) for k in range(20_000))
    clicks = tuple(Point(at.x, y) for at in reversed(middles) for y in (-1.0, 1.0))
    strange = Placing("s", "f", "scutes", middles, clicks=clicks)
    assert edges_of(strange) == (None,) * len(middles)
