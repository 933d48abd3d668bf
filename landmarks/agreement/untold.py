"""The answer where data do not tell a figure."""

from __future__ import annotations

from dataclasses import dataclass

from landmarks.sentences import Sentence


@dataclass(frozen=True, slots=True)
class Untold:
    """A figure of agreement that these data do not tell, and why."""

    why: Sentence


def too_few(n: int, least: int) -> Untold:
    """Return that ``n`` pairs, things or readings are fewer than it takes."""
    return Untold(Sentence("agreement.too_few", {"n": n, "least": least}))


def all_alike() -> Untold:
    """Return that nothing varies, so that agreement by chance is certain."""
    return Untold(Sentence("agreement.all_alike"))
