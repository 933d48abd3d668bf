"""What the commands print: answers in words, and JSON."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING, Any

from landmarks.sentences import percent, say, text

if TYPE_CHECKING:
    from landmarks.assessment import MeasureRow
    from landmarks.identification.answer import Answer, Candidate

DONE, FAULTS, WRONG = 0, 1, 2


def print_json(raw: Any) -> None:
    """Print JSON, in signs that the terminal has."""
    plain = not (sys.stdout.encoding or "").lower().startswith("utf")
    print(json.dumps(raw, ensure_ascii=plain, indent=1, allow_nan=False))


def print_answer(answer: Answer) -> None:
    """Print an answer: what is said, the candidates with reasons, what to look at next."""
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


def words_of_measure(row: MeasureRow) -> str:
    """Return a measure as it is read."""
    from landmarks.assessment import measure_words

    return text(measure_words(row))
