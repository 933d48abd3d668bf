"""Every colour and size of the look, as one table.

Lengths are logical pixels at 96 dpi. Type sizes are those at the usual base size of
14 px; `app.style.fonts` scales them. Colours are sRGB. Contrast of text is at least 4.5 and
of controls 3.0 by the formula of WCAG 2.2 (tests/app/test_style.py computes every pair).

The single tables are classes without slots of their own, so that their values are read-only
without the 8 ms that making dataclasses of them took at every start (measured).
"""

from dataclasses import dataclass

from landmarks.outputs.marks import Marks


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Colours:
    """The colours of one scheme, each as #RRGGBB."""

    ground: str  # the window, menu bar, step map, hint line
    sheet: str  # side panels, rail, strip
    raised: str  # cards, fields, plain buttons, the band
    sunken: str  # tracks of bars, neutral parts
    line: str  # dividers only, never the only edge of a control
    edge: str  # outlines of fields, buttons, key caps, empty beads
    ink: str
    ink2: str  # second text
    ink3: str  # placeholder, disabled
    accent: str  # chosen, known, the primary button, bars, focus
    accent_hover: str
    accent_soft: str
    accent_line: str
    on_accent: str
    plus: str  # supports; always with + or a tick
    plus_soft: str
    minus: str  # speaks against, error; always with a minus, a cross or a word
    minus_soft: str
    caution: str  # doubt, fits poorly; always with the triangle and words
    caution_soft: str
    canvas: str  # round the picture: pure grey, so that colours are judged fairly


LIGHT = Colours(
    ground="#EFEBE2",
    sheet="#FAF8F3",
    raised="#FFFFFF",
    sunken="#E5DFD3",
    line="#D8D1C3",
    edge="#857C6D",
    ink="#22292C",
    ink2="#555B5B",
    ink3="#6B6F6C",
    accent="#41459A",
    accent_hover="#353985",
    accent_soft="#E3E3F3",
    accent_line="#9698CC",
    on_accent="#FFFFFF",
    plus="#27664A",
    plus_soft="#DCEBE1",
    minus="#98401F",
    minus_soft="#F6E3D8",
    caution="#755600",
    caution_soft="#F7ECCB",
    canvas="#6B6B6B",
)

DARK = Colours(
    ground="#15191B",
    sheet="#1C2123",
    raised="#262C2F",
    sunken="#0F1214",
    line="#343B3E",
    edge="#7D8785",
    ink="#EAE6DD",
    ink2="#B1B4AE",
    ink3="#929893",
    accent="#ABADF2",
    accent_hover="#C3C5F7",
    accent_soft="#2C2F50",
    accent_line="#6B6EB4",
    on_accent="#15173A",
    plus="#86C9A6",
    plus_soft="#1E352A",
    minus="#F0A283",
    minus_soft="#41281E",
    caution="#E2C067",
    caution_soft="#3A3118",
    canvas="#4A4A4A",
)


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Type:
    """One size of type; two weights only, 400 and 600."""

    px: float
    weight: int = 400
    italic: bool = False
    latin: bool = False  # the serif of scientific names


BASE_PX = 14.0

TYPE: dict[str, Type] = {
    "caption": Type(12),
    "small": Type(13),
    "small_strong": Type(13, 600),
    "small_italic": Type(13, italic=True),
    "body": Type(14),
    "strong": Type(14, 600),
    "step": Type(15, 600),
    "name_row": Type(15, italic=True, latin=True),
    "name_top": Type(18, 600, italic=True, latin=True),
    "name_list": Type(14, italic=True, latin=True),
    "title": Type(19, 600),
    "number": Type(24, 600),
    "keycap": Type(12, 600),
    "plate": Type(13, 600),
}

UI_FAMILY = "Source Sans 3"
LATIN_FAMILY = "Source Serif 4"
FALLBACK_FAMILY = "DejaVu Sans"

SPACE = (2, 4, 6, 8, 12, 16, 24, 32)


class Radius:
    """Corner radii."""

    __slots__ = ()

    plate: int = 5
    control: int = 6
    row: int = 7
    card: int = 8
    floating: int = 10
    pill: int = 11


class IconSize:
    """Edge lengths of icons, and the width of their line in a box of 24."""

    __slots__ = ()

    inline: int = 14
    row: int = 16
    tool: int = 18
    notice: int = 20
    band: int = 28
    stroke: float = 1.75


class DrawingSize:
    """Sizes at which our line drawings (160 x 120) are shown, width then height."""

    __slots__ = ()

    tile: tuple[float, float] = (148, 111)
    card: tuple[float, float] = (88, 66)
    band: tuple[float, float] = (96, 72)
    row: tuple[float, float] = (38, 28.5)


class Layout:
    """Sizes of the regions of the window."""

    __slots__ = ()

    min_window: tuple[int, int] = (1120, 720)
    menu_bar: int = 30
    step_map: int = 70
    hints: int = 30
    picture_rail: int = 58
    band_notice: int = 66
    band_landmark: int = 84
    specimens: tuple[int, int, int] = (200, 244, 340)  # least, usual, most
    side: tuple[int, int, int] = (336, 400, 520)
    side_two_columns_from: int = 1760
    side_two_columns: tuple[int, int] = (348, 400)
    picture_least: tuple[int, int] = (480, 300)
    strip_instrument: int = 256
    strip_characters: int = 270
    toolbar: int = 46
    specimen_row: int = 62
    measure_row: int = 24
    character_row: int = 31
    candidate_row: int = 44
    attempt_row: int = 46
    target: int = 24  # nothing that is clicked is smaller


class StepMapShape:
    """The folds of the step map: y = -hump * sin(pi q) ** exponent."""

    __slots__ = ()

    hump: float = 6
    hump_current: float = 11
    line: float = 1.8
    line_current: float = 2.4
    bead: float = 4.6
    exponent: float = 0.8
    dash_lacking: tuple[float, float] = (1, 2.6)


class CanvasMarks(Marks):
    """Marks on the picture, and what only a screen needs: hovered, selected, the loupe.

    Shape tells the class, colour only helps. Sizes do not zoom.
    """

    __slots__ = ()

    hit_radius: int = 12
    hovered_halo: float = 14
    hovered_alpha: float = 0.35
    hovered_ring: float = 1.4
    selected_ring: float = 11.5
    selected_light: float = 2.2
    selected_dark: float = 4.6
    next_ring: float = 11
    next_light: float = 1.8
    next_dark: float = 4
    next_arm: tuple[float, float] = (5, 17)
    scale_band_alpha: float = 0.27
    vertex: float = 4.8
    loupe_radius: int = 62
    loupe_zoom: int = 4


RADIUS = Radius()
ICON = IconSize()
DRAWING = DrawingSize()
LAYOUT = Layout()
STEP_MAP = StepMapShape()
MARKS = CanvasMarks()
