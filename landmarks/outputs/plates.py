"""Where the names of marks go: on the free side of each, and away where it is crowded."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import hypot
from typing import NamedTuple

from landmarks.figures import Lozenge, Mark
from landmarks.geometry import Point, usual_step
from landmarks.outputs.marks import MARKS, NUMBERED_FROM_PX

MOST = 16
"""More names than this are not shown at once."""

_SIDES = tuple(
    (x / (hypot(x, y) or 1), y / (hypot(x, y) or 1))
    for x, y in ((1, 0), (0, 1), (-1, 0), (0, -1), (1, 1), (-1, 1), (-1, -1), (1, -1))
)
_DOT_PX = 8.0
_STEP_PX = 20.0
_OVER_A_LINE, _MOVED_IN, _CUT_OFF = 0.1, 0.05, 2.0
"""What a place costs that is not quite free, beside 1 for a mark that it covers: the last one
by the share of the name that is cut off, for of half a name nobody reads anything."""
_SHARES = (0.15, 0.85, 0.3, 0.7, 0.5)


Place = tuple[float, float]
Rect = tuple[float, float, float, float]


class Label(NamedTuple):
    """A name to be shown: its mark on the screen, its size, whether it must be shown."""

    x: float
    y: float
    width: float
    height: float
    must: bool = False
    side: int = -1


class Spot(NamedTuple):
    """Where a name goes: its top left corner seen from its mark, and the side taken."""

    dx: float
    dy: float
    side: int


def arrange(
    labels: Sequence[Label],
    marks: Iterable[Place],
    gap: float = MARKS.plate_gap,
    within: tuple[float, float] | None = None,
    taken: Iterable[Rect] = (),
    lines: Iterable[tuple[Place, Place]] = (),
    *,
    cut: float = 1.0,
) -> list[Spot | None]:
    """Return a spot for each label, or None where it would cover a mark or another name.

    Names that must be shown are placed first; the side away from the middle of all marks is
    tried first, after the side a name had before, so that names stand still. Nothing reaches
    out of a sheet of the size ``within``, if one is given, nor into the rectangles ``taken``,
    nor over one of the ``lines`` if it can be helped: beside its edge a name is moved along
    its mark until it lies within. Where names may be ``cut`` by the edge of the sheet rather
    than left out, this is less than 1; marks beyond the sheet are named as if there was none.
    """
    places = list(marks)
    if not labels:
        return []
    middle_x = sum(x for x, _ in places) / len(places) if places else 0.0
    middle_y = sum(y for _, y in places) / len(places) if places else 0.0
    covered = list(taken)
    crossed = [place for line in lines for place in _along(*line)]
    spots: list[Spot | None] = [None] * len(labels)
    order = sorted(range(len(labels)), key=lambda at: not labels[at].must)
    for at in order:
        label = labels[at]
        near, near_lines = _near(label, places), _near(label, crossed)
        best: tuple[float, Spot] | None = None
        for side, rect, cost in _tries(label, gap, within, cut, (middle_x, middle_y)):
            hits = cost + sum(_covers(rect, place, _DOT_PX) for place in near)
            hits += 2 * sum(_overlap(rect, other) for other in covered)
            hits += _OVER_A_LINE * any(_covers(rect, place, 2.0) for place in near_lines)
            if best is None or hits < best[0]:
                best = (hits, Spot(rect[0] - label.x, rect[1] - label.y, side))
            if hits == 0:
                break
        if best is not None and (best[0] < 1 or label.must):
            spot = spots[at] = best[1]
            covered.append(
                (label.x + spot.dx, label.y + spot.dy, label.width, label.height)
            )
    return spots


def beside(
    start: Place,
    end: Place,
    size: tuple[float, float],
    marks: Iterable[Place],
    gap: float,
    within: tuple[float, float] | None = None,
) -> tuple[float, Rect]:
    """Return where along a line its label goes (0 to 1), and the label's rectangle.

    Above it near an end, as its middle is where the shell lies that it measures; elsewhere,
    or below, where marks lie there or the sheet of the size ``within`` ends.
    """
    places = list(marks)
    length = hypot(end[0] - start[0], end[1] - start[1])
    across = (0.0, -1.0)
    if length > 0:
        across = ((end[1] - start[1]) / length, (start[0] - end[0]) / length)
        if across[1] > 0:
            across = (-across[0], -across[1])
    best: tuple[int, float, Rect] | None = None
    for reach in (gap + size[1] / 2, -gap - size[1] / 2):
        for share in _SHARES:
            x = start[0] + (end[0] - start[0]) * share + across[0] * reach
            y = start[1] + (end[1] - start[1]) * share + across[1] * reach
            rect = (x - size[0] / 2, y - size[1] / 2, *size)
            hits = sum(_covers(rect, place, _DOT_PX) for place in places)
            hits += within is not None and not _fits(rect, within)
            if best is None or hits < best[0]:
                best = (hits, share, rect)
    assert best is not None
    return best[1], best[2]


def crowded_series(marks: Iterable[Mark], zoom: float) -> frozenset[str]:
    """Return the landmarks whose lozenges would touch each other.

    Parameters
    ----------
    zoom
        How many logical pixels are one of the picture.
    """
    by_landmark: dict[str, list[Point]] = {}
    for mark in marks:
        if isinstance(mark, Lozenge):
            by_landmark.setdefault(mark.landmark, []).append(mark.point)
    return frozenset(
        landmark
        for landmark, points in by_landmark.items()
        if len(points) > 2 and usual_step(points) * zoom < NUMBERED_FROM_PX
    )


def _along(start: Place, end: Place) -> list[Place]:
    """Return places along a line, close enough that no label slips between two of them."""
    length = hypot(end[0] - start[0], end[1] - start[1])
    n_steps = min(400, int(length / _STEP_PX))
    return [
        (
            start[0] + (end[0] - start[0]) * step / n_steps,
            start[1] + (end[1] - start[1]) * step / n_steps,
        )
        for step in range(1, n_steps)
    ]


def _tries(
    label: Label,
    gap: float,
    within: tuple[float, float] | None,
    cut: float,
    middle: Place,
) -> Iterator[tuple[int, Rect, float]]:
    """Yield where a name could stand, the side of its mark first, and what that costs."""
    bound = within is not None and _holds(within, label)
    for side in _sides(label, *middle):
        dx, dy = _corner(label, side, gap)
        rect = (label.x + dx, label.y + dy, label.width, label.height)
        if within is None or not bound or _fits(rect, within):
            yield side, rect, 0.0
        else:
            moved = _moved_in(rect, within)
            if _fits(moved, within):
                yield side, moved, _MOVED_IN
            yield side, rect, cut + _CUT_OFF * (1 - _share_within(rect, within))


def _sides(label: Label, middle_x: float, middle_y: float) -> list[int]:
    out_x, out_y = label.x - middle_x, label.y - middle_y
    ranked = sorted(
        range(len(_SIDES)),
        key=lambda side: -(_SIDES[side][0] * out_x + _SIDES[side][1] * out_y),
    )
    if label.side >= 0:
        ranked.insert(0, label.side)
    return ranked


def _corner(label: Label, side: int, gap: float) -> tuple[float, float]:
    """Return the top left corner, such that the gap to the mark is the same on every side."""
    x, y = _SIDES[side]
    half_width, half_height = label.width / 2, label.height / 2
    centre_x = x * gap + (0 if abs(x) < 0.1 else half_width if x > 0 else -half_width)
    centre_y = y * gap + (0 if abs(y) < 0.1 else half_height if y > 0 else -half_height)
    return centre_x - half_width, centre_y - half_height


def _near(label: Label, places: list[Place]) -> list[Place]:
    reach_x = label.width + MARKS.plate_gap + _DOT_PX
    reach_y = label.height + MARKS.plate_gap + _DOT_PX
    return [
        (x, y)
        for x, y in places
        if abs(x - label.x) <= reach_x and abs(y - label.y) <= reach_y
    ]


def _covers(rect: Rect, place: Place, margin: float) -> bool:
    x, y, width, height = rect
    return (
        x - margin <= place[0] <= x + width + margin
        and y - margin <= place[1] <= y + height + margin
    )


def _holds(within: tuple[float, float], label: Label) -> bool:
    return 0 <= label.x <= within[0] and 0 <= label.y <= within[1]


def _fits(rect: Rect, within: tuple[float, float]) -> bool:
    x, y, width, height = rect
    return x >= 0 and y >= 0 and x + width <= within[0] and y + height <= within[1]


def _moved_in(rect: Rect, within: tuple[float, float]) -> Rect:
    """Return a rectangle moved into a sheet, as far as it fits there."""
    x, y, width, height = rect
    x = max(0.0, min(x, within[0] - width))
    y = max(0.0, min(y, within[1] - height))
    return x, y, width, height


def _share_within(rect: Rect, within: tuple[float, float]) -> float:
    """Return how much of a rectangle lies in a sheet, 0 to 1."""
    x, y, width, height = rect
    wide = min(x + width, within[0]) - max(x, 0.0)
    high = min(y + height, within[1]) - max(y, 0.0)
    return max(0.0, wide) * max(0.0, high) / (width * height)


def _overlap(a: Rect, b: Rect) -> bool:
    return (
        a[0] < b[0] + b[2] + 2
        and b[0] < a[0] + a[2] + 2
        and a[1] < b[1] + b[3] + 2
        and b[1] < a[1] + a[3] + 2
    )
