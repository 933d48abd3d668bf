"""The canvas: what is shown where, and what a click, a drag or a key tells."""

from math import atan2, cos, degrees, hypot, pi, sin
from pathlib import Path
from time import perf_counter

import pytest
from pytest import approx

pytest.importorskip("PySide6.QtWidgets")

from PySide6.QtCore import QEvent, QMimeData, QPoint, QPointF, QSize, Qt, QUrl
from PySide6.QtGui import QColor, QDropEvent, QImage, QKeyEvent, QPainter
from PySide6.QtWidgets import QApplication, QGraphicsPixmapItem

from app.canvas import Arming, PictureCanvas
from app.canvas.tools import (
    Boxed,
    Clicked,
    Dragged,
    Dropped,
    FrameTool,
    Grabbed,
    Hit,
    Lined,
    Picked,
    Pointer,
    PointTool,
    Returned,
    Rubber,
    ScaleTool,
    SelectTool,
)
from app.style.tokens import MARKS
from landmarks.figures import Dot, Figure, FrameBox, Line, Lozenge, Outline
from landmarks.geometry import Box, Point, distance
from landmarks.outputs.plates import Label, arrange, beside
from landmarks.sentences import Sentence
from tests.app.helpers_mouse import MIDDLE, click, drag, move, press, release, send, wheel

WIDTH, HEIGHT = 3000, 2000
SIZE = QSize(WIDTH, HEIGHT)
UMBO = Point(1500.0, 1600.0)
TO_A_SCREEN_PIXEL = 0.51


def words(some):
    return Sentence("plain", {"words": some})


def dot(id, point, landmark="umbo", index=0):
    return Dot(id, landmark, point, landmark[0].upper(), words(landmark), index)


def a_figure(*marks, mm_per_px=0.05):
    return Figure(WIDTH, HEIGHT, marks, mm_per_px)


