"""Label tables of any making: read, matched, joined; what a label says of day and depth."""

import csv
import io
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from landmarks.changes import applied, by_document
from landmarks.collection import Picture
from landmarks.errors import DocumentError, UnknownWordError
from landmarks.intake import (
    Interpreted,
    interpreted,
    join_labels,
    keep_column,
    match_columns,
    numbers_of_files,
    read_label_table,
    take_column,
)
from landmarks.intake.columns import EXTRA, FILE, KEPT_TERMS, SPELLINGS
from landmarks.intake.interpreting import read_date, read_depth
from landmarks.intake.joining import Shared
from landmarks.intake.labels import DELIMITERS, parse_label_table, unguarded
from landmarks.picture import PictureFile
from landmarks.sentences import text
from landmarks.specimen import Frame, Label, Specimen, parts_of, specimen_of

DRAWER = (
    "Cat. No.,Locality,Collected by,Date,Depth (m),Picture\r\n"
    'PM-1042,"Halverson Reef, outer slope",Mara Quill,12.iii.2024,3-5,IMG_0001.JPG\r\n'
    "PM-1043,Port Maren,Ivo Quell,03/04/2024,,IMG_0002.JPG\r\n"
)


def table_of(words, encoding="utf-8"):
    return parse_label_table(words.encode(encoding), "drawer.csv")


def keys(table):
    return [note.key for note in table.notes]


# -- reading ---------------------------------------------------------------------------------


def test_a_table_is_read_as_it_stands():
    table = table_of(DRAWER)
    assert table.header[:2] == ("Cat. No.", "Locality")
    assert table.rows[0][:2] == ("PM-1042", "Halverson Reef, outer slope")
    assert (table.delimiter, table.encoding, table.lines) == (",", "utf-8", (2, 3))
    assert table.notes == ()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le"])
def test_every_common_encoding_is_read(encoding):
    mark = b"\xff\xfe" if encoding == "utf-16-le" else b""
    words = "number;locality\n1;Bucht der Müscheln\n"
    table = parse_label_table(mark + words.encode(encoding), "a.csv")
    assert table.rows == (("1", "Bucht der Müscheln"),)
    assert table.notes == ()


def test_an_old_code_page_is_read_and_said():
    table = table_of("number;locality\n1;Bucht der Müscheln – tief\n", "cp1252")
    assert table.rows[0][1] == "Bucht der Müscheln – tief"
    assert keys(table) == ["intake.old_encoding"]


@pytest.mark.parametrize("sign", DELIMITERS)
def test_every_common_delimiter_is_found(sign):
    rows = [
        ["number", "locality", "notes"],
        ["1", "reef, outer; east", "a|b"],
        ["2", "x", ""],
    ]
    out = io.StringIO()
    csv.writer(out, delimiter=sign, lineterminator="\r\n").writerows(rows)
    table = table_of(out.getvalue())
    assert (table.delimiter, table.header) == (sign, tuple(rows[0]))
    assert [list(row) for row in table.rows] == rows[1:]


def test_a_table_of_one_column_is_one_too():
    table = table_of("catalogue number\nPM-1\nPM-2\n")
    assert table.rows == (("PM-1",), ("PM-2",))


def test_rows_too_short_or_too_long_are_read_whole_and_said():
    table = table_of("a,b,c\n1,2\n1,2,3,4\n\n,,\n1,2,3,,\n")
    assert table.rows == (("1", "2", ""), ("1", "2", "3 4"), ("1", "2", "3"))
    assert keys(table) == ["intake.row_short", "intake.row_long"]
    assert [note.values["line"] for note in table.notes] == [2, 3]


def test_a_cell_may_hold_line_breaks_quotes_and_html():
    table = table_of('a,b\n"one\ntwo ""three""",<img src=x onerror=y>\n')
    assert table.rows == (('one\ntwo "three"', "<img src=x onerror=y>"),)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"a,b\n",
        b"\n\n,,\n",
        b"\0\0\0\0",
        bytes(range(256)),
        b"\xff\xfe\0",
        b'a,b\n"' + b"x" * 200_000,
    ],
)
def test_what_is_no_table_is_refused_in_one_sentence(tmp_path, content):
    path = tmp_path / "drawer.csv"
    path.write_bytes(content)
    with pytest.raises(DocumentError) as fault:
        read_label_table(path)
    words = text(fault.value.sentence)
    assert "drawer.csv" in words
    assert words.endswith(".")


