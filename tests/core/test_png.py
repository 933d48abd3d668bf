"""The annotated picture: marks where they belong, a true bar, nothing of the original's tags."""

from math import cos, pi, sin

import pytest
from PIL import Image
from pytest import approx

from landmarks.errors import PictureError
from landmarks.figures import Dot, Figure, FrameBox, Line, Lozenge, Outline
from landmarks.geometry import Box, Point
from landmarks.outputs.marks import MARKS
from landmarks.outputs.png import annotated, write_png
from landmarks.picture import hash_file
from landmarks.sentences import Sentence, text

WIDTH, HEIGHT = 2400, 1600
GROUND = (20, 128, 112)


def words(some):
    return Sentence("plain", {"words": some})


def rgb(colour):
    return tuple(int(colour[at : at + 2], 16) for at in (1, 3, 5))


@pytest.fixture
def picture(tmp_path):
    """A plain picture with tags that must not travel."""
    path = tmp_path / "IMG_secret.jpg"
    exif = Image.Exif()
    exif[0x010F] = "Nemo Optics"
    exif[0x010E] = "found at the secret bay"
    exif.get_ifd(0x8825)[1] = "S"
    exif.get_ifd(0x8825)[2] = (5.0, 30.0, 0.0)
    Image.new("RGB", (WIDTH, HEIGHT), GROUND).save(
        path, quality=95, exif=exif, comment=b"secret bay", dpi=(300, 300)
    )
    return path


def figure(*marks, mm_per_px=None):
    return Figure(WIDTH, HEIGHT, marks, mm_per_px)


UMBO = Point(1200.0, 900.0)
DOT = Dot("d", "umbo", UMBO, "U", words("umbo"))


@pytest.mark.parametrize("width", [800, 1600, 2400])
def test_a_dot_lies_where_its_landmark_is_and_carries_both_rings(picture, width):
    image = annotated(picture, figure(DOT), width)
    share, unit = width / WIDTH, max(1.0, width / 1600)
    assert image.size == (width, round(HEIGHT * share))
    x, y = round(UMBO.x * share), round(UMBO.y * share)
    assert image.getpixel((x, y)) == approx(rgb(MARKS.landmark), abs=4)
    row = [image.getpixel((x + dx, y)) for dx in range(round(9 * unit))]
    assert max(min(pixel) for pixel in row) > 240, "no light ring"
    assert min(max(pixel) for pixel in row) < 80, "no dark ring"


def test_the_middle_of_a_dot_is_true_to_a_third_of_a_pixel(picture):
    point = Point(1000.5, 700.25)
    image = annotated(picture, figure(Dot("d", "umbo", point, "", words("umbo"))), WIDTH)
    weights = [
        (x, y)
        for x in range(985, 1017)
        for y in range(685, 717)
        if image.getpixel((x, y)) != GROUND and image.getpixel((x, y))[2] > 200
    ]
    middle_x = sum(x + 0.5 for x, _ in weights) / len(weights)
    middle_y = sum(y + 0.5 for _, y in weights) / len(weights)
    assert (middle_x, middle_y) == approx(point, abs=0.34)


