"""The session: deeds, their past and their way to the store, alone and with somebody else."""

from pathlib import Path

import pytest

from app.session import Aspect, Session, Tool, deeds
from landmarks.changes import Document
from landmarks.collection import About, Person
from landmarks.errors import StoreError
from landmarks.geometry import Box, Point
from landmarks.identification import compile_tables
from landmarks.intake import Found
from landmarks.picture import PictureFile
from landmarks.sentences import text
from landmarks.specimen import Label, Where, parts_of
from landmarks.storage import MemoryStore, open_sqlite
from landmarks.tables import read_tables

OUTSIDE = "outside_of_valve"


@pytest.fixture(scope="session")
def guide():
    return compile_tables(read_tables())


class Frail:
    """A store that fails so many times, or lets others in, before it does as it is told."""

    def __init__(self, store):
        self._store, self.n_faults, self.unforeseen = store, 0, None

    def __getattr__(self, name):
        return getattr(self._store, name)

    def commit(self, deed, expected=None):
        if self.unforeseen is not None:
            fault, self.unforeseen = self.unforeseen, None
            raise fault
        if self.n_faults:
            self.n_faults -= 1
            raise StoreError("store.disk_full", file="reef.hingeline")
        return self._store.commit(deed, expected)


@pytest.fixture
def sessions(qtbot):
    """Make sessions: each is one window at a collection."""
    made = []

    def make(store, name="Ilse Brandvold"):
        session = Session()
        session.person = Person(f"person-{len(made)}", name)
        session.said = []
        session.noticed.connect(lambda one, kind: session.said.append(text(one)))
        session.clashes = []
        session.conflicted.connect(lambda _deed, clash: session.clashes.append(clash))
        session.opening.open(lambda: store, path=getattr(store, "path", None))
        made.append(session)
        quiet(qtbot, session)
        return session

    yield make
    for one in made:
        one.opening.close()


@pytest.fixture
def store():
    return Frail(MemoryStore(About("c", "Port Maren Museum")))


@pytest.fixture
def alone(sessions, store, qtbot):
    """One person with one shell, seen from outside, the first landmark armed."""
    session = sessions(store)
    add(session, 1)
    deeds.set_view(session, OUTSIDE)
    deeds.arm(session, "umbo")
    quiet(qtbot, session)
    return session


@pytest.fixture
def two(sessions, tmp_path, qtbot):
    """Two people at one file, both with the same shell before them."""
    first = sessions(open_sqlite(tmp_path / "reef.hingeline", create=True))
    add(first, 1)
    deeds.set_view(first, OUTSIDE)
    deeds.arm(first, "umbo")
    deeds.place(first, Point(400, 300), 1.0)
    quiet(qtbot, first)
    second = sessions(open_sqlite(tmp_path / "reef.hingeline"), "Aleksy Farrow")
    assert parts_of(second.specimen) == parts_of(first.specimen)
    return first, second


def quiet(qtbot, *sessions):
    def still():
        return all(
            not one.desk.busy and one.saving.state in ("saved", "failed")
            for one in sessions
        )

    qtbot.waitUntil(still)


def file_of(n):
    return PictureFile(sha256=f"{n:064x}", n_bytes=9, width=1800, height=1200)


def found(n):
    return Found(Path(f"/reef/{n}.jpg"), file_of(n))


def add(session, *numbers):
    deeds.take_in_alone(session, [found(n) for n in numbers])


def umbo(session):
    return session.specimen.placed(session.frame.id)["umbo"]


def move_umbo(session, x):
    one = umbo(session)
    deeds.move(session, one.id, 0, Point(x, 300), 1.0)


def stored(store, session):
    """Return the specimen on the bench as the store has it."""
    document = Document("specimen", session.specimen.id)
    return dict(store.load(document)[document].parts)


def history(store):
    return [str(one.change_set.deed) for one in reversed(store.history())]


# -- deeds and their past ------------------------------------------------------------------


