"""Sizes and colours of the marks on a picture, for every painter.

Lengths are pixels of a figure 1600 px wide (on screen: logical pixels); colours are sRGB.
Each mark carries a dark and a light ring or case, so that one of them stands out on any
ground. The window adds what only a screen needs (``app.style.tokens``).
"""

from __future__ import annotations


class Marks:
    """Colours as #RRGGBB; radii, widths and lengths in pixels.

    A class without slots of its own: its values are read-only, and making a dataclass of
    them took time at every start.
    """

    __slots__ = ()

    landmark: str = "#56B4E9"
    series: str = "#56B4E9"
    series_fill: str = "#0B4F78"
    scale: str = "#F0E442"
    outline: str = "#D55E00"
    hinge: str = "#0072B2"
    light: str = "#FFFFFF"
    dark: str = "#15191B"
    plate: str = "#15191B"
    plate_ink: str = "#FFFFFF"
    plate_alpha: float = 0.84
    plate_height: int = 21
    plate_gap: int = 14
    point_core: float = 3.2
    point_light: float = 5.0
    point_dark: float = 6.6
    lozenge_numbered: float = 11
    lozenge_small: float = 5
    lozenge_light: float = 1.6
    path_line: float = 2
    path_case: float = 4.6
    outline_line: float = 1.6
    outline_case: float = 3.6
    hinge_line: float = 2.2
    hinge_light: float = 4
    hinge_case: float = 6
    scale_line: float = 2
    scale_case: float = 5
    scale_tick: float = 16
    tick_line: float = 1.4
    tick_case: float = 3.4
    tick_half: float = 7
    tick_ring: float = 5
    tick_faint: float = 0.6
    corner_half: float = 9
    case_alpha: float = 0.75
    blind_ring: float = 6
    blind_dark: float = 6
    blind_light: float = 3.6
    blind_hue: float = 1.6
    blind_stalk: tuple[float, float] = (7, 15)
    measure_line: float = 1.8
    measure_case: float = 4.6
    measure_dash: tuple[float, float] = (4, 3)
    scale_bar_px: tuple[int, int] = (80, 160)


MARKS = Marks()
PLATE_RADIUS = 5
PLATE_TEXT_PX = 13

NUMBERED_FROM_PX = 20.0
"""Lozenges of a series nearer to each other than this are drawn small, without number."""

SQUARE_SHARE = 0.82
"""Half the side of a square mark, as a share of half the diagonal of a lozenge."""


def number_size(written: str) -> int:
    """Return the size of type, in logical pixels, at which a number fits into a lozenge."""
    return {1: 12, 2: 10}.get(len(written), 8)
