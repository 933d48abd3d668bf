"""The inside of the window: picture in the middle, cards around, strips under the picture."""

from app.window.bench import Bench

__all__ = ["Bench"]
