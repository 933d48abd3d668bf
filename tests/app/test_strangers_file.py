"""A stranger's collection: pictures from elsewhere wait for the person, words stay words."""

import shutil
from contextlib import closing
from pathlib import Path

import pytest
from PySide6.QtGui import QAction

from app.session.places import MOST_LETTERS, Places
from landmarks.changes import ChangeSet, Document, difference
from landmarks.collection import About, Picture, picture_parts
from landmarks.picture import read_picture
from landmarks.sentences import Sentence
from landmarks.specimen import Frame, Label, Specimen, parts_of
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
        ("C:/Users/someone/shell.jpg", False),
        ("C:\\Users\\someone\\shell.jpg", False),
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
