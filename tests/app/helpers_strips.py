"""Strips of the window opened as a person opens them."""

from PySide6.QtWidgets import QApplication


def open_strip(window, name):
    if name == "score":
        window.start_characters()
    else:
        window.open_strip(name)
    QApplication.processEvents()
