"""Pictures on their way to the screen: upright, first small then whole, or a sentence why not."""

import os
import struct
import zlib
from itertools import pairwise
from time import sleep

import pytest
from pytest import approx

pytest.importorskip("PySide6.QtWidgets")

from PIL import Image
from PySide6.QtCore import QSize
from PySide6.QtGui import QIcon, QImage

from app.background import decoding
from app.background.pictures import PictureLoader
from landmarks.errors import PictureError
from landmarks.geometry import Box
from landmarks.picture import MAX_PIXELS, read_picture
from landmarks.picture import upright as upright_by_core
from landmarks.sentences import text

RED, GREEN, BLUE, YELLOW = (200, 40, 40), (40, 180, 40), (50, 60, 200), (210, 200, 40)
CORNERS = {(0, 0): RED, (1, 0): GREEN, (0, 1): BLUE, (1, 1): YELLOW}
ORIENTATION = 0x0112

# What must be done to an upright picture so that the tag makes it upright again
# (CIPA DC-008, from memory; the core's answer is compared with it besides).
TURN_AWAY = {
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}


def quarters(width=180, height=120):
    image = Image.new("RGB", (width, height))
    for (x, y), colour in CORNERS.items():
        image.paste(
            colour,
            (x * width // 2, y * height // 2, (x + 1) * width // 2, (y + 1) * height // 2),
        )
    return image


def corner(image, x, y):
    """Return the colour in the middle of a quarter."""
    colour = image.pixelColor(
        int(image.width() * (0.25 + 0.5 * x)), int(image.height() * (0.25 + 0.5 * y))
    )
    return colour.red(), colour.green(), colour.blue()


def assert_quarters(image, tolerance=6):
    for (x, y), colour in CORNERS.items():
        assert corner(image, x, y) == approx(colour, abs=tolerance), (x, y)


def whole(path):
    return decoding.whole(path, decoding.look(path))


@pytest.fixture(scope="module", autouse=True)
def _prepared(qapp):
    decoding.prepare()


@pytest.fixture
def loader(qtbot):
    loader = PictureLoader()
    yield loader
    loader.close()


@pytest.fixture(scope="module")
def large(tmp_path_factory):
    """A picture of 24 megapixels."""
    path = tmp_path_factory.mktemp("large") / "large.jpg"
    quarters(6000, 4000).save(path, quality=80)
    return path


# -- upright -----------------------------------------------------------------------------


@pytest.mark.parametrize("orientation", TURN_AWAY)
@pytest.mark.parametrize("kind", ["jpg", "png", "tif", "webp"])
def test_every_orientation_is_upright_here_and_in_the_core(tmp_path, orientation, kind):
    path, image = tmp_path / f"o.{kind}", quarters()
    turn = TURN_AWAY[orientation]
    stored = image if turn is None else image.transpose(turn)
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    stored.save(path, exif=exif, **({"lossless": True} if kind == "webp" else {}))
    header = decoding.look(path)
    shown = decoding.whole(path, header)
    assert (header.width, header.height) == (180, 120)
    assert (shown.width(), shown.height()) == (180, 120)
    assert_quarters(shown)
    by_core = upright_by_core(path)
    assert by_core.size == (180, 120)
    for (x, y), colour in CORNERS.items():
        found = by_core.getpixel((45 + 90 * x, 30 + 60 * y))
        assert found == approx(colour, abs=6)
    file = read_picture(path)
    assert (file.width, file.height) == (180, 120)


@pytest.mark.parametrize("orientation", [1, 6, 5])
def test_the_preview_is_upright_and_fits_its_room(tmp_path, orientation):
    path, image = tmp_path / "p.jpg", quarters(1800, 1200)
    turn = TURN_AWAY[orientation]
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    (image if turn is None else image.transpose(turn)).save(path, exif=exif)
    small = decoding.preview(path, decoding.look(path), QSize(300, 300))
    assert (small.width(), small.height()) == (300, 200)
    assert_quarters(small)


# -- formats -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "mode", "options"),
    [
        ("a.jpg", "RGB", {}),
        ("cmyk.jpg", "CMYK", {}),
        ("cmyk.tif", "CMYK", {}),
        ("progressive.jpg", "RGB", {"progressive": True}),
        ("a.png", "RGB", {}),
        ("alpha.png", "RGBA", {}),
        ("a.tif", "RGB", {}),
        ("lzw.tif", "RGB", {"compression": "tiff_lzw"}),
        ("deflate.tif", "RGB", {"compression": "tiff_adobe_deflate"}),
        ("a.webp", "RGB", {"lossless": True}),
        ("a.bmp", "RGB", {}),
        ("a.gif", "RGB", {}),
        ("a.ppm", "RGB", {}),
        ("a.mpo", "RGB", {"save_all": True, "append_images": [Image.new("RGB", (9, 9))]}),
    ],
)
def test_every_format_the_core_knows_is_shown_in_its_colours(tmp_path, name, mode, options):
    path = tmp_path / name
    quarters().convert(mode).save(path, **options)
    shown = whole(path)
    assert shown.format() == QImage.Format.Format_RGB32
    assert_quarters(shown)


