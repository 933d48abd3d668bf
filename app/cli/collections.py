"""Commands about whole collections: checking, exporting, restoring."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from app.cli.reading import guide_of, now, store_of
from app.cli.writing import DONE, FAULTS, Command, print_json, print_line
from landmarks.sentences import say, text

if TYPE_CHECKING:
    from landmarks.identification import Guide
    from landmarks.outputs.inspection import Inspection
    from landmarks.storage import Store

FORMS = ("csv", "json")
MENDED = (
    "check.picture_moved",
    "check.differs",
    "store.fault_list",
    "store.fault_found",
)
"""Faults that ``--mend`` takes away."""

_SAID_EVERY = 100


def add_to(command: Command) -> None:
    """Add the commands about whole collections to the parser."""
    check_ = command("check", check)
    check_.add_argument(
        "collection", type=Path, metavar="COLLECTION", help=say("command.collection")
    )
    check_.add_argument(
        "--pictures",
        type=Path,
        metavar="FOLDER",
        action="append",
        default=[],
        help=say("command.check.pictures"),
    )
    check_.add_argument("--mend", action="store_true", help=say("command.check.mend"))
    export_ = command("export", export)
    export_.add_argument(
        "collection", type=Path, metavar="COLLECTION", help=say("command.collection")
    )
    export_.add_argument(
        "--to", choices=FORMS, required=True, help=say("command.export.to")
    )
    export_.add_argument("out", type=Path, metavar="OUT", help=say("command.export.out"))
    export_.add_argument(
        "--where",
        metavar="CONDITION",
        action="append",
        default=[],
        help=say("command.export.where"),
    )
    export_.add_argument(
        "--exact-places", action="store_true", help=say("command.export.exact_places")
    )
    export_.add_argument(
        "--without-history",
        action="store_true",
        help=say("command.export.without_history"),
    )
    for one in (check_, export_):
        one.add_argument(
            "--tables", type=Path, metavar="FOLDER", help=say("command.tables")
        )
    restore_ = command("restore", restore)
    restore_.add_argument(
        "folder", type=Path, metavar="FOLDER", help=say("command.restore.folder")
    )
    restore_.add_argument(
        "collection", type=Path, metavar="COLLECTION", help=say("command.restore.out")
    )


def check(choice: argparse.Namespace) -> int:
    """Check a collection: structure, references, pictures, everything derived."""
    from landmarks.outputs.inspection import inspect_collection

    guide = guide_of(choice.tables)
    with store_of(choice.collection, read_only=not choice.mend) as store:
        progress = _progress("command.check.progress")
        found = inspect_collection(store, guide, folders=choice.pictures, progress=progress)
        mended = _mended(store, guide, found) if choice.mend else 0
    left = [one for one in found.faults if not (choice.mend and one.key in MENDED)]
    said = [text(one) for one in (left if choice.json else found.faults)]
    notes = [text(one) for one in found.notes]
    if choice.json:
        print_json(
            {
                "specimens": found.n_specimens,
                "pictures": len(found.pictures),
                "faults": said,
                "notes": notes,
                "recomputed": found.n_recomputed,
                "stale": found.n_stale,
                "mended": mended,
                "files": [
                    {
                        "id": row.picture.id,
                        "path": row.picture.path,
                        "state": row.state,
                        "found": None if row.path is None else str(row.path),
                    }
                    for row in found.pictures
                ],
            }
        )
        return FAULTS if left else DONE
    for line in (*said, *notes):
        print_line(line)
    if mended:
        print_line(say("command.check.mended", n=mended))
    if not said:
        good = {"specimens": found.n_specimens, "pictures": len(found.pictures)}
        print_line(say("command.check.good", file=choice.collection.name, **good))
    return FAULTS if left else DONE


def export(choice: argparse.Namespace) -> int:
    """Write a collection as CSV tables or as a folder of plain JSON."""
    from landmarks.finding import parse_filter
    from landmarks.storage import Query
    from landmarks.summaries import find, today_of

    filters = tuple(parse_filter(one) for one in choice.where)
    guide = guide_of(choice.tables)
    progress = _progress("command.export.progress")
    with store_of(choice.collection) as store:
        chosen = None
        if filters:
            chosen = [
                row.specimen
                for row in find(store, today_of(store, guide), Query(filters=filters))
            ]
        if choice.to == "json":
            from landmarks.storage.folder import write_folder

            written = write_folder(
                store,
                choice.out,
                specimens=chosen,
                history=not choice.without_history,
                progress=progress,
            )
            rows = {
                "specimens": written.n_specimens,
                "pictures": written.n_pictures,
                "history": written.n_deeds,
            }
            notes = []
            if not written.n_deeds:
                notes.append(say("command.export.no_history"))
        else:
            from landmarks.outputs.spreadsheets import coarse_sentence, write_tables

            tables = write_tables(
                store,
                guide,
                choice.out,
                specimens=chosen,
                exact_places=choice.exact_places,
                progress=progress,
            )
            rows = dict(tables.n_rows)
            coarse = coarse_sentence(tables)
            notes = [] if coarse is None else [text(coarse)]
    folder = str(choice.out.resolve())
    if choice.json:
        print_json({"folder": folder, "rows": rows, "notes": notes})
        return DONE
    print_line(say("command.export.written", folder=folder, n=rows["specimens"]))
    for line in notes:
        print_line(line)
    return DONE


def restore(choice: argparse.Namespace) -> int:
    """Make a collection of a folder of plain JSON."""
    from landmarks.storage.folder import restore_folder

    progress = _progress("command.restore.progress")
    written = restore_folder(choice.folder, choice.collection, at=now(), progress=progress)
    rows = {
        "specimens": written.n_specimens,
        "pictures": written.n_pictures,
        "history": written.n_deeds,
    }
    file = str(choice.collection.resolve())
    if choice.json:
        print_json({"file": file, "rows": rows})
        return DONE
    print_line(say("command.restore.written", file=file, n=rows["specimens"]))
    if not written.n_deeds:
        print_line(say("command.restore.no_history"))
    return DONE


def _mended(store: Store, guide: Guide, found: Inspection) -> int:
    """Note where moved pictures are now, as one step, and derive what is stale or differs."""
    from uuid import uuid4

    from landmarks.changes import ChangeSet
    from landmarks.sentences import Sentence
    from landmarks.storage import Conflict
    from landmarks.storage.moved import path_changes
    from landmarks.summaries import renew_summaries, today_of

    changes = path_changes(found.pictures, store.path or Path())
    if changes:
        words = Sentence("deed.note_moved_pictures", {"n": len(changes)})
        answer = store.commit(ChangeSet(str(uuid4()), words, changes, at=now()))
        if isinstance(answer, Conflict):
            raise answer.error()
    n_listed = sum(
        one.key in ("store.fault_list", "store.fault_found") for one in found.faults
    )
    if n_listed:
        store.relist()
    today = today_of(store, guide)
    for start in range(0, len(found.to_renew), _SAID_EVERY):
        renew_summaries(store, today, found.to_renew[start : start + _SAID_EVERY])
    return len(changes) + len(found.to_renew) + n_listed


def _progress(key: str) -> Callable[[int, int], None]:
    """Return what says now and then, to somebody who looks on, how far the work is."""
    if not sys.stderr.isatty():
        return lambda done, total: None

    def said(done: int, total: int) -> None:
        if done == total or done % _SAID_EVERY == 0:
            end = "\n" if done == total else "\r"
            print_line(say(key, done=done, total=total), fault=True, end=end)

    return said
