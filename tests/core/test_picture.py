"""A picture file: its upright size, its time and place, and every way it can be none."""

import os
import stat
import struct
import subprocess
import sys
import zlib
from hashlib import sha256
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pytest import approx

from landmarks.errors import PictureError
from landmarks.picture import MAX_PIXELS, hash_file, opened, read_picture, upright
from landmarks.sentences import text

ROOT = Path(__file__).parents[2]
ORIENTATION, MAKE, MODEL, DATE_TIME = 0x0112, 0x010F, 0x0110, 0x0132
EXIF, GPS = 0x8769, 0x8825
ORIGINAL, OFFSET_ORIGINAL, FOCAL_35MM = 0x9003, 0x9011, 0xA405

# Five wide, three high, every pixel another colour: no turn or flip looks like another.
PIXELS = np.arange(45, dtype=np.uint8).reshape(3, 5, 3) * 5

# What each orientation asks for, in words of arrays (CIPA DC-008, from memory): the stored
# picture is turned or flipped like this to stand upright.
UPRIGHT = {
    1: lambda a: a,
    2: np.fliplr,
    3: lambda a: np.rot90(a, 2),
    4: np.flipud,
    5: lambda a: np.swapaxes(a, 0, 1),
    6: lambda a: np.rot90(a, -1),  # a quarter turn clockwise
    7: lambda a: np.swapaxes(np.rot90(a, 2), 0, 1),
    8: np.rot90,  # a quarter turn anticlockwise
}


def saved(path, exif=None, pixels=PIXELS, **kinds):
    Image.fromarray(pixels).save(path, exif=exif or Image.Exif(), **kinds)
    return path


def tags(plain=None, details=None, place=None):
    """Return a tag block with these tags of the picture, of the exposure, and of the place."""
    exif = Image.Exif()
    for tag, told in {**(plain or {}), EXIF: details, GPS: place}.items():
        if told is not None:
            exif[tag] = told
    return exif


# -- Upright -----------------------------------------------------------------------------


