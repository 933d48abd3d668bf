"""The strip of the edge trace: how far the line is, and what finishes it."""

from PySide6.QtCore import Signal

from app.instruments.edge_trace import KEY, EdgeTrace
from app.panels.instrument_strip import InstrumentStrip, left_words
from app.session import Session
from app.style.widgets import button
from landmarks.sentences import Sentence, say


class TraceStrip(InstrumentStrip):
    """Says what the next click does, and finishes or accepts the line."""

    plain_wanted = Signal()
    """The line is to be clicked point by point."""

    def __init__(self, session: Session) -> None:
        super().__init__(session, KEY, "spline", say("edge_trace.title"))
        self.plain = self.add_button(button(say("edge_trace.plain")))
        self.plain.setToolTip(say("edge_trace.plain.tip"))
        self.plain.clicked.connect(self.plain_wanted)
        self.renew()

    def renew(self) -> None:
        """Show how far the line is."""
        trace = self.instrument()
        if not isinstance(trace, EdgeTrace):
            return
        name = Sentence(f"landmark.{trace.landmark}.name")
        self.set_title(say("edge_trace.title.of", landmark=name), left_words(trace))
        n, closed = trace.n_clicks, trace.closed
        if trace.finished:
            state = "waits" if trace.waits else "follows" if trace.busy else "finished"
        elif n >= trace.least:
            state = "closes" if closed else "ends"
        else:
            state = "begins" if n == 0 else "goes_on"
        words = say(f"edge_trace.{state}", n=n)
        if words != self.state.text():
            self.state.setText(words)
            self.state.setAccessibleName(words)
        self.accept.setText(
            say("instrument.accept" if trace.finished else "edge_trace.finish")
        )
        self.accept.setEnabled(n >= trace.least and not trace.waits)
        self.back.setEnabled(n > 0)
        self.plain.setVisible(not trace.finished)
