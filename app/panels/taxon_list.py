"""The taxa of the guide, to choose one or several from, with a search over all their names."""

from collections.abc import Iterable, Sequence

from PySide6.QtCore import QSignalBlocker, QSize, Qt, Signal
from PySide6.QtWidgets import QLineEdit, QListWidget, QListWidgetItem, QSizePolicy, QWidget

from app.style.follow import follow
from app.style.fonts import font, line_height, scaled
from app.style.icons import icon
from app.style.widgets.bare import bare_column
from landmarks.sentences import say
from landmarks.storage.listing import folded
from landmarks.tables.model import Taxon

ONE, SEVERAL, GENUS = "one", "several", "genus"

_KEY = Qt.ItemDataRole.UserRole


class TaxonList(QWidget):
    """One species, several of them, or a genus.

    Signals
    -------
    changed()
        Something else is picked.
    entered()
        Enter was pressed in an empty search: the person is done.
    """

    changed = Signal()
    entered = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._taxa: tuple[Taxon, ...] = ()
        self._mode = ONE
        self.search = QLineEdit()
        self.search.setAccessibleName(say("naming.search"))
        self.search.setPlaceholderText(say("naming.search"))
        self.search.setClearButtonEnabled(True)
        self.search.addAction(icon("search"), QLineEdit.ActionPosition.LeadingPosition)
        self.search.textChanged.connect(lambda _: self._filter())
        self.search.returnPressed.connect(self._take_first)
        self.list = QListWidget()
        self.list.setAccessibleName(say("naming.taxa"))
        self.list.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Ignored)
        self.list.itemChanged.connect(lambda _: self.changed.emit())
        self.list.itemSelectionChanged.connect(self.changed)
        column = bare_column(self, 4)
        column.addWidget(self.search)
        column.addWidget(self.list, 1)
        follow(self._restyle)

    def set_taxa(self, taxa: Sequence[Taxon]) -> None:
        """Offer these taxa."""
        self._taxa = tuple(taxa)
        self.set_mode(self._mode)

    def set_mode(self, mode: str) -> None:
        """Let one taxon be picked, several, or a genus; what is picked stays where it can."""
        kept = self.picked()
        self._mode = mode
        quiet = QSignalBlocker(self.list)
        self.list.clear()
        rows: Iterable[tuple[str, str]] = ((one.key, one.name) for one in self._taxa)
        if mode == GENUS:
            rows = ((one, one) for one in dict.fromkeys(one.genus for one in self._taxa))
        for key, name in rows:
            self._add(key, name, picked=key in kept)
        quiet.unblock()
        self._filter()
        self.changed.emit()

    def picked(self) -> tuple[str, ...]:
        """Return the keys that are picked; a genus is its own key."""
        if self._mode == SEVERAL:
            checked = Qt.CheckState.Checked
            return tuple(
                one.data(_KEY) for one in self._items() if one.checkState() == checked
            )
        return tuple(one.data(_KEY) for one in self.list.selectedItems()[:1])

    def pick(self, key: str) -> None:
        """Pick a taxon: alone, or one more of several; of a species, a genus list its genus."""
        if self._mode == GENUS:
            key = next((one.genus for one in self._taxa if one.key == key), key)
        self.search.clear()
        for item in self._items():
            if item.data(_KEY) == key:
                if self._mode == SEVERAL:
                    item.setCheckState(Qt.CheckState.Checked)
                self.list.setCurrentItem(item)

    def clear(self) -> None:
        """Pick nothing."""
        self.list.setCurrentRow(-1)
        self.list.clearSelection()
        if self._mode == SEVERAL:
            for item in self._items():
                item.setCheckState(Qt.CheckState.Unchecked)

    def _add(self, key: str, name: str, *, picked: bool) -> None:
        item = QListWidgetItem(name)
        item.setData(_KEY, key)
        self._style(item)
        if self._mode == SEVERAL:
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            state = Qt.CheckState.Checked if picked else Qt.CheckState.Unchecked
            item.setCheckState(state)
        self.list.addItem(item)
        if picked:
            self.list.setCurrentItem(item)

    def _items(self) -> Sequence[QListWidgetItem]:
        return [self.list.item(i) for i in range(self.list.count())]

    def _filter(self) -> None:
        words = folded(self.search.text()).split()
        known = {one.key: one for one in self._taxa}
        for item in self._items():
            one = known.get(item.data(_KEY))
            also = (*one.synonyms, *one.english) if one is not None else ()
            spelled = folded(" ".join((item.text(), *also)))
            item.setHidden(not all(word in spelled for word in words))

    def _take_first(self) -> None:
        shown = [item for item in self._items() if not item.isHidden()]
        if not self.search.text().strip():
            self.entered.emit()
        elif shown:
            self.pick(shown[0].data(_KEY))
            self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _restyle(self) -> None:
        self.list.setMinimumSize(scaled(130), scaled(96))
        quiet = QSignalBlocker(self.list)
        for item in self._items():
            self._style(item)
        quiet.unblock()

    def _style(self, item: QListWidgetItem) -> None:
        item.setFont(font("name_list"))
        item.setSizeHint(QSize(scaled(80), max(24, line_height("name_list") + 6)))
