"""A ruler is fitted along the dragged line, and four points put a plane straight."""

from threading import Event

import pytest
from PySide6.QtCore import Qt
from pytest import approx

from app.background import decoding
from app.session import deeds
from app.session.at_work import MARK
from landmarks.figures import Line, Quad, Ticks
from landmarks.geometry import Point
from tests.app import helpers_mouse as mouse

pytestmark = pytest.mark.journey

QUAD = ((300, 60), (1500, 70), (1480, 1060), (320, 1050))


@pytest.fixture
def person(open_window):
    person = open_window()
    person.wait(lambda: bool(person.window.canvas.levels))
    return person


@pytest.fixture
def ruled(person):
    """A person in front of the worked example, and both ends of its 150 mm ruler."""
    first, second = person.session.picture.scale.points
    return person, (first.x, first.y), (second.x, second.y)


def strip_of(person, name):
    return person.window.strips._made[name]


def shown(person, kind):
    marks = person.window.canvas._figure.marks
    return [mark for mark in marks if isinstance(mark, kind)]


def draw(person, first, second):
    person.look_at_picture()
    person.key(Qt.Key.Key_S)
    person.drag(first, second)
    strip = strip_of(person, "scale")
    strip.form.length.setFocus()
    strip.form.length.selectAll()
    return strip


def measure(person, first, second, words="150"):
    strip = draw(person, first, second)
    person.type(words)
    person.wait(lambda: strip._ruler.busy)
    person.wait(lambda: not strip._ruler.busy)
    return strip


def test_line_length_enter_and_the_graduation_is_the_scale(ruled):
    person, first, second = ruled
    by_hand = person.session.picture.scale
    strip = draw(person, first, (second[0] - 3, second[1]))
    assert strip.form.length.hasFocus()
    person.type("150")
    person.key(Qt.Key.Key_Return)  # At once, while the graduation is still looked for.
    person.wait(lambda: person.session.picture.scale != by_hand)
    scale = person.session.picture.scale
    assert scale.method == "ruler"
    assert person.session.undo_name.key == "deed.fit_ruler"
    far = ((second[0] - first[0]) ** 2 + (second[1] - first[1]) ** 2) ** 0.5
    assert scale.extra["ruler"]["px_per_mm"] == approx(far / 150, rel=2e-3)
    assert person.session.instrument is None
    person.wait(lambda: person.window.strips.current == "")
    (ticks,) = shown(person, Ticks)
    assert ticks.faint
    assert len(ticks.used) > 140
    assert strip.came.text().endswith("and accepted.")
    # Moved by hand later on, the scale still knows what was found along its line.
    end = scale.points[1]
    person.drag(end, (end.x - 40, end.y))
    assert person.session.picture.scale.method == "two_points"
    assert person.session.picture.scale.extra["proposed"]["graduation"] == "mm_1"
    person.wait_until_saved()
    for _ in range(2):
        person.session.undo()
    assert person.session.picture.scale == by_hand


@pytest.fixture
def slow(monkeypatch):
    """Let whole pictures come only once this is set."""
    there, whole = Event(), decoding.whole

    def held(*asked):
        assert there.wait(30)
        return whole(*asked)

    monkeypatch.setattr(decoding, "whole", held)
    yield there
    there.set()


@pytest.fixture
def early(open_window, slow):
    """A person who rules a picture of which only the small copy has been read."""
    person = open_window()
    first, second = person.session.picture.scale.points
    strip = draw(person, (first.x, first.y), (second.x - 3, second.y))
    assert not person.window.canvas.levels
    person.type("150")
    person.wait(lambda: strip._ruler.waits)
    return person, strip, slow


def test_a_ruler_waits_for_the_whole_picture_and_fits_by_itself(early):
    person, strip, there = early
    assert strip.fitted.title.text().startswith("Waiting until")
    assert "by itself" in strip.fitted.found.text()
    person.window.canvas.unread.emit()
    assert strip.fitted.title.text() == "Your two clicks count"
    assert "was not read" in strip.fitted.found.text()
    strip.form.length.selectAll()
    person.type("150.0 ")
    person.wait(lambda: strip._ruler.waits)
    there.set()
    person.wait(lambda: strip._ruler.fit is not None)
    assert "1 mm" in strip.fitted.title.text()


def test_accepted_while_the_picture_is_awaited_the_graduation_counts_later(early):
    person, _, there = early
    by_hand = person.session.picture.scale
    person.key(Qt.Key.Key_Return)
    assert person.session.instrument is None
    assert person.session.picture.scale == by_hand
    there.set()
    person.wait(lambda: person.session.picture.scale != by_hand)
    assert person.session.picture.scale.method == "ruler"


