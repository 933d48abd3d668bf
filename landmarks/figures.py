"""One figure model for every painter: what is drawn over a picture, and where.

Marks stand in pixels of the upright picture and know nothing of screens; the canvas, the PNG
painter (and later SVG and PDF) draw the same marks. Shape tells the class of a mark, never
colour alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import floor, hypot, log10

from landmarks.collection import Picture
from landmarks.geometry import Box, Point
from landmarks.placing import Placing
from landmarks.scale import Scale, mm_per_px
from landmarks.scheme import OUTLINE, PATH, VIEWS
from landmarks.sentences import Number, Sentence
from landmarks.specimen import Frame, Specimen

SQUARE = ("end_folds",)
"""Series whose marks are squares, to be told from those they stand among."""


@dataclass(frozen=True, slots=True)
class Dot:
    """A landmark: a ringed disc with its letter and name on a plate."""

    id: str
    landmark: str
    point: Point
    letter: str
    name: Sentence
    index: int = 0


@dataclass(frozen=True, slots=True)
class Lozenge:
    """One of a series, with its number; a ``square`` one for those told apart by shape.

    Number 0 is a small mark without one: a click that a line is led through. ``more`` tells
    of the last one that there are more than could be marked.
    """

    id: str
    landmark: str
    point: Point
    number: int
    name: Sentence
    index: int = 0
    square: bool = False
    more: bool = False

    @property
    def written(self) -> str:
        """Return its number as it stands on the mark: ``5``, ``5+``, or nothing."""
        return f"{self.number}{'+' * self.more}" if self.number else ""


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line between two points; ``kind`` is ``hinge``, ``scale`` or ``measure``.

    ``id`` is what a person can take hold of: a scale's ends carry the picture's id.
    """

    kind: str
    start: Point
    end: Point
    label: Sentence | None = None
    id: str = ""


@dataclass(frozen=True, slots=True)
class Outline:
    """A path or an outline; a ``provisional`` one is not stored and cannot be taken hold of."""

    id: str
    landmark: str
    points: tuple[Point, ...]
    closed: bool = False
    provisional: bool = False


@dataclass(frozen=True, slots=True)
class FrameBox:
    """The border of a frame on a picture that shows several specimens."""

    id: str
    box: Box
    number: int
    name: Sentence
    current: bool = False


@dataclass(frozen=True, slots=True)
class ScaleBar:
    """A bar of a round length: ``length_mm`` long, ``length_px`` picture pixels."""

    length_mm: float
    length_px: float


@dataclass(frozen=True, slots=True)
class Ticks:
    """Marks of a graduation that were found along a ruler.

    Those that the fit rests on are strokes across ``along`` (a vector of length 1 in the
    direction of the ruler); those left out are rings. ``faint`` where they were accepted.
    """

    id: str
    used: tuple[Point, ...]
    left_out: tuple[Point, ...]
    along: Point
    faint: bool = False


@dataclass(frozen=True, slots=True)
class Quad:
    """Up to four corners around a specimen: numbered squares, joined in order.

    Each corner can be taken hold of by ``id`` and its index.
    """

    id: str
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Again:
    """A point that was placed again in a repeat: an open ring with a stalk.

    It stands beside the mark of the record and cannot be taken hold of.
    """

    id: str
    landmark: str
    point: Point
    index: int = 0


Mark = Dot | Lozenge | Line | Outline | FrameBox | Ticks | Quad | Again


@dataclass(frozen=True, slots=True)
class Figure:
    """All marks of a picture, in the order in which they are drawn.

    ``mm_per_px`` is None where the picture has no scale; then no bar is drawn.
    """

    width: int
    height: int
    marks: tuple[Mark, ...] = ()
    mm_per_px: float | None = None

    def with_mark(self, mark: Mark) -> Figure:
        """Return the figure with one mark more, drawn last."""
        return replace(self, marks=(*self.marks, mark))


def figure_of(
    picture: Picture,
    specimen: Specimen | None,
    frame: Frame | None,
    others: Iterable[tuple[Frame, Sentence]] = (),
) -> Figure:
    """Return the marks of one frame on its picture.

    Parameters
    ----------
    others
        Every frame drawn on this picture, of any specimen, with what it is called; the current
        one among them.
    """
    marks: list[Mark] = [
        FrameBox(one.id, one.region, number, name, frame is not None and one.id == frame.id)
        for number, (one, name) in enumerate(others, 1)
        if one.region is not None
    ]
    # The ends of a scale that was carried over stand on another picture.
    if picture.scale is not None and picture.scale.origin in ("", picture.id):
        marks.extend(_scale_marks(picture.scale, picture.id))
    if specimen is not None and frame is not None:
        marks.extend(_landmarks(frame, specimen.placed(frame.id).values()))
    ratio = None if picture.scale is None else mm_per_px(picture.scale, picture.id).value
    return Figure(picture.file.width, picture.file.height, tuple(marks), ratio)


