"""The example pictures of single valves: inside, young, worn, otherwise up; and a drawer."""

from .block import Block
from .card import Card
from .light import Lamp
from .ruler import Ruler
from .side import render_side
from .specimens import BLOTCHED, DEEP_FOLDED, ELONGATE, FLUTED, LOW_FOLDED, PAIR, varied
from .truth import Rendered
from .views import Laid, Setup, render_outside, render_table

MUSEUM = "Port Maren Museum"

YOUNG = varied(
    FLUTED,
    {
        "length_mm": 36.0,
        "growth": 0.72,
        "main_folds": (0.2, 0.35, 0.5, 0.65, 0.8),
        "end_folds": (0.1,),
        "riblet_depth": 0.008,
        "fold_depth": 0.045,
        "seed": 95,
    },
    {
        "base": (250, 238, 196),
        "band": (246, 206, 116),
        "young": (250, 226, 160),
        "rim": (255, 250, 226),
        "soiling": 0.12,
        "gloss": 0.22,
    },
    {"height": 0.11, "gap": 0.26, "first_size": 0.3, "seed": 96},
)
WORN = varied(
    FLUTED,
    {"length_mm": 152.0, "riblet_depth": 0.003, "growth_rests": 0.007, "seed": 92},
    {"wear": 0.55, "cover": 0.75, "soiling": 0.8, "banding": 0.3, "seed": 94},
    {"lost": 0.72, "seed": 93},
    n_tubes=5,
)
STANDING = varied(
    FLUTED,
    {"seed": 97},
    {"cover": 0.5, "soiling": 0.7, "seed": 98},
    {"height": 0.075, "lost": 0.1, "seed": 99},
    characters={
        "scutes": "all_over",
        "scute_size": "large",
        "scute_spacing": "wide",
        "fold_profile": "rounded",
        "burrowing": "none",
        "mantle_extent": "to_margin",
    },
    n_tubes=2,
)


def inside(seed: int) -> Rendered:
    """Return the inside of the valve of `fluted-valve-outside`, ruler at its margin."""
    return render_outside(
        FLUTED,
        1800,
        seed,
        Setup(field_mm=222.0, ruler_turn_deg=-1.0),
        turn_deg=-3.0,
        centre_mm=(0.0, 17.0),
        face="inside",
        block_mm=47.0,
        oversample=1.4,
    )


def young(seed: int) -> Rendered:
    """Return a young, fresh valve, near by."""
    setup = Setup(
        field_mm=66.0,
        aspect=0.74,
        distance_mm=380.0,
        ground_options={"colour": (52, 56, 60)},
        ruler=Ruler((0.0, 0.0), length_mm=40, width_mm=16.0, margin_mm=5.0, top_mm=0.8),
        ruler_turn_deg=-1.0,
        lamp=Lamp(azimuth_deg=140.0, elevation_deg=42.0),
    )
    return render_outside(
        YOUNG,
        1700,
        seed,
        setup,
        valve="right",
        turn_deg=-8.0,
        centre_mm=(0.0, 9.6),
        oversample=1.4,
    )


def worn(seed: int) -> Rendered:
    """Return a worn valve under growth: umbo eroded, most scutes broken off."""
    return render_outside(
        WORN,
        1800,
        seed,
        Setup(field_mm=240.0, ground="wood", ruler_turn_deg=1.0),
        valve="right",
        turn_deg=7.0,
        centre_mm=(0.0, 14.0),
        oversample=1.4,
    )


def umbo_up(seed: int) -> Rendered:
    """Return a valve umbo up on a white tray in hard light, its label turned otherwise."""
    setup = Setup(
        field_mm=250.0,
        ground="tray",
        ground_options={"colour": (243, 244, 242)},
        ruler=Ruler((-103.0, -66.0), 90.6, length_mm=130),
        lamp=Lamp(
            azimuth_deg=28.0,
            elevation_deg=30.0,
            softness_deg=2.2,
            key=1.0,
            sky=0.2,
            fill=0.05,
        ),
    )
    valve = varied(
        PAIR,
        {"length_mm": 126.0, "fold_narrowness": 0.8, "seed": 102},
        {"base": (236, 214, 178), "band": (214, 150, 92), "soiling": 0.4, "seed": 103},
        {"first_size": 0.42, "seed": 104},
    )
    lines = (MUSEUM, "PMM 2024.137", "Old collection", "no place recorded")
    return render_outside(
        valve,
        1800,
        seed,
        setup,
        valve="right",
        turn_deg=163.0,
        centre_mm=(-6.0, 6.0),
        cards=(Card((96.0, -8.0), lines, 90.0),),
        oversample=1.4,
    )


def drawer(seed: int) -> Rendered:
    """Return six valves in one drawer, each with its label, and one ruler."""
    shells = (
        (varied(FLUTED, {"length_mm": 88.0, "seed": 111}), "left", 4.0, "outside"),
        (varied(ELONGATE, {"length_mm": 98.0, "seed": 112}), "right", 176.0, "outside"),
        (varied(DEEP_FOLDED, {"length_mm": 86.0, "seed": 113}), "right", -6.0, "outside"),
        (varied(BLOTCHED, {"length_mm": 84.0, "seed": 114}), "left", 187.0, "outside"),
        (varied(LOW_FOLDED, {"length_mm": 72.0, "seed": 115}), "left", 84.0, "outside"),
        (varied(DEEP_FOLDED, {"length_mm": 82.0, "seed": 116}), "left", 8.0, "inside"),
    )
    places = [(x, y) for y in (88.0, -16.0) for x in (-128.0, 2.0, 130.0)]
    upside_down = (0.0, 0.0, 180.0, 0.0, 0.0, 180.0)
    laid, cards = [], []
    for number, (shell, place) in enumerate(zip(shells, places, strict=True)):
        specimen, valve, turn, face = shell
        laid.append(Laid(specimen, valve, turn, place, face))
        lines = (MUSEUM, f"PMM 2024.{140 + number}", "Drawer 16")
        below = (place[0] - 4.0 + 3.0 * (number % 3), place[1] - 49.0)
        if number == 4:
            below = (place[0] + 1.0, place[1] - 53.0)
        cards.append(
            Card(
                below,
                lines,
                upside_down[number] + (-1.5, 2.0, 0.8)[number % 3],
                (46.0, 16.0),
            )
        )
    oak = 9.0
    walls = (
        Block((0.0, 142.0), (460.0, 2 * oak), 24.0, seed=21),
        Block((0.0, -142.0), (460.0, 2 * oak), 24.0, seed=22),
        Block((-212.0, 0.0), (460.0, 2 * oak), 24.0, 90.0, seed=23),
        Block((212.0, 0.0), (460.0, 2 * oak), 24.0, 90.0, seed=24),
    )
    setup = Setup(
        field_mm=424.0,
        distance_mm=1200.0,
        ground="felt",
        ground_options={"colour": (42, 62, 56)},
        ruler=Ruler((-100.0, -92.0), 0.7, length_mm=200, width_mm=22.0),
    )
    return render_table(
        laid, 2000, seed, setup, cards=tuple(cards), walls=walls, oversample=1.4
    )


def from_side(seed: int) -> Rendered:
    """Return a living clam on the reef from the side."""
    return render_side(STANDING, 1800, seed, turn_deg=5.0, field_mm=222.0, oversample=1.3)
