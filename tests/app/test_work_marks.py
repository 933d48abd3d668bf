"""Ticks and corners on the canvas: legible on any pixel, told apart by shape, taken hold of."""

import pytest
from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage

from app.canvas.adjusting import Adjusted, AdjustedItem, adjust, sample_of
from app.canvas.view import PictureCanvas
from app.panels.residual_plot import Residual, ResidualPlot, limit_of
from landmarks.figures import Figure, Quad, Ticks
from landmarks.geometry import Point
from landmarks.instruments.seeing import Seeing

SIZE = (800, 600)


@pytest.fixture(params=[8, 128, 250])
def canvas(request, qtbot):
    canvas = PictureCanvas()
    qtbot.addWidget(canvas)
    canvas.resize(*SIZE)
    image = QImage(*SIZE, QImage.Format.Format_RGB32)
    image.fill(QColor(request.param, request.param, request.param))
    canvas.begin_picture(QSize(*SIZE), [image])
    canvas.actual_size()
    canvas.show()
    canvas.ground = request.param
    return canvas


def contrast(canvas, image, point, dx=0, dy=0):
    place = canvas.place_of(point)
    colour = image.pixelColor(round(place.x()) + dx, round(place.y()) + dy)
    return max(abs(colour.red() - canvas.ground), abs(colour.blue() - canvas.ground))


def show(canvas, *marks):
    canvas.show_figure(Figure(*SIZE, marks))
    return canvas.viewport().grab().toImage()


def test_ticks_stand_out_and_those_left_out_are_open(canvas):
    used = tuple(Point(200.5 + 20 * k, 300.5) for k in range(10))
    left_out = (Point(410.5, 300.5),)
    image = show(canvas, Ticks("work/ticks", used, left_out, Point(1, 0)))
    for point in used:
        row = [contrast(canvas, image, point, dx, -5) for dx in range(-3, 4)]
        assert max(row) > 60
    ring = left_out[0]
    assert max(contrast(canvas, image, ring, dx) for dx in (4, 5, 6)) > 60
    assert contrast(canvas, image, ring) == 0, "a ring is open in its middle"
    assert max(contrast(canvas, image, ring, dx, -7) for dx in range(-2, 3)) < 40


def test_accepted_ticks_are_fainter_than_those_at_work(canvas):
    used = tuple(Point(200.5 + 20 * k, 300.5) for k in range(10))

    def strength(*, faint):
        image = show(canvas, Ticks("t", used, (), Point(1, 0), faint))
        return sum(
            contrast(canvas, image, point, dx, -5) for point in used for dx in range(-3, 4)
        )

    assert 0 < strength(faint=True) < strength(faint=False)


def test_many_ticks_far_away_do_not_run_together(canvas):
    used = tuple(Point(100.5 + 1.0 * k, 300.5) for k in range(600))
    image = show(canvas, Ticks("t", used, (), Point(1, 0)))
    row = [contrast(canvas, image, Point(x + 0.5, 300.5), 0, -5) for x in range(150, 650)]
    assert min(row) < 0.6 * max(row)


def test_each_corner_can_be_taken_hold_of(canvas):
    corners = tuple(Point(*one) for one in ((150, 120), (650, 130), (640, 480), (160, 470)))
    show(canvas, Quad("work/plane", corners))
    for index, corner in enumerate(corners):
        assert canvas.place_of_mark("work/plane", index) == corner
        hit = canvas._layer.hit(Point(corner.x + 4, corner.y - 4))
        assert (hit.id, hit.index) == ("work/plane", index)


def test_corners_come_and_go_with_the_clicks(canvas):
    corners = [Point(150, 120), Point(650, 130), Point(640, 480), Point(160, 470)]
    for n in (1, 3, 4, 2):
        show(canvas, Quad("work/plane", tuple(corners[:n])))
        assert canvas.place_of_mark("work/plane", n - 1) == corners[n - 1]
        assert canvas.place_of_mark("work/plane", n) is None
    image = show(canvas, Quad("work/plane", tuple(corners)))
    middle = Point(400, 125)
    assert max(contrast(canvas, image, middle, 0, dy) for dy in range(-4, 5)) > 90


# -- The adjusted view -----------------------------------------------------------------------


@pytest.fixture(scope="module")
def levels(qapp):
    image = QImage(120, 90, QImage.Format.Format_RGB32)
    for y in range(90):
        for x in range(120):
            image.setPixelColor(x, y, QColor(40 + y, 30 + x, 90))
    large = image.scaled(1200, 900)
    return [large, large.scaled(600, 450)]


@pytest.mark.parametrize("zoom", [0.4, 0.5, 1.0, 3.0])
def test_an_unadjusted_copy_is_the_plain_picture(levels, zoom, qapp):
    frame, part = QRectF(0, 0, 1200, 900), QRectF(300, 200, 400, 300)
    copy = adjust(levels, frame, part, zoom, Seeing(), None)
    assert copy.finesse == min(zoom, 1.0)
    for x, y in ((320, 210), (500, 350), (690, 490)):
        px = (
            int((x - copy.part.x()) * copy.finesse),
            int((y - copy.part.y()) * copy.finesse),
        )
        seen, true = copy.image.pixelColor(*px), levels[0].pixelColor(x, y)
        assert abs(seen.red() - true.red()) <= 2
        assert abs(seen.green() - true.green()) <= 2


def test_colours_do_not_depend_on_the_part_that_is_looked_at(levels, qapp):
    frame, how = QRectF(0, 0, 1200, 900), Seeing(underwater=True)
    sample = sample_of(levels)
    first = adjust(levels, frame, QRectF(0, 0, 1200, 900), 1.0, how, sample)
    second = adjust(levels, frame, QRectF(600, 500, 200, 200), 1.0, how, sample)
    assert first.image.pixelColor(700, 600) == second.image.pixelColor(100, 100)


def test_beyond_the_picture_nothing_is_covered(levels, qapp):
    frame = QRectF(0, 0, 1200, 900)
    copy = adjust(levels, frame, QRectF(-500, -400, 3000, 3000), 0.7, Seeing(0.5), None)
    assert frame.adjusted(-2, -2, 2, 2).contains(copy.part)
    assert copy.part.contains(frame.adjusted(2, 2, -2, -2))
    item = AdjustedItem()
    item.show_copy(Adjusted(copy.image, copy.part, copy.finesse, copy.zoom), frame)
    assert frame.contains(item.boundingRect())
    item.show_copy(None, frame)
    assert item.boundingRect().isEmpty()


# -- The plot of residuals -------------------------------------------------------------------


def test_the_plot_says_what_it_shows(qtbot):
    plot = ResidualPlot()
    qtbot.addWidget(plot)
    plot.resize(360, 96)
    marks = [Residual(float(k), 0.004 * (-1) ** k, True) for k in range(100)]
    marks[50] = Residual(50.0, 0.4, False)
    plot.show_marks(marks, 0.004)
    assert plot.accessibleName() == (
        "Marks of the graduation: 99 used, 1 left out, each at most 0.004 mm off"
    )
    assert limit_of(marks, 0.004) == 0.02
    before = plot.grab().toImage()
    plot.show_marks([*marks[:50], *marks[51:]], 0.004)
    assert plot.grab().toImage() != before
    assert plot.focusPolicy() == Qt.FocusPolicy.NoFocus
