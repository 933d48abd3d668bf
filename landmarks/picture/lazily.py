"""A picture as Pillow gives it, whose pixels are decoded apart when they are asked for."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from PIL import Image

from landmarks.picture.apart import strips_apart


class ApartImage(Image.Image):
    """An open picture that was read apart; like one of Pillow's own, it is decoded late.

    Parameters
    ----------
    words, parts
        What its header says (:mod:`landmarks.picture.decoder`).
    """

    fp = None
    is_apart = True

    def __init__(self, path: Path, words: Mapping[str, Any], parts: Mapping[str, bytes]):
        super().__init__()
        width, height = words["size"]
        self._path = path
        self._mode, self._size = str(words["mode"]), (int(width), int(height))
        self.filename = str(path)
        self.format = str(words["format"])
        self.n_frames = int(words["n_frames"])
        self.info.update(words["info"])
        self.info.update(parts)

    def load(self) -> Any:
        """Decode the picture, if that is not done yet.

        Raises
        ------
        PictureError
            If it cannot be decoded, or its decoder dies or gives no answer.
        """
        if self._im is None:
            with strips_apart(self._path, self.width * self.height) as strips:
                assert strips is not None
                # Only the decoding tells the size for sure. Filling it with a colour first
                # would hold the interpreter lock, and for nothing.
                whole = Image.new(strips.mode, (strips.width, strips.height), None)
                for top, strip in strips:
                    size = (whole.width, len(strip) // (whole.width * strips.each))
                    whole.paste(Image.frombytes(strips.mode, size, bytes(strip)), (0, top))
            self._mode, self._size, self._im = whole.mode, whole.size, whole.im
        return super().load()
