"""A skip is a test that did not run: where CI=true, only those on the list may."""

import fnmatch
from collections.abc import Iterable, Mapping
from pathlib import Path

LIST = Path(__file__).with_name("allowed_skips.txt")


def allowed_skips():
    """Return the patterns of test ids that may be skipped in CI."""
    lines = LIST.read_text(encoding="utf-8").splitlines()
    return [line.split("  #")[0].strip() for line in lines if line and line[0] != "#"]


def may_skip(test_id: str, patterns: Iterable[str], environ: Mapping[str, str]) -> bool:
    """Tell whether a skip is fine here: anywhere but in CI, or when on the list."""
    if environ.get("CI", "").lower() not in ("true", "1"):
        return True
    # Square brackets belong to the ids of parametrised tests, not to the pattern.
    plain = [pattern.replace("[", "[[]") for pattern in patterns]
    return any(fnmatch.fnmatchcase(test_id, pattern) for pattern in plain)