@pytest.mark.parametrize("suffix", ["png", "tif", "webp", "jpg"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_picture_stands_upright_under_all_eight_orientations(
    tmp_path, orientation, suffix
):
    kinds = {"lossless": True} if suffix == "webp" else {}
    path = saved(tmp_path / f"shell.{suffix}", tags({ORIENTATION: orientation}), **kinds)
    expected = UPRIGHT[orientation](PIXELS)
    found, made = read_picture(path), np.asarray(upright(path))
    assert found.orientation == orientation
    assert (found.height, found.width) == expected.shape[:2] == made.shape[:2]
    if suffix != "jpg":  # the only one of them that changes colours
        assert np.array_equal(made, expected)


@pytest.mark.parametrize("odd", [0, 9, 255])
def test_an_orientation_that_is_none_leaves_the_picture_as_it_is(tmp_path, odd):
    found = read_picture(saved(tmp_path / "shell.png", tags({ORIENTATION: odd})))
    assert (found.orientation, found.width, found.height) == (1, 5, 3)


def test_a_picture_of_one_grey_channel_or_with_a_palette_is_shown_in_colours(tmp_path):
    for mode in ("L", "P", "RGBA", "I;16", "1", "CMYK"):
        path = tmp_path / "shell.tif"
        Image.new(mode, (5, 3)).save(path)
        assert upright(path).mode == "RGB"
        assert read_picture(path).width == 5


# -- What the file says of itself --------------------------------------------------------


def test_capture_time_is_given_exactly_as_in_the_file(tmp_path):
    stamp = {ORIGINAL: "2024:03:12 10:41:07", OFFSET_ORIGINAL: "+11:00"}
    found = read_picture(saved(tmp_path / "a.jpg", tags(details=stamp)))
    assert (found.captured, found.zone) == ("2024:03:12 10:41:07", "+11:00")


def test_without_an_offset_the_zone_is_unknown(tmp_path):
    found = read_picture(
        saved(tmp_path / "a.jpg", tags(details={ORIGINAL: "2024:03:12 10:41:07"}))
    )
    assert (found.captured, found.zone) == ("2024:03:12 10:41:07", "")


def test_the_time_of_the_last_change_is_no_capture_time(tmp_path):
    found = read_picture(
        saved(tmp_path / "a.jpg", tags({DATE_TIME: "2025:01:01 00:00:00"}))
    )
    assert found.captured == ""


@pytest.mark.parametrize("blank", ["    :  :     :  :  ", "0000:00:00 00:00:00", ""])
def test_a_capture_time_left_blank_is_none(tmp_path, blank):
    found = read_picture(saved(tmp_path / "a.jpg", tags(details={ORIGINAL: blank})))
    assert found.captured == ""


def test_a_place_is_read_as_degrees(tmp_path):
    """40° 26' 46" N is 40.446111: from memory, recomputed."""
    place = {1: "N", 2: (40.0, 26.0, 46.0), 3: "W", 4: (79.0, 58.0, 56.0)}
    found = read_picture(saved(tmp_path / "a.jpg", tags(place=place)))
    assert found.latitude == approx(40.446111, abs=5e-7)
    assert found.longitude == approx(-79.982222, abs=5e-7)


@pytest.mark.parametrize(
    ("ns", "ew", "signs"), [("N", "E", (1, 1)), ("S", "E", (-1, 1)), ("S", "W", (-1, -1))]
)
def test_south_and_west_are_negative(tmp_path, ns, ew, signs):
    place = {1: ns, 2: (10.0, 0.0, 0.0), 3: ew, 4: (20.0, 0.0, 0.0)}
    found = read_picture(saved(tmp_path / "a.jpg", tags(place=place)))
    assert (found.latitude, found.longitude) == (10 * signs[0], 20 * signs[1])


@pytest.mark.parametrize(
    "place",
    [
        {2: (10.0, 0.0, 0.0), 4: (20.0, 0.0, 0.0)},  # on which side of the equator?
        {1: "N", 2: (10.0, 0.0, 0.0)},
        {1: "N", 2: (91.0, 0.0, 0.0), 3: "E", 4: (20.0, 0.0, 0.0)},
        {1: "N", 2: (10.0, 0.0), 3: "E", 4: (20.0, 0.0, 0.0)},
    ],
)
def test_half_a_place_is_none(tmp_path, place):
    found = read_picture(saved(tmp_path / "a.jpg", tags(place=place)))
    assert found.latitude is found.longitude is None


def test_the_camera_s_words_come_without_padding(tmp_path):
    words = {MAKE: "Inventor Works\0\0\0", MODEL: " Reef Eye 3 \0"}
    found = read_picture(saved(tmp_path / "a.jpg", tags(words, {FOCAL_35MM: 60})))
    assert found.camera == "Inventor Works Reef Eye 3"
    assert found.focal_35mm == 60


@pytest.mark.parametrize("focal", [0, 65535])
def test_a_focal_length_that_cannot_be_is_unknown(tmp_path, focal):
    found = read_picture(saved(tmp_path / "a.jpg", tags(details={FOCAL_35MM: focal})))
    assert found.focal_35mm is None


def test_a_picture_without_tags_says_only_its_size(tmp_path):
    path = saved(tmp_path / "a.png")
    found = read_picture(path)
    assert (found.width, found.height, found.format) == (5, 3, "PNG")
    assert (found.captured, found.zone, found.camera) == ("", "", "")
    assert (found.latitude, found.longitude, found.focal_35mm) == (None, None, None)


def test_a_density_tag_is_never_taken_for_a_scale(tmp_path):
    plain, dense = saved(tmp_path / "a.png"), saved(tmp_path / "b.png", dpi=(300, 300))
    told = [read_picture(path) for path in (plain, dense)]
    assert [(one.width, one.height, one.focal_35mm) for one in told] == [(5, 3, None)] * 2


@pytest.mark.parametrize(
    "damage", [b"II*\0\xff\xff\xff\xff", b"MM\0*", b"\0" * 40, b"II*\0\x08\0\0\0\xff\xff"]
)
def test_a_broken_tag_block_does_not_cost_the_picture(tmp_path, damage):
    path = tmp_path / "a.jpg"
    Image.fromarray(PIXELS).save(path, exif=b"Exif\0\0" + damage)
    found = read_picture(path)
    assert (found.width, found.height, found.orientation) == (5, 3, 1)
    assert upright(path).size == (5, 3)


def test_a_file_is_known_by_its_content(tmp_path):
    path = saved(tmp_path / "a.png")
    content = path.read_bytes()
    found = read_picture(path)
    assert found.sha256 == sha256(content).hexdigest()
    assert found.n_bytes == len(content)
    path.rename(tmp_path / "another name.png")
    assert read_picture(tmp_path / "another name.png") == found


@pytest.mark.parametrize(
    "name", ["Muschel größer.png", "蛤.png", "name with 'quotes' & spaces.png"]
)
def test_any_file_name_can_be_read(tmp_path, name):
    assert read_picture(saved(tmp_path / name)).width == 5


def test_the_original_is_never_written_to(tmp_path):
    path = saved(tmp_path / "a.jpg", tags({ORIENTATION: 6}))
    os.utime(path, ns=(10**18, 10**18))
    path.chmod(0o444)
    before = (path.read_bytes(), path.stat().st_mtime_ns, path.stat().st_mode)
    read_picture(path)
    upright(path).putpixel((0, 0), (1, 2, 3))
    assert (path.read_bytes(), path.stat().st_mtime_ns, path.stat().st_mode) == before
    assert [one.name for one in tmp_path.iterdir()] == ["a.jpg"]


# -- Files that are no pictures ----------------------------------------------------------


def png(width, height, data=b"", kind=2):
    """Return a PNG whose header claims a size, whatever it holds."""

    def chunk(name, content):
        check = struct.pack(">I", zlib.crc32(name + content))
        return struct.pack(">I", len(content)) + name + content + check

    header = struct.pack(">IIBBBBB", width, height, 8, kind, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(data))
        + chunk(b"IEND", b"")
    )


def refused(path, read=read_picture):
    """Return the sentence with which a file is refused; it names the file."""
    with pytest.raises(PictureError) as fault:
        read(path)
    words = text(fault.value.sentence)
    assert path.name in words
    assert words.endswith(".")
    return words


def test_a_museum_picture_of_150_megapixels_is_accepted(tmp_path):
    path = tmp_path / "drawer.png"
    path.write_bytes(png(15_000, 10_000))
    assert (read_picture(path).width, read_picture(path).height) == (15_000, 10_000)


@pytest.mark.parametrize(
    ("width", "height"), [(30_000, 30_000), (25_000, 20_000), (2**31 - 1, 1)]
)
def test_a_picture_above_the_limit_is_refused_undecoded(tmp_path, width, height):
    path = tmp_path / "bomb.png"
    path.write_bytes(png(width, height))
    for read in (read_picture, upright):
        assert f"more than {MAX_PIXELS // 1_000_000} megapixels" in refused(path, read)


def test_the_limit_itself_is_accepted(tmp_path):
    path = tmp_path / "largest.png"
    path.write_bytes(png(20_000, MAX_PIXELS // 20_000))
    assert read_picture(path).width == 20_000


@pytest.mark.parametrize(("width", "height"), [(0, 5), (5, 0), (0, 0)])
def test_a_picture_without_pixels_is_refused(tmp_path, width, height):
    path = tmp_path / "nothing.png"
    path.write_bytes(png(width, height))
    assert "no pixels" in refused(path)


def test_an_empty_file_is_refused(tmp_path):
    path = tmp_path / "empty.jpg"
    path.touch()
    assert "0 bytes" in refused(path)


def test_a_file_that_is_not_there_is_refused(tmp_path):
    assert str(tmp_path) in refused(tmp_path / "gone.jpg")
    assert str(tmp_path) in refused(tmp_path / "gone.jpg", upright)


def test_a_folder_is_refused(tmp_path):
    folder = tmp_path / "pictures"
    folder.mkdir()
    assert "is a folder" in refused(folder)
    assert "is a folder" in refused(folder, upright)


@pytest.mark.parametrize(
    "content",
    [
        b"hello\n",
        b"\0" * 200,
        b"%PDF-1.7\n",
        b"{}",
        b"\xff\xd8\xff",
        b"<svg xmlns='x'></svg>",
    ],
)
def test_what_is_no_picture_is_refused(tmp_path, content):
    path = tmp_path / "shell.jpg"
    path.write_bytes(content)
    for read in (read_picture, upright):
        assert "not a picture" in refused(path, read) or "damaged" in refused(path, read)


@pytest.mark.parametrize("suffix", ["jpg", "png", "tif", "webp", "bmp", "gif", "ppm"])
def test_a_picture_cut_short_is_refused_when_it_is_decoded(tmp_path, suffix):
    pixels = np.random.default_rng(5).integers(0, 255, (60, 80, 3), dtype=np.uint8)
    path = tmp_path / f"whole.{suffix}"
    Image.fromarray(pixels).save(path)
    content = path.read_bytes()
    short = tmp_path / f"short.{suffix}"
    short.write_bytes(content[: len(content) // 2])
    assert "damaged" in refused(short, upright) or "not a picture" in refused(
        short, upright
    )


@pytest.mark.parametrize("suffix", ["jpg", "png", "tif", "webp", "bmp", "gif"])
def test_a_picture_with_wrong_bytes_gives_a_picture_or_a_sentence(tmp_path, suffix):
    """Two hundred files with a few bytes changed: never anything but these two."""
    draw = np.random.default_rng(9)
    path = saved(tmp_path / f"whole.{suffix}", pixels=np.tile(PIXELS, (8, 8, 1)))
    content = np.frombuffer(path.read_bytes(), np.uint8)
    for _ in range(200):
        changed = content.copy()
        at = draw.integers(0, len(content), size=6)
        changed[at] = draw.integers(0, 256, size=6)
        path.write_bytes(changed.tobytes())
        said = None
        try:
            told, made = read_picture(path), upright(path)
        except PictureError as fault:
            said = text(fault.sentence)
        if said is None:
            assert made.size == (told.width, told.height)
        else:
            assert path.name in said


def test_a_picture_that_may_not_be_read_is_refused(tmp_path):
    """In a process that is nobody, since nothing is forbidden to an administrator."""
    path = saved(tmp_path / "secret.png")
    path.chmod(0)
    script = """
import os, sys
from pathlib import Path
from landmarks.errors import PictureError
from landmarks.picture import read_picture, opened
from landmarks.sentences import catalogue, text
catalogue()
if getattr(os, "geteuid", lambda: 1)() == 0:
    os.setgroups([])
    os.setgid(65534)
    os.setuid(65534)
try:
    read_picture(Path(sys.argv[1]))
except PictureError as fault:
    print(text(fault.sentence))
"""
    done = subprocess.run(
        [sys.executable, "-c", script, str(path)], capture_output=True, text=True, cwd=ROOT
    )
    path.chmod(stat.S_IRUSR | stat.S_IWUSR)
    assert done.returncode == 0, done.stderr
    assert "“secret.png” may not be read by you" in done.stdout


def test_a_file_of_a_kind_that_can_hold_programs_is_not_even_tried(tmp_path):
    """PostScript is a language: a decoder for it would run what a stranger wrote."""
    path = tmp_path / "shell.eps"
    Image.fromarray(PIXELS).save(path)
    assert "not a picture" in refused(path)


def test_text_from_a_file_name_is_said_as_it_is(tmp_path):
    path = tmp_path / "{0} {file} <img src=x>.jpg"
    path.touch()
    assert "“{0} {file} <img src=x>.jpg”" in refused(path)


def test_hashing_reads_the_whole_file(tmp_path):
    path = tmp_path / "long"
    path.write_bytes(b"clam" * 1_000_000)
    assert hash_file(path) == (sha256(b"clam" * 1_000_000).hexdigest(), 4_000_000)


def test_faults_of_the_reader_are_no_faults_of_the_picture(tmp_path):
    """What a caller does wrong with an open picture is not blamed on the file."""
    path = saved(tmp_path / "a.png")
    with pytest.raises(AttributeError), opened(path) as image:
        image.no_such_thing  # noqa: B018
