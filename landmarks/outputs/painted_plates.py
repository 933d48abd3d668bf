"""Names, frames and the scale bar on their plates, with the pen, where they hide least.

Where a name goes is found by :mod:`landmarks.outputs.plates`; here plates are sized, painted
and written on.
"""

from __future__ import annotations

from collections.abc import Sequence

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
from landmarks.outputs.marks import MARKS, PLATE_RADIUS, PLATE_TEXT_PX
from landmarks.outputs.pen import FINE, Pen, Tile, case_colour, faint
from landmarks.sentences import Number, number, text


def draw_frame(pen: Pen, frame: FrameBox) -> None:
    """Draw the box of a frame; only the current one says its name."""
    box = frame.box
    corners = [
        pen.place(Point(box.x + dx * box.width, box.y + dy * box.height))
        for dx, dy in ((0, 0), (1, 0), (1, 1), (0, 1), (0, 0))
    ]
    case, line = (4.6, 2.0) if frame.current else (3.2, 1.0)

    def draw(tile: Tile) -> None:
        tile.path(corners, case * pen.unit, case_colour())
        tile.path(corners, line * pen.unit, MARKS.light)

    pen.stamp(corners, case * pen.unit, draw)
    words = text(frame.name) if frame.current else ""
    left, top = corners[0]
    width, _ = _plate_size(pen, words, str(frame.number))
    draw_plate(
        pen, (left + 8 * pen.unit, top + 8 * pen.unit), width, words, str(frame.number)
    )


def draw_names(pen: Pen, figure: Figure, taken: Sequence[plates.Rect]) -> None:
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
            draw_plate(pen, corner, label.width, text(dot.name), dot.letter)


def draw_scale_bar(pen: Pen, figure: Figure, mm_per_px: float) -> None:
    """Draw a bar of a round length, exactly as long as it says, in a free corner."""
    least, most = (length * pen.unit for length in MARKS.scale_bar_px)
    bar = scale_bar(mm_per_px / pen.share, least, most)
    words = number(Number(float(f"{bar.length_mm:.6g}"), unit="mm"))
    width = max(bar.length_px, pen.text_width(words)) + 20 * pen.unit
    height = (PLATE_TEXT_PX + 24) * pen.unit
    left, top = _free_corner(pen, figure, width, height)

    def draw(tile: Tile) -> None:
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


def draw_plate(
    pen: Pen, corner: tuple[float, float], width: float, words: str, letter: str = ""
) -> None:
    """Lay a plate with words on the picture, after a letter where there is one."""
    left, top = corner
    height = MARKS.plate_height * pen.unit
    kind = pen.type(PLATE_TEXT_PX)
    middle = top + height / 2

    def draw(tile: Tile) -> None:
        _paint_plate(tile, corner, (left + width, top + height), pen.unit)
        x = left + _PADDING * pen.unit
        if letter:
            ink = MARKS.landmark if words else MARKS.plate_ink
            tile.words((x, middle), letter, kind, ink, "lm")
            x += pen.text_width(letter) + 6 * pen.unit
        if words:
            tile.words((x, middle), words, kind, MARKS.plate_ink, "lm")

    pen.stamp([corner, (left + width, top + height)], 2, draw)


def label_rect(pen: Pen, figure: Figure, line: Line, words: str) -> plates.Rect:
    """Return where the label of a line goes: a scale's beside it, any other on its middle."""
    start, end = pen.place(line.start), pen.place(line.end)
    size = _plate_size(pen, words)
    if line.kind == "scale":
        places = _mark_places(pen, figure)
        return plates.beside(start, end, size, places, MARKS.plate_gap * pen.unit)[1]
    x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    return x - size[0] / 2, y - size[1] / 2, *size


_PADDING, _MARGIN = 7.0, 12.0


def _mark_places(pen: Pen, figure: Figure) -> list[plates.Place]:
    return [
        pen.place(mark.point) for mark in figure.marks if isinstance(mark, Dot | Lozenge)
    ]


def _free_corner(
    pen: Pen, figure: Figure, width: float, height: float
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


def _plate_size(pen: Pen, words: str, letter: str = "") -> tuple[float, float]:
    lead = pen.text_width(letter) if letter else 0.0
    gap = 6 * pen.unit if letter and words else 0.0
    width = lead + gap + (pen.text_width(words) if words else 0.0)
    return width + 2 * _PADDING * pen.unit, MARKS.plate_height * pen.unit


def _paint_plate(
    tile: Tile, corner: tuple[float, float], far: tuple[float, float], unit: float
) -> None:
    tile.draw.rounded_rectangle(
        (*tile.to(corner), *tile.to(far)),
        PLATE_RADIUS * unit * FINE,
        fill=faint(MARKS.plate, MARKS.plate_alpha),
    )
