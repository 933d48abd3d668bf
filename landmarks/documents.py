"""Records as plain JSON, ``"format": 1``: one specimen with its pictures, or a collection.

What people type and what programs write is one format. A person may write a record short -
``"main_folds": 5``, ``"shell_length_mm": 152`` - and it is read as what it means; written
back it is the full form, which says everything and reads back exactly. What is not known is
kept and written back.

Whether a guide knows the characters, states and regions is not looked at here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar
from uuid import uuid4

from landmarks.codec import decode, encode, is_number
from landmarks.collection import About, Person, Picture
from landmarks.errors import DocumentError, NewerFormatError
from landmarks.finding import SavedFilter
from landmarks.placing import Placing
from landmarks.sentences import Sentence
from landmarks.specimen import (
    Determination,
    Frame,
    Label,
    Observation,
    Specimen,
    Where,
)

FORMAT = 1
"""The format that this version writes, and the newest that it reads."""

T = TypeVar("T")
Json = Any
NewId = Callable[[], str]

_LENGTH = "_mm"
_WHERE = ("region", "use_region", "origin", "condition")
_RECORD = (
    "format",
    "id",
    "label",
    "where",
    *_WHERE,
    "views",
    "frames",
    "placings",
    "observations",
    "determinations",
    "pictures",
    "extra",
)
_WHOLE = (
    "format",
    "collection",
    "people",
    "pictures",
    "specimens",
    "filters",
    "extra",
)


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole collection as values, without its history."""

    about: About
    people: tuple[Person, ...] = ()
    pictures: tuple[Picture, ...] = ()
    specimens: tuple[Specimen, ...] = ()
    filters: tuple[SavedFilter, ...] = ()
    extra: Mapping[str, object] = field(default_factory=dict)


def read_record(
    raw: Json, where: str = "the record", *, new_id: NewId = lambda: str(uuid4())
) -> tuple[Specimen, tuple[Picture, ...]]:
    """Return the specimen of a record, in short or full form, and the pictures it brings.

    Parameters
    ----------
    where
        What to call the record in a sentence, usually the name of its file.
    new_id
        Where ids come from that the record does not give.

    Raises
    ------
    DocumentError
        If it has not the form of the format; the place is named.
    NewerFormatError
        If a later version wrote it.
    """
    raw = _checked(raw, where)
    if "specimens" in raw:
        n = len(raw["specimens"]) if isinstance(raw["specimens"], list) else 0
        raise DocumentError("document.record_in_collection", where=where, n=n)
    return _specimen(raw, where, new_id), _many(Picture, raw, "pictures", where)


def write_record(specimen: Specimen, pictures: Iterable[Picture] = ()) -> dict[str, Json]:
    """Return the full form of a record; what holds its default is left out."""
    return {"format": FORMAT, **_record(specimen), **_listed("pictures", pictures)}


def read_collection(raw: Json, where: str = "the collection") -> Whole:
    """Return a whole collection; its records may be short as well.

    Raises
    ------
    DocumentError
        If it has not the form of the format; the place is named.
    NewerFormatError
        If a later version wrote it.
    """
    raw = _checked(raw, where)
    about = decode(About, _given(raw, "collection", where), _at(where, "collection"))
    records = decode(tuple[Any, ...], raw.get("specimens", []), _at(where, "specimens"))
    whole = Whole(
        about,
        _many(Person, raw, "people", where),
        _many(Picture, raw, "pictures", where),
        tuple(
            _specimen(
                _object(one, f"{where}: specimens[{i}]"), f"{where}: specimens[{i}]", None
            )
            for i, one in enumerate(records)
        ),
        _many(SavedFilter, raw, "filters", where),
        _strangers(raw, where, _WHOLE),
    )
    _each_once(whole.specimens, _at(where, "specimens"))
    return whole


def write_collection(whole: Whole) -> dict[str, Json]:
    """Return a whole collection as plain JSON, exact but for the order of its keys."""
    return {
        "format": FORMAT,
        "collection": encode(whole.about),
        **_listed("people", whole.people),
        **_listed("pictures", whole.pictures),
        "specimens": [_record(one) for one in whole.specimens],
        **_listed("filters", whole.filters),
        **_strangers_back(whole.extra, _WHOLE),
    }


