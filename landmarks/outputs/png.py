"""The picture with its marks as a PNG: the same figure as on screen, drawn with Pillow.

The pixels are written anew, so nothing of the original file travels along: no place, no
capture time, no serial number, no file name. The original is never written to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, hypot
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import uuid4

from landmarks.errors import PictureError
from landmarks.figures import (
    Again,
    Dot,
    Figure,
    FrameBox,
    Line,
    Lozenge,
    Outline,
    Quad,
    Ticks,
    scale_bar,
)
from landmarks.geometry import Point
from landmarks.outputs import plates
from landmarks.outputs.marks import (
    MARKS,
    NUMBERED_FROM_PX,
    PLATE_RADIUS,
    PLATE_TEXT_PX,
    SQUARE_SHARE,
)
from landmarks.picture import upright
from landmarks.sentences import Number, number, text

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

USUAL_WIDTH_PX = 1600
FINE = 3
"""Marks are drawn this many times larger and reduced, which smooths their edges."""

_PADDING, _MARGIN = 7.0, 12.0


def annotated(
    picture_path: Path,
    figure: Figure,
    width_px: int = USUAL_WIDTH_PX,
    font: Path | None = None,
) -> Image:
    """Return the upright picture with all marks and a true scale bar, as RGB.

    Parameters
    ----------
    width_px
        Width of the result; marks grow with it above 1600 px.
    font
        A TrueType file for names and numbers; without it Pillow's own.

    Raises
    ------
    PictureError
        If the picture cannot be opened, or has not the size that the figure was made for.
    """
    from PIL import Image

    whole = upright(picture_path)
    if whole.size != (figure.width, figure.height):
        raise PictureError("picture.other_content", file=picture_path.name)
    width = max(1, width_px)
    share = width / figure.width
    size = (width, max(1, round(figure.height * share)))
    small = _in_srgb(whole.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0))
    pen = _Pen(small.convert("RGBA"), share, max(1.0, width / USUAL_WIDTH_PX), font)
    _draw_figure(pen, figure)
    out = Image.new("RGB", size)  # A new picture: nothing hangs on from the original.
    out.paste(pen.image.convert("RGB"))
    return out


def write_png(
    picture_path: Path,
    figure: Figure,
    target: Path,
    width_px: int = USUAL_WIDTH_PX,
    font: Path | None = None,
) -> None:
    """Write the annotated picture, under another name first, so that no half file is left.

    Raises
    ------
    PictureError
        If the picture cannot be opened, the target is the picture itself, or cannot be
        written.
    """
    if target.exists() and target.samefile(picture_path):
        raise PictureError("output.is_original", file=target.name)
    image = annotated(picture_path, figure, width_px, font)
    part = target.with_name(f".{uuid4().hex}.part")
    try:
        image.save(part, "PNG")
        part.replace(target)
    except OSError as fault:
        raise PictureError(
            "output.cannot_write", file=target.name, reason=fault.strerror or str(fault)
        ) from None
    finally:
        part.unlink(missing_ok=True)


@dataclass(slots=True)
class _Pen:
    """The picture under work: ``share`` brings picture pixels to its own, ``unit`` sizes."""

    image: Image
    share: float
    unit: float
    font: Path | None

    def place(self, point: Point) -> tuple[float, float]:
        return point.x * self.share, point.y * self.share

    def stamp(
        self,
        places: Iterable[tuple[float, float]],
        reach: float,
        draw: Callable[[_Tile], None],
    ) -> None:
        """Draw on a fine tile around some places, and lay it on the picture."""
        from PIL import Image, ImageDraw

        xs, ys = zip(*places, strict=True)
        left = max(0, floor(min(xs) - reach))
        top = max(0, floor(min(ys) - reach))
        right = min(self.image.width, ceil(max(xs) + reach))
        bottom = min(self.image.height, ceil(max(ys) + reach))
        if right <= left or bottom <= top:
            return
        size = ((right - left) * FINE, (bottom - top) * FINE)
        sheet = Image.new("RGBA", size)
        draw(_Tile(ImageDraw.Draw(sheet), left, top))
        self.image.alpha_composite(sheet.reduce(FINE), (left, top))

    def type(self, size: float) -> Any:
        from PIL import ImageFont

        px = size * self.unit * FINE
        if self.font is not None:
            return ImageFont.truetype(str(self.font), round(px))
        return ImageFont.load_default(px)

    def text_width(self, words: str, size: float = PLATE_TEXT_PX) -> float:
        return float(self.type(size).getlength(words)) / FINE


@dataclass(slots=True)
class _Tile:
    """A fine sheet that is drawn on in coordinates of the result."""

    draw: ImageDraw
    left: int
    top: int

    def to(self, place: tuple[float, float]) -> tuple[float, float]:
        return (place[0] - self.left) * FINE, (place[1] - self.top) * FINE

    def disc(self, place: tuple[float, float], radius: float, colour: Any) -> None:
        x, y = self.to(place)
        r = radius * FINE
        self.draw.ellipse((x - r, y - r, x + r, y + r), fill=colour)

    def ring(
        self, place: tuple[float, float], radius: float, width: float, colour: Any
    ) -> None:
        x, y = self.to(place)
        r, w = (radius + width / 2) * FINE, max(1, round(width * FINE))
        self.draw.ellipse((x - r, y - r, x + r, y + r), outline=colour, width=w)

    def path(
        self,
        places: Sequence[tuple[float, float]],
        width: float,
        colour: Any,
        *,
        round_ends: bool = False,
    ) -> None:
        fine = [self.to(place) for place in places]
        self.draw.line(fine, fill=colour, width=max(1, round(width * FINE)), joint="curve")
        if round_ends:
            for place in (places[0], places[-1]):
                self.disc(place, width / 2, colour)

    def diamond(self, place: tuple[float, float], half: float, colour: Any) -> None:
        x, y = self.to(place)
        h = half * FINE
        self.draw.polygon([(x, y - h), (x + h, y), (x, y + h), (x - h, y)], fill=colour)

    def square(self, place: tuple[float, float], half: float, colour: Any) -> None:
        (x, y), h = self.to(place), half * SQUARE_SHARE * FINE
        self.draw.rectangle((x - h, y - h, x + h, y + h), fill=colour)

    def words(
        self, place: tuple[float, float], words: str, kind: Any, colour: Any, anchor: str
    ) -> None:
        self.draw.text(self.to(place), words, fill=colour, font=kind, anchor=anchor)


def _draw_figure(pen: _Pen, figure: Figure) -> None:
    """Draw lines below points, points below names."""
    small = _crowded(figure, pen)
    for mark in figure.marks:
        if isinstance(mark, FrameBox):
            _draw_frame(pen, mark)
    for mark in figure.marks:
        if isinstance(mark, Outline):
            _draw_outline(pen, mark)
    for mark in figure.marks:
        if isinstance(mark, Line):
            _draw_line(pen, mark)
        elif isinstance(mark, Ticks):
            _draw_ticks(pen, mark)
        elif isinstance(mark, Quad):
            _draw_quad(pen, mark)
    for mark in figure.marks:
        if isinstance(mark, Dot):
            _draw_dot(pen, mark)
        elif isinstance(mark, Again):
            _draw_again(pen, mark)
        elif isinstance(mark, Lozenge):
            _draw_lozenge(pen, mark, numbered=mark.landmark not in small)
    labels = [
        (_label_rect(pen, figure, mark, text(mark.label)), text(mark.label))
        for mark in figure.marks
        if isinstance(mark, Line) and mark.label is not None
    ]
    _draw_names(pen, figure, [rect for rect, _ in labels])
    for (left, top, width, _), words in labels:
        _draw_plate(pen, (left, top), width, words)
    if figure.mm_per_px is not None:
        _draw_scale_bar(pen, figure, figure.mm_per_px)


def _draw_dot(pen: _Pen, dot: Dot) -> None:
    place = pen.place(dot.point)

    def draw(tile: _Tile) -> None:
        tile.disc(place, MARKS.point_dark * pen.unit, MARKS.dark)
        tile.disc(place, MARKS.point_light * pen.unit, MARKS.light)
        tile.disc(place, MARKS.point_core * pen.unit, MARKS.landmark)

    pen.stamp([place], MARKS.point_dark * pen.unit + 2, draw)


def _draw_again(pen: _Pen, again: Again) -> None:
    x, y = place = pen.place(again.point)
    start, end = (one * pen.unit for one in MARKS.blind_stalk)
    edge = (MARKS.blind_dark - MARKS.blind_light) / 2 * pen.unit

    def draw(tile: _Tile) -> None:
        for width, colour, reach in (
            (MARKS.blind_dark, MARKS.dark, end + edge),
            (MARKS.blind_light, MARKS.light, end),
        ):
            tile.ring(place, MARKS.blind_ring * pen.unit, width * pen.unit, colour)
            tile.path([(x, y - start), (x, y - reach)], width * pen.unit, colour)
        hue = MARKS.blind_hue * pen.unit
        tile.ring(place, MARKS.blind_ring * pen.unit, hue, MARKS.landmark)

    pen.stamp([place], end + 2 * edge + 2, draw)


def _draw_lozenge(pen: _Pen, lozenge: Lozenge, *, numbered: bool) -> None:
    place = pen.place(lozenge.point)
    half = (MARKS.lozenge_numbered if numbered else MARKS.lozenge_small) * pen.unit
    rim = MARKS.lozenge_light * pen.unit * 1.414 / 2

    fill = MARKS.series_fill if numbered else MARKS.series

    def draw(tile: _Tile) -> None:
        shape = tile.square if lozenge.square else tile.diamond
        shape(place, half + rim + 1.7 * pen.unit, MARKS.dark)
        shape(place, half + rim, MARKS.light)
        shape(place, half - rim, fill)
        if numbered:
            size = 12 if lozenge.number < 10 else 10 if lozenge.number < 100 else 8
            kind = pen.type(size)
            tile.words(place, str(lozenge.number), kind, MARKS.plate_ink, "mm")

    pen.stamp([place], half + 5 * pen.unit, draw)


def _draw_line(pen: _Pen, line: Line) -> None:
    ends = [pen.place(line.start), pen.place(line.end)]

    def draw(tile: _Tile) -> None:
        for strokes, width, colour, round_ends in _strokes(pen, line.kind, ends):
            for stroke in strokes:
                tile.path(stroke, width * pen.unit, colour, round_ends=round_ends)

    pen.stamp(ends, MARKS.scale_tick * pen.unit, draw)


_Stroke = list[tuple[float, float]]


def _strokes(
    pen: _Pen, kind: str, ends: _Stroke
) -> list[tuple[list[_Stroke], float, Any, bool]]:
    """Return what a line is made of, from its dark case to its core."""
    if kind == "hinge":
        return [
            ([ends], MARKS.hinge_case, _case(), True),
            ([ends], MARKS.hinge_light, MARKS.light, True),
            ([ends], MARKS.hinge_line, MARKS.hinge, True),
        ]
    if kind == "scale":
        lines = [ends, *_ticks(ends, MARKS.scale_tick / 2 * pen.unit)]
        return [
            (lines, MARKS.scale_case, _case(), True),
            (lines, MARKS.scale_line, MARKS.scale, False),
        ]
    return [
        ([ends], MARKS.measure_case, _case(), True),
        (
            _dashes(ends, MARKS.measure_dash, pen.unit),
            MARKS.measure_line,
            MARKS.light,
            False,
        ),
    ]


def _ticks(ends: _Stroke, half: float) -> list[_Stroke]:
    (ax, ay), (bx, by) = ends
    length = hypot(bx - ax, by - ay) or 1.0
    x, y = -(by - ay) / length * half, (bx - ax) / length * half
    return [[(px - x, py - y), (px + x, py + y)] for px, py in ends]


def _dashes(ends: _Stroke, dash: tuple[float, float], unit: float) -> list[_Stroke]:
    (ax, ay), (bx, by) = ends
    length = hypot(bx - ax, by - ay)
    made = []
    at = 0.0
    while at < length:
        stop = min(at + dash[0] * unit, length)
        made.append(
            [
                (ax + (bx - ax) * at / length, ay + (by - ay) * at / length),
                (ax + (bx - ax) * stop / length, ay + (by - ay) * stop / length),
            ]
        )
        at += (dash[0] + dash[1]) * unit
    return made


def _draw_ticks(pen: _Pen, ticks: Ticks) -> None:
    """Draw strokes where the fit uses a tick, rings where it does not."""
    places = [pen.place(point) for point in (*ticks.used, *ticks.left_out)]
    if not places:
        return
    used, left_out = places[: len(ticks.used)], places[len(ticks.used) :]
    half, ring = MARKS.tick_half * pen.unit, MARKS.tick_ring * pen.unit
    x, y = -ticks.along.y * half, ticks.along.x * half
    steps = sorted(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(used))
    step = steps[len(steps) // 2] if steps else 0.0
    stride = max(1, ceil(4 * pen.unit / step)) if step else 1
    alpha = MARKS.tick_faint if ticks.faint else 1.0
    strokes = (
        (MARKS.tick_case, _faint(MARKS.dark, MARKS.case_alpha * alpha)),
        (MARKS.tick_line, _faint(MARKS.scale, alpha)),
    )

    def draw(tile: _Tile) -> None:
        for width, colour in strokes:
            for px, py in used[::stride]:
                ends = [(px - x, py - y), (px + x, py + y)]
                tile.path(ends, width * pen.unit, colour)
            for px, py in left_out:
                corner, far = (
                    tile.to((px - ring, py - ring)),
                    tile.to((px + ring, py + ring)),
                )
                thick = max(1, round(width * pen.unit * FINE))
                tile.draw.ellipse((*corner, *far), outline=colour, width=thick)

    pen.stamp(places, half + 4 * pen.unit, draw)


def _draw_quad(pen: _Pen, quad: Quad) -> None:
    places = [pen.place(point) for point in quad.points]
    if not places:
        return
    half = MARKS.corner_half * pen.unit
    sides = [*places, places[0]] if len(places) == 4 else places

    def draw(tile: _Tile) -> None:
        if len(sides) > 1:
            tile.path(sides, MARKS.scale_case * pen.unit, _case())
            tile.path(sides, MARKS.scale_line * pen.unit, MARKS.scale)
        kind = pen.type(12)
        for at, (px, py) in enumerate(places, 1):
            for more, colour in (
                (1.2, MARKS.dark),
                (0.0, MARKS.scale),
                (-1.6, MARKS.plate),
            ):
                reach = half + more * pen.unit
                corner = tile.to((px - reach, py - reach))
                far = tile.to((px + reach, py + reach))
                tile.draw.rectangle((*corner, *far), fill=colour)
            tile.words((px, py), str(at), kind, MARKS.plate_ink, "mm")

    pen.stamp(places, half + 4 * pen.unit, draw)


def _draw_outline(pen: _Pen, outline: Outline) -> None:
    if not outline.points:
        return
    places = [pen.place(point) for point in outline.points]
    if outline.closed:
        places.append(places[0])
    if len(places) < 2:
        return
    case, line = (
        (MARKS.outline_case, MARKS.outline_line)
        if outline.closed
        else (MARKS.path_case, MARKS.path_line)
    )

    def draw(tile: _Tile) -> None:
        tile.path(places, case * pen.unit, _case())
        tile.path(places, line * pen.unit, MARKS.outline)

    pen.stamp(places, case * pen.unit + 2, draw)


def _draw_frame(pen: _Pen, frame: FrameBox) -> None:
    box = frame.box
    corners = [
        pen.place(Point(box.x + dx * box.width, box.y + dy * box.height))
        for dx, dy in ((0, 0), (1, 0), (1, 1), (0, 1), (0, 0))
    ]
    case, line = (4.6, 2.0) if frame.current else (3.2, 1.0)

    def draw(tile: _Tile) -> None:
        tile.path(corners, case * pen.unit, _case())
        tile.path(corners, line * pen.unit, MARKS.light)

    pen.stamp(corners, case * pen.unit, draw)
    words = text(frame.name) if frame.current else ""
    left, top = corners[0]
    width, _ = _plate_size(pen, words, str(frame.number))
    _draw_plate(
        pen, (left + 8 * pen.unit, top + 8 * pen.unit), width, words, str(frame.number)
    )


def _draw_names(pen: _Pen, figure: Figure, taken: Sequence[plates.Rect]) -> None:
    """Put the name of each landmark on its free side; one that finds no room is left out."""
    dots = [mark for mark in figure.marks if isinstance(mark, Dot)]
    sizes = [_plate_size(pen, text(dot.name), dot.letter) for dot in dots]
    labels = [
        plates.Label(*pen.place(dot.point), *size)
        for dot, size in zip(dots, sizes, strict=True)
    ]
    places = _mark_places(pen, figure)
    lines = [
        (pen.place(mark.start), pen.place(mark.end))
        for mark in figure.marks
        if isinstance(mark, Line)
    ]
    gap = MARKS.plate_gap * pen.unit
    spots = plates.arrange(labels, places, gap, pen.image.size, taken, lines)
    for dot, label, spot in zip(dots, labels, spots, strict=True):
        if spot is not None:
            corner = (label.x + spot.dx, label.y + spot.dy)
            _draw_plate(pen, corner, label.width, text(dot.name), dot.letter)


def _label_rect(pen: _Pen, figure: Figure, line: Line, words: str) -> plates.Rect:
    """Return where the label of a line goes: a scale's beside it, any other on its middle."""
    start, end = pen.place(line.start), pen.place(line.end)
    size = _plate_size(pen, words)
    if line.kind == "scale":
        places = _mark_places(pen, figure)
        return plates.beside(start, end, size, places, MARKS.plate_gap * pen.unit)[1]
    x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    return x - size[0] / 2, y - size[1] / 2, *size


