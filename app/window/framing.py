"""Boxes drawn on the picture: another specimen, the one on the bench, or its label."""

from __future__ import annotations

from PySide6.QtCore import QObject

from app.canvas.bound import BoundCanvas
from app.session import Session, Tool, deeds
from landmarks.geometry import Box


class Framing(QObject):
    """Arms the frame tool, and makes of the box that is drawn what was wanted."""

    def __init__(self, session: Session, canvas: BoundCanvas, parent: QObject) -> None:
        super().__init__(parent)
        self._session, self._canvas = session, canvas
        canvas.frame_drawn.connect(self._drawn)

    def another(self) -> None:
        """Arm the frame tool: the next box on the picture shows another specimen."""
        self._session.hand.take_tool(Tool("frame"))
        # The view shows the frame drawn last; another specimen lies beside it.
        self._canvas.fit()
        self._canvas.setFocus()

    def own(self) -> None:
        """Arm the frame tool: the next box on the picture shows the specimen on the bench."""
        self._session.hand.take_tool(Tool("frame", own=True))
        self._canvas.setFocus()

    def label(self) -> None:
        """Arm the frame tool for the label of the specimen on the bench."""
        self._session.hand.take_tool(Tool("frame", deeds.LABEL))
        self._canvas.setFocus()

    def _drawn(self, box: Box) -> None:
        tool = self._session.tool
        self._session.hand.take_tool(None)
        if tool is not None and tool.landmark == deeds.LABEL:
            deeds.add_label_frame(self._session, box)
        elif tool is not None and tool.own:
            deeds.set_region(self._session, box)
        else:
            deeds.add_specimen_on_picture(self._session, box)
