"""A collection that an earlier version wrote opens with everything in it."""

import json
import shutil
from contextlib import closing
from hashlib import sha256
from pathlib import Path

import pytest

from landmarks.changes import Document
from landmarks.codec import read_json
from landmarks.documents import read_collection, write_collection
from landmarks.finding import parse_filter
from landmarks.sentences import text
from landmarks.specimen import specimen_of
from landmarks.storage import Query, contract, open_sqlite
from landmarks.storage.whole import whole_of
from tests.old import write_format_1, write_format_2, write_format_3

OLD = Path(__file__).parents[1] / "old"
FOLDERS = sorted(path for path in OLD.iterdir() if path.name.startswith("format-"))


@pytest.fixture(params=FOLDERS, ids=lambda folder: folder.name)
def folder(request):
    return request.param


@pytest.fixture
def copy(folder, tmp_path):
    return Path(shutil.copy(folder / "drawer.hingeline", tmp_path))


def test_there_is_a_collection_of_every_format():
    formats = [f"format-{n + 1}" for n in range(contract.FORMAT)]
    assert [folder.name for folder in FOLDERS] == formats


def test_an_old_collection_says_the_same_as_the_json_beside_it(folder, copy):
    raw = read_json((folder / "drawer.json").read_bytes(), "drawer.json")
    with closing(open_sqlite(copy)) as store:
        assert whole_of(store) == read_collection(raw)
        assert store.check() == ()


def test_an_old_collection_is_read_without_being_touched(folder):
    path = folder / "drawer.hingeline"
    before = sha256(path.read_bytes()).hexdigest()
    with closing(open_sqlite(path, read_only=True)) as store:
        assert store.count(Query("halverson maxima")) == 1
    assert sha256(path.read_bytes()).hexdigest() == before


def test_the_json_of_format_1_is_written_back_as_it_is():
    raw = json.loads((OLD / "format-1" / "drawer.json").read_text(encoding="utf-8"))
    assert raw == write_format_1.content()
    assert write_collection(read_collection(raw)) == raw


def test_the_history_of_format_1_is_whole(tmp_path):
    path = Path(shutil.copy(OLD / "format-1" / "drawer.hingeline", tmp_path))
    shell = Document("specimen", write_format_1.SHELL)
    with closing(open_sqlite(path)) as store:
        said = [text(past.change_set.deed).lower() for past in store.history()]
        assert said == [
            "undo add a specimen",
            "add a specimen",
            "undo move umbo",
            "move umbo",
            "bring in the drawer",
            "begin the collection",
        ]
        undone, moved, _ = store.history(shell)
        assert undone.change_set.undoes == moved.change_set.id
        assert moved.change_set.extra == {"bench": "two"}
        (change,) = moved.change_set.changes
        assert change.before["points"] == [[2811.25, 612]]
        assert change.after["points"] == [[2800, 600]]
        assert [row.catalogue_number for row in store.list()] == ["PMM 4711", ""]
        row = store.list()[0]
        assert (row.summary, row.stamp) == (write_format_1.SUMMARY, write_format_1.STAMP)


def test_the_script_that_wrote_format_1_still_says_what_it_wrote(tmp_path):
    write_format_1.write(tmp_path)
    written = (tmp_path / "drawer.json").read_bytes()
    assert written == (OLD / "format-1" / "drawer.json").read_bytes()
    with (
        closing(open_sqlite(tmp_path / "drawer.hingeline")) as new,
        closing(open_sqlite(OLD / "format-1" / "drawer.hingeline", read_only=True)) as old,
    ):
        assert whole_of(new) == whole_of(old)
        assert new.history() == old.history()
        assert new.list() == old.list()


def test_an_older_collection_is_found_by_what_was_recorded(copy):
    with closing(open_sqlite(copy)) as store:
        for typed, n in {
            "taxon is tridacna_maxima": 1,
            "qualifier is cf.": 1,
            "determiner contains marsh": 1,
            "level is species": 1,
            "state is mantle_eyes/few": 1,
            "number is 'pmm 4711'": 1,
            "taxon unknown": 1,
            "pictures >= 1": 1,
        }.items():
            assert store.count(Query(filters=(parse_filter(typed),))) == n, typed


def test_format_2_keeps_what_specimens_are_found_by_and_saved_filters(tmp_path):
    path = Path(shutil.copy(OLD / "format-2" / "drawer.hingeline", tmp_path))
    with closing(open_sqlite(path)) as store:
        assert whole_of(store).filters == (write_format_2.FILTER,)
        query = Query(filters=write_format_2.FILTER.filters, columns=("shell_length",))
        (row,) = store.list(query)
        assert row.specimen == write_format_1.SHELL
        assert row.stamp == write_format_2.STAMP
        (length,) = row.facts
        assert (length.number, length.sigma) == (152.5, 0.5)


def test_the_script_that_wrote_format_2_still_says_what_it_wrote(tmp_path):
    write_format_2.write(tmp_path)
    written = (tmp_path / "drawer.json").read_bytes()
    assert written == (OLD / "format-2" / "drawer.json").read_bytes()


def test_format_3_lists_the_region_of_the_first_frame(tmp_path):
    path = Path(shutil.copy(OLD / "format-3" / "drawer.hingeline", tmp_path))
    with closing(open_sqlite(path)) as store:
        (row,) = store.list(Query("halverson maxima"))
        assert row.region == write_format_3.REGION


def test_an_older_collection_lists_the_region_of_the_first_frame_as_well(copy):
    with closing(open_sqlite(copy)) as store:
        (row,) = store.list(Query("halverson maxima"))
        document = Document("specimen", write_format_1.SHELL)
        shell = specimen_of(document.id, store.load(document)[document].parts)
        assert row.region == shell.frames[0].region


def test_the_script_that_wrote_format_3_still_says_what_it_wrote(tmp_path):
    write_format_3.write(tmp_path)
    written = (tmp_path / "drawer.json").read_bytes()
    assert written == (OLD / "format-3" / "drawer.json").read_bytes()
