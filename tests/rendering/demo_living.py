"""The example pictures of living clams near by and in a burrow."""

from .living import render_living
from .specimens import BRANCHED_OPENING, BURROWER, LIVING, SMOOTH_OPENING
from .truth import Rendered


def smooth_opening(seed: int) -> Rendered:
    """Return an inhalant opening without tentacles, gills in sight."""
    return render_living(
        SMOOTH_OPENING,
        1800,
        seed,
        view="living_inhalant_opening",
        field_mm=139.0,
        turn_deg=-6.0,
        oversample=1.3,
    )


def branched_opening(seed: int) -> Rendered:
    """Return an inhalant opening with branched tentacles."""
    return render_living(
        BRANCHED_OPENING,
        1800,
        seed,
        view="living_inhalant_opening",
        field_mm=130.0,
        turn_deg=12.0,
        oversample=1.3,
    )


def mantle_edge(seed: int) -> Rendered:
    """Return the edge of a mantle with its row of eyes, the rock behind out of focus."""
    return render_living(
        LIVING,
        1800,
        seed,
        view="living_mantle_edge",
        field_mm=62.0,
        centre_mm=(4.0, -37.0),
        oversample=1.2,
    )


def in_burrow(seed: int) -> Rendered:
    """Return a clam sunk to the rim into the rock: only its margin and mantle to be seen."""
    return render_living(
        BURROWER,
        1800,
        seed,
        field_mm=118.0,
        turn_deg=24.0,
        burrow_mm=3.0,
        oversample=1.3,
    )