def test_palettes_and_greys_are_shown(tmp_path):
    grey = tmp_path / "grey.jpg"
    quarters().convert("L").save(grey)
    assert corner(whole(grey), 0, 1)[0] == approx(
        quarters().convert("L").getpixel((9, 99)), abs=4
    )
    few = tmp_path / "few.png"
    quarters().convert("P", palette=Image.Palette.ADAPTIVE, colors=8).save(few)
    assert_quarters(whole(few))


@pytest.mark.parametrize("kind", ["png", "tif"])
def test_sixteen_bits_keep_their_steps(tmp_path, kind):
    """Cut at 255 a 16-bit grey is white all over; over its whole range 12 bits are black."""
    path = tmp_path / f"deep.{kind}"
    ramp = b"".join(struct.pack("<H", 41 * x) for x in range(100))
    Image.frombytes("I;16", (100, 40), ramp * 40).save(path)
    shown = whole(path)
    assert shown.pixelColor(25, 20).red() == approx(255 * 25 / 99, abs=1)
    assert shown.pixelColor(75, 20).red() == approx(255 * 75 / 99, abs=1)


def test_bands_of_no_told_meaning_are_no_transparency(tmp_path):
    path = tmp_path / "bands.tif"
    strips = [zlib.compress(bytes([value]) * 64) for value in (100, 0, 0, 0, 0)]
    places = [8 + sum(map(len, strips[:number])) for number in range(5)]
    tags = {256: 8, 257: 8, 258: (8,) * 5, 259: 8, 262: 1, 277: 5, 278: 8, 284: 2}
    tags |= {273: tuple(places), 279: tuple(map(len, strips)), 338: (0,) * 4}
    pixels = b"".join(strips)
    path.write_bytes(_tiff(tags, pixels))
    assert whole(path).pixelColor(4, 4).getRgb() == (100, 100, 100, 255)


def test_wide_numbers_are_stretched_over_what_they_use(tmp_path):
    path = tmp_path / "wide.tif"
    ramp = b"".join(struct.pack("<f", 1000.0 + x) for x in range(100))
    Image.frombytes("F", (100, 40), ramp * 40).save(path)
    shown = whole(path)
    assert shown.pixelColor(0, 20).red() == 0
    assert shown.pixelColor(99, 20).red() == 255
    assert shown.pixelColor(50, 20).red() == approx(128, abs=2)


def test_a_picture_in_another_colour_space_is_brought_to_srgb(tmp_path):
    """Display P3 red (1, 0, 0) lies outside sRGB: its green and blue go to the floor."""
    from PySide6.QtGui import QColorSpace

    path = tmp_path / "p3.png"
    image = QImage(60, 40, QImage.Format.Format_RGB32)
    image.fill(0xFF60A060)
    image.setColorSpace(QColorSpace(QColorSpace.NamedColorSpace.DisplayP3))
    assert image.save(str(path))
    red, green, blue = corner(whole(path), 0, 0)
    # P3 (96, 160, 96) is more saturated when said in sRGB.
    assert red < 90
    assert green >= 160
    assert blue < 96


