"""Export, restore, check and backups: asked for in strips, done on workers of their own."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QApplication, QFileDialog, QLineEdit, QPlainTextEdit

from app.background.desk import Desk
from app.session import Aspect
from app.session.others import Others
from app.session.values import now
from app.window.backing_up import BackingUp
from app.window.collection_files import SUFFIX, dialog_filter, with_ending
from landmarks.errors import StoreError
from landmarks.sentences import Sentence, say

if TYPE_CHECKING:
    from app.panels.backups_strip import BackupsStrip
    from app.panels.check_strip import CheckStrip
    from app.panels.export_strip import ExportStrip, Wish
    from app.window.bench import Bench
    from landmarks.outputs.inspection import Inspection
    from landmarks.storage.backups import Backup

T = TypeVar("T")
_SAID_EVERY = 25
"""Documents after which it is said how far the work is."""


class Keeping(QObject):
    """What keeps a collection safe and takes it elsewhere; one long piece of work at a time."""

    _progressed = Signal(str, int, int)

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        self._bench, self._session = bench, bench.session
        self._desk = Desk(self)
        self._given_up = False
        self._say: Callable[[str], None] = lambda words: None
        self._connected: set[str] = set()
        self.backups = BackingUp(bench.session, self)
        self.others = Others(bench.session, self._is_active, _is_busy, self)
        self._progressed.connect(self._show_progress)
        bench.strips.opened.connect(self._strip_opened)
        bench.session.changed.connect(self._look)

    def close(self) -> None:
        """Give up what is being written, finish a copy, and stop the workers."""
        self._given_up = True
        self.others.stop()
        self.backups.close()
        self._desk.close()

    # -- long work -------------------------------------------------------------------------

    @property
    def at_work(self) -> bool:
        """Return whether something long is being done."""
        return self._desk.busy

    def _do(
        self,
        question: Callable[[], T],
        then: Callable[[T], None],
        say_it: Callable[[str], None],
        ended: Callable[[], None],
    ) -> None:
        """Do something long once what waits is saved; one thing at a time."""
        if self.at_work:
            self._session.notice(Sentence("out.at_work"), "passing")
            return
        self._given_up, self._say = False, say_it

        def done(answer: T) -> None:
            ended()
            then(answer)

        def failed(sentence: Sentence) -> None:
            ended()
            if sentence.key != "out.given_up":
                self._session.notice(sentence, "error")

        self._session.journal.settle()
        self._desk.ask(question, done, failed)

    def give_up(self) -> None:
        """Stop the long work at the next specimen; nothing half-written stays."""
        self._given_up = True

    def _progress(self, key: str) -> Callable[[int, int], None]:
        def said(done: int, total: int) -> None:
            if self._given_up:
                raise StoreError("out.given_up")
            if done == total or done % _SAID_EVERY == 0:
                self._progressed.emit(key, done, total)

        return said

    def _show_progress(self, key: str, done: int, total: int) -> None:
        self._say(say(key, done=done, total=total))

    # -- export and restore ----------------------------------------------------------------

    def export(self, wish: Wish, strip: ExportStrip) -> None:
        """Ask where, and write the collection or a part of it there."""
        name = f"{self._session.about.name or 'collection'} {wish.form}".replace("/", " ")
        found, _ = QFileDialog.getSaveFileName(
            self._bench, say("out.pick"), str(self._home() / name)
        )
        if found:
            self.export_to(Path(found), wish, strip)

    def export_to(self, folder: Path, wish: Wish, strip: ExportStrip) -> None:
        """Write the collection or a part of it into a new folder."""
        session = self._session
        store, guide, chosen = session.store, session.guide, session.chosen.ids
        today = session.today
        if store is None or guide is None or today is None:
            return
        query = replace(session.query, offset=0, limit=None, columns=())
        progress, renewing = self._progress("out.writing"), self._progress("out.renewing")

        def question() -> tuple[int, Sentence | None]:
            specimens: Sequence[str] | None = None
            if wish.what == "chosen":
                specimens = chosen
            elif wish.what == "found":
                from landmarks.summaries import renew_stale

                if wish.renew:
                    renew_stale(store, today, query, renewing)
                specimens = store.ids(query)
            if wish.form == "json":
                from landmarks.storage.folder import write_folder

                made = write_folder(
                    store,
                    folder,
                    specimens=specimens,
                    history=wish.history,
                    progress=progress,
                )
                return made.n_specimens, None
            from landmarks.outputs.spreadsheets import coarse_sentence, write_tables

            tables = write_tables(
                store,
                guide,
                folder,
                specimens=specimens,
                exact_places=wish.exact,
                progress=progress,
            )
            return tables.n_rows["specimens"], coarse_sentence(tables)

        def done(answer: tuple[int, Sentence | None]) -> None:
            n, coarse = answer
            said = Sentence("out.written", {"n": n, "folder": str(folder)})
            strip.say_done(said, coarse)

        strip.begin()
        self._do(question, done, strip.say_progress, strip.end)

    def restore(self) -> None:
        """Ask for a folder of JSON and for a new collection to make of it."""
        self._bench.open_strip("export")
        strip: Any = self._bench.strips.made("export")
        folder = QFileDialog.getExistingDirectory(
            self._bench, say("out.pick_back"), str(self._home())
        )
        if not folder:
            return
        target, _ = QFileDialog.getSaveFileName(
            self._bench,
            say("out.pick_restored"),
            f"{folder}{SUFFIX}",
            dialog_filter(),
        )
        if target:
            self.restore_to(Path(folder), Path(target), strip)

    def restore_to(self, folder: Path, target: Path, strip: ExportStrip) -> None:
        """Make a new collection of a folder of JSON, and open it."""
        session = self._session
        target = with_ending(target)
        progress, at = self._progress("out.restoring"), now()

        def question() -> int:
            from landmarks.storage.folder import restore_folder

            return restore_folder(folder, target, at=at, progress=progress).n_specimens

        def done(n: int) -> None:
            values = {"n": n, "file": target.name}
            self._bench.files.open_collection(
                target, then=lambda: session.notice(Sentence("out.restored", values))
            )

        strip.begin()
        self._do(question, done, strip.say_progress, strip.end)

    # -- check -----------------------------------------------------------------------------

    def check(self, folders: Sequence[Path], strip: CheckStrip) -> None:
        """Look through the whole collection, pictures under these folders included."""
        session = self._session
        store, guide = session.store, session.guide
        if store is None or guide is None:
            return
        progress = self._progress("check.working")

        def question() -> Inspection:
            from landmarks.outputs.inspection import inspect_collection

            return inspect_collection(store, guide, folders=folders, progress=progress)

        strip.begin()
        self._do(question, strip.show_found, strip.say_progress, strip.end)

    def pick_folder(self, strip: CheckStrip) -> None:
        """Ask for a folder to look for pictures under, and check again with it."""
        folder = QFileDialog.getExistingDirectory(
            self._bench, say("check.pick"), str(self._home())
        )
        if folder:
            self.check([*strip.folders, Path(folder)], strip)

    def accept_places(self, found: Inspection, strip: CheckStrip) -> None:
        """Note where moved pictures are now: one deed, that undo takes back."""
        from landmarks.storage.moved import path_changes

        session = self._session
        changes = path_changes(found.pictures, session.path or Path())
        if not changes:
            return
        for row in found.pictures:
            if row.path is not None:
                session.places.agree(row.path.parent)
        session.do(Sentence("deed.note_moved_pictures", {"n": len(changes)}), *changes)
        session.notice(Sentence("check.accepted", {"n": len(changes)}))
        self.check(strip.folders, strip)

    def renew(self, found: Inspection, strip: CheckStrip) -> None:
        """Derive anew what is stale or differs."""
        session = self._session
        store, today = session.store, session.today
        if store is None or today is None:
            return
        progress, some = self._progress("check.working"), found.to_renew

        def question() -> int:
            from landmarks.summaries import renew_summaries

            for done, one in enumerate(some, 1):
                renew_summaries(store, today, [one])
                progress(done, len(some))
            return len(some)

        def done(n: int) -> None:
            session.notice(Sentence("check.renewed", {"n": n}))
            session.listing.refresh()
            self.check(strip.folders, strip)

        strip.begin()
        self._do(question, done, strip.say_progress, strip.end)

    def relist(self, strip: CheckStrip) -> None:
        """Make the list anew from what is recorded."""
        session, store = self._session, self._session.store
        if store is None:
            return

        def done(_: None) -> None:
            session.notice(Sentence("check.relisted"))
            session.listing.refresh()
            self.check(strip.folders, strip)

        strip.begin()
        self._do(store.relist, done, strip.say_progress, strip.end)

    # -- backups ---------------------------------------------------------------------------

    def open_backup(self, backup: Backup) -> None:
        """Ask where a copy shall be worked in, and open it there."""
        store = self._session.store
        if store is None or store.path is None:
            return
        moment = f"{backup.at:%Y-%m-%d %H%M}"
        proposed = store.path.with_name(f"{store.path.stem} {moment}{SUFFIX}")
        found, _ = QFileDialog.getSaveFileName(
            self._bench,
            say("backups.open"),
            str(proposed),
            f"{say('files.collections')} (*.hingeline)",
        )
        if found:
            self.open_backup_at(backup, Path(found))

    def open_backup_at(self, backup: Backup, target: Path) -> None:
        """Copy a backup to a file of its own, and open that."""
        values = {"moment": f"{backup.at:%Y-%m-%d %H:%M} UTC", "file": target.name}

        def opened() -> None:
            self._session.notice(Sentence("backups.opened", values))

        self.backups.take_out(
            backup, target, lambda path: self._bench.files.open_collection(path, opened)
        )

    # -- strips ----------------------------------------------------------------------------

    def _strip_opened(self, name: str) -> None:
        if name not in ("export", "check", "backups") or name in self._connected:
            return
        self._connected.add(name)
        strip: Any = self._bench.strips.made(name)
        if name == "export":
            self._export_strip(strip)
        elif name == "check":
            self._check_strip(strip)
        else:
            self._backups_strip(strip)

    def _export_strip(self, strip: ExportStrip) -> None:
        strip.export_wanted.connect(lambda wish: self.export(wish, strip))
        strip.restore_wanted.connect(self.restore)
        strip.given_up.connect(self.give_up)

    def _check_strip(self, strip: CheckStrip) -> None:
        strip.check_wanted.connect(lambda: self.check(strip.folders, strip))
        strip.look_wanted.connect(lambda: self.pick_folder(strip))
        strip.accept_wanted.connect(lambda found: self.accept_places(found, strip))
        strip.renew_wanted.connect(lambda found: self.renew(found, strip))
        strip.relist_wanted.connect(lambda: self.relist(strip))
        strip.given_up.connect(self.give_up)

    def _backups_strip(self, strip: BackupsStrip) -> None:
        strip.open_wanted.connect(self.open_backup)
        strip.now_wanted.connect(lambda: self._back_up_now(strip))
        strip.shown.connect(lambda: self.backups.read(strip.show_found))
        self.backups.made.connect(lambda: self.backups.read(strip.show_found))
        self.backups.read(strip.show_found)

    def _back_up_now(self, strip: BackupsStrip) -> None:
        strip.say_making()

        def made() -> None:
            self._session.notice(Sentence("backups.made"))

        self._session.journal.settle()
        self.backups.make(always=True, then=made)

    # -- inside ----------------------------------------------------------------------------

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.COLLECTION:
            # What is written or checked belonged to the collection that was open before.
            self._given_up = True

    def _home(self) -> Path:
        path = self._session.path
        return Path.home() if path is None else path.resolve().parent

    def _is_active(self) -> bool:
        return self._bench.window().isActiveWindow()


def _is_busy() -> bool:
    """Return whether the person is dragging, or writing something not handed on yet."""
    if QApplication.mouseButtons() or QApplication.activePopupWidget() is not None:
        return True
    focused = QApplication.focusWidget()
    pending = getattr(focused, "pending", None)
    if pending is not None:
        return pending() is not None
    if isinstance(focused, QLineEdit):
        return focused.isModified() and bool(focused.text())
    return isinstance(focused, QPlainTextEdit) and focused.document().isModified()
