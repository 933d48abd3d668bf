"""The sorting before taking in: no picture lost, what is read meanwhile, where things lie."""

from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtTest import QTest

from app.background.desk import Desk
from app.background.pictures import PictureLoader
from app.panels.sorting_places import GROUP, LEFT_OUT, Section, Sizes, laid_out
from app.panels.sorting_sheet import SortingSheet
from app.panels.sorting_tiles import IN_A_FRAME
from app.session import Session
from app.session.entering import entering
from app.session.shelf import MOST_BEGUN
from app.session.sorting import ALONE, NAME, TIME, Sorting
from landmarks.collection import About, Picture
from landmarks.picture import PictureFile
from landmarks.sentences import Sentence, text
from landmarks.specimen import Frame, Label, Specimen
from landmarks.storage import MemoryStore
from tests.app import helpers_mouse as mouse
from tests.journeys.dives import make_dive

SIZES = Sizes((116, 87), 34, 40, 212)
CONTROL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def session(qtbot, tmp_path):
    made = Session()
    made.opening.open(lambda: MemoryStore(About("c")), path=tmp_path / "c.hingeline")
    qtbot.waitUntil(lambda: made.store is not None)
    yield made
    made.opening.close()


@pytest.fixture
def sort(session, qtbot):
    """Read files to their end and return their sorting."""
    reader = Desk()

    def read(paths):
        made = Sorting(session, reader, paths)
        with qtbot.waitSignal(made.ended, timeout=20_000):
            made.read()
        return made

    yield read
    reader.close()


def test_what_is_changed_by_hand_stays_while_files_are_read(session, qtbot, tmp_path):
    paths = make_dive(tmp_path / "dive", 80, 4)
    reader = Desk()
    sorting = Sorting(session, reader, paths)

    def merge_first():
        if not sorting.by_hand and len(sorting.groups) > 2:
            sorting.merge([str(paths[0]), str(paths[4])])

    sorting.changed.connect(merge_first)
    with qtbot.waitSignal(sorting.ended, timeout=20_000):
        sorting.read()
    assert sorting.by_hand
    assert sorted(sorting.now.proposal.shots) == sorted(map(str, paths))
    assert set(map(str, paths[:8])) <= set(sorting.groups[0].shots)
    reader.close()


def test_numbers_that_a_person_gave_outlast_another_way_of_sorting(sort, tmp_path):
    files = make_dive(tmp_path / "dive", 12, 3)
    paths, sorting = [str(one) for one in files], sort(files)
    sorting.number(sorting.groups[1].id, "HR-7")
    sorting.number_on(sorting.groups[1].id)
    sorting.number(sorting.groups[3].id, "")
    for method, gap_s in ((ALONE, None), (NAME, None), (TIME, 5000.0)):
        sorting.propose(method, gap_s)
        told = {one.number: list(one.shots) for one in sorting.groups if one.given}
        assert told == {"HR-7": paths[3:6], "HR-8": paths[6:9]}
        assert sorted(sorting.now.proposal.shots) == paths
    sorting.leave_out(paths[10:11])
    sorting.propose(ALONE)
    assert sorting.apart == (paths[10],), "what was left out stays out"
    sorting.take_along(paths[10:11])
    sorting.propose(TIME)
    assert sorting.apart == ()
    for _ in range(10):
        sorting.undo()
    assert [one.number for one in sorting.groups] == [""] * 4


def test_files_that_are_none_are_kept_with_their_sentence(sort, tmp_path):
    paths = make_dive(tmp_path / "dive", 4, 2)
    bad = tmp_path / "dive" / "bad.jpg"
    bad.write_text("no picture")
    sorting = sort([*paths, bad, tmp_path / "gone.jpg"])
    assert len(sorting.found) == 4
    assert {one.path.name for one in sorting.refused} == {"bad.jpg", "gone.jpg"}
    assert all("“" in text(one.why) for one in sorting.refused)
    assert not sorting.reading


def test_nothing_more_is_read_once_it_is_stopped(session, qtbot, tmp_path):
    reader = Desk()
    sorting = Sorting(session, reader, make_dive(tmp_path / "dive", 70, 7))
    sorting.changed.connect(sorting.stop)
    sorting.read()
    qtbot.waitUntil(lambda: not reader.busy)
    assert len(sorting.found) < 70
    assert not sorting.reading
    reader.close()


def test_a_group_of_which_a_picture_is_left_out_says_so(sort, tmp_path):
    paths = make_dive(tmp_path / "dive", 6, 3)
    sorting = sort(paths)
    assert text(sorting.groups[0].why).startswith("3 pictures")
    sorting.leave_out([str(paths[0])])
    assert text(sorting.groups[0].why) == "sorted by hand"
    assert sorting.apart == (str(paths[0]),)


