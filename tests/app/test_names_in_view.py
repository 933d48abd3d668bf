"""Names of marks and the scale bar share the view: nothing is cut, nothing is covered."""

from PySide6.QtCore import QRectF

from tests.journeys.conftest import open_window, own_folder  # noqa: F401 - fixtures


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
