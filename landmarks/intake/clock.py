"""When a picture was taken: the time in the file, beside it the correction, and what it makes.

The time in a file is never overwritten. A whole dive is corrected at once: the camera's clock
was off by so much, and the time so corrected is that of a zone. Zones are offsets from UTC;
without one the moment in UTC is not known, and is said to be.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from landmarks.changes import Change
from landmarks.collection import Clock, Picture
from landmarks.errors import UnknownWordError
from landmarks.intake.deeds import Deed, picture_changes
from landmarks.picture import PictureFile
from landmarks.sentences import Sentence

MAX_OFFSET_MIN = 14 * 60
"""No place is farther from UTC than Kiribati, at +14:00 (IANA time zones, from memory)."""

MAX_SHIFT_S = 200 * 366 * 86400.0
"""A clock is never off by more: two centuries."""

REST_S = 45 * 60.0
"""A camera that rested longer was out of the water in between: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Taken:
    """When a picture was taken.

    Attributes
    ----------
    local
        Corrected time as clocks at the place showed it, without zone.
    zone
        Its offset from UTC, ``"+11:00"``, or ``""``: zone unknown.
    utc
        The moment, or None where the zone is unknown.
    as_in_file
        The time exactly as in the file.
    corrected
        Whether a correction of the clock or the zone went in.
    """

    local: datetime
    zone: str
    utc: datetime | None
    as_in_file: str
    corrected: bool

    @property
    def sentence(self) -> Sentence:
        """Return the time for people, with its zone or that it is unknown."""
        time = self.local.isoformat(sep=" ", timespec="seconds")
        key = "intake.taken_in_zone" if self.zone else "intake.taken_zone_unknown"
        return Sentence(key, {"time": time, "zone": self.zone})


def taken_at(picture: Picture) -> Taken | None:
    """Return when a picture was taken, corrected; None where the file tells no time."""
    return taken(picture.file, picture.clock)


def taken(file: PictureFile, clock: Clock | None = None) -> Taken | None:
    """Return when the picture of a file was taken; None where it tells no time."""
    clock = clock or Clock()
    told = camera_time(file.captured)
    if told is None:
        return None
    offset = offset_of(clock.zone)
    if offset is None:
        offset = offset_of(file.zone)
    try:
        local = told + timedelta(seconds=clock.add_s)
        utc = None if offset is None else (local - offset).replace(tzinfo=UTC)
    except OverflowError:
        return None
    zone = "" if offset is None else zone_words(offset)
    corrected = bool(clock.add_s or clock.zone)
    return Taken(local, zone, utc, file.captured, corrected)


def camera_time(captured: str) -> datetime | None:
    """Return what the camera's clock showed, without zone, or None.

    >>> camera_time("2024:03:12 10:41:07").isoformat()
    '2024-03-12T10:41:07'
    >>> camera_time("2024-03-12T10:41:07+11:00").isoformat()
    '2024-03-12T10:41:07'
    """
    found = _TIME.match(captured.strip())
    if found is None:
        return None
    year, month, day, hour, minute, second = (int(part or 0) for part in found.groups())
    try:
        return datetime(year, month, day, hour, minute, second)
    except ValueError:
        return None


def dive_of(here: Picture, pictures: Iterable[Picture]) -> tuple[Picture, ...]:
    """Return what one camera took on the dive of a picture, in the order of its clock.

    A dive ends where the camera rested longer than :data:`REST_S`. The time in the files is
    looked at, so that a correction does not take a dive apart. A picture without a time is
    a dive of its own.
    """
    at = camera_time(here.file.captured)
    if at is None:
        return (here,)
    known = {one.id: one for one in pictures if one.file.camera == here.file.camera}
    known[here.id] = here
    row = sorted(
        (when, one.id)
        for one in known.values()
        if (when := camera_time(one.file.captured)) is not None
    )
    middle = row.index((at, here.id))
    first = last = middle
    rest = timedelta(seconds=REST_S)
    while first > 0 and row[first][0] - row[first - 1][0] <= rest:
        first -= 1
    while last < len(row) - 1 and row[last + 1][0] - row[last][0] <= rest:
        last += 1
    return tuple(known[one] for _, one in row[first : last + 1])


