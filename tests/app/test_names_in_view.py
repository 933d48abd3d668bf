"""Names of marks and the scale bar share the view; frames are numbered as one reads."""

from PySide6.QtCore import QRectF

from app.session.shelf import _by_rows
from landmarks.geometry import Box
from tests.journeys.conftest import DEMO, open_window, own_folder  # noqa: F401 - fixtures
from tests.truths import truth_of


def plates_of(canvas):
    return [box.translated(canvas.place_of(at)) for at, box in canvas._layer.plates()]


def test_names_stay_in_the_view_and_off_the_scale_bar(open_window, qtbot):  # noqa: F811
    person = open_window()
    window, canvas = person.window, person.window.canvas
    window.shell.resize(1120, 760)
    for strip in ("label", "seeing"):
        window.open_strip(strip)
        person.wait_until_readable()
        qtbot.wait(400)
        view, bar = QRectF(canvas.viewport().rect()), QRectF(canvas._bar.rect())
        plates = plates_of(canvas)
        assert len(plates) > 4
        assert all(view.contains(one) for one in plates), strip
        assert not any(bar.intersects(one) for one in plates), strip


def test_frames_of_a_drawer_are_numbered_row_by_row():
    truth = truth_of("drawer-of-six")
    boxes = {str(at): Box(*one["frame"]) for at, one in enumerate(truth["frames"])}
    assert _by_rows(dict(reversed(boxes.items()))) == list("012345")
    assert _by_rows({}) == []
