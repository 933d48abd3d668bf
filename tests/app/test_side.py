"""The right side and the strip for characters, with the tables the program ships."""

from dataclasses import replace
from statistics import median
from time import perf_counter

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QWidget,
)

from app.panels.candidates import TOLD_AFTER_MS
from app.panels.score_strip import ScoreStrip
from app.panels.score_tiles import REASONS
from app.panels.side import Side
from app.session import Aspect, Session, deeds, new_id, now
from app.style import fonts, palette
from app.style.widgets import painted
from landmarks.collection import Picture
from landmarks.geometry import Point
from landmarks.identification import compile_tables
from landmarks.identification.answer import Fit
from landmarks.picture import PictureFile
from landmarks.placing import Placing
from landmarks.scale import two_points
from landmarks.sentences import Sentence, percent, say
from landmarks.specimen import Frame, Observation, Specimen, Where
from landmarks.tables import read_tables

ENDS = {
    "byssal_end": Point(1330, 620),
    "ligament_end": Point(142, 610),
    "umbo": Point(790, 1000),
    "upper_margin": Point(700, 180),
}
FLUTED = {
    "fold_profile": "rounded",
    "fold_strength": "strong",
    "scutes": "all_over",
    "scute_size": "large",
    "scute_spacing": "wide",
    "upper_margin": "rounded_lobes",
}


@pytest.fixture(scope="session")
def guide():
    return compile_tables(read_tables())


@pytest.fixture
def looks(qapp):
    if palette.scheme(qapp) != "light":
        palette.apply(qapp, "light")
    yield qapp
    # Widgets of this test would be restyled with those of the next one.
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    if fonts.base_size() != 14:
        fonts.set_base_size(14)
    if palette.scheme(qapp) != "light":
        palette.apply(qapp, "light")


@pytest.fixture
def bench(looks, guide):
    sessions = []

    def make(specimen=None, *, scaled=True, tables=True, more=()):
        session = Session()
        sessions.append(session)
        if tables:
            session.guide = guide
        if specimen is not None:
            session.do(Sentence("deed.add"), picture(scaled=scaled), *more, specimen)
            session.choose(specimen.id)
        return session

    yield make
    for session in sessions:
        session.desk.close()


@pytest.fixture
def side(qtbot):
    def make(session, width=400, height=1700):
        made = Side(session)
        qtbot.addWidget(made)
        made.resize(width, height)
        made.show()
        QApplication.processEvents()
        made.fit_height()
        QApplication.processEvents()
        return made

    return make


@pytest.fixture
def strip(qtbot):
    def make(session, character=""):
        made = ScoreStrip(session)
        qtbot.addWidget(made)
        made.resize(956, 270)
        made.show_character(character)
        made.show()
        made.setFocus()
        return made

    return make


def picture(picture_id="p1", *, scaled=True):
    file = PictureFile(sha256="ab" * 32, width=1600, height=1200, **rest_of_file())
    ends = Point(100, 1100), Point(1331, 1100)
    scale = two_points(*ends, 150.0, size=(1600, 1200)) if scaled else None
    return Picture(picture_id, "shell.png", file, scale)


def rest_of_file():
    needed = {
        "format": "PNG",
        "n_bytes": 1000,
        "bytes": 1000,
        "orientation": 1,
        "name": "a",
    }
    names = PictureFile.__dataclass_fields__
    return {key: value for key, value in needed.items() if key in names}


def seen(character, state="", frame="f1", **values):
    return Observation(new_id(), character, state=state, frame=frame, at=now(), **values)


def shell(states=FLUTED, *, observations=(), frames=(), left_out=(), region=""):
    placings = [
        Placing(f"at-{key}", "f1", key, (point,), zoom=1.0, at=now())
        for key, point in ENDS.items()
        if key not in left_out
    ]
    tops = tuple(Point(250 + 220 * n, 300) for n in range(5))
    placings.append(Placing("at-folds", "f1", "main_folds", tops, zoom=1.0, at=now()))
    return Specimen(
        "s1",
        where=Where(region=region),
        frames=(Frame("f1", "p1", "outside_of_valve", part="left_valve"), *frames),
        placings=tuple(placings),
        observations=(*(seen(key, state) for key, state in states.items()), *observations),
    )


def living(states, **where):
    return Specimen(
        "s1",
        where=Where(origin="wild", **where),
        frames=(Frame("f1", "p1", "living_from_above", mantle="extended"),),
        observations=tuple(seen(key, state) for key, state in states.items()),
    )


def keys(made, *pressed):
    from PySide6.QtTest import QTest

    for one in pressed:
        target = QApplication.focusWidget() or made
        if isinstance(one, str):
            QTest.keyClicks(target, one)
        else:
            QTest.keyClick(target, one)


def number_in(words):
    return float(words.replace("≥", "").strip())


# -- measures ------------------------------------------------------------------------------


def test_values_stand_with_their_doubt_and_unit(bench, side):
    session = bench(shell())
    lines = side(session).measures.lines
    length = session.assessment.measures[0].value
    assert number_in(lines["shell_length"].value) == pytest.approx(
        length.value, abs=length.sigma
    )
    assert lines["shell_length"].doubt.startswith("± ")
    assert lines["shell_length"].doubt.endswith(" mm")
    assert lines["height_ratio"].doubt.startswith("± 0.0")
    assert "mm" not in lines["height_ratio"].doubt


