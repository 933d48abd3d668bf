"""The patterns of a mantle: tones over each pixel, and how marks are laid on them."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .body import Animal
from .light import linear
from .noise import smoothstep

Field = NDArray[np.float32]
Points = NDArray[np.floating]


class Flesh(NamedTuple):
    """The plain mantle: four noises, nearness of its edge (0 to 1), mm from the edge."""

    waves: Field
    maze: Field
    islands: Field
    dots: Field
    near_edge: Field
    deep: Field


def over(tone: Field, colour: Points, share: Field) -> Field:
    share = np.clip(share, 0, 1)[..., None]
    return tone * (1 - share) + colour * share


def disc(
    layers: dict[str, Field],
    place: Points,
    radius: float,
    tone: Points,
    share: float,
    lift: float,
    *,
    soft: float,
    at_least: float | None = None,
) -> None:
    """Paint a soft disc into tone and height around one pixel position."""
    shape = layers["height"].shape
    reach = int(np.ceil(radius * (1 + soft))) + 1
    column, row = int(place[0]), int(place[1])
    if not (reach < row < shape[0] - reach and reach < column < shape[1] - reach):
        return
    window = (
        slice(row - reach, row + reach + 1),
        slice(column - reach, column + reach + 1),
    )
    y, x = (
        np.mgrid[row - reach : row + reach + 1, column - reach : column + reach + 1] + 0.5
    )
    distance = np.hypot(x - place[0], y - place[1])
    weight = np.clip(
        (radius * (1 + soft / 2) - distance) / (radius * soft + 0.6), 0, 1
    ).astype(np.float32)
    layers["tone"][window] = (
        layers["tone"][window] * (1 - share * weight[..., None])
        + tone * (share * weight)[..., None]
    )
    height = layers["height"]
    if at_least is None:
        height[window] += lift * weight
    else:
        height[window] = np.where(
            weight > 0.4, np.maximum(height[window], at_least), height[window]
        )


def _maze(animal: Animal, flesh: Flesh) -> Field:
    """Return a net of bright lines on a dark ground, with gilded islands."""
    waves, maze, islands, dots, near_edge, deep = flesh
    bright, dark, spot = (linear(*c) for c in (animal.bright, animal.deep, animal.spot))
    centre = linear(*animal.mid)
    tone = dark * near_edge[..., None] + (0.45 * dark + 0.55 * centre) * (
        1 - near_edge[..., None]
    )
    tone = tone * (1.0 + 0.22 * waves)[..., None]
    lines = smoothstep(0.34, 0.06, abs(maze))
    tone = over(
        tone,
        bright * (0.45 + 0.55 * near_edge)[..., None],
        lines * (0.30 + 0.62 * near_edge),
    )
    tone = over(tone, bright, 0.7 * smoothstep(1.35, 1.9, maze + 0.5 * near_edge))
    tone = over(tone, dark * 0.3, 0.6 * smoothstep(0.7, 1.5, -maze))
    gold = smoothstep(1.3, 2.0, islands + 0.25 * dots) * smoothstep(3.5, 10.0, deep)
    tone = over(tone, spot * (1 + 0.15 * dots)[..., None], 0.75 * gold)
    return over(
        tone,
        linear(*animal.glow),
        0.9 * smoothstep(1.5, 2.1, dots) * (0.16 + 0.84 * near_edge),
    )


def _stripes(animal: Animal, flesh: Flesh) -> Field:
    """Return wavy bands along the edge, broken into spots towards the middle."""
    waves, maze, islands, dots, near_edge, deep = flesh
    bright, dark, spot = (linear(*c) for c in (animal.bright, animal.deep, animal.spot))
    inner = linear(*animal.mid)
    tone = over(np.broadcast_to(inner, (*waves.shape, 3)), dark, 0.35 + 0.6 * near_edge)
    tone = tone * (1.0 + 0.16 * waves)[..., None]
    bands = np.sin(deep / 1.05 + 1.5 * waves + 0.55 * islands)
    tone = over(tone, bright, 0.75 * smoothstep(0.25, 0.75, bands) * (0.25 + near_edge))
    tone = over(tone, dark * 0.3, 0.6 * smoothstep(0.5, 0.95, -bands))
    blots = smoothstep(1.0, 1.35, islands + 0.2 * maze) * smoothstep(4.0, 11.0, deep)
    tone = over(tone, spot, 0.8 * blots)
    return over(tone, linear(*animal.glow), 0.55 * smoothstep(1.7, 2.2, dots) * near_edge)


def _rings(animal: Animal, flesh: Flesh) -> Field:
    """Return plain flesh with small brilliant rings, denser towards the edge."""
    waves, maze, islands, dots, near_edge, deep = flesh
    bright, dark, spot = (linear(*c) for c in (animal.bright, animal.deep, animal.spot))
    inner = linear(*animal.mid)
    tone = over(np.broadcast_to(inner, (*waves.shape, 3)), dark, 0.15 + 0.75 * near_edge)
    tone = tone * (1.0 + 0.14 * waves + 0.05 * maze)[..., None]
    tone = over(tone, spot, 0.5 * smoothstep(0.5, 1.6, maze + 0.5 * waves))
    where = islands + 0.55 * near_edge - 0.35
    ring = np.exp(-(((where - 1.25) / 0.10) ** 2)) * smoothstep(1.0, 3.0, deep)
    tone = over(tone, bright, 0.92 * ring)
    tone = over(tone, dark * 0.35, 0.7 * smoothstep(1.38, 1.6, where))
    return over(tone, linear(*animal.glow), 0.5 * smoothstep(1.9, 2.4, dots) * near_edge)


PATTERNS = {"maze": _maze, "stripes": _stripes, "rings": _rings}
