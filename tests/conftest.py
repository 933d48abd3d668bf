"""What holds for every test: platform, private settings, skips, forgotten dialogs."""

import gc
import os
import shutil
import tempfile
from functools import partial
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests.skips import allowed_skips, may_skip

# Qt aborts without a display, so the platform is chosen before anything imports it.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ.setdefault("QT_SCALE_FACTOR", "1")

# The settings and caches of whoever runs the tests stay untouched.
_PRIVATE = Path(tempfile.mkdtemp(prefix="hingeline-tests-"))
for _kind in ("CONFIG", "DATA", "STATE", "CACHE"):
    os.environ[f"XDG_{_kind}_HOME"] = str(_PRIVATE / _kind.lower())

# Machines that build things are busy: how long one example takes says nothing.
settings.register_profile(
    "busy", deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("busy")

FORGOTTEN_DIALOG_MS = 30_000
PATIENCE_MS = 20_000


def pytest_addoption(parser):
    parser.addoption("--long", action="store_true", help="run the long tests too")


def pytest_collection_modifyitems(config, items):
    if config.getoption("--long"):
        return
    long = [item for item in items if item.get_closest_marker("long")]
    if long:
        config.hook.pytest_deselected(items=long)
        items[:] = [item for item in items if item not in set(long)]


def pytest_unconfigure():
    shutil.rmtree(_PRIVATE, ignore_errors=True)


# -- A skip is a test that did not run: in CI only those on the list may ---------------


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item):
    report = yield
    if report.skipped and not hasattr(report, "wasxfail"):
        _refuse(report)
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector):
    report = yield
    if report.skipped:
        _refuse(report)
    return report


def _refuse(report):
    if may_skip(report.nodeid, allowed_skips(), os.environ):
        return
    why = report.longrepr[2] if isinstance(report.longrepr, tuple) else report.longrepr
    report.outcome = "failed"
    report.longrepr = f"{why}\nIn CI only skips listed in tests/allowed_skips.txt are fine."


# -- Windows ---------------------------------------------------------------------------


@pytest.fixture(scope="session")
def qapp(qapp):
    """Give the one application looks that are the same everywhere."""
    qapp.setStyle("Fusion")
    qapp.setCursorFlashTime(0)
    return qapp


@pytest.fixture
def qtbot(qtbot):
    """Wait longer than five seconds: on a busy machine that says nothing of the program."""
    qtbot.waitUntil = partial(qtbot.waitUntil, timeout=PATIENCE_MS)
    return qtbot


@pytest.fixture(autouse=True)
def no_forgotten_dialog(request):
    """Close a dialog that nobody answers and fail, since Qt would wait for ever."""
    if "qapp" not in request.fixturenames:
        yield
        return
    from PySide6.QtCore import QTimer

    qapp = request.getfixturevalue("qapp")
    forgotten = []

    def close():
        if dialog := qapp.activeModalWidget():
            forgotten.append(dialog.windowTitle() or type(dialog).__name__)
            dialog.close()

    timer = QTimer()
    timer.timeout.connect(close)
    timer.start(FORGOTTEN_DIALOG_MS)
    yield
    timer.stop()
    assert not forgotten, f"nobody answered the dialog {forgotten[0]}"


# -- Windows that a test opened are let go on its own thread, never by a later worker ---


@pytest.fixture(autouse=True)
def _garbage_of_windows():
    yield
    if not gc.isenabled():
        # Closed windows wait for their end until events are looked at again.
        from PySide6.QtCore import QCoreApplication, QEvent

        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        gc.collect()
        gc.enable()