def test_each_deed_is_one_change_set_with_a_name(alone, store, qtbot, guide):
    alone.use_guide(guide)
    things = (
        lambda: deeds.place(alone, Point(400, 300), 1.0),
        lambda: move_umbo(alone, 410),
        lambda: deeds.nudge(alone, umbo(alone).id, 0, 0.1, 0),
        lambda: deeds.set_scale(alone, Point(0, 0), Point(1500, 0), 150.0),
        lambda: deeds.set_camera_distance(alone, 600.0),
        lambda: deeds.cannot_place(alone, "worn", "upper_margin"),
        lambda: deeds.score(alone, "scutes", "absent"),
        lambda: deeds.cannot_be_seen(alone, "eyes"),
        lambda: deeds.type_measure(alone, "shell_length", 152.0, "calliper", 0.1),
        lambda: deeds.unsee(alone, "scutes"),
        lambda: deeds.set_label(alone, Label(catalogue_number="PMM 7")),
        lambda: deeds.set_where(alone, Where(origin="wild")),
        lambda: deeds.set_part(alone, "left_valve"),
        lambda: deeds.set_state(alone, mantle="none"),
        lambda: deeds.set_region(alone, Box(1, 2, 300, 400)),
        lambda: deeds.determine(alone, "species", ["tridacna_squamosa"]),
        lambda: deeds.delete_mark(alone, umbo(alone).id, 0),
        lambda: deeds.remove_scale(alone),
        lambda: deeds.add_specimen_on_picture(alone, Box(900, 2, 300, 400)),
        lambda: deeds.remove_frame(alone),
        lambda: deeds.remove_specimen(alone),
    )
    for thing in things:
        n = len(store.history())
        thing()
        quiet(qtbot, alone)
        assert len(store.history()) == n + 1
        assert str(alone.undo_name)
        newest = store.history()[0].change_set
        assert newest.deed == alone.undo_name
        assert newest.person == alone.person.id
        assert newest.at.endswith("Z")


def test_undoing_everything_gives_the_beginning_and_doing_it_again_the_end(
    alone, store, qtbot
):
    start = stored(store, alone)
    deeds.place(alone, Point(400, 300), 1.0)
    move_umbo(alone, 500)
    deeds.score(alone, "scutes", "absent")
    deeds.set_label(alone, Label(catalogue_number="PMM 7"))
    quiet(qtbot, alone)
    end = stored(store, alone)
    for _ in range(4):
        alone.undo()
    quiet(qtbot, alone)
    assert stored(store, alone) == start == parts_of(alone.specimen)
    for _ in range(4):
        alone.redo()
    quiet(qtbot, alone)
    assert stored(store, alone) == end == parts_of(alone.specimen)
    assert alone.redo_name is None


def test_a_new_deed_ends_what_could_be_done_again(alone):
    deeds.place(alone, Point(400, 300), 1.0)
    alone.undo()
    assert str(alone.redo_name) == "place umbo"
    deeds.set_label(alone, Label(catalogue_number="PMM 7"))
    assert alone.redo_name is None


def test_undo_goes_back_over_several_specimens_and_shows_each(alone, qtbot):
    first = alone.specimen.id
    deeds.place(alone, Point(400, 300), 1.0)
    add(alone, 2)
    second = alone.specimen.id
    deeds.set_label(alone, Label(catalogue_number="PMM 8"))
    alone.undo()
    assert alone.specimen.id == second
    assert alone.specimen.label == Label()
    alone.undo()
    qtbot.waitUntil(lambda: alone.specimen is not None and alone.specimen.id == first)
    assert "umbo" in alone.specimen.placed(alone.frame.id)
    alone.undo()
    assert "umbo" not in alone.specimen.placed(alone.frame.id)
    alone.redo()
    alone.redo()
    qtbot.waitUntil(lambda: alone.specimen.id == second)


def test_a_specimen_taken_away_comes_back_whole(alone, store, qtbot):
    deeds.place(alone, Point(400, 300), 1.0)
    before = parts_of(alone.specimen)
    deeds.remove_specimen(alone)
    assert alone.specimen is None
    alone.undo()
    assert parts_of(alone.specimen) == before
    quiet(qtbot, alone)
    assert stored(store, alone) == before
    assert alone.n_rows == 1


def test_what_is_not_listed_yet_comes_back_to_the_bench_when_the_next_is_taken_back(
    sessions, store, qtbot
):
    session = sessions(store)
    add(session, 1)
    first = session.specimen.id
    add(session, 2)
    assert session.specimen.id != first
    session.listing.rows = ()
    session.undo()
    assert session.specimen.id == first
    quiet(qtbot, session)


