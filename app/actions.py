"""Everything a person can do, in one table: menus, keys and the key sheet come from it.

The table points to functions and contains none. Keys of the context ``picture`` are single
letters that act only while the picture has the focus; ``window`` keys act everywhere.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from app.session import deeds
from app.session.choosing import step_mark
from app.session.deeds import seeing as see
from app.session.entering import entering
from app.window import Bench
from app.window.at_least import turn_at_least

WINDOW, PICTURE = "window", "picture"


@dataclass(frozen=True, slots=True)
class Action:
    """One row: its words stand in the catalogue as ``action.<key>``.

    ``menu`` is the menu it stands in; ``group`` draws a line before it; ``enabled`` says when
    it can be done; ``checked`` makes it a switch.
    """

    key: str
    menu: str
    keys: str
    run: Callable[[Bench], object]
    context: str = WINDOW
    icon: str = ""
    group: bool = False
    enabled: Callable[[Bench], bool] = lambda window: True
    checked: Callable[[Bench], bool] | None = None


def _has_specimen(window: Bench) -> bool:
    return window.session.specimen is not None


def _has_frame(window: Bench) -> bool:
    return window.session.frame is not None and window.session.picture is not None


def _has_frames(window: Bench) -> bool:
    specimen = window.session.specimen
    return _has_frame(window) and specimen is not None and len(specimen.frames) > 1


def _is_outside(window: Bench) -> bool:
    picture = window.session.picture
    return picture is not None and not window.session.places.may_open(picture)


def _has_scheme(window: Bench) -> bool:
    return window.has_scheme


def _has_mark(window: Bench) -> bool:
    return window.session.mark is not None


def _colours(scheme: str) -> Callable[[Bench], object]:
    return lambda window: window.use_colours(scheme)


def _colours_are(scheme: str) -> Callable[[Bench], bool]:
    return lambda window: window.settings["colours"] == scheme


# fmt: off
ACTIONS = (
    Action("open_pictures",    "collection", "Ctrl+O",       lambda w: w.files.pick_pictures(), icon="image"),
    Action("sorting_table",    "collection", "",             lambda w: w.sorting.come_back(), icon="images",
           enabled=lambda w: w.sorting.may_come_back),
    Action("labels",           "collection", "",             lambda w: w.labels.pick(), icon="tag",
           enabled=lambda w: w.session.store is not None),
    Action("open_collection",  "collection", "Ctrl+Shift+O", lambda w: w.files.pick_collection(), icon="folder-open"),
    Action("new_collection",   "collection", "Ctrl+Shift+N", lambda w: w.files.pick_new_collection(), icon="plus"),
    Action("save_copy",        "collection", "Ctrl+Shift+S", lambda w: w.files.pick_copy(), icon="copy",
           enabled=lambda w: w.session.store is not None),
    Action("export",           "collection", "Ctrl+Shift+E", lambda w: w.open_strip("export"), icon="upload", group=True,
           enabled=lambda w: w.session.store is not None),
    Action("restore",          "collection", "",             lambda w: w.keeping.restore(), icon="download"),
    Action("check",            "collection", "",             lambda w: w.open_strip("check"), icon="check",
           enabled=lambda w: w.session.store is not None),
    Action("backups",          "collection", "",             lambda w: w.open_strip("backups"), icon="archive",
           enabled=lambda w: w.session.store is not None),
    Action("agree_to_folder",  "collection", "",             lambda w: w.session.agree_to_folder(),
           enabled=_is_outside),
    Action("worked_example",   "collection", "",             lambda w: w.files.open_example(), group=True),
    Action("quit",             "collection", "Ctrl+Q",       lambda w: w.shell.close(), group=True),

    Action("undo",             "specimen", "Ctrl+Z",       lambda w: w.undo(), icon="undo-2",
           enabled=lambda w: w.session.instrument is not None or w.session.undo_name is not None),
    Action("redo",             "specimen", "Ctrl+Shift+Z", lambda w: w.session.redo(), icon="redo-2",
           enabled=lambda w: w.session.redo_name is not None),
    Action("name",             "specimen", "Ctrl+Return",  lambda w: w.open_strip("name"), icon="tag",
           group=True, enabled=_has_specimen),
    Action("label",            "specimen", "Ctrl+L",       lambda w: w.open_strip("label"), icon="pencil", enabled=_has_specimen),
    Action("next_number",      "specimen", "Ctrl+Shift+L", lambda w: entering(w.session).give_number(), enabled=_has_specimen),
    Action("scanner",          "specimen", "",             lambda w: w.scanner.turn(on=not w.scanner.on), checked=lambda w: w.scanner.on),
    Action("find",             "specimen", "Ctrl+F",       lambda w: w.open_strip("find"), icon="filter", group=True,
           enabled=lambda w: w.session.store is not None),
    Action("collection_table", "specimen", "Ctrl+T",       lambda w: w.tabling.toggle(), icon="list",
           enabled=lambda w: w.session.store is not None, checked=lambda w: w.tabling.is_open),
    Action("many",             "specimen", "Ctrl+E",       lambda w: w.open_strip("many"), icon="layers",
           enabled=lambda w: w.session.store is not None),
    Action("next_missing",     "specimen", "Ctrl+Shift+Down", lambda w: w.stepping.next_missing(), enabled=_has_specimen),
    Action("next_specimen",    "specimen", "Ctrl+Down",    lambda w: w.stepping.specimen(1), group=True, enabled=_has_specimen),
    Action("last_specimen",    "specimen", "Ctrl+Up",      lambda w: w.stepping.specimen(-1), enabled=_has_specimen),
    Action("repeats",          "specimen", "Ctrl+R",       lambda w: w.open_strip("repeats"), icon="repeat-2",
           group=True, enabled=lambda w: w.session.store is not None),
    Action("repeat_stop",      "specimen", "",             lambda w: w.session.veil.stop(),
           enabled=lambda w: w.session.repeat is not None),
    Action("agreement",        "specimen", "Ctrl+Shift+R", lambda w: w.open_strip("agreement"),
           enabled=lambda w: w.session.store is not None),
    Action("history",          "specimen", "Ctrl+Y",       lambda w: w.open_strip("history"), icon="history", group=True,
           enabled=lambda w: w.session.store is not None and w.session.repeat is None),
    Action("remove_specimen",  "specimen", "",             lambda w: deeds.remove_specimen(w.session), icon="trash-2",
           group=True, enabled=_has_specimen),

    Action("add_view",         "picture", "Ctrl+Shift+A", lambda w: w.files.pick_view(), icon="camera", enabled=_has_specimen),
    Action("what_is_shown",    "picture", "Ctrl+I",  lambda w: w.open_strip("picture"), icon="info", enabled=_has_frame),
    Action("another_specimen", "picture", "F",       lambda w: w.framing.another(), PICTURE, "crop", enabled=_has_frame),
    Action("this_frame",       "picture", "D",       lambda w: w.framing.own(), PICTURE, enabled=_has_frame),
    Action("frame_label",      "picture", "Shift+L", lambda w: w.framing.label(), PICTURE, enabled=_has_frame),
    Action("copy_frames",      "picture", "Shift+F", lambda w: deeds.copy_frames(w.session), PICTURE, "layers", enabled=_has_frame),
    Action("next_frame",       "picture", "Ctrl+Right", lambda w: w.stepping.frame(1), enabled=_has_frame),
    Action("last_frame",       "picture", "Ctrl+Left",  lambda w: w.stepping.frame(-1), enabled=_has_frame),
    Action("gather",           "picture", "Ctrl+G",  lambda w: w.open_strip("gather"), icon="layers", group=True, enabled=_has_frame),
    Action("split_off",        "picture", "",        lambda w: deeds.split_off(w.session), enabled=_has_frames),
    Action("rights",           "picture", "Ctrl+Shift+C", lambda w: w.open_strip("rights"), icon="user", enabled=_has_frame),
    Action("clock",            "picture", "Ctrl+Shift+T", lambda w: w.open_strip("clock"), icon="clock", enabled=_has_frame),
    Action("remove_frame",     "picture", "",        lambda w: deeds.remove_frame(w.session), enabled=_has_frame),
    Action("scale",            "picture", "S",       lambda w: w.start_scale(), PICTURE, "ruler", group=True, enabled=_has_frame),
    Action("scale_form",       "picture", "Shift+S", lambda w: w.open_strip("scale"), PICTURE, enabled=_has_frame),
    Action("plane",            "picture", "P",       lambda w: w.lay_plane(), PICTURE, enabled=_has_frame),
    Action("carry_over_scale", "picture", "A",       lambda w: deeds.carry_over_scale(w.session), PICTURE, "link", enabled=_has_frame),
    Action("zoom_in",          "picture", "+",       lambda w: w.canvas.zoom_in(), PICTURE, "zoom-in", group=True, enabled=_has_frame),
    Action("zoom_out",         "picture", "-",       lambda w: w.canvas.zoom_out(), PICTURE, enabled=_has_frame),
    Action("fit",              "picture", "0",       lambda w: w.canvas.fit(), PICTURE, "maximize", enabled=_has_frame),
    Action("actual_size",      "picture", "1",       lambda w: w.canvas.actual_size(), PICTURE, enabled=_has_frame),
    Action("turn",             "picture", "R",       lambda w: w.canvas.turn(90), PICTURE, "rotate-cw", enabled=_has_frame),
    Action("level",            "picture", "L",       lambda w: w.canvas.level_hinge(), PICTURE, enabled=_has_frame),
    Action("loupe",            "picture", "Z",       lambda w: w.toggle_loupe(), PICTURE, "search", enabled=_has_frame),

    Action("next_landmark",    "landmarks", "N",      lambda w: deeds.arm(w.session), PICTURE, "crosshair", enabled=_has_scheme),
    Action("finish_series",    "landmarks", "Return", lambda w: w.finish(), PICTURE, enabled=_has_scheme),
    Action("edge_trace",       "landmarks", "E",      lambda w: w.taking_up.trace(), PICTURE, "spline", group=True, enabled=_has_scheme),
    Action("folds",            "landmarks", "K",      lambda w: w.taking_up.count_folds(), PICTURE, "waves", enabled=_has_scheme),
    Action("series",           "landmarks", "G",      lambda w: w.taking_up.click_series(), PICTURE, "list", enabled=_has_scheme),
    Action("margins",          "landmarks", "M",      lambda w: w.taking_up.compare_margins(), PICTURE, "columns-2", enabled=_has_scheme),
    Action("hidden",           "landmarks", "X",      lambda w: deeds.cannot_place(w.session, "hidden"), PICTURE, "eye-off", group=True, enabled=_has_scheme),
    Action("worn",             "landmarks", "W",      lambda w: deeds.cannot_place(w.session, "worn"), PICTURE, enabled=_has_scheme),
    Action("broken",           "landmarks", "B",      lambda w: deeds.cannot_place(w.session, "broken"), PICTURE, enabled=_has_scheme),
    Action("outside_picture",  "landmarks", "O",      lambda w: deeds.cannot_place(w.session, "outside_picture"), PICTURE, enabled=_has_scheme),
    Action("true_zero",        "landmarks", "Shift+X", lambda w: w.true_zero(), PICTURE, enabled=_has_scheme),
    Action("at_least",         "landmarks", "H",      lambda w: turn_at_least(w.session), PICTURE, enabled=_has_scheme),
    Action("at_least_ends",    "landmarks", "Shift+H", lambda w: turn_at_least(w.session, ends=True), PICTURE, enabled=_has_scheme),
    Action("next_mark",        "landmarks", ".",      lambda w: step_mark(w.session, 1), PICTURE, group=True, enabled=_has_frame),
    Action("last_mark",        "landmarks", ",",      lambda w: step_mark(w.session, -1), PICTURE, enabled=_has_frame),
    Action("delete_mark",      "landmarks", "Del",    lambda w: w.delete_mark(), PICTURE, "trash-2", enabled=_has_mark),
    Action("landmark_list",    "landmarks", "Ctrl+M", lambda w: w.open_strip("landmarks"), icon="list", group=True, enabled=_has_scheme),

    Action("other_tables",     "characters", "",      lambda w: w.files.pick_tables(), icon="book-open"),
    Action("shipped_tables",   "characters", "",      lambda w: w.files.use_tables(None)),
    Action("score",            "characters", "C",     lambda w: w.start_characters(), PICTURE, "shapes", enabled=_has_specimen),

    Action("hide_names",       "view", "Ctrl+H", lambda w: w.session.hide_names(not w.session.names_hidden), icon="eye-off",
           checked=lambda w: w.session.names_hidden),
    Action("seeing",            "view", "Shift+V", lambda w: w.open_strip("seeing"), PICTURE, "contrast", group=True, enabled=_has_frame),
    Action("seeing_contrast",   "view", "T", lambda w: see.contrast(w.session), PICTURE, enabled=_has_frame,
           checked=lambda w: w.session.seeing.local_contrast > 0),
    Action("seeing_underwater", "view", "U", lambda w: see.underwater(w.session), PICTURE, "waves", enabled=_has_frame,
           checked=lambda w: w.session.seeing.underwater),
    Action("seeing_brighter",   "view", "]", lambda w: see.brighter(w.session, 1), PICTURE, enabled=_has_frame),
    Action("seeing_darker",     "view", "[", lambda w: see.brighter(w.session, -1), PICTURE, enabled=_has_frame),
    Action("seeing_plain",      "view", "",  lambda w: see.plain(w.session), enabled=lambda w: w.session.seeing.adjusted),
    Action("seeing_hold",       "view", "V", lambda w: w.canvas.hold_original(not w.canvas.holds_original), PICTURE, "eye",
           enabled=lambda w: w.session.seeing.adjusted, checked=lambda w: w.canvas.holds_original),
    Action("colours_system",   "view", "", _colours("system"), group=True, checked=_colours_are("system")),
    Action("colours_light",    "view", "", _colours("light"),  icon="sun",  checked=_colours_are("light")),
    Action("colours_dark",     "view", "", _colours("dark"),   icon="moon", checked=_colours_are("dark")),
    Action("larger",           "view", "Ctrl++", lambda w: w.text_size(1),  group=True),
    Action("smaller",          "view", "Ctrl+-", lambda w: w.text_size(-1)),

    Action("keys",             "help", "F1", lambda w: w.open_strip("keys"), icon="keyboard"),
    Action("cautions",         "help", "",   lambda w: w.open_strip("start"), icon="triangle-alert"),
)
# fmt: on

MENUS = ("collection", "specimen", "picture", "landmarks", "characters", "view", "help")


def bind(window: Bench) -> None:
    """Give the window its menus and keys from the table."""
    from app.window.menus import Row, fill
    from app.window.repeats import may_be_done

    def can_be_done(one: Action) -> bool:
        return one.enabled(window) and may_be_done(window, one.key, one.menu)

    fill(
        window,
        MENUS,
        [
            Row(
                one.key,
                one.menu,
                one.keys,
                partial(one.run, window),
                one.context == PICTURE,
                one.icon,
                one.group,
                partial(can_be_done, one),
                None if one.checked is None else partial(one.checked, window),
            )
            for one in ACTIONS
        ],
    )
