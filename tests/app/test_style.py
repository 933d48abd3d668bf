"""The look: every drawing is there, contrast is enough, plain text stays plain."""

import csv
import re
from dataclasses import asdict, fields
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QFontDatabase,
    QFontInfo,
    QFontMetricsF,
    QIcon,
    QImage,
    QPainter,
    QPalette,
)
from PySide6.QtWidgets import (
    QAbstractSpinBox,
    QLabel,
    QLineEdit,
    QMenuBar,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)
from shiboken6 import Shiboken

import landmarks
from app.style import drawings, fonts, icons, palette, sheet, svg, tokens
from app.style.widgets import (
    Band,
    Bar,
    Beads,
    Chip,
    Drawing,
    FlowLayout,
    KeyCap,
    Label,
    NameLabel,
    Notice,
    Section,
    Step,
    StepMap,
    Tile,
    abbreviated,
    button,
    icon_button,
    number_field,
    paint_plate,
    plate_size,
    runs,
    text_field,
)
from app.style.widgets.band import Way
from app.style.widgets.painted import lines_of
from landmarks.scheme import VIEWS
from landmarks.sentences import Sentence, say

STRANGER = "<img src=x>"

STATES = {
    "incurrent_margin": "smooth small_simple large_branched fringe",
    "mantle_extent": "within to_margin beyond",
    "eyes": "none sparse dense_row",
    "eye_size": "small large",
    "ringed_spots": "absent small_blue teardrop",
    "warts": "absent few many",
    "fold_strength": "low moderate strong",
    "fold_profile": "flattened rounded triangular",
    "scutes": "absent near_margin upper_half all_over",
    "scute_size": "low large",
    "scute_spacing": "crowded wide",
    "upper_margin": "gentle wavy rounded_lobes sharp_triangles long_triangles",
    "closure": "tight nearly gapes",
    "byssal_opening": "closed slit moderate large very_large",
    "byssal_edge": "plain plicate interlocking",
    "byssal_shape": "slit lance drop ellipse",
    "coloured_bands": "none red_near_umbo strawberry",
    "burrowing": "none partial full",
    "outline": "fan semicircular elongate rhomboid",
    "exhalant_opening": "level raised cone",
}
LANDMARKS = {
    "outside_of_valve": "byssal_end ligament_end umbo upper_margin hinge_byssal "
    "hinge_ligament main_folds end_folds",
    "hinge_edge": "byssal_end ligament_end hinge_byssal hinge_ligament "
    "byssal_opening_hinge byssal_opening_far",
    "living_from_above": "margin_byssal_end margin_ligament_end main_folds",
}
EVERY_STATE = [(c, s) for c, states in STATES.items() for s in states.split()]
EVERY_LANDMARK = [(v, one) for v, marks in LANDMARKS.items() for one in marks.split()]
FILES = sorted(drawings.FOLDER.rglob("*.svg"))

# Ink, ground, least contrast: 4.5 for text, 3.0 for controls (WCAG 2.2, 1.4.3, 1.4.11).
PAIRS = [
    *((ink, on, 4.5) for ink in ("ink", "ink2") for on in ("ground", "sheet", "raised")),
    *((ink, "accent_soft", 4.5) for ink in ("ink", "ink2", "accent")),
    *(("accent", on, 4.5) for on in ("ground", "sheet", "raised")),
    ("ink2", "sunken", 4.5),
    ("ink3", "sheet", 4.5),
    ("ink3", "raised", 4.5),
    ("on_accent", "accent", 4.5),
    ("on_accent", "accent_hover", 4.5),
    *((sign, f"{sign}_soft", 4.5) for sign in ("plus", "minus", "caution")),
    *(
        (sign, on, 4.5)
        for sign in ("plus", "minus", "caution")
        for on in ("sheet", "raised")
    ),
    *(("ink", f"{sign}_soft", 4.5) for sign in ("plus", "minus", "caution")),
    *(("accent", f"{sign}_soft", 4.5) for sign in ("minus", "caution")),
    *(("edge", on, 3.0) for on in ("ground", "sheet", "raised")),
    ("accent", "sunken", 3.0),
]


