"""Which pictures show one animal: proposals.

A proposal is a frozen list of groups, each with its reason and how sure it is. It comes from
the gaps between pictures, from file names, or from a label table. What a person makes of it
is in :mod:`landmarks.intake.by_hand`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise

from landmarks.collection import Picture
from landmarks.intake.clock import taken, taken_at
from landmarks.intake.naming import Naming, named_of
from landmarks.intake.reading import Found, natural
from landmarks.intake.spacing import Spacing, spacing_of, stood_still
from landmarks.sentences import Sentence

METHODS = ("time", "name", "csv", "none")
SURE, UNSURE = 1.0, 0.3
LARGEST_FOLDER = 24
"""Above so many pictures a folder is a dive rather than an animal: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Shot:
    """A picture as grouping sees it.

    Attributes
    ----------
    key
        What names it: the id of its picture, or its path.
    name, folder
        Of its file.
    seconds
        When it was taken, in seconds of the corrected camera clock, or None.
    camera
        Two cameras have two clocks: gaps are looked at within one.
    """

    key: str
    name: str
    folder: str = ""
    seconds: float | None = None
    camera: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Pictures (keys, in order) that are proposed to show one animal.

    Attributes
    ----------
    id
        Names the group within its proposal.
    why
        The reason, for people.
    certainty
        0 to 1; 1 where a person decided.
    number
        The catalogue number that file names or labels give, or a person, or ``""``.
    given
        Whether a person gave the number: it stays with these pictures whatever is proposed.
    """

    id: int
    shots: tuple[str, ...]
    why: Sentence
    certainty: float
    number: str = ""
    given: bool = False


@dataclass(frozen=True, slots=True)
class Proposal:
    """All pictures, sorted into groups.

    ``method`` is one of :data:`METHODS`; ``why`` says how the borders were found;
    ``gap_s`` is the gap from which on a new group begins, where times were looked at;
    ``by_hand`` tells whether a person has changed anything of it, and ``left_out`` which
    pictures a person does not want: they are in none of its groups.
    """

    groups: tuple[Group, ...]
    method: str
    why: Sentence
    gap_s: float | None = None
    by_hand: bool = False
    left_out: frozenset[str] = frozenset()

    def group(self, group_id: int) -> Group:
        """Return a group; ``KeyError`` where there is none."""
        return next(one for one in self.groups if one.id == group_id)

    def group_of(self, shot: str) -> Group | None:
        """Return the group of a picture, or None."""
        return next((one for one in self.groups if shot in one.shots), None)

    @property
    def shots(self) -> tuple[str, ...]:
        """Return all pictures, group by group."""
        return tuple(shot for one in self.groups for shot in one.shots)


def shots_of(found: Iterable[Found]) -> tuple[Shot, ...]:
    """Return files as grouping sees them, named by their paths."""
    shots = []
    for one in found:
        when = taken(one.file)
        seconds = None if when is None else (when.local - _BEGINNING).total_seconds()
        path = one.path
        shots.append(Shot(str(path), path.name, str(path.parent), seconds, one.file.camera))
    return tuple(shots)


def shots_of_pictures(pictures: Iterable[Picture]) -> tuple[Shot, ...]:
    """Return pictures of the collection as grouping sees them, their clocks corrected."""
    shots: list[Shot] = []
    for one in pictures:
        when = taken_at(one)
        seconds = None if when is None else (when.local - _BEGINNING).total_seconds()
        folder, _, name = one.path.replace("\\", "/").rpartition("/")
        shots.append(Shot(one.id, name, folder, seconds, one.file.camera))
    return tuple(shots)


# -- proposals -------------------------------------------------------------------------------


def each_alone(shots: Sequence[Shot]) -> Proposal:
    """Propose one animal for each picture."""
    why = Sentence("intake.why_alone")
    groups = tuple(Group(i, (one.key,), why, SURE) for i, one in enumerate(shots))
    return Proposal(groups, "none", why)


def by_time(shots: Sequence[Shot], gap_s: float | None = None) -> Proposal:
    """Propose a new animal wherever more than ``gap_s`` passed between two pictures.

    Parameters
    ----------
    gap_s
        Seconds; None lets the gaps speak (:func:`landmarks.intake.spacing.spacing_of`).

    Notes
    -----
    Pictures without a time stand alone at the end. Pictures of several cameras are looked
    at camera by camera.
    """
    timed = [one for one in shots if one.seconds is not None]
    rows: dict[str, list[Shot]] = {}
    for one in sorted(timed, key=_by_time):
        rows.setdefault(one.camera, []).append(one)
    gaps = [
        gap for row in rows.values() for gap in _gaps([one.seconds or 0.0 for one in row])
    ]
    spacing = spacing_of(gaps, gap_s)
    groups: list[Group] = []
    for row in rows.values():
        groups.extend(_runs(row, spacing, len(groups)))
    order = {one.key: one.seconds or 0.0 for one in timed}
    groups.sort(key=lambda group: order[group.shots[0]])
    alone = Sentence("intake.why_no_time")
    for one in shots:
        if one.seconds is None:
            groups.append(Group(0, (one.key,), alone, UNSURE))
    return Proposal(numbered(groups), "time", spacing.why, spacing.gap_s)


def by_name(shots: Sequence[Shot]) -> Proposal:
    """Propose one animal for files whose names differ only in a trailing counter or letter.

    Where names say nothing - a camera gave them all - small folders are taken for animals.
    """
    names = {one.key: named_of(one.name) for one in shots}
    stems: dict[tuple[str, str], list[Shot]] = {}
    for one in shots:
        stems.setdefault((one.folder, names[one.key].stem.casefold()), []).append(one)
    folders: dict[str, list[Shot]] = {}
    for one in shots:
        folders.setdefault(one.folder, []).append(one)
    speechless = all(one.by_camera and not one.tail for one in names.values())
    small = all(len(row) <= LARGEST_FOLDER for row in folders.values())
    if speechless and len(folders) > 1 and small:
        groups = [_of_folder(folder, row) for folder, row in folders.items()]
        return Proposal(numbered(groups), "name", Sentence("intake.how_folders"))
    groups = [_of_stem(names[row[0].key], row, names) for row in stems.values()]
    return Proposal(numbered(groups), "name", Sentence("intake.how_names"))


def by_labels(shots: Sequence[Shot], numbers: Mapping[str, str]) -> Proposal:
    """Propose one animal for each number that a label table gives to file names.

    Parameters
    ----------
    numbers
        File name or its stem (any case) -> number, as
        :func:`landmarks.intake.joining.numbers_of_files` reads them. Files the table does
        not name are looked at by their own names: whose stem is a number of the table goes
        there, the rest stands alone.
    """
    told = {name.casefold(): number for name, number in numbers.items()}
    known = {_plain(number): number for number in told.values() if number}
    rows: dict[str, list[str]] = {}
    groups: list[Group] = []
    reasons: dict[str, tuple[Sentence, float]] = {}
    for one in shots:
        name, stem = one.name.casefold(), one.name.rpartition(".")[0].casefold()
        number = told.get(name) or told.get(stem) or ""
        reason = Sentence("intake.why_label", {"number": number}), SURE
        if not number:
            number = known.get(_plain(named_of(one.name).stem), "")
            reason = Sentence("intake.why_name_is_number", {"number": number}), 0.9
        if number:
            rows.setdefault(number, []).append(one.key)
            reasons.setdefault(number, reason)
        else:
            groups.append(Group(0, (one.key,), Sentence("intake.why_no_label"), UNSURE))
    made = [
        Group(0, tuple(keys), *reasons[number], number) for number, keys in rows.items()
    ]
    return Proposal(numbered([*made, *groups]), "csv", Sentence("intake.how_labels"))


def numbered(groups: Iterable[Group]) -> tuple[Group, ...]:
    """Return groups with ids in their order."""
    return tuple(replace(one, id=i) for i, one in enumerate(groups))


# -- helpers ---------------------------------------------------------------------------------


def _gaps(seconds: Sequence[float]) -> list[float]:
    return [later - earlier for earlier, later in pairwise(seconds)]


def _runs(row: Sequence[Shot], spacing: Spacing, first: int) -> list[Group]:
    """Return the groups of one camera's pictures, cut at the gaps above the threshold."""
    gaps = _gaps([one.seconds or 0.0 for one in row])
    cuts = [0, *(i for i, gap in enumerate(gaps, 1) if gap > spacing.gap_s), len(row)]
    groups: list[Group] = []
    for start, end in pairwise(cuts):
        inside = gaps[start : end - 1]
        borders = [gaps[i - 1] for i in (start, end) if 0 < i < len(row)]
        values = {"n": end - start, "gap": max(inside, default=0.0)}
        key = "intake.why_close" if inside else "intake.why_apart"
        key = "intake.why_one_time" if stood_still(inside) else key
        keys = tuple(one.key for one in row[start:end])
        certainty = spacing.certainty(inside, borders)
        groups.append(Group(first + len(groups), keys, Sentence(key, values), certainty))
    return groups


def _of_stem(named: Naming, row: Sequence[Shot], names: Mapping[str, Naming]) -> Group:
    keys = tuple(one.key for one in sorted(row, key=lambda one: natural(one.name)))
    # A number has figures in it; a name without any is none.
    numbered = any(sign.isdigit() for sign in named.stem) and not named.by_camera
    number = named.stem if numbered else ""
    if len(row) == 1:
        return Group(0, keys, Sentence("intake.why_own_name"), 0.6, number)
    sure = min(names[one.key].certainty for one in row)
    return Group(0, keys, Sentence("intake.why_stem", {"stem": named.stem}), sure, number)


def _of_folder(folder: str, row: Sequence[Shot]) -> Group:
    name = folder.replace("\\", "/").rstrip("/").rpartition("/")[2]
    keys = tuple(one.key for one in sorted(row, key=lambda one: natural(one.name)))
    return Group(0, keys, Sentence("intake.why_folder", {"folder": name}), 0.7)


def _by_time(shot: Shot) -> tuple[float, object]:
    return shot.seconds or 0.0, natural(shot.name)


def _plain(number: str) -> str:
    return "".join(sign for sign in number.casefold() if sign.isalnum())


_BEGINNING = datetime(1970, 1, 1)
