"""What pictures say of maker, licence, time and place: EXIF, XMP, sidecars, IPTC, and rubbish."""

import struct
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from pytest import approx

from landmarks.collection import Rights
from landmarks.intake import read_one
from landmarks.intake.metadata import degrees_of, sidecar_of
from landmarks.intake.xmp import DC, MAX_BYTES, MAX_LETTERS, XmpError, first, read_xmp

ARTIST, COPYRIGHT, MAKE = 0x013B, 0x8298, 0x010F
LENS, FOCAL, ORIGINAL = 0xA434, 0x920A, 0x9003
SPACES = (
    'xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#" '
    'xmlns:dc="http://purl.org/dc/elements/1.1/" '
    'xmlns:xmp="http://ns.adobe.com/xap/1.0/" '
    'xmlns:xmpRights="http://ns.adobe.com/xap/1.0/rights/" '
    'xmlns:photoshop="http://ns.adobe.com/photoshop/1.0/" '
    'xmlns:exif="http://ns.adobe.com/exif/1.0/" '
    'xmlns:cc="http://creativecommons.org/ns#"'
)


def packet(inside="", attributes=""):
    return (
        f'<?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?>'
        f'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF {SPACES}>'
        f'<rdf:Description rdf:about="" {attributes}>{inside}</rdf:Description>'
        f'</rdf:RDF></x:xmpmeta><?xpacket end="w"?>'
    ).encode()


def seq(name, *values, kind="Seq"):
    items = "".join(f"<rdf:li>{value}</rdf:li>" for value in values)
    return f"<{name}><rdf:{kind}>{items}</rdf:{kind}></{name}>"


def saved(path, exif=None, **kinds):
    block = Image.Exif()
    for tag, told in (exif or {}).items():
        block[tag] = told
    Image.new("RGB", (6, 4)).save(path, exif=block, **kinds)
    return path


# -- what is read ----------------------------------------------------------------------------


def test_maker_and_copyright_come_from_exif(tmp_path):
    path = saved(tmp_path / "a.jpg", {ARTIST: "Mara Quill", COPYRIGHT: "2024 Mara Quill"})
    assert read_one(path).rights == Rights("Mara Quill", statement="2024 Mara Quill")


def test_a_licence_that_is_not_told_stays_empty(tmp_path):
    path = saved(tmp_path / "a.jpg", {COPYRIGHT: "All rights reserved"})
    assert read_one(path).rights.licence == ""


def test_the_two_halves_of_a_copyright_tag_are_both_kept(tmp_path):
    path = tmp_path / "a.tif"
    Image.new("L", (4, 4)).save(path, tiffinfo={COPYRIGHT: "Photographer\0Editor"})
    assert read_one(path).rights.statement == "Photographer / Editor"


def test_lens_and_its_focal_length_are_read(tmp_path):
    path = saved(tmp_path / "a.jpg", {0x8769: {LENS: "Reef 60 macro", FOCAL: 60.0}})
    found = read_one(path).file
    assert (found.lens, found.focal_mm) == ("Reef 60 macro", 60.0)


def test_every_entry_of_xmp_that_is_asked_for_is_read(tmp_path):
    inside = (
        seq("dc:creator", "Mara Quill", "Ivo Quell")
        + '<dc:rights><rdf:Alt><rdf:li xml:lang="de">Alle Rechte</rdf:li>'
        '<rdf:li xml:lang="x-default">Some rights</rdf:li></rdf:Alt></dc:rights>'
        + seq("xmpRights:Owner", "Port Maren Museum", kind="Bag")
        + seq("xmpRights:UsageTerms", "CC BY 4.0", kind="Alt")
        + "<photoshop:Credit>Halverson Reef survey</photoshop:Credit>"
    )
    found = read_one(saved(tmp_path / "a.jpg", xmp=packet(inside)))
    assert found.rights == Rights(
        "Mara Quill; Ivo Quell",
        "CC BY 4.0",
        "Port Maren Museum",
        "Some rights",
        "Halverson Reef survey",
    )
    assert found.notes == ()