@pytest.fixture
def styled(qapp):
    """The application in its own look, at the usual size."""
    fonts.set_base_size(tokens.BASE_PX)
    palette.apply(qapp, "light")
    yield qapp
    fonts.set_base_size(tokens.BASE_PX)
    palette.apply(qapp, "light")


def luminance(colour):
    """WCAG 2.2, definition of relative luminance."""
    parts = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one, other):
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def inked(pixmap):
    """Count pixels that are not fully transparent."""
    image = pixmap.toImage().convertToFormat(QImage.Format.Format_ARGB32)
    return sum(
        image.pixelColor(x, y).alpha() > 40
        for x in range(0, image.width(), 2)
        for y in range(0, image.height(), 2)
    )


def weight(pixmap):
    image = pixmap.toImage().convertToFormat(QImage.Format.Format_ARGB32)
    return sum(
        image.pixelColor(x, y).alpha()
        for x in range(image.width())
        for y in range(image.height())
    )


# -- Colours ---------------------------------------------------------------------------


def test_contrast_formula_knows_its_ends():
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast("#41459A", "#41459A") == pytest.approx(1.0)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("ink", "on", "least"), PAIRS)
def test_text_and_controls_stand_out(scheme, ink, on, least):
    colours = asdict(tokens.LIGHT if scheme == "light" else tokens.DARK)
    assert contrast(colours[ink], colours[on]) >= least


def test_rings_of_a_mark_stand_out_on_any_grey():
    for level in range(256):
        ground = f"#{level:02X}{level:02X}{level:02X}"
        best = max(
            contrast(ground, tokens.MARKS.dark), contrast(ground, tokens.MARKS.light)
        )
        assert best >= 4.2


def test_canvas_is_pure_grey():
    for colours in (tokens.LIGHT, tokens.DARK):
        assert QColor(colours.canvas).hsvSaturation() == 0


def test_every_role_of_the_palette_is_set_on_purpose():
    roles = [
        role for role in QPalette.ColorRole if role.name not in ("NoRole", "NColorRoles")
    ]
    for colours in (tokens.LIGHT, tokens.DARK):
        ours = {QColor(value).name() for value in asdict(colours).values()}
        made = palette.palette(colours)
        for group in (QPalette.ColorGroup.Active, QPalette.ColorGroup.Disabled):
            for role in roles:
                assert made.color(group, role).name() in ours, role
        disabled = made.color(QPalette.ColorGroup.Disabled, QPalette.ColorRole.ButtonText)
        assert disabled.name() == colours.ink3.lower()


def test_icons_of_the_style_sheet_use_its_colours():
    for folder, colours in (("light", tokens.LIGHT), ("dark", tokens.DARK)):
        ours = set(asdict(colours).values())
        files = list((sheet.SHEET_ICONS / folder).glob("*.svg"))
        assert {path.stem for path in files} == {
            "check",
            "dash",
            "dot",
            "down",
            "tick",
            "up",
        }
        for path in files:
            assert set(re.findall(r"#[0-9A-F]{6}", path.read_text("utf-8"))) <= ours


def test_switching_the_scheme_changes_colours_and_keeps_what_is_typed(styled, qtbot):
    window = QWidget()
    qtbot.addWidget(window)
    column = QVBoxLayout(window)
    section = Section("Measures", "6 of 7")
    section.set_folded(True)
    column.addWidget(section)
    window.show()
    light = window.grab().toImage().pixelColor(2, 2)
    palette.apply(styled, "dark")
    assert palette.is_dark()
    assert palette.scheme(styled) == "dark"
    dark = window.grab().toImage().pixelColor(2, 2)
    assert (light.name(), dark.name()) == (
        tokens.LIGHT.ground.lower(),
        tokens.DARK.ground.lower(),
    )
    assert section.is_folded()
    palette.apply(styled, "light")
    assert not palette.is_dark()


def test_system_scheme_follows_what_the_platform_tells(styled):
    palette.apply(styled, "system")
    told = styled.styleHints().colorScheme()
    assert palette.is_dark() is (told == Qt.ColorScheme.Dark)


# -- Fonts -----------------------------------------------------------------------------


