"""Finding specimens: conditions that must hold, the order of the list, kept filters."""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QBoxLayout,
    QCheckBox,
    QHBoxLayout,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from app.panels.fields import (
    ChoiceField,
    Choices,
    labelled,
    one_line,
    titled,
    worded,
)
from app.panels.find_value import example, offer, typed_in, value_field
from app.panels.strip import Strip
from app.session import Aspect, Session, finding
from app.style.follow import follow
from app.style.icons import icon
from app.style.widgets import FlowLayout, Label, button, icon_button
from app.style.widgets.bare import bare_row
from landmarks.errors import HingelineError
from landmarks.finding import (
    NUMBER,
    RELATIONS,
    Field,
    Filter,
    SavedFilter,
    fields,
    filter_words,
    sorting_fields,
)
from landmarks.observations import CONDITIONS, ORIGINS
from landmarks.scheme import PARTS, VIEWS
from landmarks.sentences import known, say, text
from landmarks.sentences.phrases import inside
from landmarks.specimen import LEVELS
from landmarks.storage import Query
from landmarks.storage.contract import ORDERS

OFFERED = (
    "number", "name", "taxon", "level", "determiner", "determined", "missing", "leading",
    "certainty", "fit", "says", "stale", "region", "origin", "condition", "locality",
    "collector", "habitat", "collected", "captured", "view", "part", "pictures",
)  # fmt: skip
"""Fields in the order in which they are offered; the measures follow."""

_NO_VALUE, _TWO_VALUES = ("known", "unknown"), ("between",)