@pytest.mark.parametrize(
    ("inside", "licence"),
    [
        ('<cc:license rdf:resource="https://example.org/by/4.0/"/>', "https://example.org/by/4.0/"),
        ("<xmpRights:WebStatement>https://example.org/terms</xmpRights:WebStatement>",
         "https://example.org/terms"),
        ('<cc:license rdf:resource="https://example.org/by/4.0/"/>'
         + seq("xmpRights:UsageTerms", "ask first"), "https://example.org/by/4.0/"),
    ],
)  # fmt: skip
def test_a_licence_stands_in_several_places(tmp_path, inside, licence):
    found = read_one(saved(tmp_path / "a.jpg", xmp=packet(inside)))
    assert found.rights.licence == licence


@pytest.mark.parametrize("suffix", ["jpg", "png", "tif", "webp", "avif"])
def test_xmp_is_found_inside_every_format(tmp_path, suffix):
    from PIL.PngImagePlugin import PngInfo
    from PIL.TiffImagePlugin import ImageFileDirectory_v2

    content = packet(seq("dc:creator", "Mara Quill"))
    kinds = {"xmp": content}
    if suffix == "png":
        info = PngInfo()
        info.add_itxt("XML:com.adobe.xmp", content.decode())
        kinds = {"pnginfo": info}
    elif suffix == "tif":
        tags = ImageFileDirectory_v2()
        tags[700] = content
        kinds = {"tiffinfo": tags}
    path = tmp_path / f"a.{suffix}"
    Image.new("RGB", (16, 16)).save(path, **kinds)
    assert read_one(path).rights.creator == "Mara Quill"


@pytest.mark.parametrize("name", ["clam.xmp", "clam.jpg.xmp", "clam.XMP"])
def test_a_sidecar_of_the_same_name_goes_before_the_file(tmp_path, name):
    path = saved(
        tmp_path / "clam.jpg", {ARTIST: "Camera"}, xmp=packet(seq("dc:creator", "Inside"))
    )
    assert read_one(path).rights.creator == "Inside"
    (tmp_path / name).write_bytes(packet(seq("dc:creator", "Beside")))
    assert sidecar_of(path).name == name
    assert read_one(path).rights.creator == "Beside"


def test_what_the_sidecar_does_not_say_comes_from_the_file(tmp_path):
    path = saved(tmp_path / "clam.jpg", {ARTIST: "Mara Quill"})
    (tmp_path / "clam.xmp").write_bytes(packet("", 'photoshop:Credit="Reef survey"'))
    assert read_one(path).rights == Rights("Mara Quill", credit="Reef survey")


def test_the_older_iptc_block_is_read_where_nothing_else_speaks(tmp_path):
    """A JPEG segment 13 with resource 0x0404; records 2:80, 2:110 and 2:116 (from memory)."""
    records = b"".join(
        struct.pack(">BBBH", 0x1C, 2, number, len(words)) + words
        for number, words in (
            (80, b"M\xc3\xa4ra"),
            (110, b"Reef survey"),
            (116, b"(c) M\xe4ra"),
        )
    )
    resource = b"8BIM\x04\x04\0\0" + struct.pack(">I", len(records)) + records
    block = b"Photoshop 3.0\0" + resource + b"\0" * (len(records) % 2)
    path = saved(tmp_path / "a.jpg")
    content = path.read_bytes()
    segment = b"\xff\xed" + struct.pack(">H", len(block) + 2) + block
    path.write_bytes(content[:2] + segment + content[2:])
    assert read_one(path).rights == Rights(
        "Mära", statement="(c) Mära", credit="Reef survey"
    )


# -- time and place --------------------------------------------------------------------------


def test_a_time_from_xmp_fills_a_header_without_one_and_stands_as_written(tmp_path):
    told = "<exif:DateTimeOriginal>2024-03-12T10:41:07+11:00</exif:DateTimeOriginal>"
    found = read_one(saved(tmp_path / "a.jpg", xmp=packet(told))).file
    assert (found.captured, found.zone) == ("2024-03-12T10:41:07+11:00", "+11:00")


def test_the_camera_s_own_time_goes_before_xmp(tmp_path):
    found = read_one(
        saved(
            tmp_path / "a.jpg",
            {0x8769: {ORIGINAL: "2024:03:12 10:41:07"}},
            xmp=packet("", 'xmp:CreateDate="2025-01-01T00:00:00+01:00"'),
        )
    ).file
    assert (found.captured, found.zone) == ("2024:03:12 10:41:07", "")


