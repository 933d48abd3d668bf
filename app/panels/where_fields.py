"""Region, origin and condition of the specimen on the bench: the same fields everywhere."""

from __future__ import annotations

from PySide6.QtWidgets import QCheckBox, QWidget

from app.panels.fields import ChoiceField, worded
from app.panels.where_words import condition_button, region_choices
from app.session import Session, deeds
from app.style.widgets import FlowLayout, Label, button
from landmarks.observations import CONDITIONS, ORIGINS, ZONES, Condition
from landmarks.sentences import say
from landmarks.specimen import Where


class WhereFields:
    """The fields, and the deeds that follow from them; who shows them lays them out.

    Parameters
    ----------
    kind_name
        What the choice of a kind of condition is called.
    no_kind
        Words of its first choice, which is none and to which it returns; it may have no such
        choice.
    nothing
        What stands where there are no conditions; without words there is no place for them.
    """

    def __init__(
        self, session: Session, kind_name: str, no_kind: str = "", nothing: str = ""
    ) -> None:
        self._session, self._nothing = session, nothing
        self._begins_empty = bool(no_kind)
        self._shown: tuple[Condition, ...] | None = None
        self.region = ChoiceField(say("label.region"))
        self.origin = ChoiceField(say("label.origin"), worded("origin", ORIGINS))
        self.use_region = QCheckBox(say("label.region.use"))
        self.use_region.setAccessibleName(say("label.region.use"))
        self.kind = ChoiceField(kind_name, worded("condition", CONDITIONS, no_kind))
        self.zone = ChoiceField(say("label.condition.zone"), worded("zone", ZONES))
        self.add = button(say("label.condition.add"))
        self.conditions = QWidget()
        self._flow = FlowLayout(self.conditions, gap=6, line_gap=4)
        self.region.chosen.connect(lambda key: deeds.change_where(session, region=key))
        self.origin.chosen.connect(lambda key: deeds.change_where(session, origin=key))
        self.use_region.clicked.connect(
            lambda on: deeds.change_where(session, use_region=on)
        )
        self.kind.chosen.connect(lambda _: self._enable())
        self.add.clicked.connect(self._add)
        self.offer_regions()

    def offer_regions(self) -> None:
        """Offer the regions that the guide knows."""
        self.region.set_choices(region_choices(self._session))

    def show(self, where: Where) -> None:
        """Show what is recorded."""
        self.region.show_key(where.region)
        self.origin.show_key(where.origin)
        self.use_region.setChecked(where.use_region)
        self.use_region.setEnabled(bool(where.region))
        self._enable()
        if where.condition != self._shown:
            self._shown = where.condition
            self._show_conditions(where.condition)

    # -- inside ----------------------------------------------------------------------------

    def _enable(self) -> None:
        for field in (self.zone, self.add):
            field.setEnabled(bool(self.kind.key()))

    def _show_conditions(self, conditions: tuple[Condition, ...]) -> None:
        self._flow.clear()
        self.conditions.setVisible(bool(conditions or self._nothing))
        if not conditions and self._nothing:
            self._flow.addWidget(Label(self._nothing, "small", "ink2"))
        for one in conditions:
            self._flow.addWidget(condition_button(one, self._remove))

    def _add(self) -> None:
        if self.kind.key():
            deeds.add_condition(self._session, Condition(self.kind.key(), self.zone.key()))
            if self._begins_empty:
                self.kind.show_key("")
                self._enable()

    def _remove(self, one: Condition) -> None:
        deeds.remove_condition(self._session, one)