def test_transparent_parts_are_white(tmp_path):
    path = tmp_path / "hole.png"
    Image.new("RGBA", (60, 40), (200, 0, 0, 0)).save(path)
    assert corner(whole(path), 0, 0) == (255, 255, 255)


# -- pyramid -----------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "height"), [(2600, 1800), (2601, 1301), (1025, 3)])
def test_the_pyramid_halves_down_to_the_smallest_side(qapp, width, height):
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(0xFF336699)
    levels = list(decoding.pyramid(image))
    assert max(levels[-1].width(), levels[-1].height()) <= decoding.SMALLEST_SIDE
    for larger, smaller in pairwise(levels):
        assert smaller.width() == (larger.width() + 1) // 2
        assert smaller.height() == (larger.height() + 1) // 2
    last = levels[-1]
    assert last.pixelColor(last.width() - 1, last.height() - 1).name() == "#336699"


def test_strips_leave_no_seam(qapp):
    """Halved strip by strip is the same, bit for bit, as halved at once."""
    from PySide6.QtCore import Qt

    image = QImage(1300, 1100, QImage.Format.Format_RGB32)
    for y in range(1100):
        for x in range(0, 1300, 13):
            image.setPixel(x, y, 0xFF000000 | (x * y * 7919) & 0xFFFFFF)
    at_once = image.scaled(
        650,
        550,
        Qt.AspectRatioMode.IgnoreAspectRatio,
        Qt.TransformationMode.SmoothTransformation,
    ).convertToFormat(QImage.Format.Format_RGB32)
    _, in_strips, *_ = [*decoding.pyramid(image), None]
    assert in_strips == at_once


# -- the loader --------------------------------------------------------------------------


def test_a_picture_comes_in_order_size_preview_levels(loader, qtbot, large):
    order = []
    for name in ("opened", "previewed", "levels"):
        getattr(loader, name).connect(
            lambda token, value, name=name: order.append((name, value))
        )
    awaited = []
    loader.opened.connect(lambda *_: awaited.append(loader.is_awaited))
    loader.previewed.connect(lambda *_: awaited.append(loader.is_awaited))
    assert not loader.is_awaited
    shares = []
    loader.progressed.connect(lambda _token, share: shares.append(share))
    with qtbot.waitSignal(loader.levels, timeout=20_000) as done:
        token = loader.load(large, QSize(800, 600))
    assert done.args[0] == token
    # Small copies wait until there is something to see, and no longer.
    assert awaited == [True, False]
    assert [name for name, _ in order] == ["opened", "previewed", "levels"]
    assert order[0][1] == QSize(6000, 4000)
    assert (order[1][1].width(), order[1][1].height()) == (800, 533)
    assert_quarters(order[1][1])
    assert (done.args[1][0].width(), done.args[1][0].height()) == (6000, 4000)
    assert_quarters(done.args[1][0])
    assert_quarters(done.args[1][-1])
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert len(shares) > 5


def test_an_abandoned_picture_tells_nothing(loader, qtbot, large, tmp_path):
    small = tmp_path / "small.png"
    quarters().save(small)
    told = []
    for name in ("opened", "previewed", "levels", "failed", "progressed"):
        getattr(loader, name).connect(lambda token, _value: told.append(token))
    first = loader.load(large)
    qtbot.wait(30)
    before = len(told)
    second = loader.load(small)
    with qtbot.waitSignal(loader.levels, timeout=20_000):
        pass
    qtbot.wait(300)
    assert first not in told[before:]
    assert second in told
    loader.release()
    assert not loader.is_awaited


def test_nothing_of_a_picture_is_kept_once_it_was_handed_over(loader, qtbot, large):
    import gc
    import weakref

    kept = []
    loader.levels.connect(lambda _token, levels: kept.append(weakref.ref(levels[0])))
    with qtbot.waitSignal(loader.levels, timeout=20_000) as done:
        loader.load(large)
    done.args = None
    del done
    qtbot.waitUntil(lambda: gc.collect() >= 0 and kept[0]() is None, timeout=20_000)


def _previews(monkeypatch):
    """Return how often a reduced copy was made, by file name."""
    made, preview = [], decoding.preview

    def counted(path, *others):
        made.append(path.name)
        return preview(path, *others)

    monkeypatch.setattr(decoding, "preview", counted)
    return made