def test_a_place_from_xmp_fills_a_header_without_one(tmp_path):
    attributes = 'exif:GPSLatitude="8,30.738S" exif:GPSLongitude="146,15.6E"'
    found = read_one(saved(tmp_path / "a.jpg", xmp=packet("", attributes))).file
    assert (found.latitude, found.longitude) == (approx(-8.5123), approx(146.26))


@pytest.mark.parametrize(
    "words", ["", "S", "8,30.7", "91,0N", "8,-3S", "a,bS", "1,2,3,4S", "nan,0S", "inf,0N"]
)
def test_a_coordinate_that_is_none_is_none(words):
    assert degrees_of(words) is None


def test_a_place_without_a_fix_or_at_nought_and_nought_is_none(tmp_path):
    place = {1: "N", 2: (10.0, 0.0, 0.0), 3: "E", 4: (20.0, 0.0, 0.0)}
    good = read_one(saved(tmp_path / "a.jpg", {0x8825: place})).file
    assert (good.latitude, good.longitude) == (10, 20)
    for spoilt in ({9: "V"}, {2: (0.0, 0.0, 0.0), 4: (0.0, 0.0, 0.0)}):
        found = read_one(saved(tmp_path / "b.jpg", {0x8825: place | spoilt})).file
        assert found.latitude is found.longitude is None


# -- rubbish ---------------------------------------------------------------------------------

BOMB = (
    b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;">]>'
    b"<x>&c;</x>"
)
LEAK = b'<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]><x>&a;</x>'


@pytest.mark.parametrize(
    "content",
    [
        BOMB,
        LEAK,
        b"<!DOCTYPE x><x/>",
        b"<x>&undeclared;</x>",
        b"<x",
        b"",
        b"\0" * 50,
        b"<a>" * 5000,
        b"<?xml version='1.0' encoding='no-such'?><x/>",
        b"\xff\xfe<\0x\0",
        b" " * (MAX_BYTES + 1),
    ],
)
def test_xml_that_is_not_read_here_is_refused_and_costs_no_picture(tmp_path, content):
    with pytest.raises(XmpError):
        read_xmp(content)
    path = saved(tmp_path / "a.jpg", {ARTIST: "Mara Quill"})
    (tmp_path / "a.xmp").write_bytes(content)
    begun = time.monotonic()
    found = read_one(path)
    assert time.monotonic() - begun < 2
    assert found.rights.creator == "Mara Quill"
    assert [note.key for note in found.notes] == ["intake.sidecar_left_out"]


def test_a_bad_packet_inside_is_said_too(tmp_path):
    found = read_one(saved(tmp_path / "a.jpg", xmp=BOMB))
    assert [note.key for note in found.notes] == ["intake.packet_left_out"]
    assert found.rights == Rights()


@given(st.binary(max_size=300))
def test_any_bytes_give_properties_or_the_one_fault(content):
    try:
        found = read_xmp(content)
    except XmpError:
        found = {}
    assert all(isinstance(value, str) for values in found.values() for value in values)


@settings(max_examples=60)
@given(st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), max_size=80))
def test_any_words_come_back_without_control_characters(words):
    from xml.sax.saxutils import escape

    clean = "".join(c for c in words if c.isprintable())
    content = packet(seq("dc:creator", escape(clean)))
    assert first(read_xmp(content), (DC, "creator")) == clean.strip()


def test_a_word_without_end_is_cut():
    found = read_xmp(packet(seq("dc:creator", "x" * 100_000)))
    assert len(first(found, (DC, "creator"))) == MAX_LETTERS


def test_text_of_a_stranger_stays_text(tmp_path):
    words = "&lt;img src=x onerror=alert(1)&gt; {0} %s"
    found = read_one(saved(tmp_path / "a.jpg", xmp=packet(seq("dc:creator", words))))
    assert found.rights.creator == "<img src=x onerror=alert(1)> {0} %s"


def test_structures_inside_a_property_are_not_taken_for_its_words():
    inside = (
        '<photoshop:Credit rdf:parseType="Resource"><dc:title>no</dc:title>'
        "</photoshop:Credit>" + seq("dc:creator", "Mara Quill")
    )
    found = read_xmp(packet(inside))
    assert found[DC, "creator"] == ("Mara Quill",)
    assert set(found) == {(DC, "creator")}


def test_camera_words_may_be_in_any_make(tmp_path):
    path = saved(tmp_path / "a.jpg", {MAKE: "Inventor Works"})
    assert read_one(path).file.camera == "Inventor Works"
