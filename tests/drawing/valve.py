"""One valve from outside: umbo down, upper margin up, ligament end at the left."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from scipy.interpolate import PchipInterpolator

from tests.drawing.pen import FINE, MAIN, PART, Points, Sheet, curve, points

Profile = Callable[[Points], Points]

# Angle about the umbo, in degrees from the right; distance from the umbo.
FAN = ((4, 14), (11, 40), (20, 66), (31, 79), (45, 87), (66, 92), (90, 94),
       (114, 92), (135, 87), (149, 80), (160, 68), (169, 43), (176, 15))  # fmt: skip
SEMICIRCULAR = ((3, 16), (6, 58), (12, 72), (22, 75), (45, 76), (90, 77),
                (135, 76), (158, 75), (168, 72), (174, 58), (177, 16))  # fmt: skip
ELONGATE = ((4, 12), (10, 30), (20, 42), (34, 49), (55, 54), (80, 58), (105, 64),
            (125, 75), (142, 88), (154, 93), (163, 86), (170, 62), (176, 16))  # fmt: skip
RHOMBOID = ((4, 13), (9, 40), (17, 66), (27, 84), (43, 91), (55, 100), (68, 88),
            (86, 79), (106, 79), (122, 84), (139, 73), (154, 69), (163, 60), (170, 39),
            (176, 13))  # fmt: skip


@dataclass(frozen=True)
class Valve:
    """The outline of a valve, its folds and where they lie."""

    base: Sequence[tuple[float, float]] = FAN
    umbo: tuple[float, float] = (80.0, 110.0)
    n_folds: int = 5
    first: float = 25.0  # degrees at which the folds begin, from either side
    depth: float = 0.0  # how far folds stand out at the margin
    profile: Profile = field(default=lambda u: np.cos(np.pi * u))
    size: float = 1.0

    def bounds(self) -> Points:
        """Return the angles of the furrows between folds, from left to right."""
        return np.linspace(180 - self.first, self.first, self.n_folds + 1)

    def reach(self, degrees: Points, share: float = 1.0) -> Points:
        """Return the distance of the margin at an earlier size, folds included."""
        angle, distance = np.array(self.base, float).T
        base = PchipInterpolator(angle, distance)(degrees)
        fold = (180 - self.first - degrees) / (180 - 2 * self.first) * self.n_folds
        inside = (fold >= 0) & (fold <= self.n_folds)
        u = 2 * (fold - np.floor(np.clip(fold, 0, self.n_folds - 1e-9))) - 1
        edge = np.minimum(fold, self.n_folds - fold)
        window = np.clip(edge / 0.25, 0, 1)
        rise = np.where(inside, self.profile(np.clip(u, -1, 1)) * window, 0.0)
        deep = self.depth * (0.35 + 0.65 * share)
        return np.asarray(self.size * share * (base + deep * rise), float)

    def at(self, degrees: Points, distance: Points) -> Points:
        """Return points at angles and distances from the umbo."""
        turn = np.radians(degrees)
        x = self.umbo[0] + distance * np.cos(turn)
        return np.column_stack([x, self.umbo[1] - distance * np.sin(turn)])

    def margin(self, share: float = 1.0, low: float = 4.0) -> Points:
        """Return the margin from the left hinge side to the right one."""
        bounds = self.bounds()
        degrees = np.unique(np.concatenate([np.linspace(low, 180 - low, 361), bounds]))
        degrees = degrees[::-1]
        return self.at(degrees, self.reach(degrees, share))

    def outline(self) -> Points:
        """Return the whole outline, the beak included."""
        x, y = self.umbo
        beak = curve((x + 13, y - 0.9), (x + 6, y + 2.6), (x, y + 3.4), (x - 6, y + 2.6),
                     (x - 13, y - 0.9), n=6)  # fmt: skip
        return np.vstack([self.margin(), beak[1:-1]])

    def furrow(self, degrees: float, low: float = 0.24, high: float = 1.0) -> Points:
        """Return a line from near the umbo to the margin."""
        share = np.linspace(low, high, 24)
        reach = self.reach(np.full(24, degrees))
        return self.at(np.full(24, degrees), reach * share)

    def fold_tops(self) -> Points:
        """Return where the folds meet the margin."""
        bounds = self.bounds()
        middle = (bounds[:-1] + bounds[1:]) / 2
        return self.at(middle, self.reach(middle))


def draw_valve(
    sheet: Sheet,
    valve: Valve,
    *,
    growth: Sequence[float] = (0.78, 0.58, 0.4),
    furrows: bool = True,
    tint: float = 0.06,
) -> None:
    """Draw a valve: outline, furrows between folds, growth lines."""
    sheet.solid(valve.outline(), tint, 0)
    for share in growth:
        low = 16 + 6 * (1 - share)
        sheet.line(valve.margin(share, low), FINE, 0.4)
    if furrows:
        for degrees in valve.bounds():
            sheet.line(valve.furrow(float(degrees)), 1.5, 0.75)
    outline = valve.outline()
    sheet.line(np.vstack([outline, outline[:1]]), MAIN)


_FOOT = 0.39  # where a close-up of folds is cut off


# How a fold stands out at the margin, over -1 to 1 across it.
def wave(u: Points) -> Points:
    """Return a smooth wave."""
    return np.asarray(np.cos(np.pi * u))


def lobe(u: Points) -> Points:
    """Return a deep round lobe with a narrow notch beside it."""
    return np.asarray(2 * np.sqrt(np.clip(1 - u**2, 0, 1)) - 1)


def triangle(u: Points) -> Points:
    """Return a pointed triangle, its very tip a little blunt."""
    return np.asarray(1 - 2 * np.sqrt(u**2 + 0.002))


def long_triangle(u: Points) -> Points:
    """Return a long pointed triangle with a rounded bay beside it."""
    steep = np.clip(1.25 - 1.25 * np.sqrt(u**2 + 0.002), 0, 2)
    return np.asarray(
        2 * steep - 1.2 + 0.25 * np.clip((np.abs(u) - 0.75) / 0.25, 0, 1) ** 2
    )


UPPER_MARGIN = {
    "gentle": Valve(depth=1.6, profile=wave),
    "wavy": Valve(depth=5.4, profile=wave),
    "rounded_lobes": Valve(depth=11.0, profile=lobe, size=0.94),
    "sharp_triangles": Valve(depth=10.5, profile=triangle, size=0.95),
    "long_triangles": Valve(
        depth=16.0, profile=long_triangle, size=0.86, n_folds=4, first=28
    ),
}

OUTLINE = {
    "fan": Valve(base=FAN, depth=1.8),
    "semicircular": Valve(
        base=SEMICIRCULAR, depth=1.0, umbo=(80.0, 98.0), n_folds=7, first=20
    ),
    "elongate": Valve(base=ELONGATE, depth=1.8, umbo=(104.0, 98.0), size=1.08),
    "rhomboid": Valve(base=RHOMBOID, depth=1.8, umbo=(76.0, 106.0)),
}


def upper_margin(state: str) -> Sheet:
    """Draw the shape of the upper margin."""
    sheet = Sheet()
    valve = UPPER_MARGIN[state]
    draw_valve(sheet, valve, growth=(0.8, 0.6, 0.42))
    return sheet


def outline(state: str) -> Sheet:
    """Draw the outline of a valve."""
    sheet = Sheet()
    draw_valve(sheet, OUTLINE[state], growth=(0.72, 0.46))
    return sheet


def coloured_bands(state: str) -> Sheet:
    """Draw bands of colour on the outside."""
    sheet = Sheet()
    valve = Valve(depth=3.0, n_folds=7, first=20)
    sheet.solid(valve.outline(), 0.06, 0)
    if state == "red_near_umbo":
        for low, high in ((0.1, 0.2), (0.26, 0.35), (0.41, 0.49)):
            ring = np.vstack([valve.margin(low, 12), valve.margin(high, 12)[::-1]])
            sheet.tint(ring, 0.3)
            sheet.line(np.vstack([ring, ring[:1]]), FINE, 0.7)
    if state == "strawberry":
        _strawberry(sheet, valve)
    if state == "none":
        for share in (0.8, 0.6, 0.42):
            sheet.line(valve.margin(share, 18), FINE, 0.35)
    for degrees in valve.bounds():
        sheet.line(valve.furrow(float(degrees), low=0.16), 1.3, 0.55)
    whole = valve.outline()
    sheet.line(np.vstack([whole, whole[:1]]), MAIN)
    return sheet


def _strawberry(sheet: Sheet, valve: Valve) -> None:
    bounds = valve.bounds()
    middle = (bounds[:-1] + bounds[1:]) / 2
    jitter = np.random.default_rng(4)
    for share in (0.9, 0.75, 0.6, 0.45, 0.31):
        for degrees in middle:
            if jitter.uniform() < 0.14:
                continue
            here = share + jitter.uniform(-0.025, 0.025)
            wide = 8.2 + jitter.uniform(-1.2, 1.5)
            t = np.linspace(0, 2 * np.pi, 24, endpoint=False)
            a = degrees + wide * np.cos(t)
            r = here + 0.042 * np.sin(t) + 0.012 * np.sin(3 * t + degrees)
            blotch = valve.at(a, valve.reach(a) * r)
            sheet.tint(blotch, 0.3)
            sheet.line(np.vstack([blotch, blotch[:1]]), FINE, 0.75)


def scutes(state: str) -> Sheet:
    """Draw where scutes stand on a valve."""
    reach = {
        "absent": (),
        "near_margin": (0.9,),
        "upper_half": (0.9, 0.76, 0.62, 0.49),
        "all_over": (0.9, 0.76, 0.62, 0.49, 0.37, 0.26),
    }[state]
    sheet = Sheet()
    valve = Valve(depth=4.0, profile=lobe)
    sheet.solid(valve.outline(), 0.06, 0)
    # Where no scutes stand, growth lines show the bare folds.
    lowest = min(reach) if reach else 1.0
    for share in (0.84, 0.66, 0.5, 0.36):
        if share < lowest - 0.05:
            sheet.line(valve.margin(share, 18), FINE, 0.35)
    for degrees in valve.bounds():
        sheet.line(valve.furrow(float(degrees), low=0.16), 1.3, 0.6)
    bounds = valve.bounds()
    for share in reach:
        for left, right in pairwise(bounds):
            _scute(sheet, valve, left, right, share, 0.085)
    whole = valve.outline()
    sheet.line(np.vstack([whole, whole[:1]]), MAIN)
    return sheet


def _scute(
    sheet: Sheet, valve: Valve, left: float, right: float, share: float, high: float
) -> None:
    """Draw one scute in front of what stands nearer the margin."""
    u = np.linspace(-1, 1, 25)
    degrees = (left + right) / 2 + (right - left) / 2 * 0.86 * u
    arch = np.sqrt(np.clip(1 - u**2, 0, 1))
    reach = valve.reach(degrees)
    foot = valve.at(degrees, reach * (share + 0.03 * arch))
    rim = valve.at(degrees, reach * (share + 0.03 * arch + high * np.sqrt(arch)))
    leaf = np.vstack([foot, rim[::-1]])
    sheet.hide(leaf)
    sheet.tint(leaf, 0.2)
    sheet.line(rim, 1.7)


def close_up(high: float, shares: Sequence[float], waves: int) -> Sheet:
    """Draw three folds near the margin with scutes of a height at given places."""
    sheet = Sheet()
    valve = Valve(
        base=((0, 150), (180, 150)),
        umbo=(80.0, 168.0),
        n_folds=3,
        first=61.5,
        depth=4.5,
        profile=lobe,
        size=0.985,
    )
    bounds = valve.bounds()
    degrees = np.unique(np.concatenate([np.linspace(bounds[-1], bounds[0], 181), bounds]))
    top = valve.at(degrees, valve.reach(degrees))
    foot = valve.at(degrees, valve.reach(degrees) * _FOOT)
    wedge = np.vstack([top, foot[::-1]])
    sheet.solid(wedge, 0.06, 0)
    for angle in bounds[1:-1]:
        sheet.line(valve.furrow(float(angle), _FOOT, 1.0), PART, 0.8)
    if not shares:
        return sheet
    for share in (0.93, 0.79, 0.65, 0.51):
        sheet.line(valve.at(degrees, valve.reach(degrees) * share), FINE, 0.3)
    sheet.line(top, MAIN)
    for share in shares:
        for left, right in pairwise(bounds):
            _leaf(sheet, valve, float(left), float(right), share, high, waves)
    for angle in (bounds[0], bounds[-1]):
        sheet.line(valve.furrow(float(angle), _FOOT, 1.0), MAIN)
    return sheet


def _leaf(
    sheet: Sheet,
    valve: Valve,
    left: float,
    right: float,
    share: float,
    high: float,
    waves: int,
) -> None:
    u = np.linspace(-1, 1, 61)
    degrees = (left + right) / 2 + (right - left) / 2 * 0.9 * u
    arch = np.sqrt(np.clip(1 - np.abs(u) ** 2.4, 0, 1))
    reach = valve.reach(degrees)
    ripple = 1 + (0.07 * np.cos(np.pi * waves * u) if waves else 0)
    foot_share = share + 0.028 * arch
    rim_share = foot_share + high * arch**0.7 * ripple
    foot = valve.at(degrees, reach * foot_share)
    rim = valve.at(degrees, reach * rim_share)
    leaf = np.vstack([foot, rim[::-1]])
    sheet.hide(leaf)
    sheet.tint(leaf, 0.18)
    for i in range(6, 61, 8) if waves else ():
        tip = foot[i] + 0.8 * (rim[i] - foot[i])
        sheet.line(points(tuple(foot[i] + 0.2 * (rim[i] - foot[i])), tuple(tip)), FINE, 0.5)
    sheet.line(foot, FINE, 0.8)
    sheet.line(rim, PART)


def scute_size(state: str) -> Sheet:
    """Draw low and large scutes, equally far apart."""
    places = (0.86, 0.68, 0.5)
    return close_up(0.035 if state == "low" else 0.135, places, 0 if state == "low" else 5)


def scute_spacing(state: str) -> Sheet:
    """Draw crowded and wide rows of scutes of one height."""
    if state == "crowded":
        return close_up(0.075, tuple(np.linspace(0.9, 0.42, 8)), 0)
    return close_up(0.075, (0.86, 0.65, 0.44), 0)
