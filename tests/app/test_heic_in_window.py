"""HEIC pictures on the screen: turned once, shown small, whole and as thumbnails."""

from pathlib import Path
from time import monotonic

import numpy as np
import pytest

pytest.importorskip("PySide6.QtWidgets")

from PIL import Image
from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QImage, QPainter, QPixmap

from app.background import by_core, decoding, pictures
from app.background.carrying import filled
from app.background.pictures import PictureLoader
from app.window.files import PICTURE_SUFFIXES
from landmarks.errors import PictureError
from landmarks.geometry import Box
from landmarks.picture import SUFFIXES, apart, child, upright
from tests.heif import heic

ORIENTATION = 0x0112


@pytest.fixture(autouse=True)
def _prepared(qapp):
    decoding.prepare()


@pytest.fixture
def stairs():
    """Return grey quarters, every one another shade, wider than high."""
    grey = np.empty((32, 64), np.uint8)
    grey[:16, :32], grey[:16, 32:], grey[16:, :32], grey[16:, 32:] = 20, 90, 160, 230
    return grey


def greys(image):
    """Return the shades of a QImage (height, width)."""
    rows = range(image.height())
    return np.array(
        [[image.pixelColor(x, y).red() for x in range(image.width())] for y in rows]
    )


@pytest.mark.parametrize("turns", range(4))
def test_a_telephone_s_picture_is_turned_once_here_and_in_the_core(tmp_path, stairs, turns):
    exif = Image.Exif()
    exif[ORIENTATION] = (1, 8, 3, 6)[turns]  # the same turn said a second time
    path = tmp_path / "clam.heic"
    path.write_bytes(heic(stairs, turns=turns, exif=exif.tobytes()))
    header = decoding.look(path)
    shown = decoding.whole(path, header)
    expected = np.rot90(stairs, turns)
    assert (header.height, header.width) == expected.shape
    assert np.array_equal(greys(shown), expected)
    assert np.array_equal(np.asarray(upright(path))[..., 0], expected)


def test_it_comes_to_the_canvas_and_as_a_thumbnail(qtbot, tmp_path, stairs):
    path = tmp_path / "clam.heic"
    path.write_bytes(heic(stairs, turns=1))
    loader = PictureLoader()
    try:
        with qtbot.waitSignal(loader.levels, timeout=20_000) as come:
            token = loader.load(path)
        assert come.args[0] == token
        assert (come.args[1][0].width(), come.args[1][0].height()) == (32, 64)
        with qtbot.waitSignal(loader.thumbnailed, timeout=20_000) as small:
            loader.want_thumbnail(path, QSize(16, 16))
        assert (small.args[1].width(), small.args[1].height()) == (8, 16)
    finally:
        loader.close()


def test_a_thumbnail_of_a_region_shows_that_region(tmp_path, stairs):
    path = tmp_path / "clam.heic"
    path.write_bytes(heic(stairs))
    made = decoding.thumbnail(path, QSize(32, 16), Box(32, 0, 32, 16))
    assert set(greys(made)[2:-2, 2:-2].ravel()) == {90}


def test_a_file_cut_short_is_one_sentence(qtbot, tmp_path, stairs):
    path = tmp_path / "clam.heic"
    content = heic(stairs)
    path.write_bytes(content[: len(content) // 2])
    loader = PictureLoader()
    try:
        with qtbot.waitSignal(loader.failed, timeout=20_000) as come:
            loader.load(path)
        assert "clam.heic" in str(come.args[1])
    finally:
        loader.close()


@pytest.fixture(params=["pixels", "header"])
def slow(request, monkeypatch, tmp_path):
    """Return a picture whose decoder would take ten minutes, and over what."""
    begin = child._BEGIN.replace(
        "work()",
        "import time; from landmarks.picture import decoder; "
        f"decoder._QUESTIONS['{request.param}'] = lambda *_: time.sleep(600); work()",
    )
    apart.end_all()
    monkeypatch.setattr(child, "_BEGIN", begin)
    path = tmp_path / "slow.heic"
    path.write_bytes(
        heic(np.full((128, 64), 9, np.uint8), thumbnail=np.full((32, 16), 7, np.uint8))
    )
    yield path, request.param
    apart.end_all()


def test_a_picture_that_takes_long_is_seen_reduced_said_and_left_at_will(
    qtbot, tmp_path, stairs, slow, monkeypatch
):
    monkeypatch.setattr(pictures, "SAID_AFTER_S", 0.1)
    quick = tmp_path / "quick.png"
    Image.fromarray(stairs).save(quick)
    (path, over), shown = slow, []
    loader = PictureLoader()
    loader.previewed.connect(lambda _token, image: shown.append(image))
    try:
        with qtbot.waitSignal(loader.waiting, timeout=10_000) as said:
            loader.load(path, QSize(32, 64))
        assert "slow.heic" in str(said.args[1])
        if over == "pixels":
            qtbot.waitUntil(lambda: bool(shown), timeout=10_000)
            assert set(greys(shown[0]).ravel()) == {7}
        begun = monotonic()
        with qtbot.waitSignal(loader.levels, timeout=10_000):
            loader.load(quick)
        assert monotonic() - begun < 5
        loader.want_thumbnail(path, QSize(8, 8))
    finally:
        begun = monotonic()
        loader.close()
        assert monotonic() - begun < 5
    assert not any(one.is_alive for one, _ in apart._IDLE)


def test_what_cannot_be_interrupted_is_decoded_apart_where_it_is_large(
    tmp_path, stairs, monkeypatch
):
    path = tmp_path / "wide.png"
    Image.fromarray(stairs.astype(np.uint16) * 9).save(path)
    here = greys(decoding.whole(path, decoding.look(path)))
    monkeypatch.setattr(by_core, "LARGE", 1000)
    header = decoding.look(path)
    assert header.apart
    shares = []
    made = decoding.whole(path, header, lambda share: shares.append(share) or True)
    assert np.array_equal(greys(made), here)
    webp = tmp_path / "large.webp"
    Image.fromarray(stairs).save(webp, lossless=True)
    header = decoding.look(webp)
    assert (header.apart, header.by_qt) == (True, False)
    assert np.array_equal(greys(decoding.whole(webp, header)), stairs)
    path.write_bytes(path.read_bytes()[:70])
    with pytest.raises(PictureError) as fault:
        decoding.whole(path, header)
    assert fault.value.sentence.key == "picture.damaged"


def test_the_window_offers_every_kind_that_is_taken_in():
    assert set(PICTURE_SUFFIXES) == set(SUFFIXES)


def test_a_picture_that_the_core_decodes_is_seen_also_where_it_is_drawn_larger(qapp):
    """Qt asks for the last byte of each pixel there, of which the format has no use."""
    pixels = bytes([40, 50, 60, 0]) * (6 * 4)
    image = filled([(0, pixels[:48]), (2, bytearray(pixels[48:]))], QSize(6, 4), Path())
    shown = QImage(48, 32, QImage.Format.Format_ARGB32_Premultiplied)
    shown.fill(0)
    painter = QPainter(shown)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    painter.drawPixmap(QRectF(0, 0, 48, 32), QPixmap.fromImage(image), QRectF(0, 0, 6, 4))
    painter.end()
    assert shown.pixelColor(24, 16).getRgb() == (60, 50, 40, 255)
