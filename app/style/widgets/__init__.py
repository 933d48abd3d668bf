"""Small painted widgets used everywhere; they know nothing of the session.

All text is plain: what looks like a tag is shown as it stands.
"""

from app.style.widgets.band import Band
from app.style.widgets.bar import Bar
from app.style.widgets.beads import Beads, Has, paint_bead
from app.style.widgets.buttons import button, icon_button
from app.style.widgets.chip import Chip, Sign
from app.style.widgets.drawing import Drawing
from app.style.widgets.fields import number_field, text_field
from app.style.widgets.flow import FlowLayout
from app.style.widgets.keycap import KeyCap, paint_keycap
from app.style.widgets.label import Label
from app.style.widgets.nameplate import NameLabel, abbreviated, paint_name, runs
from app.style.widgets.notice import Notice
from app.style.widgets.plate import paint_plate, plate_size
from app.style.widgets.section import Section
from app.style.widgets.stepmap import Step, StepMap
from app.style.widgets.tile import Tile

__all__ = [
    "Band",
    "Bar",
    "Beads",
    "Chip",
    "Drawing",
    "FlowLayout",
    "Has",
    "KeyCap",
    "Label",
    "NameLabel",
    "Notice",
    "Section",
    "Sign",
    "Step",
    "StepMap",
    "Tile",
    "abbreviated",
    "button",
    "icon_button",
    "number_field",
    "paint_bead",
    "paint_keycap",
    "paint_name",
    "paint_plate",
    "plate_size",
    "runs",
    "text_field",
]
