"""One picture file: what its header says, opened with our limits, decoded and upright.

``file`` knows what a file says of itself, ``opening`` lets Pillow open it, ``pixels`` makes it
upright RGB; ``apart``, ``child``, ``lazily``, ``exchange`` and ``decoder`` do the same in a
process of its own for formats whose decoders may die.
"""

from __future__ import annotations

from landmarks.picture.file import PictureFile, described, hash_file, read_picture
from landmarks.picture.opening import (
    FORMATS,
    MAX_PIXELS,
    SUFFIXES,
    is_read_apart,
    opened,
    opened_here,
    upright,
)
from landmarks.picture.pixels import (
    MEMORY_LIMIT,
    TURNED,
    check_memory,
    eight_bits,
    memory_to_decode,
    n_pictures,
    orientation,
    turned_upright,
    upright_size,
)

__all__ = [
    "FORMATS",
    "MAX_PIXELS",
    "MEMORY_LIMIT",
    "SUFFIXES",
    "TURNED",
    "PictureFile",
    "check_memory",
    "described",
    "eight_bits",
    "hash_file",
    "is_read_apart",
    "memory_to_decode",
    "n_pictures",
    "opened",
    "opened_here",
    "orientation",
    "read_picture",
    "turned_upright",
    "upright",
    "upright_size",
]
