"""The living animal from above, inhalant opening left, and pieces of its mantle."""

import numpy as np

from tests.drawing.pen import (
    FINE,
    MAIN,
    PART,
    Points,
    Sheet,
    circle,
    curve,
    points,
)

INHALANT = (43.0, 85.0)  # ends of the inhalant opening, seen from above


def _margin(scale: float, depth: float, *, lobes: int = 4) -> Points:
    """Return a closed wavy outline about the middle of the sheet."""
    t = np.linspace(0, 2 * np.pi, 361)[:-1]
    x, y = np.cos(t), np.sin(t)
    wide, high = 72 * scale, 46 * scale
    sag = np.abs(y) ** 0.9 * np.sign(y)
    # The folds of the two valves stand in turn, so that they interlock.
    fold = depth * np.cos(lobes * np.pi * (x + (y < 0) / lobes)) * np.abs(y)
    return np.column_stack([80 + wide * x, 60 + high * sag + np.sign(y) * fold])


def _openings(sheet: Sheet) -> None:
    """Draw the long inhalant opening at the left, the round exhalant one at the right."""
    x = np.linspace(*INHALANT, 41)
    q = (x - INHALANT[0]) / (INHALANT[1] - INHALANT[0])
    half = 5.5 * np.sin(np.pi * q) ** 0.7
    slit = np.vstack(
        [np.column_stack([x, 60 - half]), np.column_stack([x, 60 + half])[::-1][1:-1]]
    )
    sheet.solid(slit, 0.3, PART)
    sheet.solid(circle(107, 60, 7.5, 0.92), 0, FINE, 0.7)
    sheet.solid(circle(107, 60, 4, 0.92), 0.3, PART)


def mantle_extent(state: str) -> Sheet:
    """Draw how far the mantle reaches: within the valves, to their margin, beyond."""
    sheet = Sheet()
    shell = _margin(0.9, 4.6)
    closed = np.vstack([shell, shell[:1]])
    if state == "beyond":
        mantle = _margin(1.02, 6.2)
        sheet.tint(mantle, 0.16)
        sheet.line(np.vstack([mantle, mantle[:1]]), MAIN)
        # The margin of the valves lies hidden below the mantle.
        for piece in range(0, 360, 10):
            sheet.line(closed[piece : piece + 6], FINE, 0.6)
    else:
        sheet.solid(shell, 0.03, MAIN)
        inner = _margin(0.62 if state == "within" else 0.83, 4.0)
        if state == "within":
            for share in (0.83, 0.74):
                line = _margin(share, 4.4)
                sheet.line(np.vstack([line, line[:1]]), FINE, 0.4)
        sheet.solid(inner, 0.2, PART)
        sheet.line(closed, MAIN)
    for share in (0.46, 0.34) if state == "within" else (0.62, 0.46):
        line = _margin(share, 2.6)
        sheet.line(np.vstack([line, line[:1]]), FINE, 0.3)
    _openings(sheet)
    return sheet


def shell_margin() -> Points:
    """Return the margin of the shell round the living animal."""
    return _margin(0.98, 5.2)


def living_from_above() -> Sheet:
    """Draw the animal between its valves."""
    sheet = Sheet()
    sheet.solid(shell_margin(), 0.04, MAIN)
    sheet.solid(_margin(0.86, 4.6), 0.16, PART)
    for share in (0.68, 0.52):
        line = _margin(share, 3)
        sheet.line(np.vstack([line, line[:1]]), FINE, 0.3)
    _openings(sheet)
    return sheet


# The inhalant opening, seen close.
_RIM = (52.0, 23.0)


def _rim(grow: float = 0.0) -> Points:
    t = np.linspace(0, 2 * np.pi, 161)[:-1]
    wide, high = _RIM[0] + grow, _RIM[1] + grow
    pinch = 1 - 0.16 * np.abs(np.cos(t)) ** 6
    return np.column_stack([80 + wide * np.cos(t), 60 + high * np.sin(t) * pinch])


def rim() -> Points:
    """Return the rim of the inhalant opening seen close."""
    return _rim()


def incurrent_margin(state: str) -> Sheet:
    """Draw what edges the long opening of the mantle."""
    sheet = Sheet()
    for grow, opacity in ((36, 0.22), (25, 0.3)):
        wavy = _rim(grow)
        t = np.linspace(0, 2 * np.pi, 161)[:-1]
        wavy = wavy + np.column_stack([1.6 * np.cos(7 * t), 1.9 * np.sin(5 * t + grow)])
        sheet.line(np.vstack([wavy, wavy[:1]]), FINE, opacity)
    sheet.keep(points((2, 4), (158, 4), (158, 116), (2, 116)))
    outer = _rim(9)
    sheet.line(np.vstack([outer, outer[:1]]), 1.5, 0.6)
    sheet.solid(_rim(), 0.2, MAIN)
    n = {"smooth": 0, "small_simple": 30, "large_branched": 16, "fringe": 48}[state]
    rim = _rim()
    chord = np.hypot(*np.diff(np.vstack([rim, rim[:1]]), axis=0).T)
    along = np.concatenate([[0], np.cumsum(chord)])
    closed = np.vstack([rim, rim[:1]])
    for i in range(n):
        at = (i + 0.5) / n * along[-1]
        foot = np.array([np.interp(at, along, closed[:, k]) for k in (0, 1)])
        ahead = np.array(
            [np.interp((at + 1) % along[-1], along, closed[:, k]) for k in (0, 1)]
        )
        out = np.array([(ahead - foot)[1], -(ahead - foot)[0]])
        out /= np.hypot(*out)
        _EDGES[state](sheet, foot, out, i)
    return sheet


