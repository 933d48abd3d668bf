"""The fold instrument at work: two independent counts, and marks that are the person's.

The traced margin is counted as soon as the instrument is taken up; clicks across the folds
add the count by light and shade. What is proposed are marks one adds to, drags and removes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from app.background.desk import Desk
from app.instruments.crop import warm_up
from app.session import Instrument, Session, deeds
from app.session.at_work import MARK, done_with
from landmarks.figures import Lozenge, Mark, Outline
from landmarks.geometry import Point
from landmarks.instruments.fold_agreement import FoldCount
from landmarks.instruments.fold_marks import (
    Counted,
    FoldMark,
    counted,
    marks_of,
    to_hinge_ends,
)
from landmarks.instruments.folds import END, MAIN, Found
from landmarks.instruments.series import beside, ordered
from landmarks.scheme import VIEWS
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from landmarks.instruments.edges import Crop

KEY = "folds"
KINDS = {MAIN: "main_folds", END: "end_folds"}
LINE = "upper_margin_line"
FOLD, TRANSECT, KNOT = f"{MARK}/fold", f"{MARK}/transect", f"{MARK}/knot"


@dataclass(frozen=True, slots=True)
class Marked:
    """Folds as they were left: the marks, what was proposed, the clicks across, the past."""

    folds: tuple[FoldMark, ...]
    at_least: frozenset[str]
    proposed: tuple[FoldMark, ...]
    transect: tuple[Point, ...]
    drawing: bool
    history: tuple[tuple[tuple[FoldMark, ...], frozenset[str]], ...]


class Folds(Instrument):
    """Counts and marks the folds of the frame on the bench."""

    key = KEY
    aims = "point"
    dense = True

    def __init__(
        self, session: Session, crop: Callable[[], Crop | None], desk: Desk
    ) -> None:
        super().__init__()
        self._session, self._crop, self._desk = session, crop, desk
        frame, specimen = session.frame, session.specimen
        rows = VIEWS[frame.view].landmarks if frame and frame.view in VIEWS else ()
        self.kinds = tuple(
            kind for kind, key in KINDS.items() if any(row.key == key for row in rows)
        )
        self.replaces = tuple(KINDS[kind] for kind in self.kinds)
        placed = specimen.placed(frame.id) if specimen and frame else {}
        self._old = tuple(
            FoldMark(point, kind)
            for kind in self.kinds
            if KINDS[kind] in placed
            for point in placed[KINDS[kind]].points
        )
        traced = placed[LINE].points if LINE in placed else ()
        self._margin = to_hinge_ends(traced, placed) if traced else ()
        self.at_least = frozenset(
            kind
            for kind in self.kinds
            if KINDS[kind] in placed and placed[KINDS[kind]].at_least
        )
        self.transect: tuple[Point, ...] = ()
        self.counted = Counted()
        self.proposed: tuple[FoldMark, ...] = ()
        self._old = self._sorted(self._old)
        self.folds: tuple[FoldMark, ...] = self._old
        self._recorded = self._old, self.at_least
        self._history: list[tuple[tuple[FoldMark, ...], frozenset[str]]] = []
        self._held: tuple[int, Point] | None = None
        self._zoom = 1.0
        self._asked, self._gone, self._unseen = 0, False, False
        desk.ask(warm_up, lambda _: None, lambda _: None)
        self.drawing = not (self._margin or self._old)
        if self._margin:
            self._count()

    # -- left and taken up -----------------------------------------------------------------

    @property
    def draft(self) -> Marked | None:
        """Return marks and transect, where the person has marked or clicked anything."""
        now, proposed = (self.folds, self.at_least), self.proposed
        untouched = now == self._recorded or (self.folds == proposed and not self._history)
        if not self.transect and (untouched or not self.folds):
            return None
        return Marked(*now, proposed, self.transect, self.drawing, tuple(self._history))

    def take_up(self, draft: Marked) -> None:
        """Go on with these marks; what is proposed is counted anew."""
        self.folds, self.at_least = draft.folds, draft.at_least
        self.proposed = draft.proposed
        self.transect, self.drawing = draft.transect, draft.drawing
        self._history = list(draft.history)
        if self.transect and not self.drawing:
            self._count()

    def picture_is_there(self) -> None:
        """Count along the transect, where that could not be seen before."""
        if self._unseen:
            self._count()

    # -- what it tells ---------------------------------------------------------------------

    @property
    def count(self) -> FoldCount | None:
        """Return the proposal made of what was found."""
        return self.counted.count

    @property
    def has_margin(self) -> bool:
        """Return whether the margin was traced."""
        return bool(self._margin)

    def number_of(self, kind: str) -> int:
        """Return how many folds of a kind are marked."""
        return sum(one.kind == kind for one in self.folds)

    def has_more(self, kind: str) -> bool:
        """Return whether there are more folds of a kind than could be marked."""
        return kind in self.at_least and self.number_of(kind) > 0

    def found(self) -> tuple[Found, ...]:
        """Return what was found, for the plot: the margin before the transect."""
        both = self.counted.margin, self.counted.transect
        return tuple(one for one in both if isinstance(one, Found))

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Return the marks of the folds, and the transect while it is drawn."""
        made: list[Mark] = []
        if self.transect:
            if len(self.transect) > 1:
                line = _curve(self.transect)
                made.append(Outline(TRANSECT, "", line, provisional=True))
            if self.drawing:
                knot = Sentence("folds.knot")
                made.extend(
                    Lozenge(KNOT, "", point, 0, knot, at, square=True)
                    for at, point in enumerate(self.transect)
                )
        shown = self._shown()
        for at, (one, number) in enumerate(zip(shown, numbers_of(shown), strict=True)):
            name = Sentence(f"folds.{one.kind}")
            lit = f"{FOLD}/{at}"
            square = one.kind == END
            more = self.has_more(one.kind) and number == self.number_of(one.kind)
            made.append(Lozenge(FOLD, lit, one.point, number, name, at, square, more))
        return tuple(made)

    # -- from the picture ------------------------------------------------------------------

    def click(self, point: Point, zoom: float, *, plain: bool = False) -> None:
        """Lead the transect on, or add a fold: with the plain key an end fold."""
        self._zoom = zoom
        if self.drawing:
            self.transect = (*self.transect, point)
            self.changed.emit()
            return
        added = FoldMark(point, END if plain and END in self.kinds else MAIN)
        self._change(self._sorted((*self.folds, added)))
        self._session.hand.choose_mark((FOLD, self.folds.index(added)))

    def drag(self, mark: str, index: int, point: Point) -> None:
        """Show a mark where it is dragged."""
        if mark == FOLD:
            self._held = index, point
        elif mark == KNOT:
            self._move_knot(index, point)
        self.changed.emit()

    def drop(self, mark: str, index: int, point: Point) -> None:
        """Take a mark where it was let go."""
        self._held = None
        if mark == KNOT:
            self._move_knot(index, point)
            self.changed.emit()
        elif mark == FOLD and index < len(self.folds):
            moved = replace(self.folds[index], point=point)
            rest = (*self.folds[:index], *self.folds[index + 1 :])
            self._change(self._sorted((*rest, moved)))
            self._session.hand.choose_mark((FOLD, self.folds.index(moved)))

    def delete(self, mark: str, index: int) -> None:
        """Take a fold away, or a click of the transect."""
        if mark == KNOT:
            self.transect = (*self.transect[:index], *self.transect[index + 1 :])
            self.changed.emit()
        elif mark == FOLD and index < len(self.folds):
            self._change((*self.folds[:index], *self.folds[index + 1 :]))

    def turn_kind(self, index: int) -> None:
        """Make a main fold an end fold, and the reverse."""
        if 0 <= index < len(self.folds) and len(self.kinds) > 1:
            one = self.folds[index]
            kind = MAIN if one.kind == END else END
            turned = replace(one, kind=kind)
            self._change((*self.folds[:index], turned, *self.folds[index + 1 :]))

    def turn_at_least(self, kind: str) -> bool:
        """Say that more folds of a kind are hidden or worn than could be marked, or no longer.

        False where none of them is marked: there is nothing that they could be more than.
        """
        if not self.number_of(kind):
            return False
        self._remember()
        self.at_least ^= {kind}
        self.changed.emit()
        return True

    def draw_transect(self) -> None:
        """Begin the clicks across the folds anew."""
        self.drawing, self.transect = True, ()
        self.changed.emit()

    def use_proposal(self) -> None:
        """Take the marks that were proposed in place of those that are there."""
        if self.proposed:
            self._change(self.proposed)

    def step_back(self) -> bool:
        """Take the last click or change back."""
        if self.drawing and self.transect:
            self.transect = self.transect[:-1]
        elif self.drawing and (self.folds or self._margin):
            self.drawing = False
        elif self._history:
            self.folds, self.at_least = self._history.pop()
        elif self.transect:
            self.drawing = True
        else:
            return False
        self.changed.emit()
        return True

    def accept(self) -> None:
        """Count along the transect; or record the marks, main and end folds as one deed."""
        if self.drawing and len(self.transect) > 1:
            self.drawing = False
            self._count()
        elif self.drawing and self.folds:
            self.drawing = False
            self.changed.emit()
        elif not self.drawing and self.folds and not self.busy:
            self._accept()

    def put_down(self) -> None:
        """Wait for nothing any more."""
        self._gone = True

    # -- inside ----------------------------------------------------------------------------

    def _shown(self) -> tuple[FoldMark, ...]:
        if self._held is None or self._held[0] >= len(self.folds):
            return self.folds
        at, point = self._held
        held = replace(self.folds[at], point=point)
        return (*self.folds[:at], held, *self.folds[at + 1 :])

    def _move_knot(self, index: int, point: Point) -> None:
        if index < len(self.transect):
            self.transect = (*self.transect[:index], point, *self.transect[index + 1 :])

    def _change(self, folds: tuple[FoldMark, ...]) -> None:
        self._remember()
        self.folds = folds
        self.changed.emit()

    def _remember(self) -> None:
        self._history.append((self.folds, self.at_least))

    def _sorted(self, folds: tuple[FoldMark, ...]) -> tuple[FoldMark, ...]:
        """Return marks in the order along the margin, else along the transect."""
        guide = self._margin or self.transect
        if len(guide) < 2:
            return folds
        return tuple(sorted(folds, key=lambda one: beside(guide, one.point).along))

    def _count(self) -> None:
        self._asked += 1
        asked, crop = self._asked, self._crop()
        margin, transect = self._margin, self.transect
        self._unseen = crop is None and bool(transect)
        self.busy = True

        def done(found: Counted) -> None:
            if self._gone or asked != self._asked:
                return
            self.busy, self.counted = False, found
            count = found.count
            before, self.proposed = self.proposed, marks_of(count) if count else ()
            # What the person has marked or changed is never put aside by itself.
            untouched = self.folds in ((), before)
            if self.proposed and untouched:
                self.folds = self.proposed
                self._history.clear()
            self.changed.emit()

        def failed(sentence: Sentence) -> None:
            self.busy = False
            if not self._gone:
                self._session.notice(sentence, "error")

        def question() -> Counted:
            wanted = asked == self._asked and not self._gone
            return counted(crop, margin, transect) if wanted else Counted()

        self._desk.ask(question, done, failed)
        self.changed.emit()

    def _accept(self) -> None:
        if self.folds == self._old:
            said = {KINDS[kind]: self.has_more(kind) for kind in self.kinds}
            deeds.say_at_least(self._session, said)
            done_with(self._session)
            return
        answers = []
        specimen, frame = self._session.specimen, self._session.frame
        placed = specimen.placed(frame.id) if specimen and frame else {}
        guide = self._margin or self.transect
        for kind in self.kinds:
            points = ordered([one.point for one in self.folds if one.kind == kind], guide)
            proposed = ordered(
                [one.point for one in self.proposed if one.kind == kind], guide
            )
            key = KINDS[kind]
            if points:
                how = "clicked" if not self.proposed else ""
                if self.proposed and not proposed:
                    how = "corrected"
                kept = () if points == proposed else proposed
                more = kind in self.at_least
                answers.append(
                    deeds.Accepted(key, points, proposed=kept, how=how, at_least=more)
                )
            elif key in placed and placed[key].points:
                # There were some, and the person took them all away.
                answers.append(deeds.Accepted(key, reason="none"))
        more = any(self.has_more(kind) for kind in self.kinds)
        word = "deed.folds_at_least" if more else "deed.folds"
        deed = Sentence(word, {"n": len(self.folds)})
        deeds.accept(self._session, deed, KEY, answers, self._zoom)
        done_with(self._session)


def numbers_of(folds: Sequence[FoldMark]) -> tuple[int, ...]:
    """Return the number of each mark among those of its kind, as they are recorded."""
    counted = dict.fromkeys(KINDS, 0)
    numbers = []
    for one in folds:
        counted[one.kind] += 1
        numbers.append(counted[one.kind])
    return tuple(numbers)


def _curve(clicks: tuple[Point, ...]) -> tuple[Point, ...]:
    from landmarks.instruments.ridges import rounded

    return tuple(Point(float(x), float(y)) for x, y in rounded(clicks, 24 * len(clicks)))
