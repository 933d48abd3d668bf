"""``hingeline import``: what is taken in, what was there, what is refused; once and again."""

import json
import subprocess
import sys
from datetime import datetime, timedelta
from pathlib import Path
from shutil import copy

import numpy as np
import pytest
from PIL import Image

from app.cli import DONE, FAULTS, WRONG
from landmarks.collection import picture_of
from landmarks.specimen import specimen_of
from landmarks.storage import open_sqlite
from tests.heif import heic

ROOT = Path(__file__).parents[2]


@pytest.fixture
def run(run):
    """Import and return the exit code, the output and the complaints."""
    return lambda *words: run("import", *words)


@pytest.fixture
def dive(tmp_path):
    """Two animals, three pictures of each, a minute between: one is HEIC."""
    folder = tmp_path / "dive"
    folder.mkdir()
    now = datetime(2024, 3, 12, 10, 41, 7)
    for n in range(6):
        exif = Image.Exif()
        exif[0x8769] = {0x9003: now.strftime("%Y:%m:%d %H:%M:%S"), 0x9011: "+11:00"}
        exif[0x013B] = "Mara Quill"
        if n == 4:
            grey = np.full((16, 32), 100, np.uint8)
            (folder / "IMG_0005.HEIC").write_bytes(heic(grey, exif=exif.tobytes()))
        else:
            image = Image.new("RGB", (32, 24), (n * 20, 90, 60))
            image.save(folder / f"IMG_{n + 1:04}.JPG", exif=exif)
        now += timedelta(seconds=90 if n == 2 else 4)
    return folder


def kept(path):
    """Return specimens and pictures (by id) of a collection, and the faults of its check."""
    store = open_sqlite(path, read_only=True)
    try:
        specimens = store.load(*store.documents("specimen"))
        pictures = store.load(*store.documents("picture"))
        return (
            [specimen_of(one.id, read.parts) for one, read in specimens.items()],
            {one.id: picture_of(one.id, read.parts) for one, read in pictures.items()},
            store.check(),
            len(store.history()),
        )
    finally:
        store.close()


def shown(specimens, pictures):
    return [[pictures[frame.picture].path for frame in one.frames] for one in specimens]


def test_a_folder_is_taken_into_a_new_collection(run, dive, tmp_path):
    path = tmp_path / "reef.hingeline"
    code, said, complaints = run(
        path, dive, "--group", "time", "--view", "living_from_above"
    )
    assert (code, complaints) == (DONE, "")
    assert "6 pictures taken into “reef.hingeline”, specimens: 2." in said
    assert "new collection" in said
    specimens, pictures, faults, _ = kept(path)
    assert faults == ()
    assert shown(specimens, pictures) == [
        ["dive/IMG_0001.JPG", "dive/IMG_0002.JPG", "dive/IMG_0003.JPG"],
        ["dive/IMG_0004.JPG", "dive/IMG_0005.HEIC", "dive/IMG_0006.JPG"],
    ]
    assert {frame.view for one in specimens for frame in one.frames} == {
        "living_from_above"
    }
    for one in pictures.values():
        assert (one.rights.creator, one.file.zone) == ("Mara Quill", "+11:00")


def test_taken_in_again_nothing_is_doubled_and_all_is_said(run, dive, tmp_path):
    path = tmp_path / "reef.hingeline"
    run(path, dive)
    code, said, _ = run(path, dive, "--json")
    told = json.loads(said)
    assert code == DONE
    assert (told["pictures"], told["created"], len(told["there_already"])) == (0, False, 6)
    specimens, pictures, _, _ = kept(path)
    assert (len(specimens), len(pictures)) == (6, 6)
    run(path, dive / "IMG_0001.JPG", "--again")
    specimens, pictures, faults, _ = kept(path)
    assert (len(specimens), len(pictures), faults) == (7, 6, ())


def test_it_is_one_step_of_the_history(run, dive, tmp_path):
    path = tmp_path / "reef.hingeline"
    run(path, dive)
    before = kept(path)[3]
    copy(dive / "IMG_0001.JPG", tmp_path / "other.jpg")
    Image.new("RGB", (9, 9)).save(tmp_path / "other.jpg")
    run(path, tmp_path / "other.jpg")
    assert kept(path)[3] == before + 1


def test_what_is_refused_is_said_and_stops_no_other(run, dive, tmp_path):
    (dive / "IMG_0007.JPG").write_bytes(b"cut short")
    path = tmp_path / "reef.hingeline"
    code, said, _ = run(path, dive, tmp_path / "gone.jpg")
    assert code == FAULTS
    assert "Refused: “IMG_0007.JPG” is" in said
    assert "Refused: “gone.jpg” is not in" in said
    assert len(kept(path)[1]) == 6


def test_a_dry_run_says_the_same_and_writes_nothing(run, dive, tmp_path):
    path = tmp_path / "reef.hingeline"
    before = sorted(tmp_path.iterdir())
    code, said, _ = run(path, dive, "--group", "time", "--dry-run", "--json")
    dry = json.loads(said)
    assert code == DONE
    assert sorted(tmp_path.iterdir()) == before
    _, said, _ = run(path, dive, "--group", "time", "--json")
    wet = json.loads(said)
    assert [one["pictures"] for one in dry["specimens"]] == [
        one["pictures"] for one in wet["specimens"]
    ]
    content = path.read_bytes()
    _, said, _ = run(path, dive, "--dry-run")
    assert "0 pictures would be taken" in said
    assert path.read_bytes() == content


