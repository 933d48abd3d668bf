"""The session: the collection that is open, the specimen on the bench, and its past.

Everything on screen reads from here and is told by one signal, :attr:`Session.changed`, which
*aspects* have changed. Only this module changes documents; every deed is a change set, kept in
the past for undo and handed to the journal, which saves it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from itertools import dropwhile, islice
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from app.background.desk import Desk
from app.session.at_work import MARK, Instrument
from app.session.chosen import Chosen
from app.session.journal import FAILED, SAVING, Journal
from app.session.listing import Listing
from app.session.places import Places
from app.session.repeating import RECORD, Repeat, frame_to_repeat, unveiled, veiled
from app.session.shelf import Shelf, read_bench_again, read_for_bench, read_pictures_of
from app.session.undoing import Undoing
from app.session.values import (
    ALL,
    FIRST_PAGE,
    Aspect,
    Drawer,
    Live,
    Saving,
    Tool,
    new_id,
    now,
)
from landmarks.assessment import (
    Assessment,
    asked_characters,
    assess,
    weights,
)
from landmarks.changes import Change, ChangeSet, Document, difference, reverse
from landmarks.collection import About, Person, Picture, person_of, person_parts
from landmarks.errors import ConflictError, HingelineError
from landmarks.identification import Guide
from landmarks.instruments.seeing import Seeing
from landmarks.own_doubt import Doubts, OwnDoubt
from landmarks.progress import Step, steps
from landmarks.sentences import Sentence
from landmarks.specimen import Frame, Specimen
from landmarks.storage import Loaded, Query, Row, Saved, Store
from landmarks.summaries import Today

SUMMARIES_AFTER_MS = 700

_Opened = tuple[Store, About, tuple[Row, ...], int]
_VEILED = (
    Aspect.SELECTION | Aspect.SPECIMEN | Aspect.PICTURE | Aspect.TOOL | Aspect.MARK
) | (Aspect.WORK | Aspect.PAST | Aspect.ROWS)
"""What changes when the veil falls or is lifted."""


class Session(QObject):
    """What is on the bench.

    Signals
    -------
    changed(Aspect)
        Something of these aspects is no longer what it was.
    lit(tuple of landmark keys, measure key or "")
        Landmarks to light on the picture, or rows to light beside it.
    noticed(Sentence, kind)
        Something to tell the person: kind is ``info``, ``caution`` or ``error``.
    conflicted(ChangeSet, Conflict)
        Somebody else changed the same part: the person chooses.
    """

    changed = Signal(object)
    lit = Signal(object, str)
    noticed = Signal(object, str)
    conflicted = Signal(object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.desk: Desk = Desk(self)
        self.journal: Journal = Journal(self.desk, lambda one: self._shelf.parts(one), self)
        self.journal.moved.connect(lambda: self.tell(Aspect.SAVING))
        self.journal.saved.connect(self._acknowledged)
        self.journal.conflicted.connect(self.conflicted)
        self.journal.rewritten.connect(lambda deed: self._past.rewritten(deed))
        self.journal.let_go.connect(self._let_go)
        self.guide: Guide | None = None
        self.places: Places = Places()
        self._names_hidden = False
        self.person: Person = Person(new_id())
        self.repeat: Repeat | None = None
        self._left = (self.person, "", "")
        self.beside: tuple[str, str] | None = None
        self._beside: tuple[str, tuple[str, str]] | None = None
        self.instrument: Instrument | None = None
        self.chosen: Chosen = Chosen(self)
        self._empty()

    # -- what is open ----------------------------------------------------------------------

    def _empty(self) -> None:
        self._leave_repeat()
        self.store: Store | None = None
        self.path: Path | None = None
        self.example: bool = False
        self.about: About = About("")
        self.listing: Listing = Listing(self)
        self.chosen.put(())
        self._shelf: Shelf = Shelf()
        self._drawer: Drawer | None = None
        self._last_scaled = ""
        self._seeing: dict[str, Seeing] = {}
        self._forget_specimen()
        self._past = Undoing()
        self._wanted = ""
        self._moved_on = False
        self._afterwards: Callable[[], None] | None = None

    def _forget_specimen(self) -> None:
        self.specimen: Specimen | None = None
        self.frame: Frame | None = None
        self.assessment: Assessment | None = None
        self.live: Live | None = None
        self.tool: Tool | None = None
        self.mark: tuple[str, int] | None = None
        self.beside = None
        self._put_down()

    def open(
        self,
        opener: Callable[[], Store],
        *,
        path: Path | None,
        example: bool = False,
        then: Callable[[], None] | None = None,
        failed: Callable[[Sentence], None] | None = None,
    ) -> None:
        """Open a collection on the worker; the one that is open stays until that worked.

        What waits to be saved is saved before; as long as it cannot be, nothing is opened.
        """
        if self.journal.state == FAILED:
            n = self.journal.n_waiting
            self.notice(Sentence("session.save_first", {"n": n}), "caution")
            return
        if self.journal.state == SAVING:
            self._afterwards = lambda: self.open(
                opener, path=path, example=example, then=then, failed=failed
            )
            return

        def question() -> tuple[_Opened, dict[Document, Loaded]]:
            store = opener()
            about = store.about()
            found = (store, about, store.list(FIRST_PAGE), store.count(FIRST_PAGE))
            known = Document("collection", about.id), *store.documents("person")
            return found, dict(store.load(*known))

        def opened(answer: tuple[_Opened, dict[Document, Loaded]]) -> None:
            previous = self.store
            self.journal.finish(self.failed)
            self._empty()
            (self.store, self.about, rows, n_rows), found = answer
            self.listing.rows, self.listing.n_rows = rows, n_rows
            self.path, self.example = path, example
            self.journal.write_to(self.store)
            self._put(found)
            if previous is not None:
                self.desk.ask(previous.close, lambda _: None, self.failed)
            self.tell(ALL)
            if self.rows:
                # The example shows first what a finished record looks like.
                named = (row for row in self.rows if example and row.taxa)
                self.choose(next(named, self.rows[0]).specimen)
            # The first specimen comes first; the list can wait for its beads.
            QTimer.singleShot(SUMMARIES_AFTER_MS, self, self._derive_for_list)
            if then is not None:
                then()

        self.desk.ask(question, opened, failed or self.failed)

    def _derive_for_list(self) -> None:
        # Qt forgets a method of this object with it, which of another one it would not.
        self.listing.derive()

    def may_close(self) -> bool:
        """Return whether all is saved; what cannot be is said, and given up when asked again."""
        if self.store is None or self.journal.settle():
            return True
        why, n = self.journal.fault, self.journal.n_waiting
        if why is None or why.key == "session.close_again":
            return True
        values = {"why": why, "n": n}
        self.journal.say_failed(Sentence("session.close_again", values))
        return False

    def close(self) -> None:
        """Write what waits, close the store and stop the worker."""
        self.journal.finish()
        if self.store is not None:
            self.desk.ask(self.store.close, lambda _: None, lambda _: None)
        self.desk.close()

    def use_guide(self, guide: Guide) -> None:
        """Reason with these tables from now on."""
        self.guide = guide
        self._assess()
        self.tell(Aspect.GUIDE | Aspect.SPECIMEN)
        self.listing.derive()

    # -- what is chosen --------------------------------------------------------------------

    def choose(self, specimen_id: str, frame_id: str = "") -> None:
        """Put a specimen on the bench, with one of its frames (the first unless told)."""
        if self.repeat is not None and specimen_id != self.repeat.specimen:
            self.notice(Sentence("repeats.stay"))
            return
        self._wanted = specimen_id
        if specimen_id in self._shelf.specimens:
            self._put_on_bench(specimen_id, frame_id)
            return
        store, person = self.store, self.person
        if store is None:
            return
        beside = {row.specimen: row.picture for row in self.rows}

        def loaded(found: dict[Document, Loaded]) -> None:
            if self.store is store:
                self._put(found)
                # Who was in a hurry may have chosen another one meanwhile.
                if self._wanted == specimen_id:
                    self._put_on_bench(specimen_id, frame_id)

        self.desk.ask(
            lambda: read_for_bench(store, specimen_id, beside, person), loaded, self.failed
        )

    def read_ahead(self, then: Callable[[Picture], None]) -> None:
        """Read the specimen after the one on the bench, and hand on its first picture."""
        store, person, specimen_id = self.store, self.person, self._following()
        if not specimen_id or store is None:
            return
        beside = {row.specimen: row.picture for row in self.rows}

        def read(found: dict[Document, Loaded]) -> None:
            if self.store is not store:
                return
            self._put(found)
            specimen = self._shelf.specimens.get(specimen_id)
            first = next(iter(specimen.frames), None) if specimen is not None else None
            picture = None if first is None else self.pictures.get(first.picture)
            if picture is not None:
                then(picture)

        self.desk.ask(
            lambda: read_for_bench(store, specimen_id, beside, person), read, lambda _: None
        )

    def _following(self) -> str:
        """Return the specimen after the one on the bench: of the list, or of the lot."""
        if self.repeat is not None:
            after = self.repeat.next()
            return "" if after is None else after.specimen
        here = "" if self.specimen is None else self.specimen.id
        rest = dropwhile(lambda row: row.specimen != here, self.rows)
        following = next(islice(rest, 1, None), None)
        return "" if following is None else following.specimen

    def choose_frame(self, frame_id: str) -> None:
        """Show another frame of the specimen on the bench."""
        if self.specimen is None:
            return
        self._remember_picture()
        self.frame = self.specimen.frame(frame_id)
        self.tool, self.mark, self.live = None, None, None
        self._put_down()
        self.tell(Aspect.SELECTION | Aspect.TOOL | Aspect.MARK | Aspect.WORK)

    def choose_mark(self, mark: tuple[str, int] | None) -> None:
        """Select a placed mark: id of the placing (or of the picture, for its scale), index."""
        if mark != self.mark:
            self.mark = mark
            self.tell(Aspect.MARK)

    def take_tool(self, tool: Tool | None) -> None:
        """Arm a tool for the next click, or disarm."""
        at_work = self.instrument
        ends = tool is not None or (at_work is not None and at_work.landmark)
        if at_work is not None and tool != self.tool and ends:
            # What answers the landmark that was armed ends with it.
            self.take_instrument(None)
        if tool != self.tool:
            self.tool = tool
            self.tell(Aspect.TOOL)

    def take_instrument(self, instrument: Instrument | None) -> None:
        """Take up an instrument, putting down the one at work; None only puts it down."""
        if instrument is self.instrument:
            return
        self._put_down()
        self.tool, self.mark, self.instrument = None, None, instrument
        if instrument is not None and instrument.landmark:
            self.tool = Tool("landmark", instrument.landmark)
        if instrument is not None:
            instrument.changed.connect(self._worked)
        previewed, self.live = self.live is not None, None
        aspects = Aspect.WORK | Aspect.TOOL | Aspect.MARK
        self.tell(aspects | Aspect.LIVE if previewed else aspects)

    def hide_names(self, hidden: bool) -> None:  # noqa: FBT001 - a toggle's own signal
        """Hide or show every name and candidate; a repeat keeps them hidden."""
        if self.repeat is None:
            self._names_hidden = hidden
        self.tell(Aspect.NAMES)

    @property
    def names_hidden(self) -> bool:
        """Return whether names and candidates are out of sight."""
        return self._names_hidden or self.repeat is not None

    # -- repeats ---------------------------------------------------------------------------

    @property
    def occasion(self) -> str:
        """Return what everything that is done now is done for."""
        return RECORD if self.repeat is None else self.repeat.occasion

    def begin_repeat(self, repeat: Repeat) -> None:
        """Veil the bench and put the first specimen of a lot on it."""
        store = self.store
        if store is None or self.repeat is not None or not repeat.lot:
            return
        specimen = "" if self.specimen is None else self.specimen.id
        left = self.person, specimen, "" if self.frame is None else self.frame.id

        def known(found: dict[Document, Loaded]) -> None:
            if self.store is not store or self.repeat is not None:
                return
            self._put(found)
            self._left, self.person = left, repeat.person
            self._turn_to(repeat)

        person = Document("person", repeat.person.id)
        self.desk.ask(lambda: dict(store.load(person)), known, self.failed)

    def next_repeat(self) -> None:
        """Present the next specimen of the lot; after the last one the repeat is over."""
        if self.repeat is not None:
            following = self.repeat.next()
            if following is None:
                self.stop_repeat()
            else:
                self._turn_to(following)

    def stop_repeat(self) -> None:
        """Lift the veil; what was done is kept, and what was on the bench comes back."""
        if self.repeat is None:
            return
        _, specimen, frame = self._left
        self._leave_repeat()
        self._forget_specimen()
        self.tell(_VEILED if self.names_hidden else _VEILED | Aspect.NAMES)
        if specimen:
            self.choose(specimen, frame)

    def use_own_doubt(self, doubt: OwnDoubt | None) -> None:
        """Let the own placing doubt of whoever works here speak, or None: the usual one."""
        store, document = self.store, Document("person", self.person.id)
        if store is None:
            return

        def known(found: dict[Document, Loaded]) -> None:
            if self.store is not store:
                return
            self._put(found)
            parts = self._shelf.parts(document)
            person = person_of(document.id, parts) if parts else self.person
            word = "deed.usual_doubt" if doubt is None else "deed.own_doubt"
            changed = person_parts(replace(person, doubt=doubt))
            self.do(Sentence(word), *difference(document, parts, changed))

        self.desk.ask(lambda: dict(store.load(document)), known, self.failed)

    def show_both(
        self, specimen_id: str, frame_id: str, occasion: str, person: str
    ) -> None:
        """Put a specimen on the bench with the marks of a repeat beside those of the record."""
        if self.repeat is not None:
            return
        self._beside = specimen_id, (occasion, person)
        self.choose(specimen_id, frame_id)

    def show_beside(self, repeat: tuple[str, str] | None) -> None:
        """Show the marks of an occasion and a person beside the record; None: the record."""
        self.beside = repeat
        self.tell(Aspect.SPECIMEN)

    def _turn_to(self, repeat: Repeat) -> None:
        self._forget_specimen()
        told = _VEILED if self.names_hidden else _VEILED | Aspect.NAMES
        self.repeat = repeat
        # What was done before would tell, and is not taken back by accident.
        self._past.raise_floor()
        self.tell(told)
        self.choose(repeat.specimen)

    def _leave_repeat(self) -> None:
        if self.repeat is not None:
            self.repeat = None
            self.person = self._left[0]
            self._past.drop_floor()

    def _bench_of(self, specimen_id: str) -> Specimen | None:
        """Return a specimen as the bench may show it."""
        stored = self._shelf.specimens.get(specimen_id)
        if stored is None or self.repeat is None:
            return stored
        return veiled(stored, self.repeat)

    def _through_the_veil(
        self, documents: Sequence[Specimen | Picture | Change]
    ) -> tuple[Specimen, ...] | None:
        """Return what documents become that were changed in a repeat; None if not its own."""
        made = []
        for one in documents:
            stored = (
                self._shelf.specimens.get(one.id) if isinstance(one, Specimen) else None
            )
            if self.repeat is None or stored is None or not isinstance(one, Specimen):
                return None
            changed = unveiled(stored, one, self.repeat)
            if changed is None or one.id != self.repeat.specimen:
                return None
            made.append(changed)
        return tuple(made)

    @property
    def seeing(self) -> Seeing:
        """Return how the picture on the bench is shown; each keeps its own until the end."""
        picture = self.picture
        return Seeing() if picture is None else self._seeing.get(picture.id, Seeing())

    def see(self, how: Seeing) -> None:
        """Show the picture on the bench so; for display only, and nothing of it is stored."""
        picture = self.picture
        if picture is not None and how != self.seeing:
            self._seeing[picture.id] = how
            self.tell(Aspect.SEEING)

    def light(self, landmarks: tuple[str, ...], measure: str = "") -> None:
        """Light landmarks on the picture and the measure they belong to."""
        self.lit.emit(landmarks, measure)

    def notice(self, sentence: Sentence, kind: str = "info") -> None:
        """Tell the person something."""
        self.noticed.emit(sentence, kind)

    # -- what is read off ------------------------------------------------------------------

    @property
    def rows(self) -> tuple[Row, ...]:
        """Return the first rows of the list of specimens."""
        return self.listing.rows

    @property
    def n_rows(self) -> int:
        """Return how many specimens the query of the list finds."""
        return self.listing.n_rows

    @property
    def query(self) -> Query:
        """Return what the list asks for."""
        return self.listing.query

    @property
    def pictures(self) -> Mapping[str, Picture]:
        """Return every picture that was read so far, by id."""
        return self._shelf.pictures

    @property
    def doubts(self) -> Doubts:
        """Return the own placing doubt of everybody who uses one, by the id of the person."""
        return self._shelf.doubts

    @property
    def today(self) -> Today | None:
        """Return what derived values rest on, besides the specimens; None without a guide."""
        return None if self.guide is None else Today(self.guide, self.doubts)

    def parts_of(self, document: Document) -> Mapping[str, Any]:
        """Return the parts of a document as they are here; none where it was not read."""
        return self._shelf.parts(document)

    @property
    def picture(self) -> Picture | None:
        """Return the picture of the frame on the bench, or None."""
        return None if self.frame is None else self.pictures.get(self.frame.picture)

    @property
    def neighbours(self) -> tuple[tuple[Specimen, Frame], ...]:
        """Return every drawn frame on the picture of the bench, of any specimen."""
        if self.frame is None or self.specimen is None:
            return ()
        if self.repeat is not None:
            # Numbers of other specimens on a picture would tell which one this is.
            own = (one for one in self.specimen.frames if one.region is not None)
            here = self.frame.picture
            return tuple((self.specimen, one) for one in own if one.picture == here)
        return self._shelf.frames_on(self.frame.picture)

    @property
    def shown(self) -> Specimen | None:
        """Return the specimen as it is seen now, a landmark under the pointer included."""
        return self.live.specimen if self.live is not None else self.specimen

    @property
    def steps(self) -> tuple[Step, ...]:
        """Return the five steps of the specimen on the bench."""
        if self.specimen is None:
            return ()
        rows = () if self.assessment is None else self.assessment.characters
        open_ = asked_characters(rows)
        return steps(self.specimen, self.frame, self.pictures, open_, self.names)

    @property
    def names(self) -> Mapping[str, str]:
        """Return the scientific name of every taxon key of the guide."""
        return {} if self.guide is None else {t.key: t.name for t in self.guide.tables.taxa}

    @property
    def saving(self) -> Saving:
        """Return whether all is saved."""
        journal = self.journal
        return Saving(journal.state, journal.last_saved, journal.fault, journal.n_waiting)

    @property
    def undo_name(self) -> Sentence | None:
        """Return the deed that undo would take back, or None."""
        return self._past.undo_name

    @property
    def redo_name(self) -> Sentence | None:
        """Return the deed that redo would do again, or None."""
        return self._past.redo_name

    # -- what is done ----------------------------------------------------------------------

    def do(self, deed: Sentence, *documents: Specimen | Picture | Change) -> None:
        """Do one deed: the new values of the documents it touches, in one change set."""
        changes: list[Change] = []
        if self.repeat is not None:
            seen = self._through_the_veil(documents)
            if seen is None:
                self.notice(Sentence("repeats.record_stays"), "caution")
                self.tell(Aspect.SPECIMEN | Aspect.PICTURE)
                return
            documents = seen
        for one in documents:
            changes.extend(self._shelf.changes_to(one))
        if not changes:
            return
        change_set = ChangeSet(
            new_id(),
            deed,
            (*self._shelf.signature(self.person), *changes),
            self.person.id,
            now(),
        )
        self._past.add(change_set)
        self._apply(change_set)

    def preview(self, specimen: Specimen | None) -> None:
        """Show what a specimen would be, without doing it; None ends the preview."""
        if specimen is None or self.guide is None:
            self.live = None
        elif self.repeat is not None:
            self.live = Live(specimen, (), {})
        else:
            measures, shares = weights(specimen, self.pictures, self.guide, self.doubts)
            taxa = (taxon.key for taxon in self.guide.tables.taxa)
            self.live = Live(specimen, measures, dict(zip(taxa, shares, strict=True)))
        self.tell(Aspect.LIVE)

    def undo(self) -> None:
        """Take the last deed of this window back, applied to what is there now."""
        if self._past.undo_name is not None:
            self._turn(self._past.done[-1], again=False)

    def redo(self) -> None:
        """Do again what was taken back."""
        if self._past.redo_name is not None:
            self._turn(self._past.undone[-1], again=True)

    def load_again(self, some: Sequence[Document] | None = None) -> None:
        """Read documents again (all that were read unless told) that somebody else changed.

        Deeds that still wait to be saved stand on what was read.
        """
        store, person = self.store, self.person
        if store is None:
            return
        chosen = "" if self.specimen is None else self.specimen.id
        documents = self._shelf.documents if some is None else tuple(some)
        beside = {row.specimen: row.picture for row in self.rows}

        def loaded(found: dict[Document, Loaded]) -> None:
            if self.store is not store:
                return
            self._shelf.put_again(documents, found)
            self.journal.know({one: read.revision for one, read in found.items()})
            for deed in self.journal.waiting:
                # One that does not fit is asked about when its turn to be saved comes.
                with suppress(ConflictError):
                    self._shelf.apply(deed)
            self._look_again()
            self.tell(Aspect.SELECTION | Aspect.SPECIMEN | Aspect.PICTURE | Aspect.MARK)
            self.listing.refresh()

        self.desk.ask(
            lambda: read_bench_again(store, documents, chosen, beside, person),
            loaded,
            self.failed,
        )

    def has_read(self, document: Document) -> bool:
        """Return whether a document was read, or made here, so that it may be out of date."""
        return document in self._shelf.documents

    def fetch(self, documents: Sequence[Document], then: Callable[[], None]) -> None:
        """Read documents that were not read yet; then go on."""
        store = self.store
        lacking = [one for one in documents if one not in self._shelf.documents]
        if store is None or not lacking:
            then()
            return

        def read(found: Mapping[Document, Loaded]) -> None:
            if self.store is store:
                self._put(found)
                then()

        self.desk.ask(lambda: store.load(*lacking), read, self.failed)

    def find_pictures(self, contents: Sequence[str], then: Callable[[], None]) -> None:
        """Read the pictures of the collection that have one of these contents (SHA-256)."""
        store = self.store
        if store is None:
            return

        def found(read: dict[Document, Loaded]) -> None:
            if self.store is store:
                self._put(read)
                then()

        self.desk.ask(lambda: read_pictures_of(store, contents), found, self.failed)

    # -- inside ----------------------------------------------------------------------------

    def _turn(self, deed: ChangeSet, *, again: bool) -> None:
        back = reverse(deed, id=new_id(), person=self.person.id, at=now())
        if again:
            # What is done again bears its own name in the history.
            back = replace(back, deed=deed.deed, undoes="")
        try:
            self._apply(back)
        except HingelineError as fault:
            self.notice(fault.sentence, "caution")
            return
        self._past.turned(back, deed, again=again)
        self.tell(Aspect.PAST)
        self._show_what_turned(back)

    def _show_what_turned(self, back: ChangeSet) -> None:
        """Put a specimen that undo or redo touched on the bench, where it is not there."""
        touched = [
            one.id
            for one in back.documents
            if one.kind == "specimen" and self._shelf.has(one)
        ]
        here = self.specimen.id if self.specimen is not None else ""
        if touched and here not in touched:
            self.choose(touched[0])

    def path_of(self, path: Path) -> str:
        """Return how the collection names a picture file: relative to itself where it can.

        Whoever takes a file in agrees to open pictures from its folder.
        """
        self.places.agree(path.resolve().parent)
        if self.path is not None:
            try:
                return path.resolve().relative_to(self.path.resolve().parent).as_posix()
            except ValueError:
                pass
        return str(path.resolve())

    def may_open(self, picture: Picture) -> bool:
        """Return whether a picture lies beside the collection, or where the person agreed."""
        home = None if self.path is None else self.path.resolve().parent
        return self.places.allow(picture.path, home)

    def agree_to_folder(self) -> None:
        """Open pictures of the folder that the picture on the bench lies in, from now on."""
        if self.picture is not None:
            self.places.agree(self.file_of(self.picture).parent)
            self.tell(Aspect.COLLECTION | Aspect.SELECTION)

    def file_of(self, picture: Picture) -> Path:
        """Return where the file of a picture should be."""
        path = Path(picture.path)
        if path.is_absolute() or self.path is None:
            return path
        return self.path.resolve().parent / path

    def _put(self, found: Mapping[Document, Loaded]) -> None:
        fresh = self._shelf.put(found)
        self.journal.know({one: found[one].revision for one in fresh})

    def _apply(self, deed: ChangeSet) -> None:
        self._shelf.apply(deed)
        self._look_again()
        self.journal.write(deed)
        self.tell(Aspect.SPECIMEN | Aspect.PICTURE | Aspect.PAST | Aspect.MARK)

    def _look_again(self) -> None:
        """Take the value on the bench from the shelf again, after a deed."""
        self.live = None
        if self.specimen is None:
            return
        frame_id = self.frame.id if self.frame is not None else ""
        self.specimen = self._bench_of(self.specimen.id)
        if self.specimen is None:
            self._forget_specimen()
            self.tell(Aspect.SELECTION)
            self._choose_another()
            return
        self.frame = self.specimen.frame(frame_id) or next(iter(self.specimen.frames), None)
        if (self.frame.id if self.frame is not None else "") != frame_id:
            self.tell(Aspect.SELECTION)
        if self.mark is not None and not self._mark_exists(self.mark):
            self.mark = None
        self._assess()

    def _choose_another(self) -> None:
        """Put the next specimen of the list on the bench, where the one there is gone."""
        removed = self._shelf.removed
        there = (row.specimen for row in self.rows if row.specimen not in removed)
        other = next(there, "")
        if other:
            self.choose(other)

    def _mark_exists(self, mark: tuple[str, int]) -> bool:
        if self.specimen is None:
            return False
        if self.instrument is not None and mark[0].startswith(MARK):
            return True
        return (
            mark[0] in self.pictures
            or self.specimen.frame(mark[0]) is not None
            or any(
                one.id == mark[0] and mark[1] < len(one.points)
                for one in self.specimen.placings
            )
        )

    def _remember_picture(self) -> None:
        """Remember of the picture that leaves the bench its scale and its several frames."""
        picture = self.picture
        if picture is not None and picture.scale is not None:
            self._last_scaled = picture.id
        frames = tuple(frame for _, frame in self.neighbours)
        if picture is not None and len(frames) > 1:
            self._drawer = Drawer(picture, frames)

    @property
    def last_scaled(self) -> Picture | None:
        """Return the last picture with a scale that was on the bench before this one."""
        last = self.pictures.get(self._last_scaled)
        return None if last is None or last is self.picture else last

    @property
    def drawer(self) -> Drawer | None:
        """Return the last picture with several frames that is not the one on the bench."""
        here, last = self.picture, self._drawer
        return None if last is None or (here and here.id == last.picture.id) else last

    def _put_on_bench(self, specimen_id: str, frame_id: str) -> None:
        self._remember_picture()
        specimen = self._bench_of(specimen_id)
        if specimen is None:
            return
        if self.repeat is not None and not frame_id:
            first = frame_to_repeat(self._shelf.specimens[specimen_id])
            frame_id = "" if first is None else first.id
        self._forget_specimen()
        if self._beside is not None and self._beside[0] == specimen_id:
            self.beside = self._beside[1]
        self._beside = None
        self.specimen = specimen
        self.frame = specimen.frame(frame_id) or next(iter(specimen.frames), None)
        self._assess()
        self.tell(
            Aspect.SELECTION
            | Aspect.SPECIMEN
            | Aspect.PICTURE
            | Aspect.TOOL
            | Aspect.MARK
            | Aspect.WORK
        )

    def _assess(self) -> None:
        if self.specimen is None or self.guide is None:
            self.assessment = None
            return
        self.assessment = assess(self.specimen, self.pictures, self.guide, self.doubts)
        if self.repeat is not None:
            # Who saw the numbers of a repeat could steer them towards those remembered.
            self.assessment = replace(self.assessment, measures=())

    def _acknowledged(self, _: ChangeSet, saved: Saved) -> None:
        self._moved_on |= bool(saved.moved_on)
        if self.journal.n_waiting:
            return
        if self._moved_on:
            # Somebody else worked on other parts of the same documents: show theirs as well.
            self._moved_on = False
            self.load_again()
        elif self.specimen is not None:
            document = Document("specimen", self.specimen.id)
            if document in saved.revisions and self.repeat is None:
                self.listing.keep_summary(document, saved.revisions[document])
        self.listing.refresh()
        afterwards, self._afterwards = self._afterwards, None
        if afterwards is not None:
            afterwards()

    def _let_go(self, gone: tuple[str, ...]) -> None:
        """Forget deeds that somebody else's work was preferred to, and say what went too."""
        self._past.let_go(gone)
        if len(gone) > 1:
            self.notice(Sentence("session.went_too", {"n": len(gone) - 1}), "caution")
        self.tell(Aspect.PAST)

    def failed(self, sentence: Sentence) -> None:
        """Tell the person what did not work."""
        self.notice(sentence, "error")

    def _put_down(self) -> None:
        instrument, self.instrument = self.instrument, None
        if instrument is not None:
            instrument.changed.disconnect(self._worked)
            instrument.put_down()
            instrument.deleteLater()

    def _worked(self) -> None:
        self.tell(Aspect.WORK)

    def tell(self, aspects: Aspect) -> None:
        """Tell everything on screen what has changed."""
        self.changed.emit(aspects)
