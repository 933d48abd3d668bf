"""How far a specimen has come: the five steps, each saying what it has or lacks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from landmarks.collection import Picture
from landmarks.scale import mm_per_px
from landmarks.scheme import VIEWS
from landmarks.sentences import Number, Sentence, word
from landmarks.specimen import Determination, Frame, Specimen

STEPS = ("picture", "scale", "landmarks", "characters", "name")
FULL, HALF, NONE = "full", "half", "none"


@dataclass(frozen=True, slots=True)
class Step:
    """One of the five steps: its key, how much it has, and that in words."""

    key: str
    has: str
    words: Sentence


def steps(
    specimen: Specimen,
    frame: Frame | None,
    pictures: Mapping[str, Picture],
    characters: Sequence[tuple[str, bool]],
    names: Mapping[str, str],
) -> tuple[Step, ...]:
    """Return the five steps of a specimen, seen from one of its frames.

    Parameters
    ----------
    characters
        Key of every scored character these frames can show, and whether it was answered.
    names
        Scientific name of every taxon key.
    """
    picture = pictures.get(frame.picture) if frame is not None else None
    return (
        _picture(frame),
        _scale(picture),
        _landmarks(specimen, frame),
        _characters(characters),
        _name(specimen.determination, names),
    )


def next_landmark(
    specimen: Specimen, frame: Frame, *, optional: bool = False
) -> str | None:
    """Return the first landmark of the view's scheme that has no answer yet, or None.

    The ones that a frame is complete without are asked last, and only with ``optional``.
    """
    if frame.view not in VIEWS:
        return None
    placed = specimen.placed(frame.id)
    asked = sorted(VIEWS[frame.view].landmarks, key=lambda row: row.optional)
    return next(
        (row.key for row in asked if row.key not in placed and optional >= row.optional),
        None,
    )


def name_words(one: Determination, names: Mapping[str, str]) -> Sentence:
    """Return a determination as it is written, its qualifier included."""
    written = tuple(names.get(key, key) for key in one.taxa) or (one.name,)
    if one.level in ("not_a_giant_clam", "unresolved"):
        return Sentence(f"level.{one.level}")
    if one.level == "group":
        return Sentence("name.group", {"names": _either(written)})
    if one.level == "hybrid":
        return Sentence("name.hybrid", {"names": " × ".join(written)})
    name = written[0]
    if one.qualifier:
        return Sentence("name.qualified", {"name": _qualified(name, one.qualifier)})
    return Sentence("name.plain", {"name": f"{name} sp." if one.level == "genus" else name})


def _qualified(name: str, qualifier: str) -> str:
    """Return the name with its qualifier where open nomenclature puts it.

    ``cf.`` and ``aff.`` stand before the epithet, ``sp. inc.`` and ``?`` after the name
    (Sigovini, Keppel & Tagliapietra 2016, from memory).
    """
    genus, _, epithet = name.partition(" ")
    if qualifier in ("cf.", "aff.") and epithet:
        return f"{genus} {qualifier} {epithet}"
    return f"{name} {qualifier}"


def _either(names: Sequence[str]) -> Sentence:
    if len(names) == 1:
        return Sentence("name.plain", {"name": names[0]})
    return Sentence("list.or", {"head": ", ".join(names[:-1]), "last": names[-1]})


def _picture(frame: Frame | None) -> Step:
    if frame is None:
        return Step("picture", NONE, Sentence("step.picture.none"))
    if not frame.view:
        return Step("picture", HALF, Sentence("step.picture.no_view"))
    return Step("picture", FULL, word("view", frame.view))


def _scale(picture: Picture | None) -> Step:
    if picture is None or picture.scale is None:
        return Step("scale", NONE, Sentence("step.scale.none"))
    per_px = mm_per_px(picture.scale, picture.id)
    px_per_mm = Number(1 / per_px.value, per_px.sigma / per_px.value**2)
    method = word("scale.method", picture.scale.method)
    return Step("scale", FULL, Sentence("step.scale", {"px": px_per_mm, "method": method}))


def _landmarks(specimen: Specimen, frame: Frame | None) -> Step:
    scheme = VIEWS[frame.view].required if frame is not None and frame.view in VIEWS else ()
    if frame is None or not scheme:
        return Step("landmarks", NONE, Sentence("step.landmarks.no_scheme"))
    answered = len(specimen.placed(frame.id).keys() & {row.key for row in scheme})
    has = FULL if answered == len(scheme) else HALF if answered else NONE
    values = {"n": answered, "all": len(scheme)}
    return Step("landmarks", has, Sentence("step.landmarks", values))


def _characters(characters: Sequence[tuple[str, bool]]) -> Step:
    answered = sum(done for _, done in characters)
    open_ = len(characters) - answered
    has = NONE if not answered else HALF if open_ else FULL
    return Step(
        "characters", has, Sentence("step.characters", {"n": answered, "open": open_})
    )


def _name(one: Determination | None, names: Mapping[str, str]) -> Step:
    if one is None:
        return Step("name", NONE, Sentence("step.name.none"))
    return Step("name", FULL, name_words(one, names))