def test_a_picture_twice_in_the_drop_stands_apart(sort, tmp_path):
    paths = make_dive(tmp_path / "dive", 6, 3)
    twin = tmp_path / "dive" / "copy.jpg"
    twin.write_bytes(paths[0].read_bytes())
    sorting = sort([*paths, twin])
    assert sorting.apart == (str(twin),)
    assert len(sorting.groups) == 2
    sorting.take_along([str(twin)])
    assert sorting.apart == ()
    sorting.undo()
    assert sorting.apart == (str(twin),)


@given(
    st.lists(
        st.tuples(
            st.sampled_from(("merge", "split", "before", "move", "out", "along", "undo")),
            st.sets(st.integers(0, 11), min_size=1, max_size=4),
            st.integers(0, 5),
        ),
        max_size=12,
    )
)
def test_no_picture_is_lost_or_doubled_whatever_is_done(shared, deeds):
    sorting, paths = shared
    sorting.propose("time")
    for deed, numbers, at in deeds:
        keys = [str(paths[one]) for one in sorted(numbers)]
        groups = sorting.groups
        if deed == "merge":
            sorting.merge(keys)
        elif deed == "split":
            sorting.split(keys)
        elif deed == "before":
            sorting.split_before(keys[0])
        elif deed == "move" and groups:
            sorting.move(keys, groups[at % len(groups)].id, keys[-1])
        elif deed == "out":
            sorting.leave_out(keys)
        elif deed == "along":
            sorting.take_along(keys)
        else:
            sorting.undo()
        inside = sorting.now.proposal.shots
        assert len(set(inside)) == len(inside)
        assert sorted((*inside, *sorting.apart)) == sorted(map(str, paths))
        assert len({one.id for one in sorting.groups}) == len(sorting.groups)
    sorting.take_along(sorting.apart)


