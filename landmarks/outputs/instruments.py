"""What instruments found, as plain JSON: result, standard uncertainty, sure or not, message.

Numbers stay in full and points are pixels of the upright picture; messages are in the
language that is spoken.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from landmarks.geometry import Point, area, distance, path_length
from landmarks.instruments.fold_agreement import FoldCount
from landmarks.instruments.folds import Fold, Found
from landmarks.instruments.proposed import TraceProposal
from landmarks.instruments.refusal import Refused
from landmarks.instruments.ruler import RulerFit, scale_of
from landmarks.scale import CLICK_SIGMA_PX, mm_per_px, two_points
from landmarks.sentences import text


def scale_json(
    fit: RulerFit | Refused,
    first: Point,
    second: Point,
    length_mm: float,
    *,
    size: tuple[int, int],
    lens: str = "none",
    sigma_mm: float | None = None,
) -> dict[str, Any]:
    """Return the scale along a line: of the fitted graduation, or of its two ends.

    Parameters
    ----------
    size
        Upright width and height of the picture, in pixels.

    Raises
    ------
    ScaleError
        If two ends without a graduation give no scale either.
    """
    if isinstance(fit, Refused):
        scale = two_points(first, second, length_mm, size=size, sigma_mm=sigma_mm)
        px_per_mm = distance(first, second) / length_mm
        ends = (px_per_mm, px_per_mm)
        message, graduation, n_marks = fit.sentence, "", 0
    else:
        scale = scale_of(fit, lens=lens, sigma_mm=sigma_mm)
        px_per_mm, ends = fit.px_per_mm, fit.px_per_mm_ends
        message, graduation, n_marks = fit.sentence(), fit.graduation.name, fit.n_used
    return {
        "method": scale.method,
        "px_per_mm": px_per_mm,
        "sigma": px_per_mm * mm_per_px(scale, "").relative,
        "sure": isinstance(fit, RulerFit),
        "message": text(message),
        "fit": None if isinstance(fit, Refused) else fit.relative,
        "graduation": graduation,
        "n_marks": n_marks,
        "px_per_mm_ends": list(ends),
        "points": points_json(scale.points),
        "length_mm": scale.length_mm,
        "sigma_mm": scale.sigma_mm,
        "sigma_px": scale.sigma_px or CLICK_SIGMA_PX,
    }


def folds_json(count: FoldCount | Refused) -> dict[str, Any]:
    """Return a proposal of folds; a count has no doubt of its own, it is sure or not."""
    if isinstance(count, Refused):
        return {
            "main_folds": None,
            "end_folds": None,
            "sigma": None,
            "sure": False,
            "message": text(count.sentence),
            "check": [],
            "more": [],
            "folds": [],
            "margin": None,
            "transect": None,
        }
    return {
        "main_folds": len(count.main),
        "end_folds": len(count.ends),
        "sigma": None,
        "sure": count.sure,
        "message": text(count.sentence()),
        "check": list(count.check),
        "more": [_fold_json(number, one) for number, one in enumerate(count.more, 1)],
        "folds": [_fold_json(number, one) for number, one in enumerate(count.folds, 1)],
        "margin": _found_json(count.margin),
        "transect": _found_json(count.transect),
    }


def trace_json(found: TraceProposal | Refused) -> dict[str, Any]:
    """Return a traced line; ``sigma`` is its standard uncertainty square to itself, in px.

    It is never ``sure``, as nobody has looked at it; ``settled`` says whether following it
    anew hardly moved it.
    """
    if isinstance(found, Refused):
        return {
            "points": [],
            "closed": None,
            "length_px": None,
            "area_px": None,
            "sigma": None,
            "sure": False,
            "settled": False,
            "message": text(found.sentence),
            "anchors": [],
        }
    line, closed = found.points, found.traced.closed
    return {
        "points": points_json(line),
        "closed": closed,
        "length_px": path_length((*line, line[0]) if closed else line),
        "area_px": area(line) if closed else None,
        "sigma": found.sigma_px,
        "sure": found.sure,
        "settled": found.settled,
        "message": text(found.sentence()),
        "anchors": points_json([one.point for one in found.traced.anchors]),
    }


def points_json(points: Sequence[Point]) -> list[list[float]]:
    """Return points as pairs."""
    return [[point.x, point.y] for point in points]


def _fold_json(number: int, one: Fold) -> dict[str, Any]:
    return {
        "number": number,
        "point": [one.point.x, one.point.y],
        "kind": one.kind,
        "place": one.place,
        "height": one.height,
    }


def _found_json(found: Found | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {"main_folds": found.n_main, "clear": found.clear}
