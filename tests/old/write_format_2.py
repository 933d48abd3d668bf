"""Write the small collection of format 2 that every later version must open.

``python -m tests.old.write_format_2 FOLDER`` writes ``drawer.hingeline`` and ``drawer.json``.
The content is that of format 1 with a saved filter, and with what specimens are found by. The
files beside this script were written once, by the version that had format 2; they are not to
be written again.
"""

import json
import sys
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from landmarks.changes import Document
from landmarks.documents import Whole, read_collection, write_collection
from landmarks.finding import Fact, SavedFilter, parse_filter
from landmarks.storage import Derived, Saved, Stamp, open_sqlite
from tests.old import write_format_1 as first

STAMP = Stamp(3, "tables of that day", "engine of that day")
FACTS = (
    Fact("certainty", number=0.875),
    Fact("missing", "scale"),
    Fact("missing", "characters"),
    Fact("shell_length", number=152.5, sigma=0.5),
)
FILTER = SavedFilter(
    "f1",
    "Long ones of the reef",
    (parse_filter("surely shell_length > 150"), parse_filter("missing is scale")),
    "halverson",
    "shell_length",
    descending=True,
    extra={"colour": "east"},
)


def content() -> Whole:
    """Return everything the format can say, at least once."""
    return replace(read_collection(first.content()), filters=(FILTER,))


def write(folder: Path) -> None:
    """Write both files into an empty folder."""
    write_of(folder, content())


def write_of(folder: Path, whole: Whole) -> None:
    """Write these contents; later formats say theirs so too."""
    unpacked = folder / "drawer.unpacked.hingeline"
    with closing(open_sqlite(unpacked, create=True, about=whole.about)) as store:
        for deed in first.deeds(whole):
            answer = store.commit(deed)
            if not isinstance(answer, Saved):
                raise answer.error()
        shell = Document("specimen", first.SHELL)
        store.keep_cache(Derived(shell, STAMP, {"answer": "genus"}, first.SUMMARY, FACTS))
        store.copy_to(folder / "drawer.hingeline")
    unpacked.unlink()
    text = json.dumps(write_collection(whole), ensure_ascii=False, indent=1)
    (folder / "drawer.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    write(Path(sys.argv[1]))
