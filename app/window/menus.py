"""Menus and keys made from rows that somebody else declares."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu

from app.panels.header import past_words
from app.session import Aspect
from app.style.icons import icon
from app.style.widgets.painted import plain_tip
from landmarks.sentences import say

if TYPE_CHECKING:
    from app.window.bench import Bench


@dataclass(frozen=True, slots=True)
class Row:
    """One thing that can be done, bound to its window."""

    key: str
    menu: str
    keys: str
    run: Callable[[], object]
    on_picture: bool
    icon: str
    group: bool
    enabled: Callable[[], bool]
    checked: Callable[[], bool] | None


def fill(window: Bench, menus: Sequence[str], rows: Sequence[Row]) -> None:
    """Make the menus, keep every action's state true, and tell the window its key sheet."""
    made: list[tuple[Row, QAction]] = []
    bar = window.shell.menuBar()
    for name in menus:
        menu = QMenu(say(f"menu.{name}"), window)
        bar.addMenu(menu)
        for row in rows:
            if row.menu == name:
                if row.group and not menu.isEmpty():
                    menu.addSeparator()
                action = _action(window, row)
                menu.addAction(action)
                made.append((row, action))

    def refresh(aspects: object = None) -> None:
        for row, action in made:
            action.setEnabled(row.enabled())
            if row.checked is not None:
                action.setChecked(row.checked())
        _name_the_past(window, {row.key: action for row, action in made})

    wanted = Aspect.SELECTION | Aspect.PAST | Aspect.NAMES | Aspect.MARK | Aspect.COLLECTION
    wanted |= Aspect.SEEING

    shown_at_work = False

    def changed(aspects: Aspect) -> None:
        nonlocal shown_at_work
        at_work = window.session.instrument is not None
        if aspects & wanted or at_work is not shown_at_work:
            shown_at_work = at_work
            refresh()

    window.session.changed.connect(changed)
    window.preferences_changed.connect(refresh)
    window.set_keys(
        [(row.keys, say(f"action.{row.key}"), row.menu) for row in rows if row.keys]
    )
    refresh()


def _action(window: Bench, row: Row) -> QAction:
    action = QAction(say(f"action.{row.key}"), window)
    action.setObjectName(row.key)
    if row.icon:
        action.setIcon(icon(row.icon))
    if row.keys:
        action.setShortcut(QKeySequence(row.keys))
    if row.checked is not None:
        action.setCheckable(True)
    if row.on_picture:
        action.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        window.canvas.addAction(action)
    action.triggered.connect(lambda _checked=False: row.run())
    return action


def _name_the_past(window: Bench, actions: dict[str, QAction]) -> None:
    for key in ("undo", "redo"):
        if key in actions:
            words, _ = past_words(window.session, key)
            # One ampersand alone would underline the letter after it.
            actions[key].setText(words.replace("&", "&&"))
            actions[key].setToolTip(plain_tip(words))
