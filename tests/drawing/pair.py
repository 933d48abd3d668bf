"""Both valves: from the hinge, from above shut, and in the rock."""

import numpy as np

from tests.drawing.pen import FINE, MAIN, PART, Points, Sheet, curve, points, spread

_CENTRE = 60.0


def _half_width(x: Points, ends: tuple[float, float], high: float, waves: float) -> Points:
    q = np.clip((x - ends[0]) / (ends[1] - ends[0]), 0, 1)
    lens = np.sin(np.pi * q) ** 0.62
    return np.asarray(high * lens + waves * lens * np.cos(2 * np.pi * 5.5 * (q - 0.5)))


def _lens(ends: tuple[float, float], high: float, waves: float) -> Points:
    x = np.linspace(*ends, 181)
    half = _half_width(x, ends, high, waves)
    upper = np.column_stack([x, _CENTRE - half])
    lower = np.column_stack([x, _CENTRE + half])
    return np.vstack([upper, lower[::-1][1:-1]])


# The opening on the hinge side: half its width, and where it begins and ends.
OPENING = {
    "closed": (0.0, 30.0, 88.0),
    "slit": (2.4, 44.0, 87.0),
    "moderate": (6.0, 38.0, 87.0),
    "large": (10.5, 31.0, 87.0),
    "very_large": (15.5, 24.0, 87.0),
}
_ENDS = (7.0, 153.0)
UMBO_X = 100.0


def hinge_edge(state: str, *, detail: bool = True) -> Sheet:
    """Draw a pair from the hinge: byssal opening left of the umbones, ligament right."""
    half, left, right = OPENING[state]
    sheet = Sheet()
    sheet.solid(_lens(_ENDS, 44, 2.2), 0.06, 0)
    for end in (22, 40, 60, 82, 104, 124, 139):
        for side in (-1, 1):
            _rib(sheet, end, side)
    # The line where the valves meet, broken by the opening and the ligament.
    sheet.line(points((_ENDS[0], _CENTRE), (left, _CENTRE)), MAIN)
    sheet.line(points((112, _CENTRE), (_ENDS[1], _CENTRE)), MAIN)
    for side in (-1, 1):
        beak = curve(
            (88, _CENTRE), (88.5, _CENTRE + side * 8), (95, _CENTRE + side * 14.5),
            (104, _CENTRE + side * 14), (110.5, _CENTRE + side * 8), (112, _CENTRE),
        )  # fmt: skip
        sheet.solid(beak, 0.06, PART)
        if detail:
            sheet.line(
                curve((93, _CENTRE + side * 6), (99, _CENTRE + side * 9.5),
                      (105, _CENTRE + side * 6)), FINE, 0.6)  # fmt: skip
    ligament = np.vstack([
        curve((112, 60), (120, 56.8), (136, 58.2), (143, 60)),
        curve((143, 60), (136, 61.8), (120, 63.2), (112, 60))[1:-1],
    ])  # fmt: skip
    sheet.solid(ligament, 0.3, FINE, 0.8)
    if half == 0:
        _interlocked(sheet, left, right)
    else:
        _opening(sheet, half, left, right)
    whole = _lens(_ENDS, 44, 2.2)
    sheet.line(np.vstack([whole, whole[:1]]), MAIN)
    return sheet


def _rib(sheet: Sheet, end: float, side: int) -> None:
    x = np.array([end])
    rim = _half_width(x, _ENDS, 44, 2.2)[0]
    start = (UMBO_X + (end - UMBO_X) * 0.2, _CENTRE + side * 15.5)
    middle = (UMBO_X + (end - UMBO_X) * 0.62, _CENTRE + side * (15.5 + (rim - 15.5) * 0.48))
    sheet.line(curve(start, middle, (end, _CENTRE + side * (rim - 1))), 1.3, 0.6)


def _interlocked(sheet: Sheet, left: float, right: float) -> None:
    x = np.linspace(left, right, 121)
    q = (x - left) / (right - left)
    y = _CENTRE + 3.2 * np.sin(2 * np.pi * 7 * q) * np.clip(np.minimum(q, 1 - q) * 6, 0, 1)
    sheet.line(np.column_stack([x, y]), PART)


def _opening(sheet: Sheet, half: float, left: float, right: float) -> None:
    x = np.linspace(left, right, 181)
    q = (x - left) / (right - left)
    lens = np.sin(np.pi * q) ** 0.75
    teeth = 0.0 if half < 4 else min(2.0, half * 0.17)
    wave = teeth * np.cos(2 * np.pi * 7 * q) * lens
    upper = np.column_stack([x, _CENTRE - half * lens - wave])
    lower = np.column_stack([x, _CENTRE + half * lens - wave])
    whole = np.vstack([upper, lower[::-1][1:-1]])
    sheet.solid(whole, 0.3, PART)
    if half < 4:
        return
    mark = len(sheet.items)
    for at in np.linspace(0.3, 0.7, 7 if half > 8 else 5):
        place = left + at * (right - left)
        bend = 2.5 * np.sin(at * 20)
        sheet.line(
            curve((place, _CENTRE - half * 0.62), (place + bend, _CENTRE),
                  (place - bend, _CENTRE + half * 0.62)), FINE, 0.7)  # fmt: skip
    sheet.keep(whole, mark)


