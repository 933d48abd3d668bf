"""The name of a deed as JSON and back: sentences hold other sentences, numbers, text."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from landmarks.sentences import Number, Sentence, known, text


def deed_json(deed: Sentence) -> dict[str, Any]:
    """Return the sentence that names a deed, as plain JSON."""
    return {"key": deed.key, "values": {key: _raw(one) for key, one in deed.values.items()}}


def deed_of(raw: Any) -> Sentence:
    """Return the sentence that names a deed.

    A deed this version has no words for (a later version's, or a stranger's) gets a plain
    name, so that it can be shown and undone like any other.
    """
    try:
        deed = _sentence(raw)
        if _all_known(deed):
            text(deed)
            return deed
    except Exception:  # Whatever is wrong with its name, the deed itself is sound.
        pass
    return Sentence("deed.of_another_version")


def _raw(value: object) -> Any:
    match value:
        case Sentence():
            return {"sentence": deed_json(value)}
        case Number():
            return {"number": [value.value, value.sigma, value.unit, value.at_least]}
        case tuple() | list():
            return [_raw(one) for one in value]
        case None | bool() | int() | float() | str():
            return value
        case _:
            return str(value)


def _sentence(raw: Mapping[str, Any]) -> Sentence:
    return Sentence(raw["key"], {str(k): _value(one) for k, one in raw["values"].items()})


def _value(raw: Any) -> object:
    if isinstance(raw, list):
        return tuple(_value(one) for one in raw)
    if isinstance(raw, dict):
        if "sentence" in raw:
            return _sentence(raw["sentence"])
        value, sigma, unit, at_least = raw["number"]
        return Number(
            float(value),
            None if sigma is None else float(sigma),
            str(unit),
            at_least is True,
        )
    return raw


def _all_known(value: object) -> bool:
    if isinstance(value, Sentence):
        return known(value.key) and all(_all_known(one) for one in value.values.values())
    return not isinstance(value, tuple) or all(_all_known(one) for one in value)
