"""Finding specimens in the window: conditions, order, kept filters, the next missing step."""

import pytest
from PySide6.QtCore import Qt

from app.session.finding import of_today
from landmarks.finding import Filter
from landmarks.storage import Query
from landmarks.summaries import stale_among

pytestmark = pytest.mark.journey


@pytest.fixture
def person(open_window):
    """Somebody before the worked example, with everything derived that can be found by."""
    person = open_window()
    session = person.session
    today = of_today(session, Query())
    person.wait(lambda: session.store.count(stale_among(today)) == 0)
    person.wait(lambda: not session.desk.busy)
    return person


@pytest.fixture
def strip(person):
    person.look_at_picture()
    person.key(Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
    assert person.window.strips.current == "find"
    return person.window.strips._made["find"]


def ask(person, strip, field, relation, value="", upper=""):
    strip.field.show_key(field)
    strip.field.chosen.emit(field)
    strip.relation.show_key(relation)
    strip.relation.chosen.emit(relation)
    strip.value.setEditText(value)
    strip.upper.setEditText(upper)
    person.press(strip.add)
    person.wait(lambda: not person.session.desk.busy)


def lengths(person):
    """Return the shell length of each listed specimen, as the store derived it."""
    from dataclasses import replace

    query = replace(person.session.query, columns=("shell_length",))
    rows = person.session.store.list(query)
    return [fact.number for row in rows for fact in row.facts]


def test_conditions_narrow_the_list_and_are_taken_away_one_by_one(person, strip):
    session = person.session
    everything = session.n_rows
    ask(person, strip, "shell_length", "between", "80", "150 mm")
    found = lengths(person)
    assert found
    assert all(80 <= one <= 150 for one in found)
    assert len(found) == session.n_rows < everything
    assert person.window.specimens.asked.text() == "1 condition"

    n = session.n_rows
    ask(person, strip, "certainty", "at_least", "50")
    assert session.query.filters[-1] == Filter("certainty", "at_least", (0.5,))
    assert session.n_rows <= n
    strip._holding.itemAt(1).widget().click()
    person.wait(lambda: not session.desk.busy)
    assert session.n_rows == n
    person.press(strip.all)
    person.wait(lambda: not session.desk.busy)
    assert session.n_rows == everything
    assert person.window.specimens.asked.isHidden()


def test_what_means_nothing_is_one_sentence_and_changes_nothing(person, strip):
    before = person.session.query
    ask(person, strip, "shell_length", "at_least", "long")
    assert strip.trouble.text().startswith(
        "“Shell length” is a number, which “long” is not:"
    )
    ask(person, strip, "shell_length", "between", "120", "80")
    assert "lower one first" in strip.trouble.text()
    assert person.session.query == before
    ask(person, strip, "shell_length", "known")
    assert strip.trouble.isHidden()
    # Where there is little room the rows break in two, and nothing is cut at the side.
    ask(person, strip, "shell_length", "between", "80", "150")
    person.window.shell.resize(1120, 720)
    person.wait(lambda: strip.width() < 700)
    person.wait(lambda: strip._area.horizontalScrollBar().maximum() == 0)


def test_a_list_that_nothing_fits_says_so_and_shows_all_again(person, strip):
    ask(person, strip, "shell_length", "more_than", "5000")
    panel = person.window.specimens
    assert person.session.n_rows == 0
    assert panel._not_found._words.text() == "No specimen fits the condition."
    person.press(panel._not_found.clear)
    person.wait(lambda: person.session.n_rows > 0)


def test_the_list_is_sorted_by_what_was_derived(person, strip):
    strip.order.show_key("shell_length")
    strip.order.chosen.emit("shell_length")
    person.press(strip.descending)
    person.wait(lambda: not person.session.desk.busy)
    found = lengths(person)
    assert len(found) > 5
    assert found == sorted(found, reverse=True)
    assert "shell length" in person.window.specimens.asked.text()


def test_a_kept_filter_is_a_deed_of_the_collection(person, strip):
    session = person.session
    ask(person, strip, "missing", "is", "name")
    n = session.n_rows
    strip.kept_name.setText("Not named yet")
    person.press(strip.keep)
    person.wait_until_saved()
    assert strip._kept.count() == 1
    person.press(strip.all)
    person.wait(lambda: session.n_rows > n)
    strip._kept.itemAt(0).widget().layout().itemAt(0).widget().click()
    person.wait(lambda: session.n_rows == n)
    assert session.query.filters == (Filter("missing", "is", ("name",)),)
    session.undo()
    assert strip._kept.count() == 0
    session.redo()
    assert strip._kept.count() == 1


def test_one_key_leads_to_the_next_missing_step(person):
    session = person.session
    here = session.specimen.id
    person.look_at_picture()
    keys = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    person.key(Qt.Key.Key_Down, keys)
    person.wait(lambda: session.specimen.id != here)
    lacking = [one.key for one in session.steps if one.has != "full"]
    assert lacking
    at_work = person.window.strips.current or (session.tool.kind if session.tool else "")
    expected = {"scale": "scale", "landmarks": "landmark", "characters": "score"}
    assert at_work == expected.get(lacking[0], lacking[0])


def test_a_word_on_offer_need_not_be_typed_whole(person, strip):
    """A region is written as far as it is no other; else they are named, and none asked."""
    ask(person, strip, "region", "is", "great barrier")
    (one,) = person.session.query.filters
    assert one.values == ("great_barrier_reef",)
    person.press(strip.all)
    ask(person, strip, "region", "is", "east")
    assert person.session.query.filters == ()
    assert strip.trouble.isVisible()
    assert "“East Africa" in strip.trouble.text()
    ask(person, strip, "region", "is", "Somewhere else")
    assert person.session.query.filters[0].values == ("somewhere else",)
