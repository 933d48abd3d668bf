"""Labels entered in a long row: the next number, what stays, codes from a scanner."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from landmarks.intake import Listening, next_number, scanned, sticky
from landmarks.intake.entering import FASTEST_HAND_MS, STICKY
from landmarks.specimen import Label


@pytest.mark.parametrize(
    ("number", "following"),
    [
        ("PM-1042", "PM-1043"),
        ("PM-0999", "PM-1000"),
        ("PM-999", "PM-1000"),
        ("0007", "0008"),
        ("PM-1042a", "PM-1042b"),
        ("PM-1042z", "PM-1042aa"),
        ("PM-1042AZ", "PM-1042BA"),
        ("PM.1042.2024", "PM.1043.2024"),
        ("1042/2024", "1043/2024"),
        ("PM-2023", "PM-2024"),
        ("PM-7 (dry)", "PM-8 (dry)"),
        ("no figures", "no figures"),
        ("", ""),
    ],
)
def test_the_number_after_keeps_its_form(number, following):
    assert next_number(number) == following


@given(st.integers(0, 10**12), st.integers(1, 14))
def test_a_number_counts_up_and_keeps_its_width(value, width):
    before = f"PM-{value:0{width}}"
    after = next_number(before)
    assert int(after.removeprefix("PM-")) == value + 1
    assert len(after) in (len(before), len(before) + 1)
    assert (len(after) > len(before)) == (set(before.removeprefix("PM-")) == {"9"})


def test_only_what_a_drawer_shares_stays():
    last = Label("PM-7", "Halverson Reef", "Mara Quill", "2024", "3 m", "sand", "text", "rem",
                 {"country": "Nowhere", "preparations": "dry"})  # fmt: skip
    made = sticky(last, number=next_number(last.catalogue_number))
    assert made == Label("PM-8", "Halverson Reef", "Mara Quill", "2024", "3 m", "sand")
    assert sticky(last, ("locality", "country")) == Label(
        locality="Halverson Reef", extra={"country": "Nowhere"}
    )
    assert sticky(last, ()) == Label()
    assert "catalogue_number" not in STICKY


def typed(words, pause, end="\r", start=1000.0):
    return [(sign, start + i * pause) for i, sign in enumerate(words + end)]


@pytest.mark.parametrize("end", ["\r", "\n", "\t"])
@pytest.mark.parametrize("code", ["PM-1042", "0123456789012", "pm 7/b"])
def test_fast_keys_that_end_are_a_code(code, end):
    assert scanned(typed(code, 8.0, end)) == code


def test_a_person_s_keys_are_none():
    """A fast typist needs some 100 ms for a key (common practice, no source)."""
    assert scanned(typed("PM-1042", 100.0)) is None
    assert scanned(typed("PM-1042", FASTEST_HAND_MS + 1)) is None


@pytest.mark.parametrize(
    "keys",
    [
        [],
        typed("PM-1042", 8.0, ""),  # not ended
        typed("ab", 8.0),  # too short to tell
        typed("   ", 8.0),
        typed("PM\x001042", 8.0),
        [*typed("PM-10", 8.0, ""), *typed("42", 8.0, start=1600.0)],  # a pause inside
        [("a", 10.0), ("b", 5.0), ("c", 20.0), ("\r", 25.0)],  # a clock set back
    ],
)
def test_what_only_looks_like_a_code_is_none(keys):
    assert scanned(keys) is None


def heard(*rows):
    listening, codes = Listening(), []
    for sign, at in (key for row in rows for key in row):
        listening, code = listening.hear(sign, at)
        if code is not None:
            codes.append(code)
    return codes


def test_codes_are_heard_key_by_key_between_what_a_person_types():
    codes = heard(
        typed("reef", 130.0, "", start=0),
        typed("PM-1042", 8.0, start=2000),
        typed("PM-1043", 8.0, start=2300),
        typed("note", 150.0, start=4000),
    )
    assert codes == ["PM-1042", "PM-1043"]


@given(st.lists(st.tuples(st.characters(), st.floats(0, 1e6)), max_size=60))
def test_no_keys_stop_the_listening(keys):
    listening = Listening()
    for sign, at in keys:
        listening, _ = listening.hear(sign, at)
    assert len(listening.keys) <= 256
