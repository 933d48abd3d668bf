"""What instruments stand on: windows cut from memory, profiles painted and pointed at."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPointF, QSize, Qt
from PySide6.QtGui import QImage, QMouseEvent
from PySide6.QtWidgets import QApplication

from app.background.decoding import pyramid
from app.instruments.ahead import look_ahead, step_of
from app.instruments.crop import crop_of_levels
from app.panels.profile_plot import Curve, Peak, ProfilePlot
from app.panels.ruler_fit import RulerFitRow
from app.style import palette
from landmarks.geometry import Box, Point
from landmarks.instruments.edges import crop_of
from landmarks.scale import Setting
from tests.core.test_ruler import fitted


@pytest.fixture(scope="module")
def pixels():
    y, x = np.mgrid[0:1100, 0:1600]
    return np.stack([x // 8, y // 5, (x + y) // 12], -1).astype(np.uint8)


@pytest.fixture(scope="module")
def levels(pixels, qapp):
    rows, columns = pixels.shape[:2]
    wide = np.zeros((rows, columns, 4), np.uint8)
    wide[..., :3] = pixels[..., ::-1]
    image = QImage(wide.tobytes(), columns, rows, columns * 4, QImage.Format.Format_RGB32)
    return tuple(pyramid(image.copy()))


@pytest.mark.parametrize(
    "box", [Box(0, 0, 40, 30), Box(201, 333, 77, 55), Box(-9, 1090, 90, 90)]
)
def test_a_window_is_the_picture_itself(pixels, levels, box):
    cut, origin = crop_of_levels(levels)(box, 1)
    wanted, corner = crop_of(pixels)(box, 1)
    assert origin == corner
    assert np.array_equal(cut, wanted)


@pytest.mark.parametrize("step", [2, 4, 8])
def test_a_reduced_window_comes_from_a_reduced_copy(pixels, levels, step):
    box = Box(160, 240, 400, 320)
    cut, origin = crop_of_levels(levels)(box, step)
    wanted, corner = crop_of(pixels)(box, step)
    assert origin == corner
    rows, columns = min(cut.shape[0], wanted.shape[0]), min(cut.shape[1], wanted.shape[1])
    assert abs(cut.shape[0] - wanted.shape[0]) <= 1
    off = cut[:rows, :columns].astype(int) - wanted[:rows, :columns]
    assert np.abs(off).max() <= 3


def test_a_window_outlives_the_picture(pixels):
    image = QImage(64, 64, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.red)
    cut, _ = crop_of_levels((image,))(Box(0, 0, 10, 10), 1)
    image.fill(Qt.GlobalColor.blue)
    assert cut[0, 0].tolist() == [255, 0, 0]


@pytest.mark.parametrize(
    ("zoom", "step"), [(2.0, 1), (1.0, 1), (0.5, 2), (0.3, 2), (0.1, 8)]
)
def test_a_map_pixel_is_about_a_screen_pixel(zoom, step):
    assert step_of(zoom) == step


def test_ways_reach_the_pointer_or_are_given_up(pixels):
    crop = crop_of(pixels)
    start, pointer = Point(300.0, 300.0), Point(700.0, 420.0)
    ahead = look_ahead(crop, start, pointer, 1, lambda: True)
    line = ahead.to(pointer)
    assert (line[0], line[-1]) == (start, pointer)
    assert ahead.box.holds(pointer)
    assert max(ahead.edges.strength.shape) <= 400
    assert look_ahead(crop, start, pointer, 1, lambda: False) is None


# -- the profile ---------------------------------------------------------------------------


@pytest.fixture
def plot(qtbot):
    plot = ProfilePlot("along the margin")
    qtbot.addWidget(plot)
    plot.resize(400, 120)
    values = tuple(float(v) for v in np.sin(np.linspace(0, 9.42, 120)))
    plot.show_profile(
        [Curve(values)], [Peak(1, 1 / 6), Peak(2, 5 / 6, square=True)], words="2 peaks"
    )
    return plot


def _point_at(plot, place):
    none, keys = Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier
    kind = QEvent.Type.MouseMove
    event = QMouseEvent(kind, place, plot.mapToGlobal(place), none, none, keys)
    QApplication.sendEvent(plot, event)


def test_peaks_stand_on_the_curve(plot):
    first, second = plot.place_of(0), plot.place_of(1)
    assert first.x() < 100 < 300 < second.x()
    assert abs(first.y() - second.y()) < 3
    assert first.y() < plot.height() / 3


def test_the_pointer_lights_the_peak_it_is_at(plot, qtbot):
    told, along = [], []
    plot.hovered.connect(told.append)
    plot.pointed.connect(along.append)
    _point_at(plot, plot.place_of(1))
    assert (told, plot.lit) == ([1], 1)
    assert along[-1] == pytest.approx(5 / 6, abs=0.02)
    _point_at(plot, QPointF(200.0, 60.0))
    assert told == [1, -1]
    QApplication.sendEvent(plot, QEvent(QEvent.Type.Leave))
    assert (plot.lit, along[-1]) == (-1, -1.0)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_is_painted_in_the_colours_on_screen(plot, qapp, scheme):
    palette.apply(qapp, scheme)
    plain = plot.grab().toImage()
    accent = palette.colour("accent").rgb()
    colours = {plain.pixel(x, y) for x in range(0, 400, 2) for y in range(120)}
    assert accent in colours
    plot.light(0)
    assert plot.grab().toImage() != plain
    assert plot.accessibleName() == "along the margin"
    assert plot.accessibleDescription() == "2 peaks"
    palette.apply(qapp, "light")


def test_an_empty_profile_is_no_fault(qtbot):
    plot = ProfilePlot("nothing")
    qtbot.addWidget(plot)
    assert not plot.grab().isNull()
    assert plot.sizeHint().expandedTo(QSize(1, 1)) == plot.sizeHint()
    _point_at(plot, QPointF(10.0, 10.0))
    assert plot.lit == -1


def test_a_lean_is_said_before_what_was_found(qtbot):
    row = RulerFitRow(lambda: Setting("p", 4000, 3000))
    qtbot.addWidget(row)
    row.resize(480, 300)
    row.show()
    for name, leans in (("tilt 20 along", True), ("white ruler", False)):
        _, fit = fitted(name)
        at_work = SimpleNamespace(fit=fit, busy=False, refused=None, by_clicks=False)
        row.show_ruler(at_work)
        QApplication.processEvents()
        assert row.lean.text().startswith("▲") is leans
        assert (row.lean.y() < row.found.y()) is leans
