"""Folds cut through, and how strongly they stand out."""

import numpy as np

from tests.drawing.pen import FINE, MAIN, PART, Points, Sheet, points


def fold_profile(state: str) -> Sheet:
    """Draw a cut through three folds."""
    u = np.linspace(-3, 3, 361)
    x = 80 + u * 24.0
    outer, inner = _section(state, u)
    sheet = Sheet()
    top = np.column_stack([x, 84 - outer])
    under = np.column_stack([x, 96 - inner])
    whole = np.vstack([top, under[::-1]])
    sheet.solid(whole, 0.1, 0)
    mark = len(sheet.items)
    for start in np.arange(-40, 170, 6.5):
        sheet.line(points((start, 110), (start + 60, 10)), FINE, 0.35)
    sheet.keep(whole, mark)
    sheet.line(np.vstack([whole, whole[:1]]), MAIN)
    sheet.line(points((8, 111), (152, 111)), FINE, 0.4)
    for at in (8, 56, 104, 152):
        sheet.line(points((at, 108.5), (at, 113.5)), FINE, 0.6)
    return sheet


def _section(state: str, u: Points) -> tuple[Points, Points]:
    """Return the height of the outer and the inner face across three folds."""
    v = np.abs((u + 1) % 2 - 1)  # 0 at a top, 1 in a furrow
    v = np.where(u < -2.999, 1.0, v)
    if state == "triangular":
        outer = 50 * (1 - np.sqrt(v**2 + 0.001))
        inner = 40 * (1 - np.sqrt(v**2 + 0.004))
    elif state == "rounded":
        outer = 50 * np.sqrt(np.clip(1 - (0.985 * v) ** 2, 0, 1))
        inner = 38 * np.sqrt(np.clip(1 - (0.97 * v) ** 2.2, 0, 1))
    else:
        outer = 25 * np.clip(1 - v**5, 0, 1) ** 0.8
        inner = 19 * np.clip(1 - v**5, 0, 1) ** 0.8
    return outer, inner


def fold_strength(state: str) -> Sheet:
    """Draw a piece of shell with low, moderate or strong folds, seen askew."""
    depth = {"low": 4.0, "moderate": 13.0, "strong": 30.0}[state]
    sheet = Sheet()
    u = np.linspace(-3, 3, 241)
    wave = np.cos(np.pi * (u + 1))
    rows = []
    for t in np.linspace(0, 1, 13):  # from the front edge to the back
        shrink = 1 - 0.3 * t
        x = 80 + u * 24 * shrink
        y = 86 - 50 * t - depth * shrink * (0.5 + 0.5 * wave)
        rows.append(np.column_stack([x, y]))
    sheet.line(rows[-1], PART)
    for far, near in zip(rows[:0:-1], rows[-2::-1], strict=True):
        strip = np.vstack([near, far[::-1]])
        sheet.hide(strip)
        sheet.tint(strip, 0.06)
        for side in (0, -1):
            sheet.line(np.vstack([near[side], far[side]]), MAIN)
        for place in (40, 120, 200):
            sheet.line(np.vstack([near[place], far[place]]), FINE, 0.45)
        for place in (80, 160):
            sheet.line(np.vstack([near[place], far[place]]), 1.5, 0.8)
    for i in (3, 6, 9):
        _growth(sheet, rows, i)
    front = rows[0]
    thick = front + points((0, 9))
    edge = np.vstack([front, thick[::-1]])
    sheet.solid(edge, 0.22, MAIN)
    return sheet


def _growth(sheet: Sheet, rows: list[Points], i: int) -> None:
    """Draw a growth line where no nearer fold stands before it."""
    line = Sheet()
    line.line(rows[i], FINE, 0.4)
    for far, near in zip(rows[i:0:-1], rows[i - 1 :: -1], strict=True):
        line.hide(np.vstack([near, far[::-1]]))
    sheet.items.extend(line.items)
