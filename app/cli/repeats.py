"""The command about repeats: how well measures and scores come again."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from app.cli.reading import guide_of, opened
from app.cli.writing import DONE, Command, print_json, print_line
from landmarks.errors import UnknownWordError
from landmarks.repeats import BLIND, SECOND
from landmarks.sentences import say, text

if TYPE_CHECKING:
    from landmarks.collection import Person
    from landmarks.outputs.agreement import Report
    from landmarks.repeats import Repeated, Rescored


def add_to(command: Command) -> None:
    """Add the command to the parser."""
    one = command("repeats", repeats)
    one.add_argument(
        "collection", type=Path, metavar="COLLECTION", help=say("command.collection")
    )
    one.add_argument(
        "--occasion",
        choices=(BLIND, SECOND),
        default=BLIND,
        help=say("command.repeats.occasion"),
    )
    one.add_argument("--person", default="", help=say("command.repeats.person"))
    one.add_argument("--tables", type=Path, metavar="FOLDER", help=say("command.tables"))


def repeats(choice: argparse.Namespace) -> int:
    """Print the agreement of the repeats in a collection."""
    from landmarks.outputs.agreement import agreement_json, agreement_report

    characters = guide_of(choice.tables).tables.characters
    with opened(choice.collection) as (specimens, pictures, store):
        person = _person(store.people(), choice.person) if choice.person else None
        n = sum(any(p.occasion == choice.occasion for p in one.placings)
                or any(o.occasion == choice.occasion for o in one.observations)
                for one in specimens)  # fmt: skip
    report = agreement_report(specimens, pictures, characters, choice.occasion, person)
    if choice.json:
        print_json(agreement_json(report))
        return DONE
    if not report.measures and not report.characters:
        print_line(say("agreement.none"))
        return DONE
    print_line(say("agreement.of", n=n, all=len(specimens)))
    _print_rows(report, report.measures, "command.repeats.measures")
    _print_rows(report, report.characters, "command.repeats.characters")
    _print_own(report)
    return DONE


def _print_rows(report: Report, rows: Sequence[Repeated | Rescored], title: str) -> None:
    from landmarks.outputs.agreement import COLUMNS, cells_of, name_of, untold_of

    if not rows:
        return
    heads = {key: say(f"agreement.column.{key}") for key in COLUMNS}
    table = [cells_of(report, row) for row in rows]
    dash = say("agreement.untold")
    used = [key for key in COLUMNS if any(cells[key] != dash for cells in table)]
    if rows is report.characters:
        heads["tem"] = ""
    wide = {key: max(len(heads[key]), *(len(c[key]) for c in table)) for key in used}
    first = max(len(name_of(report, row)) for row in rows)
    print_line()
    print_line(say(title))
    print_line(
        "  ".join([" " * (first + 2), *(f"{heads[key]:>{wide[key]}}" for key in used)])
    )
    for row, cells in zip(rows, table, strict=True):
        shown = "  ".join(f"{cells[key]:>{wide[key]}}" for key in used)
        print_line(f"  {name_of(report, row):<{first}}  {shown}")
    for row in rows:
        for reason in untold_of(row):
            print_line(f"  {name_of(report, row)}: {text(reason)}")


def _print_own(report: Report) -> None:
    from landmarks.outputs.agreement import own_doubt_words

    said = own_doubt_words(report)
    if said:
        print_line()
    for sentence in said:
        print_line(text(sentence))


def _person(people: Sequence[Person], asked: str) -> str:
    """Return the id of the person that is meant, by id or by name."""
    wanted = asked.casefold()
    found = [one.id for one in people if wanted in (one.id.casefold(), one.name.casefold())]
    if not found:
        known = tuple(one.name or one.id for one in people)
        raise UnknownWordError("command.repeats.no_person", found=asked, known=known)
    return found[0]