def test_a_deed_that_changes_nothing_is_no_deed(alone, store, qtbot):
    n = len(store.history())
    deeds.set_part(alone, "")
    deeds.set_label(alone, Label())
    quiet(qtbot, alone)
    assert len(store.history()) == n


def test_a_point_beside_the_picture_is_refused_and_nothing_changes(alone):
    from landmarks.errors import HingelineError

    before = parts_of(alone.specimen)
    with pytest.raises(HingelineError) as fault:
        deeds.place(alone, Point(1801, 300), 1.0)
    assert "1801" in str(fault.value)
    assert parts_of(alone.specimen) == before


def test_whether_names_were_hidden_is_part_of_what_was_done(alone):
    alone.hide_names(True)
    deeds.place(alone, Point(400, 300), 1.0)
    deeds.score(alone, "scutes", "absent")
    deeds.cannot_place(alone, "worn", "upper_margin")
    alone.hide_names(False)
    deeds.score(alone, "scute_size", "low")
    hidden = {one.landmark: one.names_hidden for one in alone.specimen.placings}
    hidden |= {one.character: one.names_hidden for one in alone.specimen.observations}
    assert hidden == {
        "umbo": True, "upper_margin": True, "scutes": True, "scute_size": False,
    }  # fmt: skip


def test_a_person_is_made_known_once_and_never_by_an_empty_hand(sessions, store, qtbot):
    session = sessions(store)
    assert store.people() == ()
    add(session, 1, 2)
    deeds.set_label(session, Label(catalogue_number="PMM 7"))
    quiet(qtbot, session)
    assert store.people() == (session.person,)
    again = sessions(store)
    again.person = session.person
    again.choose(again.rows[0].specimen)
    quiet(qtbot, again)
    deeds.set_label(again, Label(catalogue_number="PMM 9"))
    quiet(qtbot, again)
    touched = [one.change_set.documents for one in store.history()]
    signed = [one for one in touched if "person" in {document.kind for document in one}]
    assert len(signed) == 1


# -- the way to the store ------------------------------------------------------------------


def test_deeds_wait_in_order_while_the_disk_is_full_and_are_all_written_after(
    alone, store, qtbot
):
    written = history(store)
    store.n_faults = 3
    deeds.place(alone, Point(400, 300), 1.0)
    move_umbo(alone, 410)
    move_umbo(alone, 420)
    qtbot.waitUntil(lambda: alone.saving.state == "failed")
    assert alone.saving.n_waiting == 3
    assert "disk" in str(alone.saving.fault)
    assert umbo(alone).points == (Point(420, 300),)
    for _ in range(2):
        alone.journal.retry()
        qtbot.waitUntil(lambda: alone.saving.state == "failed")
        assert alone.saving.n_waiting == 3
    move_umbo(alone, 430)
    assert history(store) == written
    alone.journal.retry()
    qtbot.waitUntil(lambda: alone.saving.state == "saved")
    assert history(store) == [*written, "place umbo", "move umbo", "move umbo", "move umbo"]
    assert stored(store, alone) == parts_of(alone.specimen)


def test_what_nobody_foresaw_is_said_and_the_deed_still_waits(alone, store, qtbot):
    store.unforeseen = RuntimeError("the sea came in")
    with qtbot.captureExceptions() as raised:
        deeds.place(alone, Point(400, 300), 1.0)
        qtbot.waitUntil(lambda: alone.saving.state == "failed")
    assert raised[0][0] is RuntimeError
    assert "the sea came in" in str(alone.saving.fault)
    alone.journal.retry()
    qtbot.waitUntil(lambda: alone.saving.state == "saved")
    assert history(store)[-1] == "place umbo"


def test_saved_is_said_only_when_the_store_said_so(alone, store, qtbot):
    states = []
    alone.changed.connect(
        lambda aspects: aspects & Aspect.SAVING and states.append(alone.saving.state)
    )
    deeds.place(alone, Point(400, 300), 1.0)
    assert alone.saving.state == "saving"
    quiet(qtbot, alone)
    assert states[0] == "saving"
    assert states[-1] == "saved"
    assert history(store)[-1] == "place umbo"


