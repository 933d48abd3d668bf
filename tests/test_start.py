"""The script that makes everything ready: its answers, and whole runs on a tiny wheel."""

import ast
import errno
import hashlib
import importlib.util
import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.version import Version

ROOT = Path(__file__).resolve().parent.parent
SCRIPT = ROOT / "start.py"


@pytest.fixture(scope="module")
def start():
    found = importlib.util.spec_from_file_location("hingeline_start", SCRIPT)
    module = importlib.util.module_from_spec(found)
    found.loader.exec_module(module)
    return module


# -- What old Pythons see --------------------------------------------------------------


def test_old_pythons_can_read_the_script():
    source = SCRIPT.read_bytes()
    source.decode("ascii")  # Python 2 takes nothing else without a coding line
    tree = ast.parse(source, feature_version=(3, 4))
    younger = (ast.JoinedStr, ast.AnnAssign, ast.NamedExpr, ast.AsyncFunctionDef, ast.Match)
    for node in ast.walk(tree):
        assert not isinstance(node, younger), f"line {node.lineno}"
        if isinstance(node, ast.arguments):
            assert not node.kwonlyargs
            assert not node.posonlyargs
        if isinstance(node, ast.arg):
            assert node.annotation is None
        if isinstance(node, ast.Raise):
            assert node.cause is None  # Python 2 has no `raise ... from`


def test_only_the_standard_library_is_imported():
    for node in ast.walk(ast.parse(SCRIPT.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names = {alias.name.split(".")[0] for alias in node.names}
            assert names <= set(sys.stdlib_module_names)
        assert not isinstance(node, ast.ImportFrom)


@pytest.mark.parametrize(
    ("version", "fits"),
    [((2, 7, 18), False), ((3, 10, 13), False), ((3, 11, 0), True), ((3, 14, 2), True),
     ((3, 16, 0), False)],
)  # fmt: skip
def test_which_pythons_fit(start, version, fits):
    assert start.fits(version) is fits


def a_python(folder, version, answer):
    folder.mkdir(exist_ok=True)
    program = folder / f"python{version}"
    program.write_text(f"#!/bin/sh\n{answer}\n")
    program.chmod(0o755)
    return program


posix = pytest.mark.skipif(sys.platform == "win32", reason="needs a POSIX shell")


@posix
def test_a_signpost_to_a_python_that_is_not_there_is_passed_over(start, tmp_path):
    a_python(tmp_path / "signposts", "3.13", "echo 'not installed' >&2; exit 127")
    a_python(tmp_path / "liars", "3.12", "echo 3.9")
    good = a_python(tmp_path / "real", "3.11", "echo 3.11")
    path = f"{tmp_path / 'signposts'}:{tmp_path / 'liars'}:{tmp_path / 'real'}"
    assert start.find_python(path) == str(good)


def test_without_a_fitting_python_the_sentence_names_those_that_fit(start, tmp_path):
    with pytest.raises(start.StopError, match=r"needs Python 3\.11 to 3\.15.*python3\.12"):
        start.find_python(str(tmp_path))


# -- The command line ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("argv", "which", "long", "arguments"),
    [
        ([], "run", False, []),
        (["--", "identify", "--json"], "run", False, ["identify", "--json"]),
        (["test"], "test", False, []),
        (["test", "--all", "-k", "hinge"], "test", True, ["-k", "hinge"]),
        (["test", "tests/core"], "test", False, ["tests/core"]),
        (["--", "test"], "run", False, ["test"]),
        (["--", "--from", "x"], "run", False, ["--from", "x"]),
    ],
)
def test_what_the_command_line_asks_for(start, argv, which, long, arguments):
    wish = start.read_wish(argv)
    assert (wish["set"], wish["long"], wish["arguments"]) == (which, long, arguments)
    assert wish["folder"] is None


@pytest.mark.parametrize(
    "argv", [["--from", "wheels", "test"], ["test", "--from", "wheels"]]
)
def test_wheels_are_named_before_or_after_test(start, argv):
    wish = start.read_wish(argv)
    assert wish["set"] == "test"
    assert wish["folder"] == str(Path("wheels").absolute())


@pytest.mark.parametrize(
    ("argv", "says"),
    [(["clam.jpg"], "python3 start.py -- clam.jpg"), (["--from"], "needs the folder")],
)
def test_what_is_not_known_is_said_with_the_way_out(start, argv, says):
    with pytest.raises(start.StopError, match=re.escape(says)) as stop:
        start.read_wish(argv)
    assert stop.value.code == 2


# -- Sentences -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ("WARNING: Retrying ... NewConnectionError('<...>: Failed to establish a new "
         "connection: [Errno -3]')\nERROR: No matching distribution found for numpy",
         "check the network"),
        ("ERROR: Could not install packages due to an OSError: [Errno 28] No space left on "
         "device", "disk is full"),
        ("ERROR: No matching distribution found for numpy==2.4.6", "has no file"),
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE",
         "not the one that was tried"),
        ("SSLError(SSLCertVerificationError(1, '[SSL: CERTIFICATE_VERIFY_FAILED] ..."
         "Failed to establish a new connection", "ca-certificates"),
        ("something else", "pip could not install"),
    ],
)  # fmt: skip
def test_why_pip_failed_is_one_sentence_before_its_last_lines(start, said, sentence):
    first, *last = start.explain_pip(said).splitlines()
    assert sentence in first
    assert last[-1].strip() == said.splitlines()[-1].strip()