def _prepared_view(loader, qtbot, path, room):
    loader.prepare(path, room)
    qtbot.waitUntil(lambda: loader._ahead is not None, timeout=20_000)


def test_the_first_view_of_the_next_picture_is_made_beforehand(
    loader, qtbot, large, monkeypatch
):
    made, room = _previews(monkeypatch), QSize(1200, 800)
    _prepared_view(loader, qtbot, large, room)
    with qtbot.waitSignal(loader.levels, timeout=20_000):
        with qtbot.waitSignal(loader.previewed, timeout=20_000) as shown:
            token = loader.load(large, room)
        assert shown.args[0] == token
        assert_quarters(shown.args[1])
    assert made == ["large.jpg"]
    assert loader._ahead is None, "nothing is kept of a picture once it was shown"


@pytest.mark.parametrize("other", ["file", "room"])
def test_a_view_made_beforehand_that_does_not_fit_any_more_is_made_anew(
    loader, qtbot, large, tmp_path, monkeypatch, other
):
    path = tmp_path / "next.jpg"
    path.write_bytes(large.read_bytes())
    made, room = _previews(monkeypatch), QSize(1200, 800)
    _prepared_view(loader, qtbot, path, room)
    if other == "file":
        quarters(5000, 4000).save(path, quality=70)
    else:
        room = QSize(900, 600)
    with qtbot.waitSignal(loader.levels, timeout=20_000):
        loader.load(path, room)
    assert made == ["next.jpg"] * 2


