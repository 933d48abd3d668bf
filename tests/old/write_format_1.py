"""Write the small collection of format 1 that every later version must open.

``python -m tests.old.write_format_1 FOLDER`` writes ``drawer.hingeline`` and ``drawer.json``.
The files beside this script were written once, by the version that had format 1; they are not
to be written again.
"""

import json
import sys
from contextlib import closing
from math import cos, pi, sin
from pathlib import Path
from uuid import UUID

from landmarks.changes import ChangeSet, Document, difference, reverse
from landmarks.documents import Whole, read_collection, write_collection
from landmarks.geometry import Point
from landmarks.sentences import Sentence
from landmarks.specimen import Specimen, parts_of
from landmarks.storage import Derived, Saved, Stamp, open_sqlite
from landmarks.storage.whole import changes_of

STAMP = Stamp(2, "tables of that day", "engine of that day")
SUMMARY = {"scale": True, "landmarks": 3}


def _id(number: int) -> str:
    return str(UUID(int=number, version=4))


ABOUT, ADA, BO, OUTSIDE, SHELL, LIVING, HINGE, ABOVE = (_id(n) for n in range(1, 9))
N_POINTS = 400


def content() -> dict:
    """Everything the format can say, at least once."""
    return {
        "format": 1,
        "collection": {
            "id": ABOUT,
            "name": "Port Maren Museum, drawer 12",
            "created": "2026-03-01T08:00:00Z",
            "room": "east",
        },
        "people": [
            {"id": ADA, "name": "Ada Quill", "researcher_id": "R-0012"},
            {"id": BO, "name": "Bo Marsh", "team": ["Halverson Reef survey"]},
        ],
        "pictures": [
            {
                "id": OUTSIDE,
                "path": "pictures/PMM 4711 outside.jpg",
                "file": {
                    "sha256": "5e" * 32,
                    "n_bytes": 2_345_678,
                    "width": 6000,
                    "height": 4000,
                    "orientation": 6,
                    "captured": "2026:02:28 14:03:07",
                    "zone": "+08:00",
                    "latitude": -8.25,
                    "longitude": 156.75,
                    "camera": "Maren K1",
                    "focal_35mm": 60,
                    "format": "JPEG",
                },
                "scale": {
                    "method": "two_points",
                    "points": [[412.5, 3710.25], [5012.75, 3716]],
                    "length_mm": 100,
                    "sigma_mm": 0.1,
                    "sigma_px": 0.75,
                    "person": ADA,
                    "at": "2026-03-01T08:01:00Z",
                    "ruler": "steel 7",
                },
                "camera": {"distance_mm": 600, "lens": "macro"},
                "rights": {
                    "creator": "Ada Quill",
                    "licence": "CC-BY-4.0",
                    "rights_holder": "Port Maren Museum",
                },
                "folder_note": "second shelf",
            }
        ],
        "specimens": [_shell(), _living()],
        "drawn_by": {"later": [1, 2.5, None, True]},
    }


