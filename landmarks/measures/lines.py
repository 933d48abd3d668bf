"""What lines and outlines tell: areas, lengths, rows of eyes.

Every value comes with its analytic slopes by the points it rests on; nothing is repeated with
each point moved in turn.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from landmarks.measures.traces import Trace
from landmarks.measures.waves import Found
from landmarks.units import Cause, Quantity, linear, uncertain

if TYPE_CHECKING:
    from landmarks.measures.traces import Array


def area(trace: Trace) -> Quantity:
    """Return the area of an outline, in square pixels, by the shoelace rule.

    Raises
    ------
    ZeroDivisionError
        If it has fewer than three points.
    """
    import numpy as np

    at = trace.points
    if len(at) < 3:
        raise ZeroDivisionError
    before, after = np.roll(at, 1, axis=0), np.roll(at, -1, axis=0)
    slopes = np.column_stack([after[:, 1] - before[:, 1], before[:, 0] - after[:, 0]]) / 2
    value = float((at * slopes).sum()) / 2
    sign = 1.0 if value >= 0 else -1.0
    return trace.doubtful(sign * value, sign * slopes, "px²")


def line_length(trace: Trace) -> Quantity:
    """Return the length of a path, in pixels.

    A line followed finely gains length from every small error, so it is taken from stretch to
    stretch; half the difference to the full length counts as doubt of the following. What the
    errors across the line still add to a stretch, their square over its length, is taken off.
    """
    import numpy as np

    at = trace.points
    if len(at) < 2:
        raise ZeroDivisionError
    knots = np.unique([*np.unique(trace.stretches, return_index=True)[1], len(at) - 1])
    steps = np.diff(at[knots], axis=0)
    spans = np.hypot(*steps.T)
    units = steps / np.where(spans, spans, 1.0)[:, None]
    slopes = np.zeros_like(at)
    slopes[knots[1:]] += units
    slopes[knots[:-1]] -= units
    value = float(spans.sum())
    full = float(np.hypot(*np.diff(at, axis=0).T).sum())
    added = trace.doubt_px**2 / np.maximum(spans, 2 * trace.doubt_px or 1.0)
    # Slopes of a line that was clicked with errors turn with them: their squares are larger
    # by six times those of what the errors add, where three times would be the truth.
    whole = float((slopes * slopes).sum()) * trace.doubt_px**2
    share = 1.0 - 3.0 * float(added @ added) / whole if whole else 1.0
    calm = replace(trace, doubt_px=trace.doubt_px * max(share, 0.25) ** 0.5)
    found = calm.doubtful(value, slopes, "px")
    hugged = uncertain(0.0, (full - value) / 2, "px", Cause("tracing", trace.placing))
    return linear(value - float(added.sum()), "px", ((1.0, found), (1.0, hugged)))


def spacing(trace: Trace) -> tuple[Quantity, float, Array]:
    """Return mean gap between neighbours of a series, the spread of gaps, and the gaps.

    The mean is in pixels; the spread is what the noise of placing leaves of it.
    """
    import numpy as np

    at = trace.points
    if len(at) < 3:
        raise ZeroDivisionError
    steps = np.diff(at, axis=0)
    gaps = np.hypot(*steps.T)
    units = steps / np.where(gaps, gaps, 1.0)[:, None]
    slopes = np.zeros_like(at)
    slopes[1:] += units / len(gaps)
    slopes[:-1] -= units / len(gaps)
    mean = trace.doubtful(float(gaps.mean()), slopes, "px")
    spread = float(gaps.var(ddof=1)) - 2 * trace.doubt_px**2
    return mean, max(spread, 0.0) ** 0.5, gaps


def regularity(trace: Trace) -> Found:
    """Return the spread of the gaps of a series as a share of their mean.

    0 is a row as even as beads. Placing alone makes a spread of ``sqrt(2) sigma / mean``; it
    is taken off, and below it the row cannot be told from an even one. So few gaps know their
    spread to one in the root of twice their number, which adds to the doubt of placing; where
    noise is all there is, the noise itself is the doubt.
    """
    import numpy as np

    mean, spread, gaps = spacing(trace)
    ratio = spread / mean.value
    noise = 2**0.5 * trace.doubt_px / mean.value
    few = ratio / (2 * (len(gaps) - 1)) ** 0.5
    sampling = Cause("sampling", trace.placing)
    if ratio < noise:
        return Found(uncertain(ratio, max(few, noise), "", sampling), noise)
    steps = np.diff(trace.points, axis=0)
    units = steps / np.where(gaps, gaps, 1.0)[:, None]
    by_gap = _spread_slopes(gaps, spread, trace.doubt_px) / mean.value
    by_gap -= ratio / mean.value / len(gaps)
    slopes = np.zeros_like(trace.points)
    slopes[1:] += by_gap[:, None] * units
    slopes[:-1] -= by_gap[:, None] * units
    placed = trace.doubtful(0.0, slopes)
    sampled = uncertain(0.0, few, "", sampling)
    return Found(linear(ratio, "", ((1.0, placed), (1.0, sampled))), noise)


def _spread_slopes(gaps: Array, spread: float, doubt_px: float) -> Array:
    """Return the slopes of the spread of gaps by each of them, as large as clicks need.

    The square of a spread is a quadratic form of the clicks, whose doubt is known exactly: to
    first order, with the slopes as they were read, it comes out too large by what clicks
    alone would make of even gaps (the trace of the squared covariance, textbook).
    """
    import numpy as np

    n = len(gaps)
    slopes = 2 * (gaps - gaps.mean()) / (n - 1)
    turned = np.diff(slopes, prepend=0.0, append=0.0)
    stated = float(turned @ turned) * doubt_px**2
    alone = 2 * (6 * n - 2 - 4 / n + 4 / n**2) * doubt_px**4 / (n - 1) ** 2
    true = max(stated - alone, alone)
    found: Array = slopes * (true / stated if stated else 0.0) ** 0.5 / (2 * spread)
    return found
