"""What a person is told beside what is asked for: its kinds, and which is read first.

What answers the latest thing that was done or asked for stands first: that it was refused or
failed, then cautions about it, then that it is done. After it stands what answered earlier
ones, and last what nobody asked for. Of two that are equal the earlier one is read first. An
order once given stays: a notice leaves its place only where a new one comes or one goes.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from landmarks.sentences import Sentence

Kind = Literal[
    "error", "refused", "nowhere", "passing", "of_deed", "caution", "info", "warning", "news"
]  # fmt: skip
Looks = Literal["info", "caution", "error"]
Until = Literal["put_away", "deed", "begun"]


@dataclass(frozen=True, slots=True)
class Rule:
    """How a kind of notice looks, where it stands, and what makes it go.

    ``place`` counts among what answers the same thing, ``asked`` is false for what nobody
    asked for, and ``until`` says when it goes by itself: never, once it was read and another
    deed is done, or as soon as anything else is begun or done.
    """

    looks: Looks
    place: int
    until: Until
    asked: bool = True


# fmt: off
RULES: dict[Kind, Rule] = {
    "error":   Rule("error",   0, "put_away"),              # what was asked for failed
    "refused": Rule("caution", 0, "put_away"),              # it was not done, and why
    "nowhere": Rule("caution", 0, "begun"),                 # a scanned number leads nowhere
    "passing": Rule("info",    0, "begun"),                 # a key has nothing to do here
    "of_deed": Rule("caution", 1, "deed"),                  # about what was just done
    "caution": Rule("caution", 1, "put_away"),              # what has to be known of it
    "info":    Rule("info",    2, "deed"),                  # it is done
    "warning": Rule("caution", 3, "put_away", asked=False), # something failed meanwhile
    "news":    Rule("info",    4, "deed", asked=False),     # something happened meanwhile
}
# fmt: on


@dataclass(frozen=True, slots=True)
class Told:
    """A notice that waits to be read, and how many things had been done or refused before."""

    sentence: Sentence
    kind: Kind
    act: int = 0

    @property
    def rule(self) -> Rule:
        """Return what holds for its kind."""
        return RULES[self.kind]


def in_order(told: Iterable[Told]) -> tuple[Told, ...]:
    """Return notices, given in the order in which they came, as they are to be read."""
    return tuple(sorted(told, key=_standing))


def is_act(kind: Kind) -> bool:
    """Return whether a notice shows by itself that something new was asked for.

    What is refused changes nothing, so nothing else tells one refused wish from the next.
    """
    return RULES[kind].place == 0


def after_another(told: Iterable[Told], *, deed: bool) -> tuple[Told, ...]:
    """Return what is left once something else was begun, or done: then it is a ``deed``.

    Of what goes with a deed only that goes which stands first and so was read.
    """
    left = [one for one in told if one.rule.until != "begun"]
    first = next(iter(in_order(left)), None)
    if deed and first is not None and first.rule.until == "deed":
        left.remove(first)
    return tuple(left)


def _standing(one: Told) -> tuple[bool, int, int]:
    rule = one.rule
    return not rule.asked, -one.act if rule.asked else 0, rule.place
