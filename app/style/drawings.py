"""Our line drawings: found by name, drawn in a colour, with the dot of a landmark."""

import json
import re
from functools import cache, lru_cache
from pathlib import Path
from typing import cast

from PySide6.QtGui import QPixmap

import landmarks
from app.style import palette, svg
from app.style.icons import icon_text
from app.style.tokens import MARKS

FOLDER = Path(landmarks.__file__).parent / "data" / "drawings"
_OWN = re.compile(r"[a-z0-9_/]+\.(svg|json)")
_SMALL, _BOLDER, _VIEW_BOX = 60.0, 1.45, 'viewBox="0 0 160 120"'
CANNOT_BE_SEEN = "cannot_be_seen"
_DOT = (11.0, 8.6, 5.6)  # radii of dark, light and core, in units of the drawing


@cache
def state_drawing(character: str, state: str) -> str:
    """Return the SVG text of a state of a character; an empty text if none was drawn."""
    if state == CANNOT_BE_SEEN:
        return icon_text("eye-off")
    return _read(f"state/{character}/{state}.svg")


@cache
def view_drawing(view: str) -> str:
    """Return the SVG text of a view; an empty text if none was drawn."""
    return _read(f"view/{view}.svg")


@cache
def landmark_drawing(view: str, landmark: str) -> str:
    """Return the drawing of a view with the dot where a landmark belongs.

    An empty text if the landmark has no place in the table (`landmark/places.json`).
    """
    places = _places().get(view, {}).get(landmark)
    base = _read(f"landmark/{view}.svg")
    if not places or not base:
        return ""
    dots = "".join(_dot(x, y) for x, y in places)
    return base.replace("</svg>", f"{dots}</svg>")


@cache
def scale_drawing() -> str:
    """Return the SVG text of the ruler beside a shell."""
    return _read("scale.svg")


def drawing_pixmap(
    text: str, width: float, height: float, ink: str = "ink", ratio: float = 1.0
) -> QPixmap:
    """Return SVG text as a pixmap of a logical size, in a colour of the tokens.

    Small drawings (not icons) get bolder lines, or they would fade to grey.
    """
    if width < _SMALL and _VIEW_BOX in text:
        text = _bolder(text)
    return svg.pixmap(text, width, height, palette.colour(ink).name(), ratio)


@lru_cache(maxsize=256)
def _bolder(text: str) -> str:
    return re.sub(
        r'stroke-width="([0-9.]+)"',
        lambda found: f'stroke-width="{float(found[1]) * _BOLDER:.2f}"',
        text,
    )


@cache
def _places() -> dict[str, dict[str, list[tuple[float, float]]]]:
    text = _read("landmark/places.json")
    return cast("dict[str, dict[str, list[tuple[float, float]]]]", json.loads(text or "{}"))


def _dot(x: float, y: float) -> str:
    dark, light, core = _DOT
    rings = ((dark, MARKS.dark), (light, MARKS.light), (core, MARKS.landmark))
    at = f'cx="{x}" cy="{y}"'
    return "".join(
        f'<circle {at} r="{r}" fill="{fill}" stroke="none"/>' for r, fill in rings
    )


def _read(name: str) -> str:
    """Return one of our own drawings; keys of a stranger's tables lead nowhere else."""
    if not _OWN.fullmatch(name):
        return ""
    try:
        return (FOLDER / name).read_text(encoding="utf-8")
    except OSError:
        return ""
