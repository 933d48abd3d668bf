"""The command line: one small function for each command; no Qt unless the window is opened.

Exit codes: 0 done, 1 faults found or nothing could be done, 2 the call or its input is wrong.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from difflib import get_close_matches
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Any

from landmarks.errors import DocumentError, HingelineError, UnknownWordError
from landmarks.sentences import Sentence, percent, say, text

if TYPE_CHECKING:
    from landmarks.assessment import MeasureRow
    from landmarks.collection import Picture
    from landmarks.identification import Guide
    from landmarks.identification.answer import Answer, Candidate
    from landmarks.specimen import Specimen
    from landmarks.storage import Store

DONE, FAULTS, WRONG = 0, 1, 2

COMMANDS = ("demo", "identify", "characters", "measure", "check", "version")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; without one, open the window."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")  # No sign may stop an answer.
    try:
        if not words or words[0] not in (*COMMANDS, "-h", "--help"):
            return _open_window(words)
        choice = _parser().parse_args(words)
        run: Callable[[argparse.Namespace], int] = choice.run
        return run(choice)
    except HingelineError as fault:
        print(text(fault.sentence), file=sys.stderr)
        return WRONG
    except BrokenPipeError:
        return DONE


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="hingeline", description=say("command.about"), epilog=say("command.open")
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")

    def command(
        name: str, run: Callable[[argparse.Namespace], int]
    ) -> argparse.ArgumentParser:
        one = commands.add_parser(
            name, help=say(f"command.{name}"), description=say(f"command.{name}")
        )
        one.add_argument("--json", action="store_true", help=say("command.json"))
        one.set_defaults(run=run)
        return one

    demo = command("demo", _demo)
    demo.add_argument("--out", type=Path, default=Path(), help=say("command.demo.out"))
    identify = command("identify", _identify)
    identify.add_argument(
        "record", metavar="RECORD.json", help=say("command.identify.record")
    )
    for one in (demo, identify, command("characters", _characters)):
        one.add_argument(
            "--tables", type=Path, metavar="FOLDER", help=say("command.tables")
        )
    for name, run in (("measure", _measure), ("check", _check)):
        command(name, run).add_argument(
            "collection", type=Path, metavar="COLLECTION", help=say("command.collection")
        )
    command("version", _version)
    return parser


def _open_window(words: Sequence[str]) -> int:
    for word in words:
        if word.startswith("-") or not (Path(word).exists() or Path(word).suffix):
            near = get_close_matches(word.lstrip("-"), COMMANDS, n=1, cutoff=0.0)[0]
            raise UnknownWordError("command.unknown", found=word, nearest=near)
    from app.application import run

    return run([Path(word) for word in words])


def _demo(choice: argparse.Namespace) -> int:
    """Do the worked example without a window."""
    from landmarks.assessment import assess
    from landmarks.demo import worked_example
    from landmarks.figures import figure_of
    from landmarks.outputs.answers import answer_json, measure_json
    from landmarks.outputs.png import write_png

    example = worked_example()
    guide = _guide(choice.tables)
    specimen, pictures = example.specimens[0], {one.id: one for one in example.pictures}
    assessment = assess(specimen, pictures, guide)
    frame = specimen.frames[0]
    picture = pictures[frame.picture]
    source = example.folder / picture.path
    target = choice.out / f"{Path(picture.path).stem}-annotated.png"
    write_png(source, figure_of(picture, specimen, frame), target)
    if choice.json:
        raw = answer_json(assessment.answer)
        raw["measures"] = [measure_json(row) for row in assessment.measures]
        raw["picture"] = str(target.resolve())
        _print_json(raw)
        return DONE
    print(say("command.demo.head", number=specimen.label.catalogue_number))
    print()
    print(say("command.measures.head"))
    for row in assessment.measures:
        print(f"  {say(f'measure.{row.key}.name'):<28} {_measure_words(row)}")
    print()
    _print_answer(assessment.answer)
    print()
    print(say("command.written", file=str(target.resolve())))
    return DONE


def _identify(choice: argparse.Namespace) -> int:
    """Rank the species for a record."""
    from landmarks.assessment import assess
    from landmarks.documents import read_record
    from landmarks.outputs.answers import answer_json

    guide = _guide(choice.tables)
    specimen, pictures = read_record(_read_json(choice.record), _named(choice.record))
    _check_words(specimen, guide)
    answer = assess(specimen, {one.id: one for one in pictures}, guide).answer
    if choice.json:
        _print_json(answer_json(answer))
    else:
        _print_answer(answer)
    return DONE


def _characters(choice: argparse.Namespace) -> int:
    """List the characters of the guide."""
    from landmarks.outputs.answers import character_json
    from landmarks.tables import read_tables

    rows = read_tables(choice.tables).characters
    if choice.json:
        _print_json([character_json(row) for row in rows])
        return DONE
    for row in rows:
        print(f"{row.key}: {row.name}")
        print(f"  {row.definition}")
        if row.scored:
            print("  " + " | ".join(state.key for state in row.states))
        else:
            print(f"  {row.unit}")
        if row.views:
            print("  " + say("command.characters.views", views=", ".join(row.views)))
        if row.needs:
            print("  " + say("command.characters.needs", needs=", ".join(row.needs)))
    return DONE


def _measure(choice: argparse.Namespace) -> int:
    """List every measure of every specimen in a collection."""
    from landmarks.assessment import measure_rows
    from landmarks.outputs.answers import measure_json

    with _opened(choice.collection) as (specimens, pictures, _):
        found = [(one, measure_rows(one, pictures)) for one in specimens]
    if choice.json:
        _print_json(
            [
                {
                    "id": one.id,
                    "catalogue_number": one.label.catalogue_number,
                    "measures": [measure_json(row) for row in rows],
                }
                for one, rows in found
            ]
        )
        return DONE
    for one, rows in found:
        print(one.label.catalogue_number or one.id)
        for row in rows:
            print(f"  {say(f'measure.{row.key}.name'):<28} {_measure_words(row)}")
    return DONE


def _check(choice: argparse.Namespace) -> int:
    """Check a collection: structure, references, pictures."""
    with _opened(choice.collection) as (specimens, pictures, store):
        faults = [*store.check(), *_picture_faults(choice.collection, pictures.values())]
    if choice.json:
        _print_json(
            {
                "specimens": len(specimens),
                "pictures": len(pictures),
                "faults": [text(fault) for fault in faults],
            }
        )
    elif faults:
        for fault in faults:
            print(text(fault))
    else:
        good = {"specimens": len(specimens), "pictures": len(pictures)}
        print(say("command.check.good", file=choice.collection.name, **good))
    return FAULTS if faults else DONE


def _version(choice: argparse.Namespace) -> int:
    """Say the version of the program, its tables and its format."""
    from landmarks import __version__
    from landmarks.documents import FORMAT
    from landmarks.identification import ENGINE_VERSION
    from landmarks.tables import read_tables

    facts = {
        "version": __version__,
        "format": FORMAT,
        "engine": ENGINE_VERSION,
        "tables": read_tables().hash[:12],
    }
    if choice.json:
        _print_json(facts)
    else:
        print(
            say("command.version.line", **{key: str(value) for key, value in facts.items()})
        )
    return DONE


# -- reading -------------------------------------------------------------------------------


def _guide(folder: Path | None) -> Guide:
    from landmarks.identification import compile_tables
    from landmarks.tables import read_tables

    return compile_tables(read_tables(folder))


def _read_json(name: str) -> Any:
    from landmarks.codec import read_json

    if name == "-":
        return read_json(sys.stdin.buffer.read(), _named(name))
    path = Path(name)
    try:
        return read_json(path.read_bytes(), path.name)
    except OSError as fault:
        raise DocumentError(
            "document.cannot_read", file=path.name, reason=fault.strerror
        ) from None


def _named(record: str) -> str:
    """Return what a record is called in a sentence."""
    return say("command.standard_input") if record == "-" else Path(record).name


def _check_words(specimen: Specimen, guide: Guide) -> None:
    """Refuse characters, states, regions and views that nobody knows, naming the nearest."""
    from landmarks.measures import MEASURES
    from landmarks.scheme import view
    from landmarks.tables import check_words

    characters = guide.tables.characters
    for one in specimen.observations:
        if one.character in MEASURES and characters.get(one.character) is None:
            unit = MEASURES[one.character].unit
        else:
            row = characters[one.character]
            unit = row.unit
            if one.state:
                row.state(one.state)
        if one.unit not in ("", unit):
            raise DocumentError(
                "command.other_unit", character=one.character, found=one.unit, unit=unit
            )
    for frame in specimen.frames:
        if frame.view:
            view(frame.view)
    check_words(specimen.where, guide.tables)


@contextmanager
def _opened(path: Path) -> Iterator[tuple[list[Specimen], dict[str, Picture], Store]]:
    """Open a collection to read it: all specimens, all pictures by id, and the store."""
    from landmarks.collection import picture_of
    from landmarks.errors import StoreError
    from landmarks.specimen import specimen_of
    from landmarks.storage import open_sqlite

    if not path.exists():
        raise StoreError("command.no_file", file=str(path))
    store = open_sqlite(path, read_only=True)
    try:
        specimens = store.load(*store.documents("specimen"))
        pictures = store.load(*store.documents("picture"))
        yield (
            [specimen_of(one.id, found.parts) for one, found in specimens.items()],
            {one.id: picture_of(one.id, found.parts) for one, found in pictures.items()},
            store,
        )
    finally:
        store.close()


def _picture_faults(collection: Path, pictures: Iterable[Picture]) -> list[Sentence]:
    from landmarks.errors import PictureError
    from landmarks.picture import hash_file

    faults = []
    for one in pictures:
        path = collection.resolve().parent / one.path
        try:
            digest, _ = hash_file(path)
        except PictureError:
            faults.append(Sentence("command.check.picture_missing", {"file": one.path}))
            continue
        if digest != one.file.sha256:
            faults.append(Sentence("command.check.picture_changed", {"file": one.path}))
    return faults


# -- writing -------------------------------------------------------------------------------


def _print_json(raw: Any) -> None:
    plain = not (sys.stdout.encoding or "").lower().startswith("utf")
    print(json.dumps(raw, ensure_ascii=plain, indent=1, allow_nan=False))


def _print_answer(answer: Answer) -> None:
    print(text(answer.text))
    for caution in answer.cautions:
        print(f"  ! {text(caution)}")
    print()
    print(say("command.candidates.head"))
    for one in answer.candidates:
        print(f"  {one.name:<26} {percent(one.stated):>7}{_signs(one)}")
    if answer.look_next:
        print()
        print(say("command.look_next.head"))
        for hint in answer.look_next[:3]:
            print(f"  {text(hint.sentence)}")
    print()
    print(say("caution.candidates"))


def _signs(candidate: Candidate) -> str:
    if candidate.ruled_out_by:
        reasons = [one for one in candidate.against if one.direction == "rules_out"]
        return "  × " + "; ".join(text(one.short) for one in reasons)
    pros = [f"+ {text(one.short)}" for one in candidate.supports[:3]]
    cons = [f"− {text(one.short)}" for one in candidate.against[:2]]
    return "  " + "  ".join(pros + cons)


def _measure_words(row: MeasureRow) -> str:
    from landmarks.assessment import measure_words

    return text(measure_words(row))
