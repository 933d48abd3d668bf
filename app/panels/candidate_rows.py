"""What the list of candidates is made of: leading names, other names, bracket, fit."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from app.panels.side_rows import Row
from app.style import focus, palette
from app.style.fonts import line_height, scaled
from app.style.icons import icon_pixmap, icon_text
from app.style.tokens import ICON, LAYOUT, RADIUS
from app.style.widgets import Drawing, Label, abbreviated, paint_name
from app.style.widgets.bare import bare_row
from app.style.widgets.nameplate import paint_runs, runs, runs_width
from app.style.widgets.painted import (
    Painted,
    PaintedButton,
    lines_high,
    rounded,
    smooth,
    text_width,
    write,
    write_lines,
)
from landmarks.sentences import percent, say
from landmarks.sentences.numbers import MINUS

TEXT = 28
"""Between the edge of the side and the text of a candidate, which stands under the card's."""

_MARKS = {"plus": "+", "minus": MINUS}

FIT_INK = {"fits_well": "plus", "fits_poorly": "caution", "does_not_fit": "minus"}
FIT_ICON = {"fits_well": "check", "fits_poorly": "triangle-alert", "does_not_fit": "x"}


class Lead(PaintedButton):
    """A name of the answer, with its number and bar; large when it stands alone."""

    def __init__(self, *, large: bool, parent: QWidget | None = None) -> None:
        self._large = large
        self._name = self._authority = self._fit = self.spoken = ""
        self._share = 0.0
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setToolTip(say("side.candidates.open_reasons"))

    def show_lead(
        self, name: str, share: float, authority: str = "", fit: str = ""
    ) -> None:
        """Show a name with its share, author and year, and how well it fits."""
        self._name, self._authority, self._fit = name, authority, fit
        self.set_share(share)
        self._speak()
        self.updateGeometry()

    def set_share(self, share: float) -> None:
        """Show another share, while it moves."""
        moved = _looks(share) != _looks(self._share)
        self._share = share
        if moved:
            self.update()

    def number(self) -> str:
        """Return the share as it is written."""
        return percent(self._share)

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        top = max(line_height("number"), line_height("name_top")) + 2
        if not self._large:
            return QSize(scaled(280), line_height("name_top") + 3 + 6 + 3)
        second = line_height("small") + 2 if self._authority or self._fit else 0
        return QSize(scaled(280), top + second + 6 + 8 + 2)

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(scaled(100), self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        whole = QRectF(self.rect())
        role = "number" if self._large else "title"
        top = line_height("name_top") + 1
        if self._large:
            top = max(line_height("number"), top) + 2
        number, width = self.number(), text_width(self.number(), role) + 2
        right = QRectF(whole.right() - width, 0, width, top)
        write(painter, right, number, role, "accent", Qt.AlignmentFlag.AlignRight)
        paint_name(painter, QRectF(0, 0, right.left() - 10, top), self._name, "name_top")
        if self._large and (self._authority or self._fit):
            self._paint_second(painter, QRectF(0, top, whole.width(), line_height("small")))
        thick = 8 if self._large else 6
        bar = QRectF(0, whole.height() - thick - 2, whole.width(), thick)
        paint_bar(painter, bar, self._share)
        if self.underMouse():
            painter.setPen(QPen(palette.colour("accent_line"), 1))
            painter.drawLine(QPointF(0, top - 1), QPointF(right.left() - 10, top - 1))
        if self.hasFocus():
            focus.paint_ring(painter, whole, RADIUS.control)
        painter.end()

    def _paint_second(self, painter: QPainter, line: QRectF) -> None:
        words = say(f"fit.{self._fit}") if self._fit in FIT_INK else ""
        taken = 0.0
        if words:
            ink = FIT_INK[self._fit]
            width = text_width(words, "small_strong") + 1
            write(
                painter,
                line.adjusted(line.width() - width, 0, 0, 0),
                words,
                "small_strong",
                ink,
            )
            edge = scaled(ICON.inline)
            taken = width + edge + 5
            where = QRectF(line.right() - taken, line.center().y() - edge / 2, edge, edge)
            paint_small_icon(painter, self, where, FIT_ICON[self._fit], ink)
        write(painter, line.adjusted(0, 0, -taken - 8, 0), self._authority, "small", "ink2")

    def _speak(self) -> None:
        spoken = say("side.candidates.spoken", name=self._name, share=self.number())
        self.setAccessibleName(spoken)
        self.setAccessibleDescription(say(f"fit.{self._fit}") if self._fit else "")


class CandidateRow(Row):
    """A further candidate: name, bar, number, and one reason with its sign."""

    def __init__(self, parent: QWidget | None = None) -> None:
        self._name = self._sign = self._reason = self._instead = ""
        self._share = 0.0
        self.ruled_out = self.last = False
        super().__init__(parent)
        self.setToolTip(say("side.candidates.open_reasons"))

    def show_candidate(
        self,
        name: str,
        share: float,
        reason: tuple[str, str],
        *,
        ruled_out: bool,
        instead: str = "",
    ) -> None:
        """Show a candidate; the reason comes with its sign.

        ``instead`` stands in place of bar and number, where a number alone would mislead.
        """
        self._name, self._share, self.ruled_out = name, share, ruled_out
        self._sign, self._reason = reason
        self._instead = say("side.candidates.ruled_out") if ruled_out else instead
        said = self.number()
        self.setAccessibleName(
            say("side.candidates.spoken_reason", name=name, share=said, reason=self._reason)
        )
        self.fit_height()
        self.update()

    def set_share(self, share: float) -> None:
        """Show another share, while it moves."""
        moved = _looks(share) != _looks(self._share)
        self._share = share
        if moved:
            self.update()

    def number(self) -> str:
        """Return what stands at its right end."""
        return self._instead or percent(self._share)

    def height_wanted(self) -> int:
        """Return the height of the row; it grows with type and with its words."""
        words = line_height("name_row") + self._instead_high() + self._reason_high() + 5
        return max(scaled(LAYOUT.candidate_row), words)

    def paint_row(self, painter: QPainter, whole: QRectF) -> None:
        """Write name and number, and the reason below."""
        line = whole.adjusted(TEXT, 2, -TEXT, 0)
        first = QRectF(line.left(), line.top(), line.width(), line_height("name_row") + 1)
        second = first.bottom() + 1
        if self._instead:
            ink = "minus" if self.ruled_out else "caution"
            free, high = (
                first.adjusted(0, 0, -self._instead_width(), 0),
                self._instead_high(),
            )
            if high:
                free, place = first, QRectF(line.left(), second, line.width(), high)
                write_lines(painter, place, self._instead, "small_strong", ink)
            else:
                right = Qt.AlignmentFlag.AlignRight
                write(painter, first, self._instead, "small_strong", ink, right)
            quiet = "ink2" if self.ruled_out else "ink"
            paint_name(painter, free, self._name, "name_row", quiet)
            second += high
        else:
            self._paint_share(painter, first)
        left = line.left()
        middle = second + line_height("small") / 2
        below = QRectF(left, second, line.width(), whole.bottom() - second)
        if self._sign == "x":
            self.paint_icon(painter, left - 2, middle, "x", "minus")
        elif self._sign:
            mark = QRectF(left, second, line.width(), line_height("small"))
            write(painter, mark, _MARKS[self._sign], "small_strong", self._sign)
        below.setLeft(left + self._sign_width())
        write_lines(painter, below, self._reason, "small", "ink2")
        if not self.last:
            bottom = round(whole.bottom()) - 1
            rule = QRectF(TEXT, bottom, whole.width() - 2 * TEXT, 1)
            painter.fillRect(rule, palette.colour("line"))

    def _room(self) -> float:
        return float(self.width() - 2 * TEXT)

    def _instead_width(self) -> float:
        return text_width(self._instead, "small_strong") + 12

    def _instead_high(self) -> int:
        """Return the height of what stands for the number where it needs lines of its own."""
        if not self._instead:
            return 0
        name = runs_width(runs(abbreviated(self._name)), "name_row")
        if name + self._instead_width() <= self._room():
            return 0
        return lines_high(self._instead, "small_strong", self._room())

    def _sign_width(self) -> float:
        if self._sign == "x":
            return scaled(ICON.inline) + 3
        return text_width(_MARKS[self._sign], "small_strong") + 5 if self._sign else 0.0

    def _reason_high(self) -> int:
        room = self._room() - self._sign_width()
        return max(line_height("small"), lines_high(self._reason, "small", room))

    def _paint_share(self, painter: QPainter, line: QRectF) -> None:
        number = scaled(44)
        right = line.adjusted(line.width() - number, 0, 0, 0)
        write(painter, right, self.number(), "strong", "ink", Qt.AlignmentFlag.AlignRight)
        name = runs(abbreviated(self._name))
        room = right.left() - line.left() - runs_width(name, "name_row") - 18
        wide = min(float(scaled(76)), max(24.0, room))
        bar = QRectF(right.left() - 6 - wide, line.center().y() - 3, wide, 6)
        paint_bar(painter, bar, self._share)
        free = line.adjusted(0, 0, -(line.right() - bar.left()) - 10, 0)
        paint_runs(painter, free, name, "name_row", "ink")


class Bracketed(Painted):
    """Names joined by a bracket: they cannot be parted."""

    def __init__(self, names: list[QWidget], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 0, 0, 0)
        column.setSpacing(4)
        for name in names:
            column.addWidget(name)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the bracket at the left of the names."""
        painter = smooth(self)
        painter.setPen(QPen(palette.colour("accent"), 2, c=Qt.PenCapStyle.RoundCap))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        top, bottom = 4.0, self.height() - 3.0
        middle, inner, outer, bend = (top + bottom) / 2, 9.0, 5.0, 6.0
        path = QPainterPath(QPointF(inner, top))
        path.quadTo(outer, top, outer, top + bend)
        path.lineTo(outer, middle - bend)
        path.quadTo(outer, middle, outer - 4, middle)
        path.quadTo(outer, middle, outer, middle + bend)
        path.lineTo(outer, bottom - bend)
        path.quadTo(outer, bottom, inner, bottom)
        painter.drawPath(path)
        painter.end()


class SignLine(QWidget):
    """An icon, words in its ink, and further words: ``fits well; ...`` or a caution."""

    def __init__(
        self,
        icon: str,
        ink: str,
        words: str,
        rest: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.words = f"{words} {rest}".strip()
        self.setAccessibleName(self.words)
        edge = float(ICON.inline)
        row = bare_row(self, 5)
        mark = Drawing(icon_text(icon), (edge, edge), ink)
        row.addWidget(mark, 0, Qt.AlignmentFlag.AlignTop)
        if rest:
            row.addWidget(Label(words, "small_strong", ink), 0, Qt.AlignmentFlag.AlignTop)
            row.addWidget(Label(rest, "small", "ink2", wrap=True), 1)
        else:
            row.addWidget(Label(words, "small", ink, wrap=True), 1)


def _looks(share: float) -> tuple[str, int]:
    """Return what of a share can be seen: its number, and its bar to a quarter per cent."""
    return percent(share), round(400 * share)


def paint_bar(painter: QPainter, track: QRectF, share: float) -> None:
    """Draw a share on its sunken track; never less than a dot."""
    radius = track.height() / 2
    rounded(painter, track, radius, "sunken")
    wide = max(track.height(), track.width() * min(max(share, 0.0), 1.0))
    filled = QRectF(track.left(), track.top(), wide, track.height())
    rounded(painter, filled, radius, "accent")


def paint_small_icon(
    painter: QPainter, widget: QWidget, where: QRectF, name: str, ink: str
) -> None:
    """Draw an icon into a small square of a widget."""
    pixmap = icon_pixmap(name, where.width(), ink, widget.devicePixelRatioF())
    painter.drawPixmap(where.topLeft(), pixmap)