def _mark_places(pen: _Pen, figure: Figure) -> list[plates.Place]:
    return [
        pen.place(mark.point) for mark in figure.marks if isinstance(mark, Dot | Lozenge)
    ]


def _draw_scale_bar(pen: _Pen, figure: Figure, mm_per_px: float) -> None:
    least, most = (length * pen.unit for length in MARKS.scale_bar_px)
    bar = scale_bar(mm_per_px / pen.share, least, most)
    words = number(Number(float(f"{bar.length_mm:.6g}"), unit="mm"))
    width = max(bar.length_px, pen.text_width(words)) + 20 * pen.unit
    height = (PLATE_TEXT_PX + 24) * pen.unit
    left, top = _free_corner(pen, figure, width, height)

    def draw(tile: _Tile) -> None:
        _paint_plate(tile, (left, top), (left + width, top + height), pen.unit)
        middle = left + width / 2
        kind = pen.type(PLATE_TEXT_PX)
        tile.words((middle, top + 13 * pen.unit), words, kind, MARKS.plate_ink, "mm")
        # The bar is a filled rectangle: a line's end would lengthen it.
        start = round(middle - bar.length_px / 2)
        x, y = tile.to((start, round(top + height - 10 * pen.unit)))
        x_end, y_end = x + bar.length_px * FINE, y + 3 * pen.unit * FINE
        tile.draw.rectangle(
            (round(x), round(y), round(x_end) - 1, round(y_end) - 1), fill=MARKS.plate_ink
        )

    pen.stamp([(left, top), (left + width, top + height)], 2, draw)