def marks_again(
    specimen: Specimen, frame: Frame, occasion: str, person: str
) -> tuple[Mark, ...]:
    """Return what a person placed on a frame in a repeat, to be shown beside the record.

    Points are :class:`Again`; paths and outlines are dashed.
    """
    scheme = VIEWS[frame.view].landmarks if frame.view in VIEWS else ()
    rows = {row.key: row for row in scheme}
    latest = {
        one.landmark: one
        for one in specimen.placings
        if (one.frame, one.occasion, one.person) == (frame.id, occasion, person)
    }
    marks: list[Mark] = []
    for key, one in latest.items():
        kind = rows[key].kind if key in rows else ""
        if kind in (PATH, OUTLINE) and len(one.points) > 1:
            closed = kind == OUTLINE
            marks.append(Outline(one.id, key, one.points, closed, provisional=True))
        else:
            marks += [Again(one.id, key, point, at) for at, point in enumerate(one.points)]
    return tuple(marks)


def scale_bar(mm_per_px: float, least_px: float, most_px: float) -> ScaleBar:
    """Return the longest bar of a round length that is not above ``most_px``.

    Round is 1, 2 or 5 times a power of ten; 2.5 where none of these reaches ``least_px``, so
    that between any length and its double there always is one.
    """
    most_mm = most_px * mm_per_px * (1 + 1e-9)  # a bar that fits exactly, fits
    power = 10.0 ** floor(log10(most_mm))
    length = max(step * power for step in (1, 2, 5) if step * power <= most_mm)
    if length / mm_per_px < least_px:
        length = max(length, 2.5 * power if 2.5 * power <= most_mm else 0.0)
    return ScaleBar(length, length / mm_per_px)


def measure_line(
    specimen: Specimen, frame: Frame, landmarks: Sequence[str], label: Sentence
) -> Line | None:
    """Return the dashed line of a hovered measure between its first two landmarks."""
    placed = specimen.placed(frame.id)
    view = VIEWS.get(frame.view)
    ends = [
        placed[key].points[0]
        for key in landmarks
        if key in placed and placed[key].points
        if view is not None and (row := view.landmark(key)) and not row.grows
    ]
    return Line("measure", ends[0], ends[1], label) if len(ends) >= 2 else None


def is_plane(scale: Scale) -> bool:
    """Return whether a scale was given by four corners around the specimen."""
    return len(scale.points) == 4 and isinstance(scale.extra.get("plane"), Mapping)


def _scale_marks(scale: Scale, picture_id: str) -> list[Mark]:
    if is_plane(scale):
        return [Quad(picture_id, scale.points)]
    # A fitted ruler is marked where its marks were counted, not where it was clicked.
    key = "figure.scale_counted" if scale.method == "ruler" else "figure.scale"
    label = Sentence(key, {"length": Number(scale.length_mm, unit="mm")})
    line = Line("scale", scale.points[0], scale.points[-1], label, picture_id)
    ticks = _accepted_ticks(scale, picture_id)
    return [line] if ticks is None else [ticks, line]


def _accepted_ticks(scale: Scale, picture_id: str) -> Ticks | None:
    """Return the graduation that a scale rests on, from the three marks that it keeps.

    Places along a straight ruler and numbers of marks are projective to each other, so that
    three marks tell where all others are.
    """
    kept = scale.extra.get("ruler")
    marks = kept.get("marks") if isinstance(kept, Mapping) else None
    if scale.method != "ruler" or marks is None:
        return None
    try:
        (ax, ay, a), (bx, by, b), (cx, cy, c) = marks
        long = hypot(cx - ax, cy - ay)
        along = Point((cx - ax) / long, (cy - ay) / long)
        middle = (bx - ax) * along.x + (by - ay) * along.y
        # s (1 + w (k - a)) = v (k - a), through the middle and the last mark.
        n, m = c - a, b - a
        if not 0 < m < n <= _MOST_TICKS:
            return None
        w = (long / n - middle / m) / (middle - long)
        v = long / n + w * long
        steps = [v * k / (1 + w * k) for k in range(int(n) + 1)]
        if not all(0 <= s <= long * 1.001 for s in steps):
            return None
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    points = tuple(Point(ax + s * along.x, ay + s * along.y) for s in steps)
    return Ticks(f"{picture_id}/ticks", points, (), along, faint=True)


_MOST_TICKS = 5000


def _landmarks(frame: Frame, placings: Iterable[Placing]) -> list[Mark]:
    scheme = VIEWS[frame.view].landmarks if frame.view in VIEWS else ()
    by_key = {one.landmark: one for one in placings if one.points}
    marks: list[Mark] = []
    hinge = [by_key[key] for key in ("hinge_byssal", "hinge_ligament") if key in by_key]
    if len(hinge) == 2:
        marks.append(Line("hinge", hinge[0].points[0], hinge[1].points[0]))
    for row in scheme:
        placing = by_key.get(row.key)
        if placing is None:
            continue
        name = Sentence(f"landmark.{row.key}.name")
        if row.kind in (PATH, OUTLINE) and len(placing.points) > 1:
            closed = row.kind == OUTLINE
            marks.append(Outline(placing.id, row.key, placing.points, closed))
            continue
        for index, point in enumerate(placing.points):
            if row.grows:
                square = row.key in SQUARE
                number = index + 1
                more = placing.at_least and number == len(placing.points)
                marks.append(
                    Lozenge(placing.id, row.key, point, number, name, index, square, more)
                )
            else:
                marks.append(Dot(placing.id, row.key, point, row.letter, name, index))
    return marks
