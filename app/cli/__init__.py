"""The command line: one small function for each command; no Qt unless the window is opened.

Exit codes: 0 done, 1 faults found or nothing could be done, 2 the call or its input is wrong.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from difflib import get_close_matches
from io import TextIOWrapper
from pathlib import Path
from typing import NoReturn

from app.cli import collections, instruments, intake, records, repeats, tables
from app.cli.writing import DONE, FAULTS, WRONG, print_line, spelled
from landmarks.errors import HingelineError, UnknownWordError
from landmarks.picture.exchange import DECODE
from landmarks.sentences import say, text

__all__ = ["COMMANDS", "DONE", "FAULTS", "WRONG", "main"]

COMMANDS = (
    "demo", "identify", "characters", "scale", "folds", "trace", "measure",
    "repeats", "import", "check", "export",
    "restore", "tables", "version",
)  # fmt: skip


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; without one, open the window."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    if words[:1] == [DECODE]:
        from landmarks.picture.decoder import work

        work()  # Ends with the program that asks.
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
        print_line(text(fault.sentence), fault=True)
        return WRONG
    except BrokenPipeError:
        return DONE


class _Parser(argparse.ArgumentParser):
    """A parser that repeats what it was given as plain text."""

    def error(self, message: str) -> NoReturn:
        """Leave with a sentence, the call spelled out."""
        super().error(spelled(message))


def _parser() -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = _Parser(
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

    demo = command("demo", records.demo)
    demo.add_argument("--out", type=Path, default=Path(), help=say("command.demo.out"))
    identify = command("identify", records.identify)
    identify.add_argument(
        "record", metavar="RECORD.json", help=say("command.identify.record")
    )
    for one in (demo, identify, command("characters", records.characters)):
        one.add_argument(
            "--tables", type=Path, metavar="FOLDER", help=say("command.tables")
        )
    command("measure", records.measure).add_argument(
        "collection", type=Path, metavar="COLLECTION", help=say("command.collection")
    )
    collections.add_to(command)
    intake.add_to(command)
    repeats.add_to(command)
    instruments.add_to(command)
    tables.add_to(commands)
    command("version", records.version)
    return parser


def _open_window(words: Sequence[str]) -> int:
    for word in words:
        if word.startswith("-") or not (Path(word).exists() or Path(word).suffix):
            near = get_close_matches(word.lstrip("-"), COMMANDS, n=1, cutoff=0.0)[0]
            raise UnknownWordError("command.unknown", found=word, nearest=near)
    from app.application import run

    return run([Path(word) for word in words])