def test_fonts_load_and_are_used(styled):
    assert fonts.load() == ()
    families = QFontDatabase.families()
    assert {tokens.UI_FAMILY, tokens.LATIN_FAMILY} <= set(families)
    for role, kind in tokens.TYPE.items():
        info = QFontInfo(fonts.font(role))
        family = tokens.LATIN_FAMILY if kind.latin else tokens.UI_FAMILY
        assert info.family().startswith(family), role
        assert info.italic() is kind.italic, role
        assert info.pixelSize() == kind.px


def test_licences_lie_beside_fonts_and_icons():
    for name in ("SourceSans3-LICENSE.md", "SourceSerif4-LICENSE.md"):
        assert "SIL Open Font License" in (fonts.FOLDER / name).read_text("utf-8")
    text = (icons.FOLDER / "LICENSE").read_text("utf-8")
    assert "ISC License" in text
    assert "MIT License" in text


def test_figures_have_one_width(styled):
    metrics = QFontMetricsF(fonts.font("number"))
    widths = {round(metrics.horizontalAdvance(digit), 3) for digit in "0123456789"}
    assert len(widths) == 1


def test_everything_grows_with_the_base_size(styled, qtbot):
    label, chip = Label("Shell length"), Chip("5 folds", "plus")
    steps = StepMap("Steps")
    steps.set_steps([Step("Picture", "outside", "full")], 0)
    grown = (label, chip, steps, button("Start"), button("Start", "link"),
             icon_button("ruler", "Give a scale"))  # fmt: skip
    for widget in grown:
        qtbot.addWidget(widget)
    before = [widget.sizeHint().height() for widget in grown]
    painted_by_the_sheet = QLineEdit(), QMenuBar()
    for widget in painted_by_the_sheet:
        qtbot.addWidget(widget)
        widget.show()
    fonts.set_base_size(28)
    assert {widget.font().pixelSize() for widget in painted_by_the_sheet} == {28}
    after = [widget.sizeHint().height() for widget in grown]
    assert label.font().pixelSize() == 28
    assert all(high > low for low, high in zip(before, after, strict=True))
    assert styled.font().pixelSize() == 28


def test_base_size_stays_within_reason(styled):
    fonts.set_base_size(1)
    assert fonts.base_size() == fonts.LEAST_BASE_PX
    fonts.set_base_size(1000)
    assert fonts.base_size() == fonts.MOST_BASE_PX


# -- Icons and drawings ----------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(icons.names()))
def test_icon_is_drawn_in_the_colours_on_screen(styled, name):
    made = icons.icon(name)
    normal = made.pixmap(QSize(24, 24))
    assert inked(normal) > 0
    off = made.pixmap(QSize(24, 24), QIcon.Mode.Disabled)
    on = made.pixmap(QSize(24, 24), QIcon.Mode.Normal, QIcon.State.On)
    images = {bytes(p.toImage().constBits()) for p in (normal, off, on)}
    assert len(images) == 3
    assert f'stroke-width="{tokens.ICON.stroke}"' in icons.icon_text(name)


def test_icon_follows_the_scheme(styled):
    made = icons.icon("ruler")
    light = bytes(made.pixmap(QSize(24, 24)).toImage().constBits())
    palette.apply(styled, "dark")
    assert bytes(made.pixmap(QSize(24, 24)).toImage().constBits()) != light


def test_unknown_icon_is_an_error_that_names_it():
    with pytest.raises(KeyError, match="no icon is called 'rular'"):
        icons.icon_text("rular")


@pytest.mark.parametrize(("character", "state"), EVERY_STATE)
def test_state_has_a_drawing_of_its_own(styled, character, state):
    text = drawings.state_drawing(character, state)
    assert text, "not drawn"
    others = {
        drawings.state_drawing(character, other)
        for other in STATES[character].split()
        if other != state
    }
    assert text not in others
    for width, height in (tokens.DRAWING.tile, tokens.DRAWING.row):
        assert inked(drawings.drawing_pixmap(text, width, height)) > 20


def test_every_state_and_landmark_of_the_core_is_drawn():
    table = Path(landmarks.__file__).parent / "data" / "species" / "states.csv"
    with table.open(encoding="utf-8", newline="") as file:
        asked = [(row["character"], row["key"]) for row in csv.DictReader(file)]
    assert len(asked) > 40
    assert [pair for pair in asked if not drawings.state_drawing(*pair)] == []
    marks = [(view.key, one.key) for view in VIEWS.values() for one in view.landmarks]
    assert [pair for pair in marks if not drawings.landmark_drawing(*pair)] == []