def test_counts_have_no_decimals_and_say_their_rule(bench, side):
    line = side(bench(shell())).measures.lines["main_folds"]
    assert (line.value, line.doubt) == ("5", "projections counted")


@pytest.mark.parametrize(
    ("specimen", "scaled", "measure", "words"),
    [
        (shell(), False, "shell_length", "needs a scale"),
        (shell(left_out=("umbo",)), True, "shell_height", "needs umbo"),
        (shell(), True, "hinge_line", "needs hinge, byssal side and hinge, ligament side"),
        (
            shell(left_out=("umbo", "byssal_end", "ligament_end")),
            True,
            "height_ratio",
            "needs 3 landmarks",
        ),
    ],
)
def test_a_missing_measure_says_what_it_needs(
    bench, side, specimen, scaled, measure, words
):
    line = side(bench(specimen, scaled=scaled)).measures.lines[measure]
    assert (line.value, line.missing) == ("", words)
    assert words in line.accessibleName()


def test_a_landmark_that_cannot_be_placed_is_the_reason(bench, side):
    specimen = shell(left_out=("umbo",)).with_one(
        Placing("at-umbo", "f1", "umbo", reason="worn", at=now())
    )
    line = side(bench(specimen)).measures.lines["shell_height"]
    assert line.missing == "umbo worn away"


def test_a_typed_value_names_its_method_and_how_far_it_is_off(bench, side):
    typed = seen("shell_length", frame="", value=160.0, sigma=0.3, method="calliper")
    line = side(bench(shell(observations=(typed,)))).measures.lines["shell_length"]
    assert (line.value, line.how) == ("160.0", "callipers")
    assert line.caution.startswith("differs by ")
    assert "from landmarks" in line.caution


def test_more_than_a_twentieth_of_doubt_is_cautioned(bench, side):
    for sigma, doubtful in ((7.0, True), (3.0, False)):
        typed = seen("hinge_line", frame="", value=100.0, sigma=sigma, method="tape")
        line = side(bench(shell(observations=(typed,)))).measures.lines["hinge_line"]
        assert line.doubtful is doubtful
        assert line.caution == ""


def test_more_than_a_fifth_of_doubt_is_said_below_the_value(bench, side):
    typed = seen("hinge_line", frame="", value=100.0, sigma=30.0, method="tape")
    line = side(bench(shell(observations=(typed,)))).measures.lines["hinge_line"]
    assert "30 %" in line.caution
    level = seen("hinge_angle", frame="", value=1.0, sigma=0.5, unit="°", method="tape")
    lines = side(bench(shell(observations=(level,)))).measures.lines
    assert lines["hinge_angle"].caution == "", "a share of an angle means nothing"
    assert "says little" in line.accessibleDescription()
    assert line.height_wanted() > side(bench(shell())).measures.lines["hinge_line"].height()
    assert line.toolTip().count("doubt") == 1


def test_the_rule_of_a_count_is_one_word_where_it_is_narrow(bench, side):
    ends = {"hinge_byssal": Point(1100, 930), "hinge_ligament": Point(330, 950)}
    specimen = shell()
    for key, point in ends.items():
        specimen = specimen.with_one(Placing(f"at-{key}", "f1", key, (point,), at=now()))
    made = side(bench(specimen), width=520)
    line = made.measures.lines["main_folds"]
    assert line.said_doubt() == "projections counted"
    made.resize(348, 1700)
    QApplication.processEvents()
    assert line.said_doubt() == "counted"


def test_the_tip_names_the_causes_of_the_doubt(bench, side):
    tip = side(bench(shell())).measures.lines["shell_length"].toolTip()
    assert "greatest distance" in tip
    assert "tilt of the camera" in tip


def test_pointing_at_a_row_lights_its_landmarks_and_the_reverse(bench, side, qtbot):
    session = bench(shell())
    lines = side(session).measures.lines
    with qtbot.waitSignal(session.lit) as lit:
        lines["shell_length"].hovered.emit(True)
    assert lit.args == [("byssal_end", "ligament_end"), "shell_length"]
    assert lines["shell_length"].lit
    assert not lines["main_folds"].lit
    session.light(("umbo",))
    assert {key for key, line in lines.items() if line.lit} == {
        "shell_height", "height_ratio", "height_across_hinge", "umbo_position",
    }  # fmt: skip
    session.light(())
    assert not any(line.lit for line in lines.values())


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("abc", "“abc” is not a number: type digits, for example 144.8."),
        ("", "“” is not a number"),
        ("inf", "is not a number"),
        ("-3", "-3 is below zero"),
        ("0", "cannot be"),
    ],
)
def test_a_value_that_cannot_be_meant_gets_one_sentence(bench, side, typed, words):
    session = bench(shell())
    measures = side(session).measures
    before = session.specimen
    measures.lines["shell_length"].click()
    entry = measures.entry()
    entry.value.setText(typed)
    entry.keep_button.click()
    assert words in entry.fault()
    assert measures.entry() is entry
    assert session.specimen == before


