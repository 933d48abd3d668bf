"""Write the small collection of format 3 that every later version must open.

``python -m tests.old.write_format_3 FOLDER`` writes ``drawer.hingeline`` and ``drawer.json``.
The content is that of format 2; its first frame has a region, which the list keeps. The
files beside this script were written once, by the version that had format 3; they are not to
be written again.
"""

import sys
from dataclasses import replace
from pathlib import Path

from landmarks.documents import Whole
from landmarks.geometry import Box
from landmarks.specimen import Specimen
from tests.old import write_format_1 as first
from tests.old import write_format_2 as second

REGION = Box(120.5, 80.0, 900.0, 640.25)


def content() -> Whole:
    """Return everything the format can say, at least once."""
    whole = second.content()
    return replace(whole, specimens=tuple(map(_with_region, whole.specimens)))


def _with_region(one: Specimen) -> Specimen:
    if one.id != first.SHELL:
        return one
    frame, *others = one.frames
    return replace(one, frames=(replace(frame, region=REGION), *others))


def write(folder: Path) -> None:
    """Write both files into an empty folder."""
    second.write_of(folder, content())


if __name__ == "__main__":
    write(Path(sys.argv[1]))
