"""Scientific names, set as on a museum label, without any markup.

Only genus and species are italic. Qualifiers (cf., aff., sp.), connecting words, authors,
years and names of families are upright.
"""

import re
from functools import lru_cache

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.style import palette, tokens
from app.style.fonts import font, line_height, scaled
from app.style.widgets.painted import Painted, smooth

# A name starts anew after these.
_CONNECTING = {"or", "and", "vs", "vs.", "/", "\N{MULTIPLICATION SIGN}", "x", "with"}
# These stand inside a name; an epithet may follow.
_QUALIFYING = {"cf.", "aff.", "cf", "aff", "?", "ex", "gr.", "var.", "f.", "subsp.", "ssp."}
# After these no epithet follows.
_CLOSING = {
    "sp.", "spp.", "sp", "spp", "indet.", "group", "complex", "hybrid", "agg.", "juvenile",
    "incertae", "nov.",
}  # fmt: skip
_GENUS = re.compile(r"^\(?[A-Z][a-z\u00eb]+\)?$")
_INITIAL = re.compile(r"^[A-Z]\.$")
_EPITHET = re.compile(r"^[a-z\u00eb][a-z\u00eb-]+$")
_FAMILY_ENDINGS = ("idae", "inae", "oidea", "ida", "ini")

Run = tuple[str, bool]


class NameLabel(Painted):
    """A scientific name on one line.

    Too narrow, its genus is abbreviated, then it ends in an ellipsis. Words that are no
    name ("not named yet") are set with `set_words`.
    """

    def __init__(
        self,
        name: str = "",
        role: str = "name_row",
        ink: str = "ink",
        parent: QWidget | None = None,
    ) -> None:
        self._runs: tuple[Run, ...] = ()
        self._short: tuple[Run, ...] = ()
        self._role, self._ink = role, ink
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.set_name(name)

    def set_name(self, name: str, ink: str | None = None) -> None:
        """Show a scientific name."""
        self._runs, self._short = runs(name), runs(abbreviated(name))
        self._set(name, ink)

    def set_words(self, words: str, ink: str | None = None) -> None:
        """Show words that are no scientific name, upright."""
        self._runs = self._short = ((words, False),)
        self._set(words, ink)

    def text(self) -> str:
        """Return the text shown when there is room."""
        return "".join(text for text, _ in self._runs)

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        width = runs_width(self._runs, self._role)
        return QSize(round(width + 2), line_height(self._role) + 2)

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(scaled(40), self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        ink = self._ink if self.isEnabled() else "ink3"
        rect = QRectF(self.rect())
        wide = runs_width(self._runs, self._role) <= rect.width() + 0.5
        paint_runs(painter, rect, self._runs if wide else self._short, self._role, ink)
        painter.end()

    def _set(self, text: str, ink: str | None) -> None:
        self._ink = ink or self._ink
        self.setAccessibleName(text)
        self.restyle()


@lru_cache(maxsize=512)
def runs(name: str) -> tuple[Run, ...]:
    """Return a scientific name as pieces of text, each with whether it is italic."""
    pieces: list[Run] = []
    # What may come next: a genus, an epithet, or (after an author) neither.
    expect = "genus"
    for token in re.split(r"(\s+)", name):
        if not token or token.isspace():
            italic = False
        else:
            italic, expect = _judge(token.rstrip(",;"), expect)
            if token[-1] in ",;" and expect != "genus":
                expect = "none"
        _add(pieces, token, italic=italic)
    return tuple(pieces)


def abbreviated(name: str) -> str:
    """Return a name with each genus that has a species cut to its initial: T. maxima."""
    found = runs(name)
    out = []
    for text, italic in found:
        words = text.split(" ")
        if italic and len(text.split()) > 1 and _GENUS.match(words[0]):
            words[0] = f"{words[0][0]}."
        out.append(" ".join(words))
    return "".join(out)


def runs_width(pieces: tuple[Run, ...], role: str) -> float:
    """Return the width of pieces of text set in a role."""
    return sum(
        QFontMetricsF(_face(role, italic=italic)).horizontalAdvance(text)
        for text, italic in pieces
    )


def paint_name(
    painter: QPainter, rect: QRectF, name: str, role: str = "name_row", ink: str = "ink"
) -> None:
    """Write a scientific name into a rectangle, abbreviated and shortened as needed."""
    pieces = runs(name)
    if runs_width(pieces, role) > rect.width() + 0.5:
        pieces = runs(abbreviated(name))
    paint_runs(painter, rect, pieces, role, ink)


def paint_runs(
    painter: QPainter, rect: QRectF, pieces: tuple[Run, ...], role: str, ink: str
) -> None:
    """Write pieces of text on one base line, the last that fits ending in an ellipsis."""
    painter.setPen(palette.colour(ink))
    measure = QFontMetricsF(_face(role, italic=False))
    baseline = rect.center().y() + (measure.ascent() - measure.descent()) / 2
    x = rect.left()
    for text, italic in pieces:
        face = _face(role, italic=italic)
        metrics = QFontMetricsF(face)
        room = rect.right() - x + 0.5
        shown = metrics.elidedText(text, Qt.TextElideMode.ElideRight, room)
        painter.setFont(face)
        painter.drawText(int(x), round(baseline), shown)
        if shown != text:
            return
        x += metrics.horizontalAdvance(text)


def _judge(token: str, expect: str) -> tuple[bool, str]:
    bare = token.strip("()")
    if bare in _CONNECTING:
        return False, "genus"
    if token in _QUALIFYING:
        return False, "epithet" if expect != "genus" else "genus"
    if token in _CLOSING:
        return False, "none"
    if expect == "none" and token[0] == "(" and _INITIAL.match(token[1:]):
        return True, "epithet"  # Behind a sign: the species in question.
    if expect == "genus":
        if _INITIAL.match(token) or (
            _GENUS.match(token) and not bare.endswith(_FAMILY_ENDINGS)
        ):
            return True, "epithet"
        return False, "none"
    if expect == "epithet" and _EPITHET.match(token.rstrip(")")):
        return True, "epithet"
    return False, "none"


def _add(pieces: list[Run], text: str, *, italic: bool) -> None:
    if not text:
        return
    # A space belongs to the piece before it, so that "Tridacna maxima" is one piece.
    if text.isspace() and pieces:
        pieces[-1] = (pieces[-1][0] + text, pieces[-1][1])
    elif pieces and pieces[-1][1] is italic:
        pieces[-1] = (pieces[-1][0] + text, italic)
    else:
        pieces.append((text, italic))


def _face(role: str, *, italic: bool) -> QFont:
    face = font(role)
    if not italic:
        face.setFamilies([tokens.UI_FAMILY, tokens.FALLBACK_FAMILY])
        face.setItalic(False)
        face.setWeight(QFont.Weight.Normal)
    return face
