"""The strip of two margins: their profile, where they gape, and what is only noise."""

from app.instruments.margins import KEY, Margins
from app.panels.instrument_strip import InstrumentStrip
from app.panels.profile_plot import Curve, ProfilePlot
from app.session import Session
from app.style.widgets import Label
from landmarks.assessment import measure_words
from landmarks.instruments.margins import GAP, TOLD, Profile
from landmarks.measures import Measured
from landmarks.sentences import Sentence, say, text


class MarginStrip(InstrumentStrip):
    """Shows how the left and the right margin compare, linked to the picture."""

    def __init__(self, session: Session) -> None:
        self._across = False
        super().__init__(session, KEY, "columns-2", say("margins.title"))
        self.back.hide()
        self.accept.setText(say("strip.close"))
        self.accept.setToolTip(say("margins.close.tip"))
        self.plot = ProfilePlot(say("margins.plot"))
        self.told = Label("", "body", wrap=True)
        self.add_below(self.told)
        self.add_below(self.plot)
        self.plot.pointed.connect(self._point)
        self.renew()

    def renew(self) -> None:
        """Show the profile and the three measures with their noise floor."""
        margins = self.instrument()
        if not isinstance(margins, Margins):
            return
        compared = margins.compared
        profile = None if compared is None else compared.profile
        self.plot.setVisible(profile is not None)
        self.told.setText(self.side_by_side(self._told()))
        if profile is None or compared is None:
            words = say("margins.looking" if margins.busy else "margins.none")
        else:
            words = text(self._gap_words(margins, profile))
            self._show(margins, profile, words)
            share = -1.0
            if margins.station is not None:
                share = self._turned(margins.station / max(1, len(profile.along) - 1))
            self.plot.set_cursor_at(share)
        if words != self.state.text():
            self.state.setText(words)
            self.state.setAccessibleName(words)

    def _gap_words(self, margins: Margins, profile: Profile) -> Sentence:
        if not profile.gap.any():
            return Sentence("margins.shut")
        # What is measured where it can be told from 0, what is shaded where it cannot.
        share, key = float(profile.gap.mean()), "margins.noise"
        if margins.compared is not None and margins.compared.from_zero(GAP):
            row = margins.compared.row(GAP)
            if isinstance(row, Measured):
                share, key = row.value.value, "margins.gape"
        return Sentence(key, {"share": f"{100 * share:.0f}"})

    def _show(self, margins: Margins, profile: Profile, words: str) -> None:
        n = len(profile.along)
        across, up = margins.flipped
        self._across = across
        gap = profile.gap.tolist()
        edges = [k for k in range(n) if gap[k] != (gap[k - 1] if k else False)]
        if len(edges) % 2:
            edges.append(n - 1)
        bands = [
            sorted((self._turned(first / (n - 1)), self._turned(last / (n - 1))))
            for first, last in zip(edges[::2], edges[1::2], strict=True)
        ]
        middle = float((profile.left.mean() + profile.right.mean()) / 2)
        way, sign = (-1 if across else 1), (-1.0 if up else 1.0)
        curves = [
            Curve(tuple((sign * (line - middle))[::way].tolist()), filled=False)
            for line in (profile.left, profile.right)
        ]
        pairs = [(low, high) for low, high in bands]
        self.plot.show_profile(curves, bands=pairs, noise=profile.noise, words=words)

    def _turned(self, share: float) -> float:
        return 1 - share if self._across else share

    def _told(self) -> list[str]:
        assessment = self._session.assessment
        rows = () if assessment is None else assessment.measures
        return [
            say("series.told", measure=Sentence(f"measure.{row.key}.name"),
                value=text(measure_words(row)))
            for row in rows
            if row.key in TOLD
        ]  # fmt: skip

    def _point(self, share: float) -> None:
        margins = self.instrument()
        if isinstance(margins, Margins):
            margins.point_at_share(share if share < 0 else self._turned(share))
