"""Regions to choose from and conditions in words: the same wherever they are set."""

from collections.abc import Callable

from PySide6.QtWidgets import QPushButton

from app.panels.fields import Choices
from app.session import Session
from app.style.icons import icon
from app.style.widgets import button
from landmarks.observations import Condition
from landmarks.sentences import known, say


def region_choices(session: Session) -> Choices:
    """Return the regions of the guide to choose from, after none."""
    guide = session.guide
    rows = guide.tables.regions if guide is not None else ()
    none = ("", say("label.region.none"))
    return [none, *((row.key, row.name) for row in rows)]


def condition_words(one: Condition) -> str:
    """Return a condition with its zone: ``worn, at the umbo``."""
    kind, zone = (
        say(key) if known(key) else key.partition(".")[2]
        for key in (f"condition.{one.kind}", f"zone.{one.zone}")
    )
    return say("label.condition.one", kind=kind, zone=zone)


def condition_button(one: Condition, take_away: Callable[[Condition], None]) -> QPushButton:
    """Return a condition as a button that takes it away."""
    words = condition_words(one)
    made = button(words)
    made.setIcon(icon("x"))
    made.setAccessibleName(say("label.condition.remove", condition=words))
    made.clicked.connect(lambda: take_away(one))
    return made
