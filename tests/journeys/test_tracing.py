"""Edges traced on the picture: few clicks, one deed, and what was proposed is kept."""

from __future__ import annotations

from math import hypot
from sys import getswitchinterval
from threading import Event

import pytest
from PySide6.QtCore import Qt

from app.instruments.edge_trace import KNOT, EdgeTrace
from app.panels.trace_strip import TraceStrip
from app.session import deeds
from landmarks.geometry import Point
from tests.app import helpers_mouse as mouse
from tests.truths import truth_of

pytestmark = pytest.mark.journey

LINE = "upper_margin_line"


@pytest.fixture
def truth():
    return truth_of("fluted-valve-outside")


def _settled(person):
    person.wait(lambda: not person.window.taking_up.busy)


def _trace(person, points):
    for point in points:
        person.place(point)
        _settled(person)


def _traced(person, points):
    """Trace the margin by seven clicks, and return the instrument with the finished line."""
    deeds.arm(person.session, LINE)
    trace = person.session.instrument
    _trace(person, _chosen(points, 7))
    person.key(Qt.Key.Key_Return)
    person.wait(lambda: not trace.busy)
    return trace


def _placed(person, landmark=LINE):
    session = person.session
    return session.specimen.placed(session.frame.id).get(landmark)


def _chosen(points, n):
    return [points[round(k * (len(points) - 1) / (n - 1))] for k in range(n)]


def _off(line, truth):
    """Return the root mean square distance of a line from the truth, in pixels."""
    from shapely import LineString
    from shapely import Point as Place

    true = LineString(truth)
    away = [true.distance(Place(*point)) for point in line]
    return (sum(one * one for one in away) / len(away)) ** 0.5


def test_a_margin_takes_nine_clicks_and_enter_twice(person, truth):
    points = truth["more_landmarks"][LINE]
    deeds.arm(person.session, LINE)
    trace = person.session.instrument
    assert isinstance(trace, EdgeTrace)
    assert person.window.strips.current == "edge_trace"
    n_before = len(person.session.specimen.placings)
    _trace(person, _chosen(points, 9))
    assert trace.n_clicks == 9
    assert len(person.session.specimen.placings) == n_before
    assert person.window.hints.context() == "edge_trace"
    person.key(Qt.Key.Key_Return)
    assert trace.finished
    assert person.window.hints.context() == "traced_line", "a click corrects it now"
    person.wait(lambda: not trace.busy)
    (shown,) = (mark.points for mark in trace.marks if mark.id == "work/line")
    assert trace.marks[0].points is shown, "nothing is joined anew while nothing changes"
    before = dict(person.window.side.measures.lines)
    person.key(Qt.Key.Key_Return)
    placing = _placed(person)
    assert placing.points == shown, "what is shown is what is kept"
    assert person.session.instrument is trace, "what comes next has a turn of its own"
    after = person.window.side.measures.lines
    assert after.keys() - before.keys(), "the traced margin gives a measure more"
    assert all(after[key] is line for key, line in before.items()), (
        "rows that stay are kept"
    )
    assert getswitchinterval() <= 0.002
    assert (placing.instrument, placing.how) == ("edge_trace", "proposal_accepted")
    assert len(placing.anchors) == 9
    assert placing.proposed == ()
    assert len(placing.points) > 300
    assert _off(placing.points, points) < 2.5
    # It begins and ends on the landmarks that its ends were clicked on.
    ends = {key: _placed(person, key).points[0] for key in ("byssal_end", "ligament_end")}
    assert placing.points[0] == ends["byssal_end"]
    assert placing.points[-1] == ends["ligament_end"]
    assert person.session.undo_name.key == "deed.trace"
    person.wait(lambda: person.session.instrument is None)
    rows = {row.key for row in person.session.assessment.measures}
    person.window.session.undo()
    assert _placed(person) is None
    person.wait_until_saved()
    assert rows


def test_the_outline_of_a_valve_is_followed_all_the_way_round(person, truth):
    deeds.arm(person.session, "valve_outline")
    trace, at = person.session.instrument, truth["landmarks"]
    assert trace.closed
    _trace(person, [
        at["byssal_end"], *at["main_folds"][3:0:-1], at["ligament_end"], at["end_folds"][0],
        at["hinge_ligament"], at["umbo"], at["hinge_byssal"], at["end_folds"][1],
    ])  # fmt: skip
    person.key(Qt.Key.Key_Return)
    person.wait(lambda: trace.finished and not trace.busy)
    person.key(Qt.Key.Key_Return)
    points = _placed(person, "valve_outline").points
    across, down = [p.x for p in points], [p.y for p in points]
    assert min(across) == pytest.approx(at["ligament_end"][0], abs=6)
    assert max(across) == pytest.approx(at["byssal_end"][0], abs=6)
    assert min(down) == pytest.approx(at["upper_margin"][1], abs=6)
    assert max(down) == pytest.approx(at["umbo"][1], abs=6)