@pytest.fixture
def bad_file(request, tmp_path):
    path = tmp_path / "bad.jpg"
    good = tmp_path / "good"
    match request.param:
        case "text":
            path.write_text("this is no picture")
        case "empty":
            path.touch()
        case "folder":
            path.mkdir()
        case "missing":
            pass
        case "drawing":
            path.write_text(
                '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>'
            )
        case "huge":
            # A PNG header that promises 30,000 x 30,000 pixels.
            quarters(10, 10).save(good, "PNG")
            data = bytearray(good.read_bytes())
            data[16:24] = struct.pack(">II", 30_000, 30_000)
            data[29:33] = struct.pack(">I", zlib.crc32(data[12:29]))
            path.write_bytes(data)
            assert MAX_PIXELS < 30_000**2
        case "no permission":
            quarters().save(path)
            path.chmod(0)
            if os.geteuid() == 0:  # Root may read anything, so be somebody else.
                os.seteuid(65534)
        case str() as cut:
            quarters(1800, 1200).save(good, cut.removeprefix("cut "))
            path.write_bytes(good.read_bytes()[: good.stat().st_size * 6 // 10])
    yield path
    if os.getuid() == 0:
        os.seteuid(0)
    if path.is_file():
        path.chmod(0o600)


@pytest.mark.parametrize(
    ("bad_file", "key"),
    [
        ("text", "picture.not_a_picture"),
        ("drawing", "picture.not_a_picture"),
        ("empty", "picture.empty"),
        ("folder", "picture.is_folder"),
        ("missing", "picture.missing"),
        ("huge", "picture.too_large"),
        ("cut JPEG", "picture.damaged"),
        ("cut PNG", "picture.damaged"),
        ("cut WEBP", "picture."),
        ("cut TIFF", "picture."),
        ("cut BMP", "picture.damaged"),
        ("cut GIF", "picture.damaged"),
        ("cut PPM", "picture.damaged"),
        ("no permission", "picture.no_permission"),
    ],
    indirect=["bad_file"],
)
def test_a_bad_file_is_one_sentence(loader, qtbot, bad_file, key):
    shown = []
    loader.levels.connect(lambda *_: shown.append("levels"))
    with qtbot.waitSignal(loader.failed, timeout=10_000) as failed:
        token = loader.load(bad_file)
    assert failed.args[0] == token
    sentence = failed.args[1]
    assert sentence.key.startswith(key)
    assert bad_file.name in text(sentence)
    assert shown == []


def test_a_jpeg_cut_short_is_found_even_if_its_thumbnail_is_whole(tmp_path):
    """The thumbnail in the header has an end marker of its own."""
    small, path = tmp_path / "thumbnail.jpg", tmp_path / "cut.jpg"
    quarters(60, 40).save(small)
    quarters(1800, 1200).save(path, comment=small.read_bytes())
    path.write_bytes(path.read_bytes()[:-2000])
    with pytest.raises(PictureError):
        whole(path)


def test_a_fault_nobody_thought_of_is_a_sentence_too(loader, qtbot, tmp_path, monkeypatch):
    def broken(*_):
        raise RuntimeError("out of the blue")

    monkeypatch.setattr(decoding, "look", broken)
    with qtbot.waitSignal(loader.failed, timeout=20_000) as failed:
        loader.load(tmp_path / "any.jpg")
    assert "out of the blue" in text(failed.args[1])


def test_closing_in_the_midst_of_loading_is_quick(qtbot, large):
    from time import perf_counter

    loader = PictureLoader()
    loader.load(large)
    qtbot.wait(60)
    start = perf_counter()
    loader.close()
    assert perf_counter() - start < 5


# -- thumbnails --------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["jpg", "png"])
def test_a_thumbnail_fits_its_box(tmp_path, kind):
    path = tmp_path / f"t.{kind}"
    quarters(1800, 1200).save(path)
    small = decoding.thumbnail(path, QSize(58, 44))
    assert (small.width(), small.height()) == (58, 39)
    assert_quarters(small, tolerance=12)


def test_a_thumbnail_of_a_region_shows_that_region(tmp_path):
    path = tmp_path / "t.jpg"
    quarters(1800, 1200).save(path)
    small = decoding.thumbnail(path, QSize(60, 60), Box(900, 0, 900, 600))
    assert small.width() == approx(60, abs=1)
    assert small.height() == approx(40, abs=1)
    for x, y in CORNERS:
        assert corner(small, x, y) == approx(GREEN, abs=12)


def test_thumbnails_come_beside_pictures_and_fail_by_themselves(
    loader, qtbot, large, tmp_path
):
    loader.load(large)
    with qtbot.waitSignal(loader.thumbnailed, timeout=20_000) as made:
        token = loader.want_thumbnail(large, QSize(58, 44))
    assert made.args[0] == token
    with qtbot.waitSignal(loader.failed, timeout=20_000) as failed:
        token = loader.want_thumbnail(tmp_path / "none.jpg", QSize(58, 44))
    assert failed.args[0] == token


def _tiff(tags, pixels):
    """Return a TIFF (TIFF 6.0, from memory); pixels from byte 8 on."""
    begin, entries, more = 8 + len(pixels), b"", b""
    after = begin + 2 + 12 * len(tags) + 4
    for tag, value in sorted(tags.items()):
        values = value if isinstance(value, tuple) else (value,)
        packed = struct.pack(f"<{len(values)}H", *values)
        if len(packed) > 4:
            packed, more = struct.pack("<I", after + len(more)), more + packed
        entries += struct.pack("<HHI", tag, 3, len(values)) + packed.ljust(4, b"\0")
    index = struct.pack("<H", len(tags)) + entries + bytes(4) + more
    return b"II*\0" + struct.pack("<I", begin) + pixels + index


@pytest.mark.parametrize("icons", [False, True], ids=["alone", "beside icons"])
def test_pictures_opened_at_once_never_wait_for_each_other_for_ever(tmp_path, qapp, icons):
    """Qt looks for decoders under a lock of its own, for the icons of the window as well."""
    from concurrent.futures import ThreadPoolExecutor

    path = tmp_path / "small.jpg"
    quarters(60, 40).save(path)

    def open_it(n):
        header = decoding.look(path)
        if n % 3 == 0:
            return decoding.preview(path, header, QSize(20, 20)).width()
        return decoding.whole(path, header).width()

    with ThreadPoolExecutor(6) as pool:
        answers = [pool.submit(open_it, n) for n in range(120)]
        while icons and not all(one.done() for one in answers):
            QIcon().addFile(str(path))
            sleep(0.001)  # Or this loop, and nothing else, keeps the interpreter lock.
        found = {one.result(timeout=60) for one in answers}
    assert found == {20, 60}
