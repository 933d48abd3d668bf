"""Fields to type into, with their names."""

from PySide6.QtWidgets import QDoubleSpinBox, QLineEdit, QWidget

from app.style.icons import icon


def text_field(
    name: str, hint: str = "", icon_name: str = "", parent: QWidget | None = None
) -> QLineEdit:
    """Return a field for text; `hint` stands in it while it is empty."""
    made = QLineEdit(parent)
    made.setAccessibleName(name)
    made.setPlaceholderText(hint)
    if icon_name:
        made.addAction(icon(icon_name), QLineEdit.ActionPosition.LeadingPosition)
    return made


def number_field(
    name: str,
    least: float = 0.0,
    most: float = 10_000.0,
    decimals: int = 1,
    unit: str = "",
    parent: QWidget | None = None,
) -> QDoubleSpinBox:
    """Return a field for a number with its unit."""
    made = QDoubleSpinBox(parent)
    made.setAccessibleName(name)
    made.setRange(least, most)
    made.setDecimals(decimals)
    if unit:
        made.setSuffix(f"\N{NO-BREAK SPACE}{unit}")
    made.lineEdit().setAccessibleName(name)
    # A style sheet cannot pad the text of a number field (seen with Qt 6.11).
    made.lineEdit().setTextMargins(7, 0, 0, 0)
    return made
