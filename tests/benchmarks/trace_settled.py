"""How often a traced line that nobody looks at is what it says: settled or not, and its doubt.

``python -m tests.benchmarks.trace_settled [shells [first seed]]`` prints one line per shell and
the shares for each ground: 6, 8 or 12 even clicks of one pixel, no corrections; good is within
2.5 px rms of the outline.
"""

from __future__ import annotations

import sys

import numpy as np
from scipy.spatial import cKDTree

from landmarks.geometry import Point
from landmarks.instruments.edges import crop_of
from landmarks.instruments.proposed import TraceProposal, propose_trace
from tests.benchmarks.trace_shells import TRIED_ON, Shell, along_evenly, shell

FIRST_SEED, WIDTH_PX, GOOD_PX = 60, 1000, 2.5
CLICKS = (6, 8, 12)


def tried(seen: Shell) -> tuple[TraceProposal | None, float]:
    """Return what is proposed for a shell, None where it is refused, and how far it is off."""
    n = CLICKS[seen.seed % len(CLICKS)]
    rng = np.random.default_rng((77, seen.seed, n))
    places = [round(k * len(seen.outline) / n) for k in range(n)]
    clicks = [Point(*map(float, seen.outline[k] + rng.normal(0, 1, 2))) for k in places]
    found = propose_trace(crop_of(seen.picture), clicks, closed=True)
    if not isinstance(found, TraceProposal):
        return None, 0.0
    dense = along_evenly(np.array(found.points), 0.5)
    both = cKDTree(dense).query(seen.outline)[0], cKDTree(seen.outline).query(dense)[0]
    return found, float(np.sqrt(np.mean([np.mean(one**2) for one in both])))


if __name__ == "__main__":
    N = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    FIRST = int(sys.argv[2]) if len(sys.argv) > 2 else FIRST_SEED
    for ground in TRIED_ON:
        settled = good = covered = proposed = 0
        for seed in range(FIRST, FIRST + N):
            found, off = tried(shell(ground, seed, WIDTH_PX))
            if found is None:
                continue
            proposed += 1
            settled += found.settled
            good += found.settled and off <= GOOD_PX
            covered += off < 2 * found.sigma_px
            words = f"off {off:.2f} px, doubt {found.sigma_px:.2f}, {found.settled}"
            sys.stdout.write(f"{ground} {seed}: {words}\n")
        sys.stdout.write(
            f"{ground}: {settled} of {proposed} settled, {good} of these good, "
            f"{covered} of {proposed} off by less than twice the doubt\n"
        )
