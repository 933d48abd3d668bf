"""Frames of a drawer copied, labels framed, the other valve noticed: deeds and band."""

from dataclasses import replace

import pytest

from app.panels.next_band import NextBand
from app.panels.picture_strip import PictureStrip
from app.session import Session, deeds
from landmarks.collection import About, Picture
from landmarks.errors import PlacingError
from landmarks.geometry import Box, Point
from landmarks.picture import PictureFile
from landmarks.placing import Placing
from landmarks.specimen import Frame, Specimen
from landmarks.storage import MemoryStore


def picture(name, width=2000, height=1000):
    return Picture(name, f"{name}.jpg", PictureFile(name * 64, 1, width, height))


BOXES = (Box(100, 100, 500, 300), Box(700, 100, 500, 300), Box(100, 500, 500, 300))


@pytest.fixture
def session(qtbot, qapp):
    made = Session()
    made.opening.open(
        lambda: MemoryStore(About("c", "Test", "2026-01-01T00:00:00Z")), path=None
    )
    qtbot.waitUntil(lambda: made.store is not None)
    yield made
    made.opening.close()


@pytest.fixture
def drawer(session, qtbot):
    first, second = picture("a"), picture("b", 1000, 500)
    frames = [
        Frame(f"f{i}", "a", "outside_of_valve", box, part="left_valve")
        for i, box in enumerate(BOXES)
    ]
    specimens = [Specimen(f"s{i}", frames=(frame,)) for i, frame in enumerate(frames)]
    other = Specimen("next", frames=(Frame("g", "b", ""),))
    from landmarks.sentences import Sentence

    session.do(Sentence("deed.add_frame"), first, second, *specimens, other)
    session.choose("s0")
    session.choose("next")
    return session


def test_frames_of_the_last_drawer_are_laid_over_the_next_picture_in_one_deed(drawer):
    deeds.copy_frames(drawer)
    there = [frame for _, frame in drawer.neighbours]
    assert {frame.region for frame in there} == {
        Box(box.x / 2, box.y / 2, box.width / 2, box.height / 2) for box in BOXES
    }
    assert {frame.view for frame in there} == {"outside_of_valve"}
    assert drawer.specimen.id == "next"
    drawer.undo()
    assert drawer.neighbours == ()


def test_a_landmark_is_not_placed_on_the_neighbour_by_mistake(drawer):
    drawer.choose("s0")
    deeds.arm(drawer, "umbo")
    with pytest.raises(PlacingError) as told:
        deeds.place(drawer, BOXES[1].centre, 1.0)
    assert told.value.sentence.key == "placing.neighbour"
    assert drawer.tool.landmark == "umbo", "it is still to be placed"
    deeds.place(drawer, Point(90, 90), 1.0)
    assert "umbo" in drawer.specimen.placed("f0"), "a shell may reach beyond its frame"


def test_without_a_drawer_before_it_says_so(session, qtbot):
    from landmarks.sentences import Sentence

    session.do(
        Sentence("deed.add_frame"),
        picture("a"),
        Specimen("s", frames=(Frame("f", "a", ""),)),
    )
    session.choose("s")
    with qtbot.waitSignal(session.noticed) as told:
        deeds.copy_frames(session)
    assert told.args[0].key == "frames.no_drawer"


def test_a_label_is_a_frame_of_its_own_of_the_same_specimen(drawer):
    deeds.add_label_frame(drawer, Box(10, 10, 100, 50))
    label = drawer.specimen.frames[-1]
    assert (label.view, label.picture, label.region) == ("label", "b", Box(10, 10, 100, 50))
    assert drawer.specimen.id == "next"


def marks(frame, mirrored=False):
    """Return four landmarks of a left valve seen from outside, or its mirror image."""
    spots = {
        "ligament_end": (150, 250),
        "byssal_end": (550, 250),
        "umbo": (350, 380),
        "upper_margin": (350, 120),
    }
    return tuple(
        Placing(key, frame, key, (Point(700 - x if mirrored else x, y),))
        for key, (x, y) in spots.items()
    )


def test_a_mirrored_picture_is_noticed_and_settled_by_one_button(drawer, qtbot):
    from landmarks.sentences import Sentence

    drawer.choose("s0")
    band = NextBand(drawer)
    qtbot.addWidget(band)
    placed = drawer.specimen
    for one in marks("f0", mirrored=True):
        placed = placed.with_one(one)
    drawer.do(Sentence("deed.set_part"), placed)
    ways = [way.text() for way in band.ways()]
    assert ways == ["It is a right valve", "It is as recorded"]
    band.ways()[0].click()
    assert drawer.frame.part == "right_valve"
    assert "It is a right valve" not in [way.text() for way in band.ways()]


