"""The byssal opening seen close: its edge, and its shape."""

from collections.abc import Callable

import numpy as np

from tests.drawing.pen import FINE, MAIN, PART, Points, Sheet, circle, curve, points

_CENTRE = 60.0
_LEFT, _RIGHT = 12.0, 118.0  # ends of the opening, from the far end to the beaks
_FOLDS = 7


def byssal_edge(state: str) -> Sheet:
    """Draw the two edges of an opening: plain, with small folds, or with meeting teeth."""
    sheet = Sheet()
    x = np.linspace(_LEFT, _RIGHT, 421)
    q = (x - _LEFT) / (_RIGHT - _LEFT)
    lens = np.sin(np.pi * q) ** 0.6
    upper, lower = _EDGES[state](q, lens)
    edges = (np.column_stack([x, _CENTRE - upper]), np.column_stack([x, _CENTRE + lower]))
    _valves(sheet)
    if state == "plicate":
        for side, edge in zip((-1, 1), edges, strict=True):
            _short_folds(sheet, edge, side)
    if state == "interlocking":
        for side in (-1, 1):
            _tooth_backs(sheet, side)
    gap = np.vstack([edges[0], edges[1][::-1][1:-1]])
    sheet.solid(gap, 0.3, MAIN if state == "interlocking" else PART)
    _beaks(sheet)
    return sheet


def _plain(_q: Points, lens: Points) -> tuple[Points, Points]:
    return 10.5 * lens, 10.5 * lens


def _plicate(q: Points, lens: Points) -> tuple[Points, Points]:
    # The small folds of the two valves stand opposite each other and leave the gap open.
    bump = 3.6 * (0.5 - 0.5 * np.cos(2 * np.pi * _FOLDS * q)) ** 0.8
    half = np.clip(12.0 * lens - bump * np.clip(lens * 1.4, 0, 1), 0, None)
    return half, half


def _interlocking(q: Points, lens: Points) -> tuple[Points, Points]:
    # The tooth of one valve fills the notch of the other; a thread of a gap is left.
    tooth = 9.0 * (2 / np.pi) * np.arcsin(0.96 * np.sin(2 * np.pi * _FOLDS * q))
    tooth = tooth * np.clip(np.minimum(q, 1 - q) / 0.07, 0, 1)
    thread = 1.0 * np.clip(lens * 2, 0, 1)
    return thread - tooth, thread + tooth


_EDGES: dict[str, Callable[[Points, Points], tuple[Points, Points]]] = {
    "plain": _plain,
    "plicate": _plicate,
    "interlocking": _interlocking,
}


def _valves(sheet: Sheet) -> None:
    """Draw the flanks of the two valves round the opening, cut off at the sheet's edge."""
    for side in (-1, 1):
        rim = curve(
            (4, _CENTRE), (14, _CENTRE + side * 26), (40, _CENTRE + side * 44),
            (86, _CENTRE + side * 51), (130, _CENTRE + side * 47), (156, _CENTRE + side * 40),
        )  # fmt: skip
        flank = np.vstack([rim, points((156, _CENTRE), (4, _CENTRE))])
        sheet.tint(flank, 0.06)
        sheet.line(rim, MAIN)
        for share in (0.62, 0.8):
            middle = np.column_stack([rim[:, 0], _CENTRE + share * (rim[:, 1] - _CENTRE)])
            sheet.line(middle[10:-6], FINE, 0.3)
    sheet.line(points((4, _CENTRE), (_LEFT, _CENTRE)), MAIN)
    sheet.line(points((_RIGHT, _CENTRE), (156, _CENTRE)), MAIN)


def _beaks(sheet: Sheet) -> None:
    for side in (-1, 1):
        beak = curve(
            (116, _CENTRE), (117, _CENTRE + side * 13), (127, _CENTRE + side * 23),
            (142, _CENTRE + side * 22), (152, _CENTRE + side * 13), (155, _CENTRE),
        )  # fmt: skip
        sheet.solid(beak, 0.06, PART)
        sheet.line(
            curve((126, _CENTRE + side * 10), (134, _CENTRE + side * 15),
                  (144, _CENTRE + side * 10)), FINE, 0.6)  # fmt: skip


def _short_folds(sheet: Sheet, edge: Points, side: int) -> None:
    """Draw small folds that run from the bumps of an edge a little way up the valve."""
    for fold in range(_FOLDS):
        here = edge[int((fold + 0.5) / _FOLDS * (len(edge) - 1))]
        for lean in (-3.4, 3.4):
            foot = (here[0] + lean, here[1] + side * 2.6)
            sheet.line(
                curve(foot, (foot[0] - lean * 0.16, foot[1] + side * 5),
                      (foot[0] - lean * 0.3, foot[1] + side * 10)), 1.4, 0.75)  # fmt: skip


def _tooth_backs(sheet: Sheet, side: int) -> None:
    """Draw the ridges that run up the valve from its teeth."""
    for tooth in range(_FOLDS):
        # The upper valve's teeth point down where the lower one has a notch.
        at = (tooth + (0.25 if side < 0 else 0.75)) / _FOLDS
        x = _LEFT + at * (_RIGHT - _LEFT)
        root = _CENTRE - side * 1.0
        sheet.line(
            curve((x, root), (x + 0.6, root + side * 8), (x + 1.6, root + side * 17)),
            1.4, 0.75,
        )  # fmt: skip


def byssal_shape(state: str) -> Sheet:
    """Draw the shape of the opening of a pair."""
    sheet = Sheet()
    _valves(sheet)
    sheet.solid(_SHAPES[state](), 0.3, MAIN)
    _beaks(sheet)
    return sheet


def _slit() -> Points:
    return _from_halves(lambda q: 3.0 * np.sin(np.pi * q) ** 0.6)


def _lance() -> Points:
    # Pointed at both ends, broadest nearer the beaks.
    return _from_halves(lambda q: 17.0 * np.sin(np.pi * q**1.35) ** 1.15)


def _drop() -> Points:
    # Round beside the beaks, drawn out to a point at the far end.
    return _from_halves(lambda q: 21.0 * np.sqrt(np.clip(1 - q**9, 0, 1)) * q**1.3)


def _ellipse() -> Points:
    return circle((_LEFT + _RIGHT) / 2 + 1, _CENTRE, (_RIGHT - _LEFT) / 2, 0.4, n=72)


def _from_halves(half: Callable[[Points], Points]) -> Points:
    q = np.linspace(0, 1, 181)
    x = _LEFT + q * (_RIGHT - _LEFT)
    wide = half(q)
    upper = np.column_stack([x, _CENTRE - wide])
    lower = np.column_stack([x, _CENTRE + wide])
    return np.vstack([upper, lower[::-1][1:-1]])


_SHAPES: dict[str, Callable[[], Points]] = {
    "slit": _slit,
    "lance": _lance,
    "drop": _drop,
    "ellipse": _ellipse,
}
