"""The command line: every command in words and as JSON, its exit codes, and no window needed."""

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from shutil import copy

import pytest
from pytest import approx

from app.cli import COMMANDS, DONE, FAULTS, WRONG
from landmarks import __version__
from landmarks.changes import ChangeSet, Document, difference
from landmarks.collection import person_parts, picture_parts
from landmarks.demo import FOLDER, worked_example
from landmarks.documents import FORMAT
from landmarks.measures import MEASURES
from landmarks.sentences import Sentence
from landmarks.specimen import parts_of
from landmarks.storage import Saved, open_sqlite
from landmarks.tables import read_tables
from tests.short_record import SHORT

ROOT = Path(__file__).parents[2]

RECORD = {**SHORT, "region": "red_sea"}
"""That of the manual; region and place are the only liberty taken."""


@pytest.fixture
def record(tmp_path):
    """Write a record and return its path."""

    def write(content):
        path = tmp_path / "shell.json"
        words = content if isinstance(content, str) else json.dumps(content)
        path.write_text(words, encoding="utf-8")
        return path

    return write


@pytest.fixture
def collection(tmp_path):
    """Return a collection file of the worked example, its pictures beside it."""
    example, path = worked_example(), tmp_path / "museum.hingeline"
    store = open_sqlite(path, create=True, about=example.about)
    parts = {
        **{Document("person", one.id): person_parts(one) for one in example.people},
        **{Document("picture", one.id): picture_parts(one) for one in example.pictures},
        **{Document("specimen", one.id): parts_of(one) for one in example.specimens},
    }
    changes = tuple(c for one, made in parts.items() for c in difference(one, {}, made))
    words = Sentence("plain", {"words": "take the example in"})
    assert isinstance(store.commit(ChangeSet("first", words, changes)), Saved)
    store.close()
    for one in example.pictures:
        copy(FOLDER / one.path, tmp_path / one.path)
    return path