def test_a_value_is_typed_in_its_row_with_a_comma_too(bench, side):
    session = bench(shell())
    measures = side(session).measures
    measures.lines["shell_length"].click()
    entry = measures.entry()
    entry.value.setText("144,8 mm")
    entry.sigma.setText("0.2")
    entry.method.setCurrentIndex(entry.method.findData("tape"))
    keys(entry.value, Qt.Key.Key_Return)
    typed = session.specimen.observations[-1]
    assert (typed.character, typed.value, typed.sigma) == ("shell_length", 144.8, 0.2)
    assert typed.method == "tape"
    assert measures.entry() is None
    assert measures.lines["shell_length"].how == "tape"


def test_a_lower_bound_is_typed_shown_and_typed_anew_as_one(bench, side):
    session = bench(shell())
    measures = side(session).measures
    measures.type_value("shell_width")
    entry = measures.entry()
    entry.value.setText(">= 0")
    entry.keep_button.click()
    assert "At least 0 says nothing" in entry.fault()
    entry.value.setText(">=40")
    keys(entry.value, Qt.Key.Key_Return)
    typed = session.specimen.observations[-1]
    assert (typed.value, typed.at_least) == (40.0, True)
    line = measures.lines["shell_width"]
    assert line.value.startswith("≥ 40")
    line.click()
    entry = measures.entry()
    assert entry.value.text().startswith("≥ 40")
    keys(entry.value, Qt.Key.Key_Return)
    assert session.specimen.observations[-1].at_least


def test_escape_leaves_the_entry_without_a_trace(bench, side):
    session = bench(shell())
    measures = side(session).measures
    before = session.specimen
    measures.lines["shell_length"].click()
    keys(measures, "12", Qt.Key.Key_Escape)
    assert measures.entry() is None
    assert session.specimen == before


# -- while a landmark moves ----------------------------------------------------------------


def moved_umbo(session, n):
    return deeds.moved(session.specimen, "at-umbo", 0, Point(790 + 8 * n, 1000))


def test_numbers_move_with_the_landmark_and_the_order_waits(bench, side):
    session = bench(shell({"scutes": "all_over"}))
    made = side(session)
    umbo = made.measures.lines["umbo_position"]
    before, order = umbo.value, made.candidates.order()
    numbers = [row.number() for row in made.candidates.rows]
    session.preview(moved_umbo(session, -40))
    assert umbo.value != before
    assert made.candidates.order() == order
    assert [row.number() for row in made.candidates.rows] != numbers
    session.preview(None)
    assert umbo.value == before
    deeds.move(session, "at-umbo", 0, Point(470, 1000), 1.0)
    after = session.assessment.answer.candidates
    head = made.candidates.card.taxa()
    others = [one for one in after if one.taxon not in head]
    assert made.candidates.order() == (*head, *(one.taxon for one in others))
    shown = [row.number() for row in made.candidates.rows]
    assert shown == [
        "ruled out" if one.ruled_out_by else percent(one.stated) for one in others
    ]


def test_moving_costs_less_than_three_milliseconds(bench, side):
    session = bench(shell())
    made = side(session)
    taken = []
    for n in range(25):
        session.preview(moved_umbo(session, n))
        start = perf_counter()
        made.measures._refresh_live()
        made.candidates._move_numbers()
        taken.append(perf_counter() - start)
    assert median(taken) < 0.003


def test_hidden_names_do_not_move(bench, side):
    session = bench(shell())
    made = side(session)
    session.hide_names(True)
    lead = next(iter(made.candidates.card.leads.values()))
    before = lead.number()
    session.preview(moved_umbo(session, 60))
    assert lead.number() == before


# -- characters ----------------------------------------------------------------------------


def test_what_the_pictures_can_show_stands_first(bench, side):
    characters = side(bench(shell({"scutes": "all_over"}))).characters
    shown = characters.shown()
    assert "scutes" in shown
    assert "incurrent_margin" not in shown
    assert not characters._more.isHidden()
    characters._more.click()
    assert characters.shown()[: len(shown)] == shown
    assert "incurrent_margin" in characters.shown()


def test_each_character_says_what_was_answered(bench, side):
    dark = seen("coloured_bands", hidden="too_dark")
    lines = side(
        bench(shell({"scutes": "all_over"}, observations=(dark,)))
    ).characters.lines
    assert lines["scutes"].state() == "all over"
    assert lines["coloured_bands"].state() == "cannot be seen: too dark or blurred"
    assert lines["incurrent_margin"].state() == "cannot be seen: not in these pictures"
    open_ = {lines[key].state() for key in ("fold_profile", "upper_margin", "outline")}
    assert open_ <= {"not looked at yet", "most telling"}


def test_pictures_that_contradict_each_other_are_said(bench, side):
    other = Frame("f2", "p1", "living_from_side", number=1)
    twice = seen("scutes", "absent", frame="f2")
    session = bench(shell({"scutes": "all_over"}, observations=(twice,), frames=(other,)))
    said = side(session).characters.lines["scutes"].state()
    assert said.endswith(": which one?")
    assert "all over" in said
    assert "absent" in said


def test_unsure_is_said(bench, side):
    unsure = seen("scutes", "absent", sure=False)
    lines = side(bench(shell({}, observations=(unsure,)))).characters.lines
    assert lines["scutes"].state() == "absent, unsure"