_GAP = {"tight": 0.0, "nearly": 2.2, "gapes": 11.0}


def margins(state: str) -> tuple[Points, Points]:
    """Return the upper margins of a shut pair from above, that of the far valve first."""
    x, window, phase = _across()
    q = (x - _ENDS[0]) / (_ENDS[1] - _ENDS[0])
    zigzag = 10.5 * (2 / np.pi) * np.arcsin(0.97 * np.cos(phase)) * window
    open_ = _GAP[state] * np.sin(np.pi * q) ** 0.8
    upper = np.column_stack([x, _CENTRE + zigzag - open_])
    return upper, np.column_stack([x, _CENTRE + zigzag + open_])


def _across() -> tuple[Points, Points, Points]:
    """Return places along a pair, how far folds reach there, and their phase."""
    x = np.linspace(*_ENDS, 361)
    q = (x - _ENDS[0]) / (_ENDS[1] - _ENDS[0])
    return x, np.clip(np.minimum(q, 1 - q) / 0.12, 0, 1), 2 * np.pi * 4.5 * (q - 0.5)


def closure(state: str) -> Sheet:
    """Draw a shut pair from above: do the upper margins meet?"""
    sheet = Sheet()
    gap = _GAP[state]
    x, window, phase = _across()
    half = _half_width(x, _ENDS, 45, 0)
    upper, lower = margins(state)
    rims = (
        np.column_stack([x, _CENTRE - half - 1.6 * np.cos(phase) * window]),
        np.column_stack([x, _CENTRE + half - 1.6 * np.cos(phase) * window]),
    )
    for rim, edge in ((rims[0], upper), (rims[1], lower)):
        sheet.tint(np.vstack([rim, edge[::-1]]), 0.06)
        for share, opacity in ((0.3, 0.35), (0.55, 0.4), (0.78, 0.45)):
            mid = rim + share * (edge - rim)
            sheet.line(mid[26:-26], FINE, opacity)
        for place in range(80, 300, 40):
            sheet.line(
                rim[place] + np.array([[0.06], [1]]) * (edge[place] - rim[place]), 1.2, 0.45
            )
        sheet.line(rim, MAIN)
    if gap:
        sheet.tint(np.vstack([upper, lower[::-1]]), 0.3)
        sheet.line(upper, MAIN)
        sheet.line(lower, MAIN)
    else:
        sheet.line(upper, 2.4)
    return sheet


def burrowing(state: str) -> Sheet:
    """Draw a clam on, partly in, or level with the rock, the rock cut open."""
    ground = 67.0
    x, y = 80.0, ground + {"none": 0.0, "partial": 25.0, "full": 49.0}[state]
    lobes = curve((x - 46, y - 31), (x - 43, y - 40), (x - 34, y - 44), (x - 26, y - 40),
                  (x - 18, y - 48), (x - 8, y - 43), (x, y - 50), (x + 8, y - 43),
                  (x + 18, y - 48), (x + 26, y - 40), (x + 34, y - 44), (x + 43, y - 40),
                  (x + 46, y - 31))  # fmt: skip
    right = curve(
        (x + 46, y - 31), (x + 45, y - 19), (x + 32, y - 6), (x + 12, y), (x, y + 2)
    )
    left = curve(
        (x, y + 2), (x - 12, y), (x - 32, y - 6), (x - 45, y - 19), (x - 46, y - 31)
    )
    shell = np.vstack([lobes, right[1:], left[1:-1]])
    sheet = Sheet()
    surface = _surface(ground)
    rock = np.vstack([surface, points((156, 118.5), (4, 118.5))])
    sheet.tint(rock, 0.14)
    sheet.line(surface, PART)
    mark = len(sheet.items)
    for at, deep in zip(spread(46, 3, 6, 154), spread(46, 8, ground + 5, 116), strict=True):
        sheet.line(points((at, deep), (at + 3.4, deep + 0.6)), FINE, 0.5)
    sheet.keep(rock, mark)
    if state != "none":
        # The hollow in the rock is a little wider than the shell.
        sheet.hide(shell + (shell - [x, y - 22]) * 0.09)
    _mantle_over(sheet, x, y)
    sheet.solid(shell, 0.06, MAIN)
    for at in (-34, -17, 0, 17, 34):
        bend, top = (x + at * 0.62, y - 22), (x + at * 0.95, y - 38)
        sheet.line(curve((x + at * 0.2, y - 6), bend, top), 1.3, 0.6)
    for share in (0.45, 0.72):
        inner = shell[: len(lobes)] * share + np.array([x, y]) * (1 - share)
        sheet.line(inner[10:-10], FINE, 0.4)
    return sheet


def _surface(ground: float) -> Points:
    return curve((4, ground + 1), (18, ground - 1.5), (34, ground + 1), (52, ground - 0.5),
                 (80, ground + 0.5), (108, ground - 1), (124, ground + 1.2),
                 (142, ground - 1.2), (156, ground + 0.8))  # fmt: skip


def _mantle_over(sheet: Sheet, x: float, y: float) -> None:
    """Draw the edge of the mantle behind the upper margin."""
    for side in (-1, 1):
        lift = ((43, 42), (34, 50), (26, 46), (17, 54), (8, 49), (0, 55))
        sheet.line(curve(*((x + side * far, y - up) for far, up in lift)), 1.4, 0.7)
