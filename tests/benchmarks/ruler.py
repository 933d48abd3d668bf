"""The ruler over seeded rendered trials: ``python -m tests.benchmarks.ruler``."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from math import dist
from statistics import median
from time import perf_counter

import numpy as np

from landmarks.instruments.pixels import window_of
from landmarks.instruments.ruler import RulerFit, fit_ruler, scale_of, window_needed
from tests.benchmarks.graduations import KINDS, Kind, draw
from tests.benchmarks.rates import Rate, quantile_interval

GROUPS = {
    "ticks, from 4 px/mm up": lambda kind: (
        kind.style == "ticks" and kind.px_per_mm[0] >= 4 and not _spoilt(kind)
        and not kind.cross_tilt_deg
    ),
    "ticks, 2.6 to 4 px/mm": lambda kind: kind.style == "ticks" and kind.px_per_mm[0] < 4,
    "block bars": lambda kind: kind.style == "blocks",
    "tilted across and along": lambda kind: bool(kind.cross_tilt_deg),
    "bent, or two end to end": lambda kind: _spoilt(kind),
    "no graduation": lambda kind: kind.style in ("plain", "noisy"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Outcome:
    """One trial: errors as shares of the truth, None where the fit was refused."""

    kind: Kind
    error: float | None
    scale_error: float | None
    clicks_error: float
    shown: float
    ms: float


def trials(n: int, stream: int) -> Iterator[Outcome]:
    """Yield n trials of every condition."""
    for kind in KINDS:
        for seed in range(n):
            yield one_trial(kind, seed, stream)


def one_trial(kind: Kind, seed: int, stream: int = 1) -> Outcome:
    """Fit one drawn ruler."""
    drawn = draw(kind, seed, stream)
    window = window_of(drawn.picture, window_needed(drawn.first, drawn.second))
    begun = perf_counter()
    fit = fit_ruler(
        window, drawn.first, drawn.second, drawn.length_mm, sigma_px=kind.click_px
    )
    ms = (perf_counter() - begun) * 1000
    clicks = dist(drawn.first, drawn.second) / drawn.length_mm / drawn.px_per_mm - 1
    if not isinstance(fit, RulerFit):
        return Outcome(kind, None, None, clicks, 0.0, ms)
    scale = scale_of(fit)
    held = dist(*scale.points) / scale.length_mm / drawn.px_per_mm - 1
    return Outcome(
        kind, fit.px_per_mm / drawn.px_per_mm - 1, held, clicks, fit.relative, ms
    )


def report(n: int, stream: int) -> str:
    """Return the figures as Markdown."""
    done = list(trials(n, stream))
    rows = [
        "| condition | accepted | rms | p95 | largest | two clicks rms | ms median |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    rows += [_row(kind.name, [one for one in done if one.kind is kind]) for kind in KINDS]
    rows += ["", *_groups(done)]
    return "\n".join(rows)


def _spoilt(kind: Kind) -> bool:
    return bool(kind.bend_mm or kind.jump_mm)


def _row(name: str, done: list[Outcome]) -> str:
    off = np.array([one.error for one in done if one.error is not None])
    clicks = np.array([one.clicks_error for one in done])
    cells = [name, f"{off.size}/{len(done)}"]
    if off.size:
        wide = np.quantile(abs(off), 0.95), abs(off).max()
        cells += [f"{100 * np.sqrt((off**2).mean()):.4f} %"]
        cells += [f"{100 * one:.4f} %" for one in wide]
    else:
        cells += ["", "", ""]
    cells += [f"{100 * np.sqrt((clicks**2).mean()):.2f} %"]
    cells += [f"{median(one.ms for one in done):.0f}"]
    return "| " + " | ".join(cells) + " |"


def _groups(done: list[Outcome]) -> list[str]:
    rows = [
        "| of these | accepted | p95 (95 % interval) | error over 1 % | within 3 x shown "
        "| scale at its middle, p95 |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for name, belongs in GROUPS.items():
        mine = [one for one in done if belongs(one.kind)]
        good = [one for one in mine if one.error is not None]
        off = [abs(one.error or 0.0) for one in good]
        cells = [name, str(Rate(len(good), len(mine)))]
        if good:
            p95 = quantile_interval(off, 0.95)
            held = quantile_interval([abs(one.scale_error or 0.0) for one in good], 0.95)
            within = sum(abs(one.error or 0.0) <= 3 * one.shown for one in good)
            cells += [
                f"{100 * p95[0]:.4f} % ({100 * p95[1]:.4f}-{100 * p95[2]:.4f})",
                str(Rate(sum(one > 0.01 for one in off), len(good))),
                str(Rate(within, len(good))),
                f"{100 * held[0]:.4f} %",
            ]
        else:
            cells += ["", "", "", ""]
        rows.append("| " + " | ".join(cells) + " |")
    return rows


if __name__ == "__main__":
    wanted = [int(word) for word in sys.argv[1:]] or [15, 1]
    sys.stdout.write(report(*wanted) + "\n")