def test_it_follows_the_pointer_and_shift_draws_straight(person, truth):
    points = truth["more_landmarks"][LINE]
    deeds.arm(person.session, LINE)
    _trace(person, [points[20]])
    canvas, trace = person.window.canvas, person.session.instrument
    place = canvas.place_of(Point(*points[40]))
    mouse.move(canvas, place)
    person.wait(lambda: any(m.id == "work/preview" and len(m.points) > 20
                            for m in trace.marks))  # fmt: skip
    preview = next(m for m in trace.marks if m.id == "work/preview")
    assert _off(preview.points, points) < 4
    mouse.send(canvas, mouse.Kind.MouseMove, place, keys=Qt.KeyboardModifier.ShiftModifier)
    preview = next(m for m in trace.marks if m.id == "work/preview")
    assert len(preview.points) == 2


def test_what_was_proposed_is_kept_where_it_was_corrected(person, truth):
    points = truth["more_landmarks"][LINE]
    trace = _traced(person, points)
    x, y = points[45]
    aside = (x + 3.0, y + 4.0)
    person.place(aside)
    person.wait(lambda: not trace.busy)
    assert trace.n_clicks == 8
    person.key(Qt.Key.Key_Return)
    placing = _placed(person)
    assert placing.how == "corrected"
    assert placing.proposed
    assert placing.proposed != placing.points
    # A correction is never snapped.
    assert min(hypot(a.x - aside[0], a.y - aside[1]) for a in placing.anchors) < 1
    assert len(placing.anchors) == 8

    person.wait(lambda: person.session.instrument is None)
    deeds.arm(person.session, LINE)
    again = person.session.instrument
    assert again.finished
    assert again.n_clicks == 8
    person.key(Qt.Key.Key_Backspace)
    assert person.session.instrument is None
    assert _placed(person) == placing


