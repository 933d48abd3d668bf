"""The rules of this house, each held by a test."""

import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from tests.skips import allowed_skips, may_skip

ROOT = Path(__file__).resolve().parent.parent
PROGRAMS = str(Path(sys.executable).parent)

TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "start.py",
    "app", "landmarks", "demo_images", "tests",
}  # fmt: skip

HEAVY = {
    "PIL", "PySide6", "numpy", "scipy", "shapely", "shiboken6", "skimage", "sklearn",
    "sqlalchemy",
}  # fmt: skip

# Written so that this file does not contain what it forbids.
NOT_IN_A_FILE = {
    "a path of one machine": r"(^|[^\w.~-])/(w[o]rk|f[a]rm|(h[o]me|U[s]ers)/\w+)/",
    "a tool of one workplace": r"[.]librar[y]/|bash_job[s]|sub[a]gent|helper [a]gent",
    "the host of a package index": (
        r"pythonhosted[.]o[r]g|pypi[.]o[r]g|deb[.]debian[.]o[r]g|registry[.]npmj[s]"
    ),
}


def run_tool(*command):
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout + done.stderr


@pytest.mark.parametrize(
    "tool", ["ruff check", "ruff format --check", "mypy", "lint-imports"]
)
def test_whole_tree_passes(tool):
    program, *options = tool.split()
    found = shutil.which(program, path=PROGRAMS)
    assert found, f"{program} is not installed beside {sys.executable}"
    code, said = run_tool(found, *options)
    assert code == 0, said


def loaded_after(statement):
    """Return the names of the top-level packages a fresh Python holds after a statement."""
    ask = f"{statement}\nimport sys; print(*{{name.split('.')[0] for name in sys.modules}})"
    code, said = run_tool(sys.executable, "-c", ask)
    assert code == 0, said
    return set(said.split())


@pytest.mark.parametrize("module", ["landmarks", "app.cli"])
def test_importing_loads_nothing_heavy(module):
    assert not loaded_after(f"import {module}") & HEAVY


def test_every_module_of_the_core_loads_where_there_is_no_qt_and_no_window():
    walk = (
        "import sys, importlib, pkgutil\n"
        "for absent in ('PySide6', 'shiboken6', 'app'): sys.modules[absent] = None\n"
        "import landmarks\n"
        "found = pkgutil.walk_packages(landmarks.__path__, 'landmarks.')\n"
        "names = [module.name for module in found]\n"
        "for name in names: importlib.import_module(name)\n"
        "assert len(names) > 10, names"
    )
    assert "landmarks" in loaded_after(walk)


def tracked_files():
    git = shutil.which("git")
    if git and (ROOT / ".git").exists():
        command = [git, "-c", f"safe.directory={ROOT}", "ls-files", "-z"]
        listed = subprocess.run(
            command, cwd=ROOT, capture_output=True, text=True, check=True
        )
        return [ROOT / name for name in listed.stdout.split("\0") if name]
    return [path for path in ROOT.rglob("*") if path.is_file() and not _is_made(path)]


def _is_made(path):
    # In a copy without its history: caches and the like, which begin with a dot.
    parts = path.relative_to(ROOT).parts
    return "__pycache__" in parts or (parts[0].startswith(".") and parts[0] != ".ci")


def test_no_file_holds_what_only_one_machine_knows():
    found = []
    for path in tracked_files():
        if path.suffix in {".png", ".jpg", ".tif", ".ttf", ".sqlite"} or not path.is_file():
            continue
        text = path.read_bytes().decode("utf-8", "replace")
        for what, pattern in NOT_IN_A_FILE.items():
            for line in re.finditer(pattern, text, re.IGNORECASE | re.MULTILINE):
                number = text.count("\n", 0, line.start()) + 1
                found.append(f"{path.relative_to(ROOT)}:{number}: {what}")
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    "line",
    [
        "see /w" + "ork/main/start.py",
        "/ho" + "me/ann/clams/",
        "--index-url https://py" + "pi.org/simple",
        "as in .lib" + "rary/env",
    ],
)
def test_that_rule_finds_what_it_is_for(line):
    assert any(re.search(pattern, line) for pattern in NOT_IN_A_FILE.values())


def test_there_is_one_version():
    import landmarks

    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    assert landmarks.__version__ == project["version"]


def test_top_level_stays_clean():
    names = {path.relative_to(ROOT).parts[0] for path in tracked_files()}
    assert {name for name in names if not name.startswith(".")} <= TOP_LEVEL


def test_binding_keeps_none_alive():
    # PySide6 6.12.0 on Python 3.11 loses one reference to None in every call that returns
    # nothing, and the process dies after some 5,000 of them (found by own measurement).
    from PySide6.QtGui import QImage, QPainter

    image = QImage(8, 8, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    before = sys.getrefcount(None)
    for _ in range(1000):
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    lost = before - sys.getrefcount(None)
    painter.end()
    assert lost < 200, "this PySide6 build loses references to None on this Python"


def test_in_ci_only_listed_skips_pass():
    listed = ["tests/app/test_window.py::test_mouse*", "tests/x.py::test_y[a b]"]
    ci = {"CI": "true"}
    assert may_skip("tests/app/test_window.py::test_mouse[one]", listed, ci)
    assert may_skip("tests/x.py::test_y[a b]", listed, ci)
    assert not may_skip("tests/app/test_window.py::test_keys", listed, ci)
    assert may_skip("tests/app/test_window.py::test_keys", listed, {})


def test_the_list_of_skips_names_tests_that_exist():
    for pattern in allowed_skips():
        assert (ROOT / pattern.split("::")[0]).is_file(), pattern
