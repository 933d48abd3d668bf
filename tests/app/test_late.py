"""What is loaded late is there when it is wanted, and not before."""

import inspect
import json
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtWidgets import QWidget

from app.session import Session
from app.window.late import Late
from app.window.strips import INSTRUMENTS, STRIPS
from app.window.warming import late_modules

ROOT = Path(__file__).parents[2]

HEAVY = {"numpy", "PIL", "scipy", "skimage", "shapely", "sqlalchemy"}

FILLED = """
import builtins, gc, json, sys
from pathlib import Path
from PySide6.QtWidgets import QApplication
from app.application import fill, make_shell
from app.settings import Settings
application = QApplication([])
settings = Settings(Path(sys.argv[1]))
bench = fill(make_shell(settings), settings)
assert not gc.isenabled()  # The screen thread alone looks for garbage.
assert builtins.__import__ is builtins.__orig_import__
print(json.dumps(sorted(sys.modules)), flush=True)
bench.put_away()
"""


@pytest.mark.parametrize("name", [*STRIPS, *INSTRUMENTS])
def test_a_strip_is_made_with_the_session_alone(name):
    late = STRIPS.get(name) or INSTRUMENTS[name]
    assert isinstance(late, Late)
    made = late.load()
    assert issubclass(made, QWidget)
    parameters = inspect.signature(made, eval_str=True).bind(Session).signature.parameters
    assert next(iter(parameters.values())).annotation is Session


def test_no_name_is_given_to_two_strips():
    assert not STRIPS.keys() & INSTRUMENTS.keys()


@pytest.fixture(scope="module")
def loaded(tmp_path_factory):
    """Return the names of the modules that a filled window needs."""
    settings = tmp_path_factory.mktemp("settings") / "settings.json"
    done = subprocess.run(
        [sys.executable, "-c", FILLED, str(settings)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return set(json.loads(done.stdout.splitlines()[-1]))


def test_the_window_opens_without_what_is_loaded_late(loaded):
    assert not loaded & set(late_modules())


def test_the_window_opens_without_heavy_libraries(loaded):
    assert not loaded & HEAVY


def test_the_window_opens_without_instruments_at_work(loaded):
    at_work = {one for one in loaded if one.startswith("app.instruments.")}
    core = {one for one in loaded if one.startswith("landmarks.instruments.")}
    assert not at_work
    # How the picture is adjusted for the eye is part of the canvas.
    assert core <= {"landmarks.instruments.seeing"}


def test_the_window_opens_without_what_takes_pictures_in(loaded):
    intake = {one for one in loaded if one.startswith("landmarks.intake.")}
    # A barcode scanner is listened to from the start.
    assert intake <= {"landmarks.intake.entering"}


def test_what_is_warmed_up_is_all_there_in_the_end(qtbot):
    from PySide6.QtCore import QObject

    from app.window.warming import Warming

    owner = QObject()
    warming = Warming(owner)
    warming.begin()
    warming.begin()
    qtbot.waitUntil(lambda: not warming.is_warming, timeout=10_000)
    assert set(late_modules()) <= set(sys.modules)
    warming.begin()
    assert not warming.is_warming
