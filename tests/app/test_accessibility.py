"""The whole window by keyboard and screen reader, and plain words wherever people write."""

import pytest
from PySide6 import QtGui
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QLabel,
    QLineEdit,
    QWidget,
)

from app.session import Tool, deeds
from landmarks.errors import PictureError
from landmarks.geometry import Point
from landmarks.specimen import Label
from tests.app.helpers_strips import open_strip
from tests.journeys.conftest import open_window, own_folder  # noqa: F401 - fixtures

STRIPS = (
    "start", "picture", "scale", "landmarks", "score", "name", "label", "keys",
    "repeats", "agreement", "gather", "rights", "clock",
)  # fmt: skip
LEAST_TARGET = 24
"""Logical pixels, WCAG 2.2 success criterion 2.5.8 (from memory)."""
TAG = "<img src=x>"


@pytest.fixture
def person(open_window):  # noqa: F811
    return open_window()


def take_keyboard(person):
    """Give the picture the keyboard in the window that is active."""
    person.window.shell.activateWindow()
    person.wait(person.window.shell.isActiveWindow)
    person.window.canvas.setFocus()


def press(person, key):
    here = QApplication.focusWidget()
    assert here is not None, "nothing has the keyboard"
    QTest.keyClick(here, key)
    return QApplication.focusWidget()


def visible(window, kind=QWidget):
    return [one for one in window.shell.findChildren(kind) if one.isVisible()]


def spoken(widget):
    """Return the name that a screen reader says."""
    found = QAccessible.queryAccessibleInterface(widget)
    return found.text(QAccessible.Text.Name) if found is not None else ""


def whole_name(widget):
    chain = []
    while widget is not None:
        chain.append(widget.objectName() or type(widget).__name__)
        widget = widget.parentWidget()
    return " < ".join(chain[:4])


def test_all_that_takes_the_keyboard_has_a_name_and_is_large_enough(person):
    window = person.window
    for strip in STRIPS:
        open_strip(window, strip)
        assert unreachable(window) == [], strip


def test_tab_goes_through_every_part_of_the_window_and_comes_back(person):
    window = person.window
    take_keyboard(person)
    seen, parts = [], set()
    wanted = {
        "canvas": window.canvas,
        "specimens": window.specimens,
        "rail": window.rail,
        "steps": window.steps,
        "header": window.header,
        "side": window.side,
    }
    for _ in range(300):
        here = press(person, Qt.Key.Key_Tab)
        assert here is not None, whole_name((seen or [window.canvas])[-1])
        parts |= {
            name for name, one in wanted.items() if one is here or one.isAncestorOf(here)
        }
        if here is window.canvas:
            break
        seen.append(here)
    assert here is window.canvas, "the round comes back to the picture"
    assert parts == set(wanted)
    assert len(set(map(id, seen))) == len(seen)
    for one in seen:
        assert one.isVisible()
    press(person, Qt.Key.Key_Backtab)
    assert QApplication.focusWidget() is seen[-1], "and backwards"


def test_an_open_strip_has_the_keyboard_and_esc_gives_it_back_to_the_picture(person):
    window = person.window
    for strip in STRIPS:
        take_keyboard(person)
        open_strip(window, strip)
        assert window.strips.isAncestorOf(QApplication.focusWidget()), strip
        for _ in range(3):
            press(person, Qt.Key.Key_Escape)
            if not window.strips.isVisible():
                break
        assert not window.strips.isVisible(), strip
        assert QApplication.focusWidget() is window.canvas, strip


def unreachable(window):
    """Return what takes the keyboard without a name, and buttons that are too small."""
    nameless = [
        whole_name(one)
        for one in visible(window)
        if one.focusPolicy() & Qt.FocusPolicy.TabFocus
        # A viewport hands the keyboard to the view round it.
        and one.focusProxy() is None
        and not spoken(one).strip()
    ]
    small = [
        (spoken(one), one.width(), one.height())
        for one in visible(window, QAbstractButton)
        if min(one.width(), one.height()) < LEAST_TARGET
        # Qt's own cross inside a field: Esc there does the same.
        and not isinstance(one.parentWidget(), QLineEdit)
    ]
    return nameless + small


