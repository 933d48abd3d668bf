"""What people do to what is on the bench: each deed one function, named for undo.

A deed makes the new value of a specimen or a picture and hands it to the session, which turns
it into one change set.
"""

from app.session.deeds.frames import LABEL, add_label_frame, copy_frames, reshaped
from app.session.deeds.landmarks import (
    arm,
    cannot_place,
    clear_landmark,
    delete_mark,
    finish_series,
    move,
    moved,
    nudge,
    place,
)
from app.session.deeds.pictures import (
    add_picture_to_specimen,
    add_pictures,
    add_pictures_to_specimen,
    add_specimen_on_picture,
    remove_frame,
    remove_specimen,
    set_label,
    set_part,
    set_region,
    set_state,
    set_view,
    set_where,
)
from app.session.deeds.proposals import Accepted, accept, accepted
from app.session.deeds.scale import (
    carry_over_scale,
    check_length,
    correct_scale,
    remove_scale,
    set_camera_distance,
    set_scale,
    set_setup,
)
from app.session.deeds.seen import (
    cannot_be_seen,
    character_name,
    determine,
    score,
    supposed,
    type_measure,
    unsee,
)

__all__ = [
    "LABEL",
    "Accepted",
    "accept",
    "accepted",
    "add_label_frame",
    "add_picture_to_specimen",
    "add_pictures",
    "add_pictures_to_specimen",
    "add_specimen_on_picture",
    "arm",
    "cannot_be_seen",
    "cannot_place",
    "carry_over_scale",
    "character_name",
    "check_length",
    "clear_landmark",
    "copy_frames",
    "correct_scale",
    "delete_mark",
    "determine",
    "finish_series",
    "move",
    "moved",
    "nudge",
    "place",
    "remove_frame",
    "remove_scale",
    "remove_specimen",
    "reshaped",
    "score",
    "set_camera_distance",
    "set_label",
    "set_part",
    "set_region",
    "set_scale",
    "set_setup",
    "set_state",
    "set_view",
    "set_where",
    "supposed",
    "type_measure",
    "unsee",
]
