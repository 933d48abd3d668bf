"""Names of marks and the scale bar share the view; frames are numbered as one reads."""

from PySide6.QtCore import QRectF, QSize

from app.canvas.scalebar import ScaleBarOverlay
from app.session.shelf import _by_rows
from landmarks.geometry import Box
from landmarks.outputs.plates import Label, arrange, beside
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


def test_the_scale_bar_is_shorter_or_gone_before_it_covers_a_name():
    view, usual = QSize(700, 400), QRectF(0, 0, 240, 70)
    bar = ScaleBarOverlay()
    bar.fit(0.1, 1.0, view)
    bar.avoid([])
    whole = bar.rect()
    corners = [usual.translated(x, y) for x in (0, 460) for y in (0, 330)]
    # Names reach into all corners, but leave room for half a bar at the top right.
    names = [one for one in corners if not one.intersects(whole)]
    names.append(QRectF(560, 0, 20, 70))
    bar.avoid([], names)
    assert bar.rect().width() < whole.width()
    assert bar.rect().right() == whole.right()
    assert not any(one.intersects(bar.rect()) for one in names)
    # Marks are only counted: it stands where the fewest are.
    bar.avoid([(x, y) for x in range(0, 700, 30) for y in (5, 30, 60, 350, 395)], corners)
    assert not bar.rect().isEmpty()
    assert not any(one.intersects(bar.rect()) for one in corners)
    assert 100 < bar.rect().center().y() < 300
    bar.avoid([], [QRectF(0, 0, 700, 400)])
    assert bar.rect().isEmpty()
    bar.fit(0.1, 1.0, view)
    bar.avoid([])
    assert bar.rect().size() == whole.size()


def test_a_name_at_the_edge_is_moved_in_beside_its_mark():
    room, wide, high = (700.0, 400.0), 200.0, 20.0
    # Nine marks along every edge and one amid them, named as if each was the only one.
    for x in (2.0, 90.0, 350.0, 610.0, 698.0):
        for y in (2.0, 30.0, 200.0, 370.0, 398.0):
            [spot] = arrange([Label(x, y, wide, high)], [(x, y)], within=room, cut=0.5)
            plate = QRectF(x + spot.dx, y + spot.dy, wide, high)
            assert QRectF(0, 0, *room).contains(plate)
            assert not plate.adjusted(-8, -8, 8, 8).contains(x, y), "its mark stays free"
            away = max(
                plate.left() - x, x - plate.right(), plate.top() - y, y - plate.bottom()
            )
            assert away < 20, "and is the nearest to it"
    # Only where marks lie on every other side a little of it is cut, and never much of it.
    beset = [(float(x), 200.0) for x in range(90, 400, 15)]
    beset += [
        (float(x), y) for x in range(0, 400, 15) for y in (140.0, 170.0, 230.0, 260.0)
    ]
    [cut] = arrange([Label(90, 200, 90, high)], beset, within=room, cut=0.5)
    assert 90 + cut.dx < 0
    assert arrange([Label(90, 200, 120, high)], beset, within=room, cut=0.5) == [None]
    [must] = arrange([Label(90, 200, 120, high, must=True)], beset, within=room, cut=0.5)
    assert must is not None


def test_the_length_of_a_scale_at_the_edge_stands_where_it_is_seen():
    room = (700.0, 400.0)
    for y in (5.0, 200.0, 395.0):
        for x in (-300.0, 10.0, 400.0):
            _, rect = beside((x, y), (x + 600, y), (80, 20), [], 14, room)
            assert QRectF(0, 0, *room).contains(QRectF(*rect))


def test_frames_of_a_drawer_are_numbered_row_by_row():
    truth = truth_of("drawer-of-six")
    boxes = {str(at): Box(*one["frame"]) for at, one in enumerate(truth["frames"])}
    assert _by_rows(dict(reversed(boxes.items()))) == list("012345")
    assert _by_rows({}) == []
