"""From files and groups to pictures and specimens of the collection, as one deed.

A picture is known by its content. What the collection has already is never doubled silently
and never refused: it is told, and whoever wants it gets another frame on the picture that is
there. A picture that is no longer where it was and turns up here is given its new place.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from landmarks.changes import Change
from landmarks.collection import Picture
from landmarks.intake.deeds import Deed, picture_changes, specimen_changes
from landmarks.intake.grouping import Proposal
from landmarks.intake.reading import Found
from landmarks.scheme import view as view_of
from landmarks.sentences import Sentence
from landmarks.specimen import Frame, Label, Specimen

NewId = Callable[[], str]
NO_VIEWS: Mapping[str, str] = {}


@dataclass(frozen=True, slots=True)
class Again:
    """A file whose content is there already: in the collection, or earlier in this drop.

    ``picture`` is that of the collection, or None; ``first`` the earlier file, or None.
    """

    found: Found
    picture: Picture | None = None
    first: Found | None = None

    @property
    def sentence(self) -> Sentence:
        """Return what it is the same as, for people."""
        name = self.found.path.name
        if self.picture is not None:
            there = Path(self.picture.path).name
            return Sentence("intake.there_already", {"file": name, "there": there})
        there = self.first.path.name if self.first is not None else name
        return Sentence("intake.twice_in_drop", {"file": name, "there": there})


@dataclass(frozen=True, slots=True)
class Recognised:
    """Files sorted by whether the collection knows them.

    Attributes
    ----------
    new
        Contents that are not there, each once.
    again
        Contents that are there already, or stand twice among the files.
    moved
        Pictures of the collection that were gone and are found again, with their new path.
    """

    new: tuple[Found, ...]
    again: tuple[Again, ...] = ()
    moved: tuple[tuple[Picture, Picture], ...] = ()


@dataclass(frozen=True, slots=True)
class Intake:
    """What is to be taken in: nothing is written until its deed is done."""

    pictures: tuple[Picture, ...]
    specimens: tuple[Specimen, ...]
    deed: Deed


def recognise(
    found: Iterable[Found],
    known: Iterable[Picture],
    *,
    exists: Callable[[Picture], bool] = lambda _picture: True,
    path_of: Callable[[Path], str] = str,
) -> Recognised:
    """Sort files by whether their content is in the collection.

    Parameters
    ----------
    known
        Pictures of the collection; those of other contents do not matter.
    exists
        Whether the file of a picture is where it was.
    path_of
        How the collection names a file: see :func:`path_within`.
    """
    there = {one.file.sha256: one for one in known}
    first: dict[str, Found] = {}
    again: list[Again] = []
    moved: dict[str, tuple[Picture, Picture]] = {}
    for one in found:
        digest = one.file.sha256
        picture = there.get(digest)
        if picture is not None:
            again.append(Again(one, picture=picture))
            if picture.id not in moved and not exists(picture):
                after = replace(picture, path=path_of(one.path))
                moved[picture.id] = (picture, after)
        elif digest in first:
            again.append(Again(one, first=first[digest]))
        else:
            first[digest] = one
    return Recognised(tuple(first.values()), tuple(again), tuple(moved.values()))


@dataclass(frozen=True, slots=True)
class Recorded:
    """The pictures that files are in the collection.

    Attributes
    ----------
    of_path
        Path of a file -> its picture.
    pictures
        Those that are new, and those that are found again at another place.
    changes
        What adds the new ones and moves the others.
    """

    of_path: Mapping[str, Picture]
    pictures: tuple[Picture, ...]
    changes: tuple[Change, ...]


def record(
    recognised: Recognised,
    *,
    new_id: NewId,
    path_of: Callable[[Path], str] = str,
    named: Collection[str] | None = None,
    again: bool = True,
) -> Recorded:
    """Return the pictures that files are in the collection, and what makes them so.

    Parameters
    ----------
    named
        The paths of new files that count; without it, all do.
    again
        Whether contents that are there already count as well.
    """
    of_path: dict[str, Picture] = {}
    of_content: dict[str, Picture] = {}
    pictures: list[Picture] = []
    changes: list[Change] = []
    for one in recognised.new:
        if named is None or str(one.path) in named:
            picture = Picture(new_id(), path_of(one.path), one.file, rights=one.rights)
            pictures.append(picture)
            changes.extend(picture_changes(None, picture))
            of_path[str(one.path)] = of_content[one.file.sha256] = picture
    moved = {before.id: after for before, after in recognised.moved}
    for before, after in recognised.moved:
        pictures.append(after)
        changes.extend(picture_changes(before, after))
    for other in recognised.again if again else ():
        known = other.picture or of_content.get(other.found.file.sha256)
        if known is not None:
            of_path[str(other.found.path)] = moved.get(known.id, known)
    return Recorded(of_path, tuple(pictures), tuple(changes))


def take_in(
    recognised: Recognised,
    proposal: Proposal,
    *,
    new_id: NewId,
    path_of: Callable[[Path], str] = str,
    view: str = "",
    views: Mapping[str, str] = NO_VIEWS,
    again: bool = False,
) -> Intake:
    """Return pictures and specimens that a proposal makes of files, and the deed.

    Parameters
    ----------
    proposal
        Groups of the paths of files (as :func:`landmarks.intake.grouping.shots_of` names
        them). Files that it does not name are not taken in.
    new_id
        Where ids of pictures, specimens and frames come from.
    view
        The view of every frame, or ``""`` for one to be given later.
    views
        Path of a file -> the view of its frame, where that is another one.
    again
        Whether contents that are there already get another frame on their picture.

    Raises
    ------
    UnknownWordError
        If there is no such view.
    """
    for one_view in {view, *views.values()} - {""}:
        view_of(one_view)
    made = record(
        recognised, new_id=new_id, path_of=path_of, named=set(proposal.shots), again=again
    )
    specimens = specimens_of(proposal, made.of_path, new_id=new_id, view=view, views=views)
    changes = list(made.changes)
    for specimen in specimens:
        changes.extend(specimen_changes(None, specimen))
    n_new = len(made.pictures) - len(recognised.moved)
    values = {"n": n_new, "specimens": len(specimens)}
    deed = Deed(Sentence("deed.take_in", values), tuple(changes))
    return Intake(made.pictures, specimens, deed)


def specimens_of(
    proposal: Proposal,
    pictures: Mapping[str, Picture],
    *,
    new_id: NewId,
    view: str = "",
    views: Mapping[str, str] = NO_VIEWS,
) -> tuple[Specimen, ...]:
    """Return one specimen for each group, with a frame for each of its pictures.

    Parameters
    ----------
    pictures
        What names a picture in the proposal -> the picture. Names that are not here are
        left out, and so is a group of which nothing is left.
    """
    made = []
    for group in proposal.groups:
        shown = [(shot, pictures[shot]) for shot in group.shots if shot in pictures]
        if shown:
            frames = tuple(
                Frame(new_id(), one.id, views.get(shot, view), number=i)
                for i, (shot, one) in enumerate(shown)
            )
            label = Label(catalogue_number=group.number)
            made.append(Specimen(new_id(), label=label, frames=frames))
    return tuple(made)


def path_within(path: Path, folder: Path) -> str:
    """Return how a collection in ``folder`` names a file: relative where it lies within."""
    try:
        return path.resolve().relative_to(folder.resolve()).as_posix()
    except ValueError:
        return str(path.resolve())
