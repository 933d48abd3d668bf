"""Somebody at the window: clicks and keys only, waiting as a person waits."""

from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel

from landmarks.geometry import Point
from tests.app import helpers_mouse as mouse


class Person:
    """Works at one window."""

    def __init__(self, window, qtbot):
        self.window, self.session, self._qtbot = window, window.session, qtbot
        self.deeds, self.gone = 0, False

    # -- waiting ---------------------------------------------------------------------------

    def wait(self, until, timeout=20_000):
        self._qtbot.waitUntil(until, timeout=timeout)

    def wait_until_readable(self):
        self.wait(lambda: self.session.assessment is not None)
        self.wait(lambda: self.session.picture is None or self.window.canvas.has_picture)
        self.wait(lambda: not self.session.desk.busy)

    def wait_until_saved(self):
        self.wait(lambda: self.session.saving.state == "saved")

    def choose_picture(self, name):
        """Go to the frame that shows a picture, named by the end of its path."""
        session = self.session
        for row in session.rows:
            session.choose(row.specimen)
            self.wait(lambda it=row: session.specimen is not None
                      and session.specimen.id == it.specimen)  # fmt: skip
            for frame in session.specimen.frames:
                if session.pictures[frame.picture].path.endswith(name):
                    session.choose_frame(frame.id)
                    self.wait_for_picture()
                    return
        raise AssertionError(name)

    def wait_for_picture(self):
        """Wait until the whole picture is there, and look at it."""
        self.wait(lambda: bool(self.window.canvas.levels))
        self.look_at_picture()

    def leave_and_come_back(self):
        """Go to another picture of the specimen, and back to this one."""
        session, here = self.session, self.session.frame.id
        other = next(one.id for one in session.specimen.frames if one.id != here)
        for frame in (other, here):
            session.choose_frame(frame)
            assert session.instrument is None
        self.wait_for_picture()

    # -- eyes ------------------------------------------------------------------------------

    def said(self):
        """Return the words of the band above the picture."""
        labels = self.window.band.band.findChildren(QLabel)
        return " ".join(one.text() for one in labels if one.isVisible())

    def strip_said(self):
        """Return the words of the strip under the picture."""
        labels = self.window.strips.findChildren(QLabel)
        return " ".join(one.text() for one in labels if one.isVisible())

    # -- hands -----------------------------------------------------------------------------

    def key(self, key, keys=Qt.KeyboardModifier.NoModifier, text=""):
        """Press a key where the focus is."""
        self.deeds += 1
        if not self.window.shell.isActiveWindow():
            self.window.shell.activateWindow()
            with self._qtbot.waitActive(self.window.shell):
                pass
        target = QApplication.focusWidget() or self.window
        if text:
            for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
                QApplication.sendEvent(target, QKeyEvent(kind, key, keys, text))
        else:
            QTest.keyClick(target, key, keys)

    def type(self, words):
        """Type into the field that has the focus."""
        QTest.keyClicks(QApplication.focusWidget(), words)
        self.deeds += len(words)

    def look_at_picture(self):
        self.window.canvas.setFocus()

    def place(self, raw):
        """Click a place of the picture, given in its pixels."""
        self.deeds += 1
        mouse.click(self.window.canvas, self.at(raw))

    def drag(self, start, end):
        """Drag from one place of the picture to another."""
        self.deeds += 1
        mouse.drag(self.window.canvas, self.at(start), self.at(end))

    def press(self, button):
        """Click a button."""
        self.deeds += 1
        self._qtbot.mouseClick(button, Qt.MouseButton.LeftButton)

    def at(self, raw):
        place = QPointF(self.window.canvas.place_of(Point(*raw)))
        shown = self.window.canvas.viewport().rect()
        assert shown.contains(place.toPoint()), "the place is outside the view"
        return place

    def close(self):
        if self.gone:
            return
        self.gone = True
        self.window.shell.close()
        self.window.shell.deleteLater()
