"""A person's own placing doubt, in place of the usual one.

It is reckoned from blind repeats (:func:`landmarks.repeats.own_doubt`) and kept with the
person (:attr:`landmarks.collection.Person.doubt`), so that measuring ten thousand specimens
looks at no repeat at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from landmarks.placing import Placing
from landmarks.scheme import OUTLINE, PATH, View

OWN_ZOOM = 3.0
"""Beyond this zoom a larger picture makes no click surer (as in placing)."""

LEAST_PX = 0.5
"""Nobody places better than that, in pixels of the picture (as in placing)."""

BY_HAND = ("clicked", "nudged", "corrected")
"""Ways of placing that a person's own doubt speaks of."""


@dataclass(frozen=True, slots=True)
class OwnDoubt:
    """A person's own placing doubt of a coordinate, in pixels of the screen.

    Attributes
    ----------
    sigma
        From the root mean square of repeated clicks.
    n
        Points that were placed twice.
    error
        One standard error of sigma.
    by_landmark
        The same for each landmark that was placed twice at least five times.
    at
        When it was reckoned (UTC), or empty.
    """

    sigma: float
    n: int
    error: float
    by_landmark: Mapping[str, float] = field(default_factory=dict)
    at: str = ""
    extra: Mapping[str, object] = field(default_factory=dict)

    def sigma_px(self, zoom: float | None, landmark: str = "") -> float:
        """Return the doubt of a placing at a zoom, in pixels of the picture."""
        sigma = self.by_landmark.get(landmark, self.sigma)
        return max(LEAST_PX, sigma / seen_zoom(zoom))


Doubts = Mapping[str, OwnDoubt]
"""Own doubts by the id of the person."""


def with_own_doubt(
    placings: Iterable[Placing], doubts: Doubts, view: View | None = None
) -> tuple[Placing, ...]:
    """Return placings with the doubt of whoever placed them, where it is known.

    A doubt that stands with a placing stays, and so does that of a line or an outline, which
    is no point, and of what an instrument proposed.

    Parameters
    ----------
    view
        Tells points from lines; without it every landmark is taken for points.
    """
    return tuple(_with_own(one, doubts, view) for one in placings)


def seen_zoom(zoom: float | None) -> float:
    """Return the zoom that counts for the doubt of a click; 1 where it is not known."""
    return min(zoom, OWN_ZOOM) if zoom else 1.0


def _with_own(one: Placing, doubts: Doubts, view: View | None) -> Placing:
    own = doubts.get(one.person)
    if own is None or one.sigma_px is not None or one.how not in BY_HAND or not one.points:
        return one
    row = view.landmark(one.landmark) if view is not None else None
    if row is not None and row.kind in (PATH, OUTLINE):
        return one
    return replace(one, sigma_px=own.sigma_px(one.zoom, one.landmark))
