"""A window that somebody works at without a pause, until the process is killed.

Run by the tests as a child. Every deed that the window says is saved is told on a handle: the
id of its change set and its place in the history.
"""

from __future__ import annotations

import os
import random
from collections.abc import Callable
from pathlib import Path

MOST_DEEDS = 400
WAIT_S = 30.0
BY_HAND = ("deed.place", "deed.move", "deed.delete", "deed.score", "deed.determine")


def work(collection: Path, picture: Path, settings: Path, out: int, seed: int) -> None:
    """Open the window on a collection, and place, move, score, name and undo at random."""
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    from PySide6.QtWidgets import QApplication

    from app.application import begin, fill, make_shell
    from app.settings import Settings

    application = QApplication.instance() or QApplication([])
    assert isinstance(application, QApplication)
    preferences = Settings(settings)
    preferences.set("started_before", "yes")
    shell = make_shell(preferences)
    shell.resize(1440, 900)
    shell.show()
    window = fill(shell, preferences)
    session = window.session

    def say(deed, saved) -> None:
        os.write(out, f"{deed.id} {saved.sequence}\n".encode())

    session.journal.saved.connect(say)
    begin(window, [collection])
    # Where the first process was killed before the picture was in, it is taken in again.
    _wait(application, lambda: session.assessment is not None or (session.store is not None
          and not session.desk.busy and session.n_rows == 0))  # fmt: skip
    if session.n_rows == 0:
        window.files.open_anything([picture])
    _wait(application, lambda: session.picture is not None and window.canvas.has_picture)
    _wait(application, lambda: session.assessment is not None)
    chance = random.Random(seed)
    hand = _Hand(application, window, chance)
    for _ in range(MOST_DEEDS):
        chance.choice(hand.deeds)()
        application.processEvents()
    _wait(application, lambda: session.saving.state == "saved")


class _Hand:
    """Clicks and keys at random; each of them is a deed where it can be one."""

    def __init__(self, application, window, chance: random.Random) -> None:
        from PySide6.QtTest import QTest

        self._press, self._window, self._chance = QTest.keyClick, window, chance
        self._application = application
        self.deeds: tuple[Callable[[], None], ...] = (
            self.place, self.place, self.place, self.move, self.move, self.score, self.score,
            self.name, self.take_back,
        )  # fmt: skip

    def place(self) -> None:
        """Place the next landmark with a click on the picture."""
        from app.session import deeds
        from tests.app import helpers_mouse as mouse

        session = self._window.session
        if session.frame.view != "outside_of_valve":
            deeds.set_view(session, "outside_of_valve")
        self._window.start_landmarks()
        if session.tool is None:
            self.remove()
            return
        mouse.click(self._window.canvas, self._window.canvas.place_of(self._somewhere()))

    def move(self) -> None:
        """Move a mark by one pixel with an arrow key."""
        from PySide6.QtCore import Qt

        if self._choose():
            self._press(self._window.canvas, Qt.Key.Key_Right)

    def remove(self) -> None:
        """Remove a mark."""
        from PySide6.QtCore import Qt

        if self._choose():
            self._press(self._window.canvas, Qt.Key.Key_Delete)

    def score(self) -> None:
        """Score a character with a number key in the strip."""
        from PySide6.QtCore import Qt

        window = self._window
        rows = [one for one in window.session.assessment.characters if one.character.states]
        window.start_characters(self._chance.choice(rows).character.key)
        number = self._chance.choice((1, 2))
        key = Qt.Key(ord(str(number)))
        self._press(window.strips._made["score"], key)

    def name(self) -> None:
        """Give the leading candidate's name with the button of the strip."""
        window = self._window
        window.open_strip("name")
        naming = window.strips._made["name"]
        candidates = window.session.assessment.answer.candidates
        naming.choose_taxon(self._chance.choice(candidates[:3]).taxon)
        naming.give.click()

    def take_back(self) -> None:
        """Take the last step back, but never the picture itself."""
        last = self._window.session.undo_name
        if last is not None and last.key.startswith(BY_HAND):
            self._window.session.undo()

    def _choose(self) -> bool:
        session = self._window.session
        session.hand.take_tool(None)
        placed = [one for one in session.specimen.placings if one.points]
        if not placed:
            return False
        session.hand.choose_mark((self._chance.choice(placed).id, 0))
        self._window.canvas.setFocus()
        return True

    def _somewhere(self):
        from landmarks.geometry import Point

        width, height = self._window.session.picture.size
        share = self._chance.uniform
        return Point(width * share(0.2, 0.8), height * share(0.2, 0.8))


def _wait(application, until: Callable[[], bool]) -> None:
    import time

    end = time.monotonic() + WAIT_S
    while not until():
        assert time.monotonic() < end, "the window was not ready"
        application.processEvents()
        time.sleep(0.002)
