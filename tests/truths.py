"""What the renderer knows of the example pictures: the truth beside each of them."""

import json
from functools import cache

from landmarks.demo import FOLDER


def truth_of(name):
    """Return the truth about a picture, named without its ending."""
    return json.loads((FOLDER / "truth" / f"{name}.json").read_text(encoding="utf-8"))


@cache
def frames_of(name):
    """Return the truth about a picture, and that of each frame: of itself where it is one."""
    truth = truth_of(name)
    return truth, truth.get("frames", [truth])
