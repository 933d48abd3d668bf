"""Where the doubt of a length comes from: ruler, ends or fit, plane, heights, lens.

Told before anything is measured, for a usual case: a length across the middle half of the
picture, at a height above or below the plane of the scale that is not known.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot, sqrt

from landmarks.geometry import Point
from landmarks.instruments.plane import plane_from
from landmarks.instruments.ruler import LENSES
from landmarks.scale import (
    SET_UP_SIGMA,
    Scale,
    Setting,
    camera_distance_px,
    mm_per_px,
    perspective,
)
from landmarks.sentences import Number, Sentence
from landmarks.units import Cause, hypotenuse, minus, times, uncertain

HEIGHT_MM = 5.0
"""How far above or below the plane of the scale a margin lies (common practice, no source)."""

LEAST = 0.0001
"""Parts below this share are not told."""


def usual_doubt(setting: Setting, height_mm: float = HEIGHT_MM) -> Mapping[str, float]:
    """Return what each kind of cause adds to a usual length, as shares, largest first.

    ``lens`` is told apart from the ruler, in whose doubt it stands. Empty without a scale.
    """
    scale = setting.scale
    if scale is None:
        return {}
    parts = _on_plane(scale, setting, height_mm)
    if parts is None:
        parts = _beside_ruler(scale, setting, height_mm)
    lens = LENSES.get(lens_of(scale), 0.0)
    if lens and "ruler" in parts:
        parts["ruler"] = sqrt(max(0.0, parts["ruler"] ** 2 - lens**2))
        parts["lens"] = lens
    told = sorted(parts.items(), key=lambda part: -part[1])
    return {kind: share for kind, share in told if share >= LEAST}


def doubt_sentence(setting: Setting, height_mm: float = HEIGHT_MM) -> Sentence | None:
    """Say in one line where the doubt of a usual length comes from; None without a scale."""
    parts = usual_doubt(setting, height_mm)
    if not parts:
        return None
    whole = hypot(*parts.values())
    named = tuple(
        Sentence(
            "scaling.doubt.part",
            {"cause": Sentence(f"cause.{kind}"), "share": _percent(share)},
        )
        for kind, share in parts.items()
    )
    values = {
        "parts": named,
        "whole": _percent(whole),
        "height": Number(height_mm, unit="mm"),
    }
    return Sentence("scaling.doubt", values)


def lens_of(scale: Scale) -> str:
    """Return the word of the lens that was told with a scale, or ``none``."""
    kept = scale.extra.get("ruler")
    lens = kept.get("lens") if isinstance(kept, Mapping) else scale.extra.get("lens")
    return lens if isinstance(lens, str) and lens in LENSES else "none"


def _beside_ruler(scale: Scale, setting: Setting, height_mm: float) -> dict[str, float]:
    ratio = mm_per_px(scale, setting.picture)
    height = uncertain(0.0, height_mm / ratio.value, "px", Cause("height"))
    ends = scale.points[0], scale.points[-1]
    middle = Point((ends[0].x + ends[1].x) / 2, (ends[0].y + ends[1].y) / 2)
    if scale.origin not in ("", setting.picture):
        middle = Point(setting.width / 2, setting.height / 2)
    first, second = (
        perspective(
            Point(setting.width * share, setting.height / 2), setting, height, middle
        )
        for share in (0.25, 0.75)
    )
    span = hypotenuse(minus(second[0], first[0]), minus(second[1], first[1]))
    length = times(span, ratio, "mm")
    return {kind: part / length.value for kind, part in length.by_kind().items()}


def _on_plane(scale: Scale, setting: Setting, height_mm: float) -> dict[str, float] | None:
    """Return the parts of a length across the four points; tilt is told by them."""
    plane = plane_from(scale)
    if plane is None:
        return None
    a, b, c, d = plane.points
    left = Point((a.x + d.x) / 2, (a.y + d.y) / 2)
    right = Point((b.x + c.x) / 2, (b.y + c.y) / 2)
    length = plane.length_mm(left, right)
    parts = {kind: part / length.value for kind, part in length.by_kind().items()}
    away = camera_distance_px(setting).value * mm_per_px(scale, setting.picture).value
    parts["height"] = height_mm / away
    if scale.origin not in ("", setting.picture):
        parts["set_up"] = SET_UP_SIGMA
    return parts


def _percent(share: float) -> Number:
    return Number(float(f"{100 * share:.2g}"), unit="%")
