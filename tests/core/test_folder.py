"""A collection to a folder of JSON and back: nothing lost, nothing invented."""

import json
import shutil
from contextlib import closing, suppress

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from landmarks.changes import Change, ChangeSet, Document, difference, reverse
from landmarks.collection import About
from landmarks.errors import HingelineError, NewerFormatError, StoreError
from landmarks.finding import SavedFilter, parse_filter, saved_filter_parts
from landmarks.sentences import Sentence, text
from landmarks.specimen import Label, Specimen, parts_of
from landmarks.storage import MemoryStore, Saved, open_sqlite
from landmarks.storage.folder import restore_folder, write_folder
from landmarks.storage.packing import settled
from landmarks.storage.whole import whole_of
from tests import strategies as some
from tests.old import write_format_2

ABOUT = About("c0ffee", "drawers", "2026-01-02T03:04:05Z")
COLLECTION = Document("collection", ABOUT.id)
SHELL = Specimen("s1", label=Label("PMM 7"))
HERE = Document("specimen", "s1")
KINDS = ("collection", "person", "picture", "specimen")


def deed(name, *changes, **more):
    return ChangeSet(name, Sentence("plain", {"words": name}), changes, **more)


def everything(store):
    """Every document that is there, with its settled parts."""
    found = store.load(*(one for kind in KINDS for one in store.documents(kind)))
    return {
        document: {part: settled(raw) for part, raw in loaded.parts.items()}
        for document, loaded in found.items()
    }


@pytest.fixture
def store(tmp_path):
    """The drawer of format 2: everything the format can say."""
    write_format_2.write(tmp_path)
    path = tmp_path / "drawer.hingeline"
    with closing(open_sqlite(path)) as made:
        strange = Document("specimen", "No/such:name ")
        assert isinstance(
            made.commit(
                deed(
                    "of a later version",
                    Change(strange, "exists", None, True),
                    Change(strange, "label", None, {"depth": "", "later": [1.5]}),
                    Change(strange, "weighing/1", None, {"g": 812}),
                    Change(made.documents("collection")[0], "shelf", None, {"row": 4}),
                    Change(made.documents("person")[0], "address", None, "Port Maren"),
                    Change(made.documents("picture")[0], "lamp", None, {"k": 5600}),
                    extra={"bench": 2},
                )
            ),
            Saved,
        )
        yield made


@pytest.mark.parametrize("history", [True, False])
def test_there_and_back_nothing_is_lost(store, tmp_path, history):
    folder, path = tmp_path / "plain", tmp_path / "back.hingeline"
    written = write_folder(store, folder, history=history)
    assert written.n_deeds == (store.latest() if history else 0)
    restore_folder(folder, path)
    with closing(open_sqlite(path)) as back:
        assert everything(back) == everything(store)
        assert whole_of(back) == whole_of(store)
        assert back.check() == ()
        if history:
            assert back.history() == store.history()
            documents = store.documents("specimen")
            revisions = [
                {one: found.revision for one, found in any_.load(*documents).items()}
                for any_ in (store, back)
            ]
            assert revisions[0] == revisions[1]


def test_twice_there_is_byte_for_byte_the_same(store, tmp_path):
    write_folder(store, tmp_path / "one")
    restore_folder(tmp_path / "one", tmp_path / "back.hingeline")
    with closing(open_sqlite(tmp_path / "back.hingeline")) as back:
        write_folder(back, tmp_path / "two")
    files = [
        {
            one.relative_to(root): one.read_bytes()
            for one in root.rglob("*")
            if one.is_file()
        }
        for root in (tmp_path / "one", tmp_path / "two")
    ]
    assert files[0] == files[1]
    assert len(files[0]) > 6


def test_what_is_changed_by_hand_becomes_one_more_step(store, tmp_path):
    folder = tmp_path / "plain"
    write_folder(store, folder)
    file = folder / "specimens" / f"{write_format_2.first.SHELL}.json"
    raw = json.loads(file.read_text(encoding="utf-8"))
    raw["label"]["locality"] = "another reef"
    file.write_text(json.dumps(raw), encoding="utf-8")
    (folder / "specimens" / f"{write_format_2.first.LIVING}.json").unlink()
    shutil.copy(file, folder / "specimens" / "mine.json")
    with pytest.raises(HingelineError, match="twice"):
        restore_folder(folder, tmp_path / "no.hingeline")
    raw["id"] = "mine"
    (folder / "specimens" / "mine.json").write_text(json.dumps(raw), encoding="utf-8")
    restore_folder(
        folder, tmp_path / "back.hingeline", person="ada", at="2026-05-05T00:00:00Z"
    )
    with closing(open_sqlite(tmp_path / "back.hingeline")) as back:
        shell = Document("specimen", write_format_2.first.SHELL)
        assert back.load(shell)[shell].parts["label"]["locality"] == "another reef"
        ids = {one.id for one in back.documents("specimen")}
        assert "mine" in ids
        assert write_format_2.first.LIVING not in ids
        assert len(back.history(shell)) == len(store.history(shell)) + 1
        last = back.history(shell)[0].change_set
        assert (last.person, text(last.deed)) == ("ada", "take over the files of plain")


def test_some_specimens_come_with_their_pictures_and_without_history(store, tmp_path):
    written = write_folder(store, tmp_path / "some", specimens=[write_format_2.first.SHELL])
    assert (written.n_specimens, written.n_deeds) == (1, 0)
    assert 0 < written.n_pictures <= 2
    restore_folder(tmp_path / "some", tmp_path / "back.hingeline")
    with closing(open_sqlite(tmp_path / "back.hingeline")) as back:
        assert back.check() == ()
        assert [one.id for one in back.documents("specimen")] == [
            write_format_2.first.SHELL
        ]


