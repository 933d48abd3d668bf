"""The session: the collection that is open, the specimen on the bench, and its past.

Everything on screen reads from here and is told by one signal, :attr:`Session.changed`, which
*aspects* have changed. Only this module changes documents; every deed is a change set, kept in
the past for undo and handed to the journal, which saves it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.background.desk import Desk
from app.session.at_work import Instrument
from app.session.chosen import Chosen
from app.session.hand import Hand
from app.session.journal import Journal
from app.session.listing import Listing
from app.session.notices import Kind
from app.session.opening import Opening
from app.session.places import Places
from app.session.reader import Reader
from app.session.remembered import Remembered
from app.session.repeating import Repeat
from app.session.shelf import Shelf
from app.session.undoing import Undoing
from app.session.values import (
    Aspect,
    Drawer,
    Live,
    Saving,
    Tool,
    new_id,
    now,
)
from app.session.veil import Veil
from landmarks.assessment import (
    Assessment,
    asked_characters,
    assess,
    weights,
)
from landmarks.changes import Change, ChangeSet, Document, reverse
from landmarks.collection import About, Person, Picture
from landmarks.errors import HingelineError
from landmarks.identification import Guide
from landmarks.instruments.seeing import Seeing
from landmarks.own_doubt import Doubts
from landmarks.progress import Step, steps
from landmarks.sentences import Sentence
from landmarks.specimen import Frame, Specimen
from landmarks.storage import Query, Row, Saved, Store
from landmarks.summaries import Today


class Session(QObject):
    """What is on the bench.

    Signals
    -------
    changed(Aspect)
        Something of these aspects is no longer what it was.
    lit(tuple of landmark keys, measure key or "")
        Landmarks to light on the picture, or rows to light beside it.
    noticed(Sentence, kind)
        Something to tell the person; :mod:`app.session.notices` has the kinds.
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
        self.journal: Journal = Journal(self.desk, lambda one: self.shelf.parts(one), self)
        self.journal.moved.connect(lambda: self.tell(Aspect.SAVING))
        self.journal.saved.connect(self._acknowledged)
        self.journal.conflicted.connect(self.conflicted)
        self.journal.rewritten.connect(lambda deed: self.past.rewritten(deed))
        self.journal.let_go.connect(self._let_go)
        self.guide: Guide | None = None
        self.places: Places = Places()
        self._names_hidden = False
        self.person: Person = Person(new_id())
        self.reader: Reader = Reader(self)
        self.veil: Veil = Veil(self)
        self.hand: Hand = Hand(self)
        self.chosen: Chosen = Chosen(self)
        self.opening: Opening = Opening(self)
        self.empty()

    # -- what is open ----------------------------------------------------------------------

    def empty(self) -> None:
        """Leave the collection that is open; what is on screen is told by the caller."""
        self.veil.lift()
        self.store: Store | None = None
        self.path: Path | None = None
        self.example: bool = False
        self.about: About = About("")
        self.listing: Listing = Listing(self)
        self.chosen.put(())
        self.shelf: Shelf = Shelf()
        self.remembered: Remembered = Remembered()
        self.clear_bench()
        self.hand.drafts.forget_example()
        self.past = Undoing()
        self._wanted = ""
        self._moved_on = False

    def clear_bench(self) -> None:
        """Take everything off the bench; what is on screen is told by the caller."""
        self.specimen: Specimen | None = None
        self.frame: Frame | None = None
        self.assessment: Assessment | None = None
        self.live: Live | None = None
        self.veil.beside = None
        self.hand.let_go()

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
            self.notice(Sentence("repeats.stay"), "passing")
            return
        self._wanted = specimen_id
        if specimen_id in self.shelf.specimens:
            self._put_on_bench(specimen_id, frame_id)
            return

        def read() -> None:
            # Who was in a hurry may have chosen another one meanwhile.
            if self._wanted == specimen_id:
                self._put_on_bench(specimen_id, frame_id)

        self.reader.for_bench(specimen_id, read)

    def choose_frame(self, frame_id: str) -> None:
        """Show another frame of the specimen on the bench."""
        if self.specimen is None:
            return
        self._remember()
        self.frame = self.specimen.frame(frame_id)
        self.live = None
        self.hand.let_go()
        self.tell(Aspect.SELECTION | Aspect.TOOL | Aspect.MARK | Aspect.WORK)

    def hide_names(self, hidden: bool) -> None:  # noqa: FBT001 - a toggle's own signal
        """Hide or show every name and candidate; a repeat keeps them hidden."""
        if self.repeat is None:
            self._names_hidden = hidden
        self.tell(Aspect.NAMES)

    @property
    def tool(self) -> Tool | None:
        """Return what the next click sets, or None."""
        return self.hand.tool

    @property
    def instrument(self) -> Instrument | None:
        """Return the instrument at work, or None."""
        return self.hand.instrument

    @property
    def mark(self) -> tuple[str, int] | None:
        """Return the chosen mark: id of the placing or of the picture, and index; or None."""
        return self.hand.mark

    @property
    def repeat(self) -> Repeat | None:
        """Return the repeat that goes on, which veils the bench, or None."""
        return self.veil.repeat

    @property
    def names_hidden(self) -> bool:
        """Return whether names and candidates are out of sight."""
        return self._names_hidden or self.repeat is not None

    @property
    def seeing(self) -> Seeing:
        """Return how the picture on the bench is shown; each keeps its own until the end."""
        picture = self.picture
        return Seeing() if picture is None else self.remembered.seeing(picture)

    def see(self, how: Seeing) -> None:
        """Show the picture on the bench so; for display only, and nothing of it is stored."""
        picture = self.picture
        if picture is not None and how != self.seeing:
            self.remembered.see(picture, how)
            self.tell(Aspect.SEEING)

    def light(self, landmarks: tuple[str, ...], measure: str = "") -> None:
        """Light landmarks on the picture and the measure they belong to."""
        self.lit.emit(landmarks, measure)

    def notice(self, sentence: Sentence, kind: Kind = "info") -> None:
        """Tell the person something; the kind says how it looks and what it stands before."""
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
        return self.shelf.pictures

    @property
    def doubts(self) -> Doubts:
        """Return the own placing doubt of everybody who uses one, by the id of the person."""
        return self.shelf.doubts

    @property
    def today(self) -> Today | None:
        """Return what derived values rest on, besides the specimens; None without a guide."""
        return None if self.guide is None else Today(self.guide, self.doubts)

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
        return self.shelf.frames_on(self.frame.picture)

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
        return self.past.undo_name

    @property
    def redo_name(self) -> Sentence | None:
        """Return the deed that redo would do again, or None."""
        return self.past.redo_name

    # -- what is done ----------------------------------------------------------------------

    def do(self, deed: Sentence, *documents: Specimen | Picture | Change) -> None:
        """Do one deed: the new values of the documents it touches, in one change set."""
        changes: list[Change] = []
        if self.repeat is not None:
            seen = self.veil.back(documents)
            if seen is None:
                self.notice(Sentence("repeats.record_stays"), "refused")
                self.tell(Aspect.SPECIMEN | Aspect.PICTURE)
                return
            documents = seen
        for one in documents:
            changes.extend(self.shelf.changes_to(one))
        if not changes:
            return
        change_set = ChangeSet(
            new_id(),
            deed,
            (*self.shelf.signature(self.person), *changes),
            self.person.id,
            now(),
        )
        self.past.add(change_set)
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
        if self.past.undo_name is not None:
            self._turn(self.past.done[-1], again=False)

    def redo(self) -> None:
        """Do again what was taken back."""
        if self.past.redo_name is not None:
            self._turn(self.past.undone[-1], again=True)

    def agree_to_folder(self) -> None:
        """Open pictures of the folder that the picture on the bench lies in, from now on."""
        if self.picture is not None:
            self.places.agree(self.places.file_of(self.picture).parent)
            self.tell(Aspect.COLLECTION | Aspect.SELECTION)

    # -- inside ----------------------------------------------------------------------------

    def _turn(self, deed: ChangeSet, *, again: bool) -> None:
        back = reverse(deed, id=new_id(), person=self.person.id, at=now())
        if again:
            # What is done again bears its own name in the history.
            back = replace(back, deed=deed.deed, undoes="")
        try:
            self._apply(back)
        except HingelineError as fault:
            self.notice(fault.sentence, "refused")
            return
        self.past.turned(back, deed, again=again)
        self.tell(Aspect.PAST)
        self._show_what_turned(back)

    def _show_what_turned(self, back: ChangeSet) -> None:
        """Put a specimen that undo or redo touched on the bench, where it is not there."""
        touched = [
            one.id
            for one in back.documents
            if one.kind == "specimen" and self.shelf.has(one)
        ]
        here = self.specimen.id if self.specimen is not None else ""
        if touched and here not in touched:
            self.choose(touched[0])

    def _apply(self, deed: ChangeSet) -> None:
        self.shelf.apply(deed)
        self._look_again()
        self.journal.write(deed)
        self.tell(Aspect.SPECIMEN | Aspect.PICTURE | Aspect.PAST | Aspect.MARK)

    def renewed(self) -> None:
        """Show what is on the bench as the shelf has it now: somebody else changed it."""
        self._look_again()
        self.tell(Aspect.SELECTION | Aspect.SPECIMEN | Aspect.PICTURE | Aspect.MARK)
        self.listing.refresh()

    def _look_again(self) -> None:
        """Take the value on the bench from the shelf again, after a deed."""
        self.live = None
        if self.specimen is None:
            return
        frame_id = self.frame.id if self.frame is not None else ""
        self.specimen = self.veil.seen(self.specimen.id)
        if self.specimen is None:
            self.clear_bench()
            self.tell(Aspect.SELECTION)
            self._choose_another()
            return
        self.frame = self.specimen.frame(frame_id) or next(iter(self.specimen.frames), None)
        if (self.frame.id if self.frame is not None else "") != frame_id:
            self.tell(Aspect.SELECTION)
        self.hand.look_again()
        self._assess()

    def _choose_another(self) -> None:
        """Put another specimen on the bench, where the one there is gone.

        The first of the list; what was only just taken in may not be listed yet.
        """
        removed = self.shelf.removed
        there = (row.specimen for row in self.rows if row.specimen not in removed)
        other = next(there, next(reversed(self.shelf.specimens), ""))
        if other:
            self.choose(other)

    def _remember(self) -> None:
        """Remember the picture that leaves the bench, to be carried over from."""
        if self.picture is not None:
            self.remembered.leave(self.picture, tuple(one for _, one in self.neighbours))

    @property
    def last_scaled(self) -> Picture | None:
        """Return the last picture with a scale that was on the bench before this one."""
        last = self.pictures.get(self.remembered.last_scaled)
        return None if last is None or last is self.picture else last

    @property
    def drawer(self) -> Drawer | None:
        """Return the last picture with several frames that is not the one on the bench."""
        here, last = self.picture, self.remembered.drawer
        return None if last is None or (here and here.id == last.picture.id) else last

    def _put_on_bench(self, specimen_id: str, frame_id: str) -> None:
        self._remember()
        specimen = self.veil.seen(specimen_id)
        if specimen is None:
            return
        frame_id = frame_id or self.veil.first_frame(specimen_id)
        self.clear_bench()
        self.veil.put_beside(specimen_id)
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
            self.reader.again()
        elif self.specimen is not None:
            document = Document("specimen", self.specimen.id)
            if document in saved.revisions and self.repeat is None:
                self.listing.keep_summary(document, saved.revisions[document])
        self.listing.refresh()
        self.opening.all_is_written()

    def _let_go(self, gone: tuple[str, ...]) -> None:
        """Forget deeds that somebody else's work was preferred to, and say what went too."""
        self.past.let_go(gone)
        if len(gone) > 1:
            self.notice(Sentence("session.went_too", {"n": len(gone) - 1}), "caution")
        self.tell(Aspect.PAST)

    def failed(self, sentence: Sentence) -> None:
        """Tell the person what did not work."""
        self.notice(sentence, "error")

    def tell(self, aspects: Aspect) -> None:
        """Tell everything on screen what has changed."""
        self.changed.emit(aspects)
