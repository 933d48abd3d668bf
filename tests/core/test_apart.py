"""Pictures whose decoders are not trusted are decoded apart, and cost one sentence at most."""

import os
import struct
import subprocess
import sys
from pathlib import Path
from time import monotonic, sleep

import numpy as np
import pytest
from PIL import Image

from landmarks.errors import PictureError
from landmarks.heif import thumbnails_first
from landmarks.picture import apart, child, is_read_apart, opened, read_picture, upright
from tests.heif import heic

ROOT = Path(__file__).parents[2]
GREY = (np.arange(32 * 64) % 251).reshape(32, 64).astype(np.uint8)

BAD = """
import sys; sys.path[:] = sys.argv[1:]
import os, time
from landmarks.picture import decoder
def bad(path, asked):
    {what}
decoder._QUESTIONS.update(header=bad, pixels=bad)
decoder.work()
"""


@pytest.fixture
def picture(tmp_path):
    path = tmp_path / "clam.heic"
    path.write_bytes(heic(GREY))
    return path


@pytest.fixture
def spoilt(monkeypatch):
    """Let the next processes behave badly; give what makes them so, and lets them be good."""

    def spoil(what):
        apart.end_all()
        monkeypatch.setattr(child, "_BEGIN", BAD.format(what=what))

    begin = child._BEGIN
    yield spoil
    monkeypatch.setattr(child, "_BEGIN", begin)
    apart.end_all()


def is_running(pid):
    """Return whether a process is there, and not merely waiting to be buried."""
    stat = Path(f"/proc/{pid}/stat")
    if stat.parent.parent.is_dir() and Path("/proc/self/stat").exists():
        return stat.exists() and stat.read_text().rpartition(")")[2].split()[0] != "Z"
    try:
        os.kill(pid, 0)
    except OSError:
        return False
    return True


def ends(pid, seconds):
    until = monotonic() + seconds
    while is_running(pid) and monotonic() < until:
        sleep(0.02)
    return not is_running(pid)


def test_the_pixels_that_come_from_apart_are_those_of_the_file(picture, tmp_path):
    assert np.array_equal(np.asarray(upright(picture))[..., 0], GREY)
    sloping = tmp_path / "clam.avif"
    pixels = np.dstack([GREY, 255 - GREY, GREY, GREY]).repeat(16, 0)
    Image.fromarray(pixels).save(sloping, quality=100, subsampling="4:4:4")
    assert is_read_apart(sloping)
    with opened(sloping) as image, Image.open(sloping) as theirs:
        assert (image.mode, image.size, image.format) == ("RGBA", theirs.size, "AVIF")
        assert np.array_equal(np.asarray(image), np.asarray(theirs))


def test_one_process_serves_many_pictures_and_then_waits(picture):
    apart.end_all()
    for _ in range(3):
        upright(picture)
    ((waiting, _),) = apart._IDLE
    assert waiting.is_alive
    upright(picture)
    assert apart._IDLE[0][0] is waiting
    apart.end_all()
    assert ends(waiting.pid, 5)


@pytest.mark.parametrize(
    ("what", "key"),
    [
        ("os.abort()", "picture.decoder_stopped"),
        ("os._exit(0)", "picture.decoder_stopped"),
        ("time.sleep(600)", "picture.decoder_silent"),
        ("raise ZeroDivisionError", "picture.damaged"),
        (
            "return ({'none'},)",
            "picture.decoder_stopped",
        ),  # No JSON: it dies of its answer.
        ("os.write(1, b'chatter')\n    os._exit(9)", "picture.decoder_stopped"),
    ],
)
def test_a_decoder_that_dies_or_is_silent_costs_one_picture(
    picture, spoilt, monkeypatch, what, key
):
    spoilt(what)
    monkeypatch.setattr(apart, "PATIENCE_S", 2.0 if "sleep" not in what else 0.4)
    with pytest.raises(PictureError, match=r"clam\.heic") as fault:
        read_picture(picture)
    assert fault.value.sentence.key == key
    if "abort" in what and sys.platform == "linux":
        assert fault.value.sentence.values["reason"] == "SIGABRT"
    monkeypatch.undo()
    apart.end_all()
    assert np.array_equal(np.asarray(upright(picture))[..., 0], GREY)


def test_a_decoder_killed_while_it_hands_over_pixels_is_one_sentence(picture):
    def take():
        with apart.strips_apart(picture, GREY.size) as strips:
            strips.child.kill()
            strips.child.owed += 10**6
            strips.child.fill(memoryview(bytearray(10**6)))

    with pytest.raises(PictureError) as fault:
        take()
    assert fault.value.sentence.key == "picture.decoder_stopped"
    assert upright(picture).size == (64, 32)


@pytest.mark.skipif(sys.platform != "linux", reason="only some systems limit memory")
def test_a_decoder_that_eats_memory_is_stopped_and_not_the_machine(picture, spoilt):
    spoilt("bytearray(7 * 10**9)")
    with pytest.raises(PictureError) as fault:
        read_picture(picture)
    assert fault.value.sentence.key == "picture.no_memory"


