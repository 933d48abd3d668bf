"""The strip of the series: how many, which edge is next, and what they come to."""

from PySide6.QtWidgets import QCheckBox

from app.instruments.series import KEY, TOLD, Series
from app.panels.instrument_strip import InstrumentStrip, left_words
from app.session import Aspect, Session
from app.style.widgets import Label, button
from app.style.widgets.buttons import plain_tip
from landmarks.assessment import measure_words
from landmarks.sentences import Sentence, say, text


class SeriesStrip(InstrumentStrip):
    """Counts the clicks of a series along its guide."""

    def __init__(self, session: Session) -> None:
        super().__init__(session, KEY, "list", say("series.title"))
        self.told = Label("", "body", wrap=True)
        self.guide = button(say("series.draw"), "link")
        self.guide.setToolTip(say("series.draw.tip"))
        self.guide.clicked.connect(self._draw_guide)
        self.add_below(self.told)
        self.at_least = QCheckBox(say("series.at_least"))
        self.at_least.setAccessibleName(say("series.at_least"))
        self.at_least.setToolTip(plain_tip(say("folds.at_least.tip", letter="H")))
        self.at_least.clicked.connect(self._turn_at_least)
        self.add_links(self.guide, self.at_least)
        self.renew()

    def renew(self) -> None:
        """Show how far the series is."""
        series = self.instrument()
        if not isinstance(series, Series):
            return
        name = Sentence(f"landmark.{series.landmark}.name")
        self.set_title(say("series.title.of", landmark=name), left_words(series))
        words = self._words(series)
        self.state.setText(words)
        self.state.setAccessibleName(words)
        n = len(series.points)
        key = "series.accept.at_least" if series.at_least and n else "series.accept"
        words = say("series.guide.done" if series.drawing else key, n=n)
        self.accept.setText(words)
        self.accept.setAccessibleName(words)
        self.at_least.setChecked(series.at_least and n > 0)
        self.at_least.setVisible(n > 0 and not series.drawing)
        self.accept.setEnabled(series.drawing or n > 0)
        self.guide.setVisible(not series.drawing)
        self._tell_measures(series)

    def _look(self, aspects: Aspect) -> None:
        super()._look(aspects)
        series = self.instrument()
        if aspects & Aspect.LIVE and isinstance(series, Series):
            self._tell_measures(series)

    def _words(self, series: Series) -> str:
        if series.drawing:
            return say("series.guide.drawing")
        n = len(series.points)
        guided = say("series.guided" if series.guide else "series.unguided")
        if series.scuted:
            edge, bare = series.scutes.next_edge, series.n_without_edges
            if bare:
                guided = say("series.scutes.no_edges", n=bare)
            return f"{say(f'series.scutes.{edge}', n=n, next=n + 1)} {guided}"
        return f"{say('series.so_far', n=n)} {guided}"

    def _tell_measures(self, series: Series) -> None:
        live = self._session.live
        rows = {} if live is None else {row.key: row for row in live.measures}
        told = [
            say("series.told", measure=Sentence(f"measure.{key}.name"),
                value=text(measure_words(rows[key])))
            for key in TOLD.get(series.landmark, ())
            if key in rows
        ]  # fmt: skip
        self.told.setText(self.side_by_side(told))
        self.told.setVisible(bool(told))

    def _turn_at_least(self) -> None:
        series = self.instrument()
        if isinstance(series, Series):
            series.turn_at_least()

    def _draw_guide(self) -> None:
        series = self.instrument()
        if isinstance(series, Series):
            series.draw_guide()
