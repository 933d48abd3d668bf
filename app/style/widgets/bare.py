"""Rows, columns and areas without margins of their own: the place they stand in has them."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget


def bare_row(holder: QWidget | None = None, spacing: int = -1) -> QHBoxLayout:
    """Return a row for a holder, or for another layout; without a spacing Qt's usual one."""
    row = QHBoxLayout() if holder is None else QHBoxLayout(holder)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(spacing)
    return row


def bare_column(holder: QWidget | None = None, spacing: int = -1) -> QVBoxLayout:
    """Return a column for a holder, or for another layout; as :func:`bare_row`."""
    column = QVBoxLayout() if holder is None else QVBoxLayout(holder)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(spacing)
    return column


def bare_area(area: QScrollArea) -> None:
    """Let an area scroll without a frame and a ground, and without taking the keyboard."""
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.viewport().setAutoFillBackground(False)