def test_a_table_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(DocumentError) as fault:
        read_label_table(tmp_path / "gone.csv")
    assert "gone.csv" in text(fault.value.sentence)


@given(st.binary(max_size=400))
def test_any_bytes_give_a_table_or_a_sentence(content):
    rows, width, said = ((),), 0, "."
    try:
        table = parse_label_table(content, "a.csv")
        rows, width = table.rows, len(table.header)
    except DocumentError as fault:
        said = text(fault.sentence)
    assert rows
    assert all(len(row) == width for row in rows)
    assert said.endswith(".")


CELLS = st.text(st.characters(codec="utf-8", exclude_characters="\0\r"), max_size=12)


@given(st.lists(st.lists(CELLS, min_size=3, max_size=3), min_size=1, max_size=5))
def test_what_is_written_after_the_standard_reads_back(rows):
    """RFC 4180 (read): commas, doubled quotes, CRLF; cells without surrounding blanks."""
    header = ["number", "locality", "notes"]
    rows = [["1", *(unguarded(cell.strip()) for cell in row[1:])] for row in rows]
    rows = [[unguarded(unguarded(cell.strip())) for cell in row] for row in rows]
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows([header, *rows])
    table = table_of(out.getvalue())
    if table.delimiter == ",":
        assert [list(row) for row in table.rows] == [
            [unguarded(cell.strip()) for cell in row] for row in rows
        ]


def test_the_guard_against_formulas_is_taken_off_once():
    assert [unguarded(one) for one in ("'=1+1", "''=1", "'-5", "O'Hara", "'plain", "=1")] == [
        "=1+1", "'=1", "-5", "O'Hara", "'plain", "=1",
    ]  # fmt: skip


# -- matching --------------------------------------------------------------------------------


def test_columns_are_known_in_several_spellings():
    matching = match_columns(table_of(DRAWER).header)
    assert matching.targets == (
        "catalogue_number",
        "locality",
        "collector",
        "collected",
        "depth",
        FILE,
    )
    assert matching.left_out == ()


@pytest.mark.parametrize(
    ("name", "target"),
    [
        ("dwc:catalogNumber", "catalogue_number"),
        ("http://rs.tdwg.org/dwc/terms/recordedBy", "collector"),
        ("CATALOGUE_NUMBER", "catalogue_number"),
        ("verbatimLabel", "verbatim"),
        ("decimalLatitude", EXTRA + "decimalLatitude"),
        ("decimallatitude", EXTRA + "decimalLatitude"),
        ("shoe size", ""),
        ("", ""),
    ],
)
def test_darwin_core_terms_and_odd_writing_are_known(name, target):
    assert match_columns([name]).targets == (target,)


def test_no_spelling_means_two_things():
    plain = [
        "".join(sign for sign in one.casefold() if sign.isalnum())
        for spellings in (*SPELLINGS.values(), KEPT_TERMS)
        for one in dict.fromkeys(
            "".join(sign for sign in spelling.casefold() if sign.isalnum())
            for spelling in spellings
        )
    ]
    assert len(plain) == len(set(plain))


def test_of_two_columns_for_one_entry_the_better_spelling_wins():
    matching = match_columns(["id", "catalogNumber", "number"])
    assert matching.targets == ("", "catalogue_number", "")
    assert matching.left_out == ("id", "number")


def test_a_person_changes_the_matching():
    matching = match_columns(["number", "id", "shoe size"])
    changed = take_column(matching, 1, "catalogue_number")
    assert changed.targets == ("", "catalogue_number", "")
    assert keep_column(changed, 2).targets[2] == EXTRA + "shoe size"
    assert take_column(changed, 1, "").targets == ("", "", "")
    own = keep_column(match_columns(["locality"]), 0)
    assert own.targets == (
        EXTRA + "locality (column)",
    )  # the label's own is not covered up
    with pytest.raises(UnknownWordError, match="collector"):
        take_column(matching, 0, "colector")


# -- joining ---------------------------------------------------------------------------------


def picture(picture_id, path):
    return Picture(picture_id, path, PictureFile(picture_id * 8, 1, 6, 4))


@pytest.fixture
def pictures():
    made = [picture("p", "dive/IMG_0001.JPG"), picture("q", "IMG_0002.JPG")]
    return {one.id: one for one in made}


