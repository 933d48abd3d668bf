"""Formats taken in: HEIC, AVIF, CMYK, wide grey, pages, pairs, transparent; memory announced."""

import io
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from landmarks import picture
from landmarks.errors import PictureError
from landmarks.intake import read_all, read_one
from landmarks.intake.reading import files_in, is_picture_name
from landmarks.picture import memory_to_decode, opened, opening, read_picture, upright
from landmarks.sentences import text
from tests.heif import heic

ORIENTATION = 0x0112
GREY = np.random.default_rng(3).integers(0, 256, (32, 48), dtype=np.uint8)


def keys(found):
    return [note.key for note in found.notes]


# -- HEIC ------------------------------------------------------------------------------------


@pytest.mark.parametrize("turns", range(4))
@pytest.mark.parametrize("exif_says", [1, 6, 8])
def test_a_heic_picture_is_turned_once_and_as_the_file_asks(tmp_path, turns, exif_says):
    """Telephones write the turn twice: for the decoder, and as an EXIF orientation."""
    exif = Image.Exif()
    exif[ORIENTATION] = exif_says
    path = tmp_path / "clam.heic"
    path.write_bytes(heic(GREY, turns=turns, exif=exif.tobytes()))
    expected = np.rot90(GREY, turns)  # quarter turns anticlockwise
    found, made = read_picture(path), np.asarray(upright(path))
    assert (found.height, found.width) == expected.shape == made.shape[:2]
    assert (found.format, found.orientation) == ("HEIF", 1)
    for channel in range(3):
        assert np.array_equal(made[..., channel], expected)


def test_a_heic_picture_is_mirrored_as_the_file_asks(tmp_path):
    """One of the two axes changes top and bottom, the other left and right."""
    path = tmp_path / "clam.heic"
    made = []
    for axis in (0, 1):
        path.write_bytes(heic(GREY, mirror=axis))
        made.append(np.asarray(upright(path))[..., 0])
    assert np.array_equal(made[0], np.flipud(GREY)) or np.array_equal(
        made[0], np.fliplr(GREY)
    )
    assert np.array_equal(made[1], made[0][::-1, ::-1])


def test_a_heic_picture_keeps_its_time_and_xmp(tmp_path):
    exif = Image.Exif()
    exif[0x8769] = {0x9003: "2024:03:12 10:41:07", 0x9011: "+11:00"}
    xmp = (
        b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/'
        b'22-rdf-syntax-ns#"><rdf:Description xmlns:dc="http://purl.org/dc/elements/1.1/">'
        b"<dc:creator><rdf:Seq><rdf:li>Ivo Quell</rdf:li></rdf:Seq></dc:creator>"
        b"</rdf:Description></rdf:RDF></x:xmpmeta>"
    )
    path = tmp_path / "clam.heic"
    path.write_bytes(heic(GREY, exif=exif.tobytes(), xmp=xmp))
    found = read_one(path)
    assert (found.file.captured, found.file.zone) == ("2024:03:12 10:41:07", "+11:00")
    assert found.rights.creator == "Ivo Quell"


def test_a_heic_picture_is_known_by_its_content_not_its_name(tmp_path):
    path = tmp_path / "clam.jpg"
    path.write_bytes(heic(GREY))
    assert read_picture(path).format == "HEIF"


