"""The strip of the folds: both counts, their profiles, and what there is to settle."""

from collections.abc import Sequence
from functools import partial

from PySide6.QtWidgets import QCheckBox, QHBoxLayout

from app.instruments.folds import FOLD, KEY, KINDS, Folds, numbers_of
from app.panels.instrument_strip import InstrumentStrip, left_words
from app.panels.profile_plot import Curve, Peak, ProfilePlot
from app.session import Session
from app.style.widgets import button
from app.style.widgets.buttons import plain_tip
from landmarks.geometry import Point, distance
from landmarks.instruments.folds import END, MAIN, Found
from landmarks.sentences import Number, Sentence, say, text

LEAST_KEYS = {MAIN: "H", END: "Shift+H"}
"""The keys that say of each kind that more of it are hidden or worn."""


class FoldStrip(InstrumentStrip):
    """Shows what margin and transect say of the folds."""

    def __init__(self, session: Session) -> None:
        super().__init__(session, KEY, "waves", say("folds.title"))
        self.plots = {
            source: ProfilePlot(say(f"folds.plot.{source}"))
            for source in ("margin", "transect")
        }
        self._places: dict[tuple[int, Point], float] = {}
        self.transect = button(say("folds.draw"), "link")
        self.transect.setToolTip(say("folds.draw.tip"))
        self.turn = button(say("folds.turn"), "link")
        self.turn.setToolTip(say("folds.turn.tip"))
        self.proposal = button(say("folds.proposal"), "link")
        self.proposal.setToolTip(say("folds.proposal.tip"))
        self.at_least = {kind: QCheckBox() for kind in LEAST_KEYS}
        for kind, box in self.at_least.items():
            box.setToolTip(plain_tip(say("folds.at_least.tip", letter=LEAST_KEYS[kind])))
            box.clicked.connect(partial(self._turn_at_least, kind))
        row = QHBoxLayout()
        row.setSpacing(16)
        for plot in self.plots.values():
            row.addWidget(plot, 1)
            plot.hovered.connect(self._hovered)
        self.add_below(row)
        self.add_links(self.transect, self.turn, self.proposal, *self.at_least.values())
        self.transect.clicked.connect(lambda: self._do(Folds.draw_transect))
        self.proposal.clicked.connect(lambda: self._do(Folds.use_proposal))
        self.turn.clicked.connect(self._turn)
        session.lit.connect(self._light)
        self.renew()

    def renew(self) -> None:
        """Show both counts and the marks."""
        folds = self.instrument()
        if not isinstance(folds, Folds):
            return
        count, n = folds.count, len(folds.folds)
        self.set_title(say("folds.title"), left_words(folds))
        words, ink = self._words(folds)
        self.state.setText(words)
        self.state.setAccessibleName(words)
        self.state.set_ink(ink)
        for source, plot in self.plots.items():
            found = next((one for one in folds.found() if one.source == source), None)
            plot.setVisible(found is not None)
            if found is not None:
                peaks = self._peaks(folds, found)
                said = say("folds.plot.words", n=len(found.folds))
                plot.show_profile([Curve(found.profile)], peaks, words=said)
        if folds.drawing:
            self.accept.setText(say("folds.count"))
            self.accept.setAccessibleName(say("folds.count"))
            self.accept.setEnabled(len(folds.transect) > 1)
        else:
            self.accept.setText(self._accepts(folds))
            self.accept.setAccessibleName(self._accepts_spoken(folds))
            self.accept.setEnabled(bool(n) and not folds.busy)
        self._show_at_least(folds)
        self.transect.setVisible(not folds.drawing)
        mark = self._session.mark
        chosen = mark is not None and mark[0] == FOLD
        self.turn.setVisible(len(folds.kinds) > 1 and not folds.drawing and n > 0)
        self.turn.setEnabled(chosen)
        differs = bool(folds.proposed) and folds.folds != folds.proposed
        self.proposal.setVisible(count is not None and differs and not folds.drawing)

    def _accepts(self, folds: Folds) -> str:
        """Return how many folds are accepted, and which number is a lower bound."""
        main, ends = folds.number_of(MAIN), folds.number_of(END)
        if END in folds.kinds and (ends or not folds.has_more(MAIN)):
            least = {kind: folds.has_more(kind) for kind in (MAIN, END)}
            both = Number(main, at_least=least[MAIN]), Number(ends, at_least=least[END])
            return say("folds.accept", main=both[0], ends=both[1])
        key = "folds.accept.at_least" if folds.has_more(MAIN) else "folds.accept.main"
        return say(key, n=main)

    def _accepts_spoken(self, folds: Folds) -> str:
        """Return the same in full, for a screen reader."""
        marked = [
            Sentence(
                "said.at_least" if folds.has_more(kind) else "said.marked",
                {"n": n, "landmark": Sentence(f"landmark.{KINDS[kind]}.name")},
            )
            for kind in folds.kinds
            if (n := folds.number_of(kind))
        ]
        return say("folds.accept.spoken", marked=tuple(marked))

    def _show_at_least(self, folds: Folds) -> None:
        """Show of each kind that is marked whether there are more."""
        several = len(folds.kinds) > 1
        for kind, box in self.at_least.items():
            words = say(f"folds.at_least.{kind}" if several else "folds.at_least")
            box.setText(words)
            box.setAccessibleName(words)
            box.setChecked(folds.has_more(kind))
            box.setVisible(folds.number_of(kind) > 0 and not folds.drawing)

    def _turn_at_least(self, kind: str) -> None:
        folds = self.instrument()
        if isinstance(folds, Folds):
            folds.turn_at_least(kind)

    def _words(self, folds: Folds) -> tuple[str, str]:
        """Return what is said, and its ink: sure, to be checked, or neither."""
        if folds.busy:
            return say("folds.counting"), "ink2"
        if folds.drawing:
            n = len(folds.transect)
            return say("folds.drawing" if n < 2 else "folds.drawing.on", n=n), "ink2"
        said = [text(one.sentence) for one in folds.counted.refusals]
        count = folds.count
        if count is not None:
            said.insert(0, text(count.sentence()))
        if not said:
            return say("folds.by_hand"), "ink2"
        said.append(say("folds.marks"))
        sure = count is not None and count.sure
        return " ".join(said), "plus" if sure else "caution"

    def _peaks(self, folds: Folds, found: Found) -> list[Peak]:
        return [
            Peak(number, self._place(found.line, one.point), one.kind == END)
            for one, number in zip(folds.folds, numbers_of(folds.folds), strict=True)
        ]

    def _place(self, line: Sequence[Point], point: Point) -> float:
        key = (id(line), point)
        if key not in self._places:
            if len(self._places) > 400:
                self._places.clear()
            nearest = min(range(len(line)), key=lambda k: distance(line[k], point))
            self._places[key] = nearest / max(1, len(line) - 1)
        return self._places[key]

    def _do(self, deed: object) -> None:
        folds = self.instrument()
        if isinstance(folds, Folds) and callable(deed):
            deed(folds)

    def _turn(self) -> None:
        folds, mark = self.instrument(), self._session.mark
        if isinstance(folds, Folds) and mark is not None and mark[0] == FOLD:
            folds.turn_kind(mark[1])

    def _hovered(self, index: int) -> None:
        self._session.light((f"{FOLD}/{index}",) if index >= 0 else (), "")

    def _light(self, landmarks: tuple[str, ...], _measure: str) -> None:
        numbers = [
            one.rpartition("/")[2] for one in landmarks if one.startswith(f"{FOLD}/")
        ]
        index = int(numbers[0]) if numbers else -1
        for plot in self.plots.values():
            plot.light(index)
