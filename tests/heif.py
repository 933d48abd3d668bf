"""HEIC files for tests, made without an encoder: every block holds its samples as they are.

HEVC lets a block carry plain samples (I_PCM), so a picture of grey can be written
exactly with a few bits of arithmetic coding around them. Syntax: ITU-T H.265 sections 7.3 and
9.3, boxes: ISO/IEC 14496-12 and 23008-12, all from memory; the decoder of the program is what
checks it.
"""

from __future__ import annotations

import struct

import numpy as np

BLOCK = 16


def heic(pixels, *, exif=b"", xmp=b"", turns=0, mirror=None, thumbnail=None):
    """Return a HEIC file of grey pixels (height, width): multiples of 16, at most 40 blocks.

    ``turns`` are quarter turns anticlockwise that the file asks for, ``mirror`` the axis (0
    vertical, 1 horizontal) it asks for after them; ``exif`` a TIFF block, ``xmp`` a packet;
    ``thumbnail`` the grey pixels of a reduced picture, turned likewise.
    """
    height, width = pixels.shape
    assert height % BLOCK == width % BLOCK == 0
    stored = struct.pack(">I", len(nal := _slice(pixels))) + nal
    items = [(1, b"hvc1", stored)]
    if thumbnail is not None:
        small = _slice(thumbnail)
        items.append((9, b"hvc1", struct.pack(">I", len(small)) + small))
    if exif:
        items.append((2, b"Exif", struct.pack(">I", 0) + exif))
    if xmp:
        items.append((3, b"mime", xmp))
    properties = [
        _full(b"ispe", struct.pack(">II", width, height)),
        _box(b"hvcC", _configuration(width, height)),
        _full(b"pixi", bytes([3, 8, 8, 8])),
        # sRGB, its samples from 0 to 255.
        _box(b"colr", b"nclx" + struct.pack(">HHHB", 1, 13, 6, 0x80)),
    ]
    if turns:
        properties.append(_box(b"irot", bytes([turns])))
    if mirror is not None:
        properties.append(_box(b"imir", bytes([mirror])))
    also = []
    if thumbnail is not None:
        tall, wide = thumbnail.shape
        also = [
            _full(b"ispe", struct.pack(">II", wide, tall)),
            _box(b"hvcC", _configuration(wide, tall)),
        ]
    return _file(items, properties, also)


# -- boxes -----------------------------------------------------------------------------------


def _box(kind, content):
    return struct.pack(">I", 8 + len(content)) + kind + content


def _full(kind, content, version=0, flags=0):
    return _box(kind, struct.pack(">I", version << 24 | flags) + content)


def _file(items, properties, also):
    head = _box(b"ftyp", b"heic" + bytes(4) + b"mif1heic")
    first = 0
    # The places of the items depend on the length of the box that tells them: written twice.
    for _ in range(2):
        meta = _meta(items, properties, also, first)
        first = len(head) + len(meta) + 8
    return head + meta + _box(b"mdat", b"".join(data for _, _, data in items))


def _meta(items, properties, also, first):
    infos, places, references = b"", b"", b""
    for number, kind, data in items:
        name = b"\0" + (b"application/rdf+xml\0" if kind == b"mime" else b"")
        infos += _full(b"infe", struct.pack(">HH", number, 0) + kind + name, version=2)
        places += struct.pack(">HHHII", number, 0, 1, first, len(data))
        first += len(data)
        if number > 1:
            why = b"thmb" if kind == b"hvc1" else b"cdsc"
            references += _box(why, struct.pack(">HHH", number, 1, 1))
    # The configuration is needed to decode, and the turns to show.
    belonging = bytes(
        (0x80 if i == 2 or i > 4 else 0) | i for i in range(1, len(properties) + 1)
    )
    entry = struct.pack(">IHB", 1 + bool(also), 1, len(properties)) + belonging
    if also:
        # Its own size and configuration, and the rest as the large picture has it.
        n = len(properties)
        own = bytes([n + 1, 0x80 | (n + 2)]) + belonging[2:]
        entry += struct.pack(">HB", 9, len(own)) + own
    parts = [
        _full(b"hdlr", bytes(4) + b"pict" + bytes(13)),
        _full(b"pitm", struct.pack(">H", 1)),
        _full(b"iinf", struct.pack(">H", len(items)) + infos),
        _full(b"iloc", bytes([0x44, 0]) + struct.pack(">H", len(items)) + places),
        _box(
            b"iprp", _box(b"ipco", b"".join([*properties, *also])) + _full(b"ipma", entry)
        ),
    ]
    if references:
        parts.append(_full(b"iref", references))
    return _full(b"meta", b"".join(parts))


