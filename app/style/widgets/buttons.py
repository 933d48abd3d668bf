"""Buttons of the style sheet's kinds."""

from typing import Literal

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QPushButton, QToolButton, QWidget

from app.style.follow import follow
from app.style.fonts import font, scaled
from app.style.icons import icon
from app.style.tokens import ICON, LAYOUT
from app.style.widgets.painted import plain_tip

__all__ = ["Kind", "button", "icon_button", "plain_tip"]

Kind = Literal["plain", "primary", "link"]

_INK: dict[Kind, str] = {"plain": "ink2", "primary": "on_accent", "link": "accent"}


def button(
    text: str, kind: Kind = "plain", icon_name: str = "", parent: QWidget | None = None
) -> QPushButton:
    """Return a push button; at most one in a place is primary (filled)."""
    made = _Button(kind, parent)
    # An ampersand would underline the letter after it and vanish.
    made.setText(text.replace("&", "&&"))
    made.setAccessibleName(text)
    if icon_name:
        made.setIcon(icon(icon_name, _INK[kind]))
    return made


def icon_button(icon_name: str, name: str, parent: QWidget | None = None) -> QToolButton:
    """Return a button that is only an icon; its name is spoken and shown as a tool tip."""
    made = _IconButton(parent)
    made.setIcon(icon(icon_name))
    made.setAccessibleName(name)
    made.setToolTip(plain_tip(name))
    return made


class _Button(QPushButton):
    def __init__(self, kind: Kind, parent: QWidget | None) -> None:
        super().__init__(parent)
        self._role = "body" if kind == "plain" else "strong"
        self.setProperty("kind", kind)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        follow(self._restyle)

    def _restyle(self) -> None:
        self.setFont(font(self._role))
        self.setIconSize(QSize(scaled(ICON.row), scaled(ICON.row)))
        self.setMinimumSize(LAYOUT.target, LAYOUT.target)


class _IconButton(QToolButton):
    def __init__(self, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        follow(self._restyle)

    def _restyle(self) -> None:
        self.setIconSize(QSize(scaled(ICON.tool), scaled(ICON.tool)))
