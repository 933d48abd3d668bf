"""The adjusted view: seen and said on the screen, and nowhere else."""

import pytest
from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication

from app.session.deeds import seeing as see
from landmarks.instruments.seeing import Seeing
from landmarks.sentences import text

pytestmark = pytest.mark.journey


def picture_of(canvas):
    """Return what is on the screen, the middle of the picture only."""
    return canvas.grab().toImage()


def at(canvas, image, point):
    place = canvas.viewport().mapTo(canvas, canvas.place_of(point).toPoint())
    return image.pixelColor(place)


def sum_of(image):
    small = image.scaled(QSize(64, 64))
    return sum(
        small.pixelColor(x, y).lightness() for x in range(10, 54) for y in range(10, 54)
    )


def adjusted(person):
    person.wait(lambda: person.window.canvas.shows_adjusted)


def test_a_key_lifts_contrast_and_the_canvas_says_so(person):
    canvas, window = person.window.canvas, person.window
    before = picture_of(canvas)
    person.key(Qt.Key.Key_T)
    assert person.session.seeing.local_contrast == see.CONTRAST
    adjusted(person)
    after = picture_of(canvas)
    assert after != before
    assert text(canvas.badge) == "view adjusted: local contrast"
    assert "view adjusted" in canvas.accessibleDescription()
    assert window.hints._adjusted.isVisible()
    person.key(Qt.Key.Key_T)
    assert not canvas.shows_adjusted
    assert not window.hints._adjusted.isVisible()
    assert "view adjusted" not in canvas.accessibleDescription()


def test_brighter_is_brighter_by_steps_that_end(person):
    canvas = person.window.canvas
    dark = sum_of(picture_of(canvas))
    for _ in range(3):
        person.key(Qt.Key.Key_BracketRight)
    assert see.steps_of(person.session.seeing) == 3
    adjusted(person)
    person.wait(lambda: sum_of(picture_of(canvas)) > dark * 1.05)
    for _ in range(20):
        person.key(Qt.Key.Key_BracketLeft)
    assert see.steps_of(person.session.seeing) == -see.MOST_STEPS
    person.wait(lambda: sum_of(picture_of(canvas)) < dark * 0.95)


def press(canvas, kind, key):
    event = QKeyEvent(kind, key, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(canvas, event)


def test_the_original_is_shown_as_long_as_its_key_is_held(person):
    canvas = person.window.canvas
    plain = picture_of(canvas)
    person.key(Qt.Key.Key_U)
    adjusted(person)
    changed = picture_of(canvas)
    press(canvas, QEvent.Type.KeyPress, Qt.Key.Key_V)
    held = picture_of(canvas)
    assert text(canvas.badge) == "the picture as it is"
    middle = person.session.picture.size[0] / 2, person.session.picture.size[1] / 2
    from landmarks.geometry import Point

    point = Point(*middle)
    assert at(canvas, held, point) == at(canvas, plain, point)
    assert at(canvas, held, point) != at(canvas, changed, point)
    press(canvas, QEvent.Type.KeyRelease, Qt.Key.Key_V)
    assert picture_of(canvas) == changed


def test_every_picture_is_shown_in_its_own_way(person):
    session, canvas = person.session, person.window.canvas
    first = session.picture.id
    person.key(Qt.Key.Key_U)
    adjusted(person)
    session.choose_frame(session.specimen.frames[1].id)
    assert session.picture.id != first
    assert session.seeing == Seeing()
    assert not canvas.shows_adjusted, "nothing of the first picture lies over the second"
    person.wait(lambda: bool(canvas.levels))
    assert not canvas.shows_adjusted
    session.choose_frame(session.specimen.frames[0].id)
    assert session.seeing == Seeing(underwater=True)
    adjusted(person)


def test_what_comes_too_late_is_dropped(person):
    session, canvas = person.session, person.window.canvas
    person.key(Qt.Key.Key_U)  # Asked for, and at once the next picture.
    session.choose_frame(session.specimen.frames[1].id)
    person.wait(lambda: bool(canvas.levels))
    person.wait(lambda: not canvas._eye.busy)
    assert not canvas.shows_adjusted


def test_a_view_that_moves_is_adjusted_where_it_comes_to(person):
    canvas = person.window.canvas
    person.key(Qt.Key.Key_U)
    adjusted(person)
    for _ in range(4):
        canvas.zoom_in()
    canvas.pan(300, 120)

    def covered():
        needed = canvas._in_view(0) & canvas._frame()
        copy = canvas._adjusted
        return copy.zoom == canvas._device_zoom() and copy.part.contains(needed)

    person.wait(covered)
    person.wait(lambda: not canvas._eye.busy)


def test_nothing_of_it_is_stored_or_measured(person):
    session = person.session
    before, undo = session.assessment, session.undo_name
    person.key(Qt.Key.Key_T)
    person.key(Qt.Key.Key_U)
    adjusted(person)
    assert session.assessment is before
    assert session.undo_name == undo
    assert session.saving.n_waiting == 0
    levels = person.window.canvas.levels
    assert levels[0] == person.window.canvas._picture.largest


def test_sliders_follow_keys_and_keys_follow_sliders(person):
    person.key(Qt.Key.Key_V, Qt.KeyboardModifier.ShiftModifier)
    strip = person.window.strips._made["seeing"]
    assert person.window.strips.current == "seeing"
    person.look_at_picture()
    person.key(Qt.Key.Key_T)
    assert strip.contrast.value() == round(10 * see.CONTRAST)
    strip.brightness.setFocus()
    person.key(Qt.Key.Key_Right)
    assert see.steps_of(person.session.seeing) == 1
    assert strip.stops.text().startswith("+0.3")
    # The strip says that the key is held for the picture as it is: there as well.
    for kind, held in ((QEvent.Type.KeyPress, True), (QEvent.Type.KeyRelease, False)):
        press(strip.brightness, kind, Qt.Key.Key_V)
        assert person.window.canvas.holds_original is held
    strip.underwater.setFocus()
    person.key(Qt.Key.Key_Space)
    assert person.session.seeing.underwater
    person.press(strip.plain)
    assert person.session.seeing == Seeing()
    assert strip.contrast.value() == strip.brightness.value() == 0
    assert not strip.underwater.isChecked()