def _configuration(width, height):
    """Return the decoder configuration: profile, and the three parameter sets."""
    sets = [(32, _vps()), (33, _sps(width, height)), (34, _pps())]
    arrays = b"".join(
        struct.pack(">BHH", 0x80 | kind, 1, len(one)) + one for kind, one in sets
    )
    head = bytes([1, PROFILE]) + struct.pack(">I", COMPATIBLE) + CONSTRAINTS
    head += bytes([LEVEL]) + struct.pack(">H", 0xF000) + bytes([0xFC, 0xFD, 0xF8, 0xF8])
    return head + struct.pack(">H", 0) + bytes([0x0F, len(sets)]) + arrays


# -- HEVC ------------------------------------------------------------------------------------

PROFILE, LEVEL, COMPATIBLE = 1, 93, 0x60000000
CONSTRAINTS = bytes([0x90, 0, 0, 0, 0, 0])
GREY = 128
"""What both colour samples are where there is no colour."""


class Bits:
    def __init__(self):
        self.bits = []

    def u(self, value, n):
        self.bits += [value >> i & 1 for i in reversed(range(n))]
        return self

    def ue(self, value):
        return self.u(value + 1, 2 * (value + 1).bit_length() - 1)

    def aligned(self):
        while len(self.bits) % 8:
            self.bits.append(0)
        return self

    def trailing(self):
        return self.u(1, 1).aligned()

    def data(self):
        return np.packbits(np.array(self.bits, np.uint8)).tobytes()


def _nal(kind, bits):
    """Return a unit: no three bytes in it may look like a start, so a 3 goes between."""
    out, noughts = bytearray([kind << 1, 1]), 0
    for byte in bits.data():
        if noughts >= 2 and byte <= 3:
            out.append(3)
            noughts = 0
        out.append(byte)
        noughts = noughts + 1 if byte == 0 else 0
    return bytes(out)


def _profile(bits):
    bits.u(0, 3).u(PROFILE, 5).u(COMPATIBLE, 32)
    for byte in CONSTRAINTS:
        bits.u(byte, 8)
    return bits.u(LEVEL, 8)


def _vps():
    bits = Bits().u(0, 4).u(3, 2).u(0, 6).u(0, 3).u(1, 1).u(0xFFFF, 16)
    _profile(bits).u(1, 1).ue(0).ue(0).ue(0)
    return _nal(32, bits.u(0, 6).ue(0).u(0, 1).u(0, 1).trailing())


def _sps(width, height):
    bits = _profile(Bits().u(0, 4).u(0, 3).u(1, 1)).ue(0)
    bits.ue(1).ue(width).ue(height).u(0, 1)  # colour at half size, nothing cut off
    bits.ue(0).ue(0).ue(0).u(1, 1).ue(0).ue(0).ue(0)
    bits.ue(1).ue(0).ue(0).ue(2).ue(0).ue(0)  # blocks of 16, none smaller
    bits.u(0, 1).u(0, 1).u(0, 1)
    bits.u(1, 1).u(7, 4).u(7, 4).ue(1).ue(0).u(1, 1)  # plain samples of 8 bits, in 16s
    bits.ue(0).u(0, 1).u(0, 1).u(0, 1)
    # Samples from 0 to 255, not 16 to 235.
    bits.u(1, 1).u(0, 1).u(0, 1).u(1, 1).u(5, 3).u(1, 1).u(0, 1)
    bits.u(0, 1).u(0, 1).u(0, 1).u(0, 1).u(0, 1).u(0, 1).u(0, 1)
    return _nal(33, bits.u(0, 1).trailing())


