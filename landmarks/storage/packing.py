"""Parts as text: one fixed form to compare by, and a packed one for long outlines.

Two equal parts have the same text. Where that text would be longer than
:data:`LONG_TEXT`, the ``points`` of the part are rounded to 1/100 px - far below what any
hand can place - and the text is stored packed, once, under the hash of its content.
"""

from __future__ import annotations

import json
import re
import zlib
from hashlib import sha256
from itertools import accumulate
from math import isfinite
from typing import Any

from landmarks.codec import read_json, write_json
from landmarks.errors import DocumentError, StoreError
from landmarks.sentences import Sentence

LONG_TEXT = 4096
"""Characters of JSON above which a part is packed."""

PER_PX = 100
"""Long outlines are kept to 1/100 px (design section 7)."""

_BROKEN = re.compile("[0-9][.e]")
"""Stands in the text of every broken number: ``3.0``, ``1e-07``."""

MAX_UNPACKED = 64 * 1024 * 1024
_LARGEST = 2**40 / PER_PX


def settled(raw: Any) -> str | None:
    """Return the text of a part, the same for equal parts; None where there is no part.

    Raises
    ------
    DocumentError
        If it holds a number that is none, or half a letter.
    """
    if raw is None:
        return None
    text = _written(raw)
    if len(text) > LONG_TEXT and _has_points(raw):
        points = [[_rounded(n) for n in pair] for pair in raw["points"]]
        text = _written({**raw, "points": points})
    if not text.isascii():
        try:
            text.encode()
        except UnicodeEncodeError as fault:
            found = ascii(fault.object[fault.start])
            raise DocumentError(
                "json.odd_value", where=Sentence("document.this"), found=found
            ) from None
    return text


def read_text(text: str) -> Any:
    """Return the part that this text stands for; a stranger may have written it.

    Raises
    ------
    StoreError
        If it is not JSON within the limits of :func:`landmarks.codec.read_json`.
    """
    if text == "true":
        # Every document has such a part, which says that it is there.
        return True
    try:
        return read_json(text, "")
    except DocumentError:
        raise StoreError("store.damaged_content") from None


def hash_of(text: str) -> str:
    """Return the name of a content: its SHA-256 in hexadecimal."""
    return sha256(text.encode()).hexdigest()


def packed(text: str) -> bytes:
    """Return a text packed: points as differences of hundredths, all of it deflated."""
    raw = json.loads(text)
    steps = None
    if _has_points(raw):
        points = raw.pop("points")
        columns = [[round(pair[axis] * PER_PX) for pair in points] for axis in (0, 1)]
        steps = [_differences(column) for column in columns]
        if _points(steps) != points:  # Not rounded: written by something else than us.
            raw, steps = json.loads(text), None
    return zlib.compress(write_json({"part": raw, "steps": steps}).encode(), 9)


def unpacked(content: bytes) -> str:
    """Return the text of a packed content.

    Raises
    ------
    StoreError
        If it is damaged or larger than any part can be.
    """
    try:
        stream = zlib.decompressobj()
        text = stream.decompress(content, MAX_UNPACKED)
        if not stream.eof:
            raise StoreError("store.damaged_content")
        raw = read_json(text, "")
        part, steps = raw["part"], raw["steps"]
        if steps is not None:
            part["points"] = _points(steps)
    except (zlib.error, DocumentError, ValueError, KeyError, TypeError, IndexError):
        raise StoreError("store.damaged_content") from None
    return write_json(part)


def _written(raw: Any) -> str:
    """Return the text of JSON in which every number has one form.

    Where none can be a broken number, which most parts hold none of, nothing is to be tidied.
    """
    try:
        text = write_json(raw)
    except ValueError:
        # A number that is none: it is told which.
        return write_json(_tidy(raw))
    return write_json(_tidy(raw)) if _BROKEN.search(text) else text


def _tidy(raw: Any) -> Any:
    """Return JSON in which every number has one form: 3.0 is 3, minus zero is zero."""
    if isinstance(raw, dict):
        return {key: _tidy(one) for key, one in raw.items()}
    if isinstance(raw, (list, tuple)):
        return [_tidy(one) for one in raw]
    if isinstance(raw, float):
        if not isfinite(raw):
            raise DocumentError(
                "json.odd_value", where=Sentence("document.this"), found=str(raw)
            )
        return int(raw) if raw == int(raw) and abs(raw) < 2**53 else raw
    return raw


def _has_points(raw: Any) -> bool:
    """Return whether the part is an outline: pairs of ordinary numbers under ``points``."""
    points = raw.get("points") if isinstance(raw, dict) else None
    return (
        isinstance(points, list)
        and bool(points)
        and all(
            isinstance(pair, (list, tuple))
            and len(pair) == 2
            and all(type(n) in (int, float) and abs(n) < _LARGEST for n in pair)
            for pair in points
        )
    )


def _rounded(number: float) -> float:
    return round(number * PER_PX) / PER_PX


def _differences(column: list[int]) -> list[int]:
    return [here - before for before, here in zip([0, *column], column, strict=False)]


def _points(steps: list[list[int]]) -> list[list[float]]:
    columns = [[_tidy(n / PER_PX) for n in accumulate(column)] for column in steps]
    return [[x, y] for x, y in zip(*columns, strict=True)]