def wait_for(until, ms=20_000):
    for _ in range(ms // 10):
        if until():
            return
        QTest.qWait(10)
    raise AssertionError("it took too long")


@pytest.fixture(scope="module")
def shared(qapp, tmp_path_factory):
    """Return one sorting for many examples: reading files is not what is tried."""
    session, reader = Session(), Desk()
    paths = make_dive(tmp_path_factory.mktemp("dive") / "dive", 12, 3)
    session.opening.open(lambda: MemoryStore(About("c")), path=None)
    sorting = Sorting(session, reader, paths)
    wait_for(lambda: session.store is not None)
    sorting.read()
    wait_for(lambda: not sorting.reading and not session.desk.busy)
    yield sorting, paths
    session.opening.close()
    reader.close()


@given(st.lists(st.integers(1, 14), min_size=1, max_size=30), st.integers(240, 2000))
def test_cards_never_overlap_and_every_tile_lies_in_its_card(sizes, width):
    keys = iter(range(1000))
    sections = [
        Section(GROUP, tuple(str(next(keys)) for _ in range(n)), i)
        for i, n in enumerate(sizes)
    ]
    sections.append(Section(LEFT_OUT, (str(next(keys)),)))
    places = laid_out(sections, width, SIZES)
    assert places.order == tuple(key for one in sections for key in one.keys)
    for card in places.cards:
        assert card.rect.right() <= max(width, 24 + SIZES.least) + 0.5
        assert all(card.rect.contains(tile) for tile in card.tiles)
        assert not any(a.intersects(b) for a, b in pairwise(card.tiles))
    for one, other in pairwise(places.cards):
        assert not one.rect.intersects(other.rect)
        assert (one.rect.top(), one.rect.left()) < (other.rect.top(), other.rect.left())
    for key in places.order:
        assert places.key_at(places.tile(key).center()) == key
    assert set(places.keys_in(QRectF(0, 0, 1e5, 1e6))) == set(places.order)
    assert places.key_at(QPointF(-5, -5)) == ""
    for card in places.cards:
        ends = (*card.section.keys[1:], "")
        for key, tile, following in zip(card.section.keys, card.tiles, ends, strict=True):
            left, right = (
                QPointF(tile.left(), tile.top() + 5),
                tile.center() + QPointF(9, 0),
            )
            assert places.before_at(card, left) == key
            assert places.before_at(card, right) == following, "whatever line it is in"


def test_a_narrow_window_shows_two_cards_or_more_in_a_line():
    """A window 1,120 pixels wide leaves 895 to the sheet: as measured, at the usual type."""
    for n in range(1, 7):
        groups = [Section(GROUP, tuple(f"{i}.{j}" for j in range(n)), i) for i in range(20)]
        places = laid_out(groups, 895, SIZES)
        per_line = Counter(card.top for card in places.cards)
        assert min(per_line.values()) >= 2
        assert {len({tile.top() for tile in card.tiles}) for card in places.cards} == {
            1 if n < 4 else 2
        }
        wide = laid_out(groups, 1695, SIZES)
        assert wide.height < places.height
        assert {len({tile.top() for tile in card.tiles}) for card in wide.cards} == {1}


def test_with_large_type_a_card_keeps_its_line_rather_than_standing_in_two():
    large = Sizes((232, 174), 68, 80, 424)
    groups = [Section(GROUP, (f"{i}.0", f"{i}.1"), i) for i in range(3)]
    cards = laid_out(groups, 650, large).cards
    assert all(len({tile.top() for tile in card.tiles}) == 1 for card in cards)


def test_arrow_keys_reach_every_tile_and_stay_on_the_sheet():
    sections = [Section(GROUP, tuple(f"{i}.{j}" for j in range(4)), i) for i in range(9)]
    places = laid_out(sections, 900, SIZES)
    key, seen = places.order[0], []
    for _ in places.order:
        seen.append(key)
        key = places.beside(key, 1, 0)
    assert seen == list(places.order)
    assert places.beside(places.order[-1], 1, 0) == places.order[-1]
    down, n = places.order[0], 0
    while (following := places.beside(down, 0, 1)) != down:
        assert places.tile(following).top() > places.tile(down).top()
        down, n = following, n + 1
    assert n == len({places.tile(key).top() for key in places.order}) - 1


def test_a_number_brings_what_is_pinned_and_nothing_else(session):
    remembers = entering(session)
    assert entering(session) is remembers, "one for each session"
    remembers.last = Label("PM-9", locality="Halverson Reef", collector="Ana Reyes")
    remembers.pin("locality", on=True)
    assert remembers.filled(Label("PM-10")) == Label("PM-10", locality="Halverson Reef")
    assert remembers.filled(Label(locality="Elsewhere")).locality == "Elsewhere"
    assert remembers.suggestion() == "PM-10"
    remembers.pin("locality", on=False)
    assert remembers.filled(Label("PM-10")) == Label("PM-10")


def test_the_sheet_makes_few_tiles_in_a_frame_and_all_of_them_soon(sort, qtbot, tmp_path):
    sorting = sort(make_dive(tmp_path / "dive", 40, 2))
    loader = PictureLoader()
    sheet = SortingSheet(sorting, loader)
    qtbot.addWidget(sheet)
    sheet.resize(1300, 900)
    sheet.grab()
    made = sheet._tiles._made
    assert 0 < len(made) <= IN_A_FRAME
    sheet.show()
    seen = sheet.places.keys_in(QRectF(0, 0, 1300, 880))
    assert len(seen) > 2 * IN_A_FRAME
    qtbot.waitUntil(lambda: set(seen) <= made.keys())

    # All groups from one head to another are made one by one key.
    heads = [card.head.center() for card in sheet.places.cards[:5]]
    mouse.click(sheet, heads[0])
    mouse.send(sheet, mouse.Kind.MouseButtonPress, heads[4], mouse.LEFT, mouse.LEFT, SHIFT)
    mouse.send(
        sheet, mouse.Kind.MouseButtonRelease, heads[4], mouse.LEFT, mouse.NO_BUTTON, SHIFT
    )
    qtbot.keyClick(sheet, Qt.Key.Key_M)
    assert len(sorting.groups[0].shots) == 10

    # A number that is written: Esc takes it back, Ctrl+Z brings it, Tab counts on.
    field = sheet.field
    qtbot.keyClick(sheet, Qt.Key.Key_N)
    qtbot.keyClicks(field, "HR-0099")
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert field.text() == ""
    assert not field.isHidden()
    qtbot.keyClick(field, Qt.Key.Key_Z, CONTROL)
    assert field.text() == "HR-0099"
    qtbot.keyClick(field, Qt.Key.Key_Tab)
    assert field.text() == "HR-0100", "the next one is offered"
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert field.isHidden()
    assert [one.number for one in sorting.groups[:2]] == ["HR-0099", ""]
    sheet.thumbs.put_away()
    loader.close()


def test_of_a_great_deed_only_the_first_specimen_is_kept_in_memory(session, qtbot):
    n = MOST_BEGUN + 5
    pictures = [
        Picture(f"p{i}", f"{i}.jpg", PictureFile(f"{i:064x}", 9, 64, 48)) for i in range(n)
    ]
    specimens = [
        Specimen(f"s{i:03}", frames=(Frame(f"f{i}", f"p{i}", ""),)) for i in range(n)
    ]
    session.do(Sentence("deed.take_in", {"n": n, "specimens": n}), *pictures, *specimens)
    assert list(session.shelf.specimens) == ["s000"]
    assert list(session.shelf.pictures) == ["p0"]

    def settled(rows):
        qtbot.waitUntil(lambda: session.n_rows == rows and not session.desk.busy)

    settled(n)
    session.choose("s000")
    session.undo()
    settled(0)
    assert session.specimen is None
    session.redo()
    settled(n)
    assert len(session.shelf.specimens) == 1
    session.choose("s040")
    qtbot.waitUntil(lambda: session.specimen is not None and session.specimen.id == "s040")
    assert session.picture == pictures[40]
