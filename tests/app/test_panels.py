"""The panels round the picture, on a session with a collection in memory."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QLineEdit, QWidget

from app.panels.fields import WordField
from app.panels.header import HeaderBar
from app.panels.hints import HINTS, MOST_HINTS, HintLine
from app.panels.key_sheet import PLACES
from app.panels.label_strip import LabelStrip
from app.panels.landmark_list import LandmarkList
from app.panels.name_strip import NameStrip
from app.panels.next_band import REASON_KEYS, NextBand
from app.panels.picture_strip import PictureStrip, facts_of
from app.panels.plane_strip import PlaneStrip
from app.panels.rail import Neighbour, PictureRail
from app.panels.scale_strip import ScaleStrip
from app.panels.specimen_rows import PAGE, SpecimensModel, steps_of
from app.panels.specimens import SpecimensPanel
from app.panels.start_card import StartCard
from app.panels.steps import StepsBar
from app.panels.trace_strip import TraceStrip
from app.panels.view_choice import VIEW_KEYS
from app.session import Aspect, Session, Tool, deeds
from app.style import fonts, palette
from landmarks.changes import Change, ChangeSet, Clash, Document
from landmarks.collection import About, Person
from landmarks.errors import StoreError
from landmarks.geometry import Box, Point
from landmarks.identification import Doubted, compile_tables, write_name
from landmarks.intake import Found
from landmarks.picture import PictureFile
from landmarks.placing import REASONS
from landmarks.scheme import VIEWS
from landmarks.sentences import Sentence, known, say
from landmarks.specimen import Label
from landmarks.storage import Conflict, MemoryStore, Query, Row
from landmarks.tables import read_tables

TAG = "<img src=x>"


@pytest.fixture(scope="session")
def guide():
    return compile_tables(read_tables())


@pytest.fixture
def styled(qapp):
    palette.apply(qapp, "light")
    yield qapp
    fonts.set_base_size(14)


SHOWN = []


@pytest.fixture(autouse=True)
def on_screen():
    """Let what is shown stay until the session is closed, as at the window."""
    yield
    for widget in SHOWN:
        widget.close()
        widget.deleteLater()
    SHOWN.clear()


@pytest.fixture
def session(styled, qtbot):
    """An open collection in memory that is still empty."""
    session = Session()
    session.person = Person("a-person", "Ilse Brandvold")
    session.opening.open(lambda: MemoryStore(About("c", "Port Maren Museum")), path=None)
    quiet(session, qtbot)
    yield session
    quiet(session, qtbot)
    session.opening.close()


@pytest.fixture
def shell(session, qtbot):
    """A shell on the bench, seen from outside."""
    add(session, qtbot, "PMM 2024.118")
    deeds.set_view(session, "outside_of_valve")
    quiet(session, qtbot)
    return session


def quiet(session, qtbot):
    """Wait until everything asked is answered and saved."""
    qtbot.waitUntil(lambda: not session.desk.busy and session.saving.n_waiting == 0)


def picture_file(n=0):
    return PictureFile(
        sha256=f"{n:064x}", n_bytes=9, width=1800, height=1200,
        captured="2024:03:14 09:48:15", camera="Selkie 3",
    )  # fmt: skip


def add(session, qtbot, number=""):
    n = session.n_rows
    deeds.take_in_alone(session, [Found(Path(f"/pictures/{n}.jpg"), picture_file(n))])
    quiet(session, qtbot)
    if number:
        deeds.set_label(session, Label(catalogue_number=number))
        quiet(session, qtbot)


def shown(qtbot, widget, width=956, height=300):
    SHOWN.append(widget)
    widget.resize(width, height)
    widget.show()
    # Only in the window that is active does anything have the focus.
    widget.activateWindow()
    qtbot.waitUntil(widget.isActiveWindow)
    return widget


def words(button):
    return button.text().replace("&&", "&")


# -- sentences -----------------------------------------------------------------------------


def test_every_deed_can_be_named_for_undo():
    files = Path(deeds.__file__).parent.glob("*.py")
    sources = [file.read_text(encoding="utf-8") for file in files]
    keys = {key for one in sources for key in re.findall(r'"(deed\.[a-z_]+)"', one)}
    assert len(keys) > 20
    assert [key for key in sorted(keys) if not known(key)] == []


def test_undo_reads_as_a_sentence(shell, qtbot):
    header = shown(qtbot, HeaderBar(shell))
    deeds.arm(shell, "umbo")
    deeds.place(shell, Point(400, 300), 1.0)
    assert header.undo.accessibleName() == "Undo place umbo"
    shell.undo()
    assert header.redo.accessibleName() == "Redo place umbo"


def test_every_hint_has_its_words_and_longer_lists_stand_on_the_key_sheet():
    for context, hints in HINTS.items():
        assert len(hints) <= MOST_HINTS or context in PLACES, context
        for _, key in hints:
            assert say(key)


# -- specimens -----------------------------------------------------------------------------


def test_an_empty_collection_offers_to_choose_pictures(session, qtbot):
    panel = shown(qtbot, SpecimensPanel(session), 244, 600)
    assert panel.nothing.isVisible()
    with qtbot.waitSignal(panel.pictures_wanted):
        panel.nothing.choose.click()


def test_arrow_keys_choose_the_specimen_on_the_bench(session, qtbot):
    for number in ("A 1", "A 2", "A 3"):
        add(session, qtbot, number)
    panel = shown(qtbot, SpecimensPanel(session), 244, 600)
    assert panel.list.currentIndex().row() == 2
    panel.list.setFocus()
    qtbot.keyClick(panel.list, Qt.Key.Key_Up)
    quiet(session, qtbot)
    assert session.specimen.label.catalogue_number == "A 2"
    panel.step(-1)
    quiet(session, qtbot)
    assert session.specimen.label.catalogue_number == "A 1"


def test_the_filter_asks_the_store_once_after_a_pause(session, qtbot, monkeypatch):
    for number in ("Reef 1", "Drawer 2"):
        add(session, qtbot, number)
    panel = shown(qtbot, SpecimensPanel(session), 244, 600)
    asked = []
    real, listing = session.listing.refresh, session.listing
    monkeypatch.setattr(listing, "refresh", lambda q=None: (asked.append(q), real(q)))
    qtbot.keyClicks(panel.filter, "drawer")
    qtbot.waitUntil(lambda: session.n_rows == 1)
    assert [query.text for query in asked] == ["drawer"]
    assert panel.list.isVisible()
    qtbot.keyClicks(panel.filter, " zzz")
    qtbot.waitUntil(lambda: session.n_rows == 0)
    assert not panel.list.isVisible()
    assert not panel.nothing.isVisible()
    panel.filter.clear()
    qtbot.waitUntil(lambda: session.n_rows == 2)


def test_a_stranger_s_number_is_shown_as_it_stands(session, qtbot):
    add(session, qtbot, TAG)
    panel = shown(qtbot, SpecimensPanel(session), 244, 600)
    assert panel.model.data(panel.model.index(0)) == TAG


class _Endless:
    """A store of a hundred thousand rows that counts what it is asked."""

    n = 100_000

    def __init__(self):
        self.asked = []

    def list(self, query=None):
        self.asked.append((query.offset, query.limit))
        last = min(query.offset + query.limit, self.n)
        return tuple(Row(f"s{i}", f"N {i}") for i in range(query.offset, last))


def test_of_a_hundred_thousand_rows_only_the_pages_looked_at_are_read(session, qtbot):
    store = _Endless()
    real, session.store = session.store, store
    listing = session.listing
    listing.n_rows, listing.query = store.n, Query(limit=PAGE)
    listing.rows = store.list(listing.query)
    panel = shown(qtbot, SpecimensPanel(session), 244, 600)
    session.choose = lambda *_: None
    bar = panel.list.verticalScrollBar()
    for part in range(0, 101, 10):
        bar.setValue(bar.maximum() * part // 100)
        panel.grab()
    qtbot.waitUntil(lambda: panel.model.row(store.n - 1) is not None)
    assert panel.model.row(store.n - 1).catalogue_number == f"N {store.n - 1}"
    # Pages that were only passed by are not read, so that no deed waits for them.
    assert len(store.asked) <= 4
    session.store = real


def test_a_row_keeps_its_place_when_the_same_list_is_read_again(shell, qtbot):
    model = SpecimensModel(shell)
    model.renew()
    with qtbot.assertNotEmitted(model.modelReset):
        model.renew()


@pytest.mark.parametrize(
    "summary",
    [None, {}, {"steps": 3}, {"steps": ["full"]}, ["full"] * 5, {"steps": [{}] * 5}],
)
def test_a_strange_summary_shows_five_rings(summary):
    assert steps_of(Row("s", summary=summary)) == ["none"] * 5


def test_names_in_the_list_are_hidden_when_names_are(shell, guide, qtbot):
    shell.use_guide(guide)
    deeds.determine(shell, "species", ["tridacna_maxima"])
    quiet(shell, qtbot)
    model = SpecimensModel(shell)
    model.renew()
    spoken = Qt.ItemDataRole.AccessibleTextRole
    assert "Tridacna maxima" in model.data(model.index(0), spoken)
    shell.hide_names(True)
    assert "Tridacna" not in model.data(model.index(0), spoken)


# -- picture rail --------------------------------------------------------------------------


class _Thumbs(QObject):
    arrived = Signal(str)

    def __init__(self):
        super().__init__()
        self.ready = False

    def __call__(self, picture_id, region=None):
        return QPixmap(192, 144) if self.ready else None


def test_the_rail_says_what_each_frame_has(shell, qtbot):
    rail = shown(qtbot, PictureRail(shell), height=60)
    assert rail.cards[0].words == "no scale, no landmarks yet"
    deeds.set_scale(shell, Point(100, 1100), Point(1300, 1100), 150)
    deeds.arm(shell, "umbo")
    deeds.place(shell, Point(400, 300), 1.0)
    assert rail.cards[0].words == "scale set, 1 landmark"
    assert rail.add.words == "inside of a valve, upper margin"


def test_a_click_on_a_frame_shows_it_and_the_last_places_want_more(shell, qtbot):
    deeds.take_in_views(shell, [Found(Path("/pictures/b.jpg"), picture_file(77))])
    rail = shown(qtbot, PictureRail(shell), height=60)
    first = shell.specimen.frames[0]
    rail.cards[0].click()
    assert shell.frame.id == first.id
    with qtbot.waitSignal(rail.add_wanted):
        rail.add.click()
    with qtbot.waitSignal(rail.frame_wanted):
        rail.another.click()


def test_the_place_for_another_picture_stays_in_sight_and_says_what_fits(shell, qtbot):
    rail = shown(qtbot, PictureRail(shell), height=60)
    frame = shell.frame
    widths = []

    def is_laid_out():
        wanted, free = rail._area.sizeHint().width(), rail.width() - rail.add.width() - 10
        settled = wanted <= free or rail.add.width() == rail.add.least()
        return settled and rail._area.width() == min(wanted, free)

    def sees_the_chosen():
        scrolled, room = rail._area.horizontalScrollBar().value(), rail._area.width()
        where = rail.cards[0].geometry().translated(-scrolled, 0)
        return where.left() >= 0 and where.right() < room

    for width, n_others in ((900, 0), (450, 0), (250, 0), (400, 6), (900, 0)):
        rail.neighbours = [
            Neighbour("other", frame.id, frame.picture, number=f"PMM {n}")
            for n in range(n_others)
        ]
        rail.resize(width, 60)
        QApplication.processEvents()
        qtbot.waitUntil(is_laid_out)
        # It is never cut, nor does it stand over the frames, which scroll.
        assert rail.rect().contains(rail.add.geometry())
        assert not rail.add.geometry().intersects(rail._area.geometry())
        assert rail.add.accessibleName() == "Add a picture, inside of a valve, upper margin"
        # The frame on the bench is seen whole.
        qtbot.waitUntil(sees_the_chosen)
        widths.append(rail.add.width())
    every, title, icon, crowded, again = widths
    assert icon == crowded < title < every == again


def test_frames_of_others_on_the_same_picture_stand_in_the_rail(shell, qtbot):
    rail = shown(qtbot, PictureRail(shell), height=60)
    picture = shell.frame.picture
    deeds.add_specimen_on_picture(shell, Box(10, 10, 300, 300))
    other, its_frame = shell.specimen, shell.frame
    quiet(shell, qtbot)
    shell.choose(shell.rows[0].specimen)
    quiet(shell, qtbot)
    first = shell.specimen if shell.specimen.id != other.id else None
    assert first is not None
    rail.neighbours = [Neighbour(other.id, its_frame.id, picture, its_frame.region)]
    rail.cards[-1].click()
    quiet(shell, qtbot)
    assert shell.specimen.id == other.id


def test_a_thumbnail_that_comes_later_is_shown(shell, qtbot):
    thumbs = _Thumbs()
    rail = shown(qtbot, PictureRail(shell, thumbs), height=60)
    cards = list(rail.cards)
    assert cards[0]._thumbnail is None
    thumbs.ready = True
    thumbs.arrived.emit(shell.frame.picture)
    assert cards[0]._thumbnail is not None
    assert rail.cards == cards, "the cards stay, and the keyboard with them"


# -- band ----------------------------------------------------------------------------------


def test_each_view_has_one_key_and_those_with_landmarks_come_first():
    assert set(VIEW_KEYS.values()) == set(VIEWS)
    first = list(VIEW_KEYS.values())[:3]
    assert all(VIEWS[view].landmarks for view in first)


def test_a_picture_without_a_view_is_asked_for_it_and_a_key_answers(session, qtbot):
    add(session, qtbot)
    band = shown(qtbot, NextBand(session))
    assert band.views.isVisible()
    button = band.views.buttons["outside_of_valve"]
    button.setFocus()
    # The keyboard goes to the picture, where one letter does what comes next.
    with qtbot.waitSignal(band.view_said):
        qtbot.keyClick(button, "2")
    assert session.frame.view == "inside_of_valve"
    assert not band.views.isVisible()


def test_the_band_leads_from_scale_to_name(shell, guide, qtbot):
    shell.use_guide(guide)
    band = shown(qtbot, NextBand(shell))
    assert band.band.title() == "No scale in this picture"
    for way, signal in zip(
        band.band.buttons(), (band.scale_wanted, band.landmarks_wanted), strict=True
    ):
        with qtbot.waitSignal(signal):
            way.click()
    deeds.set_scale(shell, Point(100, 1100), Point(1300, 1100), 150)
    assert [words(one) for one in band.band.buttons()] == ["Place landmarks"]
    deeds.arm(shell)
    while shell.tool is not None:
        deeds.cannot_place(shell, "hidden")
    assert [words(one) for one in band.band.buttons()] == ["Score characters"]
    for row in shell.assessment.characters:
        if not row.hidden:
            deeds.cannot_be_seen(shell, row.character.key)
    with qtbot.waitSignal(band.name_wanted):
        band.band.buttons()[0].click()
    deeds.determine(shell, "unresolved", [])
    assert not band.isVisible()


def test_the_armed_landmark_is_announced_with_letter_and_place(shell, qtbot):
    band = shown(qtbot, NextBand(shell))
    deeds.arm(shell, "umbo")
    assert band.band.title() == "Next: umbo, marked U"
    assert band.band.accessibleDescription().startswith("The tip of the beak")
    texts = [label.text() for label in band.findChildren(QLabel)]
    assert "3 of 8" in texts


def test_a_series_is_done_by_its_button(shell, qtbot):
    band = shown(qtbot, NextBand(shell))
    deeds.arm(shell, "main_folds")
    assert [words(one) for one in band.band.buttons()] == [
        "There are none",
        "Cannot be placed",
    ]
    deeds.place(shell, Point(400, 300), 1.0)
    assert [words(one) for one in band.band.buttons()] == ["Done", "Cannot be placed"]
    band.band.buttons()[0].click()
    assert shell.tool == Tool("landmark", "end_folds")


def test_closed_is_a_value_of_both_ends_of_the_byssal_opening(shell, qtbot):
    deeds.set_view(shell, "hinge_edge")
    band = shown(qtbot, NextBand(shell))
    deeds.arm(shell, "byssal_opening_hinge")
    assert words(band.band.buttons()[0]) == "Closed"
    band.band.buttons()[0].click()
    placed = shell.specimen.placed(shell.frame.id)
    assert placed["byssal_opening_hinge"].reason == "closed"
    assert placed["byssal_opening_far"].reason == "closed"


@pytest.mark.parametrize("reason", REASONS)
def test_each_reason_of_the_menu_answers_the_armed_landmark(shell, qtbot, reason):
    band = shown(qtbot, NextBand(shell))
    deeds.arm(shell, "umbo")
    menu = band.reasons_menu()
    found = [
        one for one in menu.actions() if one.text().endswith(f"\t{REASON_KEYS[reason]}")
    ]
    found[0].trigger()
    assert shell.specimen.placed(shell.frame.id)["umbo"].reason == reason


def test_a_notice_comes_first_and_is_put_away(shell, qtbot):
    band = shown(qtbot, NextBand(shell))
    before = band.band.title()
    sentence = Sentence("picture.empty", {"file": TAG})
    shell.notice(sentence, "error")
    shell.notice(sentence, "error")
    assert band.band.title() == "This did not work"
    labels = [one for one in band.findChildren(QLabel) if TAG in one.text()]
    assert labels
    assert all(one.textFormat() == Qt.TextFormat.PlainText for one in labels)
    band.put_away()
    assert band.band.title() == before


def test_information_gives_way_to_the_next_deed_but_an_error_stays(shell, qtbot):
    band = shown(qtbot, NextBand(shell))
    shell.notice(Sentence("plain", {"words": "a note"}), "info")
    deeds.set_part(shell, "left_valve")
    assert band.band.title() != "Note"
    shell.notice(Sentence("plain", {"words": "a fault"}), "error")
    deeds.set_part(shell, "right_valve")
    assert band.band.title() == "This did not work"


class _Failing:
    """A store that fails, answers with a conflict, or works, as it is told."""

    def __init__(self, store):
        self.store, self.answer = store, None

    def __getattr__(self, name):
        return getattr(self.store, name)

    def commit(self, *given):
        if isinstance(self.answer, Exception):
            raise self.answer
        return self.answer or self.store.commit(*given)


def test_what_could_not_be_saved_is_said_and_tried_again(shell, qtbot):
    band, hints = shown(qtbot, NextBand(shell)), shown(qtbot, HintLine(shell), height=30)
    failing = _Failing(shell.store)
    failing.answer = StoreError("plain", words="The disk is full.")
    shell.journal.write_to(failing)
    deeds.set_part(shell, "left_valve")
    qtbot.waitUntil(lambda: shell.saving.state == "failed")
    assert band.band.title() == say("band.not_saved")
    assert band.band.accessibleDescription() == "The disk is full."
    assert hints.retry.isVisible()
    # What is refused meanwhile waits behind it, and that is said; a deed does not unsay it.
    shell.notice(Sentence("plain", {"words": "not here"}), "refused")
    shell.notice(Sentence("plain", {"words": "copied"}))
    more = say("band.more_notices", n=2)
    assert band.band.accessibleDescription() == f"The disk is full. {more}"
    deeds.set_part(shell, "right_valve")
    failing.answer = None
    band.band.buttons()[0].click()
    qtbot.waitUntil(lambda: shell.saving.state == "saved")
    assert band._shown[2] == "not here"
    band.put_away()
    assert band._shown[2] == "copied"
    assert not hints.retry.isVisible()


@pytest.mark.parametrize(("way", "kept"), [(0, "left_valve"), (1, "fragment")])
def test_a_conflict_is_settled_by_keeping_mine_or_taking_theirs(shell, qtbot, way, kept):
    band = shown(qtbot, NextBand(shell))
    document = Document("specimen", shell.specimen.id)
    part = f"frame/{shell.frame.id}"
    now = shell.store.load(document)[document].parts
    theirs = {**now[part], "part": "fragment"}
    other = ChangeSet(
        "another-deed", Sentence("deed.set_part"),
        (Change(document, part, now[part], theirs),), "somebody", "2024-01-01T00:00:00Z",
    )  # fmt: skip
    shell.store.commit(other)
    failing = _Failing(shell.store)
    clash = Clash(part, now[part], {**now[part], "part": "left_valve"}, theirs)
    failing.answer = Conflict({document: (clash,)}, {document: 2})
    shell.journal.write_to(failing)
    deeds.set_part(shell, "left_valve")
    qtbot.waitUntil(lambda: band.band.title() == say("band.conflict"))
    failing.answer = None
    band.band.buttons()[way].click()
    quiet(shell, qtbot)
    qtbot.waitUntil(lambda: shell.frame is not None and shell.frame.part == kept)
    saved = shell.store.load(document)[document].parts[part]
    assert saved["part"] == kept


# -- steps, hints, header ------------------------------------------------------------------


def test_a_step_says_what_it_has_and_goes_there(shell, guide, qtbot):
    shell.use_guide(guide)
    bar = shown(qtbot, StepsBar(shell), height=70)
    assert bar.current() == "scale"
    assert bar.map.button(1).accessibleName() == "Scale, none: ratios and scores only"
    with qtbot.waitSignal(bar.stepped) as told:
        bar.map.button(4).click()
    assert told.args == ["name"]
    deeds.arm(shell)
    assert bar.current() == "landmarks"


def test_the_name_step_tells_no_name_while_names_are_hidden(shell, guide, qtbot):
    shell.use_guide(guide)
    bar, header = shown(qtbot, StepsBar(shell), height=70), shown(qtbot, HeaderBar(shell))
    deeds.determine(shell, "species", ["tridacna_gigas"])
    assert "Tridacna gigas" in bar.map.button(4).accessibleName()
    header.names.click()
    assert shell.names_hidden
    assert "Tridacna" not in bar.map.button(4).accessibleName()
    assert "Tridacna" not in header.undo.accessibleName()


def test_saved_is_said_only_when_it_is_acknowledged(shell, qtbot):
    header, hints = HeaderBar(shell), shown(qtbot, HintLine(shell), height=30)
    qtbot.addWidget(header)
    deeds.set_part(shell, "left_valve")
    assert shell.saving.state == "saving"
    assert header.label.lines()[1] == "saving …"
    quiet(shell, qtbot)
    assert header.label.lines()[1].startswith("saved ")
    assert any(one.text().startswith("all saved") for one in hints.findChildren(QLabel))


def test_the_keys_shown_follow_tool_mark_and_focus(shell, qtbot):
    hints = shown(qtbot, HintLine(shell), height=30)
    hints.set_context("picture")
    assert hints.context() == "picture"
    deeds.arm(shell, "umbo")
    assert hints.context() == "landmark"
    deeds.arm(shell, "main_folds")
    assert hints.context() == "points"
    deeds.place(shell, Point(400, 300), 1.0)
    shell.hand.take_tool(None)
    assert hints.context() == "mark"
    strip = shown(qtbot, NameStrip(shell))
    strip.activateWindow()
    strip.remarks.setFocus()
    qtbot.waitUntil(lambda: hints.context() == "name")


# -- scale ---------------------------------------------------------------------------------


def test_a_scale_is_typed_in_any_unit_and_accepted_with_enter(shell, qtbot):
    strip = shown(qtbot, ScaleStrip(shell))
    strip.start(Point(100, 1100), Point(1300, 1100))
    assert strip.form.length.hasFocus()
    strip.form.unit.show_key("cm")
    qtbot.keyClicks(strip.form.length, "15,0")
    assert strip.result.text().startswith("8.000 ± ")
    with qtbot.waitSignal(strip.accepted):
        qtbot.keyClick(strip.form.length, Qt.Key.Key_Return)
    scale = shell.picture.scale
    assert scale.length_mm == 150.0
    assert strip.line() is None
    assert "8.000" in strip.present.text()


@pytest.mark.parametrize(
    ("typed", "first", "said"),
    [
        ("many", Point(100, 1100), "“many” is not a number"),
        (TAG, Point(100, 1100), TAG),
        ("-3", Point(100, 1100), "is not a length"),
        ("0", Point(100, 1100), "is not a length"),
        ("150", Point(1300, 1100), "the same pixel"),
        ("150", Point(-5, 1100), "outside the picture"),
    ],
)
def test_a_scale_that_gives_no_millimetres_is_said_in_place(
    shell, qtbot, typed, first, said
):
    strip = shown(qtbot, ScaleStrip(shell))
    strip.start(first, Point(1300, 1100))
    strip.form.length.setText(typed)
    assert strip.form.trouble.isVisible()
    assert said in strip.form.trouble.text()
    assert strip.form.trouble.textFormat() == Qt.TextFormat.PlainText
    assert not strip.accept.isEnabled()
    qtbot.keyClick(strip.form.length, Qt.Key.Key_Return)
    assert shell.picture.scale is None
    assert strip.line() is not None


def test_esc_lets_the_line_go_first_and_closes_then(shell, qtbot):
    strip = shown(qtbot, ScaleStrip(shell))
    strip.start(Point(100, 1100), Point(1300, 1100))
    with qtbot.waitSignal(strip.cancelled):
        qtbot.keyClick(strip.form.length, Qt.Key.Key_Escape)
    with qtbot.waitSignal(strip.closed):
        qtbot.keyClick(strip, Qt.Key.Key_Escape)


def test_the_distance_of_the_camera_is_kept_or_refused_in_place(shell, qtbot):
    strip = shown(qtbot, ScaleStrip(shell))
    strip.camera.distance.setFocus()
    qtbot.keyClicks(strip.camera.distance, "600")
    qtbot.keyClick(strip.camera.distance, Qt.Key.Key_Return)
    assert shell.picture.camera.distance_mm == 600
    strip.camera.distance.setText("near")
    qtbot.keyClick(strip.camera.distance, Qt.Key.Key_Return)
    assert strip.camera.trouble.isVisible()
    assert shell.picture.camera.distance_mm == 600


# -- name ----------------------------------------------------------------------------------


def test_a_name_is_given_with_qualifier_and_determiner(shell, guide, qtbot):
    shell.use_guide(guide)
    strip = shown(qtbot, NameStrip(shell))
    assert not strip.give.isEnabled()
    strip.choose_taxon("tridacna_squamosa")
    strip.qualifiers.show_key("cf.")
    strip._renew_answer()
    assert strip.answer.text() == "Tridacna cf. squamosa"
    with qtbot.waitSignal(strip.named):
        qtbot.keyClick(strip.remarks, Qt.Key.Key_Return)
    one = shell.specimen.determination
    assert (one.level, one.taxa, one.qualifier) == (
        "species",
        ("tridacna_squamosa",),
        "cf.",
    )
    assert one.determiner == "Ilse Brandvold"
    assert "Tridacna cf. squamosa" in strip.earlier.text()


@pytest.mark.parametrize(
    ("level", "taxa", "free", "name"),
    [
        (
            "group",
            ["tridacna_maxima", "tridacna_noae"],
            "",
            "Tridacna maxima or Tridacna noae",
        ),
        (
            "hybrid",
            ["tridacna_maxima", "tridacna_noae"],
            "",
            "Tridacna maxima × Tridacna noae",
        ),
        ("genus", ["hippopus_hippopus"], "", "Hippopus sp."),
        ("not_a_giant_clam", [], "", "Not a giant clam"),
        ("unresolved", [], "", "Cannot be settled"),
        ("free_text", [], TAG, TAG),
    ],
)
def test_every_level_of_name_can_be_given(shell, guide, qtbot, level, taxa, free, name):
    shell.use_guide(guide)
    strip = shown(qtbot, NameStrip(shell))
    strip.show_level(level)
    for one in taxa:
        strip.choose_taxon(one)
    strip.free.setText(free)
    assert strip.answer.text() == name
    strip.give.click()
    assert shell.specimen.determination.level == level


def test_the_proposed_name_is_filled_in_with_its_sign_and_given_by_the_person(
    shell, guide, qtbot
):
    shell.use_guide(guide)
    deeds.score(shell, "scutes", "all_over")
    strip = shown(qtbot, NameStrip(shell))
    answer = shell.assessment.answer
    for level, taxa, doubted, name, sign in (
        ("species", ("tridacna_squamosa",), Doubted("Tridacna squamosa", "cf."),
         "Tridacna squamosa", "cf."),
        ("species", ("tridacna_squamosa",), Doubted("Tridacna squamosa"),
         "Tridacna squamosa", ""),
        ("genus", ("tridacna_squamosa", "tridacna_maxima"), Doubted("Tridacna", "indet."),
         "Tridacna", "indet."),
    ):  # fmt: skip
        found = replace(
            answer, level=level, taxa=taxa, name=name, written=write_name(doubted)
        )
        shell.assessment = replace(shell.assessment, answer=found)
        strip._renew_leading()
        assert strip.proposal.text() == write_name(doubted).verbatim
        n = len(shell.specimen.determinations)
        strip.proposal.click()
        assert len(shell.specimen.determinations) == n
        assert strip.answer.text() == write_name(doubted).verbatim
        strip.give.click()
        one = shell.specimen.determination
        assert (one.level, one.qualifier) == (level, sign)


@pytest.mark.parametrize(
    ("key", "level", "name"),
    [
        ("answer.undecided_plain", "group", "Tridacna maxima or Tridacna noae"),
        ("answer.between", "hybrid", "Tridacna maxima × Tridacna noae"),
    ],
)
def test_two_species_are_proposed_as_a_group_or_as_a_hybrid(
    shell, guide, qtbot, key, level, name
):
    shell.use_guide(guide)
    deeds.score(shell, "scutes", "all_over")
    strip = shown(qtbot, NameStrip(shell))
    found = replace(
        shell.assessment.answer,
        level="group",
        taxa=("tridacna_maxima", "tridacna_noae"),
        text=Sentence(key),
        written=write_name(Doubted("Tridacna", "indet.")),
    )
    shell.assessment = replace(shell.assessment, answer=found)
    strip.take_proposal()
    assert (strip.levels.key(), strip.answer.text()) == (level, name)


def test_a_genus_takes_other_signs_than_a_species(shell, guide, qtbot):
    shell.use_guide(guide)
    strip = shown(qtbot, NameStrip(shell))
    strip.choose_taxon("tridacna_squamosa")
    strip.qualifiers.show_key("cf.")
    strip.show_level("genus")
    assert strip.qualifiers.key() == ""
    strip.choose_taxon("tridacna_squamosa")
    strip.qualifiers.show_key("stet.")
    strip._renew_answer()
    assert strip.answer.text() == "Tridacna stet."


def test_a_group_of_one_is_refused_in_place(shell, guide, qtbot):
    shell.use_guide(guide)
    strip = shown(qtbot, NameStrip(shell))
    strip.show_level("group")
    strip.choose_taxon("tridacna_maxima")
    strip.give_name()
    assert strip.trouble.text() == "Choose two or more taxa"
    assert shell.specimen.determination is None


def test_the_search_finds_a_species_by_a_name_in_other_use(shell, guide, qtbot):
    shell.use_guide(guide)
    strip = shown(qtbot, NameStrip(shell))
    strip.taxa.search.setText("teardrop")
    qtbot.keyClick(strip.taxa.search, Qt.Key.Key_Return)
    assert strip.picked() == ("tridacna_noae",)


def test_leading_candidates_are_offered_only_once_something_speaks(shell, guide, qtbot):
    shell.use_guide(guide)
    strip = shown(qtbot, NameStrip(shell))
    assert not strip.leading.isVisible()
    deeds.score(shell, "scutes", "absent")
    assert strip.leading.isVisible()
    best = shell.assessment.answer.candidates[0]
    strip.leading.findChildren(QAbstractButton)[0].click()
    assert strip.picked() == (best.taxon,)
    assert not strip.independent.isChecked()
    shell.hide_names(True)
    assert not strip.leading.isVisible()
    assert strip.independent.isChecked()


def test_narrow_or_wide_nothing_of_a_strip_is_cut_at_its_side(shell, guide, qtbot):
    shell.use_guide(guide)
    for make in (NameStrip, LabelStrip, PictureStrip, ScaleStrip, LandmarkList, StartCard):
        strip = shown(qtbot, make(shell), 956, 300)
        for width in (956, 634, 480):
            strip.resize(width, 300)
            qtbot.wait(1)
            assert strip._area.horizontalScrollBar().maximum() == 0, (make, width)


@pytest.mark.parametrize("make", [TraceStrip, PlaneStrip, ScaleStrip])
def test_at_twice_the_usual_type_no_instrument_needs_more_than_the_picture(
    shell, qtbot, make
):
    fonts.set_base_size(28)
    try:
        strip = shown(qtbot, make(shell), 676, 300)
        if isinstance(strip, ScaleStrip):
            for one in (strip.form, strip.fitted, strip.fitted.plot, strip.fitted.choice):
                one.show()
            strip.fitted.title.setText("Graduation of 1 mm")
        elif isinstance(strip, TraceStrip):
            assert strip.state.width() > 300
        qtbot.wait(1)
        assert strip._area.horizontalScrollBar().maximum() == 0
    finally:
        fonts.set_base_size(14)


# -- label and picture ---------------------------------------------------------------------


def test_a_label_field_is_saved_on_leaving_it_as_one_deed(shell, qtbot):
    strip = shown(qtbot, LabelStrip(shell))
    field = strip.fields["locality"]
    assert isinstance(field, WordField)
    field.setFocus()
    qtbot.keyClicks(field, TAG)
    assert shell.specimen.label.locality == ""
    # Esc takes the writing back, and it is not lost by that.
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert field.text() == ""
    qtbot.keyClick(field, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert field.text() == TAG
    notes = strip.fields["verbatim"]
    qtbot.keyClicks(notes, "word for word")
    qtbot.keyClick(notes, Qt.Key.Key_Escape)
    assert notes.toPlainText() == ""
    notes.undo()
    assert notes.toPlainText() == "word for word"
    notes.undo()
    field.setFocus()
    qtbot.keyClick(field, Qt.Key.Key_Tab)
    assert shell.specimen.label.locality == TAG
    assert field.cursorPosition() == 0, "a long locality is read from its beginning"
    assert str(shell.undo_name) == "write the label"
    shell.undo()
    assert field.text() == ""


def test_what_was_typed_for_one_specimen_is_not_lost_when_another_is_chosen(session, qtbot):
    add(session, qtbot, "A 1")
    first = session.specimen.id
    add(session, qtbot, "A 2")
    second = session.specimen.id
    strip = shown(qtbot, LabelStrip(session))
    strip.fields["habitat"].setFocus()
    qtbot.keyClicks(strip.fields["habitat"], "reef flat")
    session.choose(first)
    quiet(session, qtbot)
    assert strip.fields["habitat"].text() == ""
    assert session.specimen.label.habitat == ""
    session.choose(second)
    quiet(session, qtbot)
    assert session.specimen.label.habitat == "reef flat"


def test_several_lines_of_a_label_stay_several_lines(shell, qtbot):
    deeds.set_label(shell, replace(shell.specimen.label, verbatim="one\ntwo"))
    strip = shown(qtbot, LabelStrip(shell))
    strip.fields["verbatim"].setFocus()
    strip.fields["remarks"].setFocus()
    assert shell.specimen.label.verbatim == "one\ntwo"


def test_origin_region_and_condition_are_said(shell, guide, qtbot):
    shell.use_guide(guide)
    fields = shown(qtbot, LabelStrip(shell)).where
    fields.origin.show_key("wild")
    fields.origin.chosen.emit("wild")
    fields.region.chosen.emit("red_sea")
    fields.kind.show_key("worn")
    fields.zone.show_key("umbo")
    fields.add.click()
    where = shell.specimen.where
    assert (where.origin, where.region) == ("wild", "red_sea")
    assert [(one.kind, one.zone) for one in where.condition] == [("worn", "umbo")]
    chips = fields.conditions.findChildren(QAbstractButton)
    assert chips[0].accessibleName() == "Remove: worn, at the umbo"
    chips[0].click()
    assert shell.specimen.where.condition == ()


def test_what_a_picture_shows_is_said_and_its_region_removed(shell, qtbot):
    strip = shown(qtbot, PictureStrip(shell))
    strip.part.chosen.emit("left_valve")
    strip.mantle.chosen.emit("none")
    strip.valves.chosen.emit("single")
    frame = shell.frame
    assert (frame.part, frame.mantle, frame.valves) == ("left_valve", "none", "single")
    deeds.set_region(shell, Box(10, 20, 300, 200))
    assert strip.region.text() == "300 × 200 px, from x 10, y 20"
    strip.whole.click()
    assert shell.frame.region is None


def test_the_capture_time_is_shown_as_it_stands_in_the_file(shell):
    facts = facts_of(shell.picture)
    assert facts["captured"] == "2024:03:14 09:48:15 (zone unknown)"
    assert facts["size"] == "1800 × 1200 px, 2.2 megapixels"
    zoned = replace(shell.picture, file=replace(picture_file(), zone="+10:00"))
    assert facts_of(zoned)["captured"] == "2024:03:14 09:48:15 (+10:00)"


# -- list of landmarks ---------------------------------------------------------------------


def test_everything_on_the_picture_has_a_row_that_keys_work_on(shell, qtbot):
    strip = shown(qtbot, LandmarkList(shell))
    assert [line.letter for line in strip.lines()] == list("BLUMHKFEWSCDA")
    strip.table.setFocus()
    strip.table.setCurrentCell(2, 1)
    qtbot.keyClick(strip.table, Qt.Key.Key_Return)
    assert shell.tool == Tool("landmark", "umbo")
    deeds.place(shell, Point(400, 300), 1.0)
    strip.table.setCurrentCell(2, 1)
    assert strip.lines()[2].where == "x 400.0  y 300.0 px"
    assert shell.mark == (shell.specimen.placings[0].id, 0)
    qtbot.keyClick(strip.table, Qt.Key.Key_Right, Qt.KeyboardModifier.AltModifier)
    assert shell.specimen.placings[0].points[0] == Point(401, 300)
    fine = Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.ControlModifier
    qtbot.keyClick(strip.table, Qt.Key.Key_Down, fine)
    assert shell.specimen.placings[0].points[0] == Point(401, pytest.approx(300.1))
    qtbot.keyClick(strip.table, Qt.Key.Key_Delete)
    assert shell.specimen.placings == ()
    qtbot.keyClick(strip.table, "w")
    assert shell.specimen.placed(shell.frame.id)["umbo"].reason == "worn"
    assert strip.lines()[2].where == "worn away"
    qtbot.keyClick(strip.table, Qt.Key.Key_Delete)
    assert shell.specimen.placings == ()


def test_each_point_of_a_series_and_each_end_of_the_scale_has_its_row(shell, qtbot):
    strip = shown(qtbot, LandmarkList(shell))
    deeds.arm(shell, "main_folds")
    for x in (300, 400):
        deeds.place(shell, Point(x, 200), 1.0)
    deeds.set_scale(shell, Point(100, 1100), Point(1300, 1100), 150)
    letters = [line.letter for line in strip.lines()]
    assert letters == [*"BLUMHKF", "F1", "F2", *"EWSCDA", "", ""]
    strip.table.setCurrentCell(7, 1)
    strip.delete_row()
    assert [p.x for p in shell.specimen.placings[0].points] == [400]


def test_a_line_grows_point_by_point_and_what_is_optional_is_armed_last(shell):
    deeds.arm(shell, "upper_margin_line")
    for x in (300, 400, 500):
        deeds.place(shell, Point(x, 200), 1.0)
    (line,) = shell.specimen.placings
    assert [p.x for p in line.points] == [300, 400, 500]
    assert shell.tool == Tool("landmark", "upper_margin_line")
    deeds.finish_series(shell)
    assert shell.tool == Tool("landmark", "scutes")
    deeds.cannot_place(shell, "none")
    assert shell.tool == Tool("landmark", "byssal_end")
    for n in range(6):
        deeds.place(shell, Point(300 + 50 * n, 300), 1.0)
    deeds.cannot_place(shell, "none")
    deeds.cannot_place(shell, "none")
    assert shell.tool is None  # all that is required has an answer
    deeds.arm(shell)
    assert shell.tool == Tool("landmark", "scute_left")


# -- first start ---------------------------------------------------------------------------


def test_the_first_start_offers_three_ways_and_says_every_caution(session, qtbot):
    card = shown(qtbot, StartCard(session))
    for button, signal in (
        (card.example, card.example_wanted),
        (card.pictures, card.pictures_wanted),
        (card.collection, card.collection_wanted),
    ):
        with qtbot.waitSignals([signal, card.closed]):
            button.click()
    said = " ".join(label.text() for label in card.findChildren(QLabel))
    for word in ("not a determination", "customs", "legal measurement", "CITES", "touch"):
        assert word in said


# -- all of them ---------------------------------------------------------------------------

PANELS = (
    SpecimensPanel, PictureRail, NextBand, StepsBar, HintLine, HeaderBar, ScaleStrip,
    NameStrip, LabelStrip, PictureStrip, LandmarkList, StartCard,
)  # fmt: skip


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("base", [14, 28])
def test_everything_clicked_is_named_and_at_least_24_px(shell, guide, qtbot, scheme, base):
    palette.apply(_app(), scheme)
    fonts.set_base_size(base)
    shell.use_guide(guide)
    deeds.score(shell, "scutes", "absent")
    for make in PANELS:
        panel = shown(qtbot, make(shell), 956, 300)
        _app().processEvents()
        for one in panel.findChildren(QWidget):
            takes = isinstance(one, QAbstractButton | QLineEdit)
            if not takes or not one.isVisible() or isinstance(one.parent(), QLineEdit):
                continue
            assert one.accessibleName() or one.text(), (make, one)
            assert min(one.width(), one.height()) >= 24, (make, one, one.size())


def test_every_panel_lives_without_a_collection(styled, qtbot):
    session = Session()
    for make in PANELS:
        panel = shown(qtbot, make(session))
        panel.grab()
        session.changed.emit(Aspect.COLLECTION | Aspect.SELECTION | Aspect.SPECIMEN)
    session.opening.close()


def _app():
    return QApplication.instance()
