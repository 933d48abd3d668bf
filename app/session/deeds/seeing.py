"""How the picture on the bench is shown: for display only, and nothing of it is stored."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt

from app.session.session import Session
from landmarks.instruments.seeing import Seeing

HOLD = Qt.Key.Key_V
"""While this key is held the picture is shown as it is."""

CONTRAST = 0.6
"""Local contrast that one key gives, of 0 to 1."""

STEP = 1 / 3
"""Brightness goes up and down by so many stops."""

MOST_STEPS = 6


def contrast(session: Session) -> None:
    """Lift local contrast, or let it be."""
    how = session.seeing
    session.see(replace(how, local_contrast=0.0 if how.local_contrast else CONTRAST))


def underwater(session: Session) -> None:
    """Give colours back that water took, or let them be."""
    session.see(replace(session.seeing, underwater=not session.seeing.underwater))


def brighter(session: Session, by: int) -> None:
    """Go up or down by steps of brightness, as far as they go."""
    set_brightness(session, steps_of(session.seeing) + by)


def set_brightness(session: Session, steps: int) -> None:
    """Show so many steps of brightness above or below the picture's own."""
    steps = max(-MOST_STEPS, min(MOST_STEPS, steps))
    session.see(replace(session.seeing, brightness=steps * STEP))


def steps_of(how: Seeing) -> int:
    """Return brightness in steps."""
    return round(how.brightness / STEP)


def plain(session: Session) -> None:
    """Show the picture as it is."""
    session.see(Seeing())