def test_no_drawing_lies_unused():
    states = {path.relative_to(drawings.FOLDER / "state") for path in FILES if
              path.is_relative_to(drawings.FOLDER / "state")}  # fmt: skip
    assert states == {Path(c) / f"{s}.svg" for c, s in EVERY_STATE}


def test_cannot_be_seen_has_the_crossed_eye():
    text = drawings.state_drawing("eyes", drawings.CANNOT_BE_SEEN)
    assert text == icons.icon_text("eye-off")
    assert drawings.state_drawing("eyes", "no_such_state") == ""


@pytest.mark.parametrize(("view", "landmark"), EVERY_LANDMARK)
def test_landmark_is_dotted_inside_its_drawing(styled, view, landmark):
    text = drawings.landmark_drawing(view, landmark)
    root = ElementTree.fromstring(text)
    dots = [dot for dot in root.iter() if dot.tag.endswith("circle")]
    assert len(dots) >= 3
    for dot in dots:
        x, y, r = (float(dot.get(key, "")) for key in ("cx", "cy", "r"))
        assert r <= x <= 160 - r
        assert r <= y <= 120 - r
    assert {dot.get("fill") for dot in dots} == {
        tokens.MARKS.dark,
        tokens.MARKS.light,
        tokens.MARKS.landmark,
    }


def test_landmark_without_a_place_has_no_drawing():
    assert drawings.landmark_drawing("outside_of_valve", "no_such_landmark") == ""
    assert drawings.landmark_drawing("no_such_view", "umbo") == ""


def test_views_and_ruler_are_drawn(styled):
    for view in LANDMARKS:
        assert inked(drawings.drawing_pixmap(drawings.view_drawing(view), 38, 28.5)) > 20
    assert inked(drawings.drawing_pixmap(drawings.scale_drawing(), 38, 28.5)) > 20


@pytest.mark.parametrize(
    "path", FILES, ids=lambda p: p.relative_to(drawings.FOLDER).as_posix()
)
def test_drawing_is_plain_lines_in_one_colour(path):
    text = path.read_text("utf-8")
    root = ElementTree.fromstring(text)
    assert root.get("viewBox") == "0 0 160 120"
    assert root.get("stroke") == "currentColor"
    assert "href" not in text
    assert "url(" not in text
    assert len(text) < 60_000
    for element in root:
        assert element.tag == "{http://www.w3.org/2000/svg}path"
        assert set(element.keys()) <= {
            "d", "stroke-width", "stroke-opacity", "fill", "fill-opacity", "fill-rule",
            "stroke",
        }  # fmt: skip
        assert element.get("fill") in (None, "currentColor")


def test_drawing_takes_colour_size_and_pixel_ratio(styled):
    text = drawings.state_drawing("eyes", "dense_row")
    made = drawings.drawing_pixmap(text, 38, 28.5, "accent", 2.0)
    assert made.size() == QSize(76, 57)
    assert made.devicePixelRatio() == 2.0
    image = made.toImage()
    strong = [
        image.pixelColor(x, y).name()
        for x in range(image.width())
        for y in range(image.height())
        if image.pixelColor(x, y).alpha() == 255
    ]
    assert tokens.LIGHT.accent.lower() in strong
    assert drawings.drawing_pixmap(text, 38, 28.5, "accent", 2.0) is made


def test_small_drawings_are_bolder_and_icons_are_not(styled):
    text = drawings.state_drawing("outline", "fan")
    plain = svg.pixmap(text, 38, 28.5, tokens.LIGHT.ink.lower(), 1.0)
    bold = drawings.drawing_pixmap(text, 38, 28.5)
    assert weight(bold) > 1.2 * weight(plain)
    ruler = icons.icon_text("ruler")
    same = svg.pixmap(ruler, 16, 16, tokens.LIGHT.ink.lower(), 1.0)
    assert drawings.drawing_pixmap(ruler, 16, 16) is same


# -- Widgets ---------------------------------------------------------------------------


