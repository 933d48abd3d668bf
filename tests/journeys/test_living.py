"""A living clam from above: no ruler, nothing touched, and still an honest name."""

import shutil
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton

from app.session import deeds
from landmarks.scheme import VIEWS
from landmarks.sentences import text
from landmarks.specimen import parts_of
from tests.journeys.conftest import DEMO

pytestmark = pytest.mark.journey

SCORES = (("incurrent_margin", 2), ("ringed_spots", 1), ("burrowing", 2))
"""Characters and the number key of the state, as the strip offers them."""

TOUCHING = {
    "underside", "inside_of_valve", "hinge_edge", "outside_of_valve", "end", "upper_margin",
}  # fmt: skip


@pytest.fixture
def clam(tmp_path):
    return Path(shutil.copy(DEMO / "living-from-above.jpg", tmp_path / "dive 7.jpg"))


def views_proposed(session):
    return {one.view for one in session.assessment.answer.look_next}


def harmless(session):
    proposed = views_proposed(session)
    return proposed <= {key for key, view in VIEWS.items() if view.living}


def test_a_living_clam_is_named_from_above_without_a_scale(open_window, clam):
    original = clam.read_bytes()
    person = open_window(clam)
    session, window = person.session, person.window
    person.wait(lambda: session.picture is not None and window.canvas.has_picture)
    person.press(window.band.views.buttons["living_from_above"])
    assert session.frame.view == "living_from_above"
    window.open_strip("picture")
    strip = window.strips._made["picture"]
    strip.mantle.setCurrentIndex(strip.mantle.findData("extended"))
    strip.mantle.activated.emit(strip.mantle.currentIndex())
    assert session.frame.mantle == "extended"
    person.key(Qt.Key.Key_Escape)

    assert views_proposed(session), "something is proposed at all"
    assert harmless(session), "already before anything was scored"
    before = dict.fromkeys(one.taxon for one in session.assessment.answer.candidates)
    start = {one.taxon: one.probability for one in session.assessment.answer.candidates}

    person.look_at_picture()
    person.key(Qt.Key.Key_C)
    score = window.strips._made["score"]
    for character, number in SCORES:
        score.show_character(character)
        person.key(Qt.Key(ord(str(number))), text=str(number))
        assert harmless(session), character
    person.key(Qt.Key.Key_Escape)
    seen = {one.character: one for one in session.specimen.observations}
    assert set(seen) == {character for character, _ in SCORES}
    assert {one.frame for one in seen.values()} == {session.frame.id}

    assert session.picture.scale is None
    candidates = session.assessment.answer.candidates
    assert {one.taxon for one in candidates} == set(before)
    assert sum(one.probability for one in candidates) == pytest.approx(1)
    assert {one.taxon: one.probability for one in candidates} != start
    shown = window.side.candidates.order()
    assert shown[0] == candidates[0].taxon
    assert not window.side.candidates.is_folded()
    in_mm = [row for row in session.assessment.measures if row.key.endswith("_length")]
    assert all(row.value is None for row in in_mm), "no length without a scale"
    suggestion = window.side.look_next.suggestion()
    assert suggestion is None or VIEWS[suggestion.view].living

    window.open_strip("name")
    naming = window.strips._made["name"]
    naming.choose_taxon(candidates[0].taxon)
    buttons = naming.qualifiers.findChildren(QAbstractButton)
    person.press(next(one for one in buttons if one.text() == "sp. inc."))
    person.press(naming.give)
    named = session.specimen.determination
    assert named.qualifier == "sp. inc."
    assert named.taxa == (candidates[0].taxon,)
    assert named.leading == candidates[0].taxon
    assert set(named.rested_on) == {one.id for one in seen.values()}
    said = {step.key: text(step.words) for step in session.steps}["name"]
    assert "sp. inc." in said

    person.wait_until_saved()
    parts = parts_of(session.specimen)
    person.close()
    again = open_window()
    again.wait(lambda: again.session.specimen is not None)
    assert parts_of(again.session.specimen) == parts
    assert clam.read_bytes() == original


def test_nothing_that_needs_touching_is_ever_proposed_for_a_living_animal(
    open_window, clam
):
    """Whatever is scored first, and also where all that can be seen was looked at."""
    person = open_window(clam)
    session = person.session
    person.wait(lambda: session.picture is not None)
    deeds.set_view(session, "living_from_above")
    deeds.set_state(session, mantle="extended", valves="as_in_life")
    rows = session.assessment.characters
    asked = [row.character for row in rows if not row.hidden and not row.looked_at]
    assert len(asked) >= 3
    for number, one in enumerate(asked):
        if one.states:
            deeds.score(session, one.key, one.states[number % len(one.states)].key)
            assert harmless(session), one.key
    assert not views_proposed(session) & TOUCHING