@pytest.mark.parametrize(
    ("number", "says"),
    [(errno.ENOSPC, "full"), (errno.EACCES, "may not be written"), (errno.EIO, "clams")],
)
def test_what_the_system_refuses_is_a_sentence(start, number, says):
    assert says in start.explain_system(OSError(number, "no", "clams"))


@pytest.mark.parametrize(
    ("library", "package"),
    # the packages of Debian 12 that hold these libraries, as found by installing them
    [
        ("libglib-2.0.so.0", "libglib2.0-0"), ("libgthread-2.0.so.0", "libglib2.0-0"),
        ("libGL.so.1", "libgl1"), ("libEGL.so.1", "libegl1"),
        ("libX11.so.6", "libx11-6"), ("libX11-xcb.so.1", "libx11-xcb1"),
        ("libdbus-1.so.3", "libdbus-1-3"), ("libfontconfig.so.1", "libfontconfig1"),
        ("libfreetype.so.6", "libfreetype6"), ("libxkbcommon.so.0", "libxkbcommon0"),
        ("libxkbcommon-x11.so.0", "libxkbcommon-x11-0"), ("libxcb.so.1", "libxcb1"),
        ("libxcb-icccm.so.4", "libxcb-icccm4"), ("libxcb-cursor.so.0", "libxcb-cursor0"),
        ("libxcb-render-util.so.0", "libxcb-render-util0"),
    ],
)  # fmt: skip
def test_which_debian_package_holds_a_library(start, library, package):
    assert start.debian_package(library) == package


# -- The pinned sets -------------------------------------------------------------------


def pinned(which):
    """Return name and marker -> version; every requirement must carry a hash."""
    text = (ROOT / "app" / "requirements" / f"{which}.txt").read_text("utf-8")
    lines = (
        re.sub(r"^#.*\n", "", text, flags=re.MULTILINE).replace("\\\n", " ").splitlines()
    )
    found = {}
    for line in lines:
        wanted, *hashes = line.split("--hash=sha256:")
        assert hashes, f"no hash: {line}"
        assert all(re.fullmatch(r"[0-9a-f]{64}", one.strip()) for one in hashes), line
        requirement = Requirement(wanted.strip())
        (pin,) = requirement.specifier
        assert pin.operator == "==", line
        found[requirement.name.lower(), str(requirement.marker)] = Version(pin.version)
    return found


def test_the_test_set_holds_the_other_one_pin_by_pin():
    assert pinned("run").items() <= pinned("test").items()


@pytest.mark.parametrize("which", ["run", "test"])
def test_what_the_project_asks_for_is_what_is_pinned(which):
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    asked = project["project"]["dependencies"]
    if which == "test":
        asked = asked + project["dependency-groups"]["test"]
    for python in ("3.11", "3.14", "3.15"):
        here = {"python_version": python, "python_full_version": f"{python}.0"}
        pins = {}
        for (name, marker), version in pinned(which).items():
            if marker == "None" or Requirement(f"x; {marker}").marker.evaluate(here):
                assert name not in pins, f"{name} is pinned twice for Python {python}"
                pins[name] = version
        for requirement in map(Requirement, asked):
            if requirement.marker is None or requirement.marker.evaluate(here):
                assert requirement.specifier.contains(pins[requirement.name.lower()])


