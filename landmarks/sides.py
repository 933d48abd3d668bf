"""Which valve is it? Left and right, told from where four landmarks lie.

Outside towards you, upper margin up, ligament end at your left: a left valve. However the
picture is turned, the way from the ligament end to the byssal end stays on the same side of
the way up; only the other valve, the inside, or a mirror exchanges them.
"""

from __future__ import annotations

from collections.abc import Mapping

from landmarks.geometry import Point
from landmarks.placing import Placing
from landmarks.sentences import Sentence, word
from landmarks.specimen import Frame

LEFT, RIGHT = "left_valve", "right_valve"

_FROM_BEHIND: Mapping[str, bool] = {"outside_of_valve": False, "inside_of_valve": True}
"""Views that show one valve, and whether it is seen from behind."""

_ACROSS = (("ligament_end", "byssal_end"), ("hinge_ligament", "hinge_byssal"))
_UP = (
    (("umbo",), ("upper_margin",)),
    (("hinge_ligament", "hinge_byssal"), ("upper_margin",)),
    (("umbo",), ("ligament_end", "byssal_end")),
    (("ligament_end", "byssal_end"), ("upper_margin",)),
)
"""Ways that lead up, the surest first; of two landmarks the middle is meant."""

_FLAT = 0.2
"""Two ways nearer to one line than by this sine tell nothing (ours)."""


def valve_of(placings: Mapping[str, Placing], view: str) -> str | None:
    """Return ``"left_valve"`` or ``"right_valve"``, or None where it cannot be told.

    A pair of ends, or both sides of the hinge, tell which way is across; umbo, upper margin
    or their like which way is up. Where ends and hinge say the opposite, nothing is told.

    Parameters
    ----------
    placings
        By landmark, as :meth:`landmarks.specimen.Specimen.placed` gives them.
    """
    if view not in _FROM_BEHIND:
        return None
    up = next((way for pair in _UP if (way := _way(placings, *pair))), None)
    across = [_way(placings, (start,), (end,)) for start, end in _ACROSS]
    turns = {_turn(way, up) for way in across if way and up}
    if len(turns) != 1 or 0 in turns:
        return None
    ligament_at_left = turns == {1}
    return LEFT if ligament_at_left != _FROM_BEHIND[view] else RIGHT


def contradiction(frame: Frame, placings: Mapping[str, Placing]) -> Sentence | None:
    """Return a sentence where the landmarks say the other valve than the record, else None.

    The picture may be mirrored, the valve misnamed, or the two ends exchanged.
    """
    found = valve_of(placings, frame.view)
    if frame.part not in (LEFT, RIGHT) or found is None or found == frame.part:
        return None
    return Sentence(
        "sides.contradict", {"said": word("part", frame.part), "found": word("part", found)}
    )


def _way(
    placings: Mapping[str, Placing], start: tuple[str, ...], end: tuple[str, ...]
) -> Point | None:
    a, b = _middle(placings, start), _middle(placings, end)
    return Point(b.x - a.x, b.y - a.y) if a and b and a != b else None


def _middle(placings: Mapping[str, Placing], keys: tuple[str, ...]) -> Point | None:
    points = [
        placings[key].points[0] for key in keys if key in placings and placings[key].points
    ]
    if len(points) < len(keys):
        return None
    return Point(
        sum(p.x for p in points) / len(points), sum(p.y for p in points) / len(points)
    )


def _turn(across: Point, up: Point) -> int:
    """Return 1 where up lies counterclockwise of across on screen, -1 clockwise, 0 neither."""
    cross = across.x * up.y - across.y * up.x
    lengths = (across.x**2 + across.y**2) * (up.x**2 + up.y**2)
    if cross * cross <= _FLAT**2 * lengths:
        return 0
    return 1 if cross < 0 else -1
