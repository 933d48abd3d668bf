"""The field for the value of a condition: words to choose from, or whatever is typed."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QCompleter

from app.panels.fields import Choices, number_typed, open_choice
from app.style.fonts import scaled
from landmarks.errors import UnknownWordError
from landmarks.finding import DATE, NUMBER, YES, Field, folded
from landmarks.sentences import say

_NAMED = 3
"""Of so many words is told that they hold what was typed."""


def value_field(key: str) -> QComboBox:
    """Return a field for a value; the key is that of its name."""
    made = open_choice(8)
    made.setAccessibleName(say(key))
    made.setMinimumWidth(scaled(96))
    return made


def offer(field: QComboBox, values: Choices) -> None:
    """Offer known words, and let others be typed."""
    field.clear()
    for key, words in values:
        field.addItem(words, key)
    completer = field.completer()
    if completer is not None:
        completer.setCompletionMode(QCompleter.CompletionMode.PopupCompletion)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
    field.setCurrentIndex(0 if values else -1)
    if not values:
        field.setEditText("")


def typed_in(field: QComboBox, unit: str, *, whole: bool = True) -> str:
    """Return the key of the word that was chosen or typed, or what was typed.

    Where a ``whole`` word is asked for, what only one of the words on offer holds is that
    word.

    Raises
    ------
    UnknownWordError
        If several words on offer hold what was typed; they are named.
    """
    typed = field.currentText().strip()
    at = field.findText(typed, Qt.MatchFlag.MatchFixedString)
    if at >= 0:
        return str(field.itemData(at))
    word = folded(typed)
    offered = {str(field.itemData(n)): field.itemText(n) for n in range(field.count())}
    near = {key: one for key, one in offered.items() if word and word in folded(one)}
    if whole and near and word not in offered:
        if len(near) == 1:
            return next(iter(near))
        named = tuple(f"\N{LEFT DOUBLE QUOTATION MARK}{one}\N{RIGHT DOUBLE QUOTATION MARK}"
                      for one in list(near.values())[:_NAMED])  # fmt: skip
        values = {"found": typed, "n": len(near), "words": named}
        raise UnknownWordError("finding.several", **values)
    number = number_typed(typed)
    if number is None:
        return typed
    return f"{number:g} %" if unit == "%" else f"{number:g}"


def example(field: Field) -> str:
    """Return what stands in an empty field, to show how a value is written."""
    kind = {DATE: "date", NUMBER: "number", YES: "yes"}.get(field.kind, "words")
    if field.kind == NUMBER and field.unit not in ("", "count"):
        return field.unit
    return say(f"finding.example.{kind}")