def coloured_corners():
    """Return a picture with a red, a green, a blue and a yellow quarter."""
    image = QImage(WIDTH, HEIGHT, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    for x, y, colour in ((0, 0, "red"), (1, 0, "lime"), (0, 1, "blue"), (1, 1, "yellow")):
        painter.fillRect(
            x * WIDTH // 2, y * HEIGHT // 2, WIDTH // 2, HEIGHT // 2, QColor(colour)
        )
    painter.end()
    return image


def near(colour, wanted):
    """Return whether two colours are the same to the eye (3 of 255 in each part)."""
    pairs = zip(colour.getRgb(), wanted.getRgb(), strict=True)
    return all(abs(a - b) <= 3 for a, b in pairs)


class Told:
    """What a canvas told, in order."""

    def __init__(self, canvas):
        self.all = []
        for name in (
            "clicked", "dragged", "dropped", "returned", "nudged", "picked", "deleted",
            "hovered", "lined", "boxed", "escaped", "files_dropped",
        ):  # fmt: skip
            getattr(canvas, name).connect(
                lambda *values, name=name: self.all.append((name, *values))
            )

    def of(self, name):
        return [one[1:] for one in self.all if one[0] == name]


@pytest.fixture
def canvas(qtbot):
    canvas = PictureCanvas()
    qtbot.addWidget(canvas)
    canvas.resize(900, 700)
    canvas.begin_picture(SIZE, [coloured_corners()])
    canvas.show()
    canvas.activateWindow()
    with qtbot.waitActive(canvas):
        pass
    canvas.setFocus()
    return canvas


@pytest.fixture
def told(canvas):
    return Told(canvas)


def at(canvas, point):
    """Return the place of the viewport of a picture point, which must be in sight."""
    place = canvas.place_of(point)
    assert canvas.viewport().rect().contains(place.toPoint())
    return place


# -- coordinates and view ----------------------------------------------------------------


def test_scene_coordinates_are_picture_pixels_while_only_a_preview_is_there(canvas):
    small = coloured_corners().scaled(300, 200)
    canvas.begin_picture(SIZE, [small])
    middle = canvas.place_of(Point(WIDTH / 2, HEIGHT / 2))
    seen = canvas.viewport().grab().toImage()
    around = [
        seen.pixelColor(middle.toPoint() + QPoint(x, y)).name()
        for x, y in ((-9, -9), (9, -9), (-9, 9), (9, 9))
    ]
    assert around == ["#ff0000", "#00ff00", "#0000ff", "#ffff00"]


def test_a_new_picture_fits_the_view_and_stays_fitted(canvas):
    for width, height in ((900, 700), (500, 800)):
        canvas.resize(width, height)
        for corner in (Point(0, 0), Point(WIDTH, HEIGHT)):
            place = canvas.place_of(corner)
            assert -1 <= place.x() <= width + 1
            assert -1 <= place.y() <= height + 1
        assert canvas.zoom * WIDTH == approx(canvas.viewport().width(), abs=1)


@pytest.mark.parametrize("notches", [1, 5, -3])
@pytest.mark.parametrize("turned", [0, 30, 90])
def test_the_wheel_keeps_the_point_under_the_pointer(canvas, notches, turned):
    canvas.zoom_in()
    canvas.turn(turned)
    place = QPointF(640, 220)
    before = canvas.place_at(place)
    for _ in range(abs(notches)):
        wheel(canvas, place, 120 if notches > 0 else -120)
    after = canvas.place_at(place)
    assert distance(before, after) * canvas.zoom < TO_A_SCREEN_PIXEL


def test_zooming_ends_at_its_limits_and_keeps_the_place_there_too(canvas):
    place = QPointF(200, 500)
    before = canvas.place_at(place)
    for _ in range(60):
        wheel(canvas, place, 120)
    assert canvas.zoom == approx(40)
    assert distance(before, canvas.place_at(place)) * canvas.zoom < 1
    for _ in range(120):
        wheel(canvas, place, -120)
    assert 100 < canvas.zoom * WIDTH < 900


def test_actual_size_shows_one_picture_pixel_on_one_screen_pixel(canvas):
    canvas.actual_size()
    assert canvas.zoom == approx(1 / canvas.devicePixelRatioF())


def test_every_change_of_zoom_is_told_once(canvas):
    zooms = []
    canvas.viewed.connect(zooms.append)
    canvas.zoom_in()
    canvas.zoom_out()
    assert zooms == [approx(canvas.zoom * 1.25), approx(canvas.zoom)]


def test_fitting_a_region_shows_just_that_region(canvas):
    canvas.fit(Box(1000, 500, 300, 300))
    assert canvas.zoom == approx(
        min(canvas.viewport().width(), canvas.viewport().height()) / 300
    )
    middle = canvas.place_of(Point(1150, 650))
    assert middle.x() == approx(canvas.viewport().width() / 2, abs=1)


@pytest.mark.parametrize("lies", range(0, 360, 45))
def test_level_lays_the_hinge_level_with_the_umbo_below(canvas, lies):
    turn = lies * pi / 180
    a, b = Point(1500, 1000), Point(1500 + 400 * cos(turn), 1000 + 400 * sin(turn))
    below = Point(1500 - 300 * sin(turn), 1000 + 300 * cos(turn))
    for umbo in (below, Point(3000 - below.x, 2000 - below.y)):
        canvas.level(a, b, umbo)
        left, right, low = canvas.place_of(a), canvas.place_of(b), canvas.place_of(umbo)
        assert left.y() == approx(right.y(), abs=0.01)
        assert low.y() > left.y()
    canvas.upright()
    assert canvas.degrees == approx(0)


def test_level_without_umbo_takes_the_shorter_way(canvas):
    a, b = Point(1000, 1000), Point(1400, 1300)
    canvas.level(a, b)
    assert canvas.degrees == approx(360 - degrees(atan2(300, 400)))


def test_the_middle_button_and_the_space_bar_drag_the_picture(canvas, qtbot):
    canvas.actual_size()
    for button in (MIDDLE, None):
        before = canvas.place_at(QPointF(400, 300))
        if button is None:
            qtbot.keyPress(canvas, Qt.Key.Key_Space)
            drag(canvas, QPointF(400, 300), QPointF(460, 330))
            qtbot.keyRelease(canvas, Qt.Key.Key_Space)
        else:
            drag(canvas, QPointF(400, 300), QPointF(460, 330), button=button)
        after = canvas.place_at(QPointF(460, 330))
        assert distance(before, after) < 1.5


def test_panning_never_loses_the_picture(canvas):
    for _ in range(100):
        canvas.pan(-300, 200)
    assert canvas.sees_picture()


def test_without_a_picture_the_canvas_says_what_to_do_and_takes_no_click(canvas, told):
    canvas.clear_picture(words("Choose a specimen"))
    canvas.arm(Arming("point"))
    click(canvas, QPointF(300, 300))
    assert told.of("clicked") == []
    seen = canvas.viewport().grab().toImage()
    colours = {
        seen.pixelColor(x, y).name() for x in range(380, 520) for y in range(330, 370)
    }
    assert len(colours) > 5, "no words were drawn"


# -- marks -------------------------------------------------------------------------------


def test_a_click_places_a_point_while_armed_and_only_then(canvas, told):
    click(canvas, at(canvas, UMBO))
    assert told.of("clicked") == []
    canvas.arm(Arming("point"))
    click(canvas, at(canvas, UMBO))
    [(point, zoom)] = told.of("clicked")
    assert distance(point, UMBO) * canvas.zoom < TO_A_SCREEN_PIXEL
    assert zoom == approx(canvas.zoom)


def test_places_are_not_rounded_to_picture_pixels(canvas, told):
    canvas.fit(Box(1490, 1590, 20, 20))
    canvas.arm(Arming("point"))
    wanted = Point(1500.25, 1599.75)
    click(canvas, canvas.place_of(wanted))
    [(point, _)] = told.of("clicked")
    assert distance(point, wanted) < 0.02


@pytest.mark.parametrize("armed", [None, Arming("point"), Arming("scale"), Arming("frame")])
def test_a_click_on_a_mark_always_selects_it(canvas, told, armed):
    canvas.show_figure(a_figure(dot("a", UMBO)))
    canvas.arm(armed)
    click(canvas, at(canvas, UMBO) + QPointF(8, 8))  # 11.3 of 12 logical pixels
    assert told.of("picked") == [("a", 0)]
    assert told.of("clicked") == []
    assert canvas.selection == ("a", 0)


def test_where_points_stand_close_a_click_beside_one_sets_another(canvas, told):
    canvas.show_figure(a_figure(dot("a", UMBO)))
    canvas.arm(Arming("point", dense=True))
    click(canvas, at(canvas, UMBO) + QPointF(5, 5))
    assert len(told.of("clicked")) == 1
    assert told.of("picked") == []
    click(canvas, at(canvas, UMBO) + QPointF(3, 3))
    assert len(told.of("clicked")) == 1
    assert told.of("picked") == [("a", 0)]


def test_where_points_stand_close_a_stroke_beside_one_carries_it_along():
    tool, hit = PointTool(dense=True), Hit("a", 0, Point(10, 10))
    assert tool.press(pointer(18, 10, hit)) == ()
    assert tool.move(pointer(19, 10), down=True) == ()
    carried = tool.move(pointer(28, 10), down=True)
    assert carried == (Picked("a", 0), Dragged("a", 0, Point(20, 10)))
    assert tool.release(pointer(28, 10)) == (Dropped("a", 0, Point(20, 10), 1.0),)
    tool.press(pointer(18, 10, hit))
    assert tool.escape() == ()
    assert tool.release(pointer(18, 10)) == ()


def test_with_shift_a_landmark_is_placed_even_on_a_mark(canvas, told):
    canvas.show_figure(a_figure(dot("a", UMBO)))
    canvas.arm(Arming("point"))
    place, shift = at(canvas, UMBO), Qt.KeyboardModifier.ShiftModifier
    for kind in (QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonRelease):
        left = Qt.MouseButton.LeftButton
        send(canvas, kind, place, left, left, shift)
    assert told.of("picked") == []
    assert len(told.of("clicked")) == 1


def test_beyond_twelve_pixels_a_mark_is_not_touched(canvas, told):
    canvas.show_figure(a_figure(dot("a", UMBO)))
    canvas.arm(Arming("point"))
    click(canvas, at(canvas, UMBO) + QPointF(9, 9))
    assert told.of("picked") == []
    assert len(told.of("clicked")) == 1


def test_of_two_near_marks_the_nearer_is_taken(canvas, told):
    other = Point(UMBO.x + 8 / canvas.zoom, UMBO.y)
    canvas.show_figure(a_figure(dot("a", UMBO), dot("b", other)))
    click(canvas, at(canvas, other) + QPointF(3, 0))
    click(canvas, at(canvas, UMBO) - QPointF(3, 0))
    assert told.of("picked") == [("b", 0), ("a", 0)]


def test_a_click_on_the_ground_selects_nothing(canvas, told):
    canvas.show_figure(a_figure(dot("a", UMBO)))
    canvas.select("a", 0)
    click(canvas, at(canvas, Point(400, 400)))
    assert told.of("picked") == [("", -1)]
    assert canvas.selection is None


def test_a_drag_tells_every_step_and_the_end_once(canvas, told):
    canvas.show_figure(a_figure(dot("a", UMBO)))
    start = at(canvas, UMBO)
    # Taken 5 pixels off its middle: the mark must not jump to the pointer.
    drag(canvas, start + QPointF(5, 0), start + QPointF(85, -40), steps=8)
    wanted = Point(UMBO.x + 80 / canvas.zoom, UMBO.y - 40 / canvas.zoom)
    steps = told.of("dragged")
    assert 6 <= len(steps) <= 8
    [(id, index, point, zoom)] = told.of("dropped")
    assert (id, index) == ("a", 0)
    assert distance(point, wanted) * canvas.zoom < TO_A_SCREEN_PIXEL
    assert distance(steps[-1][2], point) < 1e-6
    assert zoom == approx(canvas.zoom)


def test_a_mark_is_not_dragged_out_of_the_picture(canvas, told):
    canvas.zoom_out()
    canvas.show_figure(a_figure(dot("a", UMBO)))
    end = canvas.place_of(Point(-200, HEIGHT + 100))
    drag(canvas, at(canvas, UMBO), end)
    [(_, _, point, _)] = told.of("dropped")
    assert point == Point(0, HEIGHT)


def test_a_trembling_hand_does_not_move_a_mark(canvas, told):
    canvas.show_figure(a_figure(dot("a", UMBO)))
    start = at(canvas, UMBO)
    drag(canvas, start, start + QPointF(2, 1))
    assert told.of("dropped") == []
    assert told.of("picked") == [("a", 0)]


def test_escape_gives_a_drag_up(canvas, told, qtbot):
    canvas.show_figure(a_figure(dot("a", UMBO)))
    start = at(canvas, UMBO)
    press(canvas, start)
    move(canvas, start + QPointF(40, 0), Qt.MouseButton.LeftButton)
    qtbot.keyClick(canvas, Qt.Key.Key_Escape)
    release(canvas, start + QPointF(40, 0))
    assert told.of("returned") == [("a", 0)]
    assert told.of("dropped") == []
    assert told.of("escaped") == []


@pytest.mark.parametrize(
    ("end", "start_point"), [(0, Point(300, 1800)), (1, Point(2700, 1750))]
)
def test_the_ends_of_a_scale_can_be_dragged(canvas, told, end, start_point):
    line = Line("scale", Point(300, 1800), Point(2700, 1750), words("150 mm"), "picture")
    canvas.show_figure(a_figure(line))
    start = at(canvas, start_point)
    drag(canvas, start, start + QPointF(10, -30))
    [(id, index, _, _)] = told.of("dropped")
    assert (id, index) == ("picture", end)


def test_hovering_a_mark_tells_its_landmark_once_and_then_none(canvas, told):
    canvas.show_figure(a_figure(dot("a", UMBO)))
    place = at(canvas, UMBO)
    for offset in (0, 2, 4, 60):
        move(canvas, place + QPointF(offset, 0))
    assert told.of("hovered") == [("umbo",), ("",)]


@pytest.mark.parametrize(
    ("key", "keys", "wanted"),
    [
        (Qt.Key.Key_Right, Qt.KeyboardModifier.NoModifier, (1, 0)),
        (Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier, (0, -0.1)),
        (Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier, (0, 10)),
        (Qt.Key.Key_Left, Qt.KeyboardModifier.NoModifier, (-1, 0)),
    ],
)
@pytest.mark.parametrize("turned", [0, 90])
def test_arrows_nudge_the_selected_mark_as_seen(
    canvas, told, qtbot, key, keys, wanted, turned
):
    canvas.show_figure(a_figure(dot("a", UMBO)))
    canvas.turn(turned)
    canvas.select("a", 0)
    qtbot.keyClick(canvas, key, keys)
    [(id, index, dx, dy)] = told.of("nudged")
    assert (id, index) == ("a", 0)
    seen = (dx, dy) if turned == 0 else (-dy, dx)
    assert seen == (approx(wanted[0]), approx(wanted[1]))


def test_without_a_selection_arrows_pan(canvas, told, qtbot):
    canvas.actual_size()
    before = canvas.place_at(QPointF(0, 0))
    qtbot.keyClick(canvas, Qt.Key.Key_Right)
    assert told.of("nudged") == []
    assert canvas.place_at(QPointF(0, 0)).x > before.x


def test_delete_tells_the_selected_mark(canvas, told, qtbot):
    canvas.show_figure(a_figure(dot("a", UMBO)))
    qtbot.keyClick(canvas, Qt.Key.Key_Delete)
    canvas.select("a", 0)
    qtbot.keyClick(canvas, Qt.Key.Key_Delete)
    assert told.of("deleted") == [("a", 0)]


def test_escape_disarms_and_says_so(canvas, told, qtbot):
    canvas.arm(Arming("point"))
    qtbot.keyClick(canvas, Qt.Key.Key_Escape)
    assert canvas.arming is None
    assert told.of("escaped") == [()]


def test_letters_are_left_to_the_window(canvas):
    for key, taken in ((Qt.Key.Key_N, False), (Qt.Key.Key_Escape, True)):
        event = QKeyEvent(QEvent.Type.KeyPress, key, Qt.KeyboardModifier.NoModifier)
        canvas.keyPressEvent(event)
        assert event.isAccepted() == taken


def test_tab_moves_on(canvas, qtbot):
    assert canvas.focusPolicy() == Qt.FocusPolicy.StrongFocus
    assert not canvas.scene().focusItem()
    assert not any(
        item.flags() & item.GraphicsItemFlag.ItemIsFocusable
        for item in canvas.scene().items()
    )


# -- lines and frames --------------------------------------------------------------------


@pytest.mark.parametrize("by_stroke", [True, False])
def test_a_scale_line_is_one_stroke_or_two_clicks(canvas, told, by_stroke):
    canvas.arm(Arming("scale"))
    a, b = Point(300, 1800), Point(2700, 1750)
    if by_stroke:
        drag(canvas, at(canvas, a), at(canvas, b))
    else:
        click(canvas, at(canvas, a))
        assert told.of("lined") == []
        click(canvas, at(canvas, b))
    [(start, end)] = told.of("lined")
    assert distance(start, a) * canvas.zoom < TO_A_SCREEN_PIXEL
    assert distance(end, b) * canvas.zoom < TO_A_SCREEN_PIXEL


def test_the_line_is_seen_while_it_is_drawn_and_gone_afterwards(canvas):
    n_items = len(canvas.scene().items())
    canvas.arm(Arming("scale"))
    press(canvas, QPointF(200, 300))
    move(canvas, QPointF(500, 320), Qt.MouseButton.LeftButton)
    assert len(canvas.scene().items()) == n_items + 1
    seen = canvas.viewport().grab().toImage()
    assert near(seen.pixelColor(350, 310), QColor(MARKS.scale))
    release(canvas, QPointF(500, 320))
    assert len(canvas.scene().items()) == n_items


def test_escape_first_gives_up_the_line_then_the_tool(canvas, told, qtbot):
    canvas.arm(Arming("scale"))
    click(canvas, QPointF(200, 300))
    qtbot.keyClick(canvas, Qt.Key.Key_Escape)
    assert canvas.arming == Arming("scale")
    qtbot.keyClick(canvas, Qt.Key.Key_Escape)
    assert canvas.arming is None
    assert told.of("lined") == []


def test_a_frame_is_cut_at_the_border_of_the_picture(canvas, told):
    canvas.zoom_out()
    canvas.arm(Arming("frame"))
    drag(canvas, canvas.place_of(Point(1000, 900)), canvas.place_of(Point(3200, 2300)))
    [(box,)] = told.of("boxed")
    assert box.x == approx(1000, abs=2)
    assert box.x + box.width == approx(WIDTH)
    assert box.y + box.height == approx(HEIGHT)


def test_the_number_of_a_frame_picks_it_and_its_inside_does_not(canvas, told):
    frame = FrameBox("f", Box(300, 300, 900, 900), 2, words("PMM 2024.118"))
    canvas.show_figure(a_figure(frame))
    click(canvas, at(canvas, Point(300, 300)) + QPointF(16, 16))
    click(canvas, at(canvas, Point(800, 800)))
    assert told.of("picked") == [("f", 0), ("", -1)]


def test_an_outline_is_picked_on_its_line(canvas, told):
    around = tuple(
        Point(1500 + 800 * cos(i * pi / 500), 1000 + 600 * sin(i * pi / 500))
        for i in range(1000)
    )
    canvas.show_figure(a_figure(Outline("o", "margin", around, True)))
    click(canvas, at(canvas, around[137]) + QPointF(2, 2))
    click(canvas, at(canvas, Point(1500, 1000)))
    assert told.of("picked") == [("o", -1), ("", -1)]
    # The ends of a shell lie on its margin: what is armed is placed there.
    canvas.arm(Arming("point"))
    click(canvas, at(canvas, around[137]))
    assert told.of("picked") == [("o", -1), ("", -1)]
    assert len(told.of("clicked")) == 1


def test_a_tether_follows_the_pointer_while_armed(canvas):
    canvas.arm(Arming("point", tether=Point(600, 1500)))
    move(canvas, QPointF(600, 300))
    assert canvas._rubber is not None
    canvas.arm(None)
    assert canvas._rubber is None


# -- figures by difference ---------------------------------------------------------------


def many_marks(moved=None):
    dots = [
        dot(f"d{i}", Point(60 + 5.7 * i, 300 + 3.1 * (i % 250)), f"mark{i}")
        for i in range(500)
    ]
    if moved is not None:
        dots[7] = dot("d7", moved, "mark7")
    outlines = [
        Outline(
            f"o{k}",
            f"margin{k}",
            tuple(
                Point(
                    1500 + (500 + 100 * k) * cos(i * pi / 1000),
                    1000 + (400 + 80 * k) * sin(i * pi / 1000),
                )
                for i in range(2000)
            ),
            True,
        )
        for k in range(5)
    ]
    return a_figure(*outlines, *dots)


def test_a_figure_with_one_moved_mark_keeps_every_item(canvas):
    canvas.show_figure(many_marks())
    before = set(map(id, canvas.scene().items()))
    canvas.show_figure(many_marks(Point(1234.0, 321.0)))
    assert set(map(id, canvas.scene().items())) == before
    assert any(item.pos() == QPointF(1234, 321) for item in canvas.scene().items())


def test_a_moved_mark_does_not_draw_the_rest_again(canvas):
    """A tenth of a full draw is far more than it takes, and far less than a rebuild."""
    figures = [many_marks(Point(1000.0 + i, 500.0)) for i in range(12)]
    start = perf_counter()
    canvas.show_figure(figures[0])
    built = perf_counter() - start
    start = perf_counter()
    for figure in figures[1:11]:
        canvas.show_figure(figure)
    assert (perf_counter() - start) / 10 < built / 3


def test_marks_that_left_the_figure_leave_the_scene(canvas):
    empty = len(canvas.scene().items())
    canvas.show_figure(many_marks())
    canvas.show_figure(a_figure())
    assert len(canvas.scene().items()) == empty


def test_lit_landmarks_look_different_and_back_again(canvas, qtbot):
    canvas.show_figure(a_figure(dot("a", UMBO)))
    qtbot.wait(150)
    plain = canvas.viewport().grab().toImage()
    canvas.light(["umbo"])
    lit = canvas.viewport().grab().toImage()
    canvas.light([])
    assert lit != plain
    assert canvas.viewport().grab().toImage() == plain


@pytest.mark.parametrize("ground", ["white", "black", "#c8a878", "#283c50"])
def test_a_mark_stands_out_from_any_ground(canvas, ground):
    """One of its rings has at least 4.2 : 1 (look, section 6: the root of 17.7)."""
    image = QImage(WIDTH, HEIGHT, QImage.Format.Format_RGB32)
    image.fill(QColor(ground))
    canvas.begin_picture(SIZE, [image])
    canvas.show_figure(a_figure(dot("a", UMBO)))
    place = at(canvas, UMBO).toPoint()
    seen = canvas.viewport().grab().toImage()
    row = [seen.pixelColor(place + QPoint(x, 0)) for x in range(-8, 9)]
    best = max(_contrast(colour, QColor(ground)) for colour in row)
    assert best >= 4.2


def _contrast(a, b):
    """Contrast as WCAG 2.2 defines it."""
    lights = sorted((_light(a), _light(b)))
    return (lights[1] + 0.05) / (lights[0] + 0.05)


def _light(colour):
    def linear(share):
        return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4

    red, green, blue = map(linear, (colour.redF(), colour.greenF(), colour.blueF()))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


# -- loupe and scale bar -----------------------------------------------------------------


def test_the_loupe_shows_true_pixels_beside_the_pointer_and_never_under_it(canvas):
    canvas.arm(Arming("point"))
    for x in range(0, canvas.viewport().width(), 37):
        for y in (0, 40, 350, canvas.viewport().height() - 1):
            move(canvas, QPointF(x, y))
            rect = canvas._loupe.rect()
            assert not rect.contains(x, y)
            assert canvas.viewport().rect().contains(rect.center())


def test_the_loupe_is_on_while_armed_or_dragging_or_asked_for(canvas):
    canvas.show_figure(a_figure(dot("a", UMBO)))
    move(canvas, QPointF(300, 300))
    assert not canvas._loupe.shown
    canvas.arm(Arming("point"))
    assert canvas._loupe.shown
    canvas.arm(None)
    assert not canvas._loupe.shown
    canvas.set_loupe(True)
    assert canvas._loupe.shown
    canvas.set_loupe(False)
    place = at(canvas, UMBO)
    press(canvas, place)
    move(canvas, place + QPointF(20, 0), Qt.MouseButton.LeftButton)
    assert canvas._loupe.shown
    release(canvas, place + QPointF(20, 0))
    assert not canvas._loupe.shown


def test_the_loupe_enlarges_one_picture_pixel_to_four(canvas):
    image = QImage(WIDTH, HEIGHT, QImage.Format.Format_RGB32)
    image.fill(QColor("black"))
    image.setPixelColor(1000, 700, QColor("white"))
    canvas.begin_picture(SIZE, [image])
    canvas.arm(Arming("point"))
    place = canvas.place_of(Point(1000.5, 700.5))
    move(canvas, place)
    seen = canvas.viewport().grab().toImage()
    centre = canvas._loupe._centre
    run = [
        x
        for x in range(-12, 13)
        if seen.pixelColor(round(centre.x()) + x, round(centre.y())).name() == "#ffffff"
    ]
    assert 3 <= len(run) <= 5


def test_the_scale_bar_is_true(canvas):
    """Its white run is the round length it names, to a screen pixel at either end."""
    for factor in (1.0, 1.7, 0.6):
        canvas.zoom_at(QPointF(450, 350), factor)
        canvas.show_figure(a_figure(mm_per_px=0.05))
        bar = canvas._bar
        seen = canvas.viewport().grab().toImage()
        rect = bar.rect()
        y = rect.bottom() - 8
        longest = max(
            sum(
                seen.pixelColor(x, row).lightness() > 250
                for x in range(rect.left(), rect.right() + 1)
            )
            for row in range(y - 2, y + 3)
        )
        wanted = bar._bar.length_mm / 0.05 * canvas.zoom
        assert 80 <= wanted <= 160
        assert longest == approx(wanted, abs=1.5)


def test_the_scale_bar_leaves_a_corner_where_marks_lie(canvas):
    canvas.show_figure(a_figure())
    corner = canvas._bar.rect()
    under = canvas.place_at(QPointF(corner.center()))
    canvas.show_figure(a_figure(dot("a", under), mm_per_px=0.06))
    assert not canvas._bar.rect().contains(canvas.place_of(under).toPoint())


def test_without_a_scale_there_is_no_bar(canvas):
    canvas.show_figure(a_figure(mm_per_px=None))
    assert canvas._bar.rect().isEmpty()


def test_panning_leaves_no_trace_of_what_lies_over_the_picture(canvas):
    canvas.show_figure(many_marks())
    canvas.actual_size()
    QApplication.processEvents()
    for step in range(5):
        canvas.pan(-13 - step, 9)
        QApplication.processEvents()
    scrolled = canvas.viewport().grab().toImage()
    canvas.viewport().update()
    QApplication.processEvents()
    assert canvas.viewport().grab().toImage() == scrolled


# -- files -------------------------------------------------------------------------------


def test_dropped_files_are_told_and_other_drops_are_not(canvas, told, tmp_path):
    def drop(data):
        event = QDropEvent(
            QPointF(50, 50),
            Qt.DropAction.CopyAction,
            data,
            Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.NoModifier,
        )
        canvas.dropEvent(event)

    files, text = QMimeData(), QMimeData()
    files.setUrls(
        [QUrl.fromLocalFile(str(tmp_path / "a.jpg")), QUrl("https://example.org/b.jpg")]
    )
    text.setText("not a file")
    drop(files)
    drop(text)
    assert told.of("files_dropped") == [([Path(tmp_path / "a.jpg")],)]


# -- the machines, without a window ------------------------------------------------------


def pointer(x, y, hit=None, zoom=1.0):
    return Pointer(Point(x, y), zoom, hit)


def test_selecting_and_dragging_without_a_window():
    tool, hit = SelectTool(), Hit("a", 3, Point(10, 10))
    assert tool.press(pointer(12, 10, hit)) == (Picked("a", 3),)
    assert tool.move(pointer(13, 10), down=True) == ()
    assert tool.move(pointer(32, 20), down=True) == (Dragged("a", 3, Point(30, 20)),)
    assert tool.dragging
    assert tool.release(pointer(33, 20)) == (Dropped("a", 3, Point(31, 20), 1.0),)
    assert not tool.dragging


def test_a_mark_that_is_not_held_is_selected_only():
    tool, hit = SelectTool(), Hit("o", -1, Point(10, 10), held=False)
    assert tool.press(pointer(10, 10, hit)) == (Picked("o", -1),)
    assert tool.move(pointer(50, 10), down=True) == ()
    assert tool.release(pointer(50, 10)) == ()


def test_ground_is_grabbed_only_where_nothing_is_armed():
    assert SelectTool().press(pointer(1, 1)) == (Grabbed(),)
    assert PointTool().press(pointer(1, 1)) == ()


def test_a_point_is_placed_where_the_button_comes_up():
    tool = PointTool()
    tool.press(pointer(5, 5))
    tool.move(pointer(7, 6), down=True)
    assert tool.release(pointer(8, 6)) == (Clicked(Point(8, 6), 1.0),)
    assert tool.release(pointer(8, 6)) == ()


def test_escape_between_press_and_release_places_nothing():
    tool = PointTool()
    tool.press(pointer(5, 5))
    assert tool.escape() == ()
    assert tool.release(pointer(5, 5)) == ()
    assert tool.escape() is None


def test_two_clicks_on_one_place_make_no_line():
    tool = ScaleTool()
    for _ in range(2):
        tool.press(pointer(5, 5))
        assert tool.release(pointer(5, 5)) == ()
    tool.press(pointer(90, 5))
    assert tool.release(pointer(90, 5)) == (Rubber(""), Lined(Point(5, 5), Point(90, 5)))


def test_the_second_end_of_a_line_may_lie_on_a_mark():
    tool, hit = ScaleTool(), Hit("a", 0, Point(90, 5))
    tool.press(pointer(5, 5))
    tool.release(pointer(5, 5))
    tool.press(pointer(90, 5, hit))
    assert Lined(Point(5, 5), Point(90, 5)) in tool.release(pointer(90, 5, hit))


def test_a_frame_without_height_is_none():
    tool = FrameTool()
    tool.press(pointer(5, 5))
    tool.move(pointer(80, 6), down=True)
    assert tool.release(pointer(80, 6)) == ()
    tool.press(pointer(80, 60))
    assert tool.release(pointer(80, 60))[-1] == Boxed(Box(5, 5, 75, 55))


def test_a_given_up_drag_returns_the_mark():
    tool = SelectTool()
    tool.press(pointer(5, 5, Hit("a", 0, Point(5, 5))))
    tool.move(pointer(50, 5), down=True)
    assert tool.escape() == (Returned("a", 0),)
    assert tool.release(pointer(50, 5)) == ()


def test_names_cover_neither_marks_nor_each_other():
    places = [(100.0 + 90 * (i % 3), 100.0 + 60 * (i // 3)) for i in range(9)]
    labels = [Label(x, y, 70, 21) for x, y in places]
    spots = arrange(labels, places)
    rects = [
        (label.x + spot.dx, label.y + spot.dy, label.width, label.height)
        for label, spot in zip(labels, spots, strict=True)
        if spot is not None
    ]
    assert len(rects) >= 4
    for i, a in enumerate(rects):
        for x, y in places:
            assert not (a[0] < x < a[0] + a[2] and a[1] < y < a[1] + a[3])
        for b in rects[:i]:
            apart = a[0] >= b[0] + b[2] or b[0] >= a[0] + a[2]
            assert apart or a[1] >= b[1] + b[3] or b[1] >= a[1] + a[3]


def test_a_label_of_a_line_leaves_its_middle_free_and_any_mark():
    start, end, size = (100.0, 300.0), (500.0, 300.0), (60.0, 21.0)
    share, (x, y, width, height) = beside(start, end, size, [], 14)
    # Over the middle of a ruler lies the umbo, which is still to be placed.
    assert share == 0.15
    assert (x + width / 2, y + height) == (160, 286)
    share, (x, y, width, height) = beside(start, end, size, [(160.0, 275.0)], 14)
    assert share == 0.85
    assert not (x < 160 < x + width and y < 275 < y + height)


def test_names_keep_off_lines():
    mark = (300.0, 290.0)
    label = Label(*mark, 70, 21)
    line = ((100.0, 315.0), (500.0, 315.0))
    [free] = arrange([label], [mark, (300.0, 100.0)])
    assert free.dy > 0, "without the line the name would stand below"
    [spot] = arrange([label], [mark, (300.0, 100.0)], lines=[line])
    top, bottom = mark[1] + spot.dy, mark[1] + spot.dy + 21
    assert not top <= 315 <= bottom


def test_a_name_that_must_be_shown_is_shown_in_any_crowd():
    places = [(100.0 + 5 * i, 100.0 + 5 * j) for i in range(20) for j in range(20)]
    labels = [Label(150, 150, 70, 21), Label(151, 150, 70, 21, must=True)]
    spots = arrange(labels, places)
    assert spots[0] is None
    assert spots[1] is not None
    assert hypot(spots[1].dx, spots[1].dy) > 0


def names_shown(canvas):
    return [
        item
        for item in canvas.scene().items()
        if isinstance(item, QGraphicsPixmapItem)
        and item.zValue() == 20
        and item.isVisible()
    ]


def test_many_names_thin_out(canvas, qtbot):
    canvas.show_figure(many_marks())
    qtbot.wait(150)
    assert names_shown(canvas) == []
    canvas.select("d7", 0)
    assert len(names_shown(canvas)) == 1


def test_a_close_series_is_drawn_small_without_numbers(canvas, qtbot):
    far = [
        Lozenge("z", "eyes", Point(300 + 300 * i, 500), i + 1, words("eyes"), i)
        for i in range(5)
    ]
    canvas.show_figure(a_figure(*far))
    qtbot.wait(150)

    def size():
        return max(
            item.boundingRect().width()
            for item in canvas.scene().items()
            if isinstance(item, QGraphicsPixmapItem) and item.zValue() < 20
        )

    large = size()
    canvas.show_figure(
        a_figure(
            *(
                Lozenge("z", "eyes", Point(300 + 30 * i, 500), i + 1, words("eyes"), i)
                for i in range(5)
            )
        )
    )
    assert size() < large


def test_a_vertex_of_a_path_is_taken_hold_of_and_dragged(canvas, told):
    corners = Point(1000, 1000), Point(1500, 1100), Point(2000, 1000)
    canvas.show_figure(a_figure(Outline("path", "upper_margin_line", corners)))
    start = at(canvas, corners[1])
    drag(canvas, start, start + QPointF(0, 40))
    assert [one[:2] for one in told.of("dropped")] == [("path", 1)]
    click(canvas, at(canvas, Point(1250, 1050)))
    assert told.of("picked")[-1] == ("path", -1)
