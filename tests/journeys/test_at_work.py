"""An instrument at work: its marks are shown and taken hold of, and nothing is stored."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

import app.window.bench as window
import app.window.strips as strips
from app.session import Instrument, Tool
from app.session.at_work import MARK
from landmarks.figures import Dot
from landmarks.geometry import Point
from landmarks.sentences import Sentence


class Told(Instrument):
    """An instrument that remembers what it was told."""

    key = "told"
    aims = "point"

    def __init__(self) -> None:
        super().__init__()
        self.heard: list[tuple[object, ...]] = []
        self.n_clicks = 0

    @property
    def marks(self):
        name = Sentence("landmark.umbo.name")
        return (Dot(f"{MARK}/umbo", "", Point(150.0, 80.0), "U", name),)

    def click(self, point, zoom, *, plain=False):
        self.heard.append(("click", plain))
        self.n_clicks += 1
        self.changed.emit()

    def drop(self, mark, index, point):
        self.heard.append(("drop", mark, index, round(point.x), round(point.y)))

    def delete(self, mark, index):
        self.heard.append(("delete", mark, index))

    def step_back(self):
        if not self.n_clicks:
            return False
        self.n_clicks -= 1
        return True

    def put_down(self):
        self.heard.append(("put down",))


@pytest.fixture
def bench(open_window):
    return open_window().window


@pytest.fixture
def at_work(bench, monkeypatch):
    monkeypatch.setattr(strips, "INSTRUMENTS", {"told": lambda _: QWidget()})
    monkeypatch.setattr(window, "INSTRUMENTS", strips.INSTRUMENTS)
    instrument = Told()
    bench.session.hand.take_instrument(instrument)
    return instrument


def _press(bench, point, keys=Qt.KeyboardModifier.NoModifier):
    canvas = bench.canvas
    place = canvas.place_of(point).toPoint()
    QTest.mouseClick(canvas.viewport(), Qt.MouseButton.LeftButton, keys, place)


def test_it_hears_clicks_and_whether_they_are_plain(bench, at_work):
    n = len(bench.session.specimen.placings)
    _press(bench, Point(60.0, 60.0))
    _press(bench, Point(60.0, 60.0), Qt.KeyboardModifier.ShiftModifier)
    assert at_work.heard == [("click", False), ("click", True)]
    assert len(bench.session.specimen.placings) == n


def test_its_own_marks_are_its_own(bench, at_work):
    canvas = bench.canvas
    assert canvas.place_of_mark(f"{MARK}/umbo", 0) == Point(150.0, 80.0)
    _press(bench, Point(150.0, 80.0))
    assert canvas.selection == (f"{MARK}/umbo", 0)
    QTest.keyClick(canvas, Qt.Key.Key_Right)
    QTest.keyClick(canvas, Qt.Key.Key_Delete)
    assert at_work.heard == [
        ("drop", f"{MARK}/umbo", 0, 151, 80),
        ("delete", f"{MARK}/umbo", 0),
    ]


def test_escape_takes_a_click_back_and_then_puts_it_down(bench, at_work):
    _press(bench, Point(60.0, 60.0))
    QTest.keyClick(bench.canvas, Qt.Key.Key_Escape)
    assert bench.session.instrument is at_work
    assert bench.strips.current == "told"
    QTest.keyClick(bench.canvas, Qt.Key.Key_Escape)
    assert bench.session.instrument is None
    assert at_work.heard[-1] == ("put down",)
    assert bench.strips.current == ""
    assert bench.canvas.place_of_mark(f"{MARK}/umbo", 0) is None


@pytest.mark.parametrize("how", ["tool", "frame", "specimen"])
def test_what_leaves_the_picture_puts_it_down(bench, at_work, how):
    session = bench.session
    if how == "tool":
        session.hand.take_tool(Tool("scale"))
    elif how == "frame":
        session.choose_frame(session.frame.id)
    else:
        session.choose(session.specimen.id)
    assert session.instrument is None
    assert at_work.heard == [("put down",)]
