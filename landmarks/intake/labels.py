"""Label tables: comma-separated values of any common making, read as text and nothing lost.

RFC 4180 is what is written; what people send has semicolons or tabs, an old code page, a
byte-order mark, rows too short or too long. All of it is read, and what was odd is said.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

from landmarks.errors import DocumentError
from landmarks.sentences import Sentence

MAX_BYTES = 64 * 1024 * 1024
MAX_ROWS = 200_000
MAX_CELL = 100_000
DELIMITERS = (",", ";", "\t", "|")
_TRIGGERS = "=+-@\t\r\n\0＝＋－＠"
_LOOKED_AT = 50
_MOST_NOTES = 200
"""Odd rows that are said one by one; a person reads no more of them."""


@dataclass(frozen=True, slots=True)
class LabelTable:
    """A label table as it stands: text only.

    Attributes
    ----------
    file
        Its name.
    header
        Names of the columns.
    rows
        Cells, row by row; as many as there are columns.
    lines
        The line of the file at which each row ends, from 1.
    encoding, delimiter
        How it was read.
    notes
        What was odd.
    """

    file: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    encoding: str
    delimiter: str
    notes: tuple[Sentence, ...] = ()


def read_label_table(path: Path) -> LabelTable:
    """Read a label table.

    Raises
    ------
    DocumentError
        If it cannot be read, is too large, no text, or has no row below its header.
    """
    try:
        with path.open("rb") as file:
            content = file.read(MAX_BYTES + 1)
    except OSError as fault:
        raise DocumentError(
            "document.cannot_read", file=path.name, reason=fault.strerror or str(fault)
        ) from None
    return parse_label_table(content, path.name)


def parse_label_table(content: bytes, file: str) -> LabelTable:
    """Return the label table that these bytes are.

    Raises
    ------
    DocumentError
        If they are too many, no text, or have no row below a header.
    """
    if len(content) > MAX_BYTES:
        raise DocumentError("intake.labels_too_large", file=file, mega=MAX_BYTES // 2**20)
    words, encoding = _decoded(content, file)
    delimiter = _delimiter(words)
    notes: list[Sentence] = []
    if encoding == "cp1252":
        notes.append(Sentence("intake.old_encoding", {"file": file}))
    rows: list[tuple[str, ...]] = []
    lines: list[int] = []
    header: tuple[str, ...] = ()
    reader = csv.reader(StringIO(words, newline=""), delimiter=delimiter)
    try:
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            if not header:
                header = _header(cells)
                continue
            rows.append(_fitted(cells, len(header), reader.line_num, notes))
            lines.append(reader.line_num)
            if len(rows) > MAX_ROWS:
                raise DocumentError("intake.labels_too_long", file=file, n=MAX_ROWS)
    except csv.Error as fault:
        raise DocumentError(
            "intake.labels_unreadable", file=file, line=reader.line_num, reason=str(fault)
        ) from None
    if not rows:
        raise DocumentError("intake.labels_empty", file=file)
    return LabelTable(
        file, header, tuple(rows), tuple(lines), encoding, delimiter, tuple(notes)
    )


def unguarded(cell: str) -> str:
    """Return a text cell without the apostrophe that guards it against being a formula.

    Exactly one is taken, and only where the rest would have been guarded.

    >>> unguarded("'=A1"), unguarded("'t Hart"), unguarded("''-5")
    ('=A1', "'t Hart", "'-5")
    """
    if not cell.startswith("'"):
        return cell
    rest = cell.lstrip("'").lstrip()
    return cell[1:] if rest[:1] and rest[0] in _TRIGGERS else cell


def _decoded(content: bytes, file: str) -> tuple[str, str]:
    marks = (
        (b"\xef\xbb\xbf", "utf-8-sig"),
        (b"\xff\xfe", "utf-16"),
        (b"\xfe\xff", "utf-16"),
    )
    named = next((name for mark, name in marks if content.startswith(mark)), "")
    for encoding in (named,) if named else ("utf-8", "cp1252"):
        try:
            words = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in words:
            return words, encoding
    raise DocumentError("intake.labels_no_text", file=file)


def _delimiter(words: str) -> str:
    """Return the sign that divides the first rows most evenly into most columns."""
    head = "\n".join(words[:1_000_000].splitlines()[: _LOOKED_AT * 4])

    def weight(sign: str) -> tuple[float, int]:
        try:
            rows = list(csv.reader(StringIO(head, newline=""), delimiter=sign))
        except csv.Error:
            return 0.0, 0
        sizes = [len(row) for row in rows if any(row)][:_LOOKED_AT]
        if not sizes or sizes[0] < 2:
            return 0.0, 0
        return Counter(sizes)[sizes[0]] / len(sizes), sizes[0]

    return max(DELIMITERS, key=weight)


def _header(cells: Sequence[str]) -> tuple[str, ...]:
    names = [unguarded(cell.strip()) for cell in cells]
    while names and not names[-1]:
        names.pop()
    return tuple(names)


def _fitted(
    cells: Sequence[str], n: int, line: int, notes: list[Sentence]
) -> tuple[str, ...]:
    """Return a row of ``n`` cells; what stands beyond goes into the last one, and is said."""
    kept = [unguarded(cell.strip()[:MAX_CELL]) for cell in cells]
    while len(kept) > n and not kept[-1]:
        kept.pop()
    if len(kept) > n:
        _note(notes, "intake.row_long", line, len(kept), n)
        kept[n - 1 :] = [" ".join(filter(None, kept[n - 1 :]))]
    elif len(kept) < n:
        if len(kept) < len(cells) or len(kept) < n:
            _note(notes, "intake.row_short", line, len(kept), n)
        kept.extend([""] * (n - len(kept)))
    return tuple(kept)


def _note(notes: list[Sentence], key: str, line: int, n: int, wanted: int) -> None:
    if len(notes) < _MOST_NOTES:
        notes.append(Sentence(key, {"line": line, "n": n, "wanted": wanted}))