def test_what_is_not_wanted_any_more_is_given_up_within_a_second(picture, spoilt):
    spoilt("time.sleep(600)")
    begun = monotonic()
    asked = []

    def watch(seconds):
        asked.append(seconds)
        return False

    with (
        pytest.raises(PictureError) as fault,
        apart.strips_apart(picture, GREY.size, watch=watch),
    ):
        pass
    # Starting a process takes longer than giving it up.
    assert monotonic() - begun < 5
    assert fault.value.sentence.key == "picture.given_up"
    assert asked
    assert apart._IDLE == []


def test_the_program_may_have_no_pipes_of_its_own_and_loads_nothing_it_does_not_need(
    picture, tmp_path
):
    script = (
        "import os, sys; sys.path.insert(0, sys.argv[1])\n"
        "for pipe in (0, 1, 2): os.close(pipe)\n"
        "import landmarks.picture as p\n"
        "from pathlib import Path\n"
        "heavy = {'PIL', 'pi_heif', 'subprocess', 'numpy'} & set(sys.modules)\n"
        "size = p.upright(Path(sys.argv[2])).size\n"
        "Path(sys.argv[3]).write_text(f'{sorted(heavy)} {size}')\n"
    )
    told = tmp_path / "told.txt"
    command = [sys.executable, "-c", script, str(ROOT), str(picture), str(told)]
    assert subprocess.run(command, timeout=60).returncode == 0
    assert told.read_text() == "[] (64, 32)"


@pytest.mark.parametrize("end", ["killed", "ended", "killed at work"])
def test_no_process_is_left_however_the_program_ends(picture, end):
    script = (
        "import sys; sys.path.insert(0, sys.argv[1])\n"
        "from pathlib import Path\n"
        "from threading import Thread\n"
        "from landmarks.picture import apart, child, upright\n"
        "picture = Path(sys.argv[2])\n"
        "upright(picture)\n"
        "print(apart._IDLE[0][0].pid, flush=True)\n"
        "if sys.argv[3]:\n"
        "    child.Child.fill = lambda self, room: sys.stdin.read()\n"
        "    Thread(target=upright, args=[picture], daemon=True).start()\n"
        "sys.stdin.readline()\n"
    )
    at_work = "yes" if "work" in end else ""
    program = subprocess.Popen(
        [sys.executable, "-c", script, str(ROOT), str(picture), at_work],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    with program:
        pid = int(program.stdout.readline())
        assert is_running(pid)
        if end == "ended":
            program.stdin.close()
        else:
            program.kill()
        program.wait(30)
    assert ends(pid, 5)


def test_a_frozen_program_decodes_by_calling_itself(picture, monkeypatch):
    monkeypatch.setattr(sys, "frozen", True, raising=False)
    frozen = child._command()
    monkeypatch.undo()
    assert frozen == [sys.executable, *frozen[1:]]
    monkeypatch.chdir(ROOT)
    monkeypatch.setattr(
        child, "_command", lambda: [sys.executable, "-m", "app", *frozen[1:]]
    )
    apart.end_all()
    assert np.array_equal(np.asarray(upright(picture))[..., 0], GREY)
    apart.end_all()


def test_a_reduced_picture_in_the_file_comes_before_the_large_one(tmp_path):
    path, small = tmp_path / "clam.heic", np.full((16, 32), 77, np.uint8)
    path.write_bytes(heic(GREY, thumbnail=small, turns=1))
    assert len(list(thumbnails_first(path.read_bytes()))) == 1
    with apart.strips_apart(path, GREY.size, task="reduced") as strips:
        assert (strips.width, strips.height) == (16, 32)
        assert {value for _, strip in strips for value in strip} == {77}
    assert np.array_equal(np.asarray(upright(path))[..., 0], np.rot90(GREY))
    # One of another shape shows something else, and is none.
    path.write_bytes(heic(GREY, thumbnail=np.full((16, 16), 77, np.uint8)))
    with apart.strips_apart(path, GREY.size, task="reduced") as strips:
        assert strips is None


@pytest.mark.parametrize("turns", range(4))
def test_a_reduced_picture_stored_in_whole_blocks_is_cut_to_what_is_to_be_seen(
    tmp_path, turns
):
    # As in the .hif files of some cameras: more is stored than the file says.
    stored = np.full((64, 128), 200, np.uint8)
    stored[:50, :100] = np.arange(5000).reshape(50, 100) % 97
    told, size = tmp_path / "clam.hif", struct.Struct(">II")
    content = heic(GREY, thumbnail=stored, turns=turns)
    assert content.count(size.pack(128, 64)) == 1
    told.write_bytes(content.replace(size.pack(128, 64), size.pack(100, 50)))
    with apart.strips_apart(told, GREY.size, task="reduced", room=1600) as strips:
        pixels = b"".join(bytes(strip) for _, strip in strips)
        found = np.frombuffer(pixels, np.uint8).reshape(strips.height, strips.width, 3)
    assert np.array_equal(found[..., 0], np.rot90(stored[:50, :100], turns))


@pytest.mark.parametrize("cut", range(4, 800, 61))
def test_boxes_cut_short_hold_no_reduced_picture_and_end_the_search(cut):
    content = heic(GREY, thumbnail=np.full((16, 32), 77, np.uint8))
    for spoilt in (content[:cut], content[:cut] + b"\0\0\0\3" + content[cut:]):
        assert len(list(thumbnails_first(spoilt))) <= 1
