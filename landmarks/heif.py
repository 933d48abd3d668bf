"""What a HEIC file says of its items: what its decoder would die of, and reduced pictures.

The decoder (pi_heif 1.4) dies, and the program with it, of an item whose type is no text.
Boxes and their order: ISO/IEC 14496-12, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

BRANDS = (
    b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs", b"mif1", b"msf1",
)  # fmt: skip
"""How a HEIC file begins, after ``ftyp`` (ISO/IEC 23008-12, from memory)."""

LARGEST_INDEX = 32_000_000
"""Bytes of the part that lists the items; what is longer is no index of a picture."""

BLOCK = 64
"""Pixels of the largest block that HEVC codes (ITU-T H.265, from memory)."""

_PLAIN_BOX = 8


def is_heif(path: Path) -> bool:
    """Return whether a file begins as HEIC does."""
    with path.open("rb") as file:
        head = file.read(12)
    return head[4:8] == b"ftyp" and head[8:] in BRANDS


def odd_item(path: Path) -> str:
    """Return the type of an item that is no text, as it stands there, or nothing.

    What is not built as such files are is left to the decoder, which refuses it.
    """
    with path.open("rb") as file:
        for content in _indexes(file):
            for kind in _item_types(content):
                if not all(0x20 <= letter < 0x7F for letter in kind):
                    return ascii(kind)
    return ""


def is_boxed(path: Path) -> bool:
    """Return whether a file begins as HEIC, AVIF and their like do, which are boxes in boxes."""
    with path.open("rb") as file:
        return file.read(8)[4:] == b"ftyp"


def thumbnails_first(content: bytes) -> Iterator[bytes]:
    """Yield copies of a file, each with one of its reduced pictures in place of its main one.

    Nothing but two numbers is changed: which item is the main one, and what its reference
    to the large picture is called.
    """
    for name, begin, end in _places(content, 0, len(content)):
        if name != b"meta":
            continue
        inside = {kind: (a, b) for kind, a, b in _places(content, begin + 4, end)}
        if b"pitm" not in inside or b"iref" not in inside:
            return
        main, (at, until) = inside[b"pitm"][0], inside[b"iref"]
        main_width = 2 if content[main] == 0 else 4
        main_id = content[main + 4 : main + 4 + main_width]
        width = 2 if content[at] == 0 else 4
        for kind, a, _ in _places(content, at + 4, until):
            of = content[a + width + 2 : a + 2 * width + 2]
            if kind == b"thmb" and int.from_bytes(of, "big") == int.from_bytes(
                main_id, "big"
            ):
                one = bytearray(content)
                item = int.from_bytes(content[a : a + width], "big")
                one[main + 4 : main + 4 + main_width] = item.to_bytes(main_width, "big")
                one[a - 4 : a] = b"free"
                yield bytes(one)
        return


def in_whole_blocks(
    content: bytes, width: int, height: int
) -> tuple[bytes, tuple[int, int, int, int]]:
    """Return a copy that owns up to storing a picture in whole blocks, and what to cut out.

    Some cameras store blocks of 64 pixels, and say only how much of them is to be seen; the
    decoder refuses what is larger than was said (found in test files of others, see
    tests/benchmarks/hostile.md). ``width`` and ``height`` are those of the turned picture, and
    the box is left, top, right and bottom within the turned whole blocks.
    """
    at = content.find(b"irot")
    turns = content[at + 4] & 3 if 0 <= at < len(content) - 4 else 0
    lying = (height, width) if turns % 2 else (width, height)
    blocks = tuple(-(-side // BLOCK) * BLOCK for side in lying)
    kind = b"ispe\0\0\0\0"
    told = kind + b"".join(side.to_bytes(4, "big") for side in lying)
    stored = kind + b"".join(side.to_bytes(4, "big") for side in blocks)
    wide, high = (blocks[1], blocks[0]) if turns % 2 else blocks
    # What is too much lies at the right and the bottom, until it is turned anticlockwise.
    left = wide - width if turns in (2, 3) else 0
    top = high - height if turns in (1, 2) else 0
    return content.replace(told, stored), (left, top, left + width, top + height)


def _indexes(file: BinaryIO) -> Iterator[bytes]:
    """Yield what stands in the ``meta`` boxes of a file, which may be gigabytes long."""
    at, end = 0, file.seek(0, 2)
    while at + _PLAIN_BOX <= end:
        file.seek(at)
        head = file.read(16)
        size, begins = _size(head, end - at)
        if size < begins:
            return
        if head[4:8] == b"meta" and size <= LARGEST_INDEX:
            file.seek(at + begins)
            yield file.read(size - begins)
        at += size


def _item_types(meta: bytes) -> Iterator[bytes]:
    """Yield the type of every item that a ``meta`` box lists."""
    for name, listed in _boxes(meta, 4):
        if name != b"iinf" or not listed:
            continue
        for kind, item in _boxes(listed, 6 if listed[0] == 0 else 8):
            if kind == b"infe" and item[:1] in (b"\2", b"\3"):
                begins = 8 if item[0] == 2 else 10
                yield item[begins : begins + 4]


def _boxes(content: bytes, at: int) -> Iterator[tuple[bytes, bytes]]:
    """Yield name and content of the boxes that stand one after the other."""
    for name, begin, end in _places(content, at, len(content)):
        yield name, content[begin:end]


def _places(content: bytes, at: int, end: int) -> Iterator[tuple[bytes, int, int]]:
    """Yield name, begin and end of the content of boxes that stand one after the other."""
    while at + _PLAIN_BOX <= end:
        size, begins = _size(content[at : at + 16], end - at)
        if size < begins:
            return
        yield content[at + 4 : at + 8], at + begins, min(at + size, end)
        at += size


def _size(head: bytes, left: int) -> tuple[int, int]:
    """Return how long a box is, and how long its head."""
    size = int.from_bytes(head[:4], "big")
    if size == 1:
        return int.from_bytes(head[8:16], "big"), 16
    return size or left, _PLAIN_BOX
