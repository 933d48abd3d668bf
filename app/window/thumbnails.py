"""Small pictures for lists and rails: made in the background, kept while they are wanted."""

from __future__ import annotations

from collections import OrderedDict
from pathlib import Path

from PySide6.QtCore import QObject, QSize, QTimer, Signal
from PySide6.QtGui import QImage, QPixmap

from app.background.pictures import PictureLoader
from app.session import Aspect, Session
from landmarks.changes import ChangeSet, Document
from landmarks.collection import Picture, picture_of
from landmarks.geometry import Box
from landmarks.sentences import Sentence
from landmarks.storage import Saved

SIZE = QSize(192, 144)
KEPT = 800
PATIENCE_MS = 120
Key = tuple[str, Box | None]


class Thumbnails(QObject):
    """Answers at once with what there is; :attr:`arrived` tells when more has come."""

    arrived = Signal(str)

    def __init__(self, session: Session, loader: PictureLoader, parent: QObject) -> None:
        super().__init__(parent)
        self._session, self._loader = session, loader
        self._made: OrderedDict[Key, QPixmap] = OrderedDict()
        self._asked: dict[int, Key] = {}
        self._wanted: set[Key] = set()
        self._missing: set[Key] = set()
        self._queue: list[Key] = []
        self._patient = QTimer(self)
        self._patient.setSingleShot(True)
        self._patient.timeout.connect(self._want_all)
        self._away = False
        loader.thumbnailed.connect(self._come)
        loader.failed.connect(self._failed)
        session.changed.connect(self._changed)
        session.journal.saved.connect(self._saved)

    def __call__(self, picture_id: str, region: Box | None = None) -> QPixmap | None:
        """Return the thumbnail of a picture or a region, or None while there is none."""
        key = (picture_id, region)
        if key in self._made:
            self._made.move_to_end(key)
            return self._made[key]
        if picture_id and key not in self._wanted:
            self._wanted.add(key)
            self._queue.append(key)
            self._patient.start(PATIENCE_MS)
        return None

    def put_away(self) -> None:
        """Want nothing any more: the window is being closed."""
        self._away = True
        self._patient.stop()

    def _want_all(self) -> None:
        if self._loader.is_awaited:
            # The picture on the bench and its candidates come before small copies.
            self._patient.start(PATIENCE_MS)
            return
        queue, self._queue = self._queue, []
        for key in queue:
            self._want(key)

    def _want(self, key: Key) -> None:
        picture = self._session.pictures.get(key[0])
        if picture is not None:
            self._order(key, picture)
            return
        store, document = self._session.store, Document("picture", key[0])
        if store is None:
            return

        def load() -> Picture | None:
            found = store.load(document).get(document)
            return None if found is None else picture_of(document.id, found.parts)

        def loaded(found: Picture | None) -> None:
            if found is not None and self._session.store is store:
                self._order(key, found)

        self._session.desk.ask(load, loaded, _nothing)

    def _order(self, key: Key, picture: Picture) -> None:
        if self._away:
            return
        if not self._session.places.may_open(picture):
            self._missing.add(key)
            return
        path: Path = self._session.places.file_of(picture)
        self._asked[self._loader.want_thumbnail(path, SIZE, key[1])] = key

    def _come(self, token: int, image: QImage) -> None:
        key = self._asked.pop(token, None)
        if key is None:
            return
        self._made[key] = QPixmap.fromImage(image)
        self._wanted.discard(key)
        while len(self._made) > KEPT:
            self._made.popitem(last=False)
        self.arrived.emit(key[0])

    def _failed(self, token: int, _: Sentence) -> None:
        # The row keeps its grey plate; the canvas says what is wrong when it is opened.
        key = self._asked.pop(token, None)
        if key is not None:
            self._missing.add(key)

    def _saved(self, deed: ChangeSet, _: Saved) -> None:
        """Ask anew for the pictures whose files are known to be elsewhere now."""
        moved = {one.document.id for one in deed.changes if one.part == "path"}
        for key in [one for one in self._missing if one[0] in moved]:
            self._missing.discard(key)
            self._wanted.discard(key)
            self.arrived.emit(key[0])

    def _changed(self, aspects: Aspect) -> None:
        if aspects & Aspect.COLLECTION:
            self._loader.forget_thumbnails()
            self._made.clear()
            self._asked.clear()
            self._wanted.clear()
            self._missing.clear()
            self._queue.clear()


def _nothing(_: object) -> None:
    """Go on without a picture that cannot be read."""
