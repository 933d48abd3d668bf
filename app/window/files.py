"""Files in and out of the window: pictures taken in, collections opened, begun and copied."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QFileDialog, QWidget

from app.background.desk import Desk
from app.session import Session, deeds
from app.settings import Settings
from app.window.collection_files import (
    SUFFIX,
    copy_collection,
    dialog_filter,
    open_collection_file,
    own_folder,
    sorted_out,
    unused,
    with_ending,
)
from landmarks import intake
from landmarks.changes import ChangeSet
from landmarks.identification import Guide
from landmarks.picture import SUFFIXES as PICTURE_SUFFIXES
from landmarks.sentences import Sentence, say
from landmarks.storage import Store

if TYPE_CHECKING:
    from landmarks.intake import Found, Refused

    _Read = tuple[Sequence[Found], Sequence[Refused]]


class Files(QObject):
    """Asks for files and hands them to the session; reading is done off the screen thread.

    Signals
    -------
    sorting_wanted(list of Path)
        More than one picture is to be taken in: they want to be sorted first.
    """

    sorting_wanted = Signal(object)

    def __init__(self, session: Session, settings: Settings, window: QWidget) -> None:
        super().__init__(window)
        self._session, self._settings, self._window = session, settings, window
        self._reader = Desk(self)
        self._begun: Path | None = None
        self.sorting_open: Callable[[], bool] = lambda: False

    @property
    def reader(self) -> Desk:
        """Return the worker that reads files."""
        return self._reader

    def close(self) -> None:
        """Stop the reading worker."""
        self._reader.close()

    def start(self, paths: Sequence[Path], then: Callable[[], None]) -> None:
        """Open what was named, or what was open last, or the worked example.

        ``then`` is called when something is open; what could not be opened is said after.
        """
        named, pictures = sorted_out(paths)
        last = str(self._settings["last_collection"])
        path = named[0] if named else Path(last) if last else None

        def opened() -> None:
            then()
            if pictures:
                self.take_in(pictures)

        def failed(sentence: Sentence) -> None:
            def example() -> None:
                then()
                self._failed(sentence)

            self._open_example(example)

        if path is not None:
            self._open(path, lambda: open_collection_file(path), opened, failed)
        elif len(pictures) == 1 and pictures[0].is_file():
            self._begin_own(opened)
        else:
            # Several are sorted first, and may yet be taken in nowhere.
            self._open_example(opened)

    def open_anything(self, paths: Sequence[Path]) -> None:
        """Open what was dropped: a collection, or pictures, or both."""
        collections, pictures = sorted_out(paths)
        if collections:
            self.open_collection(
                collections[0], then=lambda: self.take_in(pictures) if pictures else None
            )
        elif pictures:
            self.take_in(pictures)

    # -- collections -----------------------------------------------------------------------

    def open_example(self) -> None:
        """Open the worked example; nothing of it is kept."""
        self._open_example(None)

    def open_collection(self, path: Path, then: Callable[[], None] | None = None) -> None:
        """Open a collection file."""
        self._open(path, lambda: open_collection_file(path), then)

    def new_collection(self, path: Path, then: Callable[[], None] | None = None) -> None:
        """Begin a new collection in a new file."""
        path = with_ending(path)
        self._open(path, lambda: open_collection_file(path, create=True), then)

    def pick_collection(self) -> None:
        """Ask for a collection and open it."""
        found, _ = QFileDialog.getOpenFileName(
            self._window, say("files.open_collection"), self._folder(), dialog_filter()
        )
        if found:
            self.open_collection(Path(found))

    def pick_new_collection(self) -> None:
        """Ask where a new collection shall be and begin it."""
        where = f"{self._folder()}/collection{SUFFIX}"
        found, _ = QFileDialog.getSaveFileName(
            self._window, say("files.new_collection"), where, dialog_filter()
        )
        if found:
            self.new_collection(Path(found))

    def pick_copy(self) -> None:
        """Ask where to write a copy of the whole collection."""
        found, _ = QFileDialog.getSaveFileName(
            self._window, say("files.save_copy"), self._folder(), dialog_filter()
        )
        if found:
            self.save_copy(Path(found))

    def save_copy(self, path: Path) -> None:
        """Write a copy of the whole collection to a new file, unsaved deeds included."""
        store, waiting = self._session.store, self._session.journal.waiting
        if store is None:
            return
        path = with_ending(path)

        def copied(_: None) -> None:
            if waiting and self._session.saving.state == "failed":
                self._go_on_in(path, waiting)
            else:
                self._session.notice(Sentence("files.copied", {"file": str(path)}))

        self._session.desk.ask(
            lambda: copy_collection(store, path, waiting), copied, self._failed
        )

    def _go_on_in(self, copy: Path, waiting: Sequence[ChangeSet]) -> None:
        """Open a copy that holds what could not be saved here, at the same specimen."""
        here, frame = self._session.specimen, self._session.frame

        def opened() -> None:
            if here is not None:
                self._session.choose(here.id, "" if frame is None else frame.id)
            self._session.notice(Sentence("files.copied_on", {"file": str(copy)}))

        self._session.journal.forget(waiting)
        self.open_collection(copy, then=opened)

    # -- species tables --------------------------------------------------------------------

    def pick_tables(self) -> None:
        """Ask for a folder of species tables and reason with them from now on."""
        found = QFileDialog.getExistingDirectory(
            self._window, say("files.open_tables"), self._folder()
        )
        if found:
            self.use_tables(Path(found))

    def use_tables(self, folder: Path | None) -> None:
        """Reason with the tables of a folder, or with our own; a faulty one changes nothing."""

        def used(guide: Guide) -> None:
            self._settings.set("tables", "" if folder is None else str(folder))
            self._session.use_guide(guide)
            title = guide.tables.title
            self._session.notice(Sentence("files.tables_used", {"title": title}))

        self._reader.ask(lambda: read_guide(folder), used, self._failed)

    # -- pictures --------------------------------------------------------------------------

    def pick_pictures(self) -> None:
        """Ask for pictures and take each in as a specimen of its own."""
        found = self._ask_for_pictures()
        if found:
            self.take_in(found)

    def pick_view(self) -> None:
        """Ask for pictures that show the specimen on the bench in further views."""
        found = self._ask_for_pictures()
        if found:
            self.take_in(found, same_specimen=True)

    def take_in(self, paths: Sequence[Path], *, same_specimen: bool = False) -> None:
        """Take pictures (and the pictures of folders) in: one at once, several sorted first.

        While a sorting table is open, they are sorted there with the others. Pictures dropped
        on the worked example begin a collection of the person's own.
        """
        sorting = self.sorting_open()

        def at_once(files: Sequence[Path]) -> bool:
            return same_specimen or not files or (len(files) == 1 and not sorting)

        def read(answer: tuple[list[Path], _Read, Sentence | None]) -> None:
            files, (found, refused), passed = answer
            if passed is not None:
                self._session.notice(passed, "caution")
            if not files and passed is not None:
                return
            if not at_once(files):
                self.sorting_wanted.emit(files)
            else:
                self.take_found(paths, found, refused, same_specimen=same_specimen)

        def question() -> tuple[list[Path], _Read, Sentence | None]:
            files = list(intake.files_in(paths))
            some = intake.read_all(files) if at_once(files) else ((), ())
            return files, some, intake.passed_over(paths)

        self._reader.ask(question, read, self._failed)

    def take_found(
        self,
        paths: Sequence[Path],
        found: Sequence[Found],
        refused: Sequence[Refused],
        *,
        same_specimen: bool = False,
    ) -> None:
        """Add files that were read to the collection, and say what could not be."""
        faults = [one.why for one in refused]

        def add() -> None:
            store = self._session.store

            def known() -> None:
                if self._session.store is not store:
                    return
                if same_specimen:
                    deeds.take_in_views(self._session, found)
                else:
                    deeds.take_in_alone(self._session, found)
                for one in found:
                    for note in one.notes:
                        self._session.notice(note, "caution")
                self._say_taken(paths, some=bool(found), faults=faults)

            # Pictures are known by their content, on the bench or not.
            contents = [one.file.sha256 for one in found]
            self._session.reader.pictures_with(contents, known)

        if found:
            self.with_collection(add)
        else:
            self._say_taken(paths, some=False, faults=faults)

    def with_collection(self, then: Callable[[], None]) -> None:
        """Go on with the open collection; from the worked example, with a new one."""
        if self._session.example or self._session.store is None:
            self._begin_own(then)
        else:
            then()

    def say_faults(self, faults: Sequence[Sentence]) -> None:
        """Say what of a sorting table could not be taken in, and what was begun."""
        self._say_taken((), some=True, faults=faults)

    # -- inside ----------------------------------------------------------------------------

    def _say_taken(
        self, paths: Sequence[Path], *, some: bool, faults: Sequence[Sentence]
    ) -> None:
        """Say what could not be taken in, and which collection was begun."""
        if self._begun is not None:
            self._session.notice(Sentence("files.begun", {"file": str(self._begun)}))
            self._begun = None
        if faults:
            more = {"first": faults[0], "n": len(faults) - 1}
            one = faults[0] if len(faults) == 1 else Sentence("files.faults", more)
            self._session.notice(one, "error")
        elif not some:
            name = ", ".join(path.name for path in paths)
            self._session.notice(Sentence("files.nothing", {"name": name}), "refused")

    def _open_example(self, then: Callable[[], None] | None) -> None:
        path = _example_path()
        self._session.opening.open(_example_store, path=path, example=True, then=then)

    def _begin_own(self, then: Callable[[], None]) -> None:
        try:
            path = unused(own_folder() / f"collection{SUFFIX}")
        except OSError as fault:
            values = {"folder": fault.filename, "reason": fault.strerror}
            self._failed(Sentence("files.no_folder", values))
            return

        def begun() -> None:
            self._begun = path
            then()

        self.new_collection(path, then=begun)

    def _open(
        self,
        path: Path,
        opener: Callable[[], Store],
        then: Callable[[], None] | None,
        failed: Callable[[Sentence], None] | None = None,
    ) -> None:
        def opened() -> None:
            self._settings.set("last_collection", str(path))
            store = self._session.store
            for note in store.notes if store is not None else ():
                self._session.notice(note, "news")
            if store is not None and store.read_only:
                values = {"file": path.name, "folder": str(path.parent)}
                self._session.notice(Sentence("store.opened_to_read", values), "caution")
            if then is not None:
                then()

        self._session.opening.open(opener, path=path, then=opened, failed=failed)

    def _ask_for_pictures(self) -> list[Path]:
        names = " ".join(f"*{suffix} *{suffix.upper()}" for suffix in PICTURE_SUFFIXES)
        found, _ = QFileDialog.getOpenFileNames(
            self._window, say("files.open_pictures"), self._folder(),
            f"{say('files.pictures')} ({names})",
        )  # fmt: skip
        if found:
            self._settings.set("last_folder", str(Path(found[0]).parent))
        return [Path(one) for one in found]

    def _folder(self) -> str:
        return str(self._settings["last_folder"]) or str(Path.home())

    def _failed(self, sentence: Sentence) -> None:
        self._session.notice(sentence, "error")


def _example_path() -> Path:
    from landmarks.demo import FILE, FOLDER

    return FOLDER / FILE


def _example_store() -> Store:
    from landmarks.demo import example_store

    return example_store()


def read_guide(folder: Path | None) -> Guide:
    """Return the guide that the species tables of a folder make; our own where it is None.

    Raises
    ------
    TablesError
        If a table has a fault: file, row and the way out.
    """
    from landmarks.identification import compile_tables
    from landmarks.tables import read_tables

    return compile_tables(read_tables(folder))
