"""In the head of a strip nothing is cut, whatever its width."""

from itertools import combinations

import pytest
from PySide6.QtCore import QRect
from PySide6.QtWidgets import QApplication, QLabel, QVBoxLayout, QWidget

from app.panels.instrument_strip import InstrumentStrip
from app.panels.strip import Strip
from app.session import Session
from app.style.widgets import Label, button
from app.style.widgets.beside import Beside

TITLE, WORDS = "Check what lies in the drawer", "Words that explain it, " * 6


@pytest.fixture
def strip(qtbot):
    """A strip with a title, a sentence, two buttons and a body, in a window of its own."""
    window = QWidget()
    column = QVBoxLayout(window)
    column.setContentsMargins(0, 0, 0, 0)
    made = Strip("check", TITLE)
    made.set_title(TITLE, WORDS)
    made.add_to_head(button("Look for pictures"), button("Check now", "primary"))
    body = QWidget()
    QVBoxLayout(body).addWidget(Label("The body"))
    made.set_body(body)
    column.addWidget(made)
    column.addStretch(1)
    qtbot.addWidget(window)
    window.resize(1400, 900)
    window.show()
    yield made
    window.close()


def seen(strip, widget):
    """Return where a widget lies in the strip."""
    return QRect(widget.mapTo(strip, widget.rect().topLeft()), widget.size())


@pytest.mark.parametrize("width", [1400, 600, 420, 320])
def test_title_buttons_and_words_are_whole_and_apart(strip, qtbot, width):
    strip.window().resize(width, 900)
    qtbot.waitUntil(lambda: strip.width() == width)
    qtbot.waitUntil(lambda: strip.height() == strip.height_at(width))
    QApplication.processEvents()
    title, buttons = strip._title, strip._head.ways
    inside = [seen(strip, one) for one in (title, *buttons)]
    assert all(strip.rect().contains(one) for one in inside)
    assert not any(a.intersects(b) for a, b in combinations(inside, 2))
    for one in buttons:
        assert one.width() >= one.sizeHint().width()
    needed = title.fontMetrics().horizontalAdvance(TITLE)
    assert title.width() >= needed or title.height() >= title.heightForWidth(title.width())
    [words] = [one for one in strip.findChildren(QLabel) if one.text() == WORDS]
    assert words.isVisible()
    assert words.height() >= words.heightForWidth(words.width())
    below = strip._area.widget().isAncestorOf(words)
    assert below is (width < 1400), (
        "the words scroll with the body where the head is narrow"
    )
    assert below or words.width() > 160


def test_buttons_that_come_late_find_room(strip, qtbot):
    late = button("Give up what is being done just now, and begin anew")
    late.hide()
    strip.add_to_head(late)
    shown = (strip._title, *strip._head.ways)
    width = sum(one.sizeHint().width() + 20 for one in shown if one is not late) + 80
    strip.window().resize(width, 900)
    qtbot.waitUntil(lambda: strip.width() == width)
    assert seen(strip, strip._head.ways[0]).top() < seen(strip, strip._title).bottom()
    late.show()
    qtbot.waitUntil(lambda: seen(strip, late).top() >= seen(strip, strip._title).bottom())
    assert strip._head.ways[-1].toolTip() != "", "the closing button stays last"
    strip.set_title(TITLE)
    late.hide()
    qtbot.waitUntil(
        lambda: seen(strip, strip._head.ways[0]).top() < seen(strip, strip._title).bottom()
    )


def test_the_strip_of_an_instrument_is_as_low_as_its_longest_words(qtbot):
    window = QWidget()
    column = QVBoxLayout(window)
    column.setContentsMargins(0, 0, 0, 0)
    made = InstrumentStrip(Session(), "folds", "waves", "Folds")
    column.addWidget(made)
    column.addStretch(1)
    qtbot.addWidget(window)
    window.resize(560, 700)
    window.show()

    def told(words):
        made.state.setText(words)
        # The wish for another height goes up from layout to layout.
        for _ in range(5):
            QApplication.processEvents()
        qtbot.waitUntil(lambda: made.height() == made.height_at(560))
        return made.height()

    few, many = "Click the top of each main fold.", WORDS * 2
    low = told(few)
    # The buttons stand in the head, so the words have the whole width.
    assert seen(made, made.accept).bottom() < seen(made, made.state).top()
    assert low < made._head.geometry().height() + 3 * made.state.fontMetrics().height()
    high = told(many)
    assert high > low
    assert told(few) == high, "the picture stands still"
    made.state.forget()
    assert told(few) == low, "other work begins low again"


@pytest.mark.parametrize("last", [False, True])
def test_words_leave_their_place_beside_buttons_before_they_are_narrow(qtbot, last):
    words, made = Label(WORDS, wrap=True), button("Draw another line")
    both = Beside(words, made, last=last)
    qtbot.addWidget(both)
    both.show()
    for width in (600, 250):
        both.resize(width, 300)
        qtbot.waitUntil(lambda: words.width() > 200)
        below = width < 600
        where, its = seen(both, made), words.geometry()
        assert both.rect().contains(where)
        assert both.rect().contains(its)
        if last:
            assert its.top() > where.bottom() if below else its.left() > where.right()
        else:
            assert where.top() > its.bottom() if below else where.left() > its.right()
