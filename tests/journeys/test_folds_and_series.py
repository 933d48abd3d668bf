"""Folds counted, series clicked and margins compared on the picture."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

from app.instruments.folds import FOLD, Folds
from app.instruments.margins import Margins
from app.instruments.series import ONE, Series
from app.panels.fold_strip import FoldStrip
from app.panels.landmark_list import LandmarkList
from app.panels.margin_strip import MarginStrip
from app.panels.measures import MeasureLine
from app.panels.series_strip import SeriesStrip
from app.session import Tool, deeds
from landmarks.errors import PlacingError
from landmarks.figures import Line, Lozenge
from landmarks.geometry import Point, distance
from landmarks.placing import Placing, edges_of
from landmarks.sentences import Sentence, text
from tests.app import helpers_mouse as mouse
from tests.truths import truth_of

pytestmark = pytest.mark.journey


def _placed(person):
    session = person.session
    return session.specimen.placed(session.frame.id)


def _measures(person):
    return {row.key: row.value for row in person.session.assessment.measures}


def _with_margin(person, truth):
    """Give the frame a traced margin, and take its folds away."""
    session = person.session
    for key in ("main_folds", "end_folds"):
        deeds.clear_landmark(session, key)
    points = tuple(Point(*one) for one in truth["more_landmarks"]["upper_margin_line"])
    specimen = session.specimen.with_one(
        Placing("m", session.frame.id, "upper_margin_line", points)
    )
    session.do(Sentence("deed.set_label"), specimen)


def _count_folds(person, truth):
    """Count the folds of a traced margin; return the instrument and its strip."""
    _with_margin(person, truth)
    person.look_at_picture()
    person.key(Qt.Key.Key_K)
    folds = person.session.instrument
    assert isinstance(folds, Folds)
    person.wait(lambda: not folds.busy)
    return folds, person.window.strips.findChild(FoldStrip)


def test_folds_of_the_margin_and_a_transect_become_two_placings(person):
    truth = truth_of("fluted-valve-outside")
    folds, strip = _count_folds(person, truth)
    assert folds.number_of("main") == 5
    assert "main_folds" not in _placed(person)
    person.press(strip.transect)
    ends, main = truth["landmarks"]["end_folds"], truth["landmarks"]["main_folds"]
    umbo = Point(*truth["landmarks"]["umbo"])
    for x, y in (ends[0], *main, ends[1]):
        person.place((umbo.x + (x - umbo.x) * 0.88, umbo.y + (y - umbo.y) * 0.88))
    person.key(Qt.Key.Key_Return)
    person.wait(lambda: not folds.busy)
    assert (folds.number_of("main"), folds.number_of("end")) == (5, 2)
    assert {plot.isVisible() for plot in strip.plots.values()} == {True}
    assert "7" in strip.state.text()
    person.key(Qt.Key.Key_Return)
    placed = _placed(person)
    assert len(placed["main_folds"].points) == 5
    assert len(placed["end_folds"].points) == 2
    assert placed["main_folds"].how == "proposal_accepted"
    assert placed["main_folds"].instrument == "folds"
    near = [min(distance(one, Point(*fold)) for one in placed["main_folds"].points)
            for fold in main]  # fmt: skip
    assert max(near) < 12
    assert _measures(person)["main_folds"].value == 5
    assert person.session.instrument is None
    # What is changed by hand later on leaves what was proposed known, and the list says so.
    proposed = placed["main_folds"].points
    marks = person.window.strips.open("landmarks")
    assert any(line.where == "5 marked, as proposed" for line in marks.lines())
    person.look_at_picture()
    person.drag(proposed[2], (proposed[2].x, proposed[2].y - 25))
    person.key(Qt.Key.Key_Delete)
    changed = _placed(person)["main_folds"]
    assert (len(changed.points), changed.how) == (4, "corrected")
    assert changed.proposed == proposed
    said = "4 marked, corrected: 4 of 5 proposed kept"
    person.wait(lambda: said in [line.where for line in marks.lines()])
    for _ in range(3):
        person.session.undo()
    assert "main_folds" not in _placed(person)
    assert "end_folds" not in _placed(person)


def test_marks_are_added_moved_turned_and_taken_away(person):
    truth = truth_of("fluted-valve-outside")
    folds, strip = _count_folds(person, truth)
    before = folds.folds
    # By the keyboard alone: the next mark, the one before, a nudge, and back.
    person.key(Qt.Key.Key_Period)
    assert person.session.mark == (FOLD, 0)
    person.key(Qt.Key.Key_Comma)
    assert person.session.mark == (FOLD, 4)
    person.key(Qt.Key.Key_Up)
    assert folds.folds[4].point.y == before[4].point.y - 1
    # By a tenth as well: with Ctrl, an arrow would leave for the next picture.
    person.key(Qt.Key.Key_Right, Qt.KeyboardModifier.AltModifier)
    assert person.session.instrument is folds
    assert folds.folds[4].point.x == pytest.approx(before[4].point.x + 0.1)
    person.key(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    person.key(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert folds.folds == before
    person.place(truth["landmarks"]["end_folds"][0])
    assert len(folds.folds) == 6
    assert person.session.mark[0] == FOLD, "what was added is chosen"
    index = next(k for k, one in enumerate(folds.folds) if one not in before)
    # It joins in the order along the margin, and is told apart by its shape.
    assert index in (0, 5)
    person.place(folds.folds[index].point)
    assert person.window.canvas.selection == (FOLD, index)
    person.press(strip.turn)
    assert folds.folds[index].kind == "end"
    mark = next(
        one for one in folds.marks if isinstance(one, Lozenge) and one.index == index
    )
    assert mark.square
    middle = folds.folds[2].point
    person.drag(middle, (middle.x, middle.y - 25))
    moved = min(folds.folds, key=lambda one: distance(one.point, middle)).point
    assert distance(moved, Point(middle.x, middle.y - 25)) < 2
    person.key(Qt.Key.Key_Delete)
    assert len(folds.folds) == 5
    person.key(Qt.Key.Key_Backspace)
    assert len(folds.folds) == 6
    person.key(Qt.Key.Key_Return)
    placed = _placed(person)
    assert placed["main_folds"].how == "corrected"
    assert placed["main_folds"].proposed
    assert len(placed["end_folds"].points) == 1


def test_folds_left_half_done_are_gone_on_with(person):
    truth = truth_of("fluted-valve-outside")
    session = person.session
    folds, strip = _count_folds(person, truth)
    proposed = folds.folds
    person.place(truth["landmarks"]["end_folds"][0])
    person.key(Qt.Key.Key_Up)
    marked = folds.folds
    person.press(strip.transect)
    for place in truth["landmarks"]["main_folds"][:2]:
        person.place((place[0], place[1] + 60))
    transect = folds.transect
    assert len(transect) == 2
    person.leave_and_come_back()
    person.key(Qt.Key.Key_K)
    folds = session.instrument
    assert "As you left it" in person.strip_said()
    person.wait(lambda: not folds.busy)
    assert (folds.folds, folds.transect, folds.drawing) == (marked, transect, True)
    # Back to nothing: both clicks, the transect itself, the nudge, the mark, the instrument.
    for _ in range(5):
        person.key(Qt.Key.Key_Escape)
        assert session.instrument is folds
    assert folds.folds == proposed
    person.key(Qt.Key.Key_Escape)
    assert session.instrument is None
    person.key(Qt.Key.Key_K)
    folds = session.instrument
    person.wait(lambda: folds.folds == proposed)
    assert not folds.goes_on
    # What the program proposed is no draft, nor is what was taken away; one more mark is.
    person.key(Qt.Key.Key_K)
    person.key(Qt.Key.Key_K)
    assert not session.instrument.goes_on
    person.wait(lambda: session.instrument.folds == proposed)
    person.place(truth["landmarks"]["end_folds"][0])
    for _ in range(6):
        session.instrument.delete(FOLD, 0)
    person.leave_and_come_back()
    person.key(Qt.Key.Key_K)
    assert not session.instrument.goes_on
    person.wait(lambda: session.instrument.folds == proposed)
    person.place(truth["landmarks"]["end_folds"][0])
    person.key(Qt.Key.Key_Return)
    assert "main_folds" in _placed(person)
    person.key(Qt.Key.Key_K)
    assert not session.instrument.goes_on


def test_a_counted_transect_is_gone_on_with_and_taken_back_click_by_click(person):
    session = person.session
    for key in ("main_folds", "end_folds"):
        deeds.clear_landmark(session, key)
    person.look_at_picture()
    person.key(Qt.Key.Key_K)
    person.place((600.0, 300.0))
    person.place((640.0, 300.0))
    person.key(Qt.Key.Key_Return)
    person.wait(lambda: not session.instrument.busy)
    person.leave_and_come_back()
    person.key(Qt.Key.Key_K)
    folds, strip = session.instrument, person.window.strips.findChild(FoldStrip)
    person.wait(lambda: "40" in strip.state.text())
    assert not folds.drawing
    for n in (2, 1, 0):
        person.key(Qt.Key.Key_Backspace)
        assert (folds.drawing, len(folds.transect)) == (True, n)
    person.key(Qt.Key.Key_Backspace)
    assert session.instrument is None


def test_a_peak_of_the_profile_and_its_mark_light_each_other(person):
    truth = truth_of("fluted-valve-outside")
    folds, strip = _count_folds(person, truth)
    lit = []
    person.session.lit.connect(lambda landmarks, _measure: lit.append(landmarks))
    plot = strip.plots["margin"]
    person.wait(lambda: plot.isVisible() and plot.width() > 100)
    place = plot.place_of(2)
    kind, none = QEvent.Type.MouseMove, Qt.MouseButton.NoButton
    keys = Qt.KeyboardModifier.NoModifier
    move = QMouseEvent(kind, place, plot.mapToGlobal(place), none, none, keys)
    QApplication.sendEvent(plot, move)
    person.wait(lambda: plot.lit == 2)
    assert lit[-1] == (f"{FOLD}/2",)
    mouse.move(person.window.canvas, person.at(folds.folds[3].point))
    assert plot.lit == 3


def test_without_a_margin_one_clicks_across_the_folds_first(person):
    session = person.session
    for key in ("main_folds", "end_folds"):
        deeds.clear_landmark(session, key)
    person.look_at_picture()
    person.key(Qt.Key.Key_K)
    assert session.instrument.drawing
    person.place((600.0, 300.0))
    person.place((640.0, 300.0))
    person.key(Qt.Key.Key_Return)
    person.wait(lambda: not session.instrument.busy)
    strip = person.window.strips.findChild(FoldStrip)
    assert session.instrument.folds == ()
    assert "40" in strip.state.text()
    assert not strip.accept.isEnabled()


def test_eyes_come_out_in_the_order_of_the_edge(person):
    truth = truth_of("mantle-edge-with-eyes")
    person.choose_picture("mantle-edge-with-eyes.jpg")
    session = person.session
    deeds.clear_landmark(session, "eyes")
    deeds.arm(session, "eyes")
    series = session.instrument
    assert isinstance(series, Series)
    assert series.guide
    eyes = truth["landmarks"]["eyes"]
    for eye in (*eyes[10:14], *eyes[4:8]):
        person.place(eye)
    person.place((eyes[20][0], eyes[20][1]))
    person.key(Qt.Key.Key_Backspace)
    strip = person.window.strips.findChild(SeriesStrip)
    assert len(series.points) == 8
    assert "8" in strip.accept.text()
    assert strip.told.text()
    assert "eyes" not in _placed(person)
    # At least is taken back like a click, and said by key or box.
    person.key(Qt.Key.Key_H)
    assert (strip.at_least.isChecked(), strip.accept.text()) == (True, "Accept at least 8")
    person.key(Qt.Key.Key_Backspace)
    assert (series.at_least, len(series.points)) == (False, 8)
    person.press(strip.at_least)
    person.key(Qt.Key.Key_Return)
    placing = _placed(person)["eyes"]
    assert placing.at_least
    wanted = [Point(*one) for one in (*eyes[4:8], *eyes[10:14])]
    found = placing.points
    if distance(found[0], wanted[0]) > distance(found[0], wanted[-1]):
        wanted.reverse()
    assert all(distance(a, b) < 2 for a, b in zip(found, wanted, strict=True))
    assert (placing.instrument, placing.how) == ("series", "clicked")
    assert _measures(person)["eye_regularity"] is not None
    person.session.undo()
    assert "eyes" not in _placed(person)


def test_scutes_are_clicked_edge_by_edge_and_give_three_placings(person):
    scutes = truth_of("fluted-valve-outside")["middle_fold_scutes"]
    wide = sorted(scutes, key=lambda one: one["right"][0] - one["left"][0])[-4:]
    wide.sort(key=lambda one: -one["left"][1])
    person.key(Qt.Key.Key_G)
    series, strip = person.session.instrument, person.window.strips.findChild(SeriesStrip)
    assert isinstance(series, Series)
    assert series.scuted
    for at, one in enumerate(wide):
        # Which edge comes first does not matter where there is a guide.
        first, second = ("right", "left") if at % 2 else ("left", "right")
        person.place(one[first])
        assert series.scutes.next_edge == "second"
        person.place(one[second])
    assert len(series.points) == 4
    assert "scute" in strip.told.text().lower()
    # A fifth with one edge only is asked for, and never dropped.
    person.place((wide[0]["left"][0], wide[0]["left"][1] - 30))
    waits = series.scutes
    person.leave_and_come_back()
    person.key(Qt.Key.Key_G)
    series = person.session.instrument
    assert series.scutes == waits
    assert "As you left it" in person.strip_said()
    person.wait(lambda: "scute" in strip.told.text().lower())
    person.key(Qt.Key.Key_Return)
    assert person.session.instrument is series
    assert "Scute 5 has one edge only" in person.window.band.band.accessibleDescription()
    person.key(Qt.Key.Key_Backspace)
    # An edge that is taken away leaves the other to wait: no two scutes come together.
    pairs = {(one.left, one.right) for one in series.scutes.scutes}
    first = series.clicks[0]
    series.delete(ONE, 0)
    assert {(one.left, one.right) for one in series.scutes.scutes} < pairs
    assert len(series.points) == 3
    person.place((first.x, first.y))
    assert len(series.points) == 4
    person.key(Qt.Key.Key_Return)
    placed = _placed(person)
    assert len(placed["scutes"].points) == 4
    left, right = placed["scute_left"].points[0], placed["scute_right"].points[0]
    assert any(distance(left, Point(*one["left"])) < 2
               and distance(right, Point(*one["right"])) < 2 for one in wide)  # fmt: skip
    assert _measures(person)["scute_gap"] is not None
    person.session.undo()
    assert not {"scutes", "scute_left", "scute_right"} & set(_placed(person))


def _click_scutes(person, n):
    """Click the lowest of the wide scutes, accept them, and return their placing."""
    scutes = truth_of("fluted-valve-outside")["middle_fold_scutes"]
    wide = sorted(scutes, key=lambda one: one["right"][0] - one["left"][0])[-n:]
    person.look_at_picture()
    person.key(Qt.Key.Key_G)
    for one in wide:
        person.place(one["left"])
        person.place(one["right"])
    person.key(Qt.Key.Key_Return)
    return _placed(person)["scutes"]


def _edges(placing):
    return [one for one in edges_of(placing) if one is not None]


def test_recorded_scutes_are_gone_on_with_edge_by_edge(person):
    """Taken up again they are as they were clicked; by hand their edges go with them."""
    session = person.session
    first = _click_scutes(person, 4)
    assert len(_edges(first)) == len(first.points) == 4
    person.key(Qt.Key.Key_G)
    series, strip = session.instrument, person.window.strips.findChild(SeriesStrip)
    assert (series.clicks, series.points) == (first.clicks, first.points)
    assert series.draft is None
    assert "without" not in strip.state.text()
    # Nothing of it leaves the picture: no click, no nudge, no edge of a scute that is moved.
    for beside in (series.click, lambda at, _: series.drop(ONE, 0, at)):
        with pytest.raises(PlacingError, match="outside the picture"):
            beside(Point(-3.0, 300.0), 1.0)
    series.drop(f"{ONE}/middle", 0, Point(0.0, 300.0))
    assert min(one.x for one in series.clicks) == pytest.approx(0, abs=1e-9)
    assert series.step_back()
    assert series.clicks == first.clicks
    # An Enter that changed nothing is no deed; one edge dragged is, and can be undone.
    before = session.specimen
    person.key(Qt.Key.Key_Return)
    assert session.specimen == before
    # A correction by hand of an edge that is a landmark stays: its scute is not touched.
    session.do(Sentence("deed.set_label"), before.with_one(
        replace(_placed(person)["scute_left"], points=(Point(7.0, 7.0),))))  # fmt: skip
    person.look_at_picture()
    person.key(Qt.Key.Key_G)
    series = session.instrument
    chosen = min(series.scutes.scutes, key=series._off_two_thirds)
    other = next(one for one in series.scutes.scutes if one != chosen)
    person.drag(other.left, (other.left.x - 6, other.left.y))
    assert series.step_back()
    assert series.clicks == first.clicks
    person.drag(other.left, (other.left.x - 6, other.left.y))
    person.key(Qt.Key.Key_Return)
    widened = _placed(person)["scutes"]
    assert len(set(widened.clicks) & set(first.clicks)) == 7
    assert _placed(person)["scute_left"].points == (Point(7.0, 7.0),)
    session.undo()
    assert _placed(person)["scutes"] == first
    # By hand, the trace that is armed next put down: a middle takes its edges along.
    person.look_at_picture()
    person.key(Qt.Key.Key_Escape)
    assert session.instrument is None
    middle = first.points[1]
    person.drag(middle, (middle.x + 12, middle.y - 9))
    moved = _placed(person)["scutes"]
    assert distance(moved.points[1], middle) > 10
    (left, _), (was, _) = _edges(moved)[1], _edges(first)[1]
    assert (left.x - was.x, left.y - was.y) == pytest.approx(
        (moved.points[1].x - middle.x, moved.points[1].y - middle.y)
    )
    assert len(_edges(moved)) == 4
    person.key(Qt.Key.Key_Delete)
    assert len(_edges(_placed(person)["scutes"])) == 3
    # One clicked singly has no edges: the strip says so, and Enter alone changes nothing.
    session.hand.take_tool(Tool("landmark", "scutes"))
    person.place((middle.x, middle.y))
    single = _placed(person)["scutes"]
    assert (len(single.points), len(_edges(single))) == (4, 3)
    person.key(Qt.Key.Key_G)
    assert len(session.instrument.points) == 3
    assert "1 recorded scute came without its edges" in strip.state.text()
    person.key(Qt.Key.Key_Return)
    assert _placed(person)["scutes"] == single
    for _ in range(3):
        session.undo()
    assert _placed(person)["scutes"] == first


def test_scutes_of_an_older_record_open_empty_and_say_so(person):
    session = person.session
    older = replace(_click_scutes(person, 3), clicks=())
    session.do(Sentence("deed.set_label"), session.specimen.with_one(older))
    person.look_at_picture()
    person.key(Qt.Key.Key_G)
    strip = person.window.strips.findChild(SeriesStrip)
    assert session.instrument.clicks == ()
    assert "3 recorded scutes came without their edges" in strip.state.text()
    assert not strip.accept.isEnabled()
    person.key(Qt.Key.Key_Return)
    assert _placed(person)["scutes"] == older


def test_a_guide_is_clicked_first_where_none_is_traced(person):
    person.choose_picture("mantle-edge-with-eyes.jpg")
    session = person.session
    for key in ("edge", "eyes"):
        deeds.clear_landmark(session, key)
    person.look_at_picture()
    deeds.arm(session, "eyes")
    assert session.instrument is None
    person.key(Qt.Key.Key_G)
    strip = person.window.strips.findChild(SeriesStrip)
    person.press(strip.guide)
    for point in ((300.0, 500.0), (900.0, 500.0), (1400.0, 500.0)):
        person.place(point)
    person.key(Qt.Key.Key_Return)
    for point in ((1200.0, 560.0), (500.0, 560.0), (800.0, 560.0)):
        person.place(point)
    person.key(Qt.Key.Key_Return)
    placing = _placed(person)["eyes"]
    assert [round(one.x, -1) for one in placing.points] == [500, 800, 1200]
    assert len(placing.anchors) == 3
    # The guide is the person's too: it stays where the series is gone on with.
    person.key(Qt.Key.Key_G)
    series = session.instrument
    assert series.guide == placing.anchors
    person.drag(placing.points[0], (300.0, 560.0))
    person.place((1000.0, 560.0))
    person.leave_and_come_back()
    person.key(Qt.Key.Key_G)
    series = session.instrument
    assert [round(one.x, -1) for one in series.points] == [300, 800, 1000, 1200]
    for _ in range(2):
        person.key(Qt.Key.Key_Escape)
    assert series.points == placing.points
    person.key(Qt.Key.Key_Escape)
    assert session.instrument is None
    person.key(Qt.Key.Key_G)
    assert not session.instrument.goes_on
    for _ in placing.points:
        session.instrument.delete(ONE, 0)
    person.key(Qt.Key.Key_G)
    person.key(Qt.Key.Key_G)
    assert session.instrument.points == placing.points, "with none left there is no draft"


@pytest.mark.parametrize(
    ("name", "gapes"),
    [("gaping-pair-upper-margin.jpg", True), ("closed-pair-upper-margin.jpg", False)],
)
def test_two_margins_tell_a_gap_from_noise(person, name, gapes):
    person.choose_picture(name)
    person.key(Qt.Key.Key_M)
    margins, strip = person.session.instrument, person.window.strips.findChild(MarginStrip)
    assert isinstance(margins, Margins)
    person.wait(lambda: margins.compared is not None and strip.plot.isVisible())
    assert bool(margins.compared.from_zero("gap_length_share")) is gapes
    key = person.session.assessment.measures
    assert any(row.key == "margin_fit" for row in key)
    for wide, n_lines in ((False, 3), (True, 1)):
        strip.arrange(wide=wide)
        assert len(strip.told.text().splitlines()) == n_lines
    margin = truth_of(name.removesuffix(".jpg"))["landmarks"]["margin_left"]
    middle = margin[len(margin) // 2]
    mouse.move(person.window.canvas, person.at(middle))
    station = margins.station
    assert station is not None
    line = next(one for one in margins.marks if isinstance(one, Line))
    assert (
        min(distance(line.start, Point(*middle)), distance(line.end, Point(*middle))) < 25
    )
    strip.plot.pointed.emit(0.1)
    assert margins.station not in (None, station)
    person.key(Qt.Key.Key_Escape)
    assert person.session.instrument is None


@pytest.mark.parametrize("key", [Qt.Key.Key_G, Qt.Key.Key_M])
def test_where_there_is_nothing_to_do_it_says_so(person, key):
    person.choose_picture("fluted-valve-inside.jpg")
    person.key(key)
    assert person.session.instrument is None
    assert person.window.band.isVisible()


def test_at_least_is_said_of_folds_by_key_and_box_taken_back_and_undone(person):
    truth = truth_of("fluted-valve-outside")
    folds, strip = _count_folds(person, truth)
    boxes = strip.at_least
    assert (boxes["main"].isVisible(), boxes["end"].isVisible()) == (True, False)
    # Nothing is marked of the end folds, so nothing can be more than that.
    person.key(Qt.Key.Key_H, Qt.KeyboardModifier.ShiftModifier)
    assert folds.at_least == frozenset()
    assert "needs a mark" in person.window.band.band.accessibleDescription()
    person.key(Qt.Key.Key_H)
    assert boxes["main"].isChecked()
    assert strip.accept.text() == "Accept at least 5 main folds"
    assert strip.accept.accessibleName() == strip.accept.text()
    assert [one.written for one in folds.marks][-1] == "5+"
    person.key(Qt.Key.Key_Backspace)
    assert not boxes["main"].isChecked(), "it is taken back like a click"
    person.press(boxes["main"])
    person.key(Qt.Key.Key_Return)
    placing = _placed(person)["main_folds"]
    assert (len(placing.points), placing.at_least) == (5, True)
    # The inside of the valve shows that these are all, and is believed.
    row = next(r for r in person.session.assessment.measures if r.key == "main_folds")
    assert (row.at_least, [one.at_least for one in row.others]) == (False, [True])
    # Taken up again and said anew, only that is changed of the placing.
    person.look_at_picture()
    person.key(Qt.Key.Key_K)
    person.wait(lambda: not person.session.instrument.busy)
    assert strip.at_least["main"].isChecked()
    person.key(Qt.Key.Key_H)
    person.key(Qt.Key.Key_Return)
    assert _placed(person)["main_folds"] == replace(placing, at_least=False)
    person.session.undo()
    assert _placed(person)["main_folds"] == placing
    person.session.undo()
    assert "main_folds" not in _placed(person)
    person.session.redo()
    assert _placed(person)["main_folds"] == placing


def test_at_least_is_said_of_what_stands_and_lasts_while_marks_come_and_go(person):
    """By the key, by the menu of reasons and by the list, without an instrument."""
    session = person.session
    before = _placed(person)["main_folds"]
    person.look_at_picture()
    person.key(Qt.Key.Key_H)
    assert _placed(person)["main_folds"] == replace(before, at_least=True)
    assert session.undo_name is not None
    assert "at least 5 main folds" in text(session.undo_name)
    person.window.open_strip("landmarks")
    table = person.window.strips.findChild(LandmarkList)
    at = next(k for k, one in enumerate(table.lines()) if one.landmark == "main_folds")
    assert table.lines()[at].where == "at least 5"
    deeds.arm(session, "main_folds")
    person.place((700.0, 500.0))
    placing = _placed(person)["main_folds"]
    assert (len(placing.points), placing.at_least) == (6, True)
    # The other picture shows five: one of them hides there.
    lines = person.window.findChildren(MeasureLine)
    (line,) = [one for one in lines if one.key == "main_folds"]
    person.wait(lambda: line.value == "≥ 6")
    assert "≥ 6" in line.accessibleName()
    menu = person.window.band.reasons_menu()
    menu.actions()[0].trigger()
    assert not _placed(person)["main_folds"].at_least
    table.table.setCurrentCell(at, 1)
    person.press(table.at_least)
    assert _placed(person)["main_folds"].at_least
    for _ in range(6):
        placing = _placed(person)["main_folds"]
        deeds.delete_mark(session, placing.id, 0)
    assert "main_folds" not in _placed(person), "of none nothing is more"
    while "main_folds" not in _placed(person) or _placed(person)["main_folds"] != before:
        session.undo()
