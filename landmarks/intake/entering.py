"""Labels entered by hand in a long row: the next number, what stays, and barcodes.

A barcode scanner of the keyboard kind types its code and presses Enter, faster than a person
can. Whether keys came from one is seen from their times alone. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from landmarks.specimen import Label

STICKY = ("locality", "collector", "collected", "depth", "habitat")
"""What a whole drawer or dive usually shares."""

FASTEST_HAND_MS = 35.0
"""Keys that follow each other faster on the whole are not typed by hand."""

LONGEST_PAUSE_MS = 120.0
"""No pause within one code is longer."""

SHORTEST_CODE = 3
ENDS = ("\r", "\n", "\t")
"""Keys that end a code: Enter, or Tab where the scanner is set so."""


def next_number(number: str) -> str:
    """Return the catalogue number after this one, in the same form.

    The last run of figures counts up and keeps its width; a letter after the figures counts
    up instead; a year after a stroke stays. Without figures the number stays as it is.

    >>> next_number("PM-1042"), next_number("PM-0999"), next_number("PM-1042a")
    ('PM-1043', 'PM-1000', 'PM-1042b')
    >>> next_number("1042/2024"), next_number("PM-9"), next_number("PM-7z")
    ('1043/2024', 'PM-10', 'PM-7aa')
    """
    lettered = re.fullmatch(r"(.*\d)([a-z]+|[A-Z]+)", number, re.ASCII)
    if lettered and len(lettered[2]) <= 2:
        return lettered[1] + _next_letters(lettered[2])
    runs = list(re.finditer(r"\d+", number, re.ASCII))
    if not runs:
        return number
    run = runs[-1]
    before = number[run.start() - 1 : run.start()]
    if (
        len(runs) > 1
        and before in ("/", ".")
        and re.fullmatch(r"(?:1[789]|20)\d\d", run[0])
    ):
        run = runs[-2]
    counted = str(int(run[0]) + 1).zfill(len(run[0]))
    return number[: run.start()] + counted + number[run.end() :]


def sticky(label: Label, fields: Collection[str] = STICKY, *, number: str = "") -> Label:
    """Return a label for the next specimen that keeps only these entries of the last one.

    ``fields`` may name entries kept under names of their own as well.
    """
    kept = {name: getattr(label, name) for name in _ENTRIES if name in fields}
    extra = {name: value for name, value in label.extra.items() if name in fields}
    made = Label(**kept, extra=extra)
    return replace(made, catalogue_number=number) if number else made


def scanned(keys: Sequence[tuple[str, float]]) -> str | None:
    """Return the code that a barcode scanner typed, or None where a person did.

    Parameters
    ----------
    keys
        Each sign with its moment in milliseconds, the ending key included.
    """
    if len(keys) <= SHORTEST_CODE or keys[-1][0] not in ENDS:
        return None
    signs = "".join(sign for sign, _ in keys[:-1])
    times = [at for _, at in keys]
    pauses = [later - earlier for earlier, later in pairwise(times)]
    if min(pauses) < 0 or max(pauses) > LONGEST_PAUSE_MS:
        return None
    if sum(pauses) / len(pauses) > FASTEST_HAND_MS:
        return None
    return signs.strip() if signs.strip() and signs.isprintable() else None


@dataclass(frozen=True, slots=True)
class Listening:
    """Keys heard so far, for a window that hears them one by one.

    A pause longer than any within a code begins anew, so that what was typed before a scan
    does not mix with it.
    """

    keys: tuple[tuple[str, float], ...] = ()

    def hear(self, sign: str, at_ms: float) -> tuple[Listening, str | None]:
        """Return what is heard now, and the code where this key ended one."""
        keys = self.keys
        if keys and not 0 <= at_ms - keys[-1][1] <= LONGEST_PAUSE_MS:
            keys = ()
        keys = (*keys, (sign, at_ms))
        if sign in ENDS:
            return Listening(), scanned(keys)
        return Listening(keys[-256:]), None


_ENTRIES = (
    "catalogue_number", "locality", "collector", "collected", "depth", "habitat", "verbatim",
    "remarks",
)  # fmt: skip


def _next_letters(letters: str) -> str:
    first, last = ("a", "z") if letters.islower() else ("A", "Z")
    kept, counting = list(letters), len(letters) - 1
    while counting >= 0 and kept[counting] == last:
        kept[counting] = first
        counting -= 1
    if counting < 0:
        return first + "".join(kept)
    kept[counting] = chr(ord(kept[counting]) + 1)
    return "".join(kept)
