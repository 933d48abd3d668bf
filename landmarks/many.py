"""Many specimens at once: what they share, and one deed that changes all of them.

Both work on the parts of one document at a time, so that ten thousand specimens need no more
room than one. A field in which specimens differ is *several*, and stays so unless it is
changed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from landmarks.changes import Change, Document, Parts
from landmarks.codec import decode, encode
from landmarks.collection import Rights
from landmarks.observations import Condition
from landmarks.sentences import Sentence
from landmarks.specimen import Frame, Label, Observation, Where

LABEL = ("locality", "collector", "collected", "habitat")
WHERE = ("region", "origin")
RIGHTS = ("creator", "licence", "rights_holder")

SHARED = ("label", "where", "frame", "rights")
"""Kinds of parts that tell what specimens, and the pictures of them, share."""

FOR_MANY = "for_many"
"""``Observation.method`` of a state that was recorded for many specimens at once: nobody
looked at each of them. It is recorded as *unsure*, so that it weighs less, and it never
stands in the place of what somebody saw."""

_PARTS: Mapping[str, tuple[type[Any], tuple[str, ...]]] = MappingProxyType(
    {"label": (Label, LABEL), "where": (Where, WHERE), "rights": (Rights, RIGHTS)}
)


@dataclass(frozen=True, slots=True)
class Edits:
    """What to change in every specimen; what is not named stays as it is.

    Attributes
    ----------
    words
        New contents of fields of :data:`LABEL`, :data:`WHERE` and :data:`RIGHTS`.
    add, remove
        Conditions that each of them shall have, or shall not.
    view
        The view that every frame shows, empty for none; None: as it is.
    character, state
        A state that is recorded for all (:data:`FOR_MANY`); empty: none.
    person, at
        Who says so, and when (UTC): for observations.
    """

    words: Mapping[str, str] = field(default_factory=dict)
    add: tuple[Condition, ...] = ()
    remove: tuple[Condition, ...] = ()
    view: str | None = None
    character: str = ""
    state: str = ""
    person: str = ""
    at: str = ""

    @property
    def touches_pictures(self) -> bool:
        """Return whether pictures are changed besides specimens."""
        return any(key in RIGHTS for key in self.words)

    @property
    def touches_specimens(self) -> bool:
        """Return whether specimens themselves are changed."""
        words = any(key not in RIGHTS for key in self.words)
        asked = words or self.add or self.remove or self.view is not None or self.state
        return bool(asked)

    @property
    def kinds(self) -> frozenset[str]:
        """Return the kinds of parts that tell what is to be changed, and in which pictures."""
        asked = {
            "label": any(key in LABEL for key in self.words),
            "where": any(key in WHERE for key in self.words) or self.add or self.remove,
            "frame": self.view is not None or self.touches_pictures,
            "observation": self.state,
        }
        return frozenset(kind for kind, wanted in asked.items() if wanted)

    @property
    def names(self) -> tuple[Sentence, ...]:
        """Return what is changed, each in words."""
        said = [Sentence(f"many.field.{key}") for key in self.words]
        said += [Sentence("many.field.condition")] if self.add or self.remove else []
        said += [Sentence("many.field.view")] if self.view is not None else []
        said += [Sentence("many.field.state")] if self.state else []
        return tuple(said)


@dataclass(slots=True)
class Shared:
    """What some specimens share; filled from one document after the other.

    Attributes
    ----------
    words
        Of every field the value that all have, or None where there are several.
    conditions
        Of each condition how many specimens have it.
    pictures
        Ids of the pictures that show them, in the order in which they came.
    views
        Of each view how many frames show it.
    """

    n: int = 0
    words: dict[str, str | None] = field(default_factory=dict)
    conditions: dict[Condition, int] = field(default_factory=dict)
    pictures: dict[str, None] = field(default_factory=dict)
    views: dict[str, int] = field(default_factory=dict)

    def add(self, document: Document, parts: Parts) -> None:
        """Count one specimen, or one picture of them, in.

        Raises
        ------
        DocumentError
            If a part has not the form of the format; the part is named.
        """
        if document.kind == "picture":
            self._meet("rights", parts)
            return
        self.n += 1
        self._meet("label", parts)
        where = self._meet("where", parts)
        for one in dict.fromkeys(where.condition):
            self.conditions[one] = self.conditions.get(one, 0) + 1
        for part, raw in parts.items():
            if part.startswith("frame/"):
                frame = decode(Frame, raw, part)
                self.views[frame.view] = self.views.get(frame.view, 0) + 1
                if frame.picture:
                    self.pictures[frame.picture] = None

    def _meet(self, part: str, parts: Parts) -> Any:
        kind, keys = _PARTS[part]
        value = decode(kind, parts.get(part, {}), part)
        for key in keys:
            words = str(getattr(value, key))
            if self.words.setdefault(key, words) != words:
                self.words[key] = None
        return value


def changes_of(
    document: Document, parts: Parts, edits: Edits, new_id: Callable[[], str]
) -> tuple[Change, ...]:
    """Return the changes that edits make in one specimen, or in a picture of theirs.

    A state is recorded only where nobody has recorded anything of that character: what
    somebody saw stays.

    Raises
    ------
    DocumentError
        If a part has not the form of the format; the part is named.
    """
    if not parts.get("exists"):
        return ()
    kinds = ("rights",) if document.kind == "picture" else edits.kinds
    edited = (part for part in _PARTS if part in kinds)
    made: dict[str, Any] = {part: _edited(part, parts, edits) for part in edited}
    if document.kind == "specimen":
        if edits.view is not None:
            made |= _viewed(parts, edits.view)
        if edits.state and not _was_looked_at(parts, edits.character):
            one = Observation(
                new_id(),
                edits.character,
                edits.state,
                sure=False,
                method=FOR_MANY,
                person=edits.person,
                at=edits.at,
            )
            made[f"observation/{one.id}"] = encode(one)
    return tuple(
        Change(document, part, parts.get(part), after)
        for part, after in made.items()
        if parts.get(part) != after
    )


def condition_edits(
    shared: Shared, all_have: Iterable[Condition], none_has: Iterable[Condition]
) -> tuple[tuple[Condition, ...], tuple[Condition, ...]]:
    """Return which conditions are to be added to some specimens, and which taken away."""
    add = tuple(one for one in all_have if shared.conditions.get(one, 0) < shared.n)
    return add, tuple(one for one in none_has if shared.conditions.get(one, 0))


def _edited(part: str, parts: Parts, edits: Edits) -> Any:
    kind, keys = _PARTS[part]
    raw = parts.get(part, {})
    value = decode(kind, raw, part)
    said: dict[str, Any] = {key: edits.words[key] for key in keys if key in edits.words}
    if part == "where":
        kept = [one for one in value.condition if one not in edits.remove]
        more = [one for one in edits.add if one not in kept]
        said["condition"] = (*kept, *more)
    new = {key: one for key, one in said.items() if one != getattr(value, key)}
    # What is said as it was stays as it was written, default values and all.
    if not new:
        return parts.get(part)
    usual = kind()
    same = {key: one for key, one in raw.items() if key not in new}
    written = {key: encode(one) for key, one in new.items() if one != getattr(usual, key)}
    return {**same, **written} or None


def _viewed(parts: Parts, view: str) -> dict[str, Any]:
    return {
        part: encode(replace(decode(Frame, raw, part), view=view))
        for part, raw in parts.items()
        if part.startswith("frame/") and isinstance(raw, dict) and raw.get("view") != view
    }


def _was_looked_at(parts: Parts, character: str) -> bool:
    return any(
        part.startswith("observation/")
        and isinstance(raw, dict)
        and raw.get("character") == character
        and raw.get("occasion", "record") == "record"
        for part, raw in parts.items()
    )