def test_the_most_telling_open_character_is_marked(bench, side):
    session = bench(living({"eyes": "dense_row"}))
    characters = side(session).characters
    telling = characters.most_telling()
    open_ = [
        row.character.key
        for row in session.assessment.characters
        if not row.looked_at and not row.hidden
    ]
    first = [one.character for one in session.assessment.answer.look_next]
    assert telling == next(key for key in first if key in open_)
    marked = [
        key for key, line in characters.lines.items() if line.state() == "most telling"
    ]
    assert marked == [telling]


def test_a_row_asks_for_its_character(bench, side, qtbot):
    made = side(bench(shell()))
    with qtbot.waitSignal(made.wanted) as wanted:
        made.characters.lines["scutes"].click()
    assert wanted.args == ["scutes"]


def test_words_of_a_record_are_never_taken_for_markup(bench, side):
    odd = seen("scutes", hidden="<b>x</b>")
    line = side(bench(shell({}, observations=(odd,)))).characters.lines["scutes"]
    assert "<b>x</b>" in line.state()
    assert "&lt;b&gt;" in line.toolTip()


# -- scoring -------------------------------------------------------------------------------


def test_one_key_chooses_and_goes_on(bench, strip):
    session = bench(living({}))
    made = strip(session)
    first = made.character
    keys(made, "2")
    answer = session.specimen.observations[-1]
    states = session.guide.tables.characters[first].states
    assert (answer.character, answer.state, answer.sure) == (first, states[1].key, True)
    rows = [row.character.key for row in session.assessment.characters if not row.hidden]
    assert made.character == rows[rows.index(first) + 1]


def test_pointing_at_a_state_shows_what_would_follow_and_records_nothing(bench, strip):
    session = bench(living({}))
    made = strip(session, "incurrent_margin")
    before = session.specimen
    QApplication.sendEvent(made.tiles[0], QEvent(QEvent.Type.Enter))
    supposed = dict(session.live.probabilities)
    QApplication.sendEvent(made.tiles[0], QEvent(QEvent.Type.Leave))
    assert session.live is None
    assert session.specimen == before
    made.choose(1)
    stated = {one.taxon: one.probability for one in session.assessment.answer.candidates}
    assert supposed == pytest.approx(stated)


def test_what_was_looked_at_or_cannot_be_shown_is_passed_over(bench, strip):
    session = bench(living({"mantle_extent": "beyond"}))
    made = strip(session, "incurrent_margin")
    keys(made, "1")
    assert made.character == "eyes"
    visited = set()
    while made.character not in visited:
        visited.add(made.character)
        keys(made, "1")
    assert "fold_strength" not in visited
    assert made.line() == say("side.strip.all_done")


@pytest.mark.parametrize(
    ("pressed", "reason"),
    [
        (("0", "0"), "hidden"),
        (("0", Qt.Key.Key_Return), "hidden"),
        (("0", "3"), "too_dark"),
        (("0", "4"), "not_in_these_pictures"),
    ],
)
def test_cannot_be_seen_takes_one_more_key_for_the_reason(bench, strip, pressed, reason):
    session = bench(living({}))
    made = strip(session, "eyes")
    keys(made, *pressed)
    answer = session.specimen.observations[-1]
    assert (answer.character, answer.hidden, answer.state) == ("eyes", reason, "")
    assert made.character != "eyes"


def test_escape_goes_back_from_the_reasons_and_then_closes(bench, strip, qtbot):
    session = bench(living({}))
    made = strip(session, "eyes")
    keys(made, "0")
    assert made.asks_why()
    assert len(made.tiles) == len(REASONS)
    keys(made, Qt.Key.Key_Escape)
    assert not made.asks_why()
    with qtbot.waitSignal(made.closed):
        keys(made, Qt.Key.Key_Escape)
    assert session.specimen.observations == ()


def test_unsure_marks_the_next_answer_and_the_one_that_stands(bench, strip):
    session = bench(living({}))
    made = strip(session, "eyes")
    keys(made, "u3")
    assert session.specimen.observations[-1].sure is False
    made.show_character("eyes")
    assert made.head.unsure.isChecked()
    keys(made, "u")
    assert session.specimen.observations[-1].sure is True
    assert len(session.specimen.observations) == 1


def test_arrows_look_at_other_characters_and_delete_clears(bench, strip):
    session = bench(living({"incurrent_margin": "smooth"}))
    made = strip(session, "incurrent_margin")
    assert [tile.isChecked() for tile in made.tiles].index(True) == 0
    keys(made, Qt.Key.Key_Right)
    assert made.character == "mantle_extent"
    keys(made, Qt.Key.Key_Left, Qt.Key.Key_Delete)
    assert made.character == "incurrent_margin"
    assert session.specimen.observations == ()
    assert not any(tile.isChecked() for tile in made.tiles)


def test_keys_work_while_a_tile_has_the_focus(bench, strip, qtbot):
    session = bench(living({}))
    made = strip(session, "eyes")
    qtbot.keyClick(made.tiles[0], Qt.Key.Key_Return)
    assert session.specimen.observations[-1].state == "none"
    here = made.character
    qtbot.keyClick(made.tiles[1], Qt.Key.Key_1)
    assert session.specimen.observations[-1].character == here


