"""Rendered specimens: pictures of invented giant clams, every measure exactly known.

A development tool: it makes the example pictures (``python -m tests.rendering``) and gives
tests and studies shells to measure, at small size and within seconds.
"""

from .body import Animal
from .living import render_living
from .pairs import render_pair
from .truth import Rendered
from .views import Laid, Setup, Specimen, render_outside, render_table

__all__ = [
    "Animal",
    "Laid",
    "Rendered",
    "Setup",
    "Specimen",
    "render_living",
    "render_outside",
    "render_pair",
    "render_table",
]