def test_clicks_are_taken_back_one_by_one(person, truth):
    points = truth["more_landmarks"][LINE]
    deeds.arm(person.session, LINE)
    trace = person.session.instrument
    _trace(person, _chosen(points, 7)[:4])
    recorded = person.session.undo_name
    person.key(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert trace.n_clicks == 3
    assert person.session.undo_name == recorded, "no deed that was done before"
    assert person.window.header.undo.accessibleName() == "Undo the last click"
    person.key(Qt.Key.Key_Backspace)
    assert trace.n_clicks == 2
    person.key(Qt.Key.Key_Escape)
    assert trace.n_clicks == 1
    person.key(Qt.Key.Key_Escape)
    person.key(Qt.Key.Key_Escape)
    assert person.session.instrument is None
    assert person.session.tool is None


def test_an_anchor_is_dragged_and_deleted(person, truth):
    points = truth["more_landmarks"][LINE]
    trace = _traced(person, points)
    knot = next(m.point for m in trace.marks if m.id == KNOT and m.index == 3)
    person.drag(knot, (knot.x + 20, knot.y + 20))
    person.wait(lambda: not trace.busy)
    moved = next(m.point for m in trace.marks if m.id == KNOT and m.index == 3)
    assert hypot(moved.x - knot.x - 20, moved.y - knot.y - 20) < 2
    person.key(Qt.Key.Key_Delete)
    person.wait(lambda: not trace.busy)
    assert trace.n_clicks == 6
    # Left at once, a correction is made when the line is gone on with, and taken back like
    # those before it.
    person.place((knot.x + 10, knot.y + 12))
    person.leave_and_come_back()
    person.key(Qt.Key.Key_E)
    trace = person.session.instrument
    person.wait(lambda: not trace.busy)
    assert trace.n_clicks == 7
    assert "As you left it" in person.strip_said()
    for n in (6, 7, 7):
        person.key(Qt.Key.Key_Backspace)
        assert trace.n_clicks == n
    assert next(m.point for m in trace.marks if m.id == KNOT and m.index == 3) == knot
    person.key(Qt.Key.Key_Return)
    person.wait(lambda: person.session.instrument is None)
    person.key(Qt.Key.Key_E)
    assert not person.session.instrument.goes_on


def test_a_line_left_half_done_is_taken_up_again(person, truth):
    points = truth["more_landmarks"][LINE]
    session = person.session
    deeds.arm(session, LINE)
    _trace(person, _chosen(points, 7)[:4])
    deeds.arm(session, "umbo")
    assert session.instrument is None
    deeds.arm(session, LINE)
    assert session.instrument.n_clicks == 4
    assert _placed(person) is None
    for _ in range(5):
        person.key(Qt.Key.Key_Escape)
    assert session.instrument is None
    deeds.arm(session, LINE)
    assert session.instrument.n_clicks == 0, "what was taken back does not come again"


def test_point_by_point_by_one_key(person, truth):
    points = truth["more_landmarks"][LINE]
    session = person.session
    person.key(Qt.Key.Key_E)
    assert isinstance(session.instrument, EdgeTrace)
    person.key(Qt.Key.Key_E)
    assert session.instrument is None
    assert session.tool.landmark == LINE
    for point in _chosen(points, 7)[1:3]:
        person.place(point)
    assert len(_placed(person).points) == 2
    assert _placed(person).how == "clicked"
    person.key(Qt.Key.Key_E)
    assert session.instrument.n_clicks == 2


def test_an_outline_closes_on_its_first_click(open_window):
    person = open_window()
    session = person.session
    truth = truth_of("smooth-inhalant-opening")
    outline = truth["landmarks"]["opening"]
    person.choose_picture("smooth-inhalant-opening.jpg")
    deeds.clear_landmark(session, "opening")
    deeds.arm(session, "opening")
    trace = session.instrument
    assert trace.closed
    clicks = [outline[round(k * len(outline) / 8)] for k in range(8)]
    _trace(person, clicks)
    first = next(m.point for m in trace.marks if m.id == KNOT and m.index == 0)
    person.place(first)
    assert trace.finished
    person.wait(lambda: not trace.busy)
    person.press(person.window.strips.findChild(TraceStrip).accept)
    placing = _placed(person, "opening")
    assert placing.instrument == "edge_trace"
    assert len(placing.anchors) == 8
    assert _off(placing.points, [*outline, outline[0]]) < 3


def test_a_reason_is_an_answer_while_the_edge_is_traced(person, truth):
    points = truth["more_landmarks"][LINE]
    session = person.session
    deeds.arm(session, LINE)
    _trace(person, _chosen(points, 7)[:2])
    person.key(Qt.Key.Key_X)
    assert _placed(person).reason == "hidden"
    assert not isinstance(session.instrument, EdgeTrace)
    session.undo()
    assert _placed(person) is None


def test_two_clicks_are_too_few_for_an_outline(open_window):
    person = open_window()
    person.choose_picture("smooth-inhalant-opening.jpg")
    session = person.session
    deeds.clear_landmark(session, "opening")
    deeds.arm(session, "opening")
    _trace(person, [(700.0, 500.0), (900.0, 520.0)])
    person.key(Qt.Key.Key_Return)
    assert not session.instrument.finished
    assert person.window.band.isVisible()
    assert "three" in person.window.band.band.accessibleDescription()
    # What was answered is not said any more.
    _trace(person, [(800.0, 640.0)])
    assert "three" not in person.window.band.band.accessibleDescription()


def test_a_view_without_lines_says_so(open_window):
    person = open_window()
    person.choose_picture("paired-valves-hinge-edge.jpg")
    person.key(Qt.Key.Key_E)
    assert person.session.instrument is None
    assert "line" in person.window.band.band.accessibleDescription()


def test_small_steps_go_on_and_a_click_on_the_last_mark_ends_the_line(person, truth):
    points = truth["more_landmarks"][LINE]
    session, canvas = person.session, person.window.canvas
    deeds.arm(session, LINE)
    trace = session.instrument
    _trace(person, [points[30], points[60]])
    last = next(m.point for m in trace.marks if m.id == KNOT and m.index == 1)
    person.place((last.x, last.y - 8 / canvas.zoom))
    _settled(person)
    assert trace.n_clicks == 3
    assert not trace.finished
    last = next(m.point for m in trace.marks if m.id == KNOT and m.index == 2)
    # Who accepts it and leaves before it was followed anew is told that it is not yet.
    held = Event()
    trace._followed._desk.ask(lambda: held.wait(30), lambda _: None, lambda _: None)
    person.place(last)
    assert trace.finished
    assert trace.n_clicks == 3
    person.key(Qt.Key.Key_Return)
    assert trace.waits
    person.leave_and_come_back()
    held.set()
    assert "not accepted yet" in person.said()
    assert _placed(person) is None
    person.key(Qt.Key.Key_E)
    person.wait(lambda: not session.instrument.busy)
    person.key(Qt.Key.Key_Return)
    assert len(_placed(person).anchors) == 3