def test_what_was_found_is_shown_before_it_counts(ruled):
    person, first, second = ruled
    before = person.session.picture.scale
    strip = measure(person, first, second)
    assert strip.fitted.isVisible()
    assert "1 mm" in strip.fitted.title.text()
    assert "The graduation counts" in strip.fitted.found.text()
    assert strip.fitted.plot.isVisible()
    assert "ruler" in strip.result.text()
    assert strip.budget.text().startswith("A length across the picture")
    (ticks,) = shown(person, Ticks)
    assert ticks.id.startswith(MARK)
    assert not ticks.faint
    (line,) = (one for one in shown(person, Line) if one.kind == "scale")
    assert line.id.startswith(MARK), "the old line is not drawn beside the new one"
    assert person.session.picture.scale == before


def test_the_two_clicks_can_always_be_preferred(ruled):
    person, first, second = ruled
    strip = measure(person, first, second)
    person.press(strip.fitted.choice)
    assert "two points" in strip.result.text()
    strip.form.length.setFocus()
    person.key(Qt.Key.Key_Return)
    scale = person.session.picture.scale
    assert scale.method == "two_points"
    assert scale.length_mm == 150
    assert scale.extra["proposed"]["graduation"] == "mm_1"
    assert shown(person, Ticks) == []
    said = person.window.strips.open("scale").came.text()
    assert "graduation of 1 mm was found" in said
    assert "preferred" in said


def test_where_no_graduation_is_the_reason_is_said_and_the_clicks_count(ruled):
    person, _, _ = ruled
    strip = measure(person, (400, 300), (1400, 420))
    assert strip.fitted.title.text() == "Your two clicks count"
    assert "drag along" in strip.fitted.found.text()
    assert not strip.fitted.choice.isVisible()
    strip.form.length.setFocus()
    person.key(Qt.Key.Key_Return)
    scale = person.session.picture.scale
    assert scale.method == "two_points"
    assert scale.extra["proposed"]["refused"].startswith("ruler.refused")
    assert strip.came.text().startswith("No graduation was found")


def test_moving_an_end_looks_again(ruled):
    person, first, second = ruled
    strip = measure(person, first, second)
    shorter = (
        first[0] + (second[0] - first[0]) * 2 / 3,
        first[1] + (second[1] - first[1]) * 2 / 3,
    )
    canvas = person.window.canvas
    mouse.drag(canvas, person.at(second), person.at(shorter))
    person.wait(lambda: not strip._ruler.busy)
    assert strip._ruler.fit is None, "150 mm are not covered any more"
    strip.form.length.setFocus()
    strip.form.length.selectAll()
    person.type("100")
    person.wait(lambda: strip._ruler.fit is not None)
    assert strip._ruler.fit.n_used > 90


def test_esc_on_the_picture_puts_the_ruler_down(ruled):
    person, first, second = ruled
    before = person.session.picture.scale
    measure(person, first, second)
    person.look_at_picture()
    person.key(Qt.Key.Key_Escape)
    assert person.session.instrument is None
    assert person.window.strips.current == ""
    assert person.session.picture.scale == before
    assert not any(mark.id.startswith(MARK) for mark in shown(person, Line))


def test_after_enter_the_keys_are_with_the_picture_at_once(ruled):
    person, first, second = ruled
    before = person.session.picture.scale
    draw(person, first, second)
    person.type("150")
    person.key(Qt.Key.Key_Return)
    assert person.window.canvas.hasFocus()
    assert person.window.strips.current == ""
    person.wait(lambda: person.session.picture.scale != before)
    assert person.session.picture.scale.method == "ruler"


def test_enter_on_no_ruler_says_why_the_two_clicks_count(ruled):
    person, _, _ = ruled
    before, said = person.session.picture.scale, []
    person.session.noticed.connect(lambda sentence, _: said.append(sentence.key))
    draw(person, (400, 300), (1400, 420))
    person.type("150")
    person.key(Qt.Key.Key_Return)
    person.wait(lambda: person.session.picture.scale != before)
    assert person.session.picture.scale.method == "two_points"
    assert said
    assert said[0].startswith("ruler.refused")


def test_closing_at_once_after_enter_loses_nothing(ruled, tmp_path):
    person, first, second = ruled
    picture, session = person.session.picture, person.session
    kept = []
    draw(person, first, second)
    person.type("149")
    person.key(Qt.Key.Key_Return)
    session.changed.connect(lambda _: kept.append(session.pictures[picture.id].scale))
    person.close()
    assert any(scale != picture.scale and scale.length_mm == 149 for scale in kept)


def test_enter_is_not_lost_where_the_person_goes_on_at_once(ruled):
    person, first, second = ruled
    picture = person.session.picture
    draw(person, first, second)
    person.type("151")
    person.key(Qt.Key.Key_Return)
    person.window.stepping.frame(1)
    person.wait(lambda: person.session.pictures[picture.id].scale != picture.scale)
    scale = person.session.pictures[picture.id].scale
    assert scale.length_mm == approx(151, abs=3)