def test_closing_writes_what_waits(alone, store):
    for x in range(400, 440):
        if x == 400:
            deeds.place(alone, Point(x, 300), 1.0)
        move_umbo(alone, x)
    n = alone.saving.n_waiting
    assert n > 1
    alone.opening.close()
    store._store._open = True  # It is looked into after it was closed.
    assert stored(store, alone) == parts_of(alone.specimen)


def test_no_other_collection_is_opened_over_deeds_that_are_not_saved(alone, store, qtbot):
    store.n_faults = 1
    deeds.place(alone, Point(400, 300), 1.0)
    qtbot.waitUntil(lambda: alone.saving.state == "failed")
    other = MemoryStore(About("d", "Halverson Reef survey"))
    alone.opening.open(lambda: other, path=None)
    assert alone.said == [
        "One step is not saved yet, so no other collection was opened: "
        "try again to save it first."
    ]
    assert alone.about.name == "Port Maren Museum"
    alone.journal.retry()
    quiet(qtbot, alone)
    alone.opening.open(lambda: other, path=None)
    qtbot.waitUntil(lambda: alone.about.name == "Halverson Reef survey")


def test_another_collection_opens_after_the_last_deed_is_written(alone, store, qtbot):
    first = alone.specimen
    deeds.place(alone, Point(400, 300), 1.0)
    move_umbo(alone, 410)
    other = MemoryStore(About("d", "Halverson Reef survey"))
    alone.opening.open(lambda: other, path=None)
    qtbot.waitUntil(lambda: alone.about.name == "Halverson Reef survey")
    store._store._open = True
    document = Document("specimen", first.id)
    kept = store.load(document)[document].parts
    assert any(
        part.startswith("placing/") and value["points"] == [[410, 300]]
        for part, value in kept.items()
    )


def test_a_collection_that_cannot_be_opened_leaves_the_one_that_is(alone, tmp_path, qtbot):
    before = parts_of(alone.specimen)
    alone.opening.open(lambda: open_sqlite(tmp_path / "none.hingeline"), path=tmp_path)
    quiet(qtbot, alone)
    assert "none.hingeline" in alone.said[0]
    assert parts_of(alone.specimen) == before
    deeds.place(alone, Point(400, 300), 1.0)
    quiet(qtbot, alone)
    assert alone.saving.state == "saved"


def test_a_window_with_unsaved_deeds_closes_only_when_asked_twice(alone, store, qtbot):
    assert alone.opening.may_close()
    store.n_faults = 9
    deeds.place(alone, Point(400, 300), 1.0)
    assert not alone.opening.may_close(), "it waits for the answer of the store"
    said = str(alone.saving.fault)
    assert "disk" in said
    assert "Close the window once more to give up one step." in said
    store.n_faults = 0
    alone.journal.retry()
    assert alone.opening.may_close()
    assert history(store)[-1] == "place umbo"
    store.n_faults = 9
    move_umbo(alone, 410)
    assert not alone.opening.may_close()
    assert alone.opening.may_close()
    store.n_faults = 0


# -- with somebody else --------------------------------------------------------------------


def test_work_on_other_parts_meets_and_is_shown(two, qtbot):
    first, second = two
    deeds.set_label(second, Label(catalogue_number="PMM 9"))
    quiet(qtbot, second)
    move_umbo(first, 500)
    quiet(qtbot, first)
    assert first.specimen.label.catalogue_number == "PMM 9"
    assert umbo(first).points == (Point(500, 300),)
    assert not first.clashes
    deeds.score(second, "scutes", "absent")
    quiet(qtbot, second)
    assert parts_of(second.specimen) == stored(first.store, first)


def test_others_work_shows_also_where_more_deeds_waited(two, qtbot):
    first, second = two
    deeds.set_label(second, Label(catalogue_number="PMM 9"))
    quiet(qtbot, second)
    move_umbo(first, 500)
    move_umbo(first, 510)
    move_umbo(first, 520)
    quiet(qtbot, first)
    assert first.specimen.label.catalogue_number == "PMM 9"
    assert umbo(first).points == (Point(520, 300),)


def test_a_frame_that_somebody_added_on_a_new_picture_is_read_with_its_picture(two, qtbot):
    first, second = two
    deeds.take_in_views(second, [found(2)])
    quiet(qtbot, second)
    move_umbo(first, 500)
    quiet(qtbot, first)
    assert len(first.specimen.frames) == 2
    assert all(frame.picture in first.pictures for frame in first.specimen.frames)


