"""Frozen values to plain JSON and back: strict about types, patient with strangers.

A dataclass field that is not known is kept under ``extra`` and written back, so a record from
a later version passes through an earlier one unharmed. Defaults are not written.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from math import isfinite
from types import MappingProxyType, NoneType, UnionType
from typing import Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from landmarks.errors import DocumentError, HingelineError
from landmarks.geometry import Box, Point
from landmarks.sentences import Sentence

T = TypeVar("T")
Json = Any

MAX_BYTES = 256 * 1024 * 1024
MAX_DEPTH = 40
_WRITER = json.JSONEncoder(
    ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False
)

MAX_VALUES = 16_000_000
"""Values of a stranger's JSON, counted by the signs between them: each holds memory."""


def encode(value: object) -> Json:
    """Return a value as plain JSON; fields that hold their default are left out."""
    if isinstance(value, (Point, Box)):
        return [_tidy(number) for number in value]
    if is_dataclass(value) and not isinstance(value, type):
        return _encode_record(value)
    if isinstance(value, Mapping):
        return {str(key): encode(one) for key, one in value.items()}
    if isinstance(value, (tuple, list)):
        return [encode(one) for one in value]
    return _tidy(value)


def decode(kind: type[T], raw: Json, where: str = "") -> T:
    """Return the value of a type from plain JSON.

    Raises
    ------
    DocumentError
        If a required field is missing, has another type, or its record is refused by
        construction; ``where`` names the place.
    """
    return cast("T", _decoder(cast("Any", kind))(raw, where))


def read_json(content: bytes | str, where: str) -> Json:
    """Return parsed JSON of a stranger: size, depth and odd numbers are limited.

    Raises
    ------
    DocumentError
        If it is not JSON, too large, too deep, or holds a number that is none.
    """
    size = len(content)
    if size > MAX_BYTES:
        raise DocumentError("json.too_large", where=where, mega=round(size / 1e6))
    n_values = _n_values(content)
    if n_values > MAX_VALUES:
        million = MAX_VALUES // 1_000_000
        raise DocumentError("json.too_many", where=where, million=million)
    try:
        raw = _reader().decode(_letters(content))
    except RecursionError:
        raise DocumentError("json.too_deep", where=where, depth=MAX_DEPTH) from None
    except UnicodeDecodeError:
        raise DocumentError("json.not_text", where=where) from None
    except json.JSONDecodeError as fault:
        raise DocumentError(
            "json.not_json", where=where, line=fault.lineno, column=fault.colno
        ) from None
    except ValueError as fault:
        raise DocumentError("json.odd_value", where=where, found=str(fault)) from None
    # Short and plain texts, which nearly all parts are, need not be walked through for it.
    if n_values >= MAX_DEPTH and _depth(raw) > MAX_DEPTH:
        raise DocumentError("json.too_deep", where=where, depth=MAX_DEPTH)
    half = None if _is_plain(content) else _half_letter(raw)
    if half is not None:
        raise DocumentError("json.odd_value", where=where, found=half)
    return raw


def write_json(raw: Json) -> str:
    """Return JSON text in one fixed form: sorted keys, no spaces, numbers in full."""
    return _WRITER.encode(raw)


@cache
def _reader() -> json.JSONDecoder:
    return json.JSONDecoder(
        parse_constant=_no_constant,
        parse_float=_ordinary_float,
        parse_int=_ordinary_int,
        object_pairs_hook=_unique,
    )


def _letters(content: bytes | str) -> str:
    """Return a text as letters, a mark of the order of its bytes left out."""
    if isinstance(content, str):
        return content
    return content.decode(json.detect_encoding(content), "surrogatepass")


def _n_values(content: bytes | str) -> int:
    """Return how many values JSON can hold at most, without reading it."""
    if isinstance(content, bytes):
        return content.count(b",") + content.count(b"[") + content.count(b"{")
    return content.count(",") + content.count("[") + content.count("{")


def _is_plain(content: bytes | str) -> bool:
    """Return whether a text holds no letters but those of ASCII, spelled out or escaped."""
    escape: Any = b"\\u" if isinstance(content, bytes) else "\\u"
    return content.isascii() and escape not in content


def _tidy(value: object) -> object:
    if isinstance(value, float):
        if not isfinite(value):
            here = Sentence("document.this")
            raise DocumentError("json.odd_value", where=here, found=str(value))
        return int(value) if value == int(value) and abs(value) < 2**53 else value
    return value


def _encode_record(record: object) -> dict[str, Json]:
    raw: dict[str, Json] = {}
    for field in fields(record):  # type: ignore[arg-type]
        value = getattr(record, field.name)
        if field.name == "extra":
            for key, kept in value.items():
                raw.setdefault(key, kept)
            continue
        if field.default is not MISSING and value == field.default:
            continue
        if field.default_factory is not MISSING and value == field.default_factory():
            continue
        raw[field.name] = encode(value)
    return raw


Decoder = Callable[[Json, str], object]


@cache
def _decoder(kind: Any) -> Decoder:
    origin = get_origin(kind)
    if kind is Any or kind is object:
        return lambda raw, where: raw
    if kind in (Point, Box):
        return _numbers_decoder(kind)
    if is_dataclass(kind):
        return _record_decoder(cast(type, kind))
    if origin in (Union, UnionType):
        return _union_decoder(tuple(get_args(kind)))
    if origin is tuple:
        return _tuple_decoder(get_args(kind)[0])
    if origin is not None and issubclass(origin, Mapping):
        return _mapping_decoder(get_args(kind)[1])
    return _plain_decoder(kind)


