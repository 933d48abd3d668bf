"""A picture whose decoder takes for ever, and then dies: said, and the window lives on."""

import numpy as np
import pytest

from app.background import pictures
from landmarks.picture import apart, child
from landmarks.sentences import text
from tests.heif import heic

SLOW = (
    "import time; from landmarks.picture import decoder; "
    "decoder._QUESTIONS['pixels'] = lambda *_: time.sleep(600); work()"
)


@pytest.mark.journey
def test_a_decoder_that_hangs_and_dies_is_said_and_the_window_goes_on(
    open_window, qtbot, tmp_path, monkeypatch
):
    apart.end_all()
    monkeypatch.setattr(child, "_BEGIN", child._BEGIN.replace("work()", SLOW))
    monkeypatch.setattr(pictures, "SAID_AFTER_S", 0.1)
    started, begun = [], child.Child.__init__

    def noted(self):
        begun(self)
        started.append(self)

    monkeypatch.setattr(child.Child, "__init__", noted)
    path = tmp_path / "slow.heic"
    path.write_bytes(heic(np.full((64, 64), 9, np.uint8)))
    bench = open_window().window
    said = []
    bench.session.noticed.connect(lambda sentence, _kind: said.append(text(sentence)))
    bench.files.start([path], lambda: None)
    note = bench.canvas._note
    # On a busy machine the example that is shown first may take its time as well.
    qtbot.waitUntil(lambda: note.isVisible() and "slow.heic" in note.text(), timeout=20_000)
    assert note.accessibleName() == note.text()
    assert bench.canvas.rect().contains(note.geometry())
    for one in started:
        one.kill()
    qtbot.waitUntil(
        lambda: any("its decoder stopped" in one for one in said), timeout=20_000
    )
    assert not note.isVisible()
    apart.end_all()