def outside(*words, cwd=ROOT, given=None, **environment):
    """Run a command in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "app", *map(str, words)],
        capture_output=True,
        cwd=cwd,
        input=given,
        env={
            **os.environ,
            "PYTHONIOENCODING": "utf-8",
            "PYTHONPATH": str(ROOT),
            **environment,
        },
    )


# -- identify ------------------------------------------------------------------------------


def test_a_record_as_a_person_writes_it_is_ranked(run, record):
    code, out, err = run("identify", record(RECORD))
    assert (code, err) == (DONE, "")
    for one in read_tables().taxa:
        assert one.name in out
    assert "Candidate list, not a determination." in out


def test_the_answer_as_json_has_candidates_fit_answer_and_look_next(run, record):
    code, out, _ = run("identify", record(RECORD), "--json")
    said = json.loads(out)
    assert code == DONE
    assert {"candidates", "fit", "answer", "look_next"} <= said.keys()
    assert sum(one["probability"] for one in said["candidates"]) == approx(1)
    for one in said["candidates"]:
        assert {"taxon", "probability", "supports", "against", "ruled_out_by"} <= one.keys()
    assert said["answer"]["level"] in ("species", "group", "genus", "none")
    assert {"taxa", "text"} <= said["answer"].keys()
    ranked = [one["probability"] for one in said["candidates"]]
    assert ranked == sorted(ranked, reverse=True)


def test_words_and_json_give_the_same_answer(run, record):
    _, words, _ = run("identify", record(RECORD))
    _, out, _ = run("identify", record(RECORD), "--json")
    assert json.loads(out)["answer"]["text"] == words.splitlines()[0]


def test_plain_numbers_and_lower_bounds_are_accepted(run, record):
    short = {"format": 1, "shell_length_mm": 152, "observations": {"main_folds": 5}}
    bound = {"format": 1, "shell_length_mm": {"at_least": 85}}
    for one in (short, bound, {"format": 1}, {"format": 1, "views": ["hinge_edge"]}):
        assert run("identify", record(one))[0] == DONE


def test_a_record_can_come_from_standard_input():
    done = outside("identify", "-", "--json", given=json.dumps(RECORD).encode())
    assert done.returncode == DONE
    assert len(json.loads(done.stdout)["candidates"]) == len(read_tables().taxa)


def test_an_answer_does_not_change_from_run_to_run(run, record):
    twice = {**RECORD, "observations": {"scutes": ["absent", "all_over"]}}
    first, second = (run("identify", record(twice), "--json")[1] for _ in range(2))
    assert first == second


# -- characters, version, help ----------------------------------------------------------------


def test_characters_lists_states_or_units_definitions_views_and_needs(run):
    code, out, _ = run("characters")
    assert code == DONE
    for row in read_tables().characters:
        assert f"{row.key}: {row.name}" in out
        assert row.definition in out
    assert "smooth | small_simple | large_branched | fringe" in out
    assert "needs: mantle_extended" in out


def test_characters_as_json_lists_the_same(run):
    code, out, _ = run("characters", "--json")
    said = {one["key"]: one for one in json.loads(out)}
    assert code == DONE
    assert list(said) == [row.key for row in read_tables().characters]
    assert sum(bool(one["states"]) for one in said.values()) >= 12
    for one in said.values():
        assert one["definition"]
        assert bool(one["states"]) != bool(one["unit"])
        assert one["views"]


def test_version_says_program_format_engine_and_tables(run):
    code, out, _ = run("version")
    assert code == DONE
    assert f"Hingeline {__version__}, format {FORMAT}, engine " in out
    code, out, _ = run("version", "--json")
    said = json.loads(out)
    assert code == DONE
    assert (said["version"], said["format"]) == (__version__, FORMAT)
    assert read_tables().hash.startswith(said["tables"])


@pytest.mark.parametrize("words", [["--help"], ["-h"]])
def test_help_names_every_command_and_says_how_the_window_opens(run, words):
    code, out, _ = run(*words)
    assert code == DONE
    for command in COMMANDS:
        assert command in out
    assert "Without a command the window opens" in " ".join(out.split())


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_and_json(run, command):
    code, out, _ = run(command, "--help")
    assert code == DONE
    assert "--json" in out


# -- demo --------------------------------------------------------------------------------------


def test_demo_says_measures_and_candidates_and_writes_the_picture(run, tmp_path):
    code, out, err = run("demo", "--out", tmp_path)
    assert (code, err) == (DONE, "")
    assert "Shell length" in out
    assert "Tridacna squamosa" in out
    (written,) = tmp_path.iterdir()
    assert str(written) in out
    assert written.read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"


def test_demo_as_json_has_measures_with_budgets_and_the_picture(run, tmp_path):
    code, out, _ = run("demo", "--json", "--out", tmp_path)
    said = json.loads(out)
    assert code == DONE
    measures = {one["key"]: one for one in said["measures"]}
    assert set(measures) <= set(MEASURES)
    length = measures["shell_length"]
    budget = sum(part**2 for part in length["budget"].values())
    assert length["sigma"] == approx(budget**0.5)
    assert Path(said["picture"]).exists()
    assert said["candidates"]


def test_demo_says_where_it_cannot_write(run, tmp_path):
    code, out, err = run("demo", "--out", tmp_path / "nowhere")
    assert code == WRONG
    assert out == ""
    assert "cannot be written" in err


# -- measure and check ---------------------------------------------------------------------------


def test_measure_lists_every_specimen_with_its_measures(run, collection):
    code, out, _ = run("measure", collection)
    assert code == DONE
    for one in worked_example().specimens:
        assert one.label.catalogue_number in out
    assert "Hinge line : shell length" in out


def test_measure_as_json_has_values_or_what_they_lack(run, collection):
    code, out, _ = run("measure", collection, "--json")
    said = {one["catalogue_number"]: one["measures"] for one in json.loads(out)}
    assert code == DONE
    assert len(said) == len(worked_example().specimens)
    first = worked_example().specimens[0].label.catalogue_number
    length = next(one for one in said[first] if one["key"] == "shell_length")
    assert 100 < length["value"] < 200
    assert length["sigma"] > 0
    empty = next(rows for rows in said.values() if all(r["value"] is None for r in rows))
    assert all(row["lacks"] or row["reasons"] for row in empty)


def test_check_finds_no_fault_in_a_good_collection(run, collection):
    code, out, _ = run("check", collection)
    assert code == DONE
    assert "no fault found" in out
    said = json.loads(run("check", collection, "--json")[1])
    n_specimens, n_pictures = (
        len(worked_example().specimens),
        len(worked_example().pictures),
    )
    assert (said["specimens"], said["pictures"]) == (n_specimens, n_pictures)
    assert (said["faults"], said["recomputed"]) == ([], n_specimens)
    assert {one["state"] for one in said["files"]} == {"here"}


def test_check_names_pictures_that_are_gone_or_another(run, collection):
    first, second = (one.path for one in worked_example().pictures[:2])
    (collection.parent / first).unlink()
    (collection.parent / second).write_bytes(b"another")
    code, out, _ = run("check", collection)
    assert code == FAULTS
    assert f"picture “{first}” is not where it was" in out
    assert f"picture “{second}” has another content" in out
    code, out, _ = run("check", collection, "--json")
    assert code == FAULTS
    assert len(json.loads(out)["faults"]) == 2


@pytest.mark.parametrize("command", ["measure", "check"])
def test_reading_a_collection_leaves_it_as_it_was(run, collection, command):
    before = collection.read_bytes()
    assert run(command, collection)[0] == DONE
    assert collection.read_bytes() == before


@pytest.mark.parametrize("command", ["measure", "check"])
def test_what_is_no_collection_is_refused(run, tmp_path, command):
    text = tmp_path / "letter.hingeline"
    text.write_text("Dear curator, ...")
    for path in (text, tmp_path / "gone.hingeline", tmp_path):
        code, out, err = run(command, path)
        assert (code, out) == (WRONG, "")
        assert path.name in err
        assert len(err.strip().splitlines()) == 1
    assert not (tmp_path / "gone.hingeline").exists()


# -- What is wrong, and the way out --------------------------------------------------------


@pytest.mark.parametrize(
    ("wrong", "nearest"),
    [
        ({"observations": {"incurent_margin": "smooth"}}, "incurrent_margin"),
        ({"observations": {"incurrent_margin": "smoth"}}, "smooth"),
        ({"observations": {"scutes": {"state": "absend"}}}, "absent"),
        ({"shell_lenght_mm": 152}, "shell_length"),
        ({"region": "red_see"}, "red_sea"),
        ({"region": "..."}, "perhaps"),
        ({"origin": "wilde"}, "wild"),
        ({"condition": ["wurn"]}, "worn"),
        ({"views": ["hinge_egde"]}, "hinge_edge"),
    ],
)
def test_an_unknown_word_is_refused_naming_the_nearest(run, record, wrong, nearest):
    for json_too in ([], ["--json"]):
        code, out, err = run("identify", record({"format": 1, **wrong}), *json_too)
        assert (code, out) == (WRONG, "")
        assert nearest in err
        assert len(err.strip().splitlines()) == 1


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("{", "shell.json"),
        ("", "shell.json"),
        ("[1, 2]", "shell.json"),
        ('{"observations": {}}', "format"),
        ('{"format": 99}', "newer"),
        ('{"format": "1"}', "format"),
        ('{"format": 1, "observations": {"scutes": {}}}', "scutes"),
        ('{"format": 1, "shell_length_mm": -5}', "shell_length_mm"),
        ('{"format": 1, "shell_length_mm": 0}', "shell_length_mm"),
        ('{"format": 1, "shell_length_mm": NaN}', "NaN"),
        ('{"format": 1, "shell_length_mm": {"value": 15.2, "unit": "cm"}}', "mm"),
        ('{"format": 1, "format": 1}', "format"),
        ('{"format": 1, "observations": ' + "[" * 5000 + "]" * 5000 + "}", "shell.json"),
        ('{"format": 1, "specimens": []}', "shell.json"),
    ],
)
def test_a_record_that_is_none_is_refused_in_one_sentence(run, record, content, says):
    code, out, err = run("identify", record(content))
    assert (code, out) == (WRONG, "")
    assert says in err
    assert len(err.strip().splitlines()) == 1
    assert "Traceback" not in err


def test_a_record_that_is_not_there_is_refused(run, tmp_path):
    code, _, err = run("identify", tmp_path / "gone.json")
    assert code == WRONG
    assert "“gone.json” cannot be read" in err


def test_tables_that_are_none_are_refused(run, record, tmp_path):
    code, out, err = run("identify", record(RECORD), "--tables", tmp_path / "none")
    assert (code, out) == (WRONG, "")
    assert len(err.strip().splitlines()) == 1


def test_other_tables_can_be_used(run, record, tmp_path):
    """A copy of ours without one taxon's row is refused or used as it is: here as it is."""
    source = ROOT / "landmarks" / "data" / "species"
    folder = tmp_path / "tables"
    folder.mkdir()
    for one in source.iterdir():
        copy(one, folder / one.name)
    guide = folder / "guide.toml"
    guide.write_text(guide.read_text(encoding="utf-8") + "\n# ours\n", encoding="utf-8")
    code, out, _ = run("identify", record(RECORD), "--tables", folder, "--json")
    assert code == DONE
    assert json.loads(out)["candidates"]