def test_a_clicked_tile_is_the_same_as_its_key(bench, strip, qtbot):
    session = bench(living({}))
    made = strip(session, "eyes")
    qtbot.mouseClick(made.tiles[2], Qt.MouseButton.LeftButton)
    assert session.specimen.observations[-1].state == "dense_row"


def test_a_key_without_meaning_is_left_to_others(bench, strip):
    from PySide6.QtGui import QKeyEvent

    made = strip(bench(living({})), "eyes")
    none = Qt.KeyboardModifier.NoModifier
    for key, modifier, text, meant in (
        (Qt.Key.Key_X, none, "x", False),
        (Qt.Key.Key_1, Qt.KeyboardModifier.ControlModifier, "1", False),
        (Qt.Key.Key_9, none, "9", True),
    ):
        event = QKeyEvent(QKeyEvent.Type.KeyPress, key, modifier, text)
        assert made.press(event) is meant
    assert made.character == "eyes"


@pytest.mark.parametrize(
    ("width", "character", "rows"),
    [(956, "incurrent_margin", 1), (956, "upper_margin", 1), (720, "upper_margin", 2),
     (720, "incurrent_margin", 1), (560, "incurrent_margin", 2)],
)  # fmt: skip
def test_tiles_stand_in_one_row_or_in_two(bench, strip, width, character, rows):
    made = strip(bench(living({})), character)
    made.resize(width, made.sizeHint().height())
    QApplication.processEvents()
    made.resize(width, made.sizeHint().height())
    QApplication.processEvents()
    assert len({tile.y() for tile in made.tiles}) == rows
    assert made.width() == width
    for tile in made.tiles:
        assert tile.geometry().right() <= tile.parentWidget().width()
        assert tile.height() >= tile.minimumSizeHint().height()


def test_a_narrow_strip_keeps_the_way_to_judge_within_reach(bench, strip):
    made = strip(bench(living({})), "eyes")
    full = made.line()
    made.resize(480, 380)
    QApplication.processEvents()
    assert made.line().startswith("Character 3 of ")
    assert made.head.line.toolTip() == full
    QTest.keyClick(made, Qt.Key.Key_H)
    assert made.line() == full, "by the keyboard, too"
    QTest.keyClick(made, Qt.Key.Key_H)
    assert made.line() != full
    assert made.head.skip.text() == ""
    assert made.head.skip.accessibleName() == "Skip"
    made.resize(956, 270)
    QApplication.processEvents()
    assert made.line() == full


def test_the_strip_says_which_of_how_many(bench, strip):
    made = strip(bench(living({})), "incurrent_margin")
    assert made.question() == "What stands around the inhalant opening?"
    assert made.line().startswith("Inhalant margin, character 1 of ")


# -- candidates ----------------------------------------------------------------------------


def test_the_answer_stands_in_its_card_with_number_and_fit(bench, side):
    session = bench(shell())
    candidates = side(session).candidates
    answer = session.assessment.answer
    assert answer.level == "species"
    assert candidates.card.taxa() == answer.taxa
    lead = candidates.card.leads[answer.taxa[0]]
    assert lead.number() == percent(answer.candidates[0].stated)
    assert lead.accessibleDescription() == say(f"fit.{answer.fit.word}")
    assert 1 <= len(candidates.card.chips) <= 4


def test_ruled_out_species_stay_in_their_place(bench, side):
    session = bench(shell())
    candidates = side(session).candidates
    order = [one.taxon for one in session.assessment.answer.candidates]
    assert list(candidates.order()) == order
    out = {one.taxon for one in session.assessment.answer.candidates if one.ruled_out_by}
    shown = dict(zip(candidates.order()[1:], candidates.rows, strict=True))
    assert out
    for taxon, row in shown.items():
        assert row.ruled_out == (taxon in out)
        assert (row.number() == "ruled out") == (taxon in out)


def test_a_pair_is_joined_and_says_what_would_part_it(bench, side):
    session = bench(living({"incurrent_margin": "small_simple", "eyes": "dense_row"}))
    pair = ("tridacna_noae", "tridacna_maxima")
    answer = replace(
        session.assessment.answer, level="group", taxa=pair, separating=("ringed_spots",)
    )
    session.assessment = replace(session.assessment, answer=answer)
    card = side(session).candidates.card
    order = [one.taxon for one in answer.candidates if one.taxon in pair]
    assert list(card.taxa()) == order
    words = " ".join(label.text() for label in card.findChildren(QLabel))
    assert "Smallest honest answer: one of these two" in words
    assert "these pictures cannot part them" in words
    assert "Easily confused: T. maxima and T. noae" in words
    assert [one.words() for one in card.parting] == [
        "ringed spots: not looked at yet",
        "eyes: dense row",
    ]