def test_labels_sort_and_are_written(run, dive, tmp_path):
    table = tmp_path / "drawer.csv"
    table.write_text(
        "Cat. No.;Locality;File;Drawer\n"
        "PM-1;Halverson Reef;IMG_0001.JPG;7\n"
        "PM-1;;IMG_0002.JPG\n"
        "PM-2;Port Maren;img_0003\n"
        "PM-9;nowhere;missing.jpg\n",
        encoding="utf-8",
    )
    path = tmp_path / "reef.hingeline"
    code, said, _ = run(path, dive, "--group", "csv", "--labels", table, "--json")
    told = json.loads(said)
    assert code == DONE
    assert told["labels"]["lines_alone"] == [5]
    assert told["labels"]["matched"] == 2
    assert told["labels"]["columns_left_out"] == ["Drawer"]
    specimens, pictures, _, _ = kept(path)
    first = next(one for one in specimens if one.label.catalogue_number == "PM-1")
    assert first.label.locality == "Halverson Reef"
    assert "Locality: Halverson Reef" in first.label.verbatim
    assert shown([first], pictures) == [["dive/IMG_0001.JPG", "dive/IMG_0002.JPG"]]
    assert len(specimens) == 5  # two by labels, three alone
    _, said, _ = run(tmp_path / "b.hingeline", dive, "--group", "csv", "--labels", table)
    assert "lines 3" in said or "line 3" in said
    assert "only in the label word for word: Drawer." in said
    assert "3 specimens that are taken in here are not in “drawer.csv”." in said
    assert "fits no specimen that is taken in here: line 5." in said
    assert "Labels from a table" not in said, "there was nothing before"
    # The rows of specimens that are there already are not told as fitting nothing at all.
    again = run(path, dive, "--labels", table)[1]
    assert "fit no specimen that is taken in here: lines 2, 3, 4, 5." in again
    assert "in “reef.hingeline” before keep their labels" in again
    told = json.loads(run(path, dive, "--labels", table, "--json")[1])
    assert any("keep their labels" in one for one in told["notes"])
    table.write_text("shelf,Ort\n7,Port Maren\n", encoding="utf-8")
    code, _, said = run(tmp_path / "c.hingeline", dive, "--labels", table)
    assert code == WRONG
    assert "“shelf” and “Ort”" in said
    assert not (tmp_path / "c.hingeline").exists()


def test_a_folder_of_raw_files_does_not_seem_to_be_empty(run, dive, tmp_path):
    for name in ("a.CR2", "b.cr2", "notes.docx", "a.xmp", ".hidden.cr2"):
        (dive / name).write_bytes(b"II")
    code, said, _ = run(tmp_path / "reef.hingeline", dive, "--dry-run")
    assert code == DONE
    assert (
        "3 files of the folder are in no format that is read here (.cr2 and .docx)" in said
    )
    _, said, _ = run(tmp_path / "reef.hingeline", dive, "--dry-run", "--json")
    assert any(".docx" in note for note in json.loads(said)["notes"])


def test_a_picture_that_moved_is_found_again(run, dive, tmp_path):
    path = tmp_path / "reef.hingeline"
    run(path, dive)
    dive.rename(tmp_path / "archive")
    code, said, _ = run(path, tmp_path / "archive")
    assert code == DONE
    assert "found again" in said
    specimens, pictures, _, _ = kept(path)
    assert len(specimens) == 6
    assert {str(Path(one.path).parent) for one in pictures.values()} == {"archive"}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--view", "outside"), "outside"),
        (("--group", "csv"), "--labels"),
        (("--labels", "gone.csv"), "gone.csv"),
        (("--group", "time", "--gap", "-3"), "seconds"),
        (("--group", "colour"), "colour"),
    ],
)
def test_a_wrong_call_is_refused_and_makes_no_collection(run, dive, tmp_path, words, says):
    path = tmp_path / "reef.hingeline"
    code, _, complaints = run(path, dive, *words)
    assert code == WRONG
    assert says in complaints
    assert not path.exists()


def test_nothing_to_take_in_makes_no_collection(run, tmp_path):
    (tmp_path / "empty").mkdir()
    path = tmp_path / "reef.hingeline"
    code, said, _ = run(path, tmp_path / "empty")
    assert code == FAULTS
    assert "0 pictures" in said
    assert not path.exists()


def test_what_is_no_collection_is_left_as_it_is(run, dive, tmp_path):
    path = tmp_path / "letter.txt"
    path.write_text("not a collection")
    code, _, complaints = run(path, dive)
    assert (code, path.read_text()) == (WRONG, "not a collection")
    assert "letter.txt" in complaints


def test_words_of_a_stranger_are_said_literally(run, tmp_path):
    image = tmp_path / "{0} <img src=x> %s.png"
    Image.new("RGB", (4, 4)).save(image)
    path = tmp_path / "reef.hingeline"
    code, said, _ = run(path, image, "--group", "name")
    assert code == DONE
    assert "{0} <img src=x> %s.png" in said


def test_importing_loads_no_qt(dive, tmp_path):
    script = (
        "import sys\n"
        "from app.cli import main\n"
        "code = main(sys.argv[1:])\n"
        "assert not {'PySide6', 'shiboken6'} & set(sys.modules)\n"
        "sys.exit(code)\n"
    )
    words = ["import", str(tmp_path / "reef.hingeline"), str(dive), "--group", "time"]
    done = subprocess.run(
        [sys.executable, "-c", script, *words], cwd=ROOT, capture_output=True, text=True
    )
    assert (done.returncode, done.stderr) == (DONE, "")
