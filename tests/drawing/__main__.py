"""Write all drawings of the program: `python -m tests.drawing`."""

import json
from collections.abc import Callable
from pathlib import Path

from tests.drawing import animal, byssal, folds, landmarks, pair, valve
from tests.drawing.pen import Sheet

FOLDER = Path(__file__).parents[2] / "landmarks" / "data" / "drawings"

STATES: dict[str, tuple[Callable[[str], Sheet], tuple[str, ...]]] = {
    "incurrent_margin": (
        animal.incurrent_margin,
        ("smooth", "small_simple", "large_branched", "fringe"),
    ),
    "mantle_extent": (animal.mantle_extent, ("within", "to_margin", "beyond")),
    "eyes": (animal.eyes, ("none", "sparse", "dense_row")),
    "eye_size": (animal.eye_size, ("small", "large")),
    "ringed_spots": (animal.ringed_spots, ("absent", "small_blue", "teardrop")),
    "warts": (animal.warts, ("absent", "few", "many")),
    "fold_strength": (folds.fold_strength, ("low", "moderate", "strong")),
    "fold_profile": (folds.fold_profile, ("flattened", "rounded", "triangular")),
    "scutes": (valve.scutes, ("absent", "near_margin", "upper_half", "all_over")),
    "scute_size": (valve.scute_size, ("low", "large")),
    "scute_spacing": (valve.scute_spacing, ("crowded", "wide")),
    "upper_margin": (valve.upper_margin, tuple(valve.UPPER_MARGIN)),
    "closure": (pair.closure, ("tight", "nearly", "gapes")),
    "byssal_opening": (pair.hinge_edge, tuple(pair.OPENING)),
    "byssal_edge": (byssal.byssal_edge, ("plain", "plicate", "interlocking")),
    "byssal_shape": (byssal.byssal_shape, ("slit", "lance", "drop", "ellipse")),
    "coloured_bands": (valve.coloured_bands, ("none", "red_near_umbo", "strawberry")),
    "burrowing": (pair.burrowing, ("none", "partial", "full")),
    "outline": (valve.outline, tuple(valve.OUTLINE)),
    "exhalant_opening": (animal.exhalant_opening, ("level", "raised", "cone")),
}


def write_all(folder: Path) -> None:
    """Write every drawing and the table of places."""
    for character, (draw, states) in STATES.items():
        for state in states:
            _write(folder / "state" / character / f"{state}.svg", draw(state))
    for view, draw_view in landmarks.VIEWS.items():
        _write(folder / "landmark" / f"{view}.svg", landmarks.landmark_base(view))
        _write(folder / "view" / f"{view}.svg", draw_view(small=True))
    _write(folder / "scale.svg", landmarks.scale())
    places = json.dumps(landmarks.places(), indent=1)
    (folder / "landmark" / "places.json").write_text(places + "\n", encoding="utf-8")


def _write(path: Path, sheet: Sheet) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(sheet.text(), encoding="utf-8")


if __name__ == "__main__":
    write_all(FOLDER)
