"""A photographer's sitting, whole: dropped, sorted, views, taken in, clock, rights, labels."""

import pytest
from PySide6.QtCore import Qt

from tests.app import helpers_mouse as mouse
from tests.journeys.dives import make_dives
from tests.journeys.test_sorting import drop, middle, open_empty, table_of

pytestmark = pytest.mark.journey

N_DIVES, N_ANIMALS, EACH = 3, 4, 3
MOST_DEEDS = 50
"""Clicks and keys for 36 pictures, 17 of them letters that are typed. With 400 pictures in
60 animals of which 18 are sorted wrongly the same sitting took 34 clicks and 66 keys, and
by the times of Card, Moran and Newell 1980 (from memory: key 0.28 s, pointing 1.1 s, button
0.1 s, hand 0.4 s, thought 1.35 s, one for each animal looked at) three minutes."""

CONTROL = Qt.KeyboardModifier.ControlModifier
ABOVE, INHALANT = "living_from_above", "living_inhalant_opening"


def test_dives_are_sorted_taken_in_and_labelled_in_few_deeds(open_window, tmp_path):
    from landmarks.storage import open_sqlite

    path = tmp_path / "own" / "reef.hingeline"
    path.parent.mkdir()
    open_sqlite(path, create=True).close()
    person = open_empty(open_window, path)
    session, window = person.session, person.window
    animals = make_dives(tmp_path / "dives", N_DIVES, N_ANIMALS, EACH)
    keys = [tuple(map(str, one)) for one in animals]
    n = sum(map(len, keys))

    # Dropped, and sorted by time: one animal falls apart, two stick together on each dive.
    drop(person, tmp_path / "dives")
    table = table_of(person)
    sheet, sorting = table.sheet, table.sorting
    assert {one.shots for one in sorting.groups} != set(keys)
    for dive in range(N_DIVES):
        torn, stuck = keys[dive * N_ANIMALS + 1], keys[dive * N_ANIMALS + 3]
        click(person, sheet, torn[0])
        person.key(Qt.Key.Key_M, text="m")
        click(person, sheet, stuck[0])
        person.key(Qt.Key.Key_B, text="b")
    assert [one.shots for one in sorting.groups] == keys

    # Seen large while its keys go on working, and back from the key sheet to sorting.
    person.key(Qt.Key.Key_Z, text="z")
    person.wait(lambda: sheet.large.shown == sheet.current)
    person.key(Qt.Key.Key_Right)
    assert sheet.current == keys[-1][1]
    person.wait(lambda: sheet.large.shown == sheet.current)
    person.key(Qt.Key.Key_Escape)
    assert not sheet.large.is_open
    window.open_strip("keys")
    assert window.pages.page is None
    window.strips.close_strip()
    person.wait(lambda: window.pages.page is table and sheet.hasFocus())
    assert window.hints.context() == "sorting"

    # All from above, and the last of each, wherever it is, the close-up.
    person.key(Qt.Key.Key_A, CONTROL)
    person.key(Qt.Key.Key_7, text="7")
    assert f"{n} with a view" in table._will.text()
    assert table.legend.buttons[ABOVE].isChecked()
    click(person, sheet, keys[0][-1])
    person.key(Qt.Key.Key_E, text="e")
    assert sheet.selected == {one[-1] for one in keys}
    person.key(Qt.Key.Key_9, text="9")
    assert {sorting.now.views[one[-1]] for one in keys} == {INHALANT}
    assert {sorting.now.views[key] for one in keys for key in one[:-1]} == {ABOVE}

    person.key(Qt.Key.Key_Return, CONTROL)
    person.wait(lambda: session.n_rows == len(keys) and session.specimen is not None)
    person.wait_until_saved()

    # The clock of one dive, where the day has two.
    second = session.rows[N_ANIMALS].specimen
    session.choose(second)
    person.wait(lambda: session.specimen.id == second and session.picture is not None)
    window.open_strip("clock")
    clock = window.strips.made("clock")
    person.wait(lambda: len(clock.meant.pictures) == N_ANIMALS * EACH)
    assert "15:" in clock.meant.count.text()
    person.key(Qt.Key.Key_Tab)
    person.type("-1:00:00")
    person.key(Qt.Key.Key_Return)
    person.wait(lambda: session.picture.clock.add_s == -3600)

    window.open_strip("rights")
    rights = window.strips.made("rights")
    rights.meant.scope.setCurrentIndex(rights.meant.scope.findData("listed"))
    rights.meant.scope.chosen.emit("listed")
    person.deeds += 2
    person.wait(lambda: len(rights.meant.pictures) == n)
    person.wait(rights.fields["creator"].hasFocus)
    person.type("Ana Reyes")
    person.press(rights.give)
    person.wait_until_saved()

    rows = (f"HR-{i:03};{one[0].name};Halverson Reef" for i, one in enumerate(animals))
    labels = tmp_path / "labels.csv"
    labels.write_text("number;file;locality\n" + "\n".join(rows))
    window.labels.open(labels)
    person.deeds += 3
    page = window.labels.page
    person.wait(lambda: page.labelling.joined is not None and not page.labelling.busy)
    person.press(page.accept)
    person.wait_until_saved()
    person.wait(lambda: all(row.catalogue_number for row in session.rows))
    assert window.hints.context() == "picture"

    stored = session.store.load(*session.store.documents("picture"))
    shifted = [one for one in stored.values() if one.parts.get("clock")]
    assert len(shifted) == N_ANIMALS * EACH, "the other dive of the day is left alone"
    assert {one.parts["rights"]["creator"] for one in stored.values()} == {"Ana Reyes"}
    assert person.deeds <= MOST_DEEDS


def click(person, sheet, key):
    """Click a picture of the sheet."""
    person.deeds += 1
    mouse.click(sheet, middle(sheet, key))