@pytest.mark.parametrize("mm_per_px", [0.05, 0.013, 1.7])
@pytest.mark.parametrize("width", [900, 1600, 2000])
def test_the_scale_bar_is_true_to_half_a_pixel(picture, mm_per_px, width):
    from landmarks.figures import scale_bar

    image = annotated(picture, figure(mm_per_px=mm_per_px), width)
    unit = max(1.0, width / 1600)
    bar = scale_bar(mm_per_px * WIDTH / width, 80 * unit, 160 * unit)
    longest = max(
        _length_of_light(image, y, range(width // 2, width))
        for y in range(round(70 * unit))
    )
    assert longest == approx(bar.length_mm / mm_per_px * width / WIDTH, abs=0.5)


def _length_of_light(image, y, xs):
    """Return how long the longest light run of a row is, half-covered pixels in part."""
    longest = run = 0.0
    for x in xs:
        light = min(image.getpixel((x, y)))
        run = run + min(1.0, max(0.0, (light - 35) / 220)) if light > 45 else 0.0
        longest = max(longest, run if light > 45 else 0.0)
    return longest


def test_without_a_scale_there_is_no_bar(picture):
    image = annotated(picture, figure(), 800)
    assert image.getcolors(maxcolors=99) is not None
    assert all(pixel == approx(GROUND, abs=3) for _, pixel in image.getcolors(maxcolors=99))


@pytest.mark.parametrize(
    ("mark", "places", "colour"),
    [
        (Line("hinge", Point(300, 800), Point(2100, 800)), [Point(1200, 800)], MARKS.hinge),
        (Line("scale", Point(300, 800), Point(2100, 800)), [Point(1200, 800)], MARKS.scale),
        (
            Lozenge("z", "main_folds", Point(900, 500), 3, words("fold")),
            [Point(890, 500)],
            MARKS.series_fill,
        ),
        (
            FrameBox("f", Box(300, 300, 1500, 900), 1, words("A 1"), True),
            [Point(1800, 700), Point(1000, 1200)],
            MARKS.light,
        ),
        (
            Outline(
                "o",
                "margin",
                tuple(
                    Point(1200 + 600 * cos(i * pi / 200), 800 + 600 * sin(i * pi / 200))
                    for i in range(400)
                ),
                True,
            ),
            [Point(600, 800), Point(1200, 200)],
            MARKS.outline,
        ),
    ],
    ids=["hinge", "scale", "lozenge", "frame", "outline"],
)
def test_every_kind_of_mark_is_drawn_in_its_colour(picture, mark, places, colour):
    image = annotated(picture, figure(mark), WIDTH)
    for place in places:
        around = [
            image.getpixel((round(place.x) + dx, round(place.y) + dy))
            for dx in range(-2, 3)
            for dy in range(-2, 3)
        ]
        assert any(pixel == approx(rgb(colour), abs=20) for pixel in around)


def test_marks_at_the_border_and_beyond_do_no_harm(picture):
    edge = [
        Dot("a", "umbo", Point(0, 0), "U", words("umbo")),
        Dot("b", "umbo", Point(WIDTH, HEIGHT), "U", words("umbo"), 1),
        Line("measure", Point(-500, 20), Point(WIDTH + 500, 20), words("7 mm")),
        Outline("o", "margin", (Point(1, 1),)),
        Outline("p", "margin", ()),
        Line("scale", Point(5, 5), Point(5, 5), words("0 mm"), "p"),
    ]
    assert annotated(picture, figure(*edge, mm_per_px=0.05), 700).size == (700, 467)


def test_nothing_of_the_original_travels_along(picture, tmp_path):
    target = tmp_path / "out.png"
    write_png(picture, figure(DOT, mm_per_px=0.05), target)
    data = target.read_bytes()
    for told in (
        b"secret",
        b"Nemo",
        b"IMG_",
        b"eXIf",
        b"tEXt",
        b"iTXt",
        b"zTXt",
        b"pHYs",
        b"tIME",
    ):
        assert told not in data
    with Image.open(target) as image:
        assert image.info == {}
        assert not image.getexif()


def test_the_original_is_never_written_to(picture, tmp_path):
    before = hash_file(picture)
    link = tmp_path / "same.png"
    link.symlink_to(picture)
    for target in (picture, link):
        with pytest.raises(PictureError) as refused:
            write_png(picture, figure(DOT), target)
        assert target.name in text(refused.value.sentence)
    assert hash_file(picture) == before


def test_a_target_that_cannot_be_written_is_a_sentence_and_leaves_nothing(
    picture, tmp_path
):
    folder = tmp_path / "gone"
    with pytest.raises(PictureError) as refused:
        write_png(picture, figure(DOT), folder / "out.png", 300)
    assert "out.png" in text(refused.value.sentence)
    assert sorted(path.name for path in tmp_path.iterdir()) == [picture.name]


def test_an_older_export_stays_whole_until_the_new_one_is_done(
    picture, tmp_path, monkeypatch
):
    target = tmp_path / "out.png"
    target.write_bytes(b"the older one")

    def full_disk(self, path, *_):
        path.write_bytes(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Image.Image, "save", full_disk)
    with pytest.raises(PictureError):
        write_png(picture, figure(DOT), target, 300)
    assert target.read_bytes() == b"the older one"
    assert sorted(path.name for path in tmp_path.iterdir()) == [picture.name, "out.png"]


def test_a_figure_of_another_picture_is_refused(picture):
    with pytest.raises(PictureError):
        annotated(picture, Figure(WIDTH, HEIGHT + 1), 300)


def test_the_picture_is_upright_before_it_is_marked(tmp_path):
    path = tmp_path / "turned.jpg"
    exif = Image.Exif()
    exif[0x0112] = 6
    stored = Image.new("RGB", (HEIGHT, WIDTH), GROUND)
    stored.paste((220, 30, 30), (0, WIDTH - 200, 200, WIDTH))
    stored.save(path, exif=exif)
    image = annotated(path, figure(DOT), 1200)
    assert image.size == (1200, 800)
    assert image.getpixel((20, 20)) == approx((220, 30, 30), abs=8)


def test_a_given_font_is_used(picture):
    from pathlib import Path

    font = Path(__file__).parents[2] / "app/style/fonts/SourceSans3-Semibold.ttf"
    plain = annotated(picture, figure(DOT), 800)
    styled = annotated(picture, figure(DOT), 800, font)
    assert plain.tobytes() != styled.tobytes()


def test_colours_of_another_space_are_brought_to_srgb(tmp_path):
    """Without its profile a picture is taken for sRGB, so it must be in sRGB."""
    from PIL import ImageCms

    path = tmp_path / "lab-like.png"
    # A profile made by Little CMS itself: sRGB with its channels as they are.
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    Image.new("RGB", (WIDTH, HEIGHT), (200, 120, 40)).save(path, icc_profile=profile)
    image = annotated(path, figure(), 400)
    assert image.getpixel((200, 100)) == approx((200, 120, 40), abs=2)
    assert "icc_profile" not in image.info


def test_marks_of_the_window_and_of_the_core_are_the_same():
    pytest.importorskip("PySide6.QtWidgets")
    from app.style.tokens import MARKS as ON_SCREEN

    for name in MARKS.__slots__:
        assert getattr(MARKS, name) == getattr(ON_SCREEN, name), name
