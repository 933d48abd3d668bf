"""The example pictures: what is on them, and the files beside them."""

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from .demo_living import branched_opening, in_burrow, mantle_edge, smooth_opening
from .demo_pairs import (
    closed_pair,
    closed_underside,
    end_of_pair,
    gaping_pair,
    open_underside,
)
from .demo_valves import drawer, from_side, inside, umbo_up, worn, young
from .light import Lamp
from .living import render_living
from .pairs import render_pair
from .ruler import Ruler
from .specimens import BLOTCHED, DEEP_FOLDED, ELONGATE, FLUTED, LIVING, LOW_FOLDED, PAIR
from .truth import Rendered
from .views import Laid, Setup, render_outside, render_table

FOLDER = Path(__file__).resolve().parents[2] / "demo_images"
LICENCE = "MIT, as the project"
MADE = "rendered, invented specimen; not a photograph"


@dataclass(frozen=True)
class Demo:
    """One example picture: its story, when it says it was taken, and how it is made."""

    name: str
    view: str
    story: str
    taken: str
    seed: int
    make: Callable[[int], Rendered]
    quality: int = 90


def _fluted(seed: int) -> Rendered:
    return render_outside(
        FLUTED, 1800, seed, Setup(field_mm=228.0), centre_mm=(0.0, 13.0), oversample=1.5
    )


def _pair(seed: int) -> Rendered:
    setup = Setup(field_mm=206.0, ground="foam", ruler_turn_deg=0.8)
    return render_pair(
        PAIR,
        "hinge_edge",
        1800,
        seed,
        setup,
        turn_deg=-3.0,
        centre_mm=(0.0, 21.0),
        ends_above_table_mm=34.0,
        oversample=1.5,
    )


def _living(seed: int) -> Rendered:
    return render_living(LIVING, 1800, seed, field_mm=208.0, oversample=1.3)


def _elongate(seed: int) -> Rendered:
    black = Ruler(
        (0.0, 0.0), body=(30, 30, 31), ink=(222, 220, 212), gloss=0.25, width_mm=26.0
    )
    setup = Setup(
        field_mm=228.0,
        ground="sand",
        ruler=black,
        ruler_turn_deg=-5.0,
        lamp=Lamp(azimuth_deg=55.0, elevation_deg=41.0),
    )
    return render_outside(
        ELONGATE,
        1800,
        seed,
        setup,
        valve="right",
        turn_deg=-9.0,
        centre_mm=(-2.0, 14.0),
        oversample=1.5,
    )


def _deep_folded(seed: int) -> Rendered:
    setup = Setup(field_mm=246.0, ground="wood", ruler_turn_deg=2.0, tilt_deg=(1.5, 0.0))
    return render_outside(
        DEEP_FOLDED, 1800, seed, setup, turn_deg=6.0, centre_mm=(0.0, 14.0), oversample=1.5
    )


def _three(seed: int) -> Rendered:
    laid = [
        Laid(DEEP_FOLDED, "left", 4.0, (-80.0, 27.0)),
        Laid(BLOTCHED, "right", -7.0, (88.0, 46.0)),
        Laid(LOW_FOLDED, "right", 10.0, (106.0, -58.0)),
    ]
    setup = Setup(
        field_mm=344.0,
        ground="tray",
        distance_mm=1000.0,
        ruler=Ruler((-150.0, -80.0), 1.2, length_mm=200),
    )
    return render_table(laid, 2000, seed, setup, oversample=1.4)


