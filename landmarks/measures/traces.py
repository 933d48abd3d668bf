"""Series, paths and outlines laid into the reference plane: many points, few causes.

A line of five hundred points would bring a thousand causes of doubt into every budget. It
brings one for each measure instead. The placing doubts of a line make a space of as many
directions as it has independent errors; what a measure sees of them is one vector in it, its
slopes. The first measure of a line gets a cause of its own, along its vector; each further one
is split into what it has in common with the measures before it and a new cause for the rest
(the process of Gram and Schmidt). Variances and all covariances between measures of the same
line come out exactly as with a cause for every point, and a cause named ``.../2`` means no
more than that: the third direction that was asked for.

Points of a series and of a line that was clicked err each for itself. Where the points of a
line stand nearer together than :data:`STRETCH` doubts, a hand or a tool followed it, and
neighbours err alike: all points within one stretch share one error. That keeps a finely
followed line from looking far surer than a clicked one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple

from landmarks.geometry import Point
from landmarks.scheme import OUTLINE, SERIES
from landmarks.units import Cause, Quantity

if TYPE_CHECKING:
    from numpy import float64, intp
    from numpy.typing import NDArray

    Array = NDArray[float64]
    Indices = NDArray[intp]

STRETCH = 8.0
"""Length of a stretch that errs as one, in placing doubts (ours, no source)."""


class Lie(NamedTuple):
    """Where points lie in the reference plane, before their own height is allowed for.

    Attributes
    ----------
    points
        (n, 2), in pixels of the plane.
    foot
        The place of the plane that points above it are seen away from.
    shifts
        For each cause of doubt about the plane, the signed shift (n, 2) it makes.
    slopes
        (n, 2, 2), the change of x and y by x and y of the picture; None where they are alike.
    foot_shifts
        For each cause of doubt about the camera, the shift of its foot.
    """

    points: Array
    foot: Point
    shifts: Mapping[Cause, Array]
    slopes: Array | None = None
    foot_shifts: Mapping[Cause, Point] = {}


@dataclass(frozen=True)
class Trace:
    """Many points of one landmark in the plane, with all their doubts.

    Attributes
    ----------
    points
        (n, 2), in pixels of the reference plane.
    stretches
        (n,) number of the stretch of each point, from 0.
    doubt_px
        Placing doubt of each coordinate; on a straightened plane that of the mean point.
    shifts
        For each cause that all points share, the signed shift (n, 2) it makes.
    slopes
        (n, 2, 2) on a straightened plane: how each point moves with its click, over how the
        mean one does.
    """

    placing: str
    points: Array
    stretches: Indices
    doubt_px: float
    shifts: Mapping[Cause, Array]
    closed: bool = False
    slopes: Array | None = None
    _seen: list[Array] = field(default_factory=list, compare=False, repr=False)

    @property
    def own_errors(self) -> bool:
        """Return whether every point errs for itself."""
        return int(self.stretches[-1]) + 1 == len(self.points)

    @property
    def halved(self) -> Trace | None:
        """Return the line with every second point left out, or None.

        There is none of a line that was followed finely: nothing falls between its points.
        """
        n = len(self.points)
        if not self.own_errors or n < 16:
            return None
        kept = [*range(0, n - 1, 2), n - 1]
        return replace(
            self,
            points=self.points[kept],
            stretches=self.stretches[: len(kept)],
            shifts={},
            slopes=None if self.slopes is None else self.slopes[kept],
            _seen=[],
        )

    def doubtful(self, value: float, slopes: Array, unit: str = "") -> Quantity:
        """Return a value of this trace with its budget.

        Parameters
        ----------
        slopes
            (n, 2): the derivative of the value by every coordinate.
        """
        budget = {
            cause: float((slopes * shift).sum()) for cause, shift in self.shifts.items()
        }
        budget.update(self._placing(slopes))
        return Quantity(
            value, unit, {cause: part for cause, part in budget.items() if part}
        )

    def _placing(self, slopes: Array) -> dict[Cause, float]:
        import numpy as np

        n = int(self.stretches[-1]) + 1
        if self.slopes is not None:
            slopes = np.einsum("ni,nij->nj", slopes, self.slopes)
        rest = np.concatenate(
            [np.bincount(self.stretches, slopes[:, axis], n) for axis in (0, 1)]
        )
        whole = float(np.sqrt(rest @ rest))
        budget = {}
        for index, direction in enumerate(self._seen):
            part = float(direction @ rest)
            rest = rest - part * direction
            budget[self._cause(index)] = part * self.doubt_px
        length = float(np.sqrt(rest @ rest))
        # What is left by rounding alone is no new direction.
        if length > 1e-9 * whole:
            budget[self._cause(len(self._seen))] = length * self.doubt_px
            self._seen.append(rest / length)
        return budget

    def _cause(self, index: int) -> Cause:
        return Cause("placing", f"{self.placing}/line/{index}")


def trace_of(
    lie: Lie,
    *,
    kind: str,
    placing: str,
    doubt_px: float,
    height: float,
    raised: Mapping[Cause, float],
    leaning: Sequence[tuple[Cause, float]],
    camera: Quantity,
    centre: Point,
) -> Trace:
    """Return points of the plane as a trace, their height above it allowed for.

    The same first-order arithmetic as :func:`landmarks.scale.perspective`, for all points at
    once; ``height`` and ``raised`` are in pixels.
    """
    import numpy as np

    at, far = lie.points, camera.value
    arm = at - lie.foot
    shifts = {cause: -arm * (sigma / far) for cause, sigma in raised.items()}
    for axis, (cause, sigma) in enumerate(leaning):
        if sigma:
            shifts[cause] = -arm * ((at[:, axis] - centre[axis]) * (sigma / far))[:, None]
    if height:
        for cause, part in camera.budget.items():
            moved = arm * (height / far**2 * part)
            if cause in lie.foot_shifts:
                moved = moved + np.array(lie.foot_shifts[cause]) * (height / far)
            shifts[cause] = moved
    for cause, shift in lie.shifts.items():
        shifts[cause] = shift * (1 - height / far) if lie.slopes is not None else shift
    slopes, wide = lie.slopes, 1.0
    if slopes is not None:
        wide = float(np.sqrt((slopes**2).sum(axis=(1, 2)).mean() / 2)) or 1.0
        slopes = slopes / wide
    # A click on what stands above the plane is brought down to it with its doubt.
    wide *= 1 - height / far
    return Trace(
        placing,
        at - arm * (height / far),
        _stretches(at, doubt_px * wide, apart=kind == SERIES),
        doubt_px * wide,
        shifts,
        closed=kind == OUTLINE,
        slopes=slopes,
    )


def _stretches(at: Array, doubt_px: float, *, apart: bool) -> Indices:
    import numpy as np

    n = len(at)
    steps = np.hypot(*np.diff(at, axis=0).T)
    if apart or n < 3 or doubt_px == 0 or steps.mean() >= STRETCH * doubt_px:
        return np.arange(n)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    number = (along / (STRETCH * doubt_px)).astype(np.intp)
    # Stretches that no point fell into leave no gap in the numbers.
    found: Indices = np.unique(number, return_inverse=True)[1]
    return found
