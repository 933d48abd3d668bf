"""What a stranger wrote, in everything that is written: read back as it was, nothing runs."""

import csv
import io
import json
import subprocess
import sys
from contextlib import closing, suppress
from pathlib import Path

import pytest

import app.cli
from app.cli import main
from landmarks.assessment import assess
from landmarks.collection import picture_of
from landmarks.figures import figure_of
from landmarks.identification import compile_tables
from landmarks.outputs.guarding import TRIGGERS, plain, unguard
from landmarks.outputs.png import write_png
from landmarks.outputs.spreadsheets import TABLES, write_tables
from landmarks.specimen import specimen_of
from landmarks.storage import open_sqlite
from landmarks.storage.folder import restore_folder, write_folder
from landmarks.tables import read_tables
from tests.strangers import WORDS, full_of_words

ORDERS = {chr(n) for n in (*range(32), *range(0x7F, 0xA0))} - {"\n"}
TURNS = set("\u2028\u2029\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


@pytest.fixture(scope="module")
def sent(tmp_path_factory):
    """A collection in which every text is a stranger's, with its pictures."""
    folder = tmp_path_factory.mktemp("sent")
    return full_of_words(folder / "drawer.hingeline")


@pytest.fixture(scope="module")
def guide():
    return compile_tables(read_tables())


@pytest.fixture(scope="module")
def store(sent):
    with closing(open_sqlite(sent)) as store:
        yield store


def everything(store):
    """Return every part of every document."""
    kinds = ("collection", "person", "picture", "specimen")
    documents = [one for kind in kinds for one in store.documents(kind)]
    return {one: dict(read.parts) for one, read in store.load(*documents).items()}


def test_no_cell_runs_and_every_one_reads_back(store, guide, tmp_path):
    write_tables(store, guide, tmp_path / "csv", exact_places=True)
    seen = set()
    for name, columns in TABLES.items():
        content = (tmp_path / "csv" / f"{name}.csv").read_bytes().decode("utf-8-sig")
        rows = list(csv.reader(io.StringIO(content, newline=""), strict=True))
        assert rows[0] == list(columns)
        for row in rows[1:]:
            assert len(row) == len(columns), name
            for cell in row:
                number = cell.lstrip("-").replace(".", "", 1).isdigit()
                assert number or cell.lstrip()[:1] not in TRIGGERS or not cell.strip()
                seen.add(unguard(cell))
    for words in WORDS.values():
        assert plain(words) in seen


def test_a_folder_of_json_comes_back_exactly_and_writes_nowhere_else(store, tmp_path):
    out = tmp_path / "out"
    out.mkdir()
    write_folder(store, out / "json")
    assert [one.name for one in out.iterdir()] == ["json"]
    restore_folder(out / "json", out / "back.hingeline")
    with closing(open_sqlite(out / "back.hingeline")) as again:
        assert everything(again) == everything(store)
        assert again.check() == ()


@pytest.mark.parametrize("key", WORDS)
def test_an_annotated_picture_is_pixels_alone(store, sent, tmp_path, key):
    """Words of unknown views and landmarks are drawn; no chunk of the file holds a text."""
    one = next(one for one in store.documents("specimen") if one.id == f"s-{key}")
    specimen = specimen_of(one.id, store.load(one)[one].parts)
    odd = next(frame for frame in specimen.frames if frame.id == f"g-{key}")
    (shown,) = (one for one in store.documents("picture") if one.id == odd.picture)
    picture = picture_of(shown.id, store.load(shown)[shown].parts)
    for frame in specimen.frames:
        out = tmp_path / f"{frame.number}.png"
        figure = figure_of(picture, specimen, frame)
        write_png(sent.parent / picture.path, figure, out, width_px=400)
        assert set(chunks(out.read_bytes())) == {"IHDR", "IDAT", "IEND"}


def chunks(content):
    """Return the names of the chunks of a PNG (ISO/IEC 15948, from memory)."""
    at, names = 8, []
    while at < len(content):
        length = int.from_bytes(content[at : at + 4], "big")
        names.append(content[at + 4 : at + 8].decode("ascii"))
        at += 12 + length
    return names


def test_every_text_is_assessed_like_one_that_nobody_knows(store, guide):
    for one in store.documents("specimen"):
        specimen = specimen_of(one.id, store.load(one)[one].parts)
        answer = assess(specimen, {}, guide).answer
        assert answer.candidates


# -- the terminal --------------------------------------------------------------------------


class Terminal(io.TextIOWrapper):
    """A terminal that knows every sign."""

    def __init__(self):
        super().__init__(io.BytesIO(), encoding="utf-8")

    def said(self):
        self.flush()
        return self.buffer.getvalue().decode("utf-8")


@pytest.fixture
def ask(monkeypatch):
    def ask(*words):
        screen = Terminal()
        with monkeypatch.context() as here:
            here.setattr(sys, "stdout", screen)
            here.setattr(sys, "stderr", screen)
            with suppress(SystemExit):
                main([str(word) for word in words])
        return screen.said()

    return ask


def test_nothing_printed_is_an_order_to_the_terminal(ask, store, sent, tmp_path):
    write_folder(store, tmp_path / "json", history=False)
    odd = tmp_path / "odd\x1b[31m\u202e\n.jpg"
    odd.write_text("no picture")
    labels = tmp_path / "labels\x1b[1m.csv"
    row = ",".join('"' + words.replace('"', '""') + '"' for words in WORDS.values())
    labels.write_text(f"catalogue number,file,{row}\n\x1b[31m,\x1b[32m\n", "utf-8")
    pictures = [one for one in sent.parent.iterdir() if one.suffix == ".jpg"]
    records = [tmp_path / "json" / "specimens" / f"s-{key}.json" for key in WORDS]
    calls = [
        ("measure", sent),
        ("check", sent),
        ("repeats", sent),
        *(("identify", record) for record in records),
        ("import", tmp_path / "n.hingeline", *pictures, odd, "--group", "name"),
        ("import", tmp_path / "c.hingeline", *pictures, "--group", "csv",
         "--labels", labels),
        ("check", odd),
        ("measure", tmp_path / "none\x1b]0;x\x07.hingeline"),
        ("export", sent, "--to", "csv", tmp_path / "x", "--where", "loc\x9b3 is x"),
        ("scale", odd, "--line", "1,2,3,\x1b", "--length-mm", "5"),
        ("measure", sent, "--\x1b[31m"),
        ("\x1b[31m",),
    ]  # fmt: skip
    for call in calls:
        for how in ((), ("--json",)):
            said = ask(*call, *how)
            assert said
            assert not set(said) & (ORDERS | TURNS), call


def test_json_that_is_printed_is_the_text_itself(ask, sent):
    numbers = [
        one["catalogue_number"] for one in json.loads(ask("measure", sent, "--json"))
    ]
    assert sorted(numbers) == sorted(WORDS.values())


def test_a_line_of_a_stranger_is_no_line_of_ours(ask, sent):
    """What stands before a colon at the beginning of a line was never forged by a label."""
    said = ask("measure", sent).splitlines()
    assert "one\\ntwo\\r\\n\\tthree\\u2028four" in said
    assert "two" not in said


def test_every_print_goes_through_the_one_door():
    """A second door would let orders through."""
    folder = Path(app.cli.__file__).parent
    others = [
        path.name
        for path in folder.glob("*.py")
        if path.name != "writing.py"
        and any("print(" in line or "sys.stdout.write" in line
                for line in path.read_text("utf-8").splitlines())
    ]  # fmt: skip
    assert others == []


def test_no_request_is_made_while_a_collection_is_read_and_written(sent, tmp_path):
    """Every attempt to reach another machine would end the program."""
    script = (
        "import socket, sys\n"
        "def refuse(*_): raise SystemExit('a request was made')\n"
        "socket.socket.connect = socket.getaddrinfo = refuse\n"
        "from app.cli import main\n"
        "for words in (['measure'], ['check'], ['export', '--to', 'csv', sys.argv[2]]):\n"
        "    assert main([words[0], sys.argv[1], *words[1:]]) in (0, 1)\n"
        "assert 'urllib.request' not in sys.modules and 'http.client' not in sys.modules\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, str(sent), str(tmp_path / "out")],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr[-500:]