def _simple(sheet: Sheet, foot: Points, out: Points, i: int) -> None:
    bend = np.array([-out[1], out[0]]) * (1.2 if i % 2 else -1.2)
    tip = foot - out * (8.4 if i % 2 else 6.6)
    sheet.line(
        curve(tuple(foot), tuple((foot + tip) / 2 + bend * 0.5), tuple(tip + bend)), 1.7
    )


def _branched(sheet: Sheet, foot: Points, out: Points, i: int) -> None:
    side = np.array([-out[1], out[0]])
    lean = side * (2.2 if i % 2 else -2.2)
    # At the narrow ends there is less room.
    room = 0.5 + 0.5 * float(out[1]) ** 2
    root, tip = foot + out * 4.5 * room, foot - out * 14 * room + lean
    sheet.line(curve(tuple(root), tuple(foot - out * 4), tuple(tip)), 1.8)
    twigs = ((0.42, 4.6), (0.66, 4.0), (0.88, 2.8)) if room > 0.75 else ((0.7, 4.2),)
    for share, long in twigs:
        knot = root + share * (tip - root)
        for hand in (-1, 1):
            twig = knot + room * long * (side * hand - out * 0.75)
            sheet.line(points(tuple(knot), tuple(twig)), 1.3)


def _papilla(sheet: Sheet, foot: Points, out: Points, i: int) -> None:
    side = np.array([-out[1], out[0]]) * 1.45
    long = 8.2 if i % 2 else 6.6
    finger = curve(
        tuple(foot + side), tuple(foot + out * long * 0.7 + side * 1.05),
        tuple(foot + out * long), tuple(foot + out * long * 0.7 - side * 1.05),
        tuple(foot - side), n=5,
    )  # fmt: skip
    sheet.hide(finger)
    sheet.tint(finger, 0.12)
    sheet.line(finger, 1.3)


_EDGES = {"small_simple": _simple, "large_branched": _branched, "fringe": _papilla}


def exhalant_opening(state: str) -> Sheet:
    """Draw the round opening seen askew: level with the mantle, raised, or on a cone."""
    tall, top, foot = {
        "level": (0.5, 42.0, 42.5),
        "raised": (26.0, 38.0, 66.0),
        "cone": (58.0, 25.0, 60.0),
    }[state]
    sheet = Sheet()
    for high in (34.0, 52.0, 70.0, 88.0, 106.0):
        sheet.line(
            curve((6, high + 7), (46, high), (114, high), (154, high + 7)), FINE, 0.35
        )
    base = 66.0 if state == "level" else 84.0
    rim = base - tall
    bend = (top + (foot - top) * 0.36, base - tall * 0.4)
    side = [
        curve(
            (80 + hand * foot, base), (80 + hand * bend[0], bend[1]), (80 + hand * top, rim)
        )
        for hand in (-1, 1)
    ]
    under = curve((80 - foot, base), (80, base + foot * 0.3), (80 + foot, base))
    mound = np.vstack([side[0], side[1][::-1], under[::-1][1:-1]])
    sheet.hide(mound)
    sheet.tint(mound, 0.12)
    for flank in side:
        sheet.line(flank, MAIN)
    sheet.solid(circle(80, rim, top, 0.42), 0.06, MAIN)
    sheet.solid(circle(80, rim, top * 0.62, 0.42), 0.6, PART)
    return sheet


# A piece of the mantle at the margin of a valve.
def _edge(x: Points, lift: float, depth: float = 10.0) -> Points:
    return np.column_stack([x, lift - depth * np.cos(2 * np.pi * (x - 80) / 73.0)])


def mantle_piece() -> Sheet:
    """Draw the mantle edge between the margin of the valve and the middle of the animal."""
    sheet = Sheet()
    x = np.linspace(5, 155, 181)
    mantle = np.vstack([_edge(x, 40), points((155, 112), (5, 112))])
    shell = np.vstack([_edge(x, 20, 11.5), _edge(x, 40)[::-1]])
    sheet.tint(shell, 0.03)
    sheet.line(_edge(x, 13, 12), FINE, 0.4)
    sheet.line(_edge(x, 21, 11.5), 1.5, 0.75)
    sheet.tint(mantle, 0.09)
    sheet.line(_edge(x, 40), MAIN)
    return sheet