def join(table, specimens, pictures, **kinds):
    return join_labels(table, match_columns(table.header), specimens, pictures, **kinds)


def test_rows_are_joined_by_number_however_it_is_written(pictures):
    specimen = Specimen("a", label=Label(catalogue_number="pm 1042"))
    joined = join(table_of(DRAWER), [specimen], pictures)
    label = joined.specimens[0].label
    assert (label.locality, label.collector) == (
        "Halverson Reef, outer slope",
        "Mara Quill",
    )
    assert label.catalogue_number == "pm 1042"  # what is there stays as it was written
    assert joined.matched == {0: "a"}
    assert (joined.rows_alone, joined.specimens_alone) == ((1,), ())
    assert joined.differs == ()


def test_rows_are_joined_by_the_picture_they_name(pictures):
    specimens = [
        Specimen("a", frames=(Frame("f", "p", ""),)),
        Specimen("b", frames=(Frame("g", "q", ""),)),
        Specimen("c"),
    ]
    joined = join(table_of(DRAWER), specimens, pictures)
    numbers = [one.label.catalogue_number for one in joined.specimens]
    assert numbers == ["PM-1042", "PM-1043"]
    assert joined.specimens_alone == ("c",)


def test_the_row_as_it_stands_is_kept_beside_what_it_says(pictures):
    joined = join(
        table_of(DRAWER), [Specimen("a", label=Label(catalogue_number="PM-1042"))], pictures
    )
    label = joined.specimens[0].label
    assert "Date: 12.iii.2024" in label.verbatim
    assert label.collected == "12.iii.2024"
    assert interpreted(label) == Interpreted("2024-03-12", 3.0, 5.0)


def test_a_label_s_own_text_goes_before_the_row(pictures):
    table = table_of('number,verbatimLabel\n1,"Halverson Rf.\n3 fms, M.Q."\n')
    joined = join(table, [Specimen("a", label=Label(catalogue_number="1"))], pictures)
    assert joined.specimens[0].label.verbatim == "Halverson Rf.\n3 fms, M.Q."


def test_what_a_person_wrote_stays_unless_the_table_is_to_win(pictures):
    there = Specimen("a", label=Label(catalogue_number="PM-1042", locality="by hand"))
    joined = join(table_of(DRAWER), [there], pictures)
    assert joined.specimens[0].label.locality == "by hand"
    found = joined.differs[0]
    assert (found.entry, found.there) == ("locality", "by hand")
    assert found.in_table == "Halverson Reef, outer slope"
    won = join(table_of(DRAWER), [there], pictures, table_wins=True)
    assert won.specimens[0].label.locality == "Halverson Reef, outer slope"
    assert won.differs == joined.differs


def test_an_empty_cell_takes_nothing_away(pictures):
    there = Specimen("a", label=Label(catalogue_number="PM-1043", depth="4 m"))
    joined = join(table_of(DRAWER), [there], pictures, table_wins=True)
    assert joined.specimens[0].label.depth == "4 m"


def test_what_fits_several_is_left_alone_and_told(pictures):
    two = [Specimen(name, label=Label(catalogue_number="PM-1042")) for name in "ab"]
    joined = join(table_of(DRAWER), two, pictures)
    assert (joined.specimens, joined.ambiguous) == ((), (0,))
    twice = table_of("number,locality\n7,one\n7,two\n")
    joined = join(twice, [Specimen("a", label=Label(catalogue_number="7"))], pictures)
    assert joined.specimens[0].label.locality == "one"
    assert joined.ambiguous == (1,)


def test_numbers_that_are_not_one_row_s_own_are_told_and_change_nothing(pictures):
    a = Specimen("a", frames=(Frame("f", "p", ""),))
    b = Specimen("b", frames=(Frame("g", "q", ""),))
    twice = table_of("number,file\nPM 7,IMG_0001.JPG\npm-7,IMG_0002.JPG\n8,\n")
    joined = join(twice, [a, b], pictures)
    assert joined.shared == (
        Shared(0, (0, 1), 0, off_picture=True),
        Shared(1, (0, 1), 0, off_picture=True),
    )
    assert joined.matched == {0: "a", 1: "b"}
    # The number is another specimen's than the one on the picture; then two have it.
    c = Specimen("c", label=Label(catalogue_number="PM-7"))
    one = table_of("number,file\nPM 7,IMG_0001.JPG\n")
    joined = join(one, [a, b, c], pictures)
    assert joined.shared == (Shared(0, (), 1, off_picture=True),)
    assert joined.matched == {0: "c"}
    joined = join(table_of("number\n7\n"), [replace(c, id=x) for x in "cd"], pictures)
    assert joined.shared == ()
    joined = join(table_of("number\nPM7\n"), [replace(c, id=x) for x in "cd"], pictures)
    assert joined.shared == (Shared(0, (), 2),)
    assert join(table_of("number\nPM7\n"), [c], pictures).shared == ()