def test_qt_is_the_version_that_was_measured():
    pins = {key: version for key, version in pinned("run").items() if "pyside6" in key[0]}
    (below_315,) = [str(v) for (_, marker), v in pins.items() if "<" in marker]
    assert below_315 == "6.11.3"


# -- Whole runs, without network -------------------------------------------------------


@pytest.fixture
def copy(tmp_path):
    """Return a folder with the script, one wheel, and a program telling its arguments."""
    home = tmp_path / "hinge line"  # a space, as in many people's folders
    (home / "app" / "requirements").mkdir(parents=True)
    shutil.copy(SCRIPT, home)
    (home / "app" / "__init__.py").touch()
    (home / "app" / "__main__.py").write_text(
        "import sys, tinyclam\nprint('told', *sys.argv[1:])\nsys.exit(len(sys.argv) + 40)\n"
    )
    wheel = make_wheel(home / "wheels")
    digest = hashlib.sha256(wheel.read_bytes()).hexdigest()
    (home / "app" / "requirements" / "run.txt").write_text(
        f"tinyclam==1.0 --hash=sha256:{digest}\n"
    )
    return home


def make_wheel(folder):
    folder.mkdir()
    wheel = folder / "tinyclam-1.0-py3-none-any.whl"
    about = "tinyclam-1.0.dist-info"
    with zipfile.ZipFile(wheel, "w") as packed:
        packed.writestr("tinyclam/__init__.py", "")
        packed.writestr(
            f"{about}/METADATA", "Metadata-Version: 2.1\nName: tinyclam\nVersion: 1.0\n"
        )
        packed.writestr(f"{about}/WHEEL", "Wheel-Version: 1.0\nTag: py3-none-any\n")
        packed.writestr(f"{about}/RECORD", "")
    return wheel


def run(home, *arguments, cwd=None):
    command = [sys.executable, str(home / "start.py"), *arguments]
    return subprocess.run(
        command, cwd=cwd or home.parent, capture_output=True, text=True, check=False
    )


ANEW = "Making .venv anew"
WHEELS = ("--from", "hinge line/wheels")


def test_first_start_installs_and_the_next_ones_only_start(copy):
    first = run(copy, *WHEELS, "--", "a picture.jpg", "--json")
    assert (first.stdout, first.returncode) == ("told a picture.jpg --json\n", 43), (
        first.stderr
    )
    assert "Installing" in first.stderr

    again = run(copy, "--", "x")
    assert (again.stdout, again.stderr, again.returncode) == ("told x\n", "", 42)

    shutil.rmtree(copy / ".venv" / "lib", ignore_errors=True)
    shutil.rmtree(copy / ".venv" / "Lib", ignore_errors=True)
    broken = run(copy, *WHEELS, "--", "x")
    assert ANEW in broken.stderr
    assert broken.stdout == "told x\n"

    (copy / ".venv" / "hingeline.json").unlink()  # the stamp comes last: half-made
    assert ANEW in run(copy, *WHEELS, "--", "x").stderr


@pytest.mark.long
def test_changed_pins_and_a_moved_folder_make_it_anew(copy):
    assert run(copy, *WHEELS, "--", "x").returncode == 42
    with (copy / "app" / "requirements" / "run.txt").open("a") as file:
        file.write("# changed\n")
    outdated = run(copy, *WHEELS, "--", "x")
    assert ANEW in outdated.stderr
    assert outdated.returncode == 42
    moved = copy.rename(copy.parent / "elsewhere")
    assert ANEW in run(moved, "--from", "elsewhere/wheels", "--", "x").stderr


def test_an_exchanged_wheel_is_refused_and_nothing_counts_as_installed(copy):
    with zipfile.ZipFile(next((copy / "wheels").iterdir()), "a") as packed:
        packed.writestr("tinyclam/more.py", "")
    refused = run(copy, *WHEELS)
    assert refused.returncode == 1
    assert "not the one that was tried" in refused.stderr
    assert "Traceback" not in refused.stderr
    assert not (copy / ".venv" / "hingeline.json").exists()


def test_a_folder_of_wheels_that_is_not_there_is_said(copy):
    refused = run(copy, "--from", "nowhere")
    assert refused.returncode == 1
    assert re.match(r"There is no folder .*nowhere to install from\.", refused.stderr)
    assert not (copy / ".venv").exists()
