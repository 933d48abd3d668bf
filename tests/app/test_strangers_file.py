"""A stranger's collection: pictures from elsewhere wait for the person, words stay words."""

import ast
import shutil
import socket
import sys
from contextlib import closing
from pathlib import Path

import pytest
from PySide6 import QtGui
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QAction
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QCheckBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QRadioButton,
    QTextEdit,
    QToolButton,
    QWidget,
)

import app
from app.session import Tool, deeds
from app.session.places import MOST_LETTERS, Places
from app.style import drawings
from app.window.strips import STRIPS
from landmarks.changes import Change, ChangeSet, Document, difference
from landmarks.collection import About, Picture, picture_parts
from landmarks.errors import PictureError
from landmarks.picture import read_picture
from landmarks.sentences import Sentence
from landmarks.specimen import Frame, Label, Specimen, parts_of
from landmarks.storage import open_sqlite
from tests.journeys.conftest import DEMO, open_window, own_folder  # noqa: F401 - fixtures
from tests.journeys.person import Person
from tests.journeys.test_trouble import band, put_notices_away
from tests.strangers import MARKUP, WORDS, as_file_name, full_of_words

HOME = Path("/museum/drawer")
PLAIN = Label(catalogue_number="X 1")


@pytest.mark.parametrize(
    ("path", "allowed"),
    [
        ("shell.jpg", True),
        ("dive 7/shell.jpg", True),
        ("dive 7/../shell.jpg", True),
        ("../shell.jpg", False),
        ("dive 7/../../shell.jpg", False),
        ("/museum/drawer/shell.jpg", True),
        ("/museum/drawer/../other/shell.jpg", False),
        ("/museum/drawers/shell.jpg", False),
        ("/etc/passwd", False),
        ("//host/share/shell.jpg", False),
        ("\\\\host\\share\\shell.jpg", False),
        ("//museum/drawer/shell.jpg", False),
        ("C:/pictures/shell.jpg", False),
        ("C:\\pictures\\shell.jpg", False),
    ],
)
def test_pictures_are_opened_beside_the_collection_and_nowhere_else(path, allowed):
    assert Places().allow(path, HOME) is allowed


def test_folders_a_person_agreed_to_are_kept_and_hold_for_what_lies_inside():
    kept = []
    places = Places([], kept.append)
    places.agree(Path("/photos/2024"))
    assert places.allow("/photos/2024/reef/shell.jpg", HOME)
    assert not places.allow("/photos/2024 other/shell.jpg", HOME)
    assert not places.allow("/photos/2024/../secret.jpg", HOME)
    places.agree(Path("//nas/photos"))
    assert places.allow("//nas/photos/shell.jpg", HOME)
    assert not places.allow("//nas/other/shell.jpg", HOME)
    again = Places(kept[-1].split("\n"))
    assert again.allow("/photos/2024/shell.jpg", HOME)


def test_what_is_kept_of_them_stays_short():
    kept = []
    places = Places([], kept.append)
    for number in range(500):
        places.agree(Path(f"/photos/{number:050d}"))
    assert len(kept[-1]) <= MOST_LETTERS
    assert places.allow(f"/photos/{499:050d}/a.jpg", HOME)


# -- at the window -------------------------------------------------------------------------


@pytest.fixture
def stranger(tmp_path):
    """A collection by somebody else, and a picture it names that lies elsewhere."""
    elsewhere = tmp_path / "private"
    elsewhere.mkdir()
    secret = Path(shutil.copy(DEMO / "fluted-valve-outside.jpg", elsewhere / "own.jpg"))
    folder = tmp_path / "sent"
    folder.mkdir()
    return folder / "drawer.hingeline", secret


def made(path, written, label=PLAIN):
    """Make a collection of one specimen on one picture, named by this path."""
    file = read_picture(DEMO / "fluted-valve-outside.jpg")
    picture = Picture("i1", written, file)
    frame = Frame("f1", "i1", "outside_of_valve")
    specimen = Specimen("s1", label=label, frames=(frame,))
    changes = [
        *difference(Document("picture", "i1"), {}, picture_parts(picture)),
        *difference(Document("specimen", "s1"), {}, parts_of(specimen)),
    ]
    with closing(open_sqlite(path, create=True, about=About("c", "sent"))) as store:
        deed = Sentence("plain", {"words": "made by a stranger"})
        store.commit(ChangeSet("d", deed, tuple(changes)))


