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
    "Assessment": "assessment",
    "Frame": "specimen",
    "Guide": "identification",
    "HingelineError": "errors",
    "MEASURES": "measures",
    "Observation": "specimen",
    "Picture": "collection",
    "Placing": "placing",
    "Point": "geometry",
    "Quantity": "units",
    "Sentence": "sentences",
    "Specimen": "specimen",
    "VIEWS": "scheme",
    "assess": "assessment",
    "compile_tables": "identification",
    "identify": "identification",
    "measure": "measures",
    "measure_words": "assessment",
    "open_sqlite": "storage",
    "percent": "sentences",
    "read_collection": "documents",
    "read_picture": "picture",
    "read_record": "documents",
    "read_tables": "tables",
    "text": "sentences",
    "two_points": "scale",
    "worked_example": "demo",
    "write_collection": "documents",
}

__all__ = [
    "MEASURES",
    "VIEWS",
    "Assessment",
    "Frame",
    "Guide",
    "HingelineError",
    "Observation",
    "Picture",
    "Placing",
    "Point",
    "Quantity",
    "Sentence",
    "Specimen",
    "__version__",
    "assess",
    "compile_tables",
    "identify",
    "measure",
    "measure_words",
    "open_sqlite",
    "percent",
    "read_collection",
    "read_picture",
    "read_record",
    "read_tables",
    "text",
    "two_points",
    "worked_example",
    "write_collection",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return sorted(__all__)
