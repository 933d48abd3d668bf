"""One catalogue says everything: each key is known, filled in and used; numbers read well."""

import ast
import builtins
import pickle
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from string import Formatter

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from landmarks.measures import MEASURES
from landmarks.observations import CONDITIONS, ORIGINS, ZONES
from landmarks.placing import REASONS, TRUE_ZEROS
from landmarks.scheme import MANTLES, PARTS, VALVES, VIEWS
from landmarks.sentences import (
    Number,
    Sentence,
    catalogue,
    known,
    number,
    percent,
    say,
    text,
    word,
)
from landmarks.sentences.numbers import decimals, plain
from landmarks.specimen import HIDDEN_REASONS, LEVELS, TAKEN_BY

ROOT = Path(__file__).parents[2]
SOURCES = [
    path
    for package in ("landmarks", "app")
    for path in sorted((ROOT / package).rglob("*.py"))
    if "english" not in path.parts
]
SAYERS = ("Sentence", "say")


# -- Keys in the source -------------------------------------------------------------------


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def calls() -> Iterator[tuple[str, ast.Call, str]]:
    """Return every call that says something: where, the call, the name of what is called."""
    for path in SOURCES:
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.Call):
                called = node.func
                name = getattr(called, "attr", getattr(called, "id", ""))
                yield f"{path.relative_to(ROOT)}:{node.lineno}", node, name


def says(name: str) -> bool:
    return name in SAYERS or (name.endswith("Error") and not hasattr(builtins, name))