def every_widget():
    """One of each, all carrying a stranger's text."""
    band = Band()
    band.show_band("caution", STRANGER, STRANGER, note=STRANGER, ways=[Way(STRANGER, list)])
    steps = StepMap("Steps")
    steps.set_steps([Step(STRANGER, STRANGER, "half"), Step("Scale", "none")], 0)
    section = Section(STRANGER, STRANGER)
    section.set_body(Label(STRANGER))
    return {
        "band": band,
        "bar": Bar(0.4),
        "beads": Beads(("full", "half", "none"), "1 of 3"),
        "button": button(STRANGER, "primary"),
        "icon button": icon_button("ruler", STRANGER),
        "chip": Chip(STRANGER, "minus"),
        "drawing": Drawing(drawings.scale_drawing(), name="a ruler"),
        "key cap": KeyCap(STRANGER),
        "label": Label(STRANGER),
        "name": NameLabel(STRANGER),
        "number field": number_field("Shell length", unit="mm"),
        "text field": text_field("Filter", STRANGER, "search"),
        "notice": Notice("error", STRANGER, STRANGER, [Way(STRANGER, list)]),
        "section": section,
        "step map": steps,
        "tile": Tile("1", drawings.scale_drawing(), STRANGER, STRANGER),
    }


@pytest.mark.parametrize("px", [14, 21, 28])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_whatever_takes_the_focus_has_a_name_and_room_for_a_finger(
    styled, qtbot, scheme, px
):
    fonts.set_base_size(px)
    palette.apply(styled, scheme)
    n_focusable = 0
    for name, widget in every_widget().items():
        qtbot.addWidget(widget)
        widget.resize(widget.sizeHint().expandedTo(QSize(300, 10)))
        widget.show()
        assert not widget.grab().toImage().isNull()
        for one in (widget, *widget.findChildren(QWidget)):
            if one.focusPolicy() != Qt.FocusPolicy.NoFocus:
                n_focusable += 1
                assert one.accessibleName(), f"{name}: {type(one).__name__}"
                if isinstance(one.parent(), QAbstractSpinBox):
                    continue  # its field is reached through the whole
                least = one.minimumSizeHint().expandedTo(one.sizeHint())
                assert min(least.width(), least.height()) >= tokens.LAYOUT.target, name
        widget.hide()
    assert n_focusable >= 9


def test_tags_of_a_stranger_are_shown_as_they_stand(styled, qtbot):
    for name, widget in every_widget().items():
        qtbot.addWidget(widget)
        for label in (widget, *widget.findChildren(QLabel)):
            if isinstance(label, QLabel):
                assert label.textFormat() == Qt.TextFormat.PlainText, name
        for push in (widget, *widget.findChildren(QPushButton)):
            if isinstance(push, QPushButton) and push.accessibleName():
                assert push.text() == STRANGER
        tip = widget.toolTip()
        assert STRANGER not in tip, name


def test_painted_tag_has_the_width_of_its_letters(styled):
    image = QImage(240, 21, QImage.Format.Format_ARGB32)
    image.fill(QColor("white"))
    painter = QPainter(image)
    size = plate_size(STRANGER)
    paint_plate(painter, QRectF(QPointF(0, 0), size), STRANGER)
    painter.end()
    light = [
        x
        for x in range(4, round(size.width()) - 4)
        if any(image.pixelColor(x, y).lightness() > 160 for y in range(4, 17))
    ]
    letters = QFontMetricsF(fonts.font("plate")).horizontalAdvance(STRANGER)
    assert max(light) - min(light) == pytest.approx(letters, abs=4)


def test_step_map_tells_which_step_was_chosen(styled, qtbot):
    steps = StepMap("Steps")
    qtbot.addWidget(steps)
    steps.set_steps(
        [Step("Picture", "outside of a valve", "full"), Step("Scale", "none yet", "none")],
        0,
    )
    steps.resize(400, 70)
    steps.show()
    assert steps.button(1).accessibleName() == "Scale, none yet"
    with qtbot.waitSignal(steps.stepped, timeout=20_000) as chosen:
        qtbot.mouseClick(steps.button(1), Qt.MouseButton.LeftButton)
    assert chosen.args == [1]
    with qtbot.waitSignal(steps.stepped, timeout=20_000) as chosen:
        qtbot.keyClick(steps.button(0), Qt.Key.Key_Space)
    assert chosen.args == [0]
    steps.activateWindow()
    with qtbot.waitActive(steps):
        pass
    steps.button(0).setFocus()
    qtbot.keyClick(steps.button(0), Qt.Key.Key_Right)
    assert steps.button(1).hasFocus()


