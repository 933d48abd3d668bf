"""What went wrong or has to be known: notices, a conflict, what could not be saved."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from app.panels.band_said import Said
from app.panels.fields import one_line, titled
from app.session import Aspect, Session
from app.session.notices import Kind, Told, after_another, in_order, is_act
from app.style.widgets.band import Way
from landmarks.sentences import Sentence, say, text
from landmarks.storage import Conflict

MOST_SIDES = 3
"""So many parts of a conflict are told one by one."""

_BEGUN = Aspect.PAST | Aspect.TOOL | Aspect.WORK | Aspect.SELECTION
"""What changes where a person has begun or done something else."""


class Trouble:
    """Keeps what was told until it is put away; a conflict and a failure to save come first."""

    def __init__(self, session: Session, save_copy: Callable[[], object]) -> None:
        self._session, self._save_copy = session, save_copy
        self._told: tuple[Told, ...] = ()
        self._acts = 0
        self._conflict: Conflict | None = None
        self._later = False

    def notice(self, sentence: Sentence, kind: Kind) -> None:
        """Take a notice; what was told before is told anew, and does not wait twice."""
        self._acts += is_act(kind)
        told = Told(sentence, kind, self._acts)
        kept = (
            one
            for one in self._told
            if (one.sentence, one.kind) != (sentence, kind)
            and not one.rule.until == told.rule.until == "begun"
        )
        self._told = (*kept, told)

    def clash(self, conflict: Conflict) -> None:
        """Take a conflict with somebody else's change."""
        self._conflict, self._later = conflict, False

    def put_away(self) -> None:
        """Put away what is said; what waits behind it comes."""
        if self._is_unsettled:
            self._later = True
        else:
            shown = in_order(self._told)[:1]
            self._told = tuple(one for one in self._told if one not in shown)

    def look(self, aspects: Aspect) -> None:
        """Forget what is over because of what changed."""
        if aspects & Aspect.COLLECTION:
            self._told = ()
            self._conflict, self._later = None, False
        if aspects & _BEGUN:
            self._acts += 1
            # What stands behind a conflict was not read yet.
            deed = bool(aspects & Aspect.PAST) and not self._is_unsettled
            self._told = after_another(self._told, deed=deed)
        if aspects & Aspect.SAVING and self._session.saving.fault is None:
            self._conflict, self._later = None, False

    @property
    def n_told(self) -> int:
        """Return how many notices wait."""
        return len(self._told)

    def said(self) -> Said | None:
        """Return what is to be said of it, or None; its note tells how many wait behind it."""
        waiting = in_order(self._told)
        first = self._unsettled()
        if first is None and waiting:
            first, waiting = said_of(waiting[0]), waiting[1:]
        if first is None or not waiting:
            return first
        return replace(first, note=say("band.more_notices", n=len(waiting)))

    @property
    def _is_unsettled(self) -> bool:
        fault = self._session.saving.fault
        return not self._later and (self._conflict is not None or fault is not None)

    def _unsettled(self) -> Said | None:
        """Return what has to be settled before notices are read, unless it was put off."""
        if not self._is_unsettled:
            return None
        if self._conflict is not None:
            ways = (
                Way(say("band.keep_mine"), self._keep_mine, "primary"),
                Way(say("band.take_theirs"), self._take_theirs),
            )
            sides = self._both_sides(self._conflict)
            return Said("caution", say("band.conflict"), sides, ways=ways, icon="users")
        fault = self._session.saving.fault
        return Said("error", say("band.not_saved"), fault, ways=self._ways_to_save())

    def _ways_to_save(self) -> tuple[Way, ...]:
        """Return what can be done about steps that wait; all go along with a copy."""
        again = Way(say("band.try_again"), self._session.journal.retry, "primary")
        copy = Way(say("band.save_copy"), self._save_copy)
        store = self._session.store
        if store is not None and store.read_only:
            return (replace(copy, kind="primary"),)
        return again, copy

    def _both_sides(self, conflict: Conflict) -> Sentence:
        """Return what the part was, what is mine and what theirs; no names while hidden."""
        from landmarks.storage.telling import names_of, sides_of

        guide = self._session.guide
        names = {} if guide is None else names_of(guide.tables)
        rows = sides_of(conflict, names)
        if self._session.names_hidden or not rows:
            return conflict.sentence
        told: list[Sentence] = []
        for one in rows[:MOST_SIDES]:
            versions = {"base": one.base, "mine": one.mine, "theirs": one.theirs}
            values = {name: one_line(text(version)) for name, version in versions.items()}
            what = titled(one_line(text(one.what)))
            told.append(Sentence("others.sides", {"what": what, **values}))
        if len(rows) > MOST_SIDES:
            told.append(Sentence("others.more", {"n": len(rows) - MOST_SIDES}))
        lines = (one_line(text(conflict.sentence)), *map(text, told))
        return Sentence("plain", {"words": "\n".join(lines)})

    def _keep_mine(self) -> None:
        conflict = self._conflict
        if conflict is not None:
            self._conflict = None
            self._session.journal.keep_mine(conflict)

    def _take_theirs(self) -> None:
        self._conflict = None
        self._session.journal.take_theirs()
        self._session.reader.again()


def said_of(told: Told) -> Said:
    """Return what a notice says in the band."""
    looks = told.rule.looks
    return Said(looks, say(f"band.{looks}"), told.sentence)