@pytest.mark.parametrize("relative", [False, True])
def test_a_picture_outside_waits_until_the_person_agrees(
    open_window,  # noqa: F811
    stranger,
    monkeypatch,
    relative,
):
    path, secret = stranger
    made(path, "../private/own.jpg" if relative else str(secret))
    with monkeypatch.context() as patient:
        patient.setattr(Person, "wait_until_readable", lambda one: one.wait(
            lambda: one.session.specimen is not None and not one.session.desk.busy))  # fmt: skip
        person = open_window(path)
    person.wait(lambda: "was not opened" in band(person))
    assert "“own.jpg”" in band(person)
    assert not person.window.canvas.has_picture
    assert person.window.thumbnails._made == {}
    put_notices_away(person)
    (action,) = [
        one
        for one in person.window.shell.findChildren(QAction)
        if one.text() == "Open pictures from this folder"
    ]
    assert action.isEnabled()
    action.trigger()
    person.wait(lambda: person.window.canvas.has_picture)
    person.close()

    person = open_window(path)
    assert person.window.canvas.has_picture, "the folder is remembered"


def test_a_picture_beside_the_collection_is_opened_at_once(open_window, stranger):  # noqa: F811
    path, secret = stranger
    shutil.copy(secret, path.parent / "own.jpg")
    made(path, "own.jpg")
    person = open_window(path)
    assert person.window.canvas.has_picture
    assert "was not opened" not in band(person)


# -- words ---------------------------------------------------------------------------------

SCREENS = (*STRIPS, "keys")
"""Every strip that stands without an instrument at work."""


def might_be_rich(said):
    """Return whether Qt would take a tip for markup that a stranger wrote."""
    return "<img" in said and QtGui.Qt.mightBeRichText(said)


def read_as_markup(window):
    """Return every text of a window in which Qt would read markup that somebody wrote."""
    found = []
    for one in (window.shell, *window.shell.findChildren(QWidget)):
        where = one.objectName() or type(one).__name__
        # A label that decides by itself would do so at the next text, whatever it has now.
        if isinstance(one, QLabel) and one.textFormat() != Qt.TextFormat.PlainText:
            found.append((where, "label", one.text()))
        if isinstance(one, QTextEdit) and "<img" in one.toHtml():
            found.append((where, "rich text", one.toPlainText()))
        for kind in ("toolTip", "whatsThis", "statusTip"):
            said = getattr(one, kind)()
            if might_be_rich(said):
                found.append((where, kind, said))
        if isinstance(one, QAbstractItemView) and one.model() is not None:
            model = one.model()
            for row in range(min(model.rowCount(), 50)):
                for column in range(30):
                    cell = model.index(row, column)
                    if not cell.isValid():
                        break
                    said = cell.data(Qt.ItemDataRole.ToolTipRole)
                    if might_be_rich(str(said or "")):
                        found.append((where, "tip of a cell", said))
    for action in window.shell.findChildren(QAction):
        if might_be_rich(action.toolTip()):
            found.append((action.objectName(), "tip of an action", action.toolTip()))
    return found


def mnemonics(window):
    """Return words of a stranger on buttons and in menus of which an ampersand is taken."""
    shown = [
        one.text()
        for one in window.shell.findChildren(QAbstractButton)
        if isinstance(one, QPushButton | QCheckBox | QRadioButton | QToolButton)
    ]
    shown += [one.text() for one in window.shell.findChildren(QAction)]
    return [words for words in shown if "<img" in words and "&" in words.replace("&&", "")]


def all_words(window):
    """Return every text that stands somewhere in a window."""
    words = [one.text() for one in window.shell.findChildren(QLabel)]
    words += [one.text() for one in window.shell.findChildren(QLineEdit)]
    words += [one.toPlainText() for one in window.shell.findChildren(QPlainTextEdit)]
    words += [one.text() for one in window.shell.findChildren(QAction)]
    for one in window.shell.findChildren(QWidget):
        face = QAccessible.queryAccessibleInterface(one)
        words.append(face.text(QAccessible.Text.Name) if face is not None else "")
    return [*words, window.shell.windowTitle()]


def sound(window, where):
    """Expect words of a stranger to be words, and the window to have room for them."""
    assert read_as_markup(window) == [], where
    assert mnemonics(window) == [], where
    assert window.shell.minimumSizeHint().width() <= window.shell.width(), where


def test_a_collection_full_of_markup_is_shown_as_it_is_written(
    open_window,  # noqa: F811
    tmp_path,
    monkeypatch,
):
    def refuse(*_):
        raise AssertionError("a request was made")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    person = open_window(full_of_words(tmp_path / "drawer.hingeline"))
    window, session = person.window, person.session
    window.shell.resize(1120, 800)
    person.wait(lambda: window.shell.minimumSizeHint().width() <= 1120)
    seen = 0
    for key in WORDS:
        session.choose(f"s-{key}")
        person.wait(lambda key=key: session.specimen.id == f"s-{key}")
        # Markup goes through every screen, what else there is through what is always there.
        for strip in SCREENS if key == "markup" else ("label",):
            window.start_characters() if strip == "score" else window.open_strip(strip)
            QApplication.processEvents()
            sound(window, (key, strip))
    session.choose("s-markup")
    person.wait(lambda: session.specimen.id == "s-markup")
    for strip in ("name", "label", "rights"):
        window.open_strip(strip)
        seen += sum("<b>bold" in words for words in all_words(window))
    assert seen > 10, "it stands on the screen as it was written"
    assert f"{MARKUP} [*][*]" in window.shell.windowTitle()
    window.tabling.open()
    person.wait(lambda: window.tabling.table.model.row(0) is not None)
    sound(window, "table")
    window.tabling.close()

    window.open_strip("check")
    strip = window.strips.made("check")
    strip.check_wanted.emit()
    person.wait(lambda: not window.keeping.at_work)
    sound(window, "check")
    deeds.determine(session, "free_text", [], name=MARKUP)
    person.wait_until_saved()
    session.notice(PictureError("picture.empty", file=MARKUP).sentence, "error")
    deeds.set_label(session, Label(catalogue_number=MARKUP, locality="B"))
    person.wait_until_saved()
    sound(window, "notice")
    session.undo()
    person.wait_until_saved()
    sound(window, "undone")
    for aim in (Tool("scale"), Tool("frame"), Tool("landmark", "umbo")):
        session.hand.take_tool(aim)
        sound(window, aim)
    session.hand.take_tool(None)
    assert not any(one.startswith("PySide6.QtNetwork") for one in sys.modules)