def _free_corner(
    pen: _Pen, figure: Figure, width: float, height: float
) -> tuple[float, float]:
    """Return the top left of the corner with the fewest marks; top right where all are free."""
    places = [pen.place(point) for point in _points(figure)]
    margin = _MARGIN * pen.unit
    right, bottom = pen.image.width - margin - width, pen.image.height - margin - height
    best: tuple[int, tuple[float, float]] | None = None
    for left, top in ((right, margin), (margin, margin), (right, bottom), (margin, bottom)):
        count = sum(
            left - margin <= x <= left + width + margin
            and top - margin <= y <= top + height + margin
            for x, y in places
        )
        if best is None or count < best[0]:
            best = (count, (left, top))
    assert best is not None
    return best[1]


def _points(figure: Figure) -> list[Point]:
    found: list[Point] = []
    for mark in figure.marks:
        match mark:
            case Dot() | Lozenge() | Again():
                found.append(mark.point)
            case Line():
                found += [mark.start, mark.end]
            case Outline():
                found += mark.points
            case Quad():
                found += mark.points
            case FrameBox() | Ticks():
                pass
    return found


def _plate_size(pen: _Pen, words: str, letter: str = "") -> tuple[float, float]:
    lead = pen.text_width(letter) if letter else 0.0
    gap = 6 * pen.unit if letter and words else 0.0
    width = lead + gap + (pen.text_width(words) if words else 0.0)
    return width + 2 * _PADDING * pen.unit, MARKS.plate_height * pen.unit


