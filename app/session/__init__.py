"""What is on the bench: the one place of the window where anything changes."""

from app.session.at_work import Instrument
from app.session.session import Session
from app.session.values import ALL, Aspect, Drawer, Live, Saving, Tool, new_id, now

__all__ = [
    "ALL",
    "Aspect",
    "Drawer",
    "Instrument",
    "Live",
    "Saving",
    "Session",
    "Tool",
    "new_id",
    "now",
]
