"""A picture of the rail dropped on a specimen of the list belongs to it from then on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QModelIndex, QObject, QPoint
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QFrame

from app.panels.rail_card import FRAME
from app.session import deeds

if TYPE_CHECKING:
    from app.window.bench import Bench


class Regrouping(QObject):
    """Lets the list take frames, and shows which row would."""

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        self._bench = bench
        self._list = bench.specimens.list
        view = self._list.viewport()
        view.setAcceptDrops(True)
        view.installEventFilter(self)
        self._target = QFrame(view)
        self._target.setObjectName("dropTarget")
        self._target.setStyleSheet(
            "#dropTarget { border: 2px solid palette(highlight); border-radius: 7px; }"
        )
        self._target.hide()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take what carries a frame; all else goes where it always went."""
        if isinstance(event, QDropEvent) and event.mimeData().hasFormat(FRAME):
            specimen = self._specimen_at(event.position().toPoint())
            able = bool(specimen) and self._bench.session.repeat is None
            if event.type() == QEvent.Type.Drop:
                self._target.hide()
                if able:
                    frame = bytes(event.mimeData().data(FRAME).data()).decode()
                    event.acceptProposedAction()
                    deeds.move_frame(self._bench.session, frame, specimen)
                return True
            self._show(event, able=able)
            return True
        if event.type() in (QEvent.Type.DragLeave, QEvent.Type.Hide):
            self._target.hide()
        return super().eventFilter(watched, event)

    def _show(self, event: QDropEvent, *, able: bool) -> None:
        index = self._list.indexAt(event.position().toPoint())
        self._target.setVisible(able)
        if able:
            event.acceptProposedAction()
            self._target.setGeometry(self._list.visualRect(index).adjusted(5, 1, -5, -1))
        elif event.type() == QEvent.Type.DragEnter:
            event.accept()
        else:
            event.ignore()

    def _specimen_at(self, place: QPoint) -> str:
        index: QModelIndex = self._list.indexAt(place)
        row = self._bench.specimens.model.row(index.row()) if index.isValid() else None
        here = self._bench.session.specimen
        if row is None or (here is not None and row.specimen == here.id):
            return ""
        return row.specimen
