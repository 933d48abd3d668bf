"""How much a history weighs: long outlines are rounded, packed and stored once."""

import random
import sqlite3
from contextlib import closing
from dataclasses import replace
from math import cos, pi, sin

from hypothesis import given
from hypothesis import strategies as st

from landmarks.changes import ChangeSet, Document, difference, reverse
from landmarks.geometry import Point
from landmarks.placing import Placing
from landmarks.sentences import Sentence
from landmarks.specimen import Frame, Specimen, parts_of
from landmarks.storage import Saved, open_sqlite
from landmarks.storage.packing import (
    LONG_TEXT,
    hash_of,
    packed,
    read_text,
    settled,
    unpacked,
)
from tests import strategies as some

SHELL = Document("specimen", "s")
N_POINTS = 2000
MOST_KB = 300  # Design section 9: 24 gestures on a traced shell.


def traced(chance):
    """The margin of a shell as an edge trace gives it: wavy, with half a pixel of noise."""
    turns = [2 * pi * n / N_POINTS for n in range(N_POINTS)]
    return tuple(
        Point(
            3000 + (1800 + 90 * sin(11 * t)) * cos(t) + chance.gauss(0, 0.5),
            2000 + (1100 + 60 * sin(11 * t)) * sin(t) + chance.gauss(0, 0.5),
        )
        for t in turns
    )


def pushed(outline, chance):
    """The outline after a stretch of 200 points was dragged a little."""
    start = chance.randrange(N_POINTS - 200)
    shift = chance.gauss(0, 8)
    return tuple(
        Point(x + shift * sin(pi * (n - start) / 200), y)
        if start <= n < start + 200
        else one
        for n, one in enumerate(outline)
        for x, y in (one,)
    )


def kilobytes(path):
    return path.stat().st_size / 1000


def test_24_gestures_on_a_traced_shell_weigh_at_most_300_kb(tmp_path):
    chance = random.Random(4)
    path = tmp_path / "traced.hingeline"
    margin = Placing("m", "f", "margin", traced(chance))
    shell = Specimen("s", frames=(Frame("f", "", "outside_of_valve"),), placings=(margin,))
    with closing(open_sqlite(path, create=True)) as store:
        store.commit(_deed("0", {}, parts_of(shell)))
    begin = kilobytes(path)
    with closing(open_sqlite(path)) as store:
        for n in range(1, 25):
            margin = replace(margin, points=pushed(margin.points, chance))
            changed = shell.with_one(margin)
            answer = store.commit(_deed(str(n), parts_of(shell), parts_of(changed)))
            assert isinstance(answer, Saved)
            shell = changed
        assert store.check() == ()
        assert len(store.history(SHELL)) == 25
    assert kilobytes(path) - begin <= MOST_KB


def test_gestures_that_leave_the_outline_alone_weigh_next_to_nothing(tmp_path):
    path = tmp_path / "traced.hingeline"
    margin = Placing("m", "f", "margin", traced(random.Random(4)))
    shell = Specimen("s", placings=(margin,))
    with closing(open_sqlite(path, create=True)) as store:
        store.commit(_deed("0", {}, parts_of(shell)))
    begin = kilobytes(path)
    with closing(open_sqlite(path)) as store:
        for n in range(1, 25):
            changed = shell.with_one(Placing("u", "f", "umbo", (Point(n, n),)))
            store.commit(_deed(str(n), parts_of(shell), parts_of(changed)))
            shell = changed
    assert kilobytes(path) - begin <= 24  # One kilobyte each: id, name and both points.


def test_an_outline_that_comes_back_is_stored_once(tmp_path):
    path = tmp_path / "traced.hingeline"
    shell = Specimen("s", placings=(Placing("m", "f", "margin", traced(random.Random(4))),))
    last = _deed("0", {}, parts_of(shell))
    with closing(open_sqlite(path, create=True)) as store:
        store.commit(last)
        for n in range(6):
            last = reverse(last, id=f"u{n}", person="", at="")
            assert isinstance(store.commit(last), Saved)
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT count(*) FROM blobs").fetchone() == (1,)


def _deed(name, before, after):
    words = Sentence("plain", {"words": "trace"})
    return ChangeSet(name, words, difference(SHELL, before, after))


def outline(seed):
    """A few hundred points anywhere, to the last digit of a float."""
    chance = random.Random(seed)
    n_points = chance.randrange(200, 400)
    return [[chance.uniform(-9, 20_000) for _ in "xy"] for _ in range(n_points)]


long_outlines = st.integers().map(outline)


@given(long_outlines, some.extras)
def test_settling_twice_is_settling_once(points, extra):
    text = settled({"points": points, **extra})
    assert settled(read_text(text)) == text
    for before, after in zip(points, read_text(text)["points"], strict=True):
        assert all(abs(b - a) <= 0.0051 for b, a in zip(before, after, strict=True))


@given(st.one_of(long_outlines.map(lambda points: {"points": points}), some.json_values))
def test_packing_is_exact(raw):
    text = settled(raw if raw is not None else 0)
    assert unpacked(packed(text)) == text
    assert hash_of(unpacked(packed(text))) == hash_of(text)


@given(some.json_values)
def test_short_parts_are_exact_and_equal_ones_have_one_text(raw):
    text = settled({"a": raw})
    assert len(text) > LONG_TEXT or read_text(text) == {"a": raw}
    assert settled({"a": raw}) == text


def test_numbers_have_one_text_whatever_their_type():
    assert settled({"n": [3.0, -0.0]}) == settled({"n": [3, 0]}) == '{"n":[3,0]}'
    assert settled({"n": True}) != settled({"n": 1})