def test_a_drawer_on_one_picture_is_not_joined_by_its_file(pictures):
    six = [Specimen(name, frames=(Frame(f"f{name}", "p", ""),)) for name in "abcdef"]
    joined = join(table_of(DRAWER), six, pictures)
    assert (joined.matched, joined.ambiguous) == ({}, (0,))


def test_kept_terms_stand_with_the_label_under_their_own_names(pictures):
    table = table_of("catalogNumber,decimalLatitude,country\n7,-8.5,Nowhere\n")
    joined = join(table, [Specimen("a", label=Label(catalogue_number="7"))], pictures)
    label = joined.specimens[0].label
    assert label.extra == {"decimalLatitude": "-8.5", "country": "Nowhere"}
    again = join(table, joined.specimens, pictures)
    assert again.specimens == ()
    assert again.deed.changes == ()


def test_it_is_one_deed_over_labels_alone(pictures):
    specimens = [
        Specimen("a", frames=(Frame("f", "p", ""),)),
        Specimen("b", frames=(Frame("g", "q", ""),)),
    ]
    joined = join(table_of(DRAWER), specimens, pictures)
    assert {one.part for one in joined.deed.changes} == {"label"}
    whole = {one.id: one for one in specimens}
    for document, changes in by_document(joined.deed.changes).items():
        parts = applied(parts_of(whole[document.id]), changes)
        assert specimen_of(document.id, parts) in joined.specimens


def test_numbers_of_files_are_for_grouping():
    table = table_of(DRAWER + "PM-1050,,,,,\r\n,,,,,IMG_0009.JPG | IMG_0010.JPG\r\n")
    told = numbers_of_files(table, match_columns(table.header))
    assert told["img_0001.jpg"] == "PM-1042"
    assert told["PM-1050"] == "PM-1050"
    assert told["img_0009.jpg"] == "img_0009.jpg"


# -- what a label says -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "date"),
    [
        ("2024-03-12", "2024-03-12"),
        ("2024-03", "2024-03"),
        ("2024", "2024"),
        ("2024-03-12/2024-03-15", "2024-03-12/2024-03-15"),
        ("12.iii.2024", "2024-03-12"),
        ("12-III-2024", "2024-03-12"),
        ("12th March, 2024", "2024-03-12"),
        ("Mar 12 2024", "2024-03-12"),
        ("March 1931", "1931-03"),
        ("25/04/2024", "2024-04-25"),
        ("04/25/2024", "2024-04-25"),
        ("5/5/2024", "2024-05-05"),
        ("03/04/2024", None),  # two dates
        ("31 February 2024", None),
        ("2024-02-30", None),
        ("12.iii.24", None),  # which century?
        ("spring 1931", None),
        ("", None),
    ],
)
def test_a_date_is_read_where_it_is_one(words, date):
    assert read_date(words) == date


@pytest.mark.parametrize(
    ("words", "depth"),
    [
        ("3 m", (3, 3)),
        ("3-5", (3, 5)),
        ("3 – 5 m", (3, 5)),
        ("5 to 3 metres", (3, 5)),
        ("12,5 m", (12.5, 12.5)),
        ("ca. 4m", (4, 4)),
        ("30 ft", (9.144, 9.144)),
        ("2 fathoms", (3.6576, 3.6576)),
        ("0 m", (0, 0)),  # the shore: a true zero
        ("shallow", None),
        ("99999 m", None),
        ("", None),
        ("-3", None),
    ],
)
def test_a_depth_is_read_where_it_is_one(words, depth):
    assert read_depth(words) == depth


@given(st.text(max_size=30))
def test_no_words_stop_the_reading(words):
    found = interpreted(Label(collected=words, depth=words))
    assert isinstance(found, Interpreted)
