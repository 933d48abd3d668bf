"""The label of a specimen, and where it comes from and what happened to it."""

from collections.abc import Mapping
from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QToolButton, QVBoxLayout, QWidget

from app.panels.fields import TextField, WordField, labelled
from app.panels.strip import Strip
from app.panels.where_fields import WhereFields
from app.session import Aspect, Session
from app.session.entering import STICKY, entering
from app.style.widgets import Label, icon_button
from app.style.widgets.painted import plain_tip
from landmarks.sentences import Sentence, say
from landmarks.sentences.numbers import plain
from landmarks.specimen import Label as Written
from landmarks.specimen import Specimen, Where

FIELDS = ("catalogue_number", "locality", "collector", "collected", "depth", "habitat")
LONG_FIELDS = ("verbatim", "remarks")


class LabelStrip(Strip):
    """Label data at the left, circumstances at the right; each saved on leaving its field."""

    wide_from = 620

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("pencil", say("label.title"), "label", parent)
        self._session = session
        self._specimen: Specimen | None = None
        self.set_title(say("label.title"), say("label.words"))
        self.fields: Mapping[str, WordField | TextField] = {
            **{key: WordField(say(f"label.{key}")) for key in FIELDS},
            **{key: TextField(say(f"label.{key}"), 2) for key in LONG_FIELDS},
        }
        for key, field in self.fields.items():
            field.edited.connect(lambda words, it=key: self._write({it: words}))
        self._entering = entering(session)
        self.next_number = icon_button("plus", say("label.next_number"))
        self.pins = {key: self._pin(key) for key in FIELDS if key in STICKY}
        self.read_as = {key: Label("", "caption", "ink2") for key in ("collected", "depth")}
        self.others = Label("", "caption", "caution", wrap=True)
        self._counted: tuple[str, str] = "", ""
        self.where = WhereFields(
            session, say("label.condition.kind"), nothing=say("label.condition.none")
        )
        self._lay_out()
        self.setFocusProxy(self.fields["catalogue_number"])
        self.next_number.clicked.connect(self._number_on)
        self._entering.changed.connect(self._show_along)
        session.changed.connect(self._look)
        self._renew()

    def hideEvent(self, event: QHideEvent) -> None:
        """Keep what was written but not left yet."""
        self._keep_pending()
        super().hideEvent(event)

    def showEvent(self, event: QShowEvent) -> None:
        """See whether others have the number of what is on the bench."""
        super().showEvent(event)
        self._counted = "", ""
        self._count_others()

    # -- laid out --------------------------------------------------------------------------

    def _lay_out(self) -> None:
        body = QWidget()
        grid = self._grid = QGridLayout(body)
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(6)
        for at, key in enumerate(FIELDS):
            grid.addWidget(self._entry(key), at // 3, at % 3)
        for at, key in enumerate(LONG_FIELDS):
            columns = (0, 2) if at == 0 else (2, 1)
            grid.addWidget(labelled(self.fields[key]), 2, columns[0], 1, columns[1])
        self._around = self._circumstances()
        grid.setRowStretch(4, 1)
        self.arrange(wide=True)
        self.set_body(body)

    def _entry(self, key: str) -> QWidget:
        """Return a field with its name, what helps to fill it, and what was understood."""
        helper = self.pins.get(key)
        holder = labelled(self.fields[key])
        column = holder.layout()
        assert isinstance(column, QVBoxLayout)
        row = QHBoxLayout()
        row.setSpacing(2)
        column.removeWidget(self.fields[key])
        row.addWidget(self.fields[key], 1)
        row.addWidget(self.next_number if helper is None else helper)
        column.insertLayout(1, row)
        below = self.others if helper is None else self.read_as.get(key)
        if below is not None:
            column.insertWidget(2, below)
        return holder

    def _pin(self, key: str) -> QToolButton:
        name = say("label.pin", field=say(f"label.{key}"))
        made = icon_button("lock", name)
        made.setCheckable(True)
        made.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        made.clicked.connect(lambda on: self._entering.pin(key, on=bool(on)))
        return made

    def arrange(self, *, wide: bool) -> None:
        """Put the circumstances beside the label, or below it."""
        self._grid.removeWidget(self._around)
        self._grid.addWidget(self._around, *((0, 3, 4, 1) if wide else (3, 0, 1, 3)))
        for column, stretch in enumerate((3, 3, 3, 5 if wide else 0)):
            self._grid.setColumnStretch(column, stretch)

    def _circumstances(self) -> QWidget:
        where, holder = self.where, QWidget()
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(labelled(where.origin), 2)
        row.addWidget(labelled(where.region), 3)
        column.addLayout(row)
        column.addWidget(where.use_region)
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(labelled(where.kind), 3)
        row.addWidget(labelled(where.zone), 3)
        row.addWidget(where.add, 0, Qt.AlignmentFlag.AlignBottom)
        column.addLayout(row)
        column.addWidget(Label(say("label.condition"), "caption", "ink2"))
        column.addWidget(where.conditions)
        column.addStretch(1)
        return holder

    # -- shown -----------------------------------------------------------------------------

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.GUIDE:
            self.where.offer_regions()
        if aspects & (Aspect.SELECTION | Aspect.COLLECTION):
            self._keep_pending()
        if aspects & (
            Aspect.GUIDE | Aspect.SELECTION | Aspect.SPECIMEN | Aspect.COLLECTION
        ):
            self._renew()

    def _renew(self) -> None:
        specimen = self._session.specimen
        self._specimen = specimen
        self.setEnabled(specimen is not None)
        label = specimen.label if specimen is not None else Written()
        for key, field in self.fields.items():
            field.show_words(getattr(label, key))
        self._show_along()
        self._show_read(label)
        self._count_others()
        self.where.show(specimen.where if specimen is not None else Where())

    def _show_along(self) -> None:
        """Show in empty fields what would come along with a number, and the next number."""
        for key, pin in self.pins.items():
            pin.setChecked(key in self._entering.pinned)
            field = self.fields[key]
            if isinstance(field, WordField):
                field.setPlaceholderText(self._entering.comes_along(key))
        number = self.fields["catalogue_number"]
        following = self._entering.suggestion()
        if isinstance(number, WordField):
            number.setPlaceholderText(following)
        self.next_number.setEnabled(bool(following) and self._specimen is not None)
        words = say("label.next_number.of", number=following) if following else ""
        tip = words or say("label.next_number")
        self.next_number.setToolTip(plain_tip(tip))
        self.next_number.setAccessibleName(tip)

    def _show_read(self, label: Written) -> None:
        """Say what was understood of date and depth; the label itself stays as it is."""
        from landmarks.intake import interpreted

        found = interpreted(label)
        read = {"collected": found.event_date, "depth": ""}
        if found.shallowest_m is not None and found.deepest_m is not None:
            ends = [plain(one) for one in (found.shallowest_m, found.deepest_m)]
            same = found.shallowest_m == found.deepest_m
            key = "label.read.depth" if same else "label.read.depths"
            read["depth"] = say(key, shallowest=ends[0], deepest=ends[1])
        for key, line in self.read_as.items():
            words = say("label.read", words=read[key]) if read[key] else ""
            if not words and getattr(label, key):
                words = say("label.read.not")
            line.setText(words)

    def _count_others(self) -> None:
        """Say where other specimens have the same number, which is seldom meant."""
        specimen = self._specimen
        number = "" if specimen is None else specimen.label.catalogue_number
        asked = ("" if specimen is None else specimen.id), number
        if asked == self._counted or not self.isVisible():
            return
        self._counted = asked
        self.others.hide()

        def counted(n: int) -> None:
            if asked == self._counted:
                self.others.setText(say("label.number.others", n=n) if n else "")
                self.others.setVisible(bool(n))

        self._entering.count_others(number, counted)

    # -- done ------------------------------------------------------------------------------

    def _write(self, words: Mapping[str, str]) -> None:
        specimen = self._specimen
        if specimen is not None and words:
            label = replace(specimen.label, **words)  # type: ignore[arg-type]
            if words.get("catalogue_number") and not specimen.label.catalogue_number:
                # With the first number comes what is pinned.
                label = self._entering.filled(label)
            if label != specimen.label:
                self._session.do(Sentence("deed.set_label"), replace(specimen, label=label))

    def _keep_pending(self) -> None:
        """Write what was typed for the specimen that was on the bench till now."""
        found = {key: field.pending() for key, field in self.fields.items()}
        words = {key: one for key, one in found.items() if one is not None}
        for key, one in words.items():
            self.fields[key].take_over(one)
        self._write(words)

    def _number_on(self) -> None:
        self._keep_pending()
        self._entering.give_number()