def test_step_map_keeps_its_buttons_when_words_change(styled, qtbot):
    steps = StepMap("Steps")
    qtbot.addWidget(steps)
    steps.set_steps([Step("Picture", "a"), Step("Scale", "b")], 0)
    first = steps.button(0)
    steps.set_steps(
        [Step("Picture", "c", "full"), Step("Scale", "b"), Step("Name", "d")], 2
    )
    assert steps.button(0) is first
    assert first.accessibleName() == "Picture, c"
    steps.set_steps([Step("Picture", "c")], 0)
    with pytest.raises(IndexError):
        steps.button(1)


def test_section_folds_by_mouse_and_by_keys(styled, qtbot):
    section = Section("Measures", "6 of 7")
    body = Label("144.8 mm")
    section.set_body(body)
    qtbot.addWidget(section)
    section.resize(300, 100)
    section.show()
    header = section.header()
    with qtbot.waitSignal(section.folded, timeout=20_000) as told:
        qtbot.mouseClick(header, Qt.MouseButton.LeftButton, pos=QPoint(20, 10))
    assert told.args == [True]
    assert not body.isVisible()
    with qtbot.waitSignal(section.folded, timeout=20_000) as told:
        qtbot.keyClick(header, Qt.Key.Key_Space)
    assert told.args == [False]
    assert body.isVisible()
    qtbot.keyClick(header, Qt.Key.Key_Left)
    assert section.is_folded()
    with qtbot.assertNotEmitted(section.folded, wait=20):
        qtbot.keyClick(header, Qt.Key.Key_Left)
    section.set_summary("7 of 7")
    assert header.accessibleName() == "Measures, 7 of 7"


def test_what_is_cut_short_is_told_by_a_tool_tip(styled, qtbot):
    steps = StepMap("Steps")
    qtbot.addWidget(steps)
    steps.set_steps([Step("Scale", f"8.205 px per mm, {STRANGER}", "full")], 0)
    steps.resize(400, 70)
    steps.show()
    assert steps.button(0).toolTip() == ""
    steps.resize(97, 70)
    assert "8.205 px per mm, &lt;img" in steps.button(0).toolTip()
    steps.set_steps([Step("Scale", "8.205 px/mm", "full", "8.205 ± 0.02 px per mm")], 0)
    assert steps.button(0).toolTip() == "Scale: 8.205 ± 0.02 px per mm"
    assert steps.button(0).accessibleName() == "Scale, 8.205 ± 0.02 px per mm"
    section = Section("Candidates", "all 12 species, equally open")
    qtbot.addWidget(section)
    section.resize(400, 40)
    section.show()
    low = section.header().sizeHint().height()
    section.resize(180, 40)
    assert section.header().sizeHint().height() > low, "nothing of it is cut"


@pytest.mark.parametrize(("px", "width"), [(14, 560), (14, 930), (28, 816)])
def test_no_word_of_a_step_is_cut_in_a_narrow_window(styled, qtbot, px, width):
    fonts.set_base_size(px)
    steps = StepMap("Steps")
    qtbot.addWidget(steps)
    short = say("step.scale.short", px=25.83, method=Sentence("scale.method.four_points"))
    words = [("Picture", "outside of a valve"), ("Scale", short),
             ("Landmarks", "8 of 8 placed"), ("Characters", "12 seen, 20 to look at"),
             ("Name", "Tridacna squamosa")]  # fmt: skip
    steps.set_steps([Step(*one) for one in words], 0)
    steps.resize(width, 100)
    steps.show()
    assert {steps.button(at).toolTip() for at in range(5)} == {""}
    views = [say(f"view.{one}") for one in ("living_inhalant_opening", "living_from_side")]
    for words in (*views, say("step.scale.none"), say("step.picture.none")):
        steps.set_steps([Step("Picture", words)] + [Step("Scale", "")] * 4, 0)
        assert steps.button(0).toolTip() == ""
    two = "Tridacna maxima or Tridacna noae"
    steps.set_steps([Step("Name", two, "full", "", abbreviated(two))] * 5, 0)
    said = " ".join(steps.button(0)._lines())
    assert said in (two, "T. maxima or T. noae")
    assert two in steps.button(0).toolTip() or said == two


