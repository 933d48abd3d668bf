"""Repeats at the bench: the veil, what may be done behind it, and what is kept of it."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from app.panels.agreement_plots import DifferencePlot
from app.panels.agreement_strip import AgreementStrip
from app.panels.repeats_strip import NEW, RepeatsStrip
from app.session import Session, deeds
from app.session.repeating import (
    Repeat,
    frame_to_repeat,
    own_seed,
    read_due,
    read_repeats,
    unveiled,
    veiled,
)
from app.style import palette
from landmarks.assessment import measure_rows
from landmarks.changes import Document
from landmarks.collection import Person, person_of
from landmarks.geometry import Point
from landmarks.identification import compile_tables
from landmarks.outputs.differences import MEAN, TIME, points_of
from landmarks.placing import Placing
from landmarks.repeats import BLIND, SECOND, due, measures_repeated, own_doubt
from landmarks.sentences import text
from landmarks.specimen import Frame, Label, Observation, specimen_of
from landmarks.storage import MemoryStore
from landmarks.tables import read_tables
from tests.app.repeated import ABOUT, ANN, TOLD, example, fill, shells

BEN = Person("ben", "Ben Sound")
BLIND_REPEAT = Repeat(BLIND, ANN, ("shell-000", "shell-001"))


@pytest.fixture(scope="session")
def guide():
    return compile_tables(read_tables())


@pytest.fixture
def store():
    return fill(MemoryStore(ABOUT), shells(24, repeated=(2, 5)))


@pytest.fixture
def session(qapp, qtbot, store, guide):
    palette.apply(qapp, "light")
    session = Session()
    session.person = ANN
    session.said = []
    session.noticed.connect(lambda one, kind: session.said.append(one.key))
    session.guide = guide
    session.opening.open(lambda: store, path=None)
    _quiet(session, qtbot)
    yield session
    _quiet(session, qtbot)
    session.opening.close()


def _quiet(session, qtbot):
    qtbot.waitUntil(lambda: not session.desk.busy and session.saving.n_waiting == 0)


def _begin(session, qtbot, repeat=BLIND_REPEAT):
    session.veil.begin(repeat)
    qtbot.waitUntil(lambda: session.specimen is not None and session.repeat is not None)
    _quiet(session, qtbot)


def _stored(store, number):
    document = Document("specimen", f"shell-{number:03}")
    return specimen_of(document.id, store.load(document)[document].parts)


# -- The veil ---------------------------------------------------------------------------


def test_nothing_of_the_record_is_left_to_see():
    (one,) = shells(1)
    seen = veiled(one, BLIND_REPEAT)
    assert seen.placings == seen.observations == seen.determinations == ()
    assert TOLD not in repr(seen)
    assert [frame.id for frame in seen.frames] == [frame.id for frame in one.frames]


def test_a_picture_of_the_label_is_left_out():
    (one,) = shells(1)
    labelled = one.with_one(Frame("label", "picture", "label", number=7))
    assert veiled(labelled, BLIND_REPEAT) == veiled(one, BLIND_REPEAT)


def test_only_what_this_person_repeats_stands_as_if_it_were_the_record():
    (one,) = shells(1, repeated=(0,))
    mine, other = veiled(one, BLIND_REPEAT), veiled(one, replace(BLIND_REPEAT, person=BEN))
    assert {row.landmark for row in mine.placings} == {row.landmark for row in one.placings}
    assert {row.occasion for row in (*mine.placings, *mine.observations)} == {"record"}
    assert all("blind_repeat" in row.id for row in (*mine.placings, *mine.observations))
    assert other.placings == other.observations == ()


@given(st.booleans(), st.integers(0, 5), st.integers(0, 7))
def test_the_veil_gives_back_what_was_put_under_it(again, first, second):
    """The law of the veil: lifted unchanged, nothing has changed; changed, only the repeat."""
    (one,) = shells(1, repeated=(0,) if again else ())
    seen = veiled(one, BLIND_REPEAT)
    back = unveiled(one, seen, BLIND_REPEAT)
    assert back.placed(one.frames[0].id) == one.placed(one.frames[0].id)
    assert back.label == one.label
    assert back.determinations == one.determinations
    model = shells(1, repeated=(0,), seed=9)[0]
    rows = [row for row in model.placings if row.occasion == BLIND][: first + second]
    for row in rows:
        seen = seen.with_one(replace(row, occasion="record", id=f"new {row.landmark}"))
    changed = unveiled(one, seen, BLIND_REPEAT)
    assert changed.recorded == one.recorded
    records = [row for row in changed.placings if row.occasion == "record"]
    assert records == [row for row in one.placings if row.occasion == "record"]
    kept = [row for row in changed.placings if row.occasion == BLIND]
    assert len(kept) == len(seen.placings)
    assert all(row.names_hidden and row.person == ANN.id for row in kept)


def test_clicked_edges_are_veiled_with_their_scutes_and_kept_of_a_repeat():
    (one,) = shells(1)
    frame, edges = one.frames[0].id, (Point(1, 5), Point(9, 5))
    scutes = Placing("s", frame, "scutes", (Point(5, 5),), clicks=edges)
    seen = veiled(one.with_one(scutes), BLIND_REPEAT)
    assert "clicks=(Point" not in repr(seen)
    repeated = unveiled(one, seen.with_one(replace(scutes, id="new")), BLIND_REPEAT)
    again = veiled(repeated, BLIND_REPEAT).placed(frame)["scutes"]
    assert again.clicks == edges


@pytest.mark.parametrize("what", ["label", "frames", "determinations"])
def test_anything_else_does_not_come_through_the_veil(what):
    (one,) = shells(1)
    seen = veiled(one, BLIND_REPEAT)
    others = {
        "label": Label("another"),
        "frames": (),
        "determinations": one.determinations,
    }
    assert unveiled(one, replace(seen, **{what: others[what]}), BLIND_REPEAT) is None


def test_the_frame_with_most_of_the_record_comes_first():
    (one,) = shells(1)
    wider = one.with_one(Frame("upper", "picture", "upper_margin", number=-1))
    assert frame_to_repeat(wider).id == one.frames[0].id


# -- At the session ---------------------------------------------------------------------


def test_what_is_placed_carries_the_occasion_and_the_record_stays(session, qtbot, store):
    before = _stored(store, 0)
    _begin(session, qtbot)
    deeds.arm(session, "umbo")
    deeds.place(session, Point(900.0, 950.0), 2.0)
    deeds.score(session, "fold_profile", "rounded")
    deeds.cannot_place(session, "worn", "byssal_end")
    _quiet(session, qtbot)
    after = _stored(store, 0)
    again = after.placed(before.frames[0].id, BLIND)
    assert again["umbo"].points == (Point(900.0, 950.0),)
    assert again["byssal_end"].reason == "worn"
    assert all(row.person == ANN.id and row.names_hidden for row in again.values())
    (score,) = (row for row in after.observations if row.occasion == BLIND)
    assert (score.character, score.state, score.names_hidden) == (
        "fold_profile", "rounded", True)  # fmt: skip
    assert after.recorded == before.recorded
    assert after.placed(before.frames[0].id) == before.placed(before.frames[0].id)
    assert after.determinations == before.determinations


def test_what_is_corrected_in_the_repeat_is_its_own(session, qtbot, store):
    before = _stored(store, 0)
    _begin(session, qtbot)
    deeds.arm(session, "umbo")
    deeds.place(session, Point(900.0, 950.0), 2.0)
    (placing,) = session.specimen.placings
    deeds.move(session, placing.id, 0, Point(910.0, 955.0), 2.0)
    deeds.nudge(session, placing.id, 0, 1.0, 0.0)
    _quiet(session, qtbot)
    again = _stored(store, 0).placed(before.frames[0].id, BLIND)
    assert again["umbo"].points == (Point(911.0, 955.0),)
    deeds.delete_mark(session, placing.id, 0)
    _quiet(session, qtbot)
    assert _stored(store, 0) == before


@pytest.mark.parametrize(
    "deed",
    [
        lambda s: deeds.determine(s, "species", ("gigas",)),
        lambda s: deeds.set_label(s, Label("PMM 1")),
        lambda s: deeds.set_part(s, "right_valve"),
        lambda s: deeds.remove_frame(s),
        lambda s: deeds.remove_specimen(s),
        lambda s: deeds.remove_scale(s),
    ],
)
def test_the_record_cannot_be_changed_while_repeating(session, qtbot, store, deed):
    before, n = _stored(store, 0), store.latest()
    _begin(session, qtbot)
    deed(session)
    _quiet(session, qtbot)
    assert session.said == ["repeats.record_stays"]
    assert (_stored(store, 0), store.latest()) == (before, n)


def test_no_other_specimen_is_looked_at_meanwhile(session, qtbot):
    _begin(session, qtbot)
    session.choose("shell-007")
    _quiet(session, qtbot)
    assert session.specimen.id == "shell-000"
    assert session.said == ["repeats.stay"]


def test_names_stay_hidden_however_often_one_asks(session, qtbot):
    _begin(session, qtbot)
    session.hide_names(False)
    assert session.names_hidden
    session.veil.stop()
    assert not session.names_hidden


def test_measures_are_hidden_until_the_repeat_is_over(session, qtbot):
    _begin(session, qtbot)
    for key in ("byssal_end", "ligament_end"):
        deeds.arm(session, key)
        deeds.place(session, Point(500.0 + 80 * len(key), 700.0), 1.0)
    assert session.assessment.measures == ()
    session.preview(session.specimen)
    assert session.live.measures == ()
    session.veil.stop()
    _quiet(session, qtbot)
    assert session.assessment.measures


def test_undo_ends_where_the_specimen_began(session, qtbot, store):
    deeds.score(session, "fold_profile", "rounded")
    _quiet(session, qtbot)
    recorded = _stored(store, 0)
    _begin(session, qtbot)
    assert session.undo_name is None
    session.undo()
    deeds.score(session, "fold_profile", "triangular")
    assert session.undo_name is not None
    session.veil.next()
    _quiet(session, qtbot)
    assert session.undo_name is None
    session.undo()
    _quiet(session, qtbot)
    assert _stored(store, 0).recorded == recorded.recorded
    session.veil.stop()
    _quiet(session, qtbot)
    assert session.undo_name is not None


def test_leaving_early_keeps_what_was_done_and_brings_back_what_was_there(
    session, qtbot, store
):
    session.choose("shell-009")
    _quiet(session, qtbot)
    _begin(session, qtbot)
    deeds.arm(session, "umbo")
    deeds.place(session, Point(900.0, 950.0), 2.0)
    session.veil.stop()
    _quiet(session, qtbot)
    assert session.specimen.id == "shell-009"
    assert session.specimen.label.catalogue_number
    assert "umbo" in _stored(store, 0).placed("frame-000", BLIND)


def test_after_the_last_specimen_the_repeat_is_over(session, qtbot):
    _begin(session, qtbot)
    assert text(session.repeat.called) == "Repeat 1 of 2"
    session.veil.next()
    _quiet(session, qtbot)
    assert session.specimen.id == "shell-001"
    session.veil.next()
    assert session.repeat is None


def test_what_was_begun_before_is_gone_on_with(session, qtbot):
    _begin(session, qtbot, Repeat(BLIND, ANN, ("shell-002",)))
    assert len(session.specimen.placings) == len(
        {p.landmark for p in session.specimen.placings}
    )
    assert all("blind_repeat" in row.id for row in session.specimen.placings)


def test_a_second_observer_signs_the_work_and_leaves_the_bench_again(session, qtbot, store):
    _begin(session, qtbot, Repeat(SECOND, BEN, ("shell-000",)))
    assert session.person == BEN
    deeds.arm(session, "umbo")
    deeds.place(session, Point(900.0, 950.0), 2.0)
    session.veil.next()
    _quiet(session, qtbot)
    assert session.person == ANN
    placed = _stored(store, 0).placed("frame-000", SECOND)
    assert placed["umbo"].person == BEN.id
    assert BEN in store.people()


def test_a_second_observer_known_already_is_not_made_twice(session, qtbot, store):
    for number in (0, 1):
        _begin(session, qtbot, Repeat(SECOND, BEN, (f"shell-{number:03}",)))
        deeds.arm(session, "umbo")
        deeds.place(session, Point(900.0, 950.0), 2.0)
        session.veil.stop()
        _quiet(session, qtbot)
    assert session.saving.fault is None
    assert [one.id for one in store.people()].count(BEN.id) == 1


def test_opening_another_collection_ends_the_repeat(session, qtbot):
    _begin(session, qtbot, Repeat(SECOND, BEN, ("shell-000",)))
    session.opening.open(
        lambda: fill(MemoryStore(replace(ABOUT, id="2")), shells(3)), path=None
    )
    _quiet(session, qtbot)
    assert session.repeat is None
    assert session.person == ANN


def test_the_list_keeps_what_it_knows_of_the_record(session, qtbot, store):
    _begin(session, qtbot)
    deeds.arm(session, "umbo")
    deeds.place(session, Point(900.0, 950.0), 2.0)
    _quiet(session, qtbot)
    session.veil.stop()
    _quiet(session, qtbot)
    row = next(one for one in store.list() if one.specimen == "shell-000")
    assert row.summary is None or row.summary["steps"][2] == "full"


# -- Reading by pages -------------------------------------------------------------------


def test_what_is_due_is_what_the_core_says_of_all_specimens(store):
    specimens = [_stored(store, n) for n in range(24)]
    for every, seed in ((4, 1), (4, 2), (10, 3), (2, 4)):
        *pages, found = read_due(store, seed, every, BLIND, ANN.id)
        assert found.lot == due(specimens, seed, every, occasion=BLIND, person=ANN.id)
        assert set(pages) == {None}
    assert found.n_specimens == 24


def test_only_repeated_specimens_are_read_with_their_pictures(store):
    *_, found = read_repeats(store)
    assert [one.id for one in found.specimens] == ["shell-002", "shell-005"]
    assert list(found.pictures) == [example()[2].id]


def test_a_repeated_score_alone_is_found_as_well(store):
    (one,) = shells(1, seed=8)
    scored = replace(one, id="scored", placings=(), observations=(
        Observation("o", "fold_profile", "rounded", occasion=SECOND),))  # fmt: skip
    more = fill(MemoryStore(replace(ABOUT, id="3")), [scored])
    *_, found = read_repeats(more)
    assert [one.id for one in found.specimens] == ["scored"]


# -- The strips -------------------------------------------------------------------------


@pytest.fixture
def choosing(session, qtbot):
    strip = RepeatsStrip(session)
    qtbot.addWidget(strip)
    strip.resize(900, 300)
    strip.show()
    qtbot.waitUntil(lambda: strip.due() is not None)
    return strip


def test_the_strip_says_how_many_are_due_and_begins_with_them(choosing, qtbot):
    choosing.every.setValue(4)
    qtbot.waitUntil(choosing.begin.isEnabled)
    lot = choosing.due().lot
    assert choosing.said.text().startswith(f"{len(lot)} specimens are due")
    with qtbot.waitSignal(choosing.begin_wanted) as begun:
        choosing.begin.click()
    assert begun.args == [Repeat(BLIND, ANN, lot)]


def test_nobody_begins_where_nothing_is_due(choosing, qtbot):
    choosing.every.setValue(50)
    qtbot.waitUntil(lambda: choosing.said.text().startswith("None is due"))
    assert not choosing.begin.isEnabled()


def test_a_second_observer_needs_a_name(choosing, qtbot):
    choosing.occasion.show_key(SECOND)
    choosing.occasion.activated.emit(1)
    qtbot.waitUntil(lambda: choosing.said.text().startswith("Say first"))
    assert choosing.observer.key() == NEW
    choosing.name.setText("Ben Sound")
    assert choosing.begin.isEnabled()
    with qtbot.waitSignal(choosing.begin_wanted) as begun:
        choosing.begin.click()
    assert begun.args[0].person.name == "Ben Sound"
    assert begun.args[0].occasion == SECOND


def test_the_seed_begins_as_the_collections_own(choosing):
    assert choosing.seed.value() == own_seed(ABOUT.id) == own_seed(ABOUT.id)
    assert own_seed(ABOUT.id) != own_seed("6f2c1d34-8c1f-4c3e-9f2a-000000000002")


@pytest.fixture
def report(qapp, qtbot, guide):
    """The report on thirty shells that were placed twice."""
    palette.apply(qapp, "light")
    store = fill(MemoryStore(ABOUT), shells(60, repeated=range(0, 60, 2)))
    session = Session()
    session.person = ANN
    session.guide = guide
    session.opening.open(lambda: store, path=None)
    _quiet(session, qtbot)
    strip = AgreementStrip(session)
    qtbot.addWidget(strip)
    strip.resize(1000, 470)
    strip.show()
    qtbot.waitUntil(lambda: strip.report() is not None and strip.table.rowCount() > 0)
    yield strip
    _quiet(session, qtbot)
    session.opening.close()


def test_the_report_shows_what_the_core_reckons(report):
    store = report._session.store
    *_, found = read_repeats(store)
    expected = measures_repeated(found.specimens, found.pictures, person=ANN.id)
    shown = {row.key: row for row in report.report().measures}
    assert shown == {row.key: row for row in expected}
    names = [report.table.item(at, 0).text() for at in range(report.table.rowCount())]
    header = report.table.horizontalHeader()
    report.resize(1600, 470)
    report.table.show_lines(report._lines)
    assert header.length() == report.table.viewport().width(), "a row goes to its end"
    at = names.index("Shell length")
    assert report.table.item(at, 1).text() == "30"
    tem = shown["shell_length"].repeatability.tem
    assert report.table.item(at, 2).text() == f"{tem:.2g} mm"


def test_a_click_on_a_plot_chooses_the_pair_and_both_plots_follow(report, qtbot):
    first, second = report.plots
    place = first.places()[7]
    first.mousePressEvent(_press_at(place))
    assert report.chosen_pair() == report.row().pairs[7]
    assert report.pair.text().startswith("Pair 8 of 30")
    assert second._at == 7


def test_who_did_not_repeat_on_an_occasion_is_not_asked_about(report, qtbot):
    assert report.whose.key() == ANN.id
    assert report.said.text() == "30 repeated specimens of 60."
    report.occasion.show_key(SECOND)
    report.occasion.activated.emit(report.occasion.currentIndex())
    qtbot.waitUntil(lambda: report.report().occasion == SECOND)
    assert [report.whose.itemText(at) for at in range(report.whose.count())] == [
        "everybody"
    ]


def _press_at(place):
    from PySide6.QtCore import QEvent, Qt
    from PySide6.QtGui import QMouseEvent

    left, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    return QMouseEvent(QEvent.Type.MouseButtonPress, place, place, left, left, none)


def test_both_are_shown_on_the_specimen_of_the_pair_and_taken_away_again(report, qtbot):
    session = report._session
    report.plots[0].chosen.emit(3)
    pair = report.chosen_pair()
    report.both.click()
    qtbot.waitUntil(lambda: session.veil.beside == (BLIND, ANN.id))
    assert session.specimen.id == pair.specimen
    report.both.click()
    assert session.veil.beside is None


def test_own_doubt_speaks_when_it_is_chosen_and_undo_takes_it_back(report, qtbot):
    session = report._session
    usual = {row.key: row.value.sigma for row in session.assessment.measures if row.value}
    report.use_own.click()
    _quiet(session, qtbot)
    *_, found = read_repeats(session.store)
    expected = own_doubt(found.specimens, ANN.id)
    document = Document("person", ANN.id)
    stored = person_of(ANN.id, session.store.load(document)[document].parts)
    assert stored.doubt.sigma == approx(expected.sigma)
    rows = measure_rows(session.specimen, session.pictures, session.doubts)
    assert rows == session.assessment.measures
    own = {row.key: row.value.sigma for row in rows if row.value}
    assert own["umbo_position"] > usual["umbo_position"]
    assert report.use_own.text() == "Use the usual doubt again"
    session.undo()
    _quiet(session, qtbot)
    assert session.doubts == {}
    assert report.use_own.text() == "Use my own doubt from now on"


def test_a_collection_without_repeats_says_so(session, qtbot):
    bare = fill(MemoryStore(replace(ABOUT, id="4")), shells(3))
    session.opening.open(lambda: bare, path=None)
    _quiet(session, qtbot)
    strip = AgreementStrip(session)
    qtbot.addWidget(strip)
    strip.show()
    qtbot.waitUntil(lambda: strip.said.text().startswith("Nothing was repeated"))
    assert strip.table.isHidden()


# -- The plots --------------------------------------------------------------------------


def test_points_of_the_plots_are_means_days_and_differences(report):
    row = next(one for one in report.report().measures if one.key == "shell_length")
    mean, time = points_of(row, MEAN), points_of(row, TIME)
    pair = row.pairs[4]
    assert mean.x[4] == approx((pair.first + pair.second) / 2)
    assert mean.y[4] == time.y[4] == approx(pair.second - pair.first)
    assert mean.limits == (row.limits.low, row.limits.high)
    assert min(time.x) == 0
    assert time.slope[0] * 30 == approx(row.drift.slope)


def test_a_plot_without_a_measure_has_no_points_and_paints(qapp, qtbot):
    plot = DifferencePlot(MEAN)
    qtbot.addWidget(plot)
    plot.resize(300, 150)
    assert plot.places() == []
    assert not plot.grab().isNull()


def test_the_next_of_the_lot_is_made_ready_and_not_the_next_of_the_list(session, qtbot):
    _begin(session, qtbot, Repeat(BLIND, ANN, ("shell-000", "shell-017")))
    assert session.reader.following() == "shell-017"
    session.veil.next()
    _quiet(session, qtbot)
    assert session.reader.following() == ""
