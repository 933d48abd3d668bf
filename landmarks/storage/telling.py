"""Changes in words: what a part was and became, and both sides of a conflict.

Only the facts are told, as sentences; who looks at them gives the names of characters,
states and taxa, since the core of a collection knows none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import takewhile
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from landmarks.changes import Document, part_name
from landmarks.codec import decode, write_json
from landmarks.collection import Person
from landmarks.errors import HingelineError
from landmarks.placing import Placing
from landmarks.sentences import Number, Sentence, known, word
from landmarks.specimen import Determination, Frame, Observation
from landmarks.storage.contract import Conflict, Past

if TYPE_CHECKING:
    from landmarks.tables import Tables

_LONGEST = 120
"""So many letters of one entry are told."""
_WORDS_BEFORE = 30
"""So many letters are told before the place where two versions part."""

NO_NAMES: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Told:
    """One changed part: what it is called, and what it was and became (or both sides)."""

    document: Document
    part: str
    what: Sentence
    before: Sentence
    after: Sentence


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One deed of a history.

    Attributes
    ----------
    sequence
        Its place; ``Store.as_of`` gives the state right after it.
    who
        Name of the person, or their id where they have none.
    undoes
        It takes another deed back.
    n_documents
        How many records the deed touched in all; ``changes`` may tell those of one only.
    """

    sequence: int
    at: str
    who: str
    deed: Sentence
    undoes: bool
    changes: tuple[Told, ...]
    n_documents: int


@dataclass(frozen=True, slots=True)
class Sides:
    """A part that two people changed differently: what it was, mine and theirs, in words."""

    document: Document
    part: str
    what: Sentence
    base: Sentence
    mine: Sentence
    theirs: Sentence


def history_rows(
    past: Iterable[Past],
    people: Iterable[Person] = (),
    names: Mapping[str, str] = NO_NAMES,
) -> tuple[HistoryRow, ...]:
    """Return a history as rows to read, in the order in which it is given.

    Parameters
    ----------
    names
        What taxa, characters and states are called, as :func:`names_of` gives them.
    """
    called = {one.id: one.name or one.id for one in people}
    rows = []
    for one in past:
        deed = one.change_set
        changes = tuple(
            _told(change.document, change.part, (change.before, change.after), names)
            for change in deed.changes
        )
        who = called.get(deed.person, deed.person)
        rows.append(
            HistoryRow(
                one.sequence,
                deed.at,
                who,
                deed.deed,
                bool(deed.undoes),
                changes,
                one.n_documents,
            )
        )
    return tuple(rows)


def sides_of(conflict: Conflict, names: Mapping[str, str] = NO_NAMES) -> tuple[Sides, ...]:
    """Return every part that clashes, with all three versions in words."""
    rows = []
    for document, clashes in conflict.clashes.items():
        for one in clashes:
            versions = (one.base, one.mine, one.theirs)
            base, mine, theirs = _versions(one.part, versions, names)
            what = _what(one.part, versions, names)
            rows.append(Sides(document, one.part, what, base, mine, theirs))
    return tuple(rows)


def names_of(tables: Tables) -> Mapping[str, str]:
    """Return what taxa, characters and their states are called in some species tables."""
    names = {one.key: one.name for one in tables.taxa}
    for row in tables.characters:
        names[row.key] = row.name
        names |= {f"{row.key}/{state.key}": state.name for state in row.states}
    return names


Teller = Callable[[Any, Mapping[str, str]], Sentence]


def _told(
    document: Document, part: str, versions: tuple[Any, Any], names: Mapping[str, str]
) -> Told:
    before, after = _versions(part, versions, names)
    return Told(document, part, _what(part, versions, names), before, after)


def _what(part: str, versions: Sequence[Any], names: Mapping[str, str]) -> Sentence:
    """Return what a part is called: its landmark, character or view, or its kind."""
    kind = part.partition("/")[0]
    raw = next((one for one in versions if isinstance(one, dict)), {})
    if kind == "placing" and isinstance(raw.get("landmark"), str):
        key = f"landmark.{raw['landmark']}.name"
        return Sentence(key) if known(key) else _plain(raw["landmark"])
    if kind == "observation" and isinstance(raw.get("character"), str):
        return _called(raw["character"], names)
    if kind == "frame" and isinstance(raw.get("view"), str) and raw["view"]:
        return Sentence("told.frame", {"view": word("view", raw["view"])})
    return part_name(part)