def test_what_would_part_a_pair_that_the_tables_do_not_name_is_said(bench, side):
    session = bench(living({"incurrent_margin": "small_simple", "eyes": "dense_row"}))
    answer = replace(
        session.assessment.answer,
        level="group",
        taxa=("tridacna_noae", "hippopus_hippopus"),
        separating=("ringed_spots",),
    )
    session.assessment = replace(session.assessment, answer=answer)
    card = side(session).candidates.card
    words = " ".join(label.text() for label in card.findChildren(QLabel))
    assert "Ringed spots would part them." in words
    assert card.parting == []
    # Of more than two the pair that leads is only a part of the answer.
    three = replace(answer, taxa=("tridacna_noae", "tridacna_maxima", "tridacna_crocea"))
    session.assessment = replace(session.assessment, answer=three)
    card = side(session).candidates.card
    words = " ".join(label.text() for label in card.findChildren(QLabel))
    assert "Ringed spots would part them." in words


def test_two_that_lead_and_are_easily_confused_have_what_parts_them_at_hand(
    bench, side, qtbot
):
    session = bench(living({"incurrent_margin": "small_simple", "eyes": "dense_row"}))
    answer = session.assessment.answer
    first, second, *rest = answer.candidates
    first = replace(first, taxon="tridacna_maxima", stated=0.6, ruled_out_by=())
    second = replace(second, taxon="tridacna_squamosa", stated=0.3, ruled_out_by=())
    many = tuple(replace(one, stated=0.01) for one in rest)
    found = replace(answer, level="none", taxa=(), candidates=(first, second, *many))
    session.assessment = replace(session.assessment, answer=found)
    made = side(session)
    card = made.candidates.card
    assert card.pair.text() == "Easily confused: T. maxima and T. squamosa"
    words = " ".join(label.text() for label in card.findChildren(QLabel))
    assert "Hybrids are reported." in words
    assert card.parting[0].words() == "inhalant margin: small, simple tentacles"
    with qtbot.waitSignal(made.wanted) as wanted:
        card.parting[0].click()
    assert wanted.args == ["incurrent_margin"]
    # A second that hardly counts, or is ruled out, leads nothing.
    for other in (replace(second, stated=0.05), replace(second, ruled_out_by=("eyes",))):
        found = replace(found, candidates=(first, other, *many))
        session.assessment = replace(session.assessment, answer=found)
        made.candidates.refresh()
        assert made.candidates.card.pair is None


def test_only_what_can_be_had_is_asked_for_to_part_a_pair(bench, side):
    session = bench(living({"incurrent_margin": "small_simple", "eyes": "dense_row"}))
    pair = ("tridacna_maxima", "tridacna_crocea")
    session.assessment = replace(
        session.assessment,
        answer=replace(session.assessment.answer, level="group", taxa=pair),
    )
    words = [one.words() for one in side(session).candidates.card.parting]
    assert words
    assert not [one for one in words if "byssal" in one]
    # A shell, in turn, has no mantle to look at.
    session = bench(shell())
    session.assessment = replace(
        session.assessment,
        answer=replace(
            session.assessment.answer, level="group", taxa=(*pair[:1], "tridacna_squamosa")
        ),
    )
    words = [one.words() for one in side(session).candidates.card.parting]
    assert words
    assert not [one for one in words if "inhalant" in one or "eyes" in one]
    tables = session.guide.tables
    assert "byssal_opening" in next(
        one.separating for one in tables.groups if one.taxa == pair
    )


def test_name_is_written_with_the_sign_of_its_doubt(bench, side):
    sure = side(bench(shell())).candidates.card
    assert sure.written is None
    little = {"mantle_extent": "within", "burrowing": "none", "warts": "absent"}
    two = living({**little, "ringed_spots": "absent"})
    card = side(bench(two)).candidates.card
    assert card.written.text() == "Hippopus indet. (H. hippopus / H. porcellanus)"


def test_circumstances_are_set_beside_the_candidates_and_taken_back(bench, side):
    session = bench(shell())
    made = side(session).candidates.circumstances
    assert made.line.words() == "Region, origin and condition not given"
    assert made.fields.isHidden()
    made.line.click()
    assert not made.fields.isHidden()
    made.where.region.show_key("red_sea")
    made.where.region.chosen.emit("red_sea")
    made.where.origin.chosen.emit("wild")
    made.where.kind.show_key("worn")
    made.where.kind.chosen.emit("worn")
    made.where.zone.show_key("umbo")
    made.where.add.click()
    where = session.specimen.where
    assert (where.region, where.origin) == ("red_sea", "wild")
    assert [(one.kind, one.zone) for one in where.condition] == [("worn", "umbo")]
    assert "; wild; worn, at the umbo" in made.line.words()
    (chip,) = made.where.conditions.findChildren(QAbstractButton)
    chip.click()
    assert session.specimen.where.condition == ()
    made.where.use_region.click()
    assert session.specimen.where.use_region is False
    for _ in range(5):
        session.undo()
    assert session.specimen.where == Where()
    assert made.line.words() == "Region, origin and condition not given"


def test_a_screen_reader_is_told_an_answer_that_stands_once(
    bench, side, qtbot, monkeypatch
):
    told = []
    monkeypatch.setattr(
        QAccessible, "updateAccessibility", lambda event: told.append(event.message())
    )
    session = bench(shell())
    made = side(session).candidates
    qtbot.waitUntil(lambda: bool(told), timeout=20_000)
    made.refresh()
    qtbot.wait(2 * TOLD_AFTER_MS)
    assert len(told) == 1
    leader = session.assessment.answer.candidates[0]
    assert leader.name in told[0]


