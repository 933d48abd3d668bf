"""The example pictures: what is on them, and the files beside them."""

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from .specimens import FLUTED
from .truth import Rendered
from .views import Setup, render_outside

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
    return render_outside(FLUTED, 1800, seed, Setup(field_mm=228.0), centre_mm=(0.0, 13.0), oversample=1.5)


DEMOS = (
    Demo(
        "fluted-valve-outside",
        "outside of a valve",
        "Left valve of a fluted shell on dark blue felt in a drawer of the Port Maren Museum, "
        "ruler below. Large, widely spaced scutes; five main folds and two end folds.",
        "2024:03:12 10:41:07",
        21,
        _fluted,
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
    lines = ["# Written by `python -m tests.rendering`; every picture here is rendered.", ""]
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
        lines += [f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in rows.items()]
        lines.append("")
    (folder / "SOURCES.toml").write_text("\n".join(lines), encoding="utf-8")
