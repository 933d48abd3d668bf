"""Commands about species tables: check, compare two of them, compare with one's own, try out."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.cli.reading import opened
from app.cli.writing import DONE, FAULTS, print_json, print_line
from landmarks.errors import TablesError
from landmarks.sentences import say, text

if TYPE_CHECKING:
    from landmarks.collection import Picture
    from landmarks.identification import Answer, Change
    from landmarks.observations import Circumstances, Seen
    from landmarks.specimen import Specimen
    from landmarks.tables import Cell, Tables

    Commands = argparse._SubParsersAction[argparse.ArgumentParser]

SHIPPED_WORD = "shipped"
USUAL_N, USUAL_SEED = 20_000, 2026


def add_to(commands: Commands) -> None:
    """Add the group of commands to the command line."""
    about = say("command.tables_group")
    group = commands.add_parser("tables", help=about, description=about)
    group.add_argument("--json", action="store_true", help=say("command.json"))
    own = group.add_subparsers(dest="of_tables", metavar="COMMAND", required=True)

    def command(
        name: str, run: Callable[[argparse.Namespace], int]
    ) -> argparse.ArgumentParser:
        what = say(f"command.tables_{name}")
        one = own.add_parser(name, help=what, description=what)
        one.add_argument(
            "--json",
            action="store_true",
            default=argparse.SUPPRESS,
            help=say("command.json"),
        )
        one.set_defaults(run=run)
        return one

    folder = {"type": Path, "metavar": "FOLDER", "help": say("command.tables")}
    checked = command("check", check)
    checked.add_argument("folder", nargs="?", type=Path, metavar="FOLDER")
    differing = command("diff", diff)
    for name in ("before", "after"):
        differing.add_argument(
            name, type=Path, metavar="FOLDER", help=say("command.tables_shipped")
        )
    differing.add_argument("collection", nargs="?", type=Path, metavar="COLLECTION")
    compared = command("compare", compare)
    compared.add_argument("collection", type=Path, metavar="COLLECTION")
    compared.add_argument("--tables", **folder)  # type: ignore[arg-type]
    report_ = command("report", report)
    report_.add_argument("--tables", **folder)  # type: ignore[arg-type]
    report_.add_argument("--n", type=_count, default=USUAL_N, metavar="N")
    report_.add_argument("--seed", type=int, default=USUAL_SEED, metavar="SEED")
    report_.add_argument("--out", type=Path, metavar="FOLDER")


def check(choice: argparse.Namespace) -> int:
    """Report every fault of a folder of tables: file, row, remedy."""
    from landmarks.tables import SHIPPED, check_tables, fault_sentence, read_tables

    folder = _folder(choice.folder) or SHIPPED
    faults = check_tables(folder)
    if choice.json:
        rows = [
            {"file": f.file, "row": f.row, "key": f.key, "text": text(fault_sentence(f))}
            for f in faults
        ]
        print_json({"folder": str(folder), "faults": rows})
    elif faults:
        for fault in faults:
            print_line(text(fault_sentence(fault)))
        print_line(say("tables.check.faults", n=len(faults)))
    else:
        tables = read_tables(folder)
        counts = {"taxa": len(tables.taxa), "characters": len(tables.characters)}
        print_line(say("tables.check.good", cells=len(tables.cells), **counts))
    return FAULTS if faults else DONE


def diff(choice: argparse.Namespace) -> int:
    """Say what two tables say differently, and which records change their answer."""
    from landmarks.identification import changed_answers, compile_tables
    from landmarks.tables import differences, other_differences, read_tables

    old, new = (read_tables(_folder(one)) for one in (choice.before, choice.after))
    found, others = differences(old, new), other_differences(old, new)
    changes: tuple[Change, ...] = ()
    names: dict[str, str] = {}
    n = 0
    if choice.collection is not None:
        with opened(choice.collection) as (specimens, pictures, _):
            rows = [(one, *_seen(one, pictures, (old, new))) for one in specimens]
        names = {one.id: _name(one) for one, _, _ in rows}
        n = len(rows)
        changes = changed_answers(
            compile_tables(old),
            compile_tables(new),
            [(one.id, seen, now) for one, seen, now in rows],
        )
    if choice.json:
        print_json(
            {
                "cells": [
                    {
                        "taxon": one.taxon,
                        "character": one.character,
                        "before": [_cell_json(cell) for cell in one.before],
                        "after": [_cell_json(cell) for cell in one.after],
                    }
                    for one in found
                ],
                "files": list(others),
                "records": [
                    {
                        "id": one.key,
                        "name": names[one.key],
                        "before": _answer_json(one.before),
                        "after": _answer_json(one.after),
                    }
                    for one in changes
                ],
                "of_records": n,
            }
        )
        return DONE
    for one in found:
        tables = new if one.after else old
        print_line(say("tables.diff.place", taxon=one.taxon, character=one.character))
        for sign, side, cells in (("−", old, one.before), ("+", new, one.after)):
            for cell in cells:
                print_line(f"  {sign} {_cell_words(side if cells else tables, cell)}")
    for file in others:
        print_line(say("tables.diff.file", file=file))
    if not found and not others:
        print_line(say("tables.diff.same"))
    if choice.collection is not None:
        print_line(say("tables.diff.records", n=n, changed=len(changes)))
        for change in changes:
            before, after = text(change.before.text), text(change.after.text)
            print_line(f"  {names[change.key]}: {before} → {after}")
    return DONE


def compare(choice: argparse.Namespace) -> int:
    """Put one's own independently determined specimens beside the cells."""
    from landmarks.tables import compare as beside
    from landmarks.tables import comparison_sentence, read_tables

    tables = read_tables(_folder(choice.tables))
    with opened(choice.collection) as (specimens, pictures, _):
        determined = [
            (taxon, _seen(one, pictures, (tables,))[0])
            for one in specimens
            if (taxon := _determined(one, tables))
        ]
        n = len(specimens)
    rows = beside(tables, determined)
    if choice.json:
        print_json(
            {
                "specimens": n,
                "independently_determined": len(determined),
                "rows": [
                    {
                        "taxon": one.taxon,
                        "character": one.character,
                        "from_mm": one.from_mm,
                        "to_mm": one.to_mm,
                        "n": one.n,
                        "few": one.few,
                        "percentile_5": one.low,
                        "median": one.median,
                        "percentile_95": one.high,
                        "counts": dict(one.counts),
                        "cells": [_cell_json(cell) for cell in one.cells],
                        "proposal": [_cell_json(cell) for cell in one.proposal],
                        "text": text(comparison_sentence(tables, one)),
                    }
                    for one in rows
                ],
            }
        )
        return DONE
    print_line(say("tables.compare.head", n=len(determined), all=n))
    for one in rows:
        print_line(text(comparison_sentence(tables, one)))
        for cell in one.cells:
            print_line(f"    {_cell_words(tables, cell)}")
        for cell in one.proposal:
            print_line(f"  + {_cell_words(tables, cell)}")
    return DONE