def test_undo_refuses_where_somebody_changed_the_part_since(two, qtbot):
    first, second = two
    move_umbo(second, 700)
    quiet(qtbot, second)
    deeds.set_label(first, Label(catalogue_number="PMM 9"))
    quiet(qtbot, first)
    assert umbo(first).points == (Point(700, 300),), "theirs was read with the label"
    first.undo()
    assert first.specimen.label == Label()
    before = parts_of(first.specimen)
    assert str(first.undo_name) == "place umbo"
    first.undo()
    assert first.said == [
        "This step cannot be made: a landmark was changed by someone else since. "
        "Look at it as it is now and decide again."
    ]
    assert parts_of(first.specimen) == before
    assert umbo(first).points == (Point(700, 300),)


def test_undo_of_what_was_not_read_again_is_not_refused(two, qtbot):
    """Reading again because of one specimen leaves the past of the others as it was."""
    first, second = two
    shell = first.specimen.id
    add(first, 2)
    quiet(qtbot, first)
    deeds.set_label(first, Label(catalogue_number="PMM 10"))
    first.choose(shell)
    quiet(qtbot, first)
    deeds.set_label(second, Label(catalogue_number="PMM 9"))
    quiet(qtbot, second)
    move_umbo(first, 500)
    quiet(qtbot, first)
    assert first.specimen.label.catalogue_number == "PMM 9"
    first.undo()
    first.undo()
    assert first.said == []
    assert first.specimen.id != shell
    assert first.specimen.label == Label()


@pytest.fixture
def clash(two, qtbot):
    """Both move the umbo; the first one moved it twice more before it was told."""
    first, second = two
    move_umbo(second, 700)
    quiet(qtbot, second)
    move_umbo(first, 500)
    move_umbo(first, 510)
    deeds.score(first, "scutes", "absent")
    quiet(qtbot, first)
    assert first.saving.state == "failed"
    assert len(first.clashes) == 1
    assert first.saving.n_waiting == 3
    return two


def test_keeping_mine_writes_it_over_theirs_and_all_that_follows(clash, qtbot):
    first, second = clash
    first.journal.keep_mine(first.clashes[0])
    quiet(qtbot, first)
    assert first.saving.state == "saved"
    assert umbo(first).points == (Point(510, 300),)
    assert stored(first.store, first) == parts_of(first.specimen)
    first.undo()
    first.undo()
    first.undo()
    quiet(qtbot, first)
    assert umbo(first).points == (Point(700, 300),), "undo brings theirs back"
    assert stored(second.store, second) == parts_of(second.specimen)


def test_taking_theirs_shows_theirs_and_lets_go_what_rests_on_mine(clash, qtbot):
    first, _ = clash
    first.journal.take_theirs()
    first.reader.again()
    quiet(qtbot, first)
    assert first.saving.state == "saved"
    assert umbo(first).points == (Point(700, 300),)
    seen = {one.character for one in first.specimen.observations}
    assert seen == {"scutes"}, "what does not rest on it is kept"
    assert stored(first.store, first) == parts_of(first.specimen)
    assert first.said == ["One later step rested on yours and went with it."]
    assert str(first.undo_name) != "move umbo"
    first.undo()
    quiet(qtbot, first)
    assert first.specimen.observations == ()
    move_umbo(first, 710)
    quiet(qtbot, first)
    assert first.saving.state == "saved"
    assert first.store.check() == ()


def test_deeds_done_while_a_clash_waits_are_not_lost(clash, qtbot):
    first, _ = clash
    deeds.set_label(first, Label(catalogue_number="PMM 11"))
    first.journal.take_theirs()
    first.reader.again()
    deeds.set_where(first, Where(origin="wild"))
    quiet(qtbot, first)
    assert first.specimen.label.catalogue_number == "PMM 11"
    assert first.specimen.where.origin == "wild"
    assert stored(first.store, first) == parts_of(first.specimen)


def test_keeping_mine_brings_back_a_specimen_that_somebody_took_away(two, qtbot):
    first, second = two
    deeds.remove_specimen(second)
    quiet(qtbot, second)
    move_umbo(first, 500)
    quiet(qtbot, first)
    assert "removed" in str(first.saving.fault)
    first.journal.keep_mine(first.clashes[0])
    quiet(qtbot, first)
    assert first.saving.state == "saved"
    assert stored(first.store, first) == parts_of(first.specimen)
    assert umbo(first).points == (Point(500, 300),)