def test_memory_goes_to_a_folder_too(tmp_path):
    store = MemoryStore(ABOUT)
    store.commit(deed("a", *difference(HERE, {}, parts_of(SHELL))))
    saved = SavedFilter("f", "Long", (parse_filter("shell_length > 80"),))
    store.commit(deed("b", *difference(COLLECTION, {}, saved_filter_parts(saved))))
    write_folder(store, tmp_path / "plain")
    restore_folder(tmp_path / "plain", tmp_path / "back.hingeline")
    with closing(open_sqlite(tmp_path / "back.hingeline")) as back:
        assert everything(back) == everything(store)
        assert back.history() == store.history()


def files_there(root):
    return sorted(path.relative_to(root) for path in root.rglob("*"))


@pytest.mark.parametrize(
    ("file", "content", "said"),
    [
        ("collection.json", None, "collection.json is missing"),
        ("collection.json", b"{", "is not JSON"),
        ("collection.json", b"[]", "stands where"),
        ("collection.json", b'{"format": 99}', "newer version"),
        (
            "collection.json",
            b'{"format": 1, "collection": {"id": "x"}}',
            "another collection",
        ),
        ("history.jsonl", b"", ""),
        ("history.jsonl", b"nonsense\n", "line 1"),
        ("history.jsonl", b'{"id": "x", "deed": {}, "changes": []}\n', "does not follow"),
        ("specimens/a.json", b"\xff\xfe", "specimens/a.json"),
        ("specimens/a.json", b'{"id": "s1"}', "does not say which format"),
        ("specimens/a.json", b'{"format": 1, "id": ""}', "is missing in specimens/a.json"),
        ("specimens/a.json", b'{"format": 1, "id": "s", "other_parts": 3}', "other_parts"),
        ("pictures/a.json", b'{"format": 1}', "pictures/a.json"),
        ("pictures/a.json", b'{"format": 1, "picture": {"id": "p", "path": 3}}', "path"),
        ("pictures/a.json", b'{"format": 7}', "newer version"),
    ],
)
def test_a_file_that_cannot_be_read_is_named_and_nothing_is_left(
    store, tmp_path, file, content, said
):
    folder, path = tmp_path / "plain", tmp_path / "out" / "back.hingeline"
    path.parent.mkdir()
    write_folder(store, folder)
    if content is None:
        (folder / file).unlink()
    else:
        (folder / file).write_bytes(content)
    if not said:  # An empty history is none.
        restore_folder(folder, path)
        return
    with pytest.raises(HingelineError) as caught:
        restore_folder(folder, path)
    assert said in str(caught.value)
    assert files_there(path.parent) == []
    if "newer" in said:
        assert isinstance(caught.value, NewerFormatError)


def test_a_history_with_a_step_taken_out_is_refused(store, tmp_path):
    folder = tmp_path / "plain"
    write_folder(store, folder)
    lines = (folder / "history.jsonl").read_text(encoding="utf-8").splitlines(keepends=True)
    (folder / "history.jsonl").write_text("".join(lines[:1] + lines[2:]), encoding="utf-8")
    with pytest.raises(HingelineError, match="does not follow"):
        restore_folder(folder, tmp_path / "back.hingeline")
    assert not (tmp_path / "back.hingeline").exists()


def test_nothing_is_overwritten_and_half_a_folder_never_stands(
    store, tmp_path, monkeypatch
):
    (tmp_path / "taken").mkdir()
    with pytest.raises(StoreError, match="nothing was overwritten"):
        write_folder(store, tmp_path / "taken")
    with pytest.raises(StoreError, match="no folder"):
        write_folder(store, tmp_path / "none" / "plain")

    def full(*_, **__):
        raise OSError(28, "No space left on device")

    before = files_there(tmp_path)
    monkeypatch.setattr("landmarks.storage.folder_writing._write_history", full)
    with pytest.raises(StoreError, match="No space left"):
        write_folder(store, tmp_path / "plain")
    assert files_there(tmp_path) == before


@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(st.lists(some.specimens, max_size=3, unique_by=lambda one: one.id), st.data())
def test_any_collection_comes_back_exactly(tmp_path_factory, specimens, data):
    root = tmp_path_factory.mktemp("any")
    store = MemoryStore(ABOUT)
    for n, one in enumerate(specimens):
        document = Document("specimen", one.id)
        parts = parts_of(one) | {"later/x": data.draw(some.json_values)}
        done = deed(f"d{n}", *difference(document, {}, parts))
        assert isinstance(store.commit(done), Saved)
        if data.draw(st.booleans()):
            store.commit(reverse(done, id=f"u{n}", person="", at=""))
    write_folder(store, root / "plain", history=data.draw(st.booleans()))
    restore_folder(root / "plain", root / "back.hingeline")
    with closing(open_sqlite(root / "back.hingeline")) as back:
        assert everything(back) == everything(store)


@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(
    st.sampled_from(["collection.json", "history.jsonl", "specimens/s1.json"]),
    st.binary(max_size=3),
    st.integers(0, 2000),
    st.integers(0, 40),
)
def test_a_folder_of_noise_is_read_or_refused_with_a_sentence(
    tmp_path_factory, file, noise, at, n_cut
):
    root = tmp_path_factory.mktemp("noise")
    store = MemoryStore(ABOUT)
    store.commit(deed("a", *difference(HERE, {}, parts_of(SHELL))))
    write_folder(store, root / "plain")
    content = (root / "plain" / file).read_bytes()
    at %= len(content)
    (root / "plain" / file).write_bytes(content[:at] + noise + content[at + n_cut :])
    with suppress(HingelineError):
        restore_folder(root / "plain", root / "back.hingeline")
    left = {path.name for path in root.iterdir()}
    assert left <= {"plain", "back.hingeline"}
