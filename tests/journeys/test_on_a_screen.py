"""The same journey on a real screen, with the pointer and keys of the window system."""

import json
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.journeys.conftest import DEMO
from tests.truths import truth_of

pytestmark = [
    pytest.mark.journey,
    pytest.mark.skipif(
        not all(shutil.which(one) for one in ("Xvfb", "xdotool", "openbox")),
        reason="needs Xvfb, xdotool and openbox",
    ),
]

ROOT = Path(__file__).parents[2]
NAME = "fluted-valve-outside"


class Screen:
    """A virtual screen with a window manager, and hands on it."""

    def __init__(self, folder):
        read, write = os.pipe()
        self._processes = [
            subprocess.Popen(
                ["Xvfb", "-displayfd", str(write), "-screen", "0", "1600x1000x24"],
                pass_fds=[write],
                stderr=subprocess.DEVNULL,
            )
        ]
        os.close(write)
        with os.fdopen(read) as pipe:
            number = pipe.readline().strip()
        self.environment = {
            **os.environ,
            "DISPLAY": f":{number}",
            "QT_QPA_PLATFORM": "xcb",
            "PYTHONPATH": str(ROOT),
            "HOME": str(folder),
        }
        self._start("openbox", "--sm-disable")
        time.sleep(0.5)

    def _start(self, *words, **more):
        process = subprocess.Popen(
            words, env=self.environment, stderr=subprocess.DEVNULL, cwd=ROOT, **more
        )
        self._processes.append(process)
        return process

    def open(self, *words):
        self.program = self._start(
            sys.executable,
            "-m",
            "tests.journeys.screen_driver",
            *map(str, words),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def ask(self, question):
        self.program.stdin.write(question + "\n")
        self.program.stdin.flush()
        return json.loads(self.program.stdout.readline())

    def state(self):
        return self.ask("state")

    def wait(self, until, seconds=20):
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            found = self.state()
            if found is not None and until(found):
                return found
            time.sleep(0.1)
        raise AssertionError(f"waited {seconds} s in vain: {found}")

    def hand(self, *words):
        subprocess.run(
            ["xdotool", *map(str, words)],
            env=self.environment,
            check=True,
            timeout=20,
            capture_output=True,
        )

    def click(self, raw):
        x, y = self.ask(f"where {raw[0]} {raw[1]}")
        self.hand("mousemove", x, y, "sleep", "0.05", "click", 1)

    def drag(self, start, end):
        (ax, ay), (bx, by) = (self.ask(f"where {one[0]} {one[1]}") for one in (start, end))
        self.hand("mousemove", ax, ay, "sleep", "0.05", "mousedown", 1)
        for share in (0.25, 0.5, 0.75, 1.0):
            x, y = round(ax + share * (bx - ax)), round(ay + share * (by - ay))
            self.hand("mousemove", x, y, "sleep", "0.05")
        self.hand("mouseup", 1)

    def key(self, *keys):
        self.hand("key", "--delay", "40", *keys)

    def close(self):
        for process in reversed(self._processes):
            if process.poll() is None:
                process.terminate()
            process.wait(timeout=20)
            for pipe in (process.stdin, process.stdout):
                if pipe is not None:
                    pipe.close()


@pytest.fixture
def screen(tmp_path):
    one = Screen(tmp_path)
    yield one
    one.close()


def test_a_shell_is_scaled_and_measured_with_the_real_pointer(screen, tmp_path):
    truth = truth_of(NAME)
    picture = shutil.copy(DEMO / f"{NAME}.jpg", tmp_path / "shell.jpg")
    screen.open(tmp_path, picture)
    screen.wait(lambda now: now["ready"])
    screen.key("1")
    screen.wait(lambda now: now["view"] == "outside_of_valve")

    screen.click((50, 50))
    screen.key("s")
    screen.wait(lambda now: now["tool"] == "scale")
    screen.drag(*truth["ruler"]["ends"])
    screen.wait(lambda now: now["focus"] == "QLineEdit")
    screen.hand("type", "--delay", "40", str(truth["ruler"]["length_mm"]))
    screen.key("Return")
    screen.click((50, 50))
    screen.key("n")
    for landmark in ("byssal_end", "ligament_end", "umbo", "upper_margin"):
        screen.wait(lambda now, one=landmark: now["tool"] == one)
        screen.click(truth["landmarks"][landmark])
    now = screen.wait(lambda now: "shell_height" in now["measures"])
    # A click on a screen where the picture is shown at half its size is good to some pixels.
    length = truth["measures"]["shell_length_mm"]
    assert abs(now["measures"]["shell_length"] - length) < 0.02 * length

    assert now["undo"] == "place upper margin"
    screen.key("ctrl+z")
    screen.wait(lambda now: "shell_height" not in now["measures"])
    screen.key("ctrl+shift+z")
    screen.wait(lambda now: "shell_height" in now["measures"])
    saved = screen.wait(lambda now: now["saved"])
    screen.key("ctrl+q")
    assert screen.program.wait(timeout=20) == 0

    told = subprocess.run(
        [sys.executable, "-m", "app", "measure", saved["path"], "--json"],
        env=screen.environment,
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    measures = {row["key"]: row["value"] for row in json.loads(told.stdout)[0]["measures"]}
    assert measures["shell_length"] == pytest.approx(saved["measures"]["shell_length"])