def test_a_line_left_half_done_is_gone_on_with(ruled):
    person, first, second = ruled
    session, by_hand = person.session, person.session.picture.scale
    strip = draw(person, first, (second[0] - 3, second[1]))
    person.type("151")
    line = strip.line()
    person.leave_and_come_back()
    assert person.window.strips.current == ""
    person.key(Qt.Key.Key_S)
    assert strip.line() == line
    assert strip.form.length.text() == "151"
    assert "As you left it" in person.strip_said()
    # A new line takes its place, and what is let go of does not come again.
    person.look_at_picture()
    person.key(Qt.Key.Key_S)
    assert session.tool.kind == "scale"
    person.drag(first, second)
    strip.form.length.setFocus()
    strip.form.length.selectAll()
    person.type("150")
    assert "As you left it" not in person.strip_said()
    person.look_at_picture()
    person.key(Qt.Key.Key_Escape)
    person.key(Qt.Key.Key_S)
    assert session.instrument is None
    person.drag(first, second)
    strip.form.length.setFocus()
    strip.form.length.selectAll()
    person.type("150")
    person.key(Qt.Key.Key_Return)
    person.wait(lambda: session.picture.scale != by_hand)
    person.key(Qt.Key.Key_S)
    assert session.instrument is None


# -- Four points -----------------------------------------------------------------------------


def lay(person, sides=("200", "165")):
    person.look_at_picture()
    person.key(Qt.Key.Key_P)
    assert person.window.strips.current == "plane"
    person.window.canvas.fit()
    for corner in QUAD:
        person.place(corner)
    strip = strip_of(person, "plane")
    for field, words in zip((strip.first, strip.second), sides, strict=True):
        field.setFocus()
        field.selectAll()
        person.type(words)
    return strip


def test_four_clicks_two_sides_and_enter_put_the_plane_straight(person):
    session = person.session
    strip = lay(person, ("200", "16.5 cm"))
    assert len(session.instrument.corners) == 4
    assert "px per mm" in strip.result.text()
    person.wait(lambda: strip.preview.image() is not None)
    person.key(Qt.Key.Key_Return)
    scale = session.picture.scale
    assert scale.method == "four_points"
    assert scale.points[0].x == approx(QUAD[0][0], abs=2)
    assert scale.extra["plane"]["places_mm"][1][0] == 200
    assert session.undo_name.key == "deed.set_plane"
    assert shown(person, Quad) == [Quad(session.picture.id, scale.points)]
    assert session.instrument is None
    assert person.window.strips.current == ""


def test_a_rectangle_beside_the_shell_is_warned_of_until_it_is_undone(person):
    person.look_at_picture()
    person.key(Qt.Key.Key_P)
    person.window.canvas.fit()
    for corner in ((330, 820), (1500, 800), (1500, 960), (330, 985)):
        person.place(corner)
    strip, band = strip_of(person, "plane"), person.window.band.band
    for field, words in ((strip.first, "148"), (strip.second, "20")):
        field.setFocus()
        field.selectAll()
        person.type(words)
    assert "beyond the four points" in strip.caution.text()
    person.key(Qt.Key.Key_Return)
    assert "beyond the four points" in band.accessibleDescription()
    words = person.window.side.measures.lines["shell_length"].toolTip()
    assert "beyond the four points" in words
    assert person.window.side.measures.lines["shell_length"].doubtful
    person.window.open_strip("scale")
    assert strip_of(person, "scale").present.text().count("four points") == 1
    person.session.undo()
    assert "beyond the four points" not in band.accessibleDescription()


def test_the_first_landmark_beside_the_four_points_is_warned_of_once(person):
    session, band = person.session, person.window.band.band
    placed = session.specimen.placed(session.frame.id)
    ends = [placed[key].points[0] for key in ("byssal_end", "ligament_end")]
    for key in placed:
        deeds.clear_landmark(session, key)
    corners = ((330, 820), (1500, 800), (1500, 960), (330, 985))
    deeds.set_plane(session, [Point(*corner) for corner in corners], 148, 20)
    deeds.arm(session, "byssal_end")
    person.look_at_picture()
    for end, warned in zip(ends, (True, False), strict=True):
        person.place((end.x, end.y))
        assert ("beyond the four points" in band.accessibleDescription()) is warned


def test_a_corner_of_an_accepted_plane_is_dragged_in_one_deed(person):
    session = person.session
    lay(person)
    person.key(Qt.Key.Key_Return)
    before = session.picture.scale
    corner = before.points[2]
    person.drag((corner.x, corner.y), (corner.x - 40, corner.y - 30))
    after = session.picture.scale
    assert session.undo_name.key == "deed.move_corner"
    assert after.method == "four_points"
    assert after.points[2].x == approx(corner.x - 40, abs=2)
    assert after.points[:2] == before.points[:2]
    session.undo()
    assert session.picture.scale == before


