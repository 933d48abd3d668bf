"""Light and dark: palettes of our own, switched while the window lives.

Asking Qt for a colour scheme does nothing on some platforms, so the palettes are ours and
the system is only asked which of the two it prefers. A switch keeps every place and every
selection: it changes colours alone.
"""

from functools import lru_cache
from typing import Literal, cast

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

from app.style import focus, follow, fonts, sheet
from app.style.tokens import DARK, LIGHT, Colours

Scheme = Literal["system", "light", "dark"]
SCHEMES: tuple[Scheme, ...] = ("system", "light", "dark")

_PROPERTY = "hingelineScheme"
_Role = QPalette.ColorRole


def apply(app: QApplication, scheme: Scheme = "system") -> None:
    """Give the application its style, fonts and the colours of a scheme, now and later.

    May be called again at any time; `follow.news().restyled` tells painted widgets.
    """
    fonts.load()
    hints = app.styleHints()
    first = app.property(_PROPERTY) is None
    app.setProperty(_PROPERTY, scheme)
    if first:
        app.setStyle("Fusion")
        app.setFont(fonts.font("body"))
        hints.colorSchemeChanged.connect(lambda _=None: _system_changed(app))
        focus.install(app)
    # Where the platform listens, title bars and file dialogs follow.
    wanted = {
        "light": Qt.ColorScheme.Light,
        "dark": Qt.ColorScheme.Dark,
        "system": Qt.ColorScheme.Unknown,
    }[scheme]
    if hints.colorScheme() != wanted:
        hints.setColorScheme(wanted)
    _paint(app)


def scheme(app: QApplication) -> Scheme:
    """Return the scheme the person chose: system, light or dark."""
    return cast("Scheme", app.property(_PROPERTY) or "system")


def colours() -> Colours:
    """Return the colours on screen now, read from the palette of the application."""
    return DARK if is_dark() else LIGHT


def is_dark() -> bool:
    """Tell whether the application is dark now."""
    return QGuiApplication.palette().color(_Role.Window).lightness() < 128


def colour(name: str) -> QColor:
    """Return a colour on screen now by its name in `tokens.Colours`: ink2, accent ..."""
    return QColor(cast("str", getattr(colours(), name)))


def faint(colour: str | QColor, alpha: float) -> QColor:
    """Return a colour through which what lies below is seen."""
    made = QColor(colour)
    made.setAlphaF(alpha)
    return made


@lru_cache(maxsize=2)
def palette(c: Colours) -> QPalette:
    """Return the palette of a scheme, all roles set for the three groups."""
    made = QPalette()
    for role, value in _roles(c).items():
        made.setColor(QPalette.ColorGroup.All, role, QColor(value))
    for role in (_Role.WindowText, _Role.Text, _Role.ButtonText, _Role.PlaceholderText):
        made.setColor(QPalette.ColorGroup.Disabled, role, QColor(c.ink3))
    for role, value in (
        (_Role.Highlight, c.sunken),
        (_Role.HighlightedText, c.ink3),
        (_Role.Accent, c.ink3),
        (_Role.Link, c.ink3),
        (_Role.LinkVisited, c.ink3),
        (_Role.Base, c.sheet),
        (_Role.Button, c.sheet),
    ):
        made.setColor(QPalette.ColorGroup.Disabled, role, QColor(value))
    return made


def _roles(c: Colours) -> dict[QPalette.ColorRole, str]:
    return {
        _Role.Window: c.ground,
        _Role.WindowText: c.ink,
        _Role.Base: c.raised,
        _Role.AlternateBase: c.sheet,
        _Role.Text: c.ink,
        _Role.Button: c.raised,
        _Role.ButtonText: c.ink,
        _Role.BrightText: c.on_accent,
        _Role.PlaceholderText: c.ink3,
        _Role.ToolTipBase: c.raised,
        _Role.ToolTipText: c.ink,
        _Role.Highlight: c.accent,
        _Role.HighlightedText: c.on_accent,
        _Role.Accent: c.accent,
        _Role.Link: c.accent,
        _Role.LinkVisited: c.accent,
        _Role.Light: c.raised,
        _Role.Midlight: c.sheet,
        _Role.Mid: c.line,
        _Role.Dark: c.edge,
        _Role.Shadow: c.sunken,
    }


def _system_changed(app: QApplication) -> None:
    if scheme(app) == "system":
        _paint(app)


def _paint(app: QApplication) -> None:
    chosen = scheme(app)
    dark = chosen == "dark" or (
        chosen == "system" and app.styleHints().colorScheme() == Qt.ColorScheme.Dark
    )
    c = DARK if dark else LIGHT
    app.setPalette(palette(c))
    words = sheet.style_sheet(c)
    # The same sheet once more would look through every widget there is for nothing.
    if app.styleSheet() != words:
        app.setStyleSheet(words)
    follow.news().restyled.emit()
