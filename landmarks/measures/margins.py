"""The two margins of a pair seen from above: their fit, their folds, their gap.

Every value comes with its analytic slopes by the points of both lines.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import erf, exp, pi
from typing import TYPE_CHECKING, NamedTuple

from landmarks.measures.traces import Trace
from landmarks.measures.waves import (
    CREST_TO_TROUGH,
    STATIONS,
    Found,
    detrended,
    followed,
    noise_between,
    root_mean_square,
    without_noise,
)
from landmarks.units import Cause, Quantity, linear, over, uncertain

if TYPE_CHECKING:
    from landmarks.measures.traces import Array, Indices

_ENDS_LEFT_OUT = 0.02
"""Share at each end of a margin where the two lines run into one corner."""

_STEEPEST = 2.0
"""A margin rises over its axis by no more than that: some 63 degrees."""

GAP_SEEN = 3.0
"""A gap is one from so many doubts of the separation on."""

_GAP_UNSURE = 2.0
"""So many doubts nearer it counts nothing, so many farther wholly, and in between in part."""

_GAP_SLOPE, _GAP_GROWS = 0.272, 1.8
"""What such a place adds for each doubt it is wider, and how near to three doubts it does, as
seen from where clicks put it and not from where it lies. With these, squares of its slopes and
their products from place to place are, over errors of one doubt, nearest to the truth (ours, from
``tests/benchmarks/doubts.py``)."""

_SHIFT_DOUBTED = 1.5
"""So doubtful is what clicks shift the share by, over itself (ours, as above)."""

_NOT_TURNED = Quantity(0.0)


@dataclass(frozen=True)
class Margins:
    """The two margins of a pair seen from above, as heights over one axis.

    Attributes
    ----------
    left, right
        Traces of the two lines.
    along
        (m,) stations on the axis, in pixels from its start.
    up_left, up_right
        (m,) how far each line lies to one side of the axis there.
    halved
        The same with every second point left out, where the lines were clicked.
    """

    left: Trace
    right: Trace
    axis: Array
    along: Array
    up_left: Array
    up_right: Array
    _weights: Mapping[str, tuple[Indices, Array, Array]]
    _ends: tuple[_End, _End]
    _turned: Quantity
    halved: Margins | None = None

    @cached_property
    def noise(self) -> float:
        """Return the doubt of the separation at one station, in pixels."""
        total = 0.0
        for trace, key in ((self.left, "left"), (self.right, "right")):
            slope = self._weights[key][2]
            steep = 1.0 + float((slope * slope).mean())
            total += (trace.doubt_px * noise_between(trace)) ** 2 * steep
        return float(total**0.5)

    def fit(self) -> Found:
        """Return the separation of the lines over the amplitude of their folds.

        The separation is its root mean square once mean and slope are taken off, the
        amplitude that of even waves as strong as the two lines about straight ones. 0 where
        the folds of one valve fill the valleys of the other, the square root of two where
        they meet fold to fold as in a mirror; an even gap all along counts nothing.

        Raises
        ------
        ZeroDivisionError
            If the margins have no folds that stand out of the noise of placing.
        """
        amplitude = self._folds(2**0.5)
        if amplitude.value.value <= 3 * self.noise:
            raise ZeroDivisionError
        apart = detrended(self.up_left - self.up_right, 1)
        rms = root_mean_square(apart)
        slopes = apart / (len(apart) * rms or 1.0)
        doubts = self._doubtful(slopes, -slopes)
        waves = without_noise(1.0, rms, self.noise, doubts, f"{self._of}/fit")
        high = amplitude.value
        return Found(over(waves.value, high), (waves.floor or 0.0) / high.value)

    def relief(self) -> Found:
        """Return the height of the folds from crest to trough, in pixels.

        As even waves that are as strong as the two lines about straight ones.
        """
        return self._folds(CREST_TO_TROUGH)

    def _folds(self, factor: float) -> Found:
        """Return the root mean square of both lines about straight ones, times a factor."""
        off, rms = self._swing
        slopes = [one / (2 * len(one) * rms or 1.0) for one in off]
        coarse = None if self.halved is None else self.halved._swing[1]
        cut_off = followed(self._of, rms, coarse)
        doubts = [*self._doubtful(slopes[0], slopes[1]), cut_off]
        noise = self.noise / 2**0.5
        return without_noise(factor, rms, noise, doubts, f"{self._of}/folds")

    def gap_length(self) -> Found:
        """Return the share of the margin along which a gap can be seen, 0 to 1.

        A place counts nothing where the lines are one doubt apart, half at three and wholly
        at five, so that clicks move the share little by little. They shift it to one side
        too: on a shut margin they alone make a gap. That is taken off, and the share is
        doubtful by half as much again, and by half a place at least. Below what they make of
        a shut margin, or two of its doubts, it cannot be told from 0.
        """
        import numpy as np

        noise = max(self.noise, 1e-9)
        apart = np.clip(self._apart / noise, -50.0, 50.0)
        low, high = GAP_SEEN - _GAP_UNSURE, GAP_SEEN + _GAP_UNSURE
        seen = float(np.clip((apart - low) / (high - low), 0.0, 1.0).mean())
        made = sum(map(_made_by_clicks, apart.tolist())) / len(apart) - seen
        grows = self._sign * _GAP_SLOPE / (len(apart) * noise)
        slopes: Array = np.where(abs(apart - GAP_SEEN) < _GAP_GROWS, grows, 0.0)
        by_one = max(_SHIFT_DOUBTED * abs(made), 0.5 / len(apart))
        shifted = uncertain(0.0, by_one, "", Cause("tracing", f"{self._of}/gap"))
        doubts = [*self._doubtful(slopes, -slopes), shifted]
        share = min(1.0, max(0.0, seen - made))
        value = linear(share, "", [(1.0, one) for one in doubts])
        return Found(value, max(_made_by_clicks(0.0), 2 * value.sigma))

    def gap_area(self) -> Found:
        """Return the area between the two lines, in square pixels.

        Where the lines cross, one side counts against the other, so that two readings of one
        closed line leave nothing but noise.
        """
        import numpy as np

        apart = self._apart
        step = np.gradient(self.along)
        sign = self._sign
        found = float(apart @ step)
        doubts = self._doubtful(sign * step, -sign * step, by_span=found)
        value = linear(found, "px²", [(1.0, one) for one in doubts])
        return Found(value, 2 * value.sigma)

    @property
    def _swing(self) -> tuple[list[Array], float]:
        """Return both lines about straight ones, and their common root mean square."""
        off = [detrended(up, 1) for up in (self.up_left, self.up_right)]
        return off, (
            (root_mean_square(off[0]) ** 2 + root_mean_square(off[1]) ** 2) / 2
        ) ** 0.5

    @property
    def _of(self) -> str:
        return f"{self.left.placing}+{self.right.placing}"

    @cached_property
    def _sign(self) -> float:
        return 1.0 if float((self.up_left - self.up_right).mean()) >= 0 else -1.0

    @property
    def _apart(self) -> Array:
        return self._sign * (self.up_left - self.up_right)

    def _doubtful(
        self, by_left: Array, by_right: Array, *, by_span: float = 0.0
    ) -> list[Quantity]:
        """Return the doubts that the heights of the lines at the stations bring.

        The stations lie evenly between the ends of the lines and are shifted with them;
        ``by_span`` is what the value grows by where they come to lie twice as far apart. The
        last doubt is that of the direction of the axis.
        """
        import numpy as np

        by = {"left": by_left, "right": by_right}
        traces = {"left": self.left, "right": self.right}
        square = np.array([-self.axis[1], self.axis[0]])
        slopes = {key: np.zeros_like(trace.points) for key, trace in traces.items()}
        for key, each in by.items():
            index, weight, slope = self._weights[key]
            # A point that moves along the axis takes the slope of its line with it.
            moves = each[:, None] * (square - slope[:, None] * self.axis)
            np.add.at(slopes[key], index, moves * (1 - weight)[:, None])
            np.add.at(slopes[key], index + 1, moves * weight[:, None])
        shifted = sum(each * self._weights[key][2] for key, each in by.items())
        low, high = self._ends
        way = (self.along - low.along) / (high.along - low.along)
        turn = 0.0
        for end, share, sign in ((low, 1 - way, -1.0), (high, way, 1.0)):
            pull = float((shifted * share).sum())
            pull += sign * by_span / (high.along - low.along)
            slopes[end.line][end.point] += pull * self.axis
            turn += pull * end.up
        for key, up in (("left", self.up_left), ("right", self.up_right)):
            turn -= float(by[key] @ (self.along + self._weights[key][2] * up))
        found = [trace.doubtful(0.0, slopes[key], "px") for key, trace in traces.items()]
        return [*found, linear(0.0, "px", ((turn, self._turned),))]


class _End(NamedTuple):
    """Where the stretch that both lines cover ends: at which point of which line."""

    line: str
    point: int
    along: float
    up: float


def margins(
    left: Trace,
    right: Trace,
    start: tuple[float, float],
    end: tuple[float, float],
    turned: Quantity = _NOT_TURNED,
) -> Margins:
    """Return two margin lines over the axis from start to end of the shell length.

    ``turned`` is the doubt of the direction of that axis, in radians.

    Raises
    ------
    ZeroDivisionError
        If a line is a point or the two do not lie beside each other.
    """
    import numpy as np

    axis = np.subtract(end, start)
    length = float(np.hypot(*axis))
    axis = axis / length
    square = np.array([-axis[1], axis[0]])
    lines = {}
    for key, trace in (("left", left), ("right", right)):
        along, up = (trace.points - start) @ axis, (trace.points - start) @ square
        order = (
            np.arange(len(along)) if along[-1] >= along[0] else np.arange(len(along))[::-1]
        )
        # Where a fold hangs over, its outermost line counts.
        rising = np.maximum.accumulate(along[order]) + 1e-9 * np.arange(len(along))
        lines[key] = order, rising, up[order]
    first = max(
        (
            _End(key, int(order[0]), float(rising[0]), float(up[0]))
            for key, (order, rising, up) in lines.items()
        ),
        key=lambda one: one.along,
    )
    last = min(
        (
            _End(key, int(order[-1]), float(rising[-1]), float(up[-1]))
            for key, (order, rising, up) in lines.items()
        ),
        key=lambda one: one.along,
    )
    low, high = first.along, last.along
    if min(len(line[0]) for line in lines.values()) < 2 or high - low < 0.2 * length:
        raise ZeroDivisionError
    inset = _ENDS_LEFT_OUT * (high - low)
    stations = np.linspace(low + inset, high - inset, STATIONS)
    ups, weights = {}, {}
    for key, (order, rising, up) in lines.items():
        place = np.clip(np.searchsorted(rising, stations) - 1, 0, len(rising) - 2)
        wide = rising[place + 1] - rising[place]
        weight = (stations - rising[place]) / wide
        ups[key] = up[place] * (1 - weight) + up[place + 1] * weight
        # Beside an overhang the line is upright; there its slope is not told.
        slope = np.clip((up[place + 1] - up[place]) / wide, -_STEEPEST, _STEEPEST)
        if order[0] == 0:
            weights[key] = place, weight, slope
        else:
            weights[key] = len(order) - 2 - place, 1 - weight, slope
    thinned = left.halved, right.halved
    halved = None
    if thinned[0] is not None and thinned[1] is not None:
        halved = margins(thinned[0], thinned[1], start, end)
    up_left, up_right = ups["left"], ups["right"]
    return Margins(
        left,
        right,
        axis,
        stations,
        up_left,
        up_right,
        weights,
        (first, last),
        turned,
        halved,
    )


def _made_by_clicks(apart: float) -> float:
    """Return what a place so many doubts wide counts on average, clicked again and again.

    A part that grows evenly from one width to another, under a normal error of one doubt.
    """
    found = 0.0
    for side, start in ((1.0, GAP_SEEN - _GAP_UNSURE), (-1.0, GAP_SEEN + _GAP_UNSURE)):
        past = apart - start
        found += side * past * (1 + erf(past / 2**0.5)) / 2
        found += side * exp(-past * past / 2) / (2 * pi) ** 0.5
    return found / (2 * _GAP_UNSURE)
