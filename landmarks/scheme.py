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

POINT, SERIES = "point", "series"


@dataclass(frozen=True, slots=True)
class Landmark:
    """A defined point, or a series of points, of one view.

    Attributes
    ----------
    key, letter
        Its word in records, its letter on screen.
    kind
        ``"point"`` or ``"series"``.
    height, height_sigma
        Typical height above the ruler and its doubt, as a share of shell length: the ruler
        beside a valve that lies on its margin, or at the ends of a pair seen from the hinge
        (ours, from rendered shells; no source).
    living
        Whether it exists on a living animal.
    may_be_none
        Whether *there is none* is an answer with the value zero: ``"closed"`` or ``"none"``.

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


@dataclass(frozen=True, slots=True)
class View:
    """One way of looking at a specimen, and the scheme of landmarks it asks for."""

    key: str
    living: bool = False
    landmarks: tuple[Landmark, ...] = ()

    def landmark(self, key: str) -> Landmark | None:
        """Return one of its landmarks, or None."""
        return next((one for one in self.landmarks if one.key == key), None)


# fmt: off
_OUTSIDE = (
    Landmark("byssal_end",     "B", height=0.02, height_sigma=0.03),
    Landmark("ligament_end",   "L", height=0.02, height_sigma=0.03),
    Landmark("umbo",           "U", height=0.05, height_sigma=0.05),
    Landmark("upper_margin",   "M", height=0.02, height_sigma=0.03),
    Landmark("hinge_byssal",   "H", height=0.00, height_sigma=0.03),
    Landmark("hinge_ligament", "K", height=0.00, height_sigma=0.03),
    Landmark("main_folds",     "F", SERIES, may_be_none="none"),
    Landmark("end_folds",      "E", SERIES, may_be_none="none"),
)
_HINGE_EDGE = (
    Landmark("byssal_end",           "B", height_sigma=0.08),
    Landmark("ligament_end",         "L", height_sigma=0.08),
    Landmark("hinge_byssal",         "H", height=0.20, height_sigma=0.08),
    Landmark("hinge_ligament",       "K", height=0.20, height_sigma=0.08),
    Landmark("byssal_opening_hinge", "O", height=0.20, height_sigma=0.08, may_be_none="closed"),
    Landmark("byssal_opening_far",   "P", height=0.16, height_sigma=0.08, may_be_none="closed"),
)
_LIVING_FROM_ABOVE = (
    Landmark("margin_byssal_end",   "B", height_sigma=0.05, living=True),
    Landmark("margin_ligament_end", "L", height_sigma=0.05, living=True),
    Landmark("main_folds",          "F", SERIES, living=True, may_be_none="none"),
)
VIEWS: Mapping[str, View] = MappingProxyType({view.key: view for view in (
    View("outside_of_valve", landmarks=_OUTSIDE),
    View("inside_of_valve"),
    View("upper_margin"),
    View("hinge_edge", landmarks=_HINGE_EDGE),
    View("underside"),
    View("end"),
    View("living_from_above", living=True, landmarks=_LIVING_FROM_ABOVE),
    View("living_from_side", living=True),
    View("living_inhalant_opening", living=True),
    View("living_mantle_edge", living=True),
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