def test_the_strip_offers_the_valve_that_the_landmarks_tell(drawer, qtbot):
    from landmarks.sentences import Sentence

    drawer.choose("s0")
    strip = PictureStrip(drawer)
    qtbot.addWidget(strip)
    placed = drawer.specimen.with_one(replace(drawer.frame, part=""))
    for one in marks("f0"):
        placed = placed.with_one(one)
    drawer.do(Sentence("deed.set_part"), placed)
    assert strip.by_landmarks.text() == "By its landmarks: left valve"
    strip.by_landmarks.click()
    assert drawer.frame.part == "left_valve"
    assert strip.by_landmarks.isHidden()


def scaled_picture(name):
    from landmarks.scale import two_points

    made = picture(name)
    line = two_points(Point(100, 900), Point(1100, 900), 100, size=made.size)
    return replace(made, scale=line)


@pytest.fixture
def two_pictures(session):
    from landmarks.sentences import Sentence

    first = Specimen("first", frames=(Frame("f", "a", "outside_of_valve"),))
    second = Specimen("second", frames=(Frame("g", "b", "outside_of_valve"),))
    session.do(Sentence("deed.add_frame"), scaled_picture("a"), picture("b"), first, second)
    session.choose("first")
    session.choose("second")
    return session


def test_the_scale_of_the_last_picture_is_carried_over_by_one_key(two_pictures):
    deeds.carry_over_scale(two_pictures)
    scale = two_pictures.picture.scale
    assert (scale.method, scale.origin, scale.length_mm) == ("carried_over", "a", 100)
    assert (
        two_pictures.picture.camera.setup == two_pictures.pictures["a"].camera.setup != ""
    )
    two_pictures.undo()
    assert two_pictures.picture.scale is None


def test_saying_the_view_begins_the_work_where_the_set_up_is_named(two_pictures):
    session = two_pictures
    deeds.say_view(session, "outside_of_valve")
    assert session.picture.scale is None, "nobody said that the set-up is the same"
    assert session.tool is None, "a scale comes first"
    session.choose("first")
    deeds.set_setup(session, "copy stand")
    session.choose("second")
    deeds.say_view(session, "living_from_above")
    assert session.picture.scale is None, "a diver moves"
    deeds.say_view(session, "outside_of_valve")
    assert session.picture.scale.method == "carried_over"
    assert session.tool.landmark == "byssal_end"
    session.undo()
    assert session.picture.scale is None
    assert session.frame.view == "outside_of_valve"


def test_the_scale_of_another_camera_is_not_carried_over(session, qtbot):
    from landmarks.sentences import Sentence

    other = Specimen("second", frames=(Frame("g", "b", ""),))
    session.do(
        Sentence("deed.add_frame"), scaled_picture("a"), picture("b", 1000, 500), other,
        Specimen("first", frames=(Frame("f", "a", ""),)),
    )  # fmt: skip
    session.choose("first")
    session.choose("second")
    with qtbot.waitSignal(session.noticed) as told:
        deeds.carry_over_scale(session)
    assert told.args[0].key == "carried.size"
    assert session.picture.scale is None
    # Nor by itself where the set-up has a name: then it is said as well.
    session.choose("first")
    deeds.set_setup(session, "copy stand")
    session.choose("second")
    with qtbot.waitSignal(session.noticed) as told:
        deeds.say_view(session, "outside_of_valve")
    assert told.args[0].key == "carried.size"
    assert session.picture.scale is None


def test_four_points_are_carried_over_with_their_plane(two_pictures):
    from landmarks.geometry import Point
    from landmarks.straightening import straightening_of

    first = two_pictures.pictures["a"]
    width, height = first.size
    corners = [
        Point(0.1 * width, 0.1 * height), Point(0.9 * width, 0.15 * height),
        Point(0.85 * width, 0.9 * height), Point(0.15 * width, 0.85 * height),
    ]  # fmt: skip
    deeds.give_scale(two_pictures, deeds.plane_scale(corners, 297, 210), "", "a")
    deeds.carry_over_scale(two_pictures)
    scale = two_pictures.picture.scale
    assert scale.method == "carried_over"
    assert scale.origin == "a"
    assert deeds.sides_of(scale) == (297, 210)
    assert straightening_of(scale) is not None
    assert two_pictures.undo_name.key == "deed.carry_over_scale"


def test_a_check_shell_corrects_the_scale_of_its_set_up(two_pictures, qtbot):
    from app.panels.setup_row import SetupRow
    from landmarks.identification import compile_tables
    from landmarks.sentences import Sentence
    from landmarks.tables import read_tables

    session = two_pictures
    session.use_guide(compile_tables(read_tables()))
    deeds.carry_over_scale(session)
    placed = session.specimen
    for key, x in (("byssal_end", 1500), ("ligament_end", 500)):
        placed = placed.with_one(Placing(key, "g", key, (Point(x, 400),)))
    session.do(Sentence("deed.set_part"), placed)
    row = SetupRow(session)
    qtbot.addWidget(row)
    row.known.setText("many")
    assert "not a length" in row.said.text()
    row.known.setText("95")
    assert not row.correct.isHidden()
    row.correct.click()
    length = next(m.value for m in session.assessment.measures if m.key == "shell_length")
    assert length.value == pytest.approx(95, abs=0.1)