def test_no_line_breaks_between_a_number_and_its_unit(styled, qtbot):
    words = "A length across the picture: ± 0.58 %, from ruler 0.1 % and tilt 12 mm."
    label = Label(words, wrap=True)
    qtbot.addWidget(label)
    assert label.text() == words
    shown = QLabel.text(label)
    for held in ("± 0.58 %", "0.1 %", "12 mm"):
        assert held.replace(" ", "\N{NO-BREAK SPACE}") in shown
    broken = lines_of("scale of 8.205 px per mm", "small", 70, 9)
    assert any(line.startswith("8.205\N{NO-BREAK SPACE}px") for line in broken)


def test_band_offers_its_ways(styled, qtbot):
    taken = []
    band = Band()
    qtbot.addWidget(band)
    band.show_band(
        "caution", "No scale", ways=[Way("Give a scale", lambda: taken.append(1))]
    )
    qtbot.mouseClick(band.buttons()[0], Qt.MouseButton.LeftButton)
    assert taken == [1]
    band.show_band("next", "Next: umbo", drawing=drawings.landmark_drawing(
        "outside_of_valve", "umbo"))  # fmt: skip
    assert band.buttons() == ()
    assert band.title() == "Next: umbo"
    assert band.minimumHeight() == tokens.LAYOUT.band_landmark


@pytest.mark.parametrize("width", [900, 620, 339])
def test_the_ways_of_a_band_are_whole_and_apart_whatever_its_width(styled, qtbot, width):
    fonts.set_base_size(28)
    holder = QWidget()
    column = QVBoxLayout(holder)
    column.setContentsMargins(0, 0, 0, 0)
    band = Band()
    column.addWidget(band)
    column.addStretch(1)
    qtbot.addWidget(holder)
    ways = [Way("Score characters", list, "primary"), Way("Give a scale", list)]
    band.show_band("next", "Characters are still to look at", "One key each.", ways=ways)
    holder.resize(width, 600)
    holder.show()
    first, second = band.buttons()

    def whole_and_apart():
        inside = [band.rect().contains(one.geometry()) for one in (first, second)]
        return all(inside) and not first.geometry().intersects(second.geometry())

    qtbot.waitUntil(lambda: band.width() == width and whole_and_apart())
    assert (first.y() != second.y()) is (width == 339)


def test_tile_is_chosen_only_by_its_owner(styled, qtbot):
    tile = Tile("2", drawings.scale_drawing(), "small, simple", "short, unbranched")
    qtbot.addWidget(tile)
    tile.resize(tile.sizeHint())
    tile.show()
    with qtbot.waitSignal(tile.clicked, timeout=20_000):
        qtbot.mouseClick(tile, Qt.MouseButton.LeftButton)
    assert not tile.isChecked()
    plain = tile.grab().toImage()
    tile.set_chosen(True)
    assert tile.grab().toImage() != plain
    assert tile.toolTip() == ""
    tile.resize(180, 130)
    assert tile.toolTip() == "short, unbranched"


def test_bar_is_as_long_as_its_share(styled, qtbot):
    bar = Bar(0.5)
    qtbot.addWidget(bar)
    bar.resize(200, 8)
    image = bar.grab().toImage()
    row = [image.pixelColor(x, 4).name() for x in range(200)]
    assert row.count(tokens.LIGHT.accent.lower()) == pytest.approx(100, abs=3)
    bar.set_share(7)
    assert bar.share() == 1.0


