"""Picture files found by content, wherever they went."""

from hashlib import sha256

import pytest

from landmarks.changes import Change, Document
from landmarks.collection import Picture
from landmarks.picture import PictureFile
from landmarks.picture.opening import withheld
from landmarks.sentences import known, text
from landmarks.storage import moved
from landmarks.storage.moved import (
    CHANGED,
    EMPTY,
    FOLDER,
    GONE,
    HERE,
    MOVED,
    WITHHELD,
    path_changes,
    whereabouts,
)


def picture(name, content):
    file = PictureFile(sha256(content).hexdigest(), len(content), 4, 3)
    return Picture(name, f"pictures/{name}.jpg", file)


ONE, TWO = picture("one", b"first"), picture("two", b"other")


@pytest.fixture
def collection(tmp_path):
    path = tmp_path / "museum" / "drawers.hingeline"
    (path.parent / "pictures").mkdir(parents=True)
    (path.parent / ONE.path).write_bytes(b"first")
    (path.parent / TWO.path).write_bytes(b"other")
    return path


def states(found):
    return [row.state for row in found]


def test_what_is_where_it_was_is_well(collection):
    found = whereabouts((ONE, TWO), collection)
    assert states(found) == [HERE, HERE]
    assert [row.sentence for row in found] == [None, None]
    assert path_changes(found, collection) == ()


def test_what_moved_is_found_by_content_whatever_its_name(collection, tmp_path):
    attic = tmp_path / "attic" / "deep"
    attic.mkdir(parents=True)
    (collection.parent / ONE.path).rename(attic / "x.png")
    (attic / "same size.jpg").write_bytes(b"FIRST")
    assert states(whereabouts((ONE, TWO), collection)) == [GONE, HERE]
    found = whereabouts((ONE, TWO), collection, [tmp_path / "attic"])
    assert states(found) == [MOVED, HERE]
    assert "x.png" in text(found[0].sentence)
    (change,) = path_changes(found, collection)
    document = Document("picture", "one")
    assert change == Change(document, "path", ONE.path, str(attic / "x.png"))


def test_a_path_inside_the_collections_folder_is_kept_relative(collection):
    inside = collection.parent / "scans"
    inside.mkdir()
    (collection.parent / ONE.path).rename(inside / "x.jpg")
    for folders in ([inside], []):
        found = whereabouts((ONE,), collection, folders)
        (change,) = path_changes(found, collection)
        assert change.after == "scans/x.jpg", "its own folder is looked through anyway"


def test_another_content_in_its_place_is_never_taken_for_it(collection, tmp_path):
    (collection.parent / ONE.path).write_bytes(b"FIRST")
    (row,) = whereabouts((ONE,), collection, [collection.parent])
    assert (row.state, row.path) == (CHANGED, None)
    assert "another content" in text(row.sentence)
    (tmp_path / "kept.jpg").write_bytes(b"first")
    (row,) = whereabouts((ONE,), collection, [tmp_path])
    assert (row.state, row.path) == (MOVED, tmp_path / "kept.jpg")


def test_an_emptied_file_or_a_folder_in_its_place_is_told_as_that(collection, tmp_path):
    one, two = (collection.parent / picture.path for picture in (ONE, TWO))
    one.write_bytes(b"")
    two.unlink()
    two.mkdir()
    found = whereabouts((ONE, TWO), collection)
    assert states(found) == [EMPTY, FOLDER]
    empty, folder = (text(row.sentence) for row in found)
    assert (ONE.path in empty, "0 bytes" in empty) == (True, True)
    assert (TWO.path in folder, "folder stands" in folder) == (True, True)
    assert all(known(f"{row.sentence.key}.window") for row in found)
    (tmp_path / "kept.jpg").write_bytes(b"first")
    (two / "inside.jpg").write_bytes(b"other")
    found = whereabouts((ONE, TWO), collection, [tmp_path])
    assert states(found) == [MOVED, MOVED]


def test_a_file_that_may_not_be_read_is_told_as_that(collection, monkeypatch):
    def refused(path):
        raise withheld(path, PermissionError())

    monkeypatch.setattr(moved, "hash_file", refused)
    (row,) = whereabouts((ONE,), collection)
    assert row.state == WITHHELD
    assert "may not be read" in text(row.sentence)
    assert known(f"{row.sentence.key}.window")


@pytest.mark.parametrize(
    "path", ["\\\\server\\share\\a.jpg", "//server/share/a.jpg", "a\0b"]
)
def test_no_collection_makes_this_machine_call_another(collection, monkeypatch, path):
    for one in (ONE, TWO):
        (collection.parent / one.path).unlink()
    asked = []
    monkeypatch.setattr("landmarks.storage.moved.hash_file", asked.append)
    far = Picture("far", path, ONE.file)
    assert states(whereabouts((far,), collection)) == [GONE]
    assert asked == []


def test_folders_that_are_not_there_are_no_trouble(collection, tmp_path):
    (collection.parent / ONE.path).unlink()
    assert states(whereabouts((ONE,), collection, [tmp_path / "none"])) == [GONE]


def test_how_far_it_is_can_be_told(collection):
    told = []
    whereabouts(
        (ONE, TWO), collection, progress=lambda done, total: told.append((done, total))
    )
    assert told == [(1, 2), (2, 2)]