def _versions(
    part: str, versions: Sequence[Any], names: Mapping[str, str]
) -> list[Sentence]:
    """Return each version of a part in words; where entries differ, only those are told.

    The last two are the ones between which somebody chooses, or which a deed parts: where
    their words are the same although they differ, their entries are told instead.
    """
    there = [one for one in versions if one is not None]
    teller = _TELLERS.get(part.partition("/")[0])
    if teller is not None:
        told = [
            _nothing() if one is None else _tried(teller, one, names) for one in versions
        ]
        mine, theirs = versions[-2:]
        if _text(mine) == _text(theirs) or repr(told[-2]) != repr(told[-1]):
            return told
    if len(there) > 1 and all(isinstance(one, dict) for one in there):
        keys = sorted(set().union(*there))
        differ = [key for key in keys if len({_text(one.get(key)) for one in there}) > 1]
        same = {
            key: _same_beginning([one.get(key) for one in there[-2:]]) for key in differ
        }
        return [_entries(one, same) if one else _nothing() for one in versions]
    return [_nothing() if one is None else _entries(one) for one in versions]


def _tried(teller: Teller, raw: Any, names: Mapping[str, str]) -> Sentence:
    try:
        return teller(raw, names)
    except HingelineError:  # Of another version, or odd: it is told entry by entry.
        return _entries(raw)


def _placing(raw: Any, names: Mapping[str, str]) -> Sentence:
    one = decode(Placing, raw)
    if one.reason:
        return word("reason", one.reason)
    if len(one.points) == 1 and not one.at_least:
        x, y = one.points[0]
        return Sentence("told.point", {"x": Number(round(x, 1)), "y": Number(round(y, 1))})
    key = "told.points_at_least" if one.at_least else "told.points"
    return Sentence(key, {"n": len(one.points)})


def _observation(raw: Any, names: Mapping[str, str]) -> Sentence:
    one = decode(Observation, raw)
    if one.state:
        said: object = _called(f"{one.character}/{one.state}", names, one.state)
    elif one.value is not None:
        unit = "" if one.unit in ("count", "ratio") else one.unit
        said = _plain(Number(one.value, one.sigma, unit, one.at_least))
    else:
        said = word("hidden", one.hidden)
    return Sentence("told.sure" if one.sure else "told.unsure", {"value": said})


def _determination(raw: Any, names: Mapping[str, str]) -> Sentence:
    one = decode(Determination, raw)
    if one.level in ("not_a_giant_clam", "unresolved"):
        return Sentence(f"level.{one.level}")
    between = " × " if one.level == "hybrid" else " / "
    written = between.join(names.get(key, _spelled(key)) for key in one.taxa) or one.name
    return _plain(f"{written} {one.qualifier}".strip())


def _frame(raw: Any, names: Mapping[str, str]) -> Sentence:
    one = decode(Frame, raw)
    values: list[object] = [
        word("view", one.view) if one.view else Sentence("told.no_view")
    ]
    values += [word("part", one.part)] if one.part else []
    values += [word("mantle", one.mantle)] if one.mantle else []
    values += [word("valves", one.valves)] if one.valves else []
    return Sentence("told.several", {"values": tuple(values)})


_TELLERS: Mapping[str, Teller] = {
    "placing": _placing,
    "observation": _observation,
    "determination": _determination,
    "frame": _frame,
}


def _entries(raw: Any, same: Mapping[str, str] | None = None) -> Sentence:
    """Return the entries of any part, or some of them, each with its own name.

    Parameters
    ----------
    same
        The entries that are told, with how other versions of each begin as well.
    """
    if raw is True:
        return Sentence("told.there")
    if not isinstance(raw, dict):
        return _plain(_short(raw))
    if same is None:
        same = dict.fromkeys(sorted(raw), "")
    told = tuple(
        Sentence(
            "told.entry",
            {"field": word("told.field", key), "value": _short(raw[key], begins)},
        )
        for key, begins in same.items()
        if key in raw
    )
    return Sentence("told.several", {"values": told}) if told else _nothing()


def _short(raw: Any, same: str = "") -> str:
    """Return a text as it is read in one line; a long one without what is the same."""
    text = raw if isinstance(raw, str) else _text(raw)
    if len(text) > _LONGEST and same and text.startswith(same):
        text = f"…{text.removeprefix(same)}"
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"


def _same_beginning(versions: Sequence[Any]) -> str:
    """Return how all versions begin, up to a few words before they part."""
    texts = [one if isinstance(one, str) else "" for one in versions]
    letters = zip(*texts, strict=False)
    shared = "".join(one[0] for one in takewhile(lambda one: len(set(one)) == 1, letters))
    return shared[: shared.rfind(" ", 0, max(len(shared) - _WORDS_BEFORE, 0)) + 1]


def _text(raw: Any) -> str:
    return write_json(raw)


def _called(key: str, names: Mapping[str, str], plain: str = "") -> Sentence:
    if key in names:
        return _plain(names[key])
    measure = f"measure.{key}.name"
    return Sentence(measure) if known(measure) else _plain((plain or key).replace("_", " "))


def _spelled(taxon: str) -> str:
    return taxon.replace("_", " ").capitalize()


def _plain(words: object) -> Sentence:
    return Sentence("plain", {"words": words})


def _nothing() -> Sentence:
    return Sentence("told.nothing")
