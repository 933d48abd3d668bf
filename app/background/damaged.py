"""What can still be seen of a picture file that was cut short."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from PySide6.QtGui import QImage

from app.background.carrying import opaque
from app.background.watched import format_of, reader_of
from landmarks.errors import PictureError
from landmarks.picture import is_read_apart, opened, turned_upright


def what_is_left(path: Path) -> QImage | None:
    """Return a picture as far as its file goes, upright; None where nothing can be seen.

    What is missing is black, or grey in a JPEG.
    """
    if is_read_apart(path):
        return None  # Of these formats nothing is decoded before the end.
    from PIL.ImageFile import ImageFile

    # Qt goes on to the end of a JPEG that was cut short, and says nothing of it.
    if format_of(path) == "jpeg":
        reader = reader_of(path)
        reader.setAutoTransform(True)
        jpeg = reader.read()
        if not jpeg.isNull():
            return jpeg.convertToFormat(QImage.Format.Format_RGB32)
    with suppress(PictureError), opened(path) as image:
        try:
            image.load()
        except (OSError, SyntaxError, ValueError):
            # The decoder has filled in what came before the cut; nothing more is to be read.
            if isinstance(image, ImageFile):
                image.tile = []
        made = turned_upright(image).convert("RGB")
        if made.getbbox() is None:
            return None
        width, height = made.size
        pixels = opaque(made.tobytes("raw", "BGRX"))
        return QImage(pixels, width, height, width * 4, QImage.Format.Format_RGB32).copy()
    return None