def test_chips_wrap_and_are_all_inside(styled, qtbot):
    holder = QWidget()
    qtbot.addWidget(holder)
    flow = FlowLayout(holder)
    chips = [Chip(f"reason number {i}", "plus") for i in range(5)]
    for chip in chips:
        flow.addWidget(chip)
    holder.resize(260, flow.heightForWidth(260))
    holder.show()
    tops = {chip.y() for chip in chips}
    assert len(tops) > 1
    assert all(chip.geometry().right() < 260 for chip in chips)
    assert max(chip.geometry().bottom() for chip in chips) < holder.height()
    assert flow.heightForWidth(2000) < flow.heightForWidth(260)
    flow.clear()
    assert flow.count() == 0


def test_focus_ring_lies_outside_the_button(styled, qtbot):
    window = QWidget()
    qtbot.addWidget(window)
    push = button("Confirm 6", "primary", parent=window)
    push.move(40, 40)
    window.resize(240, 120)
    window.show()
    window.activateWindow()
    push.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.waitUntil(push.hasFocus, timeout=20_000)
    image = window.grab().toImage()
    middle = push.geometry().center().y()
    left = push.geometry().left()
    assert image.pixelColor(left - 4, middle).name() == tokens.LIGHT.accent.lower()
    assert image.pixelColor(left - 2, middle).name() == tokens.LIGHT.ground.lower()
    push.move(80, 60)
    moved = window.grab().toImage()
    assert moved.pixelColor(80 - 4, push.geometry().center().y()).name() == (
        tokens.LIGHT.accent.lower()
    )
    push.deleteLater()
    qtbot.wait(10)
    other = button("Other", parent=window)
    other.show()
    other.setFocus()
    assert other.hasFocus()
    # The hand Python has on what it stands in may be lost although it stands there still.
    area = QScrollArea(window)
    inside = button("Inside")
    area.setWidget(inside)
    area.show()
    inside.setFocus()
    assert inside.hasFocus()
    Shiboken.invalidate(area.viewport())
    with qtbot.captureExceptions() as faults:
        inside.move(3, 3)
    assert faults == []


# -- Names -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "italic"),
    [
        ("Tridacna maxima (Röding, 1798)", "Tridacna maxima"),
        ("Tridacna squamosa Lamarck, 1819", "Tridacna squamosa"),
        ("Tridacna sp.", "Tridacna"),
        ("Tridacna cf. maxima", "Tridacna|maxima"),
        ("T. maxima or T. noae", "T. maxima|T. noae"),
        ("Tridacna maxima × T. squamosa", "Tridacna maxima|T. squamosa"),
        ("Hippopus hippopus", "Hippopus hippopus"),
        ("Hippopus", "Hippopus"),
        ("Tridacninae", ""),
        ("Cardiidae", ""),
        ("not named yet", ""),
        ("repeat of .118, blind", ""),
        ("<img src=x>", ""),
        ("Tridacna maxima group", "Tridacna maxima"),
        ("Tridacna maxima (L., 1758)", "Tridacna maxima"),
        ("Tridacna indet. (T. maxima / T. noae)", "Tridacna|(T. maxima|T. noae)"),
        ("Cardiidae gen. et sp. indet.", ""),
    ],
)
def test_only_genus_and_species_are_italic(name, italic):
    found = runs(name)
    assert "".join(text for text, _ in found) == name
    assert "|".join(text.strip() for text, slanted in found if slanted) == italic


@pytest.mark.parametrize(
    ("name", "short"),
    [
        ("Tridacna maxima", "T. maxima"),
        ("Tridacna", "Tridacna"),
        ("Tridacna maxima or Hippopus hippopus", "T. maxima or H. hippopus"),
        ("Tridacna sp.", "Tridacna sp."),
        ("not named yet", "not named yet"),
    ],
)
def test_a_genus_with_its_species_is_abbreviated(name, short):
    assert abbreviated(name) == short


def test_name_that_is_too_long_shows_its_species(styled, qtbot):
    label = NameLabel("Tridacna elongatissima")
    qtbot.addWidget(label)
    wide = label.sizeHint().width()
    label.resize(wide - 30, 24)
    narrow = label.grab().toImage()
    short = NameLabel("T. elongatissima")
    qtbot.addWidget(short)
    short.resize(wide - 30, 24)
    assert short.grab().toImage() == narrow


def test_colours_of_both_schemes_have_the_same_names():
    assert {f.name for f in fields(tokens.LIGHT)} == {f.name for f in fields(tokens.DARK)}
