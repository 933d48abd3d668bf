"""The example pictures of pairs: from above, from below and from one end."""

from .light import Lamp
from .pairs import render_pair
from .ruler import Ruler
from .specimens import BLOTCHED, DEEP_FOLDED, FLUTED, LOW_FOLDED, PAIR, varied
from .truth import Rendered
from .views import Setup

CLOSED = varied(
    FLUTED,
    {"fold_depth": 0.075, "riblet_depth": 0.005, "byssal_opening_width": 0.03, "seed": 71},
    {"seam": 0.75, "base": (236, 220, 176), "band": (226, 176, 96), "seed": 72},
    {"height": 0.06, "first_size": 0.4, "last_size": 0.9, "seed": 73},
    characters={
        "scutes": "upper_half",
        "scute_size": "large",
        "scute_spacing": "wide",
        "fold_profile": "rounded",
        "fold_strength": "strong",
        "upper_margin": "rounded_lobes",
        "closure": "tight",
    },
)
GAPING = varied(
    DEEP_FOLDED,
    {"mirrored": True, "fold_depth": 0.085, "growth": 0.78},
    characters={
        "scutes": "absent",
        "fold_profile": "rounded",
        "fold_strength": "strong",
        "closure": "gapes",
    },
)
BORER = varied(
    LOW_FOLDED,
    {"byssal_opening_width": 0.15, "byssal_opening_from": 0.79, "plicae": 0.004},
    {"soiling": 0.6},
    characters={"byssal_opening": "very_large", "fold_strength": "low"},
)
SHUT = varied(
    BLOTCHED,
    {"plicae": 0.012, "byssal_opening_from": 0.83, "n_plicae": 8},
    characters={
        "byssal_opening": "closed",
        "closure": "tight",
        "coloured_bands": "strawberry",
    },
)
END = varied(
    PAIR,
    {"seed": 74},
    {"seam": 0.7, "base": (234, 222, 202), "band": (226, 190, 150), "seed": 75},
    characters={
        "scutes": "upper_half",
        "scute_size": "large",
        "fold_profile": "rounded",
        "closure": "tight",
    },
)


def closed_pair(seed: int) -> Rendered:
    """Return a tightly shut pair from above its upper margin, on dark green felt."""
    setup = Setup(
        field_mm=212.0,
        ground="felt",
        ground_options={"colour": (30, 54, 46)},
        ruler_turn_deg=-0.8,
    )
    return render_pair(
        CLOSED,
        "upper_margin",
        1800,
        seed,
        setup,
        turn_deg=4.0,
        centre_mm=(0.0, 22.0),
        ends_above_table_mm=44.0,
        block_mm=36.0,
        oversample=1.5,
    )


def gaping_pair(seed: int) -> Rendered:
    """Return a pair whose folds stand against each other, from above, on wood."""
    setup = Setup(
        field_mm=236.0,
        ground="wood",
        ruler_turn_deg=1.0,
        lamp=Lamp(azimuth_deg=60.0, elevation_deg=44.0),
    )
    return render_pair(
        GAPING,
        "upper_margin",
        1800,
        seed,
        setup,
        turn_deg=176.0,
        centre_mm=(0.0, 28.0),
        ends_above_table_mm=46.0,
        block_mm=40.0,
        oversample=1.5,
    )


def open_underside(seed: int) -> Rendered:
    """Return the underside of a pair with a wide byssal opening, bedded in foam."""
    setup = Setup(
        field_mm=124.0,
        distance_mm=700.0,
        ground="foam",
        ruler=Ruler((0.0, 0.0), length_mm=80, width_mm=20.0),
        ruler_turn_deg=-1.2,
    )
    return render_pair(
        BORER,
        "underside",
        1800,
        seed,
        setup,
        turn_deg=5.0,
        centre_mm=(2.0, 13.0),
        ends_above_table_mm=24.0,
        block_mm=20.0,
        oversample=1.5,
    )


def closed_underside(seed: int) -> Rendered:
    """Return the underside of a pair without byssal opening: plicae that interlock."""
    setup = Setup(
        field_mm=188.0,
        ground="felt",
        ground_options={"colour": (70, 34, 38)},
        ruler_turn_deg=0.6,
        lamp=Lamp(azimuth_deg=140.0, elevation_deg=42.0),
    )
    return render_pair(
        SHUT,
        "underside",
        1800,
        seed,
        setup,
        turn_deg=-4.0,
        centre_mm=(0.0, 20.0),
        ends_above_table_mm=34.0,
        block_mm=28.0,
        oversample=1.5,
    )


def end_of_pair(seed: int) -> Rendered:
    """Return a pair from its byssal end, standing in foam, ruler below."""
    setup = Setup(
        field_mm=168.0,
        aspect=0.86,
        ground="felt",
        ground_options={"colour": (58, 60, 66)},
        ruler=Ruler((0.0, 0.0), length_mm=120),
        ruler_turn_deg=0.5,
        lamp=Lamp(azimuth_deg=140.0, elevation_deg=40.0),
    )
    return render_pair(
        END,
        "end",
        1600,
        seed,
        setup,
        turn_deg=2.0,
        centre_mm=(0.0, 16.0),
        ends_above_table_mm=50.0,
        block_mm=40.0,
        oversample=1.5,
    )
