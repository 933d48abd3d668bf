"""A stranger's collection: pictures from elsewhere wait for the person, words stay words."""

import shutil
from contextlib import closing
from dataclasses import fields, replace
from pathlib import Path

import pytest
from PySide6 import QtGui
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QAction
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QTextEdit,
    QWidget,
)

from app.session import Tool, deeds
from app.session.places import MOST_LETTERS, Places
from landmarks.changes import ChangeSet, Document, difference
from landmarks.collection import About, Camera, Picture, Rights, person_parts, picture_parts
from landmarks.collection import Person as Worker
from landmarks.errors import PictureError
from landmarks.picture import read_picture
from landmarks.sentences import Sentence
from landmarks.specimen import (
    Determination,
    Frame,
    Label,
    Observation,
    Specimen,
    Where,
    parts_of,
)
from landmarks.storage import open_sqlite
from tests.journeys.conftest import DEMO, open_window, own_folder  # noqa: F401 - fixtures
from tests.journeys.person import Person
from tests.journeys.test_trouble import band, put_notices_away

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

MARKUP = "<img src='file:///x'><a href='http://x'><b>bold</b></a>&amp;"
STRIPS = (
    "start", "picture", "scale", "landmarks", "score", "name", "label", "keys", "repeats",
    "agreement",
)  # fmt: skip


def full_of_markup(path):
    """Make a collection in which every text that anybody can write is markup."""
    file = read_picture(DEMO / "fluted-valve-outside.jpg")
    name = MARKUP.replace("/", "").replace(":", "") + ".jpg"
    shutil.copy(DEMO / "fluted-valve-outside.jpg", path.parent / name)
    file = replace(file, camera=MARKUP, captured=MARKUP, zone=MARKUP, lens=MARKUP)
    rights = Rights(creator=MARKUP, licence=MARKUP, rights_holder=MARKUP)
    picture = Picture("i1", name, file, camera=Camera(setup=MARKUP), rights=rights)
    label = Label(**{one.name: MARKUP for one in fields(Label) if one.type == "str"})
    specimen = Specimen(
        "s1",
        label=label,
        where=Where(region=MARKUP),
        frames=(Frame("f1", "i1", "outside_of_valve"),),
        observations=(
            Observation("o1", MARKUP, state=MARKUP, person="p"),
            Observation("o2", "main_folds", value=5.0, person="p"),
        ),
        determinations=(
            Determination("d1", "free_text", (MARKUP,), name=MARKUP, determiner=MARKUP,
                          remarks=MARKUP, qualifier="cf."),
        ),
    )  # fmt: skip
    person = Document("person", "p")
    changes = [
        *difference(person, {}, person_parts(Worker("p", MARKUP, MARKUP))),
        *difference(Document("picture", "i1"), {}, picture_parts(picture)),
        *difference(Document("specimen", "s1"), {}, parts_of(specimen)),
    ]
    about = About("c", MARKUP)
    with closing(open_sqlite(path, create=True, about=about)) as store:
        deed = Sentence("plain", {"words": MARKUP})
        store.commit(ChangeSet("d", deed, tuple(changes), person="p"))


def might_be_rich(said):
    """Return whether Qt would take a tip for markup; it also takes what is escaped."""
    return QtGui.Qt.mightBeRichText(said)


def read_as_markup(window):
    """Return every text of a window in which Qt would read markup that somebody wrote."""
    found = []
    for one in (window.shell, *window.shell.findChildren(QWidget)):
        where = one.objectName() or type(one).__name__
        plain = isinstance(one, QLabel) and one.textFormat() == Qt.TextFormat.PlainText
        if isinstance(one, QLabel) and "<img" in one.text() and not plain:
            found.append((where, "label", one.text()))
        if isinstance(one, QTextEdit) and "<img" in one.toHtml():
            found.append((where, "rich text", one.toPlainText()))
        for kind in ("toolTip", "whatsThis"):
            said = getattr(one, kind)()
            if "<img" in said and might_be_rich(said):
                found.append((where, kind, said))
        if isinstance(one, QAbstractItemView) and one.model() is not None:
            model = one.model()
            for row in range(min(model.rowCount(), 50)):
                said = model.index(row, 0).data(Qt.ItemDataRole.ToolTipRole) or ""
                if "<img" in str(said) and might_be_rich(str(said)):
                    found.append((where, "tip of a row", said))
    for action in window.shell.findChildren(QAction):
        said = action.toolTip()
        if "<img" in said and might_be_rich(said):
            found.append((action.objectName(), "tip of an action", said))
    return found


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


def test_a_collection_full_of_markup_is_shown_as_it_is_written(
    open_window,  # noqa: F811
    tmp_path,
):
    path = tmp_path / "drawer.hingeline"
    full_of_markup(path)
    person = open_window(path)
    window, session = person.window, person.session
    seen = 0
    for strip in STRIPS:
        window.start_characters() if strip == "score" else window.open_strip(strip)
        QApplication.processEvents()
        assert read_as_markup(window) == [], strip
        seen += sum("<b>bold" in words for words in all_words(window))
    assert seen > len(STRIPS), "it stands on the screen as it was written"
    deeds.determine(session, "free_text", [], name=MARKUP)
    person.wait_until_saved()
    session.notice(PictureError("picture.empty", file=MARKUP).sentence, "error")
    deeds.set_label(session, Label(catalogue_number=MARKUP, locality="B"))
    person.wait_until_saved()
    assert read_as_markup(window) == []
    session.undo()
    person.wait_until_saved()
    assert read_as_markup(window) == []
    for aim in (Tool("scale"), Tool("frame"), Tool("landmark", "umbo")):
        session.take_tool(aim)
        assert read_as_markup(window) == []
    session.take_tool(None)


def test_markup_is_drawn_letter_by_letter(open_window, tmp_path):  # noqa: F811
    """Rich text would hide the tag: what is drawn of it is as wide as its letters."""
    path = tmp_path / "drawer.hingeline"
    full_of_markup(path)
    person = open_window(path)
    for label in person.window.shell.findChildren(QLabel):
        if "<b>bold" in label.text() and label.isVisible() and not label.wordWrap():
            width = label.fontMetrics().horizontalAdvance(label.text())
            assert label.sizeHint().width() >= width
