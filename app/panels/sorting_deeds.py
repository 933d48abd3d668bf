"""What is done on the sheet of the sorting table, by a key, a button or the mouse."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.panels.sorting_places import GROUP

if TYPE_CHECKING:
    from app.panels.sorting_sheet import SortingSheet


class SheetDeeds:
    """Deeds on what is selected, or on the picture with the keyboard and its group."""

    def __init__(self, sheet: SortingSheet) -> None:
        self._sheet = sheet

    def group_here(self) -> int:
        """Return the group of the picture with the keyboard, or -1."""
        home = self._sheet.sorting.group_of(self._sheet.current)
        return -1 if home is None else home

    def select_group(self) -> None:
        """Select the whole group of the picture with the keyboard."""
        card = self._sheet.places.card_of(self._sheet.current)
        if card is not None:
            self._sheet.select(card.section.keys)

    def select_everywhere(self) -> None:
        """Select the pictures in the same places of every specimen.

        Places are counted from the end where the last picture of one is selected: whoever
        takes the close-ups last gives all of them their view at once.
        """
        card = self._sheet.places.card_of(self._sheet.current)
        if card is not None and card.section.kind == GROUP:
            keys = card.section.keys
            at = [i for i, key in enumerate(keys) if key in self._sheet.selected]
            last = len(keys) - 1 in at
            wanted = [i - len(keys) if last else i for i in at]
            found = [
                one.shots[i]
                for one in self._sheet.sorting.groups
                for i in wanted
                if -len(one.shots) <= i < len(one.shots)
            ]
            self._sheet.select(found, self._sheet.current)

    def merge(self) -> None:
        """Make one group of all that hold selected pictures; of one alone, with the next."""
        sorting, keys = self._sheet.sorting, self._sheet.choice.keys
        homes = {one for key in keys if (one := sorting.group_of(key)) is not None}
        if len(homes) == 1:
            ids = [one.id for one in sorting.groups]
            following = next(iter(sorting.groups[ids.index(homes.pop()) + 1 :]), None)
            keys = (*keys, *(following.shots if following is not None else ()))
        sorting.merge(keys)

    def split(self) -> None:
        """Give the selected pictures a group of their own."""
        self._sheet.sorting.split(self._sheet.choice.keys)
        self._sheet.show_current()

    def split_here(self) -> None:
        """Divide the group before the picture with the keyboard."""
        self._sheet.sorting.split_before(self._sheet.current)

    def move_by(self, by: int) -> None:
        """Give the selected pictures to the group after (1) or before (-1) theirs."""
        ids = [one.id for one in self._sheet.sorting.groups]
        here = self.group_here()
        if here in ids and 0 <= ids.index(here) + by < len(ids):
            self._sheet.sorting.move(self._sheet.choice.keys, ids[ids.index(here) + by])
            self._sheet.show_current()

    def leave_out(self) -> None:
        """Leave the selected pictures out; the keyboard stays here, at the one after them."""
        keys = self._sheet.choice.keys
        after = self._sheet.places.after(keys)
        if after:
            self._sheet.select({after}, after)
        self._sheet.sorting.leave_out(keys)

    def take_along(self) -> None:
        """Take selected pictures in that were apart."""
        self._sheet.sorting.take_along(self._sheet.choice.keys)

    def give_view(self, view: str) -> None:
        """Say which view the selected pictures show."""
        self._sheet.sorting.give_view(self._sheet.choice.keys, view)

    def number(self) -> None:
        """Write the number of the group with the keyboard."""
        if self.group_here() >= 0:
            self.write_number(self.group_here())

    @property
    def may_number_on(self) -> bool:
        """Return whether there is a number here to count on from."""
        here = self.group_here()
        return here >= 0 and bool(self._sheet.sorting.group(here).number)

    def number_on(self) -> None:
        """Count on from the number of the group with the keyboard through those after it."""
        if self.may_number_on:
            self._sheet.sorting.number_on(self.group_here())

    def write_number(self, group: int) -> None:
        """Open the field for the number of a group."""
        first = self._sheet.places.tile(self._sheet.sorting.group(group).shots[0])
        if first is not None:
            self._sheet.show_tile(first)
        self._sheet.field.write(group)
