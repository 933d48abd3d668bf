"""The command that takes pictures in: found, read, sorted into animals, labelled, saved."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import uuid4

from app.cli.reading import now, pictures_of
from app.cli.writing import DONE, FAULTS, Command, print_json, print_line
from landmarks.errors import StoreError
from landmarks.sentences import Sentence, say, text

if TYPE_CHECKING:
    from landmarks.collection import Picture
    from landmarks.intake import Again, Found, Intake, Joined, Proposal, Recognised, Refused
    from landmarks.intake.labels import LabelTable
    from landmarks.specimen import Specimen
    from landmarks.storage import Store

GROUPINGS = ("time", "name", "csv", "none")


@dataclass(frozen=True, slots=True)
class _Read:
    """All that was read before anything is written."""

    recognised: Recognised
    refused: tuple[Refused, ...]
    proposal: Proposal
    intake: Intake
    joined: Joined | None
    table: LabelTable | None

    @property
    def specimens(self) -> tuple[Specimen, ...]:
        """Return the new specimens, with what the label table says of them."""
        labelled = {one.id: one for one in self.joined.specimens} if self.joined else {}
        return tuple(labelled.get(one.id, one) for one in self.intake.specimens)


def add_to(command: Command) -> None:
    """Add the command to the command line."""
    one = command("import", take_in)
    one.add_argument(
        "collection", type=Path, metavar="COLLECTION", help=say("command.import.collection")
    )
    one.add_argument(
        "paths", type=Path, nargs="+", metavar="PATH", help=say("command.import.paths")
    )
    one.add_argument(
        "--group", choices=GROUPINGS, default="none", help=say("command.import.group")
    )
    one.add_argument("--gap", type=float, metavar="SECONDS", help=say("command.import.gap"))
    one.add_argument(
        "--labels", type=Path, metavar="FILE.csv", help=say("command.import.labels")
    )
    one.add_argument("--view", default="", metavar="VIEW", help=say("command.import.view"))
    one.add_argument("--again", action="store_true", help=say("command.import.again"))
    one.add_argument("--dry-run", action="store_true", help=say("command.import.dry_run"))


def take_in(choice: argparse.Namespace) -> int:
    """Take pictures in, making the collection if it is not there."""
    from landmarks.intake import check_joins, read_label_table
    from landmarks.scheme import view

    if choice.group == "csv" and choice.labels is None:
        raise StoreError("command.import.needs_labels")
    if choice.view:
        view(choice.view)
    table = read_label_table(choice.labels) if choice.labels is not None else None
    if table is not None:
        check_joins(table)
    created = not choice.collection.exists()
    if created and choice.dry_run:
        read = _read(choice, table, ())
    else:
        # A call without any picture leaves no empty collection behind.
        if created:
            read = _read(choice, table, ())
            if not read.intake.deed.changes:
                return _say(choice, read, created=False)
        store = _opened(choice.collection, create=created, read_only=choice.dry_run)
        try:
            if not created:
                read = _read(choice, table, pictures_of(store))
            if not choice.dry_run:
                _save(store, read)
        finally:
            store.close()
    return _say(choice, read, created=created)


# -- reading and saving ----------------------------------------------------------------------


def _opened(path: Path, *, create: bool, read_only: bool) -> Store:
    from landmarks.storage import open_sqlite

    if read_only:
        return open_sqlite(path, read_only=True)
    return open_sqlite(path, create=create)


def _read(
    choice: argparse.Namespace, table: LabelTable | None, known: Sequence[Picture]
) -> _Read:
    """Read all files and decide what becomes of them; nothing is written."""
    from landmarks import intake

    folder = choice.collection.resolve().parent
    found, refused = intake.read_all(intake.files_in(choice.paths))
    recognised = intake.recognise(
        found,
        known,
        exists=lambda one: (folder / one.path).exists(),
        path_of=lambda path: intake.path_within(path, folder),
    )
    proposal = _proposed(choice, table, _to_group(recognised, again=choice.again))
    made = intake.take_in(
        recognised,
        proposal,
        new_id=lambda: str(uuid4()),
        path_of=lambda path: intake.path_within(path, folder),
        view=choice.view,
        again=choice.again,
    )
    joined = None
    if table is not None:
        pictures = {one.id: one for one in (*known, *made.pictures)}
        matching = intake.match_columns(table.header)
        joined = intake.join_labels(table, matching, made.specimens, pictures)
    return _Read(recognised, refused, proposal, made, joined, table)


def _to_group(recognised: Recognised, *, again: bool) -> list[Found]:
    more = [one.found for one in recognised.again] if again else []
    return [*recognised.new, *more]


def _proposed(
    choice: argparse.Namespace, table: LabelTable | None, found: Iterable[Found]
) -> Proposal:
    from landmarks import intake

    shots = intake.shots_of(found)
    if choice.group == "time":
        return intake.by_time(shots, choice.gap)
    if choice.group == "name":
        return intake.by_name(shots)
    if choice.group == "csv" and table is not None:
        matching = intake.match_columns(table.header)
        return intake.by_labels(shots, intake.numbers_of_files(table, matching))
    return intake.each_alone(shots)


def _save(store: Store, read: _Read) -> None:
    """Save pictures, specimens and labels as one change set."""
    from landmarks.intake.deeds import picture_changes, specimen_changes
    from landmarks.storage import Conflict

    before = {after.id: was for was, after in read.recognised.moved}
    changes = [
        change
        for one in read.intake.pictures
        for change in picture_changes(before.get(one.id), one)
    ]
    changes.extend(
        change for one in read.specimens for change in specimen_changes(None, one)
    )
    if not changes:
        return
    deed = replace(read.intake.deed, changes=tuple(changes))
    answer = store.commit(deed.change_set(id=str(uuid4()), at=now()))
    if isinstance(answer, Conflict):
        raise answer.error()


# -- saying ----------------------------------------------------------------------------------


def _say(choice: argparse.Namespace, read: _Read, *, created: bool) -> int:
    if choice.json:
        print_json(_json(choice, read, created=created))
    else:
        for line in _lines(choice, read, created=created):
            print_line(line)
    nothing = not read.recognised.new and not read.recognised.again
    return FAULTS if read.refused or nothing else DONE


def _lines(choice: argparse.Namespace, read: _Read, *, created: bool) -> Iterable[str]:
    from landmarks import intake

    name = choice.collection.name
    if created:
        yield say("command.import.created", file=name)
    n, specimens = _counts(read)
    key = "command.import.would" if choice.dry_run else "command.import.done"
    yield say(key, n=n, specimens=specimens, file=name)
    for one in _moved(read):
        yield say("command.import.moved", file=one.path)
    if choice.group != "none" and read.intake.specimens:
        yield text(read.proposal.why)
        names = {shot: Path(shot).name for shot in read.proposal.shots}
        for group in read.proposal.groups:
            head = f"  {group.number}: " if group.number else "  "
            yield f"{head}{', '.join(names[shot] for shot in group.shots)}"
    for again in read.recognised.again:
        yield text(again.sentence)
    for note in _notes(read):
        yield text(note)
    if (passed := intake.passed_over(choice.paths)) is not None:
        yield text(passed)
    for refused in read.refused:
        yield say("command.import.refused", why=refused.why)
    yield from _label_lines(read)
    if (untouched := _only_new(choice, read, created=created)) is not None:
        yield text(untouched)


def _label_lines(read: _Read) -> Iterable[str]:
    if read.joined is None or read.table is None:
        return
    matched, file = read.joined, read.table.file
    yield say("command.import.labelled", n=len(matched.matched), file=file)
    left_out = _left_out(read.table)
    if left_out:
        yield say("command.import.left_out", columns=left_out)
    for rows, key in (
        (matched.rows_alone, "command.import.rows_alone"),
        (matched.ambiguous, "command.import.rows_ambiguous"),
    ):
        if rows:
            lines = ", ".join(str(read.table.lines[row]) for row in rows)
            yield say(key, n=len(rows), lines=lines, file=file)
    if matched.specimens_alone:
        yield say(
            "command.import.specimens_alone", n=len(matched.specimens_alone), file=file
        )


def _only_new(choice: argparse.Namespace, read: _Read, *, created: bool) -> Sentence | None:
    """Return that a table was joined to new specimens only, where rows may be of others."""
    there = not created and choice.collection.exists()
    if read.joined is None or read.table is None or not (there and read.joined.rows_alone):
        return None
    values = {"collection": choice.collection.name, "file": read.table.file}
    return Sentence("command.import.only_new", values)


def _left_out(table: LabelTable) -> tuple[str, ...]:
    """Return the columns that are no entry of a label; the label word for word has them."""
    from landmarks.intake import match_columns

    return match_columns(table.header).left_out


def _json(choice: argparse.Namespace, read: _Read, *, created: bool) -> dict[str, Any]:
    from landmarks import intake

    n, _ = _counts(read)
    untouched = _only_new(choice, read, created=created)
    more = filter(None, (intake.passed_over(choice.paths), untouched))
    raw: dict[str, Any] = {
        "collection": str(choice.collection),
        "created": created and not choice.dry_run,
        "dry_run": choice.dry_run,
        "pictures": n,
        "moved": [one.path for one in _moved(read)],
        "there_already": [_again_json(one) for one in read.recognised.again],
        "refused": [{"file": str(one.path), "text": text(one.why)} for one in read.refused],
        "notes": [text(note) for note in (*_notes(read), *more)],
        "group": {
            "by": choice.group,
            "gap_s": read.proposal.gap_s,
            "text": text(read.proposal.why),
        },
        "specimens": _specimens_json(read),
    }
    if read.joined is not None and read.table is not None:
        lines = read.table.lines
        raw["labels"] = {
            "file": read.table.file,
            "rows": len(read.table.rows),
            "matched": len(read.joined.matched),
            "lines_alone": [lines[row] for row in read.joined.rows_alone],
            "lines_ambiguous": [lines[row] for row in read.joined.ambiguous],
            "specimens_alone": list(read.joined.specimens_alone),
            "columns_left_out": list(_left_out(read.table)),
        }
    return raw


def _specimens_json(read: _Read) -> list[dict[str, Any]]:
    paths = {one.id: one.path for one in read.intake.pictures}
    paths |= {
        one.picture.id: one.picture.path
        for one in read.recognised.again
        if one.picture is not None
    }
    return [
        {
            "id": one.id,
            "catalogue_number": one.label.catalogue_number,
            "pictures": [paths[frame.picture] for frame in one.frames],
        }
        for one in read.specimens
    ]


def _again_json(one: Again) -> dict[str, str]:
    there = one.picture.path if one.picture is not None else ""
    return {"file": str(one.found.path), "there": there, "text": text(one.sentence)}


def _counts(read: _Read) -> tuple[int, int]:
    new = len(read.intake.pictures) - len(read.recognised.moved)
    return new, len(read.intake.specimens)


def _moved(read: _Read) -> tuple[Picture, ...]:
    return tuple(after for _, after in read.recognised.moved)


def _notes(read: _Read) -> list[Sentence]:
    notes = [note for one in read.recognised.new for note in one.notes]
    return [*notes, *(read.table.notes if read.table is not None else ())]
