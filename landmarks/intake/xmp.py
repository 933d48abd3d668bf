"""XMP, the XML that picture files and their sidecars carry, read without entities.

A packet is a stranger's XML: document types are refused (with them every entity), size and
depth are limited, and what cannot be read is one sentence. Properties are read flat: the
attributes and children of each description, with the items of their lists.

Names of XMP properties: ISO 16684-1 and the IPTC photo metadata standard, from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from xml.parsers import expat

MAX_BYTES = 4 * 1024 * 1024
MAX_DEPTH = 40
MAX_LETTERS = 4000
"""Of one value; a longer one is cut."""

RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
XML = "http://www.w3.org/XML/1998/namespace"
DC = "http://purl.org/dc/elements/1.1/"
RIGHTS = "http://ns.adobe.com/xap/1.0/rights/"
BASIC = "http://ns.adobe.com/xap/1.0/"
PHOTOSHOP = "http://ns.adobe.com/photoshop/1.0/"
EXIF = "http://ns.adobe.com/exif/1.0/"
TIFF = "http://ns.adobe.com/tiff/1.0/"
AUX = "http://ns.adobe.com/exif/1.0/aux/"
CC = "http://creativecommons.org/ns#"

Properties = Mapping[tuple[str, str], tuple[str, ...]]
"""(namespace, name) -> its values in order; of several languages the default one first."""


class XmpError(Exception):
    """The packet is no XML, or XML that is not read here."""


def read_xmp(packet: bytes) -> Properties:
    """Return the properties of a packet.

    Raises
    ------
    XmpError
        If it is too large or too deep, declares a document type, or is not well formed.
    """
    if len(packet) > MAX_BYTES:
        raise XmpError
    reader = _Reader()
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartDoctypeDeclHandler = _refuse
    parser.EntityDeclHandler = _refuse
    parser.StartElementHandler = reader.start
    parser.EndElementHandler = reader.end
    parser.CharacterDataHandler = reader.letters
    parser.buffer_text = True
    try:
        parser.Parse(packet.strip(b"\0 \t\r\n"), True)  # noqa: FBT003 - it is the last of it
    except (expat.ExpatError, ValueError, LookupError):
        raise XmpError from None
    return {
        name: tuple(dict.fromkeys(one for _, one in sorted(values, key=lambda v: v[0])))
        for name, values in reader.found.items()
    }


def first(properties: Properties, *names: tuple[str, str]) -> str:
    """Return the first value of the first of these properties that has one, or ``""``."""
    return next((properties[name][0] for name in names if properties.get(name)), "")


def tidy(words: str) -> str:
    """Return text without control characters and surrounding blanks, cut where it is long."""
    kept = "".join(
        c if c.isprintable() or c in "\n\t" else " " for c in words[:MAX_LETTERS]
    )
    return kept.strip()


def _refuse(*_: object) -> None:
    raise XmpError


class _Reader:
    """Collects the properties while the parser walks."""

    def __init__(self) -> None:
        self.found: dict[tuple[str, str], list[tuple[bool, str]]] = {}
        self._path: list[str] = []
        self._property = ""
        self._depth = 0
        self._text: list[str] = []
        self._other_language = False
        self._filled = False

    def start(self, name: str, attributes: Mapping[str, str]) -> None:
        if len(self._path) >= MAX_DEPTH:
            raise XmpError
        parent = self._path[-1] if self._path else ""
        self._path.append(name)
        self._text = []
        if not self._property and parent == f"{RDF} RDF":
            for attribute, words in attributes.items():
                if not attribute.startswith((RDF, XML)):
                    self._add(attribute, words)
        elif not self._property and parent == f"{RDF} Description":
            self._property, self._depth, self._filled = name, len(self._path), False
            self._resource(attributes)
        elif name == f"{RDF} li":
            self._other_language = attributes.get(f"{XML} lang", "x-default") != "x-default"
            self._resource(attributes)

    def end(self, name: str) -> None:
        if self._property and name == f"{RDF} li":
            self._add(self._property, "".join(self._text))
            self._other_language, self._text = False, []
        elif self._property and len(self._path) == self._depth:
            if not self._filled:
                self._add(self._property, "".join(self._text))
            self._property = ""
        else:
            self._text = []  # Words inside a structure are not those of its property.
        self._path.pop()

    def letters(self, words: str) -> None:
        self._text.append(words)

    def _resource(self, attributes: Mapping[str, str]) -> None:
        if resource := attributes.get(f"{RDF} resource"):
            self._add(self._property, resource)

    def _add(self, name: str, words: str) -> None:
        space, _, local = name.rpartition(" ")
        if kept := tidy(words):
            self._filled = True
            self.found.setdefault((space, local), []).append((self._other_language, kept))
