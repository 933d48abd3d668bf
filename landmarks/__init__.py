"""The Qt-free core of Hingeline: from a picture to a measured, reasoned name.

The names below are the front door; each is looked up when it is first used, so importing this
package loads nothing heavy.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from landmarks.assessment import Assessment, assess, measure_words
    from landmarks.collection import Picture
    from landmarks.demo import worked_example
    from landmarks.documents import read_collection, read_record, write_collection
    from landmarks.errors import HingelineError
    from landmarks.geometry import Point
    from landmarks.identification import Guide, compile_tables, identify
    from landmarks.instruments.crops import Crops
    from landmarks.instruments.fold_agreement import count_folds
    from landmarks.instruments.folds import folds_of_margin, folds_of_transect
    from landmarks.instruments.pixels import read_window
    from landmarks.instruments.plane import Plane, plane_of, straight_points
    from landmarks.instruments.plane import scale_of as plane_scale
    from landmarks.instruments.proposed import propose_trace
    from landmarks.instruments.refusal import Refused
    from landmarks.instruments.ruler import fit_ruler
    from landmarks.instruments.ruler import scale_of as ruler_scale
    from landmarks.instruments.trace import Anchor, Traced, trace
    from landmarks.measures import MEASURES, measure
    from landmarks.picture import read_picture
    from landmarks.placing import Placing
    from landmarks.scale import two_points
    from landmarks.scheme import VIEWS
    from landmarks.sentences import Sentence, percent, text
    from landmarks.specimen import Frame, Observation, Specimen
    from landmarks.storage import open_sqlite
    from landmarks.tables import read_tables
    from landmarks.units import Quantity

__version__ = "0.1.0"

_HOMES = {
    "Anchor": "instruments.trace",
    "Assessment": "assessment",
    "Crops": "instruments.crops",
    "Frame": "specimen",
    "Guide": "identification",
    "HingelineError": "errors",
    "MEASURES": "measures",
    "Observation": "specimen",
    "Picture": "collection",
    "Placing": "placing",
    "Plane": "instruments.plane",
    "Point": "geometry",
    "Quantity": "units",
    "Refused": "instruments.refusal",
    "Sentence": "sentences",
    "Specimen": "specimen",
    "Traced": "instruments.trace",
    "VIEWS": "scheme",
    "assess": "assessment",
    "compile_tables": "identification",
    "count_folds": "instruments.fold_agreement",
    "fit_ruler": "instruments.ruler",
    "folds_of_margin": "instruments.folds",
    "folds_of_transect": "instruments.folds",
    "identify": "identification",
    "measure": "measures",
    "measure_words": "assessment",
    "open_sqlite": "storage",
    "percent": "sentences",
    "plane_of": "instruments.plane",
    "plane_scale": "instruments.plane",
    "propose_trace": "instruments.proposed",
    "read_collection": "documents",
    "read_picture": "picture",
    "read_record": "documents",
    "read_tables": "tables",
    "read_window": "instruments.pixels",
    "ruler_scale": "instruments.ruler",
    "straight_points": "instruments.plane",
    "text": "sentences",
    "trace": "instruments.trace",
    "two_points": "scale",
    "worked_example": "demo",
    "write_collection": "documents",
}

_NAMED_THERE = {"plane_scale": "scale_of", "ruler_scale": "scale_of"}
"""What is called otherwise in its own module, where nothing else is meant."""

__all__ = [
    "MEASURES",
    "VIEWS",
    "Anchor",
    "Assessment",
    "Crops",
    "Frame",
    "Guide",
    "HingelineError",
    "Observation",
    "Picture",
    "Placing",
    "Plane",
    "Point",
    "Quantity",
    "Refused",
    "Sentence",
    "Specimen",
    "Traced",
    "__version__",
    "assess",
    "compile_tables",
    "count_folds",
    "fit_ruler",
    "folds_of_margin",
    "folds_of_transect",
    "identify",
    "measure",
    "measure_words",
    "open_sqlite",
    "percent",
    "plane_of",
    "plane_scale",
    "propose_trace",
    "read_collection",
    "read_picture",
    "read_record",
    "read_tables",
    "read_window",
    "ruler_scale",
    "straight_points",
    "text",
    "trace",
    "two_points",
    "worked_example",
    "write_collection",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    home = import_module(f"{__name__}.{_HOMES[name]}")
    return getattr(home, _NAMED_THERE.get(name, name))


def __dir__() -> list[str]:
    return sorted(__all__)