_NAMES = {
    str: "text",
    float: "number",
    int: "whole_number",
    bool: "yes_or_no",
    NoneType: "null",
}


def _plain_decoder(kind: type) -> Decoder:
    def plain(raw: Json, where: str) -> object:
        if kind is float and isinstance(raw, int) and not isinstance(raw, bool):
            return float(raw)
        if (isinstance(raw, bool) and kind is not bool) or not isinstance(raw, kind):
            raise _wrong(raw, where, _NAMES.get(kind, kind.__name__))
        return raw

    return plain


def _numbers_decoder(kind: Any) -> Decoder:
    count = len(kind._fields)

    def numbers(raw: Json, where: str) -> object:
        good = isinstance(raw, list) and len(raw) == count
        if not good or not all(map(is_number, raw)):
            raise _wrong(raw, where, f"numbers_{count}")
        return kind._make(map(float, raw))

    return numbers


def is_number(raw: Json) -> bool:
    """Return whether a value is a number; true and false are none."""
    return isinstance(raw, (int, float)) and not isinstance(raw, bool)


def _tuple_decoder(inner: Any) -> Decoder:
    def many(raw: Json, where: str) -> object:
        if not isinstance(raw, list):
            raise _wrong(raw, where, "list")
        one = _decoder(inner)
        return tuple(one(item, f"{where}[{i}]") for i, item in enumerate(raw))

    return many


def _mapping_decoder(inner: Any) -> Decoder:
    def mapping(raw: Json, where: str) -> object:
        if not isinstance(raw, dict):
            raise _wrong(raw, where, "object")
        one = _decoder(inner)
        return MappingProxyType(
            {key: one(item, f"{where}.{key}") for key, item in raw.items()}
        )

    return mapping


def _union_decoder(kinds: tuple[Any, ...]) -> Decoder:
    rest = [kind for kind in kinds if kind is not NoneType]

    def union(raw: Json, where: str) -> object:
        if raw is None and NoneType in kinds:
            return None
        for kind in rest[:-1]:
            try:
                return _decoder(kind)(raw, where)
            except DocumentError:
                continue
        return _decoder(rest[-1])(raw, where)

    return union


def _record_decoder(kind: type) -> Decoder:
    hints = get_type_hints(kind)
    known = {field.name: field for field in fields(kind) if field.name != "extra"}
    keeps_extra = any(field.name == "extra" for field in fields(kind))

    def record(raw: Json, where: str) -> object:
        if not isinstance(raw, dict):
            raise _wrong(raw, where, "object")
        values: dict[str, object] = {}
        for name, field in known.items():
            if name in raw:
                values[name] = _decoder(hints[name])(
                    raw[name], f"{where}.{name}".lstrip(".")
                )
            elif field.default is MISSING and field.default_factory is MISSING:
                raise DocumentError(
                    "document.lacks", where=where or "the record", field=name
                )
        if keeps_extra:
            strangers = {key: one for key, one in raw.items() if key not in known}
            if strangers:
                values["extra"] = MappingProxyType(strangers)
        try:
            return kind(**values)
        except DocumentError:
            raise
        except HingelineError as fault:
            raise DocumentError(
                "document.refused", where=where or "the record", why=fault.sentence
            ) from None

    return record


def _wrong(raw: Json, where: str, wanted: str) -> DocumentError:
    found = write_json(raw)
    return DocumentError(
        "document.wrong_type",
        where=where or "the record",
        wanted=Sentence(f"type.{wanted}"),
        found=found if len(found) <= 40 else found[:39] + "…",
    )


def _no_constant(word: str) -> float:
    raise ValueError(word)


def _ordinary_float(word: str) -> float:
    number = float(word)
    if not isfinite(number):
        raise ValueError(word[:24])
    return number


def _ordinary_int(word: str) -> int:
    if len(word) > 18:
        raise ValueError(f"{word[:18]}…")
    return int(word)


def _unique(pairs: list[tuple[str, Json]]) -> dict[str, Json]:
    made = dict(pairs)
    if len(made) < len(pairs):
        seen: set[str] = set()
        twice = next(key for key, _ in pairs if key in seen or seen.add(key))  # type: ignore[func-returns-value]
        raise ValueError(f"{twice} (twice)")
    return made


def _half_letter(raw: Json) -> str | None:
    """Return a surrogate that stands alone, which no file could hold, or None."""
    rest = [raw]
    while rest:
        one = rest.pop()
        if isinstance(one, dict):
            rest.extend(one)
            rest.extend(one.values())
        elif isinstance(one, list):
            rest.extend(one)
        elif isinstance(one, str) and not one.isascii():
            half = next((letter for letter in one if "\ud800" <= letter <= "\udfff"), None)
            if half is not None:
                return ascii(half)
    return None


def _depth(raw: Json) -> int:
    depth, level = 0, [raw]
    while level:
        depth += 1
        deeper: list[Json] = []
        for one in level:
            if isinstance(one, dict):
                deeper.extend(one.values())
            elif isinstance(one, list):
                deeper.extend(one)
        level = deeper
    return depth
