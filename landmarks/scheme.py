r"""The views of a specimen and the landmarks each of them asks for.

::

                 M  upper margin
              F _/\_ F
           _/\/     \/\_
      L  (               )  B        outside of a left valve:
   ligament \           / byssal     upper margin up,
      end     \       /     end      ligament end at your left
           K ---\_U_/--- H
     hinge, ligament   hinge, byssal
          side    umbo    side

The letters are the ones used in code, on screen and in the report.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from landmarks.errors import UnknownWordError

POINT, SERIES, PATH, OUTLINE = "point", "series", "path", "outline"


@dataclass(frozen=True, slots=True)
class Landmark:
    """A defined point, series of points, path or outline of one view.

    Attributes
    ----------
    key, letter
        Its word in records, its letter on screen.
    kind
        ``"point"``, ``"series"`` (points that are counted), ``"path"`` (a line followed from
        end to end) or ``"outline"`` (a closed one).
    height, height_sigma
        Typical height above the ruler and its doubt from shell to shell, as a share of the
        greatest span of the landmarks of the frame, which nearly always is shell length
        (ours, from rendered shells; no source).
    living
        Whether it exists on a living animal.
    may_be_none
        Whether *there is none* is an answer with the value zero: ``"closed"`` or ``"none"``.
    optional
        It is asked last and a frame is complete without it.

    Name and definition stand in the catalogue: ``landmark.<key>.name``,
    ``landmark.<view>.<key>.definition``.
    """

    key: str
    letter: str
    kind: str = POINT
    height: float = 0.0
    height_sigma: float = 0.03
    living: bool = False
    may_be_none: str = ""
    optional: bool = False

    @property
    def grows(self) -> bool:
        """Return whether it takes one point after the other until it is left."""
        return self.kind != POINT


@dataclass(frozen=True, slots=True)
class View:
    """One way of looking at a specimen, and the scheme of landmarks it asks for.

    ``lie_sigma`` is by how much all landmarks together may lie higher or lower than is
    typical, as a share of their span; ``lean_sigma`` by how much the specimen leans against
    the plane of the ruler, each way, in radians. Both belong to this one picture: laid down
    anew, the same shell lies otherwise.

    Heights are parted so because landmarks do not lie high or low each for itself: taken as
    independent, they made ratios look half as sure as they are, for what lifts a whole shell
    lifts both sides of a ratio. Settled on 2,000 invented valves lying on their margins; on
    2,500 others the 95 % intervals of length, height and both ratios hold the truth in 94.6
    to 96.8 %, with the distance of the camera told or not (``tests/benchmarks/lengths.py``).
    The views other than the outside of a valve rest on a few rendered pictures each; where
    the ruler lies on the table or on a block decides there, so their lie is wide.
    """

    key: str
    living: bool = False
    landmarks: tuple[Landmark, ...] = ()
    lie_sigma: float = 0.02
    lean_sigma: float = 0.035

    @property
    def required(self) -> tuple[Landmark, ...]:
        """Return the landmarks without which a frame is not complete."""
        return tuple(one for one in self.landmarks if not one.optional)

    def landmark(self, key: str) -> Landmark | None:
        """Return one of its landmarks, or None."""
        return next((one for one in self.landmarks if one.key == key), None)


# fmt: off
_OUTSIDE = (
    Landmark("byssal_end",     "B", height=0.024, height_sigma=0.013),
    Landmark("ligament_end",   "L", height=0.029, height_sigma=0.013),
    Landmark("umbo",           "U", height=0.034, height_sigma=0.023),
    Landmark("upper_margin",   "M", height=0.033, height_sigma=0.014),
    Landmark("hinge_byssal",   "H", height=0.015, height_sigma=0.006),
    Landmark("hinge_ligament", "K", height=0.015, height_sigma=0.006),
    Landmark("main_folds",     "F", SERIES, may_be_none="none"),
    Landmark("end_folds",      "E", SERIES, may_be_none="none"),
    Landmark("upper_margin_line", "W", PATH, height=0.03, optional=True),
    Landmark("scutes",      "S", SERIES, height=0.20, height_sigma=0.06, may_be_none="none",
             optional=True),
    Landmark("scute_left",  "C", height=0.20, height_sigma=0.06, optional=True),
    Landmark("scute_right", "D", height=0.20, height_sigma=0.06, optional=True),
    Landmark("valve_outline", "A", OUTLINE, height=0.03, optional=True),
)
_INSIDE = (
    Landmark("byssal_end",     "B", height=0.05, height_sigma=0.03),
    Landmark("ligament_end",   "L", height=0.05, height_sigma=0.03),
    Landmark("umbo",           "U", height=0.05, height_sigma=0.03),
    Landmark("upper_margin",   "M", height=0.05, height_sigma=0.03),
    Landmark("hinge_byssal",   "H", height=0.09, height_sigma=0.03),
    Landmark("hinge_ligament", "K", height=0.09, height_sigma=0.03),
    Landmark("main_folds",     "F", SERIES, height=0.05, height_sigma=0.03, may_be_none="none"),
    Landmark("end_folds",      "E", SERIES, height=0.07, height_sigma=0.03, may_be_none="none"),
    Landmark("valve_outline",  "A", OUTLINE, height=0.05, height_sigma=0.03, optional=True),
)
_UPPER_MARGIN = (
    Landmark("byssal_end",   "B", height=0.03, height_sigma=0.05),
    Landmark("ligament_end", "L", height=0.03, height_sigma=0.05),
    Landmark("main_folds",   "F", SERIES, height=0.26, height_sigma=0.06, may_be_none="none"),
    Landmark("margin_left",  "X", PATH, height=0.27, height_sigma=0.06, optional=True),
    Landmark("margin_right", "Z", PATH, height=0.27, height_sigma=0.06, optional=True),
)
_HINGE_EDGE = (
    Landmark("byssal_end",           "B", height=0.015, height_sigma=0.05),
    Landmark("ligament_end",         "L", height=0.015, height_sigma=0.05),
    Landmark("hinge_byssal",         "H", height=0.23, height_sigma=0.06),
    Landmark("hinge_ligament",       "K", height=0.23, height_sigma=0.06),
    Landmark("byssal_opening_hinge", "O", height=0.23, height_sigma=0.06, may_be_none="closed"),
    Landmark("byssal_opening_far",   "P", height=0.20, height_sigma=0.06, may_be_none="closed"),
)
_UNDERSIDE = (
    Landmark("byssal_opening_hinge", "O", height=0.40, height_sigma=0.10, may_be_none="closed"),
    Landmark("byssal_opening_far",   "P", height=0.40, height_sigma=0.10, may_be_none="closed"),
    Landmark("opening_width_a",      "R", height=0.45, height_sigma=0.10, may_be_none="closed"),
    Landmark("opening_width_b",      "S", height=0.45, height_sigma=0.10, may_be_none="closed"),
    Landmark("byssal_opening", "A", OUTLINE, height=0.43, height_sigma=0.10,
             may_be_none="closed", optional=True),
    Landmark("byssal_end",           "B", height=0.35, height_sigma=0.15, optional=True),
    Landmark("ligament_end",         "L", height=-0.30, height_sigma=0.15, optional=True),
)
_END = (
    Landmark("width_left",   "C", height=0.02, height_sigma=0.06),
    Landmark("width_right",  "D", height=0.02, height_sigma=0.06),
    Landmark("umbo",         "U", height=0.04, height_sigma=0.06),
    Landmark("upper_margin", "M", height=0.06, height_sigma=0.06),
)
_LIVING_FROM_ABOVE = (
    Landmark("margin_byssal_end",   "B", height_sigma=0.05, living=True),
    Landmark("margin_ligament_end", "L", height_sigma=0.05, living=True),
    Landmark("main_folds",          "F", SERIES, living=True, may_be_none="none"),
    Landmark("inhalant_near", "I", height_sigma=0.05, living=True, optional=True),
    Landmark("inhalant_far",  "J", height_sigma=0.05, living=True, optional=True),
    Landmark("mantle_near",   "N", height_sigma=0.05, living=True, optional=True),
    Landmark("mantle_far",    "Q", height_sigma=0.05, living=True, optional=True),
)
_LIVING_FROM_SIDE = (
    Landmark("margin_byssal_end",   "B", height_sigma=0.08, living=True),
    Landmark("margin_ligament_end", "L", height_sigma=0.08, living=True),
    Landmark("main_folds",          "F", SERIES, living=True, may_be_none="none"),
)
_INHALANT_OPENING = (
    Landmark("inhalant_near", "I", height_sigma=0.05, living=True),
    Landmark("inhalant_far",  "J", height_sigma=0.05, living=True),
    Landmark("mantle_near",   "N", height_sigma=0.05, living=True, optional=True),
    Landmark("mantle_far",    "Q", height_sigma=0.05, living=True, optional=True),
    Landmark("tentacles", "T", SERIES, height_sigma=0.05, living=True, may_be_none="none",
             optional=True),
    Landmark("opening",   "A", OUTLINE, height_sigma=0.05, living=True, optional=True),
)
_MANTLE_EDGE = (
    Landmark("edge", "G", PATH, height_sigma=0.05, living=True),
    Landmark("eyes", "Y", SERIES, height_sigma=0.05, living=True, may_be_none="none"),
)
VIEWS: Mapping[str, View] = MappingProxyType({view.key: view for view in (
    View("outside_of_valve", landmarks=_OUTSIDE, lie_sigma=0.014),
    View("inside_of_valve", landmarks=_INSIDE, lie_sigma=0.12),
    View("upper_margin", landmarks=_UPPER_MARGIN, lie_sigma=0.05),
    View("hinge_edge", landmarks=_HINGE_EDGE, lie_sigma=0.05),
    View("underside", landmarks=_UNDERSIDE, lie_sigma=0.05),
    View("end", landmarks=_END, lie_sigma=0.08),
    View("living_from_above", living=True, landmarks=_LIVING_FROM_ABOVE, lean_sigma=0.1),
    View("living_from_side", living=True, landmarks=_LIVING_FROM_SIDE, lean_sigma=0.1),
    View("living_inhalant_opening", living=True, landmarks=_INHALANT_OPENING, lean_sigma=0.1),
    View("living_mantle_edge", living=True, landmarks=_MANTLE_EDGE, lean_sigma=0.1),
    View("label"),
)})
# fmt: on

PARTS = ("left_valve", "right_valve", "valve", "joined_pair", "loose_pair", "fragment")
MANTLES = ("extended", "partly", "withdrawn", "none")
VALVES = ("shut", "as_in_life", "sprung", "single")


def view(key: str) -> View:
    """Return a view by key.

    Raises
    ------
    UnknownWordError
        If there is no such view; the nearest one is named.
    """
    try:
        return VIEWS[key]
    except KeyError:
        from difflib import get_close_matches

        near = get_close_matches(key, VIEWS, n=1, cutoff=0.0)[0]
        raise UnknownWordError("view.unknown", found=key, nearest=near) from None
