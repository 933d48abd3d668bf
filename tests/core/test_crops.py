"""Windows of a picture file: the right pixels, one decoding, little memory."""

from threading import Thread

import numpy as np
import pytest
from PIL import Image

import landmarks.picture
from landmarks.errors import PictureError
from landmarks.geometry import Box, Point
from landmarks.instruments.crops import REDUCED, Crops
from landmarks.instruments.edges import crop_of
from landmarks.instruments.pixels import read_window
from landmarks.instruments.trace import Anchor, trace

WIDTH, HEIGHT = 403, 301  # no multiples of any step


@pytest.fixture
def pixels():
    hand = np.random.default_rng(4)
    return hand.integers(0, 256, (HEIGHT, WIDTH, 3), dtype=np.uint8)


@pytest.fixture
def path(tmp_path, pixels):
    Image.fromarray(pixels).save(tmp_path / "shell.png")
    return tmp_path / "shell.png"


BOXES = [
    Box(0, 0, WIDTH, HEIGHT), Box(17.3, 40.9, 100, 61), Box(-30, -30, 80, 70),
    Box(390, 290, 50, 50), Box(500, 500, 10, 10), Box(8, 12, 0, 0),
]  # fmt: skip


@pytest.fixture(params=[10**9, 0], ids=["in memory", "on disk"])
def crops(request, path):
    made = Crops(path, in_memory_bytes=request.param)
    yield made
    made.close()


@pytest.mark.parametrize("box", BOXES[:4])
@pytest.mark.parametrize("step", [1, 2, 3])
def test_a_window_is_that_of_the_whole_picture(crops, pixels, box, step):
    found, corner = crops(box, step)
    expected, there = crop_of(pixels)(box, step)
    assert corner == there
    assert found.shape == expected.shape
    assert abs(found.astype(int) - expected.astype(int)).max() <= (0 if step == 1 else 1)


@pytest.mark.parametrize("step", [4, 8, 16])
def test_a_coarse_window_comes_out_of_the_reduced_copy_and_says_where_it_lies(
    crops, pixels, step
):
    found, corner = crops(Box(41.0, 82.0, 200.0, 150.0), step)
    assert corner.x % REDUCED == 0
    assert corner.y % REDUCED == 0
    assert 0 <= 41 - corner.x < REDUCED
    there = Box(corner.x, corner.y, found.shape[1] * step, found.shape[0] * step)
    part, _ = crop_of(pixels)(there, 1)
    tall, wide = found.shape[:2]
    blocks = part[: tall * step, : wide * step].reshape(tall, step, wide, step, 3)
    # Means of rounded means: each rounding takes less than one grey level.
    assert abs(blocks.mean(axis=(1, 3)) - found).max() < 2


@pytest.mark.parametrize("box", BOXES)
def test_wherever_the_box_lies_there_are_pixels(crops, box):
    for step in (1, 4, 16):
        found, _ = crops(box, step)
        assert min(found.shape[:2]) >= 1


def test_the_file_is_decoded_once_however_many_ask(path, monkeypatch):
    calls = []
    real = landmarks.picture.opened

    def counted(where):
        calls.append(where)
        return real(where)

    monkeypatch.setattr(landmarks.picture, "opened", counted)
    crops = Crops(path)
    threads = [Thread(target=crops, args=(box, step)) for box in BOXES for step in (1, 4)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert len(calls) == 1
    crops.close()
    crops(BOXES[0], 1)
    assert len(calls) == 2


def test_light_is_what_a_window_of_the_file_is(crops, path):
    box = Box(30.5, 20.2, 90, 70)
    ours, theirs = crops.light(box), read_window(path, box)
    assert (ours.left, ours.top) == (theirs.left, theirs.top)
    assert abs(ours.light - theirs.light).max() <= 1.0


@pytest.mark.parametrize("turn", range(1, 9))
@pytest.mark.parametrize("mode", ["RGB", "L", "P"])
def test_it_stands_upright_as_everywhere(tmp_path, pixels, turn, mode):
    exif = Image.Exif()
    exif[0x0112] = turn
    path = tmp_path / "turned.png"
    Image.fromarray(pixels).convert(mode).save(path, exif=exif)
    expected = np.asarray(landmarks.picture.upright(path))
    crops = Crops(path)
    assert crops.size == (expected.shape[1], expected.shape[0])
    found, _ = crops(Box(0, 0, *crops.size), 1)
    assert (found == expected).all()


def test_a_file_cut_short_is_said(tmp_path, pixels):
    path = tmp_path / "short.jpg"
    Image.fromarray(pixels).save(path)
    path.write_bytes(path.read_bytes()[:9000])
    with pytest.raises(PictureError):
        Crops(path)(Box(0, 0, 10, 10), 1)


def test_an_edge_is_traced_out_of_a_file_as_out_of_its_pixels(tmp_path):
    across, down = np.meshgrid(np.arange(700) + 0.5, np.arange(500) + 0.5)
    inside = np.hypot((across - 350) / 250, (down - 250) / 160) < 1
    picture = np.where(inside[..., None], (230, 215, 190), (40, 50, 90)).astype(np.uint8)
    Image.fromarray(picture).save(tmp_path / "disc.png")
    angles = np.linspace(0, 2 * np.pi, 5)[:-1]
    clicks = [
        Anchor(Point(350 + 250 * np.cos(a), 250 + 160 * np.sin(a)), snap=True)
        for a in angles
    ]
    crops = Crops(tmp_path / "disc.png", in_memory_bytes=0)
    found = trace(crops, clicks, closed=True)
    off = [
        abs(np.hypot((x - 350) / 250, (y - 250) / 160) - 1) * 200 for x, y in found.points
    ]
    assert np.sqrt(np.mean(np.square(off))) < 1.5
    crops.close()


def test_a_file_that_is_no_picture_is_said(tmp_path):
    (tmp_path / "words.jpg").write_text("no picture")
    with pytest.raises(PictureError):
        Crops(tmp_path / "words.jpg")(Box(0, 0, 10, 10), 1)


def test_memory_of_the_decoder_is_given_back_and_its_settings_stay(tmp_path):
    before = Image.core.get_blocks_max()
    path = tmp_path / "clam.png"
    Image.new("RGB", (3000, 2000), (90, 120, 60)).save(path)
    Crops(path)(Box(10, 10, 50, 50), 1)
    assert Image.core.get_stats()["blocks_cached"] <= before
    assert Image.core.get_blocks_max() == before