def test_a_heic_picture_cut_short_or_spoilt_is_refused_or_read(tmp_path):
    content = heic(GREY)
    path = tmp_path / "clam.heic"
    path.write_bytes(content[: len(content) // 2])
    with pytest.raises(PictureError) as fault:
        upright(path)
    assert "clam.heic" in text(fault.value.sentence)
    draw = np.random.default_rng(8)
    for _ in range(60):
        spoilt = np.frombuffer(content, np.uint8).copy()
        at = draw.integers(12, len(content), size=5)
        spoilt[at] = draw.integers(0, 256, size=5)
        path.write_bytes(spoilt.tobytes())
        said = "clam.heic"
        try:
            upright(path)
        except PictureError as fault:
            said = text(fault.sentence)
        assert "clam.heic" in said


def test_without_its_decoder_a_heic_picture_is_refused_with_a_sentence(
    tmp_path, monkeypatch
):
    monkeypatch.setattr("landmarks.picture.opening._heif_decoder", lambda: False)
    path = tmp_path / "clam.heic"
    path.write_bytes(heic(GREY))
    with pytest.raises(PictureError) as fault, picture.opened_here(path):
        pass
    assert "save it as JPEG" in text(fault.value.sentence)


# -- the others ------------------------------------------------------------------------------


@pytest.mark.parametrize("orientation", range(1, 9))
def test_an_avif_picture_stands_upright(tmp_path, orientation):
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    block = np.zeros((32, 48, 3), np.uint8)
    block[:8, :8] = 255  # one white corner tells every turn and flip
    path = tmp_path / "clam.avif"
    Image.fromarray(block).save(path, exif=exif, quality=100, subsampling="4:4:4")
    made = np.asarray(upright(path))[..., 0] > 128
    rows, columns = np.nonzero(made)
    corner = (rows.mean() < made.shape[0] / 2, columns.mean() < made.shape[1] / 2)
    # Where the stored top left corner stands once upright (CIPA DC-008, from memory).
    places = {1: (True, True), 2: (True, False), 3: (False, False), 4: (False, True),
              5: (True, True), 6: (True, False), 7: (False, False), 8: (False, True)}  # fmt: skip
    assert corner == places[orientation]
    assert (made.shape == (48, 32)) == (orientation in picture.TURNED)


def test_pages_after_the_first_are_said(tmp_path):
    pages = [Image.new("L", (20, 10), shade) for shade in (10, 200, 90)]
    path = tmp_path / "drawer.tif"
    pages[0].save(path, save_all=True, append_images=pages[1:])
    found = read_one(path)
    assert keys(found) == ["intake.first_of_many"]
    assert found.notes[0].values["n"] == 3
    assert upright(path).getpixel((0, 0)) == (10, 10, 10)


def test_a_pair_of_pictures_in_one_file_gives_its_first(tmp_path):
    left, right = Image.new("RGB", (32, 16), "red"), Image.new("RGB", (32, 16), "blue")
    path = tmp_path / "pair.mpo"
    left.save(path, format="MPO", save_all=True, append_images=[right])
    found = read_one(path)
    assert found.file.format == "MPO"
    assert keys(found) == ["intake.first_of_many"]
    red, _, blue = upright(path).getpixel((5, 5))
    assert red > 200
    assert blue < 60


@pytest.mark.parametrize("mode", ["RGBA", "LA"])
def test_transparent_parts_are_white_as_in_the_window(tmp_path, mode):
    path = tmp_path / "cut out.png"
    image = Image.new(mode, (4, 2), (0,) * len(mode))
    image.putpixel((0, 0), (40, 255) if mode == "LA" else (40, 40, 40, 255))
    image.save(path)
    made = upright(path)
    assert made.getpixel((0, 0)) == (40, 40, 40)
    assert made.getpixel((3, 1)) == (255, 255, 255)


def test_a_palette_with_a_transparent_colour_shows_white(tmp_path):
    image = Image.new("P", (3, 1), 1)
    image.putpalette([255, 0, 0, 0, 128, 0])
    image.putpixel((0, 0), 0)
    path = tmp_path / "cut out.png"
    image.save(path, transparency=0)
    assert [upright(path).getpixel((x, 0)) for x in (0, 1)] == [(255,) * 3, (0, 128, 0)]


def test_cmyk_becomes_the_colours_it_prints(tmp_path):
    for suffix in ("jpg", "tif"):
        path = tmp_path / f"plate.{suffix}"
        Image.new("CMYK", (16, 16), (0, 255, 255, 0)).save(path)
        red, green, blue = upright(path).getpixel((8, 8))
        assert red > 200
        assert max(green, blue) < 60


def test_lab_becomes_colours(tmp_path):
    path = tmp_path / "measured.tif"
    Image.new("LAB", (8, 8), (128, 128, 128)).save(path)
    red, green, blue = upright(path).getpixel((4, 4))
    assert max(red, green, blue) - min(red, green, blue) <= 3
    assert 90 < red < 150  # lightness 50 is near 119 in sRGB (CIE 1976, from memory)


def test_grey_of_sixteen_bits_uses_the_range_it_has(tmp_path):
    wide = np.linspace(900, 1100, 64, dtype=np.uint16).reshape(8, 8)
    path = tmp_path / "scan.png"
    Image.fromarray(wide).save(path)
    made = np.asarray(upright(path))[..., 0]
    assert (made[0, 0], made[-1, -1]) == (0, 255)


# -- memory ----------------------------------------------------------------------------------


@pytest.mark.parametrize("mode", ["RGB", "L", "P", "1", "RGBA", "CMYK", "I;16"])
def test_the_memory_announced_is_at_least_what_the_pixels_take(tmp_path, mode):
    path = tmp_path / "a.tif"
    Image.new(mode, (100, 50)).save(path)
    with opened(path) as image:
        need = memory_to_decode(image)
    assert 100 * 50 * 5 <= need <= 100 * 50 * 24


def test_the_memory_announced_holds_when_it_is_decoded(tmp_path):
    """Measured in a process of its own, beside one that decodes nothing."""
    if not Path("/proc/self/status").exists():
        pytest.skip("the peak of a process is read where Linux tells it")
    path = tmp_path / "a.png"
    Image.new("I;16", (4000, 3000), 7).save(path)
    with opened(path) as image:
        need = memory_to_decode(image)
    script = (
        "import sys\n"
        "from pathlib import Path\n"
        "from landmarks.picture import opened, upright\n"
        "path = Path(sys.argv[1])\n"
        "with opened(path): pass\n"
        "if sys.argv[2] == 'decode': upright(path)\n"
        "print(Path('/proc/self/status').read_text().partition('VmHWM:')[2].split()[0])\n"
    )
    peaks = [
        int(
            subprocess.run(
                [sys.executable, "-c", script, str(path), what],
                capture_output=True,
                text=True,
                check=True,
            ).stdout
        )
        * 1024
        for what in ("look", "decode")
    ]
    assert 0.4 * need < peaks[1] - peaks[0] <= 1.1 * need


def test_what_would_need_too_much_memory_is_refused_before_it_is_decoded(
    tmp_path, monkeypatch
):
    path = tmp_path / "scan.png"
    Image.new("I;16", (400, 300)).save(path)
    with pytest.raises(PictureError) as fault:
        read_one(path, limit=1_000_000)
    words = text(fault.value.sentence)
    assert "scan.png" in words
    assert "GB" in words
    monkeypatch.setattr("landmarks.picture.pixels.MEMORY_LIMIT", 1_000_000)
    with pytest.raises(PictureError, match=r"scan\.png"):
        upright(path)


def test_much_memory_is_announced(tmp_path, monkeypatch):
    path = tmp_path / "scan.png"
    Image.new("RGB", (400, 300)).save(path)
    assert keys(read_one(path)) == []
    monkeypatch.setattr("landmarks.intake.reading.WORTH_SAYING", 500_000)
    assert keys(read_one(path)) == ["intake.much_memory"]


# -- many files ------------------------------------------------------------------------------


def test_files_come_in_their_order_and_faults_stop_no_other(tmp_path):
    for n in (2, 10, 1):
        Image.new("L", (4, 4), n).save(tmp_path / f"clam {n}.png")
    (tmp_path / "clam 3.png").write_bytes(b"no picture")
    (tmp_path / "notes.txt").write_text("not meant")
    (tmp_path / ".hidden.png").write_bytes(b"")
    deeper = tmp_path / "deeper"
    deeper.mkdir()
    Image.new("L", (4, 4), 77).save(deeper / "clam 1.HEIC", format="PNG")
    paths = files_in([tmp_path, tmp_path / "clam 1.png"])
    found, refused = read_all(paths)
    names = [one.path.name for one in found]
    assert names == ["clam 1.png", "clam 2.png", "clam 10.png", "clam 1.HEIC"]
    assert [one.path.name for one in refused] == ["clam 3.png"]
    assert text(refused[0].why).endswith(".")


@pytest.mark.skipif(sys.platform != "linux", reason="names are text there")
def test_a_name_that_is_no_text_is_refused_and_no_other_file(tmp_path):
    folder = tmp_path / os.fsdecode(b"reef\xe9")
    folder.mkdir()
    for path in (
        tmp_path / "a.png",
        tmp_path / os.fsdecode(b"b\xe9.png"),
        folder / "c.png",
    ):
        Image.new("L", (6, 4), len(path.name)).save(path)
    found, refused = read_all(files_in([tmp_path]))
    assert [one.path.name for one in found] == ["a.png"]
    said = [text(one.why) for one in refused]
    assert ["“b�.png”" in said[0], "“c.png”" in said[1]] == [True, True]
    assert "".join(said).isprintable()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="only some systems have pipes")
def test_a_pipe_named_like_a_picture_is_refused_and_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "clam.jpg")
    found, refused = read_all(files_in([tmp_path]))
    assert found == ()
    assert "clam.jpg" in text(refused[0].why)