def test_hovering_a_state_says_that_it_is_only_supposed(bench, side, strip):
    session = bench(shell())
    made = side(session).candidates
    before = made.summary()
    session.preview(deeds.supposed(session, "scute_spacing", "crowded"))
    assert made.summary() == "if scute spacing were crowded"
    session.preview(None)
    assert made.summary() == before


def test_what_the_answer_rests_on_is_a_caution(bench, side):
    session = bench(shell())
    with_one = replace(session.assessment.answer, rests_on=("upper_margin",))
    session.assessment = replace(session.assessment, answer=with_one)
    card = side(session).candidates.card
    assert "Rests on upper margin alone." in [line.words for line in card.lines]


def test_no_fit_is_said_with_what_to_look_at_again(bench, side, qtbot):
    session = bench(shell())
    fit = Fit(1 / 70, "does_not_fit", ("scutes",))
    answer = replace(session.assessment.answer, fit=fit, level="none", taxa=())
    session.assessment = replace(session.assessment, answer=answer)
    made = side(session)
    words = " ".join(label.text() for label in made.candidates.card.findChildren(QLabel))
    assert "None of these fits well" in words
    assert "1 in 70 look like this" in words
    assert made.candidates.rows[0].number() == "best of 12, does not fit"
    again = next(
        one
        for one in made.candidates.card.findChildren(QAbstractButton)
        if one.accessibleName() == "Scutes, all over"
    )
    with qtbot.waitSignal(made.wanted) as wanted:
        again.click()
    assert wanted.args == ["scutes"]


def test_nothing_seen_leaves_all_equally_open(bench, side):
    empty = Specimen("s1", frames=(Frame("f1", "p1", "living_from_above"),))
    candidates = side(bench(empty)).candidates
    assert candidates.card is None
    assert candidates.summary() == "all 12 species, equally open"


def test_the_region_is_turned_off_and_on_in_the_header(bench, side):
    session = bench(shell(region="great_barrier_reef"))
    candidates = side(session).candidates
    assert candidates.region.text() == "12 species, region on"
    candidates.region.click()
    assert session.specimen.where.use_region is False
    assert candidates.region.text() == "12 species, region off"
    candidates.region.click()
    assert session.specimen.where.use_region is True


def test_hidden_names_fold_the_candidates_shut(bench, side):
    session = bench(shell())
    made = side(session)
    session.hide_names(True)
    assert made.candidates.is_folded()
    assert made.candidates.summary() == "names hidden (Ctrl+H)"
    made.candidates.header().click()
    assert made.candidates.is_folded()
    made.fit_height()
    assert made.candidates.is_folded()
    names = {one.name for one in session.guide.tables.taxa}
    said = " ".join(made.look_next.card.lines())
    assert not any(name.split()[1] in said for name in names)
    session.hide_names(False)
    assert not made.candidates.is_folded()


def test_a_candidate_opens_its_reasons_with_source_and_how_come_by(bench, side):
    session = bench(shell())
    candidates = side(session).candidates
    candidates.rows[0].click()
    reasons = candidates.reasons
    one = session.assessment.answer.candidates[1]
    assert reasons.taxon == one.taxon
    assert not reasons.isHidden()
    plain = reasons.plain()
    for why in one.reasons:
        assert str(why.sentence) in plain
        for cell in why.cells:
            citation = session.guide.tables.sources[cell.source].citation.rstrip(".")
            assert citation in plain
    assert any(words in plain for words in ("(read)", "(read in part)", "not checked"))
    rows = [cell.row for why in one.reasons for cell in why.cells if cell.row]
    assert rows
    assert all(f"cells.csv, row {row})" in plain for row in rows)
    reasons.copy.click()
    assert QApplication.clipboard().text() == plain
    keys(reasons, Qt.Key.Key_Escape)
    assert reasons.isHidden()


def test_a_chip_opens_the_reasons_at_its_character(bench, side):
    made = side(bench(shell()))
    chip = made.candidates.card.chips[0]
    words = chip.accessibleName()
    chip.click()
    QApplication.processEvents()
    focused = QApplication.focusWidget()
    assert isinstance(focused, QLabel)
    assert focused.text() == words


# -- look next -----------------------------------------------------------------------------


def test_a_living_animal_is_left_alone(bench, side):
    session = bench(living({"incurrent_margin": "small_simple"}))
    card = side(session).look_next.card
    assert "Do not move or touch the animal." in card.lines()
    assert session.assessment.answer.look_next[0].view.startswith("living")


def suggest(session, character, view, *, at_hand=True):
    first = session.assessment.answer.look_next[0]
    one = replace(first, character=character, view=view, at_hand=at_hand, settles=0.68)
    answer = replace(session.assessment.answer, look_next=(one,))
    session.assessment = replace(session.assessment, answer=answer)