def test_pictures_with_odd_names_are_sorted_by_them(open_window, tmp_path):  # noqa: F811
    folder = tmp_path / "dive"
    folder.mkdir()
    full_of_words(folder / "sent.hingeline")
    (folder / f"no{as_file_name(MARKUP)}").write_text("no picture")
    person = open_window(*sorted(folder.glob("*.jpg")))
    person.wait(lambda: person.window.sorting.table is not None)
    table = person.window.sorting.table
    person.wait(lambda: not table.sorting.reading)
    table.sorting.propose("name")
    QApplication.processEvents()
    sound(person.window, "sorting")


def test_both_sides_of_a_conflict_are_words(open_window, tmp_path):  # noqa: F811
    person = open_window(full_of_words(tmp_path / "drawer.hingeline"))
    session = person.session
    session.choose("s-markup")
    person.wait(lambda: session.specimen.id == "s-markup")
    here = Document("specimen", "s-markup")
    with closing(open_sqlite(session.path)) as other:
        was = other.load(here)[here].parts["label"]
        theirs = Change(here, "label", was, {"locality": f"theirs {MARKUP}"})
        other.commit(ChangeSet("o", Sentence("plain", {"words": MARKUP}), (theirs,)))
    deeds.set_label(session, Label(locality=f"mine {MARKUP}"))
    person.wait(lambda: session.saving.state == "failed")
    assert f"theirs {MARKUP}" in band(person)
    sound(person.window, "conflict")


# -- so that it stays so -------------------------------------------------------------------


def is_plain(said):
    """Return whether what is handed on as a tip can hold no markup of a stranger."""
    match said:
        case ast.Constant(value="") | ast.Call(func=ast.Name(id="plain_tip")):
            return True
        case ast.IfExp(body=one, orelse=other):
            return is_plain(one) and is_plain(other)
        case ast.Call(
            func=ast.Name(id="say"), args=[ast.Constant() | ast.JoinedStr()], keywords=[]
        ):
            return True
    return False


def test_every_tip_is_made_plain_and_no_label_decides_by_itself():
    """Qt looks at labels, tips and messages, and takes what looks like a tag for one."""
    found = []
    for path in sorted(Path(app.__file__).parent.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            called = getattr(node.func, "attr", getattr(node.func, "id", ""))
            if called in ("setToolTip", "setWhatsThis", "setStatusTip", "showText"):
                said = node.args[1 if called == "showText" else -1]
                if not is_plain(said):
                    found.append(f"{path.name}:{node.lineno}: {ast.unparse(said)}")
            if called in DECIDING or (called == "QLabel" and path.name != "label.py"):
                found.append(f"{path.name}:{node.lineno}: {called}")
    assert found == []


DECIDING = (
    "QMessageBox", "QErrorMessage", "QProgressDialog", "QInputDialog", "QTextBrowser",
    "setHtml", "insertHtml", "setMarkdown", "openUrl",
)  # fmt: skip
"""What takes words for markup, or opens what they name."""


@pytest.mark.parametrize("key", ["../../x", "/etc/x", "a\0b", "x" * 10_000, "", "..", "A"])
def test_keys_of_a_stranger_lead_to_no_other_drawing(key):
    assert drawings.state_drawing(key, key) == ""
    assert drawings.view_drawing(key) == ""
    assert drawings.landmark_drawing(key, key) == ""


def test_markup_is_drawn_letter_by_letter(open_window, tmp_path):  # noqa: F811
    """Rich text would hide the tag: what is drawn of it is as wide as its letters."""
    person = open_window(full_of_words(tmp_path / "drawer.hingeline"))
    for label in person.window.shell.findChildren(QLabel):
        if "<b>bold" in label.text() and label.isVisible() and not label.wordWrap():
            width = label.fontMetrics().horizontalAdvance(label.text())
            assert label.sizeHint().width() >= width