def _draw_plate(
    pen: _Pen, corner: tuple[float, float], width: float, words: str, letter: str = ""
) -> None:
    left, top = corner
    height = MARKS.plate_height * pen.unit
    kind = pen.type(PLATE_TEXT_PX)
    middle = top + height / 2

    def draw(tile: _Tile) -> None:
        _paint_plate(tile, corner, (left + width, top + height), pen.unit)
        x = left + _PADDING * pen.unit
        if letter:
            ink = MARKS.landmark if words else MARKS.plate_ink
            tile.words((x, middle), letter, kind, ink, "lm")
            x += pen.text_width(letter) + 6 * pen.unit
        if words:
            tile.words((x, middle), words, kind, MARKS.plate_ink, "lm")

    pen.stamp([corner, (left + width, top + height)], 2, draw)


def _paint_plate(
    tile: _Tile, corner: tuple[float, float], far: tuple[float, float], unit: float
) -> None:
    tile.draw.rounded_rectangle(
        (*tile.to(corner), *tile.to(far)),
        PLATE_RADIUS * unit * FINE,
        fill=_faint(MARKS.plate, MARKS.plate_alpha),
    )


def _crowded(figure: Figure, pen: _Pen) -> set[str]:
    """Return the series whose lozenges would touch each other at this size."""
    by_landmark: dict[str, list[tuple[float, float]]] = {}
    for mark in figure.marks:
        if isinstance(mark, Lozenge):
            by_landmark.setdefault(mark.landmark, []).append(pen.place(mark.point))
    crowded = set()
    for landmark, places in by_landmark.items():
        steps = sorted(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(places))
        if len(steps) > 1 and steps[len(steps) // 2] < NUMBERED_FROM_PX * pen.unit:
            crowded.add(landmark)
    return crowded


def _in_srgb(image: Image) -> Image:
    """Return the picture in sRGB, since its profile does not travel along."""
    profile = image.info.get("icc_profile")
    if not profile:
        return image
    from io import BytesIO

    from PIL import ImageCms

    try:
        source = ImageCms.ImageCmsProfile(BytesIO(profile))
        made = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError, ValueError):
        return image  # A profile for other channels, or a broken one, says nothing here.
    return image if made is None else made


def _case() -> tuple[int, int, int, int]:
    return _faint(MARKS.dark, MARKS.case_alpha)


def _faint(colour: str, alpha: float) -> tuple[int, int, int, int]:
    red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return red, green, blue, round(255 * alpha)