def _mottles(sheet: Sheet) -> None:
    for lift, depth, opacity in ((68, 7.5, 0.3), (84, 5.5, 0.26), (99, 3.5, 0.22)):
        sheet.line(_edge(np.linspace(9, 151, 121), lift, depth), FINE, opacity)


_EYES_AT = np.arange(11.0, 152.0, 11.5)


def eye_places() -> Points:
    """Return where the eyes of a dense row stand."""
    return _edge(_EYES_AT, 49.5, 10)


def mantle_edge() -> Points:
    """Return the edge of the mantle."""
    return _edge(np.linspace(5, 155, 181), 40)


def eyes(state: str) -> Sheet:
    """Draw eyes along the mantle edge."""
    sheet = mantle_piece()
    _mottles(sheet)
    if state == "none":
        return sheet
    at = np.array([22.0, 66.0, 118.0]) if state == "sparse" else _EYES_AT
    for x, y in _edge(at, 49.5, 10):
        sheet.ring(x, y, 4.3, 1.7)
        sheet.disc(x, y, 2.0)
    return sheet


def eye_size(state: str) -> Sheet:
    """Draw eyes as pinpricks, or as dots with a rim of their own; as many of each."""
    sheet = mantle_piece()
    _mottles(sheet)
    for x, y in _edge(np.arange(18.0, 152.0, 20.5), 49.5, 10):
        if state == "small":
            sheet.disc(x, y, 1.7)
        else:
            sheet.ring(x, y, 6.6, PART)
            sheet.disc(x, y, 3.9)
    return sheet


def ringed_spots(state: str) -> Sheet:
    """Draw ringed spots on the mantle."""
    sheet = mantle_piece()
    if state == "absent":
        _mottles(sheet)
        return sheet
    _mottles(sheet)
    if state == "small_blue":
        spots = [(x, 55.0) for x in np.arange(14, 150, 18.5)]
        spots += [(x, 71.0) for x in np.arange(23, 150, 18.5)]
        spots += [(x, 87.0) for x in np.arange(14, 150, 18.5)]
        for x, y in spots:
            here = y - 10 * np.cos(2 * np.pi * (x - 80) / 73) * (1 - (y - 50) / 60)
            sheet.ring(x, here, 4.2, FINE, 0.8)
            sheet.disc(x, here, 2.1, 1.0)
        return sheet
    for i, x in enumerate(np.arange(16, 150, 21.3)):
        base = 56 if i % 2 else 60
        y = base - 9 * np.cos(2 * np.pi * (x - 80) / 73)
        for grow in (0, 1):
            drop = _drop(x, y, 1 - 0.55 * grow)
            sheet.solid(drop, 0.3 * grow, PART if not grow else FINE)
    for i, x in enumerate(np.arange(27, 145, 21.3)):
        y = (88 if i % 2 else 84) - 4 * np.cos(2 * np.pi * (x - 80) / 73)
        sheet.solid(_drop(x, y, 0.72), 0, 1.6)
        sheet.solid(_drop(x, y, 0.34), 0.3, FINE)
    return sheet


def _drop(x: float, y: float, size: float) -> Points:
    """Return a drop, its point toward the mantle edge."""
    t = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    wide = 6.6 * size * np.sin(t) * np.sin(t / 2) ** 0.9
    return np.column_stack([x + wide, y + size * (2.5 - 9.5 * np.cos(t))])


def warts(state: str) -> Sheet:
    """Draw warts on the mantle."""
    sheet = mantle_piece()
    _mottles(sheet)
    many = [
        (x + (6 if row % 2 else 0), 57.0 + 13.5 * row)
        for row in range(4)
        for x in np.arange(14.0, 148.0, 15.0)
    ]
    few = [(30.0, 66.0), (74.0, 58.0), (98.0, 86.0), (132.0, 68.0), (54.0, 92.0)]
    for i, (x, y) in enumerate({"absent": [], "few": few, "many": many}[state]):
        here = y - 9 * np.cos(2 * np.pi * (x - 80) / 73) * max(0.0, 1 - (y - 50) / 55)
        _wart(sheet, x, here, 6.2 - 0.8 * (i % 3))
    return sheet


def _wart(sheet: Sheet, x: float, y: float, r: float) -> None:
    a = np.linspace(-0.15 * np.pi, 1.15 * np.pi, 24)
    dome = np.column_stack([x + r * np.cos(a), y - r * 1.05 * np.sin(a)])
    whole = np.vstack(
        [dome, curve(tuple(dome[-1]), (x, y + r * 0.62), tuple(dome[0]))[1:-1]]
    )
    sheet.hide(whole)
    sheet.tint(whole, 0.2)
    sheet.line(dome, 1.7)
    sheet.line(
        np.column_stack([x + 0.5 * r * np.cos(a[10:20]), y - 0.55 * r * np.sin(a[10:20])]),
        FINE, 0.6,
    )  # fmt: skip
