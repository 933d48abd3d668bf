"""What photographs bring along: a good result or an honest refusal, situation by situation.

Rulers, margins and folds under cast shadows, worn, bent, two at a time, in perspective, among
neighbours; rendered with exact truth. ``python -m tests.benchmarks.situations RULERS SHELLS
[STREAM]`` prints the tables of ``situations.md``.

A length is good within 1 %, a margin within 3 px rms of the truth in 12 clicks, a count when
it is exact. What is refused, or comes with a warning, is honest; what is wrong and said to be
sure is what must not happen.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from landmarks.instruments.fold_agreement import count_folds
from landmarks.instruments.folds import Found, folds_of_transect
from landmarks.instruments.pixels import window_of
from tests.benchmarks.folded import WIDTH_PX, Folded, shell, transect
from tests.benchmarks.folds_traced import traced
from tests.benchmarks.graduations import Kind
from tests.benchmarks.rates import Rate
from tests.benchmarks.ruler import one_trial
from tests.rendering import render_table
from tests.rendering.light import Lamp
from tests.rendering.views import Laid, lay

GOOD_SHARE, GOOD_PX = 0.01, 3.0

_LONG = Kind("", length_mm=(145.0, 150.0), px_per_mm=(6.0, 14.0))
RULERS = (
    replace(_LONG, name="cast shadow across the ruler", shadow=True),
    replace(_LONG, name="3 % perspective along the ruler", tilt_deg=5.2),
    replace(_LONG, name="3 % along, and as much across", tilt_deg=5.2, cross_tilt_deg=5.2),
    replace(_LONG, name="worn: half the marks hidden", hidden=0.5, noise=0.04),
    replace(_LONG, name="bent by 0.2 mm", bend_mm=0.2),
    replace(_LONG, name="bent by 1 mm", bend_mm=1.0),
    replace(_LONG, name="bent by 3 mm", bend_mm=3.0),
    replace(_LONG, name="two rulers end to end", jump_mm=0.5),
    replace(_LONG, name="a second ruler edge to edge, in mm", second_step_mm=1.0),
    replace(_LONG, name="a second ruler edge to edge, 1/16 inch", second_step_mm=25.4 / 16),
)


@dataclass(frozen=True, slots=True)
class Situation:
    """How the picture of a shell differs from a plain one."""

    name: str
    condition: str = "plain"
    ground: str = ""
    lamp_deg: float = 0.0
    neighbours: bool = False

    def seen(self, seed: int, stream: int) -> tuple[Folded, NDArray[np.uint8]]:
        """Return a shell and its picture in this situation."""
        one = shell(seed, self.condition, stream)
        rng = np.random.default_rng((stream, seed, 77))
        setup = one.setup
        if self.ground:
            setup = replace(setup, ground=self.ground)
        if self.lamp_deg:
            azimuth = float(rng.uniform(0, 360))
            lamp = Lamp(azimuth_deg=azimuth, elevation_deg=self.lamp_deg, softness_deg=2.0)
            setup = replace(setup, lamp=lamp)
        one = replace(one, setup=setup)
        laid = [one.laid]
        if self.neighbours:
            laid += [_neighbour(one, seed, stream, side) for side in (-1.0, 1.0)]
        return one, render_table(laid, WIDTH_PX, seed + 1, setup).picture


SHELLS = (
    Situation("plain, for comparison"),
    Situation("hard light at 15 degrees on a white tray", ground="tray", lamp_deg=15.0),
    Situation("hard light at 15 degrees on sand", ground="sand", lamp_deg=15.0),
    Situation("worn", condition="worn"),
    Situation("three valves, 3 to 6 mm apart", neighbours=True),
)


def rulers(n: int, stream: int) -> str:
    """Return what the ruler did, as Markdown."""
    rows = [
        "| ruler | read within 1 % | largest error read | refused, two ends used |"
        " read wrong by more than 1 % |",
        "| --- | --- | --- | --- | --- |",
    ]
    for kind in RULERS:
        done = [one_trial(kind, seed, stream) for seed in range(n)]
        read = [abs(one.scale_error) for one in done if one.scale_error is not None]
        good = sum(one <= GOOD_SHARE for one in read)
        cells = [
            kind.name,
            str(Rate(good, n)),
            f"{100 * max(read):.3f} %" if read else "",
            str(Rate(n - len(read), n)),
            str(Rate(len(read) - good, n)),
        ]
        rows.append("| " + " | ".join(cells) + " |")
    return "\n".join(rows)


def shells(n: int, stream: int) -> str:
    """Return what trace and folds did, as Markdown; folds on the margin that was traced."""
    rows = [
        "| shell | margin within 3 px rms in 12 clicks | median off | folds exact on it |"
        " margin and transect sure | sure and wrong |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for situation in SHELLS:
        off, exact, sure, wrong = [], 0, 0, 0
        for seed in range(n):
            one, pixels = situation.seen(seed, stream)
            line = traced(one, stream, pixels)
            rng = np.random.default_rng((stream, seed, 2))
            band = folds_of_transect(window_of(pixels), transect(one, 0.95, rng))
            margin = line.found
            off.append(line.off_px)
            right = margin is not None and margin.n_main == one.n_main
            exact += right
            both = (
                count_folds(margin, band)
                if margin is not None and isinstance(band, Found)
                else None
            )
            sure += bool(both and both.sure)
            wrong += bool(both and both.sure and not right)
        cells = [
            situation.name,
            str(Rate(sum(one <= GOOD_PX for one in off), n)),
            f"{np.median(off):.2f} px",
            *(str(Rate(count, n)) for count in (exact, sure, wrong)),
        ]
        rows.append("| " + " | ".join(cells) + " |")
        sys.stderr.write(f"{situation.name}\n")
    return "\n".join(rows)


def _neighbour(one: Folded, seed: int, stream: int, side: float) -> Laid:
    """Return another valve beside the first, a few millimetres away."""
    other = shell(seed + (500 if side < 0 else 700), "plain", stream)
    rng = np.random.default_rng((stream, seed, 78 if side < 0 else 79))
    length = one.specimen.shape.length_mm
    shape = replace(other.specimen.shape, length_mm=0.8 * length)
    specimen = replace(other.specimen, shape=shape)
    laid = Laid(specimen, other.laid.valve, float(rng.uniform(-10, 10)))
    away = _half_height(one.laid) + _half_height(laid) + float(rng.uniform(3.0, 6.0))
    return replace(laid, centre_mm=(0.0, side * away))


def _half_height(laid: Laid) -> float:
    """Return half of what a valve takes up from bottom to top, in mm."""
    lying = lay(laid)
    reach = np.concatenate([lying.valve.margin(301), lying.valve.umbo()[None]])
    return float(np.ptp(lying.pose.place(reach)[:, 1]) / 2)


if __name__ == "__main__":
    n_rulers, n_shells = int(sys.argv[1]), int(sys.argv[2])
    wanted = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    for told, n in ((rulers, n_rulers), (shells, n_shells)):
        if n:
            sys.stdout.write(told(n, wanted) + "\n\n")
            sys.stdout.flush()
