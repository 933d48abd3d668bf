"""Make the example pictures anew: ``python -m tests.rendering [NAME ...]``."""

import sys
import time

from .demo import DEMOS, FOLDER, write, write_sources


def main(names: list[str]) -> int:
    """Render the named examples, or all of them, and write their papers."""
    unknown = [name for name in names if name not in {demo.name for demo in DEMOS}]
    if unknown:
        known = ", ".join(demo.name for demo in DEMOS)
        sys.stderr.write(f"No example is called {unknown[0]}; there are {known}.\n")
        return 2
    for demo in DEMOS:
        if names and demo.name not in names:
            continue
        started = time.monotonic()
        path = write(demo)
        size_kb = path.stat().st_size / 1000
        seconds = time.monotonic() - started
        sys.stdout.write(
            f"{path.relative_to(FOLDER.parent)}: {size_kb:.0f} kB, {seconds:.1f} s\n"
        )
    write_sources()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