def is_key(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def pattern(node: ast.JoinedStr) -> str:
    """Return what a key put together in the source can look like."""
    return "".join(
        re.escape(part.value) if isinstance(part, ast.Constant) else r"[\w.]+"
        for part in node.values
    )


def places(key: str) -> set[str]:
    """Return the names of the places that the sentence of a key leaves open."""
    words = catalogue()[key]
    forms = words if isinstance(words, tuple) else (words,)
    return {name for form in forms for _, name, _, _ in Formatter().parse(form) if name}


def test_every_key_that_is_said_is_in_the_catalogue():
    unknown = [
        f"{where}: {node.args[0].value}"
        for where, node, name in calls()
        if says(name) and node.args and is_key(node.args[0])
        and "." in node.args[0].value and not known(node.args[0].value)
    ]  # fmt: skip
    assert unknown == []


def test_every_key_that_is_put_together_can_be_found():
    lost = []
    for where, node, name in calls():
        if says(name) and node.args and isinstance(node.args[0], ast.JoinedStr):
            form = pattern(node.args[0])
            if not any(re.fullmatch(form, key) for key in catalogue()):
                lost.append(f"{where}: {form}")
    assert lost == []


def test_every_place_in_a_sentence_is_filled_where_it_is_said():
    empty = []
    for where, node, name in calls():
        if not (says(name) and node.args and is_key(node.args[0])):
            continue
        given = _given(node, name)
        if given is not None and known(node.args[0].value):
            missing = places(node.args[0].value) - given
            empty += [f"{where}: {node.args[0].value} lacks {one}" for one in missing]
    assert empty == []


def _given(node: ast.Call, name: str) -> set[str] | None:
    """Return the names of the values a call gives; None where the source does not tell."""
    if any(keyword.arg is None for keyword in node.keywords):
        return None
    if name != "Sentence":
        return {keyword.arg for keyword in node.keywords if keyword.arg}
    values = node.args[1] if len(node.args) > 1 else None
    values = values or next((k.value for k in node.keywords if k.arg == "values"), None)
    if values is None:
        return set()
    if not isinstance(values, ast.Dict) or not all(k and is_key(k) for k in values.keys):
        return None
    return {key.value for key in values.keys}  # type: ignore[union-attr]


def test_every_sentence_of_the_catalogue_is_used():
    constants: set[str] = set()
    patterns: set[str] = set()
    for path in SOURCES:
        for node in ast.walk(tree(path)):
            if is_key(node):
                constants.add(node.value)  # type: ignore[attr-defined]
            elif isinstance(node, ast.JoinedStr) and _starts_like_a_key(node):
                patterns.add(pattern(node))
    for _, node, name in calls():
        if name in ("word", "worded") and is_key(node.args[0]):
            patterns.add(re.escape(node.args[0].value) + r"\.\w+")
    forms = re.compile("|".join(f"(?:{form})" for form in sorted(patterns)))
    unused = [
        key for key in catalogue() if key not in constants and not forms.fullmatch(key)
    ]
    assert unused == []


def _starts_like_a_key(node: ast.JoinedStr) -> bool:
    """Tell whether text with places is a family of keys: it begins with a word and a dot."""
    first = node.values[0]
    return isinstance(first, ast.Constant) and bool(re.match(r"[a-z_]+\.", first.value))


# -- Families: what the tables name has words ---------------------------------------------------


FAMILIES = {
    "view": VIEWS,
    "part": PARTS,
    "mantle": MANTLES,
    "valves": VALVES,
    "reason": (*REASONS, *TRUE_ZEROS),
    "hidden": HIDDEN_REASONS,
    "level": LEVELS,
    "origin": ORIGINS,
    "condition": CONDITIONS,
    "zone": ZONES,
    "method": TAKEN_BY,
    "cause": ("placing", "counting", "sampling", "tracing", "scale_ends", "ruler", "set_up",
              "tilt", "height", "pose", "camera_distance", "typed"),
}  # fmt: skip


@pytest.mark.parametrize(
    "key", [f"{family}.{one}" for family, keys in FAMILIES.items() for one in keys]
)
def test_every_word_of_a_record_is_called_something(key):
    assert known(key)
    assert "_" not in say(key)


@pytest.mark.parametrize("key", list(MEASURES))
def test_every_measure_has_a_name_and_a_definition(key):
    assert say(f"measure.{key}.name")
    assert say(f"measure.{key}.definition").endswith(".")


@pytest.mark.parametrize(
    ("view", "landmark"),
    [(view.key, one.key) for view in VIEWS.values() for one in view.landmarks],
)
def test_every_landmark_has_a_name_and_a_definition_in_its_view(view, landmark):
    assert say(f"landmark.{landmark}.name")
    assert say(f"landmark.{view}.{landmark}.definition").endswith(".")


def test_every_action_has_a_name():
    """Read from the table's source: the table itself needs the window."""
    table = tree(ROOT / "app" / "actions.py")
    keys = [
        node.args[0].value
        for node in ast.walk(table)
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Action"
    ]
    assert len(keys) > 30
    assert [key for key in keys if not known(f"action.{key}")] == []


def test_causes_of_doubt_are_the_ones_that_budgets_hold():
    kinds = {
        node.args[0].value
        for _, node, name in calls()
        if name == "Cause" and node.args and is_key(node.args[0])
    }
    assert set(FAMILIES["cause"]) == kinds


# -- The catalogue itself -------------------------------------------------------------------


def test_sentences_are_well_formed_and_carry_no_markup():
    for key, words in catalogue().items():
        for form in words if isinstance(words, tuple) else (words,):
            assert form == form.strip(), key
            assert not re.search(r"<\w+[^>]*>", form), key
            for _, name, spec, conversion in Formatter().parse(form):
                assert name is None or name.isidentifier(), key
                assert not spec, key
                assert conversion is None, key


def test_singular_and_plural_leave_the_same_places_open():
    for key, words in catalogue().items():
        if isinstance(words, tuple):
            assert len(words) == 2, key
            assert "n" in places(key), key


# -- Filling in -------------------------------------------------------------------------------


LETTERS = st.characters(exclude_categories=("Cc", "Cf"), include_characters="\n\t\u200f")


@given(st.text(LETTERS, max_size=40))
def test_a_stranger_s_text_is_said_literally(found):
    assert say("plain", words=found) == found
    assert text(Sentence("picture.empty", {"file": found})) == (
        f"“{found}” is empty (0 bytes): copy it again from the camera."
    )


def test_what_would_change_the_sentence_around_it_becomes_blank():
    """Control characters, and directions that would turn the rest of the line."""
    for odd in ("\0", "\x1b", "\r", "\x7f", "\x9b", "\u202e", "\u2066"):
        assert say("plain", words=f"a{odd}b") == "a b"
        several = Sentence("plain", {"words": (f"a{odd}", "b")})
        assert text(several) == "a  and b"


@pytest.mark.parametrize(
    "found",
    [
        "{0}",
        "{file}",
        "{file.__class__}",
        "<img src=x>",
        "{{",
        "%s",
        "%(file)s",
        "\\N{DASH}",
    ],
)
def test_places_and_markup_in_a_stranger_s_text_stay_as_they_are(found):
    inner = Sentence("plain", {"words": found})
    assert text(Sentence("name.plain", {"name": inner})) == found
    assert f"“{found}”" in say("picture.missing", file=found, folder=found)


def test_a_list_is_joined_with_and():
    assert [text(tuple("abc"[:n])) for n in range(4)] == ["", "a", "a and b", "a, b and c"]


def test_one_is_said_in_the_singular():
    key = next(key for key, words in catalogue().items() if isinstance(words, tuple))
    singular, plural = catalogue()[key]
    filled = dict.fromkeys(places(key), "x")
    assert say(key, **{**filled, "n": 1}) == singular.format(**{**filled, "n": 1})
    assert say(key, **{**filled, "n": 2}) == plural.format(**{**filled, "n": 2})
    assert say(key, **{**filled, "n": Number(1)}) == say(key, **{**filled, "n": 1})


def test_a_word_that_nobody_knows_stands_as_it_is():
    assert text(word("view", "hinge_edge")) == "hinge edge"
    assert text(word("view", "by {sonar}")) == "by {sonar}"


def test_a_sentence_is_a_value():
    values = {"n": 1}
    one = Sentence("plain", values)
    values["n"] = 2
    assert one.values["n"] == 1
    assert one == Sentence("plain", {"n": 1})
    assert hash(one) == hash(Sentence("plain", {"n": 1}))
    assert pickle.loads(pickle.dumps(one)) == one
    with pytest.raises(TypeError):
        one.values["n"] = 3


# -- Numbers ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "sigma", "unit", "written"),
    [
        (144.812, 0.31, "mm", "144.8 ± 0.3 mm"),
        (
            144.812,
            0.19,
            "mm",
            "144.81 ± 0.19 mm",
        ),  # a doubt that begins with 1 has two digits
        (144.812, 0.21, "mm", "144.8 ± 0.2 mm"),
        (144.812, 3.1, "mm", "145 ± 3 mm"),
        (144.812, 31.0, "mm", "145 ± 31 mm"),
        (0.61864, 0.0012, "", "0.6186 ± 0.0012"),
        (0.4, 0.0996, "", "0.40 ± 0.10"),
        (-0.04, 0.3, "mm", "0.0 ± 0.3 mm"),
        (-12.5, 0.3, "°", "−12.5 ± 0.3 °"),
        (5, None, "", "5"),
        (150, 0, "mm", "150 mm"),
        (152.3049, None, "mm", "152.3 mm"),
        (1234.56, None, "px", "1235 px"),
        (-0.5, None, "", "−0.5"),
        (-0.0, None, "", "0"),
        (0.00012345, None, "", "0.0001234"),
        (float("inf"), None, "mm", "∞ mm"),
        (float("-inf"), None, "", "−∞"),
        (float("nan"), None, "", "?"),
        (3.0, float("inf"), "mm", "3 mm"),
    ],
)
def test_a_number_is_written_to_its_doubt(value, sigma, unit, written):
    assert number(Number(value, sigma, unit)) == written


