"""The keyboard goes through the window region by region, and as one reads in each."""

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication, QWidget

from tests.journeys.conftest import open_window, own_folder  # noqa: F401 - fixtures

BACK = Qt.KeyboardModifier.ShiftModifier


def way(person, start, keys=Qt.KeyboardModifier.NoModifier, most=120):
    """Return what Tab comes to, from a widget on until it is there again."""
    start.setFocus()
    found = []
    for _ in range(most):
        found.append(QApplication.focusWidget())
        person.key(Qt.Key.Key_Tab if not keys else Qt.Key.Key_Backtab, keys)
        if QApplication.focusWidget() is start:
            break
    return found


def region_of(window, widget):
    regions = (window.steps, window.header, window.specimens, window.rail, window.band,
               window.canvas, window.strips, *window.side.sections())  # fmt: skip
    inside = (
        at for at, one in enumerate(regions) if one is widget or one.isAncestorOf(widget)
    )
    return next(inside, -1)


def test_tab_goes_through_every_region_in_its_order(open_window):  # noqa: F811
    person = open_window()
    window = person.window
    start = next(
        one
        for one in window.steps.findChildren(QWidget)
        if one.focusPolicy() & Qt.FocusPolicy.TabFocus
    )
    found = way(person, start)
    regions = [region_of(window, one) for one in found]
    assert regions == sorted(regions)
    assert set(regions) >= {0, 1, 2, 3, 4, 5, 7, 8, 9, 10}
    rows = [one for one in found if window.side.measures.isAncestorOf(one)]
    tops = [one.mapTo(window, QPoint()).y() for one in rows]
    assert tops == sorted(tops)
    assert len(found) == len({id(one) for one in found})
    back = way(person, start, BACK)
    assert back[1:] == found[:0:-1]


def test_an_open_strip_keeps_its_own_order_and_is_left_for_the_side(open_window):  # noqa: F811
    person = open_window()
    window = person.window
    window.open_strip("name")
    strip = window.strips._made["name"]
    found = way(person, window.canvas)
    inside = [one for one in found if strip.isAncestorOf(one)]
    assert found.index(inside[0]) == 1, "the strip comes after the picture"
    assert inside[-1] is strip._close
    after = found[found.index(inside[-1]) + 1]
    assert window.side.isAncestorOf(after)