def test_reading_can_be_stopped(tmp_path):
    for n in range(30):
        Image.new("L", (4, 4), n).save(tmp_path / f"{n}.png")
    told = []
    found, refused = read_all(
        files_in([tmp_path]), watch=lambda n, of: told.append((n, of)) or n < 3
    )
    assert told == [(1, 30), (2, 30), (3, 30)]
    assert (len(found), refused) == (3, ())


def test_every_format_that_opens_is_taken_from_folders_too():
    for name in ("a.JPG", "b.heic", "c.avif", "d.tiff", "e.webp", "f.MPO"):
        assert is_picture_name(name)
    for name in (".a.jpg", "b.xmp", "c.txt", "jpg"):
        assert not is_picture_name(name)


def test_reading_writes_nothing(tmp_path):
    path = tmp_path / "a.heic"
    path.write_bytes(heic(GREY))
    before = (path.read_bytes(), path.stat().st_mtime_ns)
    upright(path)
    read_one(path)
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before
    assert [one.name for one in tmp_path.iterdir()] == ["a.heic"]


def test_the_writer_of_heic_test_files_writes_what_it_is_given():
    """The decoder gives back every sample: nothing of the test picture is approximate."""
    assert opening._heif_decoder()
    made = Image.open(io.BytesIO(heic(GREY)), formats=["HEIF"])
    assert np.array_equal(np.asarray(made)[..., 0], GREY)
