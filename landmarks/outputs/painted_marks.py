"""Points, lines, outlines and ticks with the pen, as the screen shows them.

How wide and in which colour stands in :mod:`landmarks.outputs.marks`; here is how each kind
of mark is made of strokes, from its dark case to its core.
"""

from __future__ import annotations

from math import ceil, hypot
from typing import Any

from landmarks.figures import Again, Dot, Line, Lozenge, Outline, Quad, Ticks
from landmarks.geometry import usual_step
from landmarks.outputs.marks import MARKS, number_size
from landmarks.outputs.pen import FINE, Pen, Tile, case_colour, faint


def draw_dot(pen: Pen, dot: Dot) -> None:
    """Draw a landmark that is a point."""
    place = pen.place(dot.point)

    def draw(tile: Tile) -> None:
        tile.disc(place, MARKS.point_dark * pen.unit, MARKS.dark)
        tile.disc(place, MARKS.point_light * pen.unit, MARKS.light)
        tile.disc(place, MARKS.point_core * pen.unit, MARKS.landmark)

    pen.stamp([place], MARKS.point_dark * pen.unit + 2, draw)


def draw_again(pen: Pen, again: Again) -> None:
    """Draw where a landmark was placed again: a ring on a stalk."""
    x, y = place = pen.place(again.point)
    start, end = (one * pen.unit for one in MARKS.blind_stalk)
    edge = (MARKS.blind_dark - MARKS.blind_light) / 2 * pen.unit

    def draw(tile: Tile) -> None:
        for width, colour, reach in (
            (MARKS.blind_dark, MARKS.dark, end + edge),
            (MARKS.blind_light, MARKS.light, end),
        ):
            tile.ring(place, MARKS.blind_ring * pen.unit, width * pen.unit, colour)
            tile.path([(x, y - start), (x, y - reach)], width * pen.unit, colour)
        hue = MARKS.blind_hue * pen.unit
        tile.ring(place, MARKS.blind_ring * pen.unit, hue, MARKS.landmark)

    pen.stamp([place], end + 2 * edge + 2, draw)


def draw_lozenge(pen: Pen, lozenge: Lozenge, *, numbered: bool) -> None:
    """Draw one of a series, with its number where there is room."""
    place = pen.place(lozenge.point)
    half = (MARKS.lozenge_numbered if numbered else MARKS.lozenge_small) * pen.unit
    rim = MARKS.lozenge_light * pen.unit * 1.414 / 2

    fill = MARKS.series_fill if numbered else MARKS.series

    def draw(tile: Tile) -> None:
        shape = tile.square if lozenge.square else tile.diamond
        shape(place, half + rim + 1.7 * pen.unit, MARKS.dark)
        shape(place, half + rim, MARKS.light)
        shape(place, half - rim, fill)
        if numbered:
            kind = pen.type(number_size(lozenge.written))
            tile.words(place, lozenge.written, kind, MARKS.plate_ink, "mm")

    pen.stamp([place], half + 5 * pen.unit, draw)


def draw_line(pen: Pen, line: Line) -> None:
    """Draw a hinge, a scale or a measure from end to end."""
    ends = [pen.place(line.start), pen.place(line.end)]

    def draw(tile: Tile) -> None:
        for strokes, width, colour, round_ends in _strokes(pen, line.kind, ends):
            for stroke in strokes:
                tile.path(stroke, width * pen.unit, colour, round_ends=round_ends)

    pen.stamp(ends, MARKS.scale_tick * pen.unit, draw)


def draw_ticks(pen: Pen, ticks: Ticks) -> None:
    """Draw strokes where the fit uses a tick, rings where it does not."""
    places = [pen.place(point) for point in (*ticks.used, *ticks.left_out)]
    if not places:
        return
    used, left_out = places[: len(ticks.used)], places[len(ticks.used) :]
    half, ring = MARKS.tick_half * pen.unit, MARKS.tick_ring * pen.unit
    x, y = -ticks.along.y * half, ticks.along.x * half
    step = usual_step(ticks.used) * pen.share
    stride = max(1, ceil(4 * pen.unit / step)) if step else 1
    alpha = MARKS.tick_faint if ticks.faint else 1.0
    strokes = (
        (MARKS.tick_case, faint(MARKS.dark, MARKS.case_alpha * alpha)),
        (MARKS.tick_line, faint(MARKS.scale, alpha)),
    )

    def draw(tile: Tile) -> None:
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


def draw_quad(pen: Pen, quad: Quad) -> None:
    """Draw the numbered corners of a plane and the sides between them."""
    places = [pen.place(point) for point in quad.points]
    if not places:
        return
    half = MARKS.corner_half * pen.unit
    sides = [*places, places[0]] if len(places) == 4 else places

    def draw(tile: Tile) -> None:
        if len(sides) > 1:
            tile.path(sides, MARKS.scale_case * pen.unit, case_colour())
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


def draw_outline(pen: Pen, outline: Outline) -> None:
    """Draw an outline, or a path where it is open."""
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

    def draw(tile: Tile) -> None:
        tile.path(places, case * pen.unit, case_colour())
        tile.path(places, line * pen.unit, MARKS.outline)

    pen.stamp(places, case * pen.unit + 2, draw)


_Stroke = list[tuple[float, float]]


def _strokes(
    pen: Pen, kind: str, ends: _Stroke
) -> list[tuple[list[_Stroke], float, Any, bool]]:
    """Return what a line is made of, from its dark case to its core."""
    if kind == "hinge":
        return [
            ([ends], MARKS.hinge_case, case_colour(), True),
            ([ends], MARKS.hinge_light, MARKS.light, True),
            ([ends], MARKS.hinge_line, MARKS.hinge, True),
        ]
    if kind == "scale":
        lines = [ends, *_ticks(ends, MARKS.scale_tick / 2 * pen.unit)]
        return [
            (lines, MARKS.scale_case, case_colour(), True),
            (lines, MARKS.scale_line, MARKS.scale, False),
        ]
    return [
        ([ends], MARKS.measure_case, case_colour(), True),
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
