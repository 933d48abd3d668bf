"""What the repeats of a collection say, as a report: rows of cells in words, and JSON.

One row for each measure and each character that was repeated. The window and the command
line show the same cells; a figure that the pairs do not tell is a dash, with its reason.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

from landmarks.agreement import Untold
from landmarks.characters import Characters
from landmarks.collection import Picture
from landmarks.measures import MEASURES
from landmarks.own_doubt import OwnDoubt
from landmarks.repeats import (
    BLIND,
    Pair,
    Repeated,
    Rescored,
    measures_repeated,
    own_doubt,
    scores_repeated,
)
from landmarks.scale import CLICK_SIGMA_PX
from landmarks.sentences import Number, Sentence, number, text, word
from landmarks.sentences.numbers import decimals, plain
from landmarks.specimen import Specimen

COLUMNS = ("n", "tem", "relative", "reliability", "limits", "shared", "drift")
"""Columns of the table, after the name; their heads stand in the catalogue."""

DASH = "agreement.untold"


@dataclass(frozen=True, slots=True)
class Report:
    """How everything that was repeated agrees, and a person's own placing doubt.

    ``own`` is None where nobody in particular was asked about; ``names`` has what each
    character is called, ``weighted`` those whose states have an order; ``n_specimens`` were
    repeated.
    """

    occasion: str
    measures: tuple[Repeated, ...]
    characters: tuple[Rescored, ...]
    own: OwnDoubt | Untold | None
    names: Mapping[str, str]
    weighted: frozenset[str]
    n_specimens: int


def agreement_report(
    specimens: Iterable[Specimen],
    pictures: Mapping[str, Picture],
    characters: Characters,
    occasion: str = BLIND,
    person: str | None = None,
) -> Report:
    """Return the report on all repeats of one occasion, of one person or of anybody."""
    repeated = list(specimens)
    states = {
        row.key: tuple(state.key for state in row.states)
        for row in characters
        if row.scored and row.ordered
    }
    scores = scores_repeated(repeated, states, occasion, person)
    ordered = (one.key for one in scores if {s for p in one.pairs for s in p} <= set(
        states.get(one.key, ())))  # fmt: skip
    measures = measures_repeated(repeated, pictures, occasion, person)
    order = list(MEASURES)
    own = None
    if person is not None and occasion == BLIND:
        own = own_doubt(repeated, person, occasion)
    return Report(
        occasion,
        tuple(sorted(measures, key=lambda row: order.index(row.key))),
        scores,
        own,
        {row.key: row.name for row in characters},
        frozenset(ordered),
        sum(
            bool(who) if person is None else person in who
            for who in (who_repeated([one], occasion) for one in repeated)
        ),
    )


def who_repeated(specimens: Iterable[Specimen], occasion: str) -> frozenset[str]:
    """Return the ids of the people who placed or scored anything on this occasion."""
    people: set[str] = set()
    for one in specimens:
        people |= {row.person for row in one.placings if row.occasion == occasion}
        people |= {row.person for row in one.observations if row.occasion == occasion}
    return frozenset(people)


def readings_of(row: Repeated, pair: Pair) -> tuple[str, str]:
    """Return both readings of a pair in words, to the same decimals as the limits."""
    places = _places(row)
    first, second = (
        f"{plain(one, places)} {_unit(row)}".strip() for one in (pair.first, pair.second)
    )
    return first, second


def name_of(report: Report, row: Repeated | Rescored) -> str:
    """Return what a row is called."""
    if isinstance(row, Repeated):
        return text(word("measure", f"{row.key}.name"))
    return report.names.get(row.key, row.key)


def cells_of(report: Report, row: Repeated | Rescored) -> dict[str, str]:
    """Return the words of every column of a row; a dash for what the pairs do not tell."""
    made = dict.fromkeys(COLUMNS, text(Sentence(DASH)))
    made["n"] = str(len(row.pairs))
    made |= _measure_cells(row) if isinstance(row, Repeated) else _score_cells(report, row)
    return made


def untold_of(row: Repeated | Rescored) -> tuple[Sentence, ...]:
    """Return why figures of a row cannot be told: each reason with what it keeps back."""
    named: dict[str, object]
    if isinstance(row, Rescored):
        named = {"shared": row.kappa}
    else:
        named = {"tem": row.repeatability, "limits": row.limits, "shared": row.intraclass,
                 "drift": row.drift}  # fmt: skip
    return tuple(
        Sentence("agreement.untold.of", {"what": _head(row, key), "why": figure.why})
        for key, figure in named.items()
        if isinstance(figure, Untold)
    )


def own_doubt_words(report: Report) -> tuple[Sentence, ...]:
    """Return a person's own placing doubt as sentences; none where nobody was asked about."""
    own = report.own
    if own is None:
        return ()
    if isinstance(own, Untold):
        return (Sentence("agreement.own.too_few", dict(own.why.values)),)
    places = decimals(own.error) if own.error else 2
    found = f"{plain(own.sigma, places)} ± {plain(own.error, places)}"
    values = {"sigma": found, "n": own.n, "usual": plain(CLICK_SIGMA_PX)}
    said = [Sentence("agreement.own", values)]
    each = tuple(
        Sentence("agreement.own.landmark", {
            "landmark": word("landmark", f"{key}.name"), "sigma": plain(sigma, 1)})
        for key, sigma in sorted(own.by_landmark.items(), key=lambda pair: -pair[1])
    )  # fmt: skip
    if each:
        said.append(Sentence("agreement.own.landmarks", {"each": each}))
    return tuple(said)


