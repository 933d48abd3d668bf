"""``python -m tests.benchmarks [NAME ...]``: measure the figures and write ``results.md``.

Names are those of the modules beside this one; without any, all are run. Every figure stands
beside a bare floor of the same run where one exists.
"""

from __future__ import annotations

import os
import platform
import sys
from datetime import date
from importlib import import_module
from pathlib import Path

from tests.benchmarks.figure import table

RESULTS = Path(__file__).with_name("results.md")
MODULES = (
    "start",
    "canvas",
    "identification",
    "bench",
    "lengths",
    "intake",
    "finding",
    "at_screen",
    "tracing",
)


def main(names: list[str]) -> None:
    """Run the named benchmarks and write what they gave."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    parts = [
        "# Figures",
        "",
        f"Measured on {date.today().isoformat()} by `python -m tests.benchmarks`: "
        f"{machine()}. Each figure is the median of n runs; *95 %* is their 95th percentile; "
        "*ratio* is the median of the ratios to the bare floor of the same run.",
        "",
    ]
    for name in names or MODULES:
        figures = import_module(f"tests.benchmarks.{name}").measure()
        parts += [f"## {name}", "", table(figures), ""]
        print(table(figures), flush=True)  # noqa: T201 - this is what the command is for
    if not names:
        RESULTS.write_text("\n".join(parts), encoding="utf-8")


def machine() -> str:
    """Return the class of the machine, without its name."""
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    return (
        f"{os.cpu_count()} cores ({platform.machine()}), {memory:.0f} GB, "
        f"{platform.system()}, Python {platform.python_version()}, offscreen"
    )


if __name__ == "__main__":
    main(sys.argv[1:])