def test_taking_theirs_of_a_specimen_taken_away_clears_the_bench(two, qtbot):
    first, second = two
    add(first, 2)
    other = first.specimen.id
    quiet(qtbot, first)
    first.choose(next(row.specimen for row in first.rows if row.specimen != other))
    deeds.remove_specimen(second)
    quiet(qtbot, second)
    move_umbo(first, 500)
    move_umbo(first, 510)
    quiet(qtbot, first)
    first.journal.take_theirs()
    first.reader.again()
    quiet(qtbot, first)
    assert first.saving.state == "saved"
    assert first.specimen.id == other
    assert first.n_rows == 1


def test_removing_what_somebody_worked_on_is_asked_about_and_then_done(two, qtbot):
    first, second = two
    gone = first.specimen.id
    deeds.score(second, "scutes", "absent")
    quiet(qtbot, second)
    deeds.remove_specimen(first)
    quiet(qtbot, first)
    assert first.saving.state == "failed"
    first.journal.keep_mine(first.clashes[0])
    quiet(qtbot, first)
    assert first.saving.state == "saved"
    assert not first.store.load(Document("specimen", gone))


def test_a_first_deed_that_gave_way_leaves_the_person_known(two, qtbot):
    first, second = two
    move_umbo(first, 700)
    quiet(qtbot, first)
    move_umbo(second, 500)
    deeds.score(second, "scutes", "absent")
    quiet(qtbot, second)
    assert second.saving.state == "failed"
    second.journal.take_theirs()
    second.reader.again()
    quiet(qtbot, second)
    assert second.saving.state == "saved"
    assert second.person in second.store.people()


# -- what is chosen ------------------------------------------------------------------------


def test_who_is_in_a_hurry_gets_the_specimen_chosen_last(two, qtbot):
    first, _ = two
    shell = first.specimen.id
    add(first, 2)
    quiet(qtbot, first)
    third = Session()
    third.opening.open(lambda: open_sqlite(first.path), path=first.path)
    quiet(qtbot, third)
    here = third.specimen.id
    other = next(row.specimen for row in third.rows if row.specimen != here)
    assert shell in (here, other)
    third.choose(other)
    third.choose(here)
    quiet(qtbot, third)
    assert third.specimen.id == here
    third.opening.close()


# -- pictures ------------------------------------------------------------------------------


def test_a_picture_of_known_content_gets_another_frame(two, qtbot, tmp_path):
    first, second = two
    add(first, 2)
    quiet(qtbot, first)
    known = {Document("picture", one) for one in first.pictures}
    assert len(known) == 2
    second.reader.pictures_with([file_of(2).sha256], lambda: add(second, 2))
    quiet(qtbot, second)
    assert set(second.store.documents("picture")) == known
    assert second.store.count() == 3
    assert second.picture is not None
    assert Document("picture", second.picture.id) in known


def test_the_same_picture_twice_at_once_is_one_picture(sessions, store, qtbot):
    session = sessions(store)
    add(session, 1, 1)
    quiet(qtbot, session)
    assert len(store.documents("picture")) == 1
    assert store.count() == 2


def test_a_tool_is_told_once(alone):
    told = []
    alone.changed.connect(lambda aspects: aspects & Aspect.TOOL and told.append(alone.tool))
    alone.hand.take_tool(Tool("scale"))
    alone.hand.take_tool(Tool("scale"))
    assert told == [Tool("scale")]


def test_the_list_shows_how_far_every_specimen_has_come_without_opening_it(qtbot):
    from landmarks.demo import example_store
    from landmarks.identification import compile_tables
    from landmarks.tables import read_tables

    session = Session()
    session.use_guide(compile_tables(read_tables()))
    session.opening.open(example_store, path=None, example=True)
    qtbot.waitUntil(lambda: bool(session.rows), timeout=10_000)
    qtbot.waitUntil(lambda: all(row.summary for row in session.rows), timeout=20_000)
    assert {len(row.summary["steps"]) for row in session.rows} == {5}
    session.opening.close()