DEMOS = (
    Demo(
        "fluted-valve-outside",
        "outside_of_valve",
        "Left valve of a fluted shell on dark blue felt in a drawer of the Port Maren "
        "Museum, ruler below. Large, widely spaced scutes; five main folds and two end "
        "folds.",
        "2024:03:12 10:41:07",
        21,
        _fluted,
    ),
    Demo(
        "paired-valves-hinge-edge",
        "hinge_edge",
        "Closed pair from the Port Maren Museum, bedded in foam with the upper margin down "
        "and seen from the hinge: ligament, both umbones and the byssal opening. "
        "The ruler lies on a wooden block at about the height of the ends of the shell.",
        "2024:03:12 11:05:52",
        3,
        _pair,
    ),
    Demo(
        "living-from-above",
        "living_from_above",
        "Living clam of the Halverson Reef survey, wedged in reef rock, mantle extended: "
        "inhalant opening lined with small tentacles, exhalant cone, a dense row of eyes. "
        "No scale.",
        "2024:05:03 18:09:31",
        12,
        _living,
        88,
    ),
    Demo(
        "elongate-valve-outside",
        "outside_of_valve",
        "Right valve of an elongate shell on sand, turned, with a black ruler. Low, "
        "crowded scutes; the umbo nearer to the byssal end.",
        "2024:03:14 09:22:40",
        5,
        _elongate,
        85,
    ),
    Demo(
        "deep-folded-valve-outside",
        "outside_of_valve",
        "Left valve with four deep folds and no scutes on an oiled board; the camera leans "
        "by one and a half degrees, as a hand does.",
        "2024:03:14 09:48:15",
        6,
        _deep_folded,
        88,
    ),
    Demo(
        "three-valves-on-tray",
        "outside_of_valve",
        "Three valves of different kinds on one tray with one ruler: three frames.",
        "2024:03:15 14:02:26",
        7,
        _three,
    ),
    Demo(
        "closed-pair-upper-margin",
        "upper_margin",
        "Tightly shut pair of the Port Maren Museum from above its upper margin: folds of "
        "one valve stand in the valleys of the other. The ruler lies on a block.",
        "2024:03:18 09:31:20",
        81,
        closed_pair,
    ),
    Demo(
        "gaping-pair-upper-margin",
        "upper_margin",
        "Pair of two valves that never belonged together, from above: fold stands against "
        "fold, and gaps remain between them.",
        "2024:03:18 09:52:44",
        82,
        gaping_pair,
        86,
    ),
    Demo(
        "wide-opening-underside",
        "underside",
        "Underside of a small pair that bored into rock: wide byssal opening beside the "
        "hinge.",
        "2024:03:18 10:15:02",
        83,
        open_underside,
        88,
    ),
    Demo(
        "closed-underside",
        "underside",
        "Underside of a blotched pair without byssal opening: the edges interlock in small "
        "plicae.",
        "2024:03:18 10:28:37",
        84,
        closed_underside,
        88,
    ),
    Demo(
        "pair-end",
        "end",
        "Pair from its byssal end: the width of the shell, scutes on both sides.",
        "2024:03:18 10:44:09",
        85,
        end_of_pair,
    ),
    Demo(
        "smooth-inhalant-opening",
        "living_inhalant_opening",
        "Close-up of the inhalant opening of a clam of the Halverson Reef survey: smooth "
        "rim, gills in sight, the exhalant cone at the other side. No scale.",
        "2024:05:04 09:12:50",
        86,
        smooth_opening,
        84,
    ),
    Demo(
        "branched-inhalant-opening",
        "living_inhalant_opening",
        "Close-up of an inhalant opening with large, branched tentacles; Halverson Reef "
        "survey. No scale.",
        "2024:05:04 09:40:18",
        87,
        branched_opening,
        84,
    ),
    Demo(
        "mantle-edge-with-eyes",
        "living_mantle_edge",
        "Close-up of the mantle edge of a blue clam of the Halverson Reef survey: a dense row "
        "of eyes in the rim. No scale.",
        "2024:05:03 18:11:02",
        12,
        mantle_edge,
        88,
    ),
    Demo(
        "clam-in-burrow",
        "living_from_above",
        "Small clam of the Halverson Reef survey, sunk to the rim into the rock, mantle "
        "half withdrawn: of the shell only the margin can be seen. No scale.",
        "2024:05:04 10:27:33",
        88,
        in_burrow,
        84,
    ),
    Demo(
        "living-from-side",
        "living_from_side",
        "Clam of the Halverson Reef survey on the reef from the side: folds, scutes, some "
        "growth, and the mantle at the rim. No scale.",
        "2024:05:04 11:02:16",
        89,
        from_side,
        88,
    ),
    Demo(
        "fluted-valve-inside",
        "inside_of_valve",
        "The same valve as in fluted-valve-outside, from inside: hinge plate with ligament "
        "groove, two muscle scars, folds as furrows. The ruler lies on a block at the height "
        "of the margin.",
        "2024:03:12 10:47:30",
        22,
        inside,
    ),
    Demo(
        "young-valve-outside",
        "outside_of_valve",
        "Right valve of a young shell, fresh, with tall scutes.",
        "2024:03:19 09:05:11",
        91,
        young,
    ),
    Demo(
        "worn-valve-outside",
        "outside_of_valve",
        "Right valve of an old shell found on a beach: umbo eroded, most scutes broken off, "
        "algae, crusts and worm tubes on it.",
        "2024:03:19 09:31:48",
        92,
        worn,
        84,
    ),
    Demo(
        "umbo-up-on-white-tray",
        "outside_of_valve",
        "Right valve on a white tray in hard light, umbo up and aslant; its label reads from "
        "the right side of the picture.",
        "2024:03:19 10:12:27",
        93,
        umbo_up,
    ),
    Demo(
        "drawer-of-six",
        "outside_of_valve",
        "Drawer 16 of the Port Maren Museum: six valves, one of them inside up, each with "
        "its label, one ruler. Some shells and some labels are upside down.",
        "2024:03:20 14:20:05",
        94,
        drawer,
        86,
    ),
)


