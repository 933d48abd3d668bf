"""Buttons of the style sheet's kinds."""

from typing import Literal

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QPushButton, QToolButton, QWidget

from app.style.fonts import font, scaled
from app.style.icons import icon
from app.style.tokens import ICON

Kind = Literal["plain", "primary", "link"]


def button(
    text: str, kind: Kind = "plain", icon_name: str = "", parent: QWidget | None = None
) -> QPushButton:
    """Return a push button; at most one in a place is primary (filled)."""
    made = QPushButton(text.replace("&", "&&"), parent)
    made.setProperty("kind", kind)
    made.setAccessibleName(text)
    made.setCursor(Qt.CursorShape.PointingHandCursor)
    if kind != "plain":
        made.setFont(font("strong"))
    if icon_name:
        ink = {"plain": "ink2", "primary": "on_accent", "link": "accent"}[kind]
        made.setIcon(icon(icon_name, ink))
        made.setIconSize(QSize(scaled(ICON.row), scaled(ICON.row)))
    return made


def icon_button(icon_name: str, name: str, parent: QWidget | None = None) -> QToolButton:
    """Return a button that is only an icon; its name is spoken and shown as a tool tip."""
    made = QToolButton(parent)
    made.setIcon(icon(icon_name))
    made.setIconSize(QSize(scaled(ICON.tool), scaled(ICON.tool)))
    made.setAccessibleName(name)
    made.setToolTip(plain_tip(name))
    made.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    made.setCursor(Qt.CursorShape.PointingHandCursor)
    return made


def plain_tip(text: str) -> str:
    """Return text for a tool tip, escaped where Qt would take it for rich text."""
    if "<" not in text and "&" not in text:
        return text
    safe = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return f"<span>{safe}</span>"
