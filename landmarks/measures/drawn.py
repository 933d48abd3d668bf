"""What clicks do to a median: tried out, with the same errors every time.

A median goes over from one number to the next; where they are nearly equal no slope tells its
doubt. It is taken again for a few hundred sets of errors instead. The sets are always the same
ones, so that equal clicks have equal doubts.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from landmarks.measures.traces import Array

TIMES = 400
"""So many sets of errors; a spread of so many is known to 3.5 %."""


@cache
def errors(n: int) -> Array:
    """Return sets of n standard normal errors, (TIMES, n).

    Every set stands beside its mirror, so that they leave no mean.
    """
    import numpy as np

    half = np.random.default_rng(n).standard_normal((TIMES // 2, n))
    made: Array = np.concatenate([half, -half])
    # As few sets spread a little more or less than all errors do.
    made /= np.sqrt((made * made).mean(axis=0))
    made.setflags(write=False)
    return made


def middle_shares(values: Array, parts: Array) -> tuple[Array, float]:
    """Return how often each of some values makes their median, and how far errors move it.

    Parameters
    ----------
    values
        (n,) the values as they were read.
    parts
        (n, m) what each of m independent errors adds to each value.

    Notes
    -----
    As far as errors explain that the values differ, they are taken for equal: read values
    differ by what they are and by their errors, and the errors come once more on top.
    """
    import numpy as np

    mean, n = values.mean(), len(values)
    loose = parts - parts.mean(axis=0)
    by_errors = float((loose * loose).sum()) / (n - 1)
    seen = float(values.var(ddof=1))
    kept = max(0.0, 1.0 - by_errors / seen) if seen else 0.0
    taken = mean + kept * (values - mean) + errors(parts.shape[1]) @ parts.T
    order = np.argsort(taken, axis=1)
    middle = order[:, (n - 1) // 2 : n // 2 + 1]
    shares: Array = np.bincount(middle.ravel(), minlength=n) / middle.size
    return shares, float(np.median(taken, axis=1).std())