def test_a_lower_bound_says_so():
    assert number(Number(85.0, 1.0, "mm", at_least=True)) == "≥ 85.0 ± 1.0 mm"


@given(st.floats(-1e6, 1e6), st.floats(1e-4, 1e4))
def test_what_is_written_is_the_number_to_a_tenth_of_its_doubt_or_better(value, sigma):
    """One digit of a doubt rounds it by a third at worst, the value by half a digit."""
    head, _, doubt = number(Number(value, sigma)).partition(" ± ")
    read = float(head.replace("−", "-"))
    assert read == approx(value, abs=max(0.5, 0.26 * sigma))
    assert float(doubt) == approx(sigma, rel=0.34, abs=0.5 if sigma > 1 else 0)
    assert head != "−0"


@given(st.floats(1e-6, 1e6))
def test_a_doubt_has_one_digit_or_two(sigma):
    written = plain(sigma, decimals(sigma)).replace(".", "").lstrip("0")
    assert len(written) >= 1 or sigma > 1
    if sigma < 1:
        assert len(written) <= 2


@given(st.floats(0, 1))
def test_a_probability_is_never_said_to_be_certain(share):
    said = percent(share)
    assert said.endswith(" %")
    assert said not in ("0 %", "100 %")
    if said[0] not in "<>":
        assert int(said[:-2]) == approx(100 * share, abs=0.5001)
