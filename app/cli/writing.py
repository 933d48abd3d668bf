"""What the commands print: answers in words, and JSON."""

from __future__ import annotations

import json
import re
import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from landmarks.sentences import percent, say, text

if TYPE_CHECKING:
    from landmarks.assessment import MeasureRow
    from landmarks.identification.answer import Answer, Candidate

DONE, FAULTS, WRONG = 0, 1, 2

Command = Callable[[str, Callable[[Namespace], int]], ArgumentParser]
"""Makes a command of a name and of what it runs."""


def print_line(words: str = "", *, fault: bool = False, end: str = "\n") -> None:
    """Print one line, on the side of faults if it tells of one."""
    print(spelled(words), end=end, file=sys.stderr if fault else sys.stdout, flush=fault)


def print_json(raw: Any) -> None:
    """Print JSON, in signs that the terminal has; what is an order to it is escaped."""
    plain = not (sys.stdout.encoding or "").lower().startswith("utf")
    written = json.dumps(raw, ensure_ascii=plain, indent=1, allow_nan=False)
    print(_ORDERS.sub(lambda found: f"\\u{ord(found[0]):04x}", written))


def spelled(words: str) -> str:
    r"""Return words in which nothing is an order to a terminal, nor begins a line.

    Names and labels come from strangers: a control character could recolour or overwrite
    what is printed, a line end forge a line, a turned direction show a name backwards.

    >>> print(spelled("red\x1b[31m\none"))
    red\x1b[31m\none
    """
    return _ORDERS_AND_ENDS.sub(lambda found: ascii(found[0])[1:-1], words)


_ORDERS = re.compile("[\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
"""Control characters above ASCII, ends of lines and paragraphs, turned directions."""
_ORDERS_AND_ENDS = re.compile(f"[\x00-\x1f]|{_ORDERS.pattern}")


def print_answer(answer: Answer) -> None:
    """Print an answer: what is said, the candidates with reasons, what to look at next."""
    print_line(text(answer.text))
    for caution in answer.cautions:
        print_line(f"  ! {text(caution)}")
    print_line()
    print_line(say("command.candidates.head"))
    for one in answer.candidates:
        print_line(f"  {one.name:<26} {percent(one.stated):>7}{_signs(one)}")
    if answer.look_next:
        print_line()
        print_line(say("command.look_next.head"))
        for hint in answer.look_next[:3]:
            print_line(f"  {text(hint.sentence)}")
    print_line()
    print_line(say("caution.candidates"))


def _signs(candidate: Candidate) -> str:
    if candidate.ruled_out_by:
        reasons = [one for one in candidate.against if one.direction == "rules_out"]
        return "  × " + "; ".join(text(one.short) for one in reasons)
    pros = [f"+ {text(one.short)}" for one in candidate.supports[:3]]
    cons = [f"− {text(one.short)}" for one in candidate.against[:2]]
    return "  " + "  ".join(pros + cons)


def words_of_measure(row: MeasureRow) -> str:
    """Return a measure as it is read."""
    from landmarks.assessment import measure_words

    return text(measure_words(row))
