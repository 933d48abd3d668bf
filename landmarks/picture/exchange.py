"""What the program and the process that decodes for it say to each other, over two pipes.

A message is one line of JSON, and after it the bytes of the parts that the line names with
their lengths. Pixels follow a message as rows of bytes, as many as it says.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import IO, Any

DECODE = "decode-for-another-process"
"""First word of a frozen program that is to decode, in place of ``python -c``."""

LONGEST_LINE = 4_000_000
LONGEST_PARTS = 256_000_000
"""Bytes; what says more is out of order, and not listened to."""

STRIP_BYTES = 4_000_000
"""Bytes of pixels that are handed over at once: a few milliseconds of anybody's time."""


def tell(
    pipe: IO[bytes], words: Mapping[str, object], parts: Mapping[str, bytes] | None = None
) -> None:
    """Write a message."""
    parts = parts or {}
    lengths = {name: len(content) for name, content in parts.items()}
    pipe.write(json.dumps({**words, "parts": lengths}).encode() + b"\n")
    for content in parts.values():
        pipe.write(content)
    pipe.flush()


def hear(pipe: IO[bytes]) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Read a message: its words, and its parts.

    Raises
    ------
    EOFError
        If the other side has ended, or says what is no message.
    """
    line = pipe.readline(LONGEST_LINE)
    if not line.endswith(b"\n"):
        raise EOFError
    try:
        words = json.loads(line)
        lengths = dict(words.pop("parts"))
        if not 0 <= sum(lengths.values()) <= LONGEST_PARTS:
            raise EOFError
        parts = {name: pipe.read(length) for name, length in lengths.items()}
    except (ValueError, TypeError, KeyError, AttributeError):
        raise EOFError from None
    if any(len(parts[name]) != length for name, length in lengths.items()):
        raise EOFError
    return words, parts


def rows_of_strip(width: int, each: int) -> int:
    """Return how many rows are handed over at once, each pixel so many bytes long."""
    return max(1, STRIP_BYTES // max(1, width * each))
