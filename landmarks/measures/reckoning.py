"""The arithmetic behind the rows of the catalogue: a plane of landmarks in, a quantity out."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from math import pi

from landmarks.geometry import distance
from landmarks.measures import lines, waves
from landmarks.measures.drawn import middle_shares
from landmarks.measures.margins import Margins
from landmarks.measures.plane import Plane, Spot, across, along, angle, beside, between
from landmarks.measures.waves import Found
from landmarks.units import (
    Cause,
    Quantity,
    linear,
    minus,
    over,
    scaled,
    times,
    uncertain,
)

Take = Callable[[Plane], Quantity]

ENDS = ("byssal_end", "ligament_end")
HINGE = ("hinge_byssal", "hinge_ligament")

SCUTES_AT = 2 / 3
"""Where on the way from umbo to upper margin scutes are compared."""

_MEDIAN_TO_MEAN = 1.2533
"""Standard error of a median over that of a mean, of normal numbers (textbook, from memory)."""

_SE_OF_MEDIAN = _MEDIAN_TO_MEAN * 1.4826
"""Standard error of a median over MAD / sqrt(n), of normal numbers (textbook, from memory)."""


def span(a: str, b: str) -> Take:
    """Return what takes the distance of two landmarks."""
    return lambda plane: between(plane.spot(a), plane.spot(b))


def ratio(part: Take, whole: Take) -> Take:
    """Return what takes one size over another."""
    return lambda plane: over(part(plane), whole(plane))


def per_length(part: Take) -> Take:
    """Return what takes a size over shell length."""
    return ratio(part, _length)


def per_square(part: Take, whole: Take) -> Take:
    """Return what takes an area over the square of a length."""

    def take(plane: Plane) -> Quantity:
        length = whole(plane)
        return over(part(plane), times(length, length, "px²"))

    return take


def height(plane: Plane) -> Quantity:
    """Return the way from umbo to upper margin, square to shell length."""
    return across(*_axis(plane, ENDS), plane.spot("umbo"), plane.spot("upper_margin"))


def umbo(plane: Plane) -> Quantity:
    """Return how far from the byssal end the umbo lies along shell length."""
    return along(*_axis(plane, ENDS), plane.spot("umbo"))


def width(plane: Plane) -> Quantity:
    """Return the thickness, square to the line from umbo to upper margin."""
    ends = plane.spot("width_left"), plane.spot("width_right")
    return across(*_axis(plane, ("umbo", "upper_margin")), *ends)


def hinge_angle(plane: Plane) -> Quantity:
    """Return the angle between hinge line and shell length, in degrees."""
    return angle(*_axis(plane, HINGE), *_axis(plane, ENDS))


def along_hinge(a: str, b: str) -> Take:
    """Return what takes the distance of two landmarks along the hinge line."""
    return lambda plane: beside(*_axis(plane, HINGE), plane.spot(a), plane.spot(b))


def across_hinge(plane: Plane) -> Quantity:
    """Return the way from umbo to upper margin, square to the hinge line."""
    return across(*_axis(plane, HINGE), plane.spot("umbo"), plane.spot("upper_margin"))


def nowhere(plane: Plane) -> Quantity:
    """Stand for a measure that no single frame shows."""
    raise ZeroDivisionError


def count(series: str) -> Take:
    """Return what counts the points of a series."""

    def take(plane: Plane) -> Quantity:
        placing = plane.placings[series]
        # Half a fold: practised people differ by one now and then (common practice, no source).
        return uncertain(len(placing.points), 0.5, "count", Cause("counting", placing.id))

    return take


def outline(key: str) -> Take:
    """Return what takes the area inside an outline."""
    return lambda plane: lines.area(plane.trace(key))


def fullness(plane: Plane) -> Quantity:
    """Return the area of the opening over that of a circle on its length."""
    share = per_square(outline("opening"), span("inhalant_near", "inhalant_far"))
    return scaled(share(plane), 4 / pi)


def wave_depth(plane: Plane) -> Found:
    """Return the height of the waves of the upper margin over shell length."""
    return _over_length(plane, waves.wave_depth(plane.trace("upper_margin_line")))


def fold_relief(plane: Plane) -> Found:
    """Return the height of the folds of both margins, seen from above, over shell length."""
    return _over_length(plane, _margins(plane).relief())


def margin_fit(plane: Plane) -> Found:
    """Return how badly the folds of one margin fill the valleys of the other."""
    return _margins(plane).fit()


def gap_length(plane: Plane) -> Found:
    """Return the share of the margin along which a gap can be seen."""
    return _margins(plane).gap_length()


def gap_area(plane: Plane) -> Found:
    """Return the area between the margins over the square of shell length."""
    value, floor = _margins(plane).gap_area()
    length = _length(plane)
    square = times(length, length, "px²")
    return Found(over(value, square), None if floor is None else floor / square.value)


def scute_gap(plane: Plane) -> Quantity:
    """Return the gap between neighbouring scutes at two thirds of the height over their width.

    The two neighbours are those whose middle lies nearest to that height.
    """
    foot = plane.spot("umbo")
    reach = between(foot, plane.spot("upper_margin")).value * SCUTES_AT
    rims = plane.spots("scutes")
    away = [between(foot, rim).value for rim in rims]
    pairs = range(len(rims) - 1)
    if not pairs:
        raise ZeroDivisionError
    near = min(pairs, key=lambda i: abs((away[i] + away[i + 1]) / 2 - reach))
    gap = between(rims[near], rims[near + 1])
    return over(gap, between(plane.spot("scute_left"), plane.spot("scute_right")))


def scute_growth(plane: Plane) -> Quantity:
    """Return by what share the distance from the umbo grows from one scute to the next.

    The median of all steps; where growth is geometric they are alike. What they differ by
    (median absolute deviation) tells how well their median is known.
    """
    foot = plane.spot("umbo")
    away = sorted(
        (between(foot, rim) for rim in plane.spots("scutes")), key=lambda one: one.value
    )
    steps = [over(minus(later, first), first) for first, later in pairwise(away)]
    if len(steps) < 2:
        raise ZeroDivisionError
    from statistics import median

    values = [one.value for one in steps]
    middle = median(values)
    apart = median(abs(one - middle) for one in values)
    root = len(steps) ** 0.5
    of = plane.placings["scutes"].id
    sampled = uncertain(0.0, _SE_OF_MEDIAN * apart / root, "", Cause("sampling", of))
    return linear(middle, "", [(1.0, _moved(steps)), (1.0, sampled)])


def _moved(steps: list[Quantity]) -> Quantity:
    """Return what clicks and all else do to the median of some values, about 0.

    Any of them may be the middle one. Clicks move each for itself, and the median by more
    than the middle ones together; all else moves them together.
    """
    import numpy as np

    causes = sorted(
        {cause for one in steps for cause in one.budget if cause.kind == "placing"}
    )
    parts = np.array([[one.budget.get(cause, 0.0) for cause in causes] for one in steps])
    values = np.array([one.value for one in steps])
    if not causes:
        return linear(0.0, "", [(1 / len(steps), one) for one in steps])
    shares, spread = middle_shares(values, parts)
    found = linear(0.0, "", list(zip(shares.tolist(), steps, strict=True)))
    clicked = float(np.hypot.reduce(shares @ parts))
    wider = spread / clicked if clicked else 1.0
    return Quantity(
        0.0,
        "",
        {
            cause: part * wider if cause.kind == "placing" else part
            for cause, part in found.budget.items()
        },
    )


def eye_density(plane: Plane) -> Quantity:
    """Return eyes for each pixel of the mantle edge, times ten: per centimetre in time."""
    eyes = count("eyes")(plane)
    return scaled(over(eyes, lines.line_length(plane.trace("edge")), "/px"), 10.0)


def eye_regularity(plane: Plane) -> Found:
    """Return the spread of the gaps between eyes as a share of their mean."""
    return lines.regularity(plane.trace("eyes"))


def _axis(plane: Plane, ends: tuple[str, str]) -> tuple[Spot, Spot]:
    """Return two landmarks as an axis.

    Raises
    ------
    ZeroDivisionError
        If they are one pixel: what their heights make of that is no direction.
    """
    first, second = (plane.placings[key].points[0] for key in ends)
    if distance(first, second) < 1:
        raise ZeroDivisionError
    return plane.spot(ends[0]), plane.spot(ends[1])


def _length(plane: Plane) -> Quantity:
    return between(*_axis(plane, ENDS))


def _margins(plane: Plane) -> Margins:
    return plane.margins(*_axis(plane, ENDS))


def _over_length(plane: Plane, found: Found) -> Found:
    length = _length(plane)
    floor = None if found.floor is None else found.floor / length.value
    return Found(over(found.value, length), floor)