def test_a_click_goes_to_the_picture_that_shows_it(bench, side, qtbot):
    other = Frame("f2", "p1", "hinge_edge", number=1)
    session = bench(shell(frames=(other,)))
    suggest(session, "byssal_opening", "hinge_edge")
    made = side(session)
    assert made.look_next.card.lines()[0] == "Picture 2 (hinge edge) can show it"
    assert "settles it in 7 of 10" in made.look_next.card.accessibleDescription()
    with qtbot.waitSignal(made.wanted) as wanted:
        made.look_next.card.click()
    assert wanted.args == ["byssal_opening"]
    assert session.frame.id == "f2"


def test_a_measure_to_take_next_arms_the_landmark_it_lacks(bench, side, qtbot):
    session = bench(shell(left_out=("umbo",)))
    suggest(session, "umbo_position", "outside_of_valve")
    made = side(session)
    with qtbot.assertNotEmitted(made.wanted):
        made.look_next.card.click()
    assert (session.tool.kind, session.tool.landmark) == ("landmark", "umbo")


def test_without_a_suggestion_it_says_so(bench, side):
    session = bench(shell())
    answer = replace(session.assessment.answer, look_next=())
    session.assessment = replace(session.assessment, answer=answer)
    made = side(session)
    assert made.look_next.card.isHidden()
    assert made.look_next.summary() == "nothing further"


# -- the whole -----------------------------------------------------------------------------


def test_short_windows_fold_and_tall_ones_open(bench, side):
    made = side(bench(shell()), height=1700)
    assert not any(one.is_folded() for one in made.sections())
    made.resize(400, 800)
    QApplication.processEvents()
    assert made.measures.is_folded()
    assert made.measures.summary() == "5 of 11"
    assert not made.candidates.is_folded()
    assert not made.look_next.is_folded()
    made.resize(400, 1700)
    QApplication.processEvents()
    assert not made.measures.is_folded()


def test_what_a_person_opened_stays_open(bench, side):
    made = side(bench(shell()), height=800)
    made.measures.header().click()
    assert not made.measures.is_folded()
    made.resize(400, 780)
    QApplication.processEvents()
    assert not made.measures.is_folded()


def test_a_wide_window_has_two_columns(bench, side):
    made = side(bench(shell()))
    made.fit_window(1760)
    assert made.columns() == 2
    made.resize(748, 900)
    QApplication.processEvents()
    left = made.measures.mapTo(made, made.measures.rect().topLeft()).x()
    right = made.candidates.mapTo(made, made.candidates.rect().topLeft()).x()
    assert right > left + 300
    made.fit_window(1759)
    assert made.columns() == 1


def test_without_a_specimen_every_header_says_so(bench, side):
    made = side(bench(None))
    assert [one.summary() for one in made.sections()] == [
        "none: choose a specimen", "none", "choose a specimen", "choose a specimen",
    ]  # fmt: skip
    assert all(one.is_folded() for one in made.sections())


def test_it_waits_for_the_species_tables(bench, side, guide):
    session = bench(shell(), tables=False)
    made = side(session)
    assert {one.summary() for one in made.sections()} == {"loading the species tables"}
    session.use_guide(guide)
    assert made.candidates.card is not None


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("width", "px"), [(336, 14), (400, 14), (520, 14), (440, 28)])
def test_nothing_is_wider_than_the_side(bench, side, looks, scheme, width, px):
    palette.apply(looks, scheme)
    fonts.set_base_size(px)
    made = side(bench(shell()), width=width, height=900)
    inner = made._inner
    assert made.width() == width
    assert inner.width() <= made._area.viewport().width()
    assert not made.grab().isNull()


def test_everything_that_takes_the_keyboard_has_a_name(bench, side, strip):
    session = bench(shell(region="great_barrier_reef"))
    made, scoring = side(session), strip(session, "scutes")
    made.measures.type_value("shell_length")
    made.candidates.open_reasons("tridacna_gigas")
    kinds = (QAbstractButton, QLineEdit, QComboBox, QLabel)
    for whole in (made, scoring):
        for one in whole.findChildren(QWidget):
            if one.focusPolicy() & Qt.FocusPolicy.TabFocus and isinstance(one, kinds):
                assert one.accessibleName(), one


def test_the_last_line_stays(bench, side):
    made = side(bench(shell()), height=500)
    last = next(
        label
        for label in made.findChildren(QLabel)
        if label.text() == say("side.last_line")
    )
    assert last.isVisible()
    assert not made._inner.isAncestorOf(last)


def test_another_aspect_leaves_the_panels_alone(bench, side):
    session = bench(shell())
    made = side(session)
    card = made.candidates.card
    session.changed.emit(Aspect.SAVING | Aspect.ROWS | Aspect.TOOL | Aspect.MARK)
    assert made.candidates.card is card


def test_nothing_of_the_side_is_cut_at_twice_the_usual_type(bench, side, monkeypatch):
    cut = []

    class Metrics(painted.QFontMetricsF):
        def elidedText(self, text, mode, width):  # noqa: N802 - as Qt calls it
            shown = super().elidedText(text, mode, width)
            if shown != text:
                cut.append(text)
            return shown

    fonts.set_base_size(28)
    made = side(bench(shell()), width=440)
    made.measures.set_folded(False)
    made.characters.show_all(True)
    made.candidates._turn_all()
    QApplication.processEvents()
    monkeypatch.setattr(painted, "QFontMetricsF", Metrics)
    made._inner.grab()
    assert cut == []