def write(demo: Demo, folder: Path = FOLDER) -> Path:
    """Render one example and write picture and truth; return the picture's path."""
    made = demo.make(demo.seed)
    (folder / "truth").mkdir(parents=True, exist_ok=True)
    path = folder / f"{demo.name}.jpg"
    exif = Image.Exif()
    exif[0x010E] = "Rendered, invented specimen; not a photograph"
    exif[0x0131] = "rendered specimen"
    exif[0x0132] = demo.taken
    exif.get_ifd(0x8769)[0x9003] = demo.taken
    picture = Image.fromarray(made.picture)
    picture.save(path, quality=demo.quality, subsampling=0, optimize=True, exif=exif)
    truth = {"format": 1, "file": path.name, "view": demo.view, **made.truth}
    text = json.dumps(truth, indent=1, ensure_ascii=False)
    (folder / "truth" / f"{demo.name}.json").write_text(text + "\n", encoding="utf-8")
    return path


def write_sources(folder: Path = FOLDER) -> None:
    """Write the papers of all example pictures that are there: SOURCES.toml."""
    lines = [
        "# Written by `python -m tests.rendering`; every picture here is rendered.",
        "",
    ]
    for demo in DEMOS:
        path = folder / f"{demo.name}.jpg"
        if not path.exists():
            continue
        with Image.open(path) as picture:
            width, height = picture.size
        rows = {
            "file": path.name,
            "sha256": hashlib.sha256(path.read_bytes()).hexdigest(),
            "width": width,
            "height": height,
            "view": demo.view,
            "story": demo.story,
            "how_made": f"python -m tests.rendering {demo.name}",
            "seed": demo.seed,
            "truth": f"truth/{demo.name}.json",
            "licence": LICENCE,
            "note": MADE,
        }
        lines.append("[[picture]]")
        lines += [
            f"{key} = {json.dumps(value, ensure_ascii=False)}"
            for key, value in rows.items()
        ]
        lines.append("")
    (folder / "SOURCES.toml").write_text("\n".join(lines), encoding="utf-8")
