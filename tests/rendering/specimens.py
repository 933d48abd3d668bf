"""The invented shells and the clam of the example pictures, read from specimens.toml."""

import tomllib
from dataclasses import replace
from pathlib import Path

from .body import Animal
from .colours import Colours
from .scutes import ScuteStyle
from .surface import ValveShape
from .views import Specimen


def _tuples(value: object) -> object:
    """Return lists as tuples, also inside lists and tables, so that values stay frozen."""
    if isinstance(value, list):
        return tuple(_tuples(one) for one in value)
    if isinstance(value, dict):
        return {key: _tuples(one) for key, one in value.items()}
    return value


def varied(
    specimen: Specimen,
    shape: dict[str, object] | None = None,
    colours: dict[str, object] | None = None,
    scutes: dict[str, object] | None = None,
    **others: object,
) -> Specimen:
    """Return a specimen with some of its form, colours and scutes changed."""
    style = specimen.scutes
    return replace(
        specimen,
        shape=replace(specimen.shape, **(shape or {})),
        colours=replace(specimen.colours, **(colours or {})),
        scutes=replace(style, **scutes) if scutes and style else style,
        **others,
    )


def _specimen(name: str) -> Specimen:
    table = _TABLES[name]
    return Specimen(
        ValveShape(**table["shape"]),
        Colours(**table.get("colours", {})),
        ScuteStyle(**table["scutes"]) if "scutes" in table else None,
        table["modelled_on"],
        table["characters"],
    )


_TABLES = _tuples(tomllib.loads(Path(__file__).with_suffix(".toml").read_text("utf-8")))

FLUTED = _specimen("fluted")
PAIR = _specimen("pair")
ELONGATE = _specimen("elongate")
DEEP_FOLDED = _specimen("deep_folded")
BLOTCHED = _specimen("blotched")
LOW_FOLDED = _specimen("low_folded")
LIVING = Animal(**_TABLES["living"])
SMOOTH_OPENING = Animal(**_TABLES["smooth_opening"])
BRANCHED_OPENING = Animal(**_TABLES["branched_opening"])
BURROWER = Animal(**_TABLES["burrower"])
