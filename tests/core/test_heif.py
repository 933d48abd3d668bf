"""A HEIC file is looked at before its decoder sees it: what would kill it is refused."""

import struct

import pytest

from landmarks.errors import PictureError
from landmarks.heif import is_heif, odd_item
from landmarks.picture import read_picture


def box(name, content):
    return struct.pack(">I", 8 + len(content)) + name + content


def heic(*kinds, version=2, brand=b"heic", long=False):
    """Return the boxes of a HEIC file that lists items of these types, and no picture."""
    number = ">HH" if version == 2 else ">IH"
    items = b"".join(
        box(b"infe", bytes([version, 0, 0, 0]) + struct.pack(number, i, 0) + kind + b"\0")
        for i, kind in enumerate(kinds, 1)
    )
    listed = box(b"iinf", bytes(4) + struct.pack(">H", len(kinds)) + items)
    meta = box(b"meta", bytes(4) + box(b"hdlr", bytes(24)) + listed)
    if long:
        meta = struct.pack(">I", 1) + b"meta" + struct.pack(">Q", len(meta) + 8) + meta[8:]
    return box(b"ftyp", brand + bytes(4) + b"mif1") + meta


def written(tmp_path, content):
    path = tmp_path / "clam.heic"
    path.write_bytes(content)
    return path


def test_a_heic_file_is_known_by_its_beginning(tmp_path):
    assert is_heif(written(tmp_path, heic(b"hvc1")))
    assert not is_heif(written(tmp_path, heic(b"hvc1", brand=b"avif")))
    assert not is_heif(written(tmp_path, b"\0\0"))


@pytest.mark.parametrize("version", [2, 3])
@pytest.mark.parametrize("long", [False, True])
def test_an_item_whose_type_is_no_text_is_refused_before_the_decoder_sees_it(
    tmp_path, version, long
):
    # Found by tests/benchmarks/hostile.py: the process ended without a word.
    path = written(tmp_path, heic(b"hvc1", b"E\xeaif", version=version, long=long))
    assert odd_item(path) == r"b'E\xeaif'"
    with pytest.raises(PictureError, match=r"clam\.heic"):
        read_picture(path)
    assert odd_item(written(tmp_path, heic(b"hvc1", b"Exif", version=version))) == ""


@pytest.mark.parametrize("cut", range(0, 120, 7))
def test_boxes_that_are_cut_short_or_lie_about_their_length_end_the_look(tmp_path, cut):
    whole = heic(b"hvc1", b"Exif")
    for content in (whole[:cut], whole[:cut] + b"\0\0\0\3" + whole[cut:]):
        assert isinstance(odd_item(written(tmp_path, content)), str)
