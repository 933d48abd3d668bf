"""The picture in the middle: shown, moved about in, marked on."""

from app.canvas.tools import Arming
from app.canvas.view import PictureCanvas

__all__ = ["Arming", "PictureCanvas"]