def report(choice: argparse.Namespace) -> int:
    """Try the identification on simulated specimens: self-consistency, not accuracy."""
    from datetime import UTC, datetime
    from os import cpu_count
    from platform import machine, system

    from landmarks.identification import compile_tables
    from landmarks.outputs.self_consistency import (
        report_json,
        report_markdown,
        write_plots,
    )
    from landmarks.simulation import MOVED, try_out
    from landmarks.tables import read_tables

    tables = read_tables(_folder(choice.tables))
    guide = compile_tables(tables)
    trials = [try_out(guide, choice.n, choice.seed, moved) for moved in (0.0, MOVED)]
    today = datetime.now(UTC).date().isoformat()
    where = say(
        "report.machine_words", system=system(), machine=machine(), n=cpu_count() or 1
    )
    words = report_markdown(trials, tables, today, where)
    written: list[Path] = []
    if choice.out is not None:
        path = choice.out / "self-consistency.md"
        try:
            written = write_plots(trials, tables, choice.out)
            path.write_text(words, encoding="utf-8")
        except OSError as fault:
            raise TablesError(
                "report.cannot_write", folder=str(choice.out), why=fault.strerror or ""
            ) from None
        written.append(path)
    if choice.json:
        files = [str(one.resolve()) for one in written]
        print_json({"trials": report_json(trials), "files": files})
        return DONE
    for line in words.splitlines():
        print_line(line)
    if written:
        print_line(say("report.written", folder=str(choice.out.resolve())))
    return DONE


# -- helpers -------------------------------------------------------------------------------


def _folder(path: Path | None) -> Path | None:
    """Return the folder of tables; the word *shipped* names those of the program."""
    if path is not None and str(path) == SHIPPED_WORD and not path.exists():
        return None
    return path


def _count(word: str) -> int:
    n = int(word)
    if n < 1:
        raise ValueError(word)
    return n


def _seen(
    specimen: Specimen, pictures: dict[str, Picture], tables: Sequence[Tables]
) -> tuple[tuple[Seen, ...], Circumstances]:
    """Return what was seen of a specimen, of every character that one of the tables knows."""
    from landmarks.assessment import character_rows, circumstances, measure_rows, observed

    rows = measure_rows(specimen, pictures)
    seen: dict[Seen, None] = {}
    for one in tables:
        known = one.characters
        shown = character_rows(specimen, known)
        seen |= dict.fromkeys(observed(specimen, pictures, rows, shown, known))
    return tuple(seen), circumstances(specimen)


def _determined(specimen: Specimen, tables: Tables) -> str:
    """Return the species that a person named without this program, or an empty text."""
    named = specimen.determination
    if named is None or not named.independent or named.level != "species":
        return ""
    if named.qualifier or len(named.taxa) != 1:
        return ""
    return next((one.key for one in tables.taxa if one.key == named.taxa[0]), "")


def _name(specimen: Specimen) -> str:
    return specimen.label.catalogue_number or specimen.id


def _answer_json(answer: Answer) -> dict[str, Any]:
    return {
        "level": answer.level,
        "taxa": list(answer.taxa),
        "stated": answer.stated,
        "text": text(answer.text),
    }


def _cell_json(cell: Cell) -> dict[str, Any]:
    from dataclasses import asdict

    return {key: value for key, value in asdict(cell).items() if value not in (None, "")}


def _cell_words(tables: Tables, cell: Cell) -> str:
    from landmarks.tables import cell_sentence

    return text(cell_sentence(tables, cell))
