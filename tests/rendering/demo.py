"""The example pictures: what is on them, and the files beside them."""

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from .light import Lamp
from .living import render_living
from .ruler import Ruler
from .specimens import BLOTCHED, DEEP_FOLDED, ELONGATE, FLUTED, LIVING, LOW_FOLDED, PAIR
from .truth import Rendered
from .views import Laid, Setup, render_hinge_edge, render_outside, render_table

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
    return render_hinge_edge(
        PAIR, 1800, seed, setup, turn_deg=-3.0, centre_mm=(0.0, 21.0), oversample=1.5
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