@pytest.mark.parametrize(
    ("words", "nearest"),
    [
        (["idenify", "shell.json"], "identify"),
        (["--version"], "version"),
        (["chek"], "check"),
    ],
)
def test_what_is_neither_command_nor_file_is_refused_naming_the_nearest(
    run, words, nearest
):
    code, _, err = run(*words)
    assert code == WRONG
    assert f"the nearest command is “{nearest}”" in err


@pytest.mark.parametrize(
    "words", [["identify"], ["identify", "a", "b"], ["demo", "--colour"]]
)
def test_a_call_that_is_wrong_is_refused(run, words):
    assert run(*words)[0] == WRONG


def test_text_of_a_stranger_is_said_literally(run, record):
    odd = {"format": 1, "observations": {"{0} <img src=x>": "smooth"}}
    _, _, err = run("identify", record(odd))
    assert "“{0} <img src=x>”" in err


# -- Without a window, and in any terminal ------------------------------------------------


@pytest.mark.parametrize(
    "words",
    [
        ["version"],
        ["characters"],
        ["identify", "RECORD"],
        ["demo"],
        ["measure", "C"],
        ["check", "C"],
        ["export", "C", "--to", "csv", "OUT"],
        ["export", "C", "--to", "json", "OUT"],
    ],
    ids=lambda words: words[0],
)
def test_no_command_loads_qt(words, record, collection, tmp_path):
    words = [
        {"RECORD": str(record(RECORD)), "C": str(collection), "OUT": "out"}.get(w, w)
        for w in words
    ]
    script = (
        "import sys; sys.modules['PySide6'] = None; from app.cli import main; "
        "code = main(sys.argv[1:]); "
        "assert not [m for m in sys.modules if m.startswith(('PySide6.', 'shiboken6'))]; "
        "sys.exit(code)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, *words],
        capture_output=True,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        text=True,
    )
    assert done.returncode == DONE, done.stderr


def test_a_terminal_that_knows_few_signs_gets_an_answer_too(record):
    path = record(RECORD)
    done = outside("identify", path, PYTHONIOENCODING="ascii")
    assert (done.returncode, done.stderr) == (DONE, b"")
    assert b"Candidates" in done.stdout
    done = outside("identify", path, "--json", PYTHONIOENCODING="ascii")
    assert json.loads(done.stdout) == json.loads(outside("identify", path, "--json").stdout)


def test_a_reader_who_leaves_early_is_no_fault():
    script = f"{sys.executable} -m app characters | head -1"
    done = subprocess.run(script, shell=True, capture_output=True, cwd=ROOT)
    assert (done.returncode, done.stderr) == (0, b"")


def test_a_specimen_without_a_number_goes_by_its_id(run, tmp_path):
    example, path = worked_example(), tmp_path / "one.hingeline"
    one = replace(example.specimens[0], label=type(example.specimens[0].label)())
    store = open_sqlite(path, create=True, about=example.about)
    changes = difference(Document("specimen", one.id), {}, parts_of(one))
    store.commit(ChangeSet("first", Sentence("plain", {"words": "x"}), tuple(changes)))
    store.close()
    assert one.id in run("measure", path)[1]