class FindStrip(Strip):
    """A row to make a condition, the conditions that hold, the order, and what is kept."""

    wide_from = 720

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("filter", say("finding.title"), "label", parent)
        self._session = session
        self.set_title(say("finding.title"), say("finding.words"))
        self.field = ChoiceField(say("finding.field"), _field_choices())
        self.relation = ChoiceField(say("finding.relation"))
        self.value, self.upper = (
            value_field("finding.value"),
            value_field("finding.upper"),
        )
        self.surely = QCheckBox(say("finding.surely"))
        self.add = button(say("finding.add"), "primary", "plus")
        self.trouble = Label("", "small", "minus", wrap=True)
        self.conditions = QWidget()
        self._holding = FlowLayout(self.conditions, gap=6, line_gap=4)
        self.order = ChoiceField(say("finding.order"), _order_choices())
        self.descending = QCheckBox(say("finding.descending"))
        self.all = button(say("finding.show_all"))
        self.kept_name = QLineEdit()
        self.kept_name.setAccessibleName(say("finding.kept_name"))
        self.kept_name.setPlaceholderText(say("finding.kept_name.hint"))
        self.keep = button(say("finding.keep"))
        self.kept = QWidget()
        self._kept = FlowLayout(self.kept, gap=6, line_gap=4)
        self.stale = Label("", "small", "ink2", wrap=True)
        self._rows: list[QBoxLayout] = []
        self._lay_out()
        self._connect()
        self.setFocusProxy(self.field)
        self._offer_relations()
        self._renew()
        follow(self._restyle)

    # -- laid out --------------------------------------------------------------------------

    def _lay_out(self) -> None:
        body = QWidget()
        column = QVBoxLayout(body)
        column.setSpacing(6)
        making = _row(
            (labelled(self.field), 3),
            (labelled(self.relation), 2),
            (labelled(self.value), 2),
            (labelled(self.upper), 2),
        )
        adding = _row()
        adding.addWidget(self.surely, 0, Qt.AlignmentFlag.AlignBottom)
        adding.addStretch(1)
        adding.addWidget(self.add, 0, Qt.AlignmentFlag.AlignBottom)
        column.addLayout(self._beside(making, adding))
        column.addWidget(self.trouble)
        column.addWidget(self.conditions)
        column.addWidget(self.stale)
        order = _row((labelled(self.order), 2))
        order.addWidget(self.descending, 0, Qt.AlignmentFlag.AlignBottom)
        order.addStretch(1)
        keeping = _row((labelled(self.kept_name), 2))
        keeping.addWidget(self.keep, 0, Qt.AlignmentFlag.AlignBottom)
        keeping.addStretch(1)
        keeping.addWidget(self.all, 0, Qt.AlignmentFlag.AlignBottom)
        column.addLayout(self._beside(order, keeping, 1))
        column.addWidget(self.kept)
        column.addStretch(1)
        self.set_body(body)
        self.trouble.hide()

    def _beside(
        self, first: QHBoxLayout, second: QHBoxLayout, stretch: int = 0
    ) -> QBoxLayout:
        """Return two rows that stand side by side, or one below the other."""
        both = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        both.setSpacing(8)
        both.addLayout(first, 1)
        both.addLayout(second, stretch)
        self._rows.append(both)
        return both

    def arrange(self, *, wide: bool) -> None:
        """Break the rows in two where there is no room for all of their fields."""
        ways = QBoxLayout.Direction
        for both in self._rows:
            both.setDirection(ways.LeftToRight if wide else ways.TopToBottom)

    def _restyle(self) -> None:
        # Their words stand on one line with those of the fields.
        for one in (self.surely, self.descending):
            one.setFixedHeight(self.order.sizeHint().height())

    def _connect(self) -> None:
        session = self._session
        self.field.chosen.connect(lambda _: self._offer_relations())
        self.relation.chosen.connect(lambda _: self._offer_values())
        self.add.clicked.connect(self._add)
        for one in (self.value, self.upper):
            line = one.lineEdit()
            if line is not None:
                line.returnPressed.connect(self._add)
        self.order.chosen.connect(lambda key: finding.find(session, order=key))
        self.descending.clicked.connect(
            lambda on: finding.find(session, descending=bool(on))
        )
        self.all.clicked.connect(lambda: finding.show_all(session))
        self.keep.clicked.connect(self._keep)
        self.kept_name.returnPressed.connect(self._keep)
        self.kept_name.textChanged.connect(lambda _: self._enable())
        session.changed.connect(self._look)

    # -- shown -----------------------------------------------------------------------------

    def _look(self, aspects: Aspect) -> None:
        if aspects & (Aspect.ROWS | Aspect.COLLECTION | Aspect.PAST | Aspect.SPECIMEN):
            self._renew()
        if aspects & Aspect.GUIDE:
            self._offer_values()

    def _renew(self) -> None:
        session, query = self._session, self._session.query
        _refill(
            self._holding,
            query.filters,
            lambda one: self._condition(one),
            say("finding.none")
            if not query.text
            else say("finding.text", words=query.text),
        )
        self.stale.setText(say("finding.stale", n=session.listing.n_stale))
        self.stale.setVisible(bool(session.listing.n_stale))
        self.order.show_key(query.order)
        self.descending.setChecked(query.descending)
        kept = finding.kept_filters(session)
        self.kept.setVisible(bool(kept))
        self._kept.clear()
        for one in kept:
            self._kept.addWidget(self._kept_filter(one))
        self._enable()

    def _enable(self) -> None:
        query = self._session.query
        usual = Query()
        asks = bool(query.text or query.filters)
        turned = (query.order, query.descending) != (usual.order, usual.descending)
        self.all.setEnabled(asks or turned)
        self.keep.setEnabled((asks or turned) and bool(self.kept_name.text().strip()))

    def _condition(self, one: Filter) -> QWidget:
        words = titled(one_line(text(filter_words(self._named(one)))))
        made = button(words)
        made.setIcon(icon("x"))
        made.setAccessibleName(say("finding.remove", condition=words))
        made.clicked.connect(lambda: finding.remove_condition(self._session, one))
        return made

    def _named(self, one: Filter) -> Filter:
        """Return a condition with the names of the guide in place of its keys."""
        names = dict(self._values(fields()[one.field])) if one.field in fields() else {}
        return replace(one, values=tuple(names.get(str(it), it) for it in one.values))

    def _kept_filter(self, one: SavedFilter) -> QWidget:
        holder = QWidget()
        row = bare_row(holder, 2)
        use = button(one_line(one.name), "plain", "filter")
        use.clicked.connect(lambda: finding.use_kept(self._session, one))
        forget = icon_button("x", say("finding.forget", name=one_line(one.name)))
        forget.clicked.connect(lambda: finding.forget_filter(self._session, one))
        row.addWidget(use)
        row.addWidget(forget)
        return holder

    # -- made ------------------------------------------------------------------------------

    def _chosen(self) -> Field:
        return fields()[self.field.key() or OFFERED[0]]

    def _offer_relations(self) -> None:
        kind = self._chosen().kind
        self.relation.set_choices(
            tuple(
                (key, say(f"finding.relation.{key}"))
                for key, kinds in RELATIONS.items()
                if kind in kinds
            )
        )
        if kind == NUMBER:
            self.relation.show_key("at_least")
        self._offer_values()

    def _offer_values(self) -> None:
        chosen, relation = self._chosen(), self.relation.key()
        values = self._values(chosen)
        for field in (self.value, self.upper):
            offer(field, values)
            line = field.lineEdit()
            if line is not None:
                line.setPlaceholderText(example(chosen))
        shown = {
            self.value: relation not in _NO_VALUE,
            self.upper: relation in _TWO_VALUES,
            self.surely: chosen.kind == NUMBER and relation not in _NO_VALUE,
        }
        for widget, visible in shown.items():
            holder = widget if widget is self.surely else widget.parentWidget()
            if holder is not None:
                holder.setVisible(visible)
        self.trouble.hide()

    def _values(self, field: Field) -> Choices:
        """Return the words a field can have, where they are known beforehand."""
        guide = self._session.guide
        tables = None if guide is None else guide.tables
        if field.key == "region":
            return () if tables is None else [(one.key, one.name) for one in tables.regions]
        if field.key in ("taxon", "leading"):
            return () if tables is None else [(one.key, one.name) for one in tables.taxa]
        listed = {
            "level": ("level", LEVELS),
            "origin": ("origin", ORIGINS),
            "condition": ("condition", CONDITIONS),
            "view": ("view", tuple(VIEWS)),
            "part": ("part", PARTS),
            "missing": ("finding.step", ("scale", "landmarks", "characters", "name")),
            "stale": ("finding", ("yes", "no")),
        }
        prefix, keys = listed.get(field.key, ("", ()))
        return [(key, say(f"{prefix}.{key}")) for key in keys if known(f"{prefix}.{key}")]

    def _add(self) -> None:
        relation = self.relation.key()
        typed = [self.value] if relation not in _NO_VALUE else []
        typed += [self.upper] if relation in _TWO_VALUES else []
        surely = self.surely.isChecked() and self._chosen().kind == NUMBER
        unit, whole = self._chosen().unit, relation != "contains"
        try:
            one = Filter(
                self._chosen().key,
                relation,
                tuple(typed_in(field, unit, whole=whole) for field in typed),
                surely and relation not in _NO_VALUE,
            )
            finding.add_condition(self._session, one)
        except HingelineError as fault:
            self.trouble.setText(text(fault.sentence))
            self.trouble.show()
            return
        self.trouble.hide()
        for field in typed:
            field.setEditText("")

    def _keep(self) -> None:
        name = self.kept_name.text().strip()
        if name and self.keep.isEnabled():
            finding.keep_filter(self._session, name)
            self.kept_name.setText("")


def _field_choices() -> Choices:
    measures = [key for key, one in fields().items() if one.kind == NUMBER and one.derived]
    keys = (*OFFERED, *(key for key in measures if key not in OFFERED))
    return [(key, titled(text(fields()[key].name))) for key in keys]


def order_name(key: str) -> str:
    """Return what an order of the list is called within a line of words."""
    usual = key in ORDERS or key not in fields()
    name = say(f"finding.order.{key}") if usual else text(fields()[key].name)
    return inside(name)


def _order_choices() -> Choices:
    usual = worded("finding.order", ORDERS)
    offered = [key for key in sorting_fields() if key != "picture"]
    return [*usual, *((key, titled(text(fields()[key].name))) for key in offered)]


def _row(*things: tuple[QWidget, int]) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(8)
    for widget, stretch in things:
        row.addWidget(widget, stretch)
    return row


def _refill(
    flow: FlowLayout,
    things: tuple[Filter, ...],
    make: Callable[[Filter], QWidget],
    empty: str,
) -> None:
    flow.clear()
    if not things:
        flow.addWidget(Label(empty, "small", "ink2"))
    for one in things:
        flow.addWidget(make(one))