def test_the_pages_in_place_of_the_picture_can_be_reached_and_show_plain_words(
    person, tmp_path
):
    from tests.journeys.dives import make_dive

    window = person.window
    paths = make_dive(tmp_path / "dive", 6, 3)
    named = paths[0].rename(paths[0].with_name(f"{TAG}.jpg"))
    (tmp_path / "dive" / f"{TAG} too.jpg").write_text("no picture")
    window.files.take_in([tmp_path / "dive"])
    person.wait(lambda: window.sorting.table is not None)
    table = window.sorting.table
    person.wait(lambda: not table.sorting.reading and not person.session.desk.busy)
    table.sheet.select({str(named)}, str(named))
    assert unreachable(window) == []
    assert rich(window) == []
    assert TAG in table.sheet.accessibleDescription()
    window.shell.activateWindow()
    person.wait(window.shell.isActiveWindow)
    table.sheet.setFocus()
    seen, here = set(), press(person, Qt.Key.Key_Tab)
    while here not in seen and len(seen) < 200:
        seen.add(here)
        here = press(person, Qt.Key.Key_Tab)
    wanted = {table.sheet, table.how.method, table.how.gap, table.cancel, table.take_in}
    assert wanted <= seen, "Tab comes to every part of the table"
    person.press(table.cancel)
    labels = tmp_path / "labels.csv"
    labels.write_text(f"Number,Locality,{TAG}\nPMM 2024.118,{TAG},{TAG}\n")
    window.labels.open(labels)
    page = window.labels.page
    person.wait(lambda: page.labelling.joined is not None and not page.labelling.busy)
    assert unreachable(window) == []
    assert rich(window) == []
    window.labels.close()


def rich(window):
    """Return everything on screen that Qt would read as marked-up text."""
    found = []
    for one in visible(window):
        if isinstance(one, QLabel) and TAG in one.text():
            plain = one.textFormat() == Qt.TextFormat.PlainText
            if not plain:
                found.append(("label", whole_name(one), one.text()))
        tip = one.toolTip()
        if TAG in tip and QtGui.Qt.mightBeRichText(tip):
            found.append(("tip", whole_name(one), tip))
    return found


def labels_with_tag(window):
    """Return whether the tag stands anywhere in words."""
    words = [one.text() for one in visible(window, QLabel)]
    words += [spoken(one) for one in visible(window)]
    return any(TAG in one for one in words)


def test_what_people_write_is_shown_as_they_wrote_it_everywhere(person):
    window, session = person.window, person.session
    deeds.set_label(
        session,
        Label(
            catalogue_number=TAG, locality=TAG, collector=TAG, habitat=TAG,
            verbatim=TAG, remarks=TAG, collected=TAG, depth=TAG,
        ),
    )  # fmt: skip
    deeds.determine(session, "free_text", [], name=TAG, determiner=TAG, remarks=TAG)
    session.notice(PictureError("picture.empty", file=f"{TAG}.jpg").sentence, "error")
    person.wait(lambda: not session.desk.busy)
    person.wait(lambda: session.rows[0].catalogue_number == TAG or any(
        row.catalogue_number == TAG for row in session.rows))  # fmt: skip
    assert rich(window) == []
    assert labels_with_tag(window)
    for strip in STRIPS:
        open_strip(window, strip)
        assert rich(window) == [], strip
    for tool in (Tool("scale"), Tool("frame"), Tool("landmark", "umbo")):
        session.hand.take_tool(tool)
        assert rich(window) == []
    session.hand.take_tool(None)
    deeds.add_specimen_on_picture(session, session.frame.region or _box(session))
    person.wait(lambda: not session.desk.busy)
    assert rich(window) == []


def _box(session):
    from landmarks.geometry import Box

    width, height = session.picture.size
    return Box(10, 10, width / 2, height / 2)


def test_the_name_of_a_picture_file_is_shown_as_it_is(open_window, tmp_path):  # noqa: F811
    import shutil

    from tests.journeys.conftest import DEMO

    file = shutil.copy(DEMO / "fluted-valve-outside.jpg", tmp_path / f"{TAG}.jpg")
    person = open_window(file)
    person.wait(lambda: person.session.picture is not None)
    for strip in ("picture", "scale"):
        open_strip(person.window, strip)
        assert rich(person.window) == []
    open_strip(person.window, "picture")
    assert labels_with_tag(person.window)


def test_a_mark_can_be_placed_chosen_and_taken_back_without_a_mouse(person):
    session, window = person.session, person.window
    take_keyboard(person)
    open_strip(window, "landmarks")
    listed = window.strips._made["landmarks"]
    assert spoken(listed).strip() or listed.focusProxy() is not None
    placing = next(one for one in session.specimen.placings if one.points)
    session.hand.choose_mark((placing.id, 0))
    take_keyboard(person)
    press(person, Qt.Key.Key_Right)
    moved = next(one for one in session.specimen.placings if one.id == placing.id)
    assert moved.points[0] == Point(placing.points[0].x + 1, placing.points[0].y)
    press(person, Qt.Key.Key_Delete)
    left = [one for one in session.specimen.placings if one.id == placing.id]
    assert not left or len(left[0].points) == len(placing.points) - 1
