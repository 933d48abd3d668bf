"""The frame of the window: picture in the middle, cards around, strips under the picture."""

from app.window.window import Window

__all__ = ["Window"]
