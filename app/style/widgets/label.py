"""A label of plain text in a role and an ink."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QWidget

from app.style.follow import follow
from app.style.fonts import font
from landmarks.sentences.numbers import unbroken


class Label(QLabel):
    """Plain text in a role of `tokens.TYPE` and an ink (ink, ink2, accent, plus ...)."""

    def __init__(
        self,
        text: str = "",
        role: str = "body",
        ink: str = "ink",
        *,
        wrap: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(wrap)
        self.setText(text)
        self._role = role
        self.setProperty("ink", ink)
        follow(self._restyle)

    def setText(self, text: str) -> None:
        """Show this text; where it wraps, a number stays with its unit."""
        self._text = text
        super().setText(unbroken(text))

    def text(self) -> str:
        """Return the text as it was given."""
        return self._text

    def set_ink(self, ink: str) -> None:
        """Change the colour of the text."""
        if self.property("ink") != ink:
            self.setProperty("ink", ink)
            self.style().unpolish(self)
            self.style().polish(self)

    def set_role(self, role: str) -> None:
        """Change the size and weight of the text."""
        self._role = role
        self._restyle()

    def _restyle(self) -> None:
        self.setFont(font(self._role))