def correct_clock(
    pictures: Iterable[Picture], *, add_s: float | None = None, zone: str | None = None
) -> Deed:
    """Correct the camera's clock, the zone, or both, for many pictures at once.

    Parameters
    ----------
    add_s
        Seconds to add to the time in the files; 0 takes a correction back, None leaves it.
    zone
        True offset of the time so corrected, as :func:`read_zone` takes it; ``""`` takes it
        back, None leaves it.

    Raises
    ------
    UnknownWordError
        If the zone is none, or the shift is beyond two centuries.
    """
    if zone:
        zone = read_zone(zone)
    if add_s is not None and not abs(add_s) <= MAX_SHIFT_S:
        raise UnknownWordError("intake.not_a_shift", found=str(add_s))
    changes: list[Change] = []
    n = 0
    for one in pictures:
        clock = one.clock
        if add_s is not None:
            clock = replace(clock, add_s=float(add_s))
        if zone is not None:
            clock = replace(clock, zone=zone)
        if clock != one.clock:
            changes.extend(picture_changes(one, replace(one, clock=clock)))
            n += 1
    return Deed(Sentence("deed.correct_clock", {"n": n}), tuple(changes))


def shift_between(shown: str, true: str) -> float:
    """Return the seconds to add, from what the camera said and what a good clock said.

    Both as date and time, or both as a time of one day, ``10:41:07``.

    >>> shift_between("10:41:07", "10:43:00"), shift_between("23:59:00", "00:01:00")
    (113.0, 120.0)

    Raises
    ------
    UnknownWordError
        If one of them is no time of a day.
    """
    moments = [camera_time(words) for words in (shown, true)]
    if moments[0] is not None and moments[1] is not None:
        return (moments[1] - moments[0]).total_seconds()
    seconds = _second_of_day(true) - _second_of_day(shown)
    # Of two times of day the shorter way round midnight is meant.
    return (seconds + 43200.0) % 86400.0 - 43200.0


def _second_of_day(words: str) -> float:
    try:
        seconds = read_shift(words)
    except UnknownWordError:
        seconds = -1.0
    if ":" not in words or not 0 <= seconds < 86400:
        raise UnknownWordError("intake.not_a_time", found=words)
    return seconds


def read_shift(words: str) -> float:
    """Return seconds of ``h:m:s``, ``h:m`` or seconds alone, with a sign or without.

    >>> read_shift("-1:02:03"), read_shift("+10:00"), read_shift("90")
    (-3723.0, 36000.0, 90.0)

    Raises
    ------
    UnknownWordError
        If it is none of these.
    """
    found = _SHIFT.fullmatch(words.strip().replace("\N{MINUS SIGN}", "-"))
    if found is None:
        raise UnknownWordError("intake.not_a_shift", found=words)
    sign, body = found.groups()
    parts = [float(part) for part in body.split(":")]
    if len(parts) == 1:
        value = parts[0]
    else:
        hours, minutes, seconds = (*parts, 0.0)[:3]
        value = hours * 3600 + minutes * 60 + seconds
    if value > MAX_SHIFT_S:
        raise UnknownWordError("intake.not_a_shift", found=words)
    return -value if sign == "-" and value else value


def read_zone(words: str) -> str:
    """Return an offset in its one form, from ``+11``, ``+11:00``, ``+1100``, ``UTC-3``, ``Z``.

    >>> read_zone("+11"), read_zone("utc-3:30"), read_zone("Z")
    ('+11:00', '-03:30', '+00:00')

    Raises
    ------
    UnknownWordError
        If it is no offset between -14:00 and +14:00.
    """
    offset = offset_of(words)
    if offset is None:
        raise UnknownWordError("intake.not_a_zone", found=words)
    return zone_words(offset)


def offset_of(words: str) -> timedelta | None:
    """Return an offset from UTC, or None where the words are none."""
    tidy = words.strip().upper().replace("\N{MINUS SIGN}", "-")
    found = _ZONE.fullmatch(tidy)
    if found is None:
        return timedelta(0) if tidy in ("Z", "UTC", "GMT") else None
    sign, hours, minutes = found.groups()
    total = int(hours) * 60 + int(minutes or 0)
    if total > MAX_OFFSET_MIN or int(minutes or 0) > 59:
        return None
    return timedelta(minutes=-total if sign == "-" else total)


def zone_words(offset: timedelta) -> str:
    """Return an offset as ``+11:00``."""
    minutes = round(offset.total_seconds() / 60)
    sign = "-" if minutes < 0 else "+"
    return f"{sign}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


_TIME = re.compile(r"(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d):(\d\d)(?::(\d\d))?", re.ASCII)
_ZONE = re.compile(r"(?:UTC|GMT)?([+-])(\d{1,2}):?(\d\d)?", re.ASCII)
_SHIFT = re.compile(r"([+-]?)(\d+(?:\.\d+)?|\d+:\d{1,2}(?::\d{1,2}(?:\.\d+)?)?)", re.ASCII)
