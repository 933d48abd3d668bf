"""CSV that no spreadsheet program runs, and that reads back as it was."""

import csv
import re
from io import StringIO

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from landmarks.outputs.guarding import TRIGGERS, cell_text, csv_lines, guard, plain, unguard

texts = st.text(
    st.sampled_from("'=+-@\t\r\n ab\",;\uff1d\uff0b\uff0d\uff20\0é漢")
    | st.characters(exclude_categories=("Cs",)),
    max_size=8,
)


@given(texts)
@example("'")
@example("''=")
@example("' =")
@example("\t'=1")
def test_guarding_is_undone_exactly(words):
    assert unguard(guard(words)) == words


@given(texts)
def test_no_guarded_text_begins_like_a_formula(words):
    written = guard(words)
    assert written.lstrip()[:1] not in TRIGGERS or not written.lstrip()
    assert written[:1] not in TRIGGERS or not written


@given(st.lists(st.lists(texts, min_size=2, max_size=2), min_size=1, max_size=4))
def test_whole_tables_read_back_through_a_strict_reader(rows):
    written = "".join(csv_lines(rows))
    read = list(csv.reader(StringIO(written, newline=""), strict=True))
    assert [[unguard(cell) for cell in row] for row in read] == [
        [plain(cell) for cell in row] for row in rows
    ]


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_are_plain_exact_and_never_guarded(number):
    written = cell_text(number)
    assert re.fullmatch(r"-?\d+(\.\d+)?", written)
    assert float(written) == number


@pytest.mark.parametrize("number", [float("nan"), float("inf"), -float("inf")])
def test_what_is_no_number_is_an_empty_cell(number):
    assert cell_text(number) == ""


def test_each_record_ends_as_rfc_4180_says():
    # RFC 4180, sections 2.1, 2.6 and 2.7 (as cited in the project's notes on standards).
    (line,) = csv_lines([['=HYPERLINK("x")', 'a "b", c', -1.5, True, None]])
    assert line == '"\'=HYPERLINK(""x"")","a ""b"", c",-1.5,yes,\r\n'


def test_the_signs_are_those_of_the_notes_on_standards():
    for sign in "=+-@\t\r\n\0\uff1d\uff0b\uff0d\uff20":
        assert guard(f"{sign}1").startswith("'")
        assert guard(f"  {sign}1").startswith("'")
    assert guard("PMM 7-3") == "PMM 7-3"
