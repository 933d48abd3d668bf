"""The five steps along the top, each saying in words what it has or lacks."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.panels.strip import on_ground
from app.session import Aspect, Session
from app.style.widgets import Has, Step, StepMap
from app.style.widgets.bare import bare_column
from app.style.widgets.nameplate import abbreviated
from landmarks.progress import FULL, HALF, STEPS
from landmarks.sentences import Number, Sentence, say, text

_TOOLS = {"scale": "scale", "landmark": "landmarks", "frame": "picture"}


class StepsBar(QWidget):
    """The step map bound to the session.

    Signals
    -------
    stepped(str)
        Key of the step a person chose: ``picture``, ``scale``, ``landmarks`` ...
    """

    stepped = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session, self._at = session, ""
        on_ground(self)
        self.map = StepMap(say("steps.title"))
        self.map.stepped.connect(lambda index: self.stepped.emit(STEPS[index]))
        column = bare_column(self)
        column.addWidget(self.map)
        session.changed.connect(self._look)
        self._renew()

    def set_current(self, step: str) -> None:
        """Say which step is at work (a strip is open), or with an empty key: none."""
        if step != self._at:
            self._at = step
            self._renew()

    def current(self) -> str:
        """Return the step that stands out: at work, or else the first that lacks something."""
        tool = self._session.tool
        if tool is not None and tool.kind in _TOOLS:
            return _TOOLS[tool.kind]
        if self._at:
            return self._at
        lacking = (step.key for step in self._session.steps if step.has != FULL)
        return next(lacking, "")

    def _look(self, aspects: Aspect) -> None:
        apart = Aspect.LIVE | Aspect.MARK | Aspect.SAVING | Aspect.ROWS | Aspect.WORK
        if aspects & ~apart:
            self._renew()

    def _renew(self) -> None:
        found = {step.key: step for step in self._session.steps}
        shown = []
        for key in STEPS:
            step, has, words, whole = found.get(key), "none", say("steps.nothing"), ""
            if step is not None:
                has, words = step.has, text(step.words)
                if (short := _in_short(step.words)) is not None:
                    words, whole = text(short), words
            if key == "name" and has != "none" and self._session.names_hidden:
                words = say("names.hidden")
            brief = abbreviated(words) if key == "name" else ""
            shown.append(Step(say(f"step.{key}.name"), words, _bead(has), whole, brief))
        at = self.current()
        self.map.set_steps(shown, STEPS.index(at) if at in STEPS else -1)


def _in_short(words: Sentence) -> Sentence | None:
    """Return the scale without its doubt, for which a step has no room."""
    px = words.values.get("px")
    if words.key != "step.scale" or not isinstance(px, Number):
        return None
    return Sentence("step.scale.short", {**words.values, "px": Number(px.value)})


def _bead(has: str) -> Has:
    if has == FULL:
        return "full"
    return "half" if has == HALF else "none"