def _pps():
    bits = Bits().ue(0).ue(0).u(0, 1).u(0, 1).u(0, 3).u(0, 1).u(0, 1).ue(0).ue(0).ue(0)
    bits.u(0, 1).u(0, 1).u(0, 1).ue(0).ue(0).u(0, 1)
    bits.u(0, 1).u(0, 1).u(0, 1).u(0, 1).u(0, 1).u(0, 1)
    bits.u(1, 1).u(0, 1).u(1, 1)  # no smoothing over block borders
    return _nal(34, bits.u(0, 1).u(0, 1).ue(0).u(0, 1).u(0, 1).trailing())


def _slice(pixels):
    bits = Bits().u(1, 1).u(0, 1).ue(0).ue(2)  # a key picture of its own blocks
    bits.ue(0).trailing()  # no change of step; then the coded part begins on a byte
    coder = Coder(bits)
    rows, columns = (size // BLOCK for size in pixels.shape)
    for row in range(rows):
        for column in range(columns):
            coder.undivided()
            coder.last(1)  # it holds plain samples
            coder.finish()
            bits.aligned()
            block = pixels[row * BLOCK :][:BLOCK, column * BLOCK :][:, :BLOCK]
            for sample in block.ravel().tolist() + [GREY] * (BLOCK * BLOCK // 2):
                bits.u(sample, 8)
            coder.begin()
            coder.last(int(row == rows - 1 and column == columns - 1))
    coder.finish()
    return _nal(19, bits.aligned())


# Of a bit that is always the likelier one: how much of the whole range the other has, from
# state to state (table of rangeTabLps, its last column).
UNLIKELY = (
    240, 227, 216, 205, 195, 185, 175, 166, 158, 150, 142, 135, 128, 122, 116, 110, 104, 99,
    94, 89, 85, 80, 76, 72, 69, 65, 62, 59, 56, 53, 50, 48, 45, 43, 41, 39, 37, 35, 33, 31,
)  # fmt: skip


class Coder:
    """The arithmetic coder of HEVC (9.3.4), for the two kinds of bits that are needed.

    The one context begins even (184 at step 26), and its bit is always 1.
    """

    def __init__(self, bits):
        self.bits, self.state = bits, 0
        self.begin()

    def begin(self):
        self.low, self.range, self.waiting, self.first = 0, 510, 0, True

    def undivided(self):
        """Say that a block is not divided: the likelier value of the context, a 1."""
        assert self.range >> 6 & 3 == 3
        self.range -= UNLIKELY[self.state]
        self.state += 1
        self._renew()

    def last(self, value):
        """Say whether plain samples, or the end, follow."""
        self.range -= 2
        if value:
            self.low += self.range
            self.range = 2
        self._renew()

    def finish(self):
        """End after a last(1): what is left in the coder, and the bit that stops it."""
        self._put(self.low >> 9 & 1)
        self.bits.u(self.low >> 7 & 3 | 1, 2)

    def _renew(self):
        while self.range < 256:
            if self.low < 256:
                self._put(0)
            elif self.low >= 512:
                self.low -= 512
                self._put(1)
            else:
                self.low -= 256
                self.waiting += 1
            self.range <<= 1
            self.low <<= 1

    def _put(self, value):
        if self.first:
            self.first = False
        else:
            self.bits.u(value, 1)
        for _ in range(self.waiting):
            self.bits.u(1 - value, 1)
        self.waiting = 0