# -- one specimen --------------------------------------------------------------------------


def _specimen(raw: Mapping[str, Json], where: str, new_id: NewId | None) -> Specimen:
    """Return a specimen; within a collection (no ``new_id``) it must have its own id."""
    specimen_id = _text(raw, "id", where) if "id" in raw or new_id is None else new_id()
    new_id = new_id or (lambda: str(uuid4()))
    frames = _many(Frame, raw, "frames", where)
    views = decode(tuple[str, ...], raw.get("views", []), _at(where, "views"))
    first = max((frame.number for frame in frames), default=-1) + 1
    seen = tuple(
        Frame(new_id(), "", view, number=first + i) for i, view in enumerate(views)
    )
    specimen = Specimen(
        specimen_id,
        label=decode(Label, raw.get("label", {}), _at(where, "label")),
        where=_where(raw, where),
        frames=frames + seen,
        placings=_many(Placing, raw, "placings", where),
        observations=tuple(_observations(raw, where, new_id)),
        determinations=_many(Determination, raw, "determinations", where),
        extra=_strangers(raw, where, _RECORD, lengths=True),
    )
    _each_once(specimen.observations, _at(where, "observations"))
    return specimen


def _record(specimen: Specimen) -> dict[str, Json]:
    where = encode(specimen.where)
    circumstances = {name: where.pop(name) for name in _WHERE if name in where}
    observations: dict[str, list[Json]] = {}
    for one in specimen.observations:
        raw = encode(one)
        observations.setdefault(raw.pop("character"), []).append(raw)
    label = encode(specimen.label)
    return {
        "id": specimen.id,
        **({"label": label} if label else {}),
        **circumstances,
        **({"where": where} if where else {}),
        **_listed("frames", specimen.frames),
        **_listed("placings", specimen.placings),
        **({"observations": observations} if observations else {}),
        **_listed("determinations", specimen.determinations),
        **_strangers_back(specimen.extra, _RECORD, lengths=True),
    }


def _where(raw: Mapping[str, Json], where: str) -> Where:
    given = _object(raw.get("where", {}), _at(where, "where"))
    for name in _WHERE:
        if name in raw and name in given:
            raise DocumentError(
                "document.two_names", where=where, first=name, second=f"where.{name}"
            )
    given |= {name: raw[name] for name in _WHERE if name in raw}
    if isinstance(given.get("condition"), list):
        given["condition"] = [
            {"kind": one} if isinstance(one, str) else one for one in given["condition"]
        ]
    return decode(Where, given, where)


# -- observations --------------------------------------------------------------------------


def _observations(
    raw: Mapping[str, Json], where: str, new_id: NewId
) -> Iterable[Observation]:
    grouped = _object(raw.get("observations", {}), _at(where, "observations"))
    for character, found in grouped.items():
        for one, place in _each(found, _at(where, f"observations.{character}")):
            yield _observation(character, one, place, new_id)
    for name, found in raw.items():
        if name.endswith(_LENGTH) and name != _LENGTH:
            for one, place in _each(found, _at(where, name)):
                made = _observation(name.removesuffix(_LENGTH), one, place, new_id)
                yield _length(made, place)


def _each(found: Json, place: str) -> Iterable[tuple[Json, str]]:
    if not isinstance(found, list):
        return [(found, place)]
    return [(one, f"{place}[{i}]") for i, one in enumerate(found)]


def _observation(character: str, raw: Json, where: str, new_id: NewId) -> Observation:
    """Return what one entry says: a word is a state, a number a value."""
    if isinstance(raw, str):
        raw = {"state": raw}
    elif is_number(raw):
        raw = {"value": raw}
    given = _object(raw, where, wanted="observation")
    if is_number(given.get("at_least")):
        if "value" in given:
            raise DocumentError(
                "document.two_names", where=where, first="value", second="at_least"
            )
        given |= {"value": given["at_least"], "at_least": True}
    given["character"] = character
    if "id" not in given:
        given["id"] = new_id()
    made = decode(Observation, given, where)
    says = (bool(made.state), made.value is not None, bool(made.hidden))
    if sum(says) != 1:
        raise DocumentError("document.one_kind", where=where)
    if made.sigma is not None and made.sigma < 0:
        raise _not_possible(where, "sigma", made.sigma, "not_negative")
    return made


