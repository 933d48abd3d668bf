"""What the ruler found along the line: which graduation, how it fits, and the choice."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QBoxLayout, QVBoxLayout, QWidget

from app.instruments.ruler import RulerAtWork
from app.panels.residual_plot import Residual, ResidualPlot
from app.style.widgets import Label, button
from app.style.widgets.bare import bare_row
from app.style.widgets.painted import plain_tip
from landmarks.instruments.ruler import RulerFit, tilt_sentence
from landmarks.scale import Setting, camera_distance_px
from landmarks.sentences import Number, Sentence, say, text


class RulerFitRow(QWidget):
    """One row of the scale strip, while a line is measured."""

    def __init__(
        self, setting: Callable[[], Setting | None], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._setting = setting
        self._ruler: RulerAtWork | None = None
        self.title = Label("", "strong")
        self.choice = button(say("scaling.use.clicks"), "link")
        self.found = Label("", "small", "plus", wrap=True)
        self.lean = Label("", "small", "ink2", wrap=True)
        self.honest = Label(say("scaling.fit.honest"), "small", "ink2", wrap=True)
        self.plot = ResidualPlot()
        self._head = bare_row(spacing=16)
        self._head.addWidget(self.title)
        self._head.addWidget(self.choice)
        self._head.addStretch(1)
        self._words = QVBoxLayout()
        self._words.setSpacing(2)
        self._words.addLayout(self._head)
        for one in (self.found, self.lean, self.honest):
            self._words.addWidget(one)
        self._words.addStretch(1)
        self._row = bare_row(self, 16)
        self._row.addLayout(self._words, 1)
        self._row.addWidget(self.plot, 1)
        self.choice.clicked.connect(self._choose)

    def arrange(self, *, wide: bool) -> None:
        """Put the plot beside the words and the choice beside the title, or below them."""
        ways = QBoxLayout.Direction
        for row in (self._row, self._head):
            row.setDirection(ways.LeftToRight if wide else ways.TopToBottom)

    def show_ruler(self, ruler: RulerAtWork | None) -> None:
        """Show what this ruler has found so far; None hides the row."""
        self._ruler = ruler
        fit = None if ruler is None else ruler.fit
        told = ruler is not None and (ruler.busy or fit is not None or ruler.refused)
        self.setVisible(bool(told))
        for one in (self.choice, self.lean, self.honest, self.plot):
            one.setVisible(fit is not None)
        # Room is kept for the plot that may come, so that the picture stands still.
        policy = self.plot.sizePolicy()
        policy.setRetainSizeWhenHidden(ruler is not None and ruler.busy)
        self.plot.setSizePolicy(policy)
        if ruler is None:
            return
        if fit is not None:
            self._show_fit(ruler, fit)
        elif ruler.busy:
            waits = ruler.waits
            self.title.setText(say("scaling.waits" if waits else "scaling.looking"))
            self.found.set_ink("ink2")
            self.found.setText(say("scaling.waits.words") if waits else "")
        elif ruler.refused is not None:
            self.title.setText(say("scaling.refused.title"))
            self.found.set_ink("ink2")
            self.found.setText(text(ruler.refused))
        self.found.setVisible(bool(self.found.text()))

    def _show_fit(self, ruler: RulerAtWork, fit: RulerFit) -> None:
        name = Sentence(f"ruler.graduation.{fit.graduation.name}")
        counts = "scaling.counts.clicks" if ruler.by_clicks else "scaling.counts.fit"
        self.title.setText(say("scaling.fit.title", graduation=name))
        self.choice.setText(
            say("scaling.use.fit" if ruler.by_clicks else "scaling.use.clicks")
        )
        self.choice.setAccessibleName(self.choice.text())
        self.choice.setToolTip(plain_tip(text(fit.sentence())))
        self.found.set_ink("ink2" if ruler.by_clicks else "plus")
        tick = "" if ruler.by_clicks else "✓ "
        self.found.setText(f"{tick}{say(counts)}: {text(marks_sentence(fit))}")
        self.lean.setText(self._lean(fit))
        step = fit.graduation.step_mm
        self.plot.show_marks(
            [Residual(one.number * step, one.residual_mm, one.used) for one in fit.ticks],
            fit.residual_mm,
        )

    def _lean(self, fit: RulerFit) -> str:
        setting = self._setting()
        away = None if setting is None else camera_distance_px(setting).value
        lean = None if away is None else tilt_sentence(fit, away)
        self.lean.set_ink("caution" if lean is not None else "ink2")
        # A caution comes first: where the window is low, what stands last is out of sight.
        self._words.insertWidget(1 if lean is not None else 2, self.lean)
        if lean is not None:
            return f"▲ {text(lean)}"
        share = Number(float(f"{100 * abs(fit.drift):.2g}"), unit="%")
        return f"{say('scaling.fit.drift', drift=share)}: {say('scaling.fit.level')}"

    def _choose(self) -> None:
        if self._ruler is not None:
            self._ruler.prefer_clicks(not self._ruler.by_clicks)


def marks_sentence(fit: RulerFit) -> Sentence:
    """Say how many marks fit, and how they scatter."""
    scatter = Number(float(f"{fit.residual_mm:.2g}"), unit="mm")
    values = {
        "all": len(fit.ticks),
        "scatter": scatter,
        "n": fit.n_used,
    }
    return Sentence("scaling.fit.marks", values)
