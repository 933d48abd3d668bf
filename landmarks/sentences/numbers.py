"""Numbers as people write them: rounded to their doubt, a true minus, a space before units."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import floor, isfinite, isnan, log10

MINUS = "\N{MINUS SIGN}"


@dataclass(frozen=True, slots=True)
class Number:
    """A number to be said: its standard uncertainty and unit decide how it is written.

    Attributes
    ----------
    value, sigma
        In ``unit``; ``sigma`` is one standard uncertainty, or None where there is none.
    unit
        ``"mm"``, ``"px"``, ``"°"``, ``"%"`` or ``""``.
    at_least
        One-sided: the true value is this or more.
    """

    value: float
    sigma: float | None = None
    unit: str = ""
    at_least: bool = False


def number(one: Number) -> str:
    """Return the number in words: ``144.8 ± 0.3 mm``.

    >>> number(Number(144.812, 0.31, "mm"))
    '144.8 ± 0.3 mm'
    >>> number(Number(-0.5))
    '−0.5'
    """
    head = "≥ " if one.at_least else ""
    unit = f" {one.unit}" if one.unit else ""
    if one.sigma is None or one.sigma == 0 or not isfinite(one.sigma):
        return head + plain(one.value) + unit
    places = decimals(one.sigma)
    return f"{head}{plain(one.value, places)} ± {plain(one.sigma, places)}{unit}"


def plain(value: float, places: int | None = None) -> str:
    """Return a number without doubt: at most four significant digits unless told.

    >>> plain(-0.04, 1), plain(float("-inf")), plain(float("nan"))
    ('0.0', '−∞', '?')
    """
    if not isfinite(value):
        return "?" if isnan(value) else "∞" if value > 0 else f"{MINUS}∞"
    if places is None:
        places = 0 if value == int(value) else max(0, 3 - _order(value))
        written = f"{value:.{places}f}"
        if "." in written:
            written = written.rstrip("0").rstrip(".")
    else:
        written = f"{round(value, places):.{max(places, 0)}f}"
    if float(written) == 0:
        written = written.removeprefix("-")
    return written.replace("-", MINUS)


def percent(share: float) -> str:
    """Return a probability in whole per cent; never 0, never 100.

    >>> percent(0.864), percent(0.004), percent(0.9971)
    ('86 %', '< 1 %', '> 99 %')
    """
    if share < 0.005:
        return "< 1 %"
    if share > 0.99:
        return "> 99 %"
    return f"{max(1, round(100 * share))} %"


def unbroken(words: str) -> str:
    """Return words in which no number is parted from its unit where a line is broken.

    Nor are dots that go on; a value may stand on one line and its doubt on the next.

    >>> unbroken("7.899 ± 0.016 px per mm, 5 marks").replace("\N{NO-BREAK SPACE}", "_")
    '7.899 ±_0.016_px per mm, 5 marks'
    """
    return _HELD.sub("\N{NO-BREAK SPACE}", words)


def decimals(sigma: float) -> int:
    """Return how many decimals a value with this doubt deserves.

    One significant digit of the doubt, two where that digit is 1 (common practice, no source).
    """
    order = _order(sigma)
    leading = sigma / 10**order
    return max(0, -order + (1 if leading < 1.95 else 0))


_HELD = re.compile(
    r"(?<=[±≥<>]) (?=[\d∞?−])| (?=…)|(?<=[\d∞?]) (?=%|°|(?:mm|cm|m|px|MP|MB|GB|ms|s)\b)"
)


def _order(value: float) -> int:
    return floor(log10(abs(value))) if value else 0