def agreement_json(report: Report) -> dict[str, Any]:
    """Return the report with all its pairs; reasons stand where a figure cannot be told."""
    own = report.own
    return {
        "occasion": report.occasion,
        "n_specimens": report.n_specimens,
        "measures": [
            {
                "key": row.key,
                "unit": row.unit,
                "n": len(row.pairs),
                "repeatability": _figure_json(row.repeatability),
                "limits": _figure_json(row.limits),
                "intraclass": _figure_json(row.intraclass, _intervals),
                "drift_30_days": _figure_json(row.drift),
                "pairs": [_figure_json(pair) for pair in row.pairs],
            }
            for row in report.measures
        ],
        "characters": [
            {
                "key": row.key,
                "n": len(row.pairs),
                "same": n_same(row),
                "weighted": row.key in report.weighted,
                "kappa": _figure_json(row.kappa, lambda k: {"low": k.low, "high": k.high}),
                "pairs": [list(pair) for pair in row.pairs],
            }
            for row in report.characters
        ],
        "own_doubt_px": None if own is None else _figure_json(own),
    }


def n_same(row: Rescored) -> int:
    """Return how many pairs of scores are the same."""
    return sum(first == second for first, second in row.pairs)


def _head(row: Repeated | Rescored, key: str) -> Sentence:
    if key == "shared":
        return Sentence("agreement.icc" if isinstance(row, Repeated) else "agreement.kappa")
    return Sentence(f"agreement.column.{key}")


def _measure_cells(row: Repeated) -> dict[str, str]:
    made: dict[str, str] = {}
    unit = _unit(row)
    found, limits, shared, drift = row.repeatability, row.limits, row.intraclass, row.drift
    if not isinstance(found, Untold):
        made["tem"] = number(Number(_rounded(found.tem), unit=unit))
        if found.relative is not None:
            made["relative"] = f"{plain(100 * _rounded(found.relative))} %"
        if found.reliability is not None:
            made["reliability"] = plain(found.reliability, 3)
    if not isinstance(limits, Untold):
        places = _places(row)
        high = f"{plain(limits.high, places)} {unit}".strip()
        ends = {"low": plain(limits.low, places), "high": high}
        made["limits"] = text(Sentence("agreement.limits", ends))
    if not isinstance(shared, Untold):
        made["shared"] = _between(shared.two_random, *shared.interval("two_random"), 3)
    if not isinstance(drift, Untold):
        value = number(Number(drift.slope, drift.error, unit))
        seen = {"value": value}
        made["drift"] = (
            text(Sentence("agreement.drift.seen", seen)) if drift.seen else value
        )
    return made


def _unit(row: Repeated) -> str:
    return "" if row.unit in ("", "ratio", "count") else row.unit


def _places(row: Repeated) -> int | None:
    """Return the decimals that limits and readings are told with; None where none differ."""
    limits = row.limits
    if isinstance(limits, Untold) or not limits.sd:
        return None
    return decimals(limits.sd) + 1


def _score_cells(report: Report, row: Rescored) -> dict[str, str]:
    n, same = len(row.pairs), n_same(row)
    weighted = "agreement.same.weighted" if row.key in report.weighted else "agreement.same"
    share = f"{round(100 * same / n)} %"
    made = {"tem": text(Sentence(weighted, {"n": same, "all": n, "share": share}))}
    if not isinstance(row.kappa, Untold):
        kappa = row.kappa
        low, high = max(-1.0, kappa.low), min(1.0, kappa.high)
        # Without a spread among the pairs the large-sample interval is none.
        told = kappa.error > 0
        made["shared"] = (
            _between(kappa.value, low, high, 2) if told else plain(kappa.value, 2)
        )
    return made


def _between(value: float, low: float, high: float, places: int) -> str:
    said = {"value": value, "low": low, "high": high}
    ends = {key: plain(one, places) for key, one in said.items()}
    return text(Sentence("agreement.interval", ends))


def _rounded(value: float) -> float:
    """Return a spread with two significant digits."""
    return float(f"{value:.2g}")


def _figure_json(
    figure: Any, more: Callable[[Any], Mapping[str, Any]] | None = None
) -> dict[str, Any]:
    if isinstance(figure, Untold):
        return {"untold": text(figure.why)}
    made = {one.name: getattr(figure, one.name) for one in fields(figure)}
    made = {key: dict(v) if isinstance(v, Mapping) else v for key, v in made.items()}
    return {**made, **(more(figure) if more is not None else {})}


def _intervals(found: Any) -> Mapping[str, Sequence[float]]:
    return {"interval": list(found.interval("two_random"))}
