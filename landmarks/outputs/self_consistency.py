"""The report of the identification's self-consistency: words, numbers and plots."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from landmarks.identification.written import short_name
from landmarks.outputs.plots import Point, bar_plot, diagonal_plot, matrix_plot
from landmarks.sentences import say
from landmarks.shares import wilson
from landmarks.simulation import Calibration, Scores, Share, Trial
from landmarks.tables.model import Tables

PLOTS = ("calibration", "confusion", "confusion_moved", "by_characters", "by_views")


def report_markdown(
    trials: Sequence[Trial], tables: Tables, date: str, machine: str
) -> str:
    """Return the report of several trials, the undisturbed one first, as Markdown."""
    n, seed = trials[0].scores.n, trials[0].seed
    lines = [
        f"# {say('report.title')}",
        "",
        say("report.what"),
        "",
        say("report.how", n=n, seed=seed, tables=tables.hash[:12], date=date),
        say("report.machine", machine=machine),
        "",
        _row([say("report.figure"), *(_name(one) for one in trials)]),
        _row(["---"] * (1 + len(trials))),
    ]
    for key, value in _FIGURES:
        lines.append(_row([say(f"report.{key}"), *(value(one) for one in trials)]))
    lines += ["", say("report.intervals"), ""]
    for one in trials:
        lines += [f"## {_name(one)}", "", *_levels(one), "", *_parts(one), ""]
        lines += _confusion(one, tables)
    return "\n".join(lines).rstrip() + "\n"


def report_json(trials: Sequence[Trial]) -> list[dict[str, Any]]:
    """Return everything that the trials found, as plain values."""
    return [asdict(one) for one in trials]


def write_plots(trials: Sequence[Trial], tables: Tables, folder: Path) -> list[Path]:
    """Write the plots as PNG and return their paths; the folder is made if need be."""
    folder.mkdir(parents=True, exist_ok=True)
    names = [short_name(one.name) for one in tables.taxa]
    clean, moved = trials[0], trials[-1]
    pictures = {
        "calibration": diagonal_plot(
            say("report.title"),
            say("report.plot.stated"),
            say("report.plot.true"),
            [(_name(one), _points(one.scores.calibration)) for one in trials],
        ),
        "confusion": matrix_plot(_confusion_title(clean), names, clean.confusion),
        "by_characters": bar_plot(
            say("report.plot.by_characters"),
            [_span(low, high) for (low, high), _ in clean.by_characters],
            _bars([scores for _, scores in clean.by_characters]),
        ),
        "by_views": bar_plot(
            say("report.plot.by_views"),
            [say(f"report.{kind}", n=n) for kind, n, _ in clean.by_views],
            _bars([scores for _, _, scores in clean.by_views]),
        ),
    }
    if moved is not clean:
        pictures["confusion_moved"] = matrix_plot(
            _confusion_title(moved), names, moved.confusion
        )
    written = []
    for name in PLOTS:
        if name in pictures:
            path = folder / f"self-consistency-{name.replace('_', '-')}.png"
            pictures[name].save(path)
            written.append(path)
    return written


def _confusion_title(one: Trial) -> str:
    return say("report.plot.confusion", which=_name(one))


def _name(one: Trial) -> str:
    if not one.moved:
        return say("report.clean")
    return say("report.moved", share=f"{100 * one.moved:.0f}")


def _row(cells: Sequence[str]) -> str:
    return "| " + " | ".join(cells) + " |"


def _percent(one: Share) -> str:
    if not one.n:
        return "-"
    low, high = one.interval
    return f"{100 * one.value:.1f} % [{100 * low:.1f}, {100 * high:.1f}]"


def _error(one: Calibration) -> str:
    return f"{one.error:.4f} [{one.low:.4f}, {one.high:.4f}]"


_FIGURES: tuple[tuple[str, Callable[[Trial], str]], ...] = (
    ("first", lambda t: _percent(t.scores.first)),
    ("three", lambda t: _percent(t.scores.three)),
    ("calibration", lambda t: _error(t.scores.calibration)),
    ("calibration_stated", lambda t: _error(t.stated)),
    (
        "clear_wrong",
        lambda t: f"{_percent(t.scores.clear_wrong)}, {t.scores.clear_wrong.n}",
    ),
    ("named", lambda t: _percent(t.scores.named)),
    ("holds", lambda t: _percent(t.scores.holds)),
    ("brier", lambda t: f"{t.scores.brier:.4f}"),
    ("log_score", lambda t: f"{t.scores.log_score:.4f}"),
)


def _levels(one: Trial) -> list[str]:
    head = [say(f"report.{key}") for key in ("level", "answers", "stated", "right")]
    rows = [_row(head), _row(["---"] * len(head))]
    for level in one.levels:
        stated = "-" if level.key == "none" else f"{100 * level.stated:.1f} %"
        right = "-" if level.key == "none" else _percent(level.right)
        rows.append(
            _row([say(f"report.level.{level.key}"), str(level.right.n), stated, right])
        )
    return rows


def _parts(one: Trial) -> list[str]:
    keys = (
        "part",
        "n",
        "first",
        "three",
        "calibration",
        "brier",
        "log_score",
        "clear_wrong",
    )
    rows = [_row([say(f"report.{key}") for key in keys]), _row(["---"] * len(keys))]
    parts = [(say(f"report.{kind}", n=n), own) for kind, n, own in one.by_views]
    parts += [
        (say("report.characters", span=_span(low, high)), own)
        for (low, high), own in one.by_characters
    ]
    for name, own in parts:
        cells = [
            name,
            str(own.n),
            _percent(own.first),
            _percent(own.three),
            f"{own.calibration.error:.3f}",
            f"{own.brier:.3f}",
            f"{own.log_score:.3f}",
            f"{_percent(own.clear_wrong)}, {own.clear_wrong.n}",
        ]
        rows.append(_row(cells))
    return rows


def _confusion(one: Trial, tables: Tables) -> list[str]:
    names = [short_name(taxon.name) for taxon in tables.taxa]
    rows = [
        say("report.confusion"),
        "",
        _row(["", *names]),
        _row(["---", *["---:"] * len(names)]),
    ]
    rows += [
        _row([name, *(str(count) for count in counts)])
        for name, counts in zip(names, one.confusion, strict=True)
    ]
    return [*rows, ""]


def _span(low: int, high: int) -> str:
    if high >= 99:
        return say("report.span_on", low=low)
    return say("report.span", low=low, high=high)


def _points(one: Calibration) -> list[Point]:
    n = sum(held.n for held in one.bins)
    points = []
    for held in one.bins:
        low, high = wilson(round(held.true * held.n), held.n)
        points.append(Point(held.stated, held.true, low, high, held.n / n))
    return points


def _bars(
    scores: Sequence[Scores],
) -> list[tuple[str, list[tuple[float, float, float]]]]:
    return [
        (
            say(f"report.{key}"),
            [
                (share.value, *share.interval)
                for own in scores
                for share in (getattr(own, key),)
            ],
        )
        for key in ("first", "three")
    ]