def _length(made: Observation, where: str) -> Observation:
    """Return a length given as ``..._mm``: the name is its unit; none is negative."""
    if made.value is None and not made.hidden:
        raise DocumentError("document.length_needs_number", where=where)
    if made.value is not None:
        if made.value < 0:
            raise _not_possible(where, "value", made.value, "not_negative")
        if made.value == 0 and made.character == "shell_length":
            raise _not_possible(where, "value", made.value, "positive")
    return made if made.unit else replace(made, unit="mm")


# -- the form ------------------------------------------------------------------------------


def _checked(raw: Json, where: str) -> Mapping[str, Json]:
    """Return the object of a document whose format this version reads."""
    checked = _object(raw, where)
    if "format" not in checked:
        raise DocumentError("document.no_format", where=where, known=FORMAT)
    found = decode(int, checked["format"], _at(where, "format"))
    if found > FORMAT:
        raise NewerFormatError(
            "document.newer_format", where=where, found=found, known=FORMAT
        )
    if found < 1:
        raise _not_possible(where, "format", found, "positive")
    return checked


def _many(kind: type[T], raw: Mapping[str, Json], name: str, where: str) -> tuple[T, ...]:
    place = _at(where, name)
    rows = decode(tuple[kind, ...], raw.get(name, []), place)  # type: ignore[valid-type]
    _each_once(rows, place)
    return rows


def _each_once(rows: Sequence[Any], place: str) -> None:
    """Raise a sentence where an id is empty or stands twice: a row would be lost."""
    seen: set[str] = set()
    for row in rows:
        if not row.id:
            raise DocumentError("document.lacks", where=place, field="id")
        if row.id in seen:
            raise DocumentError("document.twice", where=place, id=row.id)
        seen.add(row.id)


def _listed(name: str, rows: Iterable[Any]) -> dict[str, Json]:
    written = [encode(row) for row in rows]
    return {name: written} if written else {}


def _strangers(
    raw: Mapping[str, Json], where: str, known: Sequence[str], *, lengths: bool = False
) -> dict[str, Json]:
    """Return what is not known; names that mean something come in an object ``extra``."""
    kept = _object(raw.get("extra", {}), _at(where, "extra"))
    return kept | {
        key: one for key, one in raw.items() if not _means(key, known, lengths=lengths)
    }


def _strangers_back(
    extra: Mapping[str, Json], known: Sequence[str], *, lengths: bool = False
) -> dict[str, Json]:
    inside = {key: one for key, one in extra.items() if _means(key, known, lengths=lengths)}
    outside = {key: one for key, one in extra.items() if key not in inside}
    return outside | ({"extra": inside} if inside else {})


def _means(key: str, known: Sequence[str], *, lengths: bool) -> bool:
    return key in known or (lengths and key.endswith(_LENGTH) and key != _LENGTH)


def _object(raw: Json, where: str, *, wanted: str = "object") -> dict[str, Json]:
    if isinstance(raw, dict):
        return dict(raw)
    from landmarks.codec import write_json

    found = write_json(raw)
    raise DocumentError(
        "document.wrong_type",
        where=where,
        wanted=Sentence(f"type.{wanted}"),
        found=found if len(found) <= 40 else f"{found[:39]}…",
    )


def _given(raw: Mapping[str, Json], name: str, where: str) -> Json:
    if name not in raw:
        raise DocumentError("document.lacks", where=where, field=name)
    return raw[name]


def _text(raw: Mapping[str, Json], name: str, where: str) -> str:
    found = decode(str, _given(raw, name, where), _at(where, name))
    if not found:
        raise DocumentError("document.lacks", where=where, field=name)
    return found


def _at(where: str, name: str) -> str:
    return f"{where}: {name}"


def _not_possible(where: str, name: str, found: float, wanted: str) -> DocumentError:
    return DocumentError(
        "document.not_possible",
        where=_at(where, name),
        found=found,
        wanted=Sentence(f"document.wanted_{wanted}"),
    )
