"""Pixels of an open picture: how large it stands upright, its memory, made upright RGB."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from landmarks.errors import PictureError

if TYPE_CHECKING:
    from PIL.Image import Image

TURNED = (5, 6, 7, 8)
"""EXIF orientations that swap width and height (CIPA DC-008, from memory)."""

MEMORY_LIMIT = 4_000_000_000
"""Bytes that decoding one picture may hold; what would need more is refused undecoded."""


def eight_bits(image: Image) -> Image:
    """Return a picture as RGB: wide grey values are stretched, transparent parts white.

    Grey values of more than eight bits are stretched over the range they use: Pillow by
    itself clips them at 255, which leaves nothing but white.
    """
    if image.mode in _WIDE or image.mode.startswith("I;16"):
        wide = image.convert("F")
        low, high = wide.getextrema()
        step = 255.0 / ((high - low) or 1.0)  # type: ignore[operator]
        image = wide.point(lambda value: value * step - low * step).convert("L")  # type: ignore[operator]
    if image.mode == "LAB":
        return _from_lab(image)
    if image.has_transparency_data:
        from PIL.Image import alpha_composite, new

        seen = image.convert("RGBA")
        ground = new("RGBA", seen.size, (255, 255, 255, 255))
        return alpha_composite(ground, seen).convert("RGB")
    return image if image.mode == "RGB" else image.convert("RGB")


def memory_to_decode(image: Image) -> int:
    """Return how many bytes an open picture holds at most while it is made upright RGB.

    Counted from how Pillow keeps pixels (1, 2 or 4 bytes each, from memory of its sources):
    the decoded picture, its turned copy, and what :func:`eight_bits` makes in between.
    """
    wide = image.mode in _WIDE or image.mode.startswith("I;16")
    each = 1 if image.mode in ("1", "L", "P") else 2 if image.mode.startswith("I;16") else 4
    between = 0 if image.mode == "RGB" else 13 if wide else 4
    if image.has_transparency_data:
        between = 12
    # Beside the pixels a decoder holds planes of its own while it decodes, those of HEIC two
    # bytes wide from ten bits on, and twice while it turns them; others keep their pixels
    # until the file is closed. Measured over test files of others and large ones of our own
    # (tests/benchmarks/hostile.md).
    deep = image.info.get("bit_depth", 8) > 8
    decoder = {"HEIF": 22 if deep else 12, "TIFF": 10}.get(str(image.format), 0)
    kept = {"WEBP": (8, 12), "AVIF": (3, 8)}.get(str(image.format), (0, 0))
    beside = kept[image.has_transparency_data]
    return image.width * image.height * max(2 * each + between + beside, each + decoder)


def check_memory(image: Image) -> None:
    """Refuse an open picture that would need more than :data:`MEMORY_LIMIT`.

    Raises
    ------
    PictureError
        If it would.
    """
    need = memory_to_decode(image)
    if need > MEMORY_LIMIT:
        raise PictureError(
            "picture.too_much_memory",
            file=Path(getattr(image, "filename", "")).name,
            need=round(need / 1e9, 1),
            limit=round(MEMORY_LIMIT / 1e9, 1),
        )


def n_pictures(image: Image) -> int:
    """Return how many pictures an open file holds: pages, frames, or views of a pair."""
    try:
        return max(int(getattr(image, "n_frames", 1)), 1)
    except Exception:  # A damaged second page must not cost the first.
        return 1


def orientation(image: Image) -> int:
    """Return the EXIF orientation of an open picture, 1 where it says none."""
    found = exif_of(image).get(0x0112, 1)
    return int(found) if found in range(1, 9) else 1


def upright_size(image: Image) -> tuple[int, int]:
    """Return width and height of an open picture once it stands upright, in pixels."""
    width, height = image.size
    # The decoder of TIFF turns by itself, and says the upright size from the beginning.
    if image.format != "TIFF" and orientation(image) in TURNED:
        return height, width
    return width, height


def turned_upright(image: Image) -> Image:
    """Return an open picture decoded and upright; its other tags, however odd, do not count."""
    from PIL.Image import Transpose

    turns = {
        2: Transpose.FLIP_LEFT_RIGHT,
        3: Transpose.ROTATE_180,
        4: Transpose.FLIP_TOP_BOTTOM,
        5: Transpose.TRANSPOSE,
        6: Transpose.ROTATE_270,
        7: Transpose.TRANSVERSE,
        8: Transpose.ROTATE_90,
    }
    turn = None if image.format == "TIFF" else turns.get(orientation(image))
    check_memory(image)
    image.load()
    if turn is not None:
        return image.transpose(turn)
    # What was decoded apart hangs on no file that will be closed.
    return image if getattr(image, "is_apart", False) else image.copy()


def exif_of(image: Image) -> Any:
    """Return the tags of an open picture; none where they cannot be read."""
    try:
        return image.getexif()
    except Exception:  # A damaged tag block must not cost the picture itself.
        return {}


_WIDE = ("F", "I")


def _from_lab(image: Image) -> Image:
    from PIL import ImageCms

    lab, srgb = ImageCms.createProfile("LAB"), ImageCms.createProfile("sRGB")
    made = ImageCms.profileToProfile(image, lab, srgb, outputMode="RGB")
    assert made is not None
    return made