def _shell() -> dict:
    turns = [2 * pi * n / N_POINTS for n in range(N_POINTS)]
    margin = [
        [round(3000 + 1800 * cos(t), 2), round(2000 + 1100 * sin(t) + 60 * sin(9 * t), 2)]
        for t in turns
    ]
    when = "2026-03-01T08:{:02}:00Z".format
    placing = {"frame": HINGE, "person": ADA, "zoom": 1.5}
    return {
        "id": SHELL,
        "label": {
            "catalogue_number": "PMM 4711",
            "locality": "Halverson Reef, “outer” slope",
            "collector": "Bo Marsh",
            "collected": "before 1990?",
            "depth": "4 fathoms",
            "habitat": "rubble",
            "verbatim": "Halv. R. 4 fms",
            "remarks": "chipped",
            "drawer": 12,
        },
        "region": "coral_triangle",
        "use_region": False,
        "origin": "trade",
        "condition": [{"kind": "worn", "zone": "umbo"}, {"kind": "polished"}],
        "where": {"customs_paper": "none"},
        "frames": [
            {
                "id": HINGE,
                "picture": OUTSIDE,
                "view": "outside_of_valve",
                "region": [100, 50.5, 5200, 3500],
                "part": "left_valve",
                "valves": "single",
                "lit_from": "left",
            },
            {"id": ABOVE, "picture": "", "view": "hinge_edge", "number": 1},
        ],
        "placings": [
            {
                "id": _id(20),
                "landmark": "umbo",
                "points": [[2811.25, 612]],
                "how": "nudged",
                "at": when(2),
                **placing,
            },
            {
                "id": _id(21),
                "landmark": "margin",
                "points": margin,
                "how": "proposal_accepted",
                "sigma_px": 2,
                "at": when(3),
                **placing,
            },
            {
                "id": _id(22),
                "landmark": "hinge_end",
                "reason": "broken",
                "occasion": "blind_repeat",
                "names_hidden": True,
                "at": when(4),
                "glasses": "off",
                **placing,
            },
        ],
        "observations": {
            "shell_length": [
                {
                    "id": _id(30),
                    "value": 152.5,
                    "sigma": 0.3,
                    "unit": "mm",
                    "method": "calliper",
                    "person": ADA,
                    "at": when(5),
                }
            ],
            "scutes": [
                {
                    "id": _id(31),
                    "state": "absent",
                    "sure": False,
                    "frame": HINGE,
                    "person": ADA,
                    "at": when(6),
                    "names_hidden": True,
                },
                {
                    "id": _id(32),
                    "hidden": "worn",
                    "frame": HINGE,
                    "person": BO,
                    "at": when(7),
                },
            ],
            "main_folds": [{"id": _id(33), "value": 5, "at_least": True, "at": when(8)}],
        },
        "determinations": [
            {
                "id": _id(40),
                "level": "group",
                "taxa": ["tridacna_maxima", "tridacna_noae"],
                "determiner": "Ada Quill",
                "person": ADA,
                "at": when(9),
            },
            {
                "id": _id(41),
                "level": "species",
                "taxa": ["tridacna_maxima"],
                "qualifier": "cf.",
                "determiner": "Bo Marsh",
                "person": BO,
                "at": when(10),
                "independent": True,
                "remarks": "after the hinge",
                "rested_on": [_id(20), _id(30)],
                "leading": "tridacna_maxima",
                "probability": 0.875,
                "tables_hash": "ab" * 32,
                "engine": "1",
                "in_ink": True,
            },
        ],
        "sketch": {"page": 4},
    }


def _living() -> dict:
    return {
        "id": LIVING,
        "observations": {"mantle_eyes": [{"id": _id(50), "state": "few"}]},
    }


def write(folder: Path) -> None:
    """Write both files into an empty folder."""
    raw = content()
    whole = read_collection(raw)
    path = folder / "drawer.hingeline"
    unpacked = folder / "drawer.unpacked.hingeline"
    with closing(open_sqlite(unpacked, create=True, about=whole.about)) as store:
        for deed in deeds(whole):
            answer = store.commit(deed)
            if not isinstance(answer, Saved):
                raise answer.error()
        store.keep_cache(
            Derived(Document("specimen", SHELL), STAMP, {"answer": "genus"}, SUMMARY)
        )
        store.copy_to(path)
    unpacked.unlink()
    text = json.dumps(write_collection(whole), ensure_ascii=False, indent=1)
    (folder / "drawer.json").write_text(text + "\n", encoding="utf-8")


def deeds(whole: Whole) -> list[ChangeSet]:
    """Return the history: everything comes in, a landmark moves and moves back, one goes."""
    shell = next(one for one in whole.specimens if one.id == SHELL)
    umbo = shell.placings[0]
    moved = shell.with_one(_at(umbo, Point(2800, 600)))
    lost = Specimen(_id(60))
    lost_document, document = Document("specimen", lost.id), Document("specimen", SHELL)
    words = Sentence("plain", {"words": "bring in the drawer"})
    come = ChangeSet(_id(70), words, changes_of(whole), ADA, "2026-03-01T09:00:00Z")
    move = ChangeSet(
        _id(71),
        Sentence("plain", {"words": "move umbo"}),
        difference(document, parts_of(shell), parts_of(moved)),
        BO,
        "2026-03-01T09:01:00Z",
        extra={"bench": "two"},
    )
    add = ChangeSet(
        _id(73),
        Sentence("plain", {"words": "add a specimen"}),
        difference(lost_document, {}, parts_of(lost)),
        at="2026-03-01T09:03:00Z",
    )
    return [
        come,
        move,
        reverse(move, id=_id(72), person=BO, at="2026-03-01T09:02:00Z"),
        add,
        reverse(add, id=_id(74), person=ADA, at="2026-03-01T09:04:00Z"),
    ]


def _at(placing, point):
    from dataclasses import replace

    return replace(placing, points=(point,))


if __name__ == "__main__":
    write(Path(sys.argv[1]))
