"""What is on the bench: the one place of the window where anything changes."""

from app.session.session import ALL, Aspect, Saving, Session, Tool

__all__ = ["ALL", "Aspect", "Saving", "Session", "Tool"]