def test_a_corner_that_makes_no_rectangle_stays_where_it_was(person):
    session = person.session
    lay(person)
    person.key(Qt.Key.Key_Return)
    before = session.picture.scale
    first, third = before.points[0], before.points[2]
    person.drag((third.x, third.y), (first.x + 60, first.y + 60))
    assert session.picture.scale == before
    assert shown(person, Quad) == [Quad(session.picture.id, before.points)]


def test_esc_takes_corners_back_one_by_one(person):
    person.look_at_picture()
    person.key(Qt.Key.Key_P)
    for corner in QUAD[:2]:
        person.place(corner)
    person.key(Qt.Key.Key_Escape)
    assert len(person.session.instrument.corners) == 1
    person.key(Qt.Key.Key_Escape)
    person.key(Qt.Key.Key_Escape)
    assert person.session.instrument is None
    person.key(Qt.Key.Key_P)
    assert not person.session.instrument.goes_on


def test_corners_left_half_done_are_gone_on_with(person):
    session = person.session
    person.look_at_picture()
    person.key(Qt.Key.Key_P)
    person.window.canvas.fit()
    for corner in QUAD[:3]:
        person.place(corner)
    strip = strip_of(person, "plane")
    for field, words in ((strip.first, "200"), (strip.second, "165")):
        field.setFocus()
        field.selectAll()
        person.type(words)
    corners = session.instrument.corners
    person.leave_and_come_back()
    strip.first.clear()
    person.key(Qt.Key.Key_P)
    assert (session.instrument.corners, strip.first.text()) == (corners, "200")
    assert "As you left it" in person.strip_said()
    person.window.canvas.fit()
    person.place(QUAD[3])
    person.wait(lambda: strip.preview.image() is not None)
    person.press(strip.accept)
    accepted = session.picture.scale
    assert accepted.points[:3] == corners
    # A corner that was dragged and not accepted stands in for the recorded one.
    person.key(Qt.Key.Key_P)
    assert not session.instrument.goes_on
    corner = accepted.points[2]
    person.drag((corner.x, corner.y), (corner.x - 40, corner.y - 30))
    moved = session.instrument.corners
    person.leave_and_come_back()
    assert session.picture.scale == accepted
    person.key(Qt.Key.Key_P)
    assert session.instrument.corners == moved != accepted.points
    person.press(strip.again)
    person.leave_and_come_back()
    person.key(Qt.Key.Key_P)
    assert session.instrument.corners == accepted.points, "with none left there is no draft"


def test_crossed_corners_are_refused_with_a_sentence(person):
    strip = lay(person)
    instrument = person.session.instrument
    first, second, third, fourth = instrument.corners
    instrument.corners = (first, third, second, fourth)
    instrument.changed.emit()
    assert "cross over" in strip.trouble.text()
    assert not strip.accept.isEnabled()


def test_sides_the_wrong_way_round_are_doubted(person):
    strip = lay(person, ("60", "297"))
    assert "right way round" in strip.caution.text()
    strip = lay_sides(person, strip, "0")
    assert "is not a side" in strip.trouble.text()


def lay_sides(person, strip, words):
    strip.first.setFocus()
    strip.first.selectAll()
    person.type(words)
    return strip


def test_the_preview_is_square_where_the_sides_are(person):
    strip = lay(person, ("100", "100"))
    person.wait(lambda: strip.preview.image() is not None)
    person.wait(lambda: strip.preview.image().width() == strip.preview.image().height())
    size = strip.preview.image().size()
    inside = strip.preview.image().pixelColor(size.width() // 2, size.height() // 2)
    assert inside.lightness() > 60, "the shell is in the middle of the preview"


def test_landmarks_outside_the_four_points_are_said(person):
    person.look_at_picture()
    person.key(Qt.Key.Key_P)
    for corner in ((700, 400), (1000, 400), (1000, 600), (700, 600)):
        person.place(corner)
    strip = strip_of(person, "plane")
    strip.first.setFocus()
    person.type("60")
    strip.second.setFocus()
    person.type("40")
    assert "four points" in strip.caution.text()


def test_the_accepted_plane_is_taken_up_again_to_be_changed(person):
    lay(person)
    person.key(Qt.Key.Key_Return)
    before = person.session.picture.scale
    person.window.open_strip("scale")
    assert "200" in strip_of(person, "scale").present.text()
    person.press(strip_of(person, "scale").change)
    assert person.window.strips.current == "plane"
    assert person.session.instrument.corners == before.points
    assert strip_of(person, "plane").first.text() == "200"
