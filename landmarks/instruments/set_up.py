"""The scale of one picture carried over to the next one of the same set-up, where it may be.

Size, camera and focal length must agree, and four points hold only where they were clicked.
What a file does not tell is not held against it, but said. The scale keeps what was told of
the set-up on its way, so that no silent picture in between hands it on to another camera.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from landmarks.instruments.refusal import Refused
from landmarks.picture import PictureFile
from landmarks.scale import Scale
from landmarks.scale import carried_over as carried
from landmarks.sentences import Number, Sentence


def carried_over(
    scale: Scale, origin: str, source: PictureFile, target: PictureFile
) -> Scale | Refused:
    """Return the scale of one picture for another of the same set-up, or why not.

    The doubt grows by what may have happened to the set-up in between.

    Parameters
    ----------
    origin
        Id of the picture that has the scale.
    """
    first, here = _facts_kept(scale, source), _facts_of(target)
    fault = _fault(scale, first, source, target)
    if fault is not None:
        return Refused(fault)
    kept = {key: first[key] or here[key] for key in here}
    return replace(carried(scale, origin), extra={**scale.extra, _KEY: kept})


def not_compared(scale: Scale, source: PictureFile, target: PictureFile) -> Sentence | None:
    """Say what could not be compared because not both pictures tell it; None: nothing.

    Parameters
    ----------
    scale
        That of the source, before it was carried over.
    """
    first, here = _facts_kept(scale, source), _facts_of(target)
    camera = bool(first["camera"] and here["camera"])
    focal = any(first[key] and here[key] for key in _CHANGED)
    if camera and focal:
        return None
    what = "both" if not camera and not focal else "camera" if focal else "focal"
    return Sentence("carried.untold", {"what": Sentence(f"carried.untold.{what}")})


_KEY = "set_up"

_CHANGED = {"focal_35mm": 0.5, "focal_mm": 0.0}
"""By more than so many mm, and half a per cent, a focal length is another one: on a 36 x 24 mm
frame files tell whole millimetres (common practice, no source)."""

_Facts = Mapping[str, object]


def _facts_of(file: PictureFile) -> _Facts:
    return {
        "camera": file.camera,
        "focal_35mm": file.focal_35mm,
        "focal_mm": file.focal_mm,
        "orientation": file.orientation,
    }


def _facts_kept(scale: Scale, source: PictureFile) -> _Facts:
    """Return what pictures told on the way of the scale, the earliest first."""
    kept, here = scale.extra.get(_KEY), _facts_of(source)
    if not isinstance(kept, Mapping):
        return here
    return {key: kept.get(key) or here[key] for key in here}


def _fault(
    scale: Scale, first: _Facts, source: PictureFile, target: PictureFile
) -> Sentence | None:
    """Return why a scale holds on another picture no more; None where it may."""
    sizes = (source.width, source.height), (target.width, target.height)
    if sizes[0] != sizes[1]:
        key = "carried.side" if sizes[0] == sizes[1][::-1] else "carried.size"
        words = [f"{width} × {height}" for width, height in sizes]
        return Sentence(key, {"from": words[0], "to": words[1]})
    here = _facts_of(target)
    if first["camera"] and here["camera"] and first["camera"] != here["camera"]:
        values = {"from": str(first["camera"]), "to": target.camera}
        return Sentence("carried.camera", values)
    for key, most in _CHANGED.items():
        was, now = first[key], here[key]
        if not isinstance(was, int | float) or not isinstance(now, int | float):
            continue
        if abs(now - was) > max(most, 0.005 * was):
            return Sentence("carried.focal", {"from": Number(was), "to": Number(now)})
    if "plane" in scale.extra and first["orientation"] != here["orientation"]:
        return Sentence("carried.turned")
    return None
