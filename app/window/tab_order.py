"""The way of the keyboard through the window: region by region, and as one reads in each.

Rows and buttons are made anew all the time; Qt would visit them in the order of their birth.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QAbstractButton, QApplication, QScrollArea, QWidget

_SAME_LINE = 12
"""Tops that differ by less than this, in logical pixels, stand in one line."""


def go_on(
    regions: Sequence[QWidget], own_way: Sequence[QWidget] = (), *, forward: bool
) -> bool:
    """Give the keyboard to what comes after the widget that has it; False where that is lost.

    Parameters
    ----------
    regions
        The regions of the window in their order; what stands in none of them is not visited.
    own_way
        Those of them that have set the order of their widgets themselves.
    """
    focused = QApplication.focusWidget()
    order = [
        one
        for region in regions
        for one in (chain_of(region) if region in own_way else stops_of(region))
    ]
    if focused is None or focused not in order:
        return False
    step = 1 if forward else -1
    new = order[(order.index(focused) + step) % len(order)]
    reason = Qt.FocusReason
    new.setFocus(reason.TabFocusReason if forward else reason.BacktabFocusReason)
    _show(new)
    return True


def stops_of(region: QWidget) -> list[QWidget]:
    """Return where the keyboard stops in a region, line by line from the left."""
    if not region.isVisible():
        return []
    found = [one for one in (region, *region.findChildren(QWidget)) if _is_stop(one)]
    places = [(one.mapTo(region, QPoint()), one) for one in found]
    lines = _lines(sorted({place.y() for place, _ in places}))
    places.sort(key=lambda it: (lines[it[0].y()], it[0].x()))
    return [one for _, one in places]


def chain_of(region: QWidget) -> list[QWidget]:
    """Return where the keyboard stops in a region, in the order that it has set itself.

    What does not scroll with the rest, as the button that closes, comes last.
    """
    found: list[QWidget] = []
    one = region.nextInFocusChain()
    while one is not None and one is not region:
        if region.isAncestorOf(one) and _is_stop(one):
            found.append(one)
        one = one.nextInFocusChain()
    found.sort(key=lambda one: not _scrolls(one, region))
    return found if region.isVisible() else []


def _scrolls(widget: QWidget, region: QWidget) -> bool:
    around = widget.parentWidget()
    while around is not None and around is not region:
        if type(around) is QScrollArea:
            return True
        around = around.parentWidget()
    return False


def _is_stop(widget: QWidget) -> bool:
    return (
        bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus)
        and widget.isVisible()
        and widget.isEnabled()
        and widget.focusProxy() is None
        and not _stands_back(widget)
    )


def _stands_back(widget: QWidget) -> bool:
    """Tell whether a button is one of a choice in which another one is chosen."""
    if not isinstance(widget, QAbstractButton) or widget.group() is None:
        return False
    group = widget.group()
    return group.exclusive() and group.checkedButton() not in (None, widget)


def _lines(tops: Iterable[int]) -> dict[int, int]:
    """Return the line of every top: one begins where the last one's first is far above."""
    lines: dict[int, int] = {}
    first = line = -1
    for top in tops:
        if line < 0 or top - first >= _SAME_LINE:
            first, line = top, line + 1
        lines[top] = line
    return lines


def _show(widget: QWidget) -> None:
    """Scroll every area around a widget until it is seen."""
    around = widget.parentWidget()
    while around is not None:
        if isinstance(around, QScrollArea):
            around.ensureWidgetVisible(widget)
        around = around.parentWidget()
