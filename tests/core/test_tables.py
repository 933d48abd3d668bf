"""The species tables that are shipped, and what is said of tables with a fault."""

from __future__ import annotations

import csv
import shutil
from pathlib import Path

import pytest

from landmarks.errors import TablesError
from landmarks.observations import Scored, Taken
from landmarks.sentences import text
from landmarks.tables import (
    SHIPPED,
    cell_sentence,
    check_tables,
    compare,
    comparison_sentence,
    differences,
    fault_sentence,
    other_differences,
    read_tables,
)

TABLES = read_tables()
LOCAL = ("tridacna_squamosina", "tridacna_rosewateri", "tridacna_elongatissima")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a copy of the shipped tables to spoil."""
    return Path(shutil.copytree(SHIPPED, tmp_path / "tables"))


def change(folder: Path, file: str, find: str, put: str, row: int | None = None) -> None:
    """Replace a piece of a table file, once, optionally in one row only."""
    path = folder / file
    lines = path.read_text(encoding="utf-8").split("\n")
    places = [row - 1] if row else [i for i, one in enumerate(lines) if find in one]
    assert find in lines[places[0]]
    lines[places[0]] = lines[places[0]].replace(find, put, 1)
    path.write_text("\n".join(lines), encoding="utf-8")


def only_fault(folder: Path) -> str:
    faults = check_tables(folder)
    assert len(faults) == 1, [text(fault_sentence(one)) for one in faults]
    return text(fault_sentence(faults[0]))


def test_shipped_tables_have_no_fault_and_all_twelve_species():
    assert check_tables() == ()
    assert len(TABLES.taxa) == 12
    assert {one.genus for one in TABLES.taxa} == {"Tridacna", "Hippopus"}


def test_every_cell_says_its_source_and_how_it_was_come_by():
    for cell in TABLES.cells:
        source = TABLES.sources[cell.source]
        assert cell.evidence in ("read", "memory", "practice")
        # What is remembered or common practice is never passed off as read.
        if source.how == "memory":
            assert cell.evidence == "memory", cell
        if source.how == "practice":
            assert cell.evidence == "practice", cell


PRACTICE = """\
tridacna_gigas incurrent_margin smooth
tridacna_gigas incurrent_margin large_branched
tridacna_gigas fold_profile rounded
tridacna_gigas closure gapes
tridacna_maxima incurrent_margin small_simple
tridacna_maxima incurrent_margin large_branched
tridacna_maxima eyes dense_row
tridacna_maxima warts few
tridacna_maxima burrowing partial
tridacna_maxima closure tight
tridacna_maxima closure nearly
tridacna_squamosa incurrent_margin large_branched
tridacna_squamosa incurrent_margin small_simple
tridacna_squamosa scutes all_over
tridacna_squamosa scute_size large
tridacna_squamosa scute_spacing wide
tridacna_derasa incurrent_margin large_branched
tridacna_derasa incurrent_margin small_simple
tridacna_derasa fold_strength low
tridacna_derasa closure tight
tridacna_derasa byssal_opening slit
tridacna_derasa byssal_opening closed
tridacna_derasa width_ratio
tridacna_derasa outline fan
tridacna_derasa hinge_ratio
tridacna_derasa eyes sparse
tridacna_noae scutes all_over
tridacna_noae scutes absent
tridacna_noae scute_size low
tridacna_noae scute_spacing crowded
tridacna_noae outline elongate
tridacna_noae hinge_ratio
tridacna_squamosina fold_strength strong
tridacna_squamosina fold_profile triangular
tridacna_crocea fold_strength low
tridacna_crocea burrowing full
tridacna_crocea scutes near_margin
tridacna_crocea scutes absent
tridacna_crocea byssal_opening very_large
tridacna_crocea closure tight"""
"""What a practitioner stated, cell by cell: common practice, no source."""


@pytest.mark.parametrize("row", PRACTICE.splitlines())
def test_what_a_practitioner_stated_is_a_cell_of_common_practice(row):
    taxon, character, state = (*row.split(), "")[:3]
    own = [
        one
        for one in TABLES.cells
        if (one.taxon, one.character, one.state) == (taxon, character, state)
        and one.source == "practitioner"
    ]
    assert own
    assert {one.evidence for one in own} == {"practice"}
    assert not [
        one for one in TABLES.cells if one.source == "practitioner" and not one.note
        and (one.taxon, one.character) not in SAID_IN_ONE_WORD
    ]  # fmt: skip


SAID_IN_ONE_WORD = {
    ("tridacna_derasa", "closure"),
    ("tridacna_squamosa", "scute_size"),
    ("tridacna_squamosa", "scute_spacing"),
    ("tridacna_noae", "scute_spacing"),
    ("tridacna_noae", "outline"),
}
"""Statements that the state itself says in full."""


def test_exhalant_opening_is_recorded_without_weight_and_side_symmetry_is_no_character():
    assert TABLES.characters["exhalant_opening"].weight == 0
    own = [one for one in TABLES.cells if one.character == "exhalant_opening"]
    assert own
    assert {one.weight for one in own} == {0}
    assert not [one.key for one in TABLES.characters if "symmetr" in one.key]


def test_every_number_names_its_definition_and_every_count_its_rule():
    for cell in TABLES.cells:
        character = TABLES.characters[cell.character]
        assert character.scored or cell.definition == character.standard, cell


def test_every_state_has_name_and_meaning_and_every_character_a_question():
    for character in TABLES.characters:
        assert character.name
        assert character.question.endswith("?")
        assert character.definition
        assert all(one.name and one.meaning for one in character.states)
        assert character.views


@pytest.mark.parametrize("taxon", [one.key for one in TABLES.taxa])
def test_every_species_has_names_a_range_a_status_and_cells(taxon):
    assert TABLES.taxon(taxon).authority
    assert any(one.taxon == taxon and one.status == "present" for one in TABLES.ranges)
    iucn = [
        one for one in TABLES.statuses if (one.taxon, one.kind) == (taxon, "iucn_category")
    ]
    assert [one.date for one in iucn] == ["2024"]
    assert sum(one.taxon == taxon for one in TABLES.cells) >= 15


@pytest.mark.parametrize(
    ("taxon", "character"),
    [
        ("tridacna_squamosina", "incurrent_margin"),
        ("tridacna_rosewateri", "incurrent_margin"),
        ("tridacna_elongatissima", "eyes"),
        ("tridacna_elongatissima", "warts"),
        ("tridacna_elongatissima", "fold_strength"),
        ("tridacna_crocea", "umbo_position"),
        ("tridacna_mbalavuana", "closure"),
        ("tridacna_squamosa", "ringed_spots"),
        ("tridacna_gigas", "byssal_edge"),
        ("tridacna_derasa", "byssal_edge"),
        ("tridacna_mbalavuana", "byssal_edge"),
        ("tridacna_rosewateri", "eye_size"),
        ("hippopus_hippopus", "byssal_shape"),
    ],
)
def test_unknown_stays_unknown(taxon, character):
    said = [one for one in TABLES.cells if (one.taxon, one.character) == (taxon, character)]
    assert said == []


BYSSAL_EDGE = {
    "hippopus_hippopus": ("interlocking", "read"),
    "hippopus_porcellanus": ("interlocking", "memory"),
    "tridacna_maxima": ("plicate", "read"),
    "tridacna_squamosa": ("plicate", "read"),
    "tridacna_elongatissima": ("plicate", "read"),
}
"""What is written of single species; of Tridacna at large it is only that it is plicate."""


def test_byssal_edge_is_known_of_five_species_and_counts_for_no_other():
    own = [one for one in TABLES.cells if one.character == "byssal_edge"]
    counting = [one for one in own if one.weight]
    assert {one.taxon for one in counting} == set(BYSSAL_EDGE)
    for taxon, (state, evidence) in BYSSAL_EDGE.items():
        cells = [one for one in counting if one.taxon == taxon]
        assert {one.state for one in cells} == {state}
        assert evidence in {one.evidence for one in cells}
    # The sentence on the family is kept where nothing else is known, without weight.
    at_large = [one for one in own if not one.weight]
    assert len(at_large) == 4
    assert {(one.source, one.state) for one in at_large} == {("sealifebase", "plicate")}


@pytest.mark.parametrize("source", ["lucas_1988", "rosewater_1965", "rosewater_1982"])
def test_hinge_ratios_of_one_source_or_from_memory_count_half(source):
    own = [one for one in TABLES.cells if one.character == "hinge_ratio"]
    assert all(one.weight <= 0.6 for one in own if one.evidence != "practice")
    assert all(one.evidence == "memory" for one in TABLES.cells if one.source == source)


def test_fold_counts_that_nobody_read_carry_no_weight():
    for taxon in ("tridacna_rosewateri", "hippopus_porcellanus"):
        own = [
            one
            for one in TABLES.cells
            if one.taxon == taxon and one.character in ("main_folds", "all_folds")
        ]
        assert own
        assert {(one.weight, one.evidence) for one in own} == {(0, "memory")}


def test_disagreements_keep_both_sides():
    scutes = {
        (one.source, one.state): one.word
        for one in TABLES.cells
        if (one.taxon, one.character) == ("tridacna_derasa", "scutes")
    }
    assert scutes["encyclopaedia_fr", "absent"] == "usually"
    assert scutes["delbeek_sprung_1994", "all_over"] == "sometimes"


def test_greatest_length_that_is_not_a_maximum_is_not_given_as_one():
    for taxon in ("tridacna_rosewateri", "tridacna_noae"):
        own = [
            one
            for one in TABLES.cells
            if (one.taxon, one.character) == (taxon, "shell_length") and one.maximum
        ]
        assert all(one.evidence != "read" for one in own)


def test_local_species_are_present_only_where_they_live():
    for taxon in LOCAL:
        own = {
            one.region
            for one in TABLES.ranges
            if one.taxon == taxon
            if one.status == "present"
        }
        assert own <= {"red_sea", "east_africa", "mascarenes_seychelles", "fao_51"}


def test_words_of_the_trade_reach_the_characters():
    characters = TABLES.characters
    assert characters["inhalant_margin"].key == "incurrent_margin"
    assert characters["incurrent_margin"].name == "Inhalant margin"


def test_hash_depends_on_content_alone(folder):
    assert read_tables(folder).hash == TABLES.hash
    path = folder / "cells.csv"
    rows = list(csv.reader(path.read_text(encoding="utf-8").splitlines(keepends=True)))
    turned = [row[::-1] for row in rows]
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        csv.writer(file, quoting=csv.QUOTE_ALL, lineterminator="\r\n").writerows(turned)
    assert read_tables(folder).hash == TABLES.hash
    change(folder, "taxa.csv", "Linnaeus", "Linné")
    assert read_tables(folder).hash != TABLES.hash


def test_table_parted_by_semicolons_is_read_too(folder):
    path = folder / "views.csv"
    rows = list(csv.reader(path.read_text(encoding="utf-8").splitlines(keepends=True)))
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, delimiter=";").writerows(rows)
    assert read_tables(folder).hash == TABLES.hash


@pytest.mark.parametrize(
    ("file", "find", "put", "said"),
    [
        ("cells.csv", ",smooth,", ",smoth,", "cells.csv, row 2: “smoth” in “state”"),
        ("cells.csv", ",always,", ",allways,", "perhaps “always” is meant"),
        ("cells.csv", ",always,", ",1.5,", "must lie between 0 and 1"),
        (
            "cells.csv",
            "delbeek_sprung_1994",
            "delbek_1994",
            "perhaps “delbeek_sprung_1994”",
        ),
        ("cells.csv", ",read,", ",seen,", "“seen” in “evidence” is not known"),
        ("cells.csv", "0.02,0.1", "0.2,0.1", "must increase"),
        ("cells.csv", "0.02,0.1", '0.02,"0,1"', "write a point, not a comma"),
        ("taxa.csv", "tridacna_derasa,", "tridacna_gigas,", "stands there a second time"),
        ("taxa.csv", "key,name", "key,nome", "perhaps “nome” should be called so"),
        ("taxa.csv", "tridacna_gigas,", "Tridacna gigas,", "cannot be a key"),
        ("views.csv", ",no,no,yes,", ",no,maybe,yes,", "neither yes nor no"),
        ("characters.csv", ",0.06,", ",6,", "must lie between 0 and 0.9"),
        ("characters.csv", "living_inhalant_opening", "living_inhalant", "perhaps"),
        ("ranges.csv", "red_sea", "red_see", "perhaps “red_sea” is meant"),
        ("guide.toml", '"shell_length"', '"shell_size"', "not a character measured in mm"),
        ("guide.toml", "[size]", "[size", "not TOML"),
    ],
)
def test_fault_names_file_row_and_remedy(folder, file, find, put, said):
    change(folder, file, find, put)
    faults = [text(fault_sentence(one)) for one in check_tables(folder)]
    assert any(said in one and one.startswith(file) for one in faults), faults
    with pytest.raises(TablesError):
        read_tables(folder)


def test_missing_file_and_folder_are_named(folder):
    (folder / "states.csv").unlink()
    assert any(
        "states.csv: The file is not in" in text(fault_sentence(one))
        for one in check_tables(folder)
    )
    with pytest.raises(TablesError) as error:
        read_tables(folder / "nowhere")
    assert "nowhere" in str(error.value)


def test_other_bytes_are_refused_with_a_sentence(folder):
    (folder / "cells.csv").write_bytes(b"\xff\xfe\x00taxon")
    assert "save it from the spreadsheet as “CSV UTF-8”" in only_fault(folder)


def test_tables_error_says_the_first_fault_and_how_many_follow(folder):
    change(folder, "cells.csv", ",smooth,", ",smoth,", row=2)
    change(folder, "cells.csv", ",smooth,", ",smoth,", row=3)
    with pytest.raises(TablesError) as error:
        read_tables(folder)
    assert "cells.csv, row 2" in str(error.value)
    assert "1 more fault is in them" in str(error.value)


# -- one's own specimens beside the tables -------------------------------------------------


def own(taxon, n, **values):
    return [(taxon, [Taken(key, f(i), 0.0) for key, f in values.items()]) for i in range(n)]


def test_own_specimens_are_put_beside_the_cells_by_band_of_size():
    young = own(
        "hippopus_hippopus", 12, shell_length=lambda i: 150 + i, height_ratio=lambda i: 0.9
    )
    found = compare(TABLES, young)
    ratio = next(one for one in found if one.character == "height_ratio")
    assert (ratio.n, ratio.from_mm, ratio.to_mm) == (12, None, 250)
    assert ratio.median == pytest.approx(0.9)
    assert {cell.to_mm for cell in ratio.cells} == {250}


def test_own_specimens_propose_a_cell_where_the_tables_say_otherwise():
    spread = own("tridacna_noae", 21, height_ratio=lambda i: 0.70 + 0.005 * i)
    (one,) = compare(TABLES, spread)
    assert (one.low, one.median, one.high) == pytest.approx((0.705, 0.75, 0.795))
    assert [(cell.low, cell.typical, cell.high) for cell in one.proposal] == [
        pytest.approx((0.705, 0.75, 0.795))
    ]
    assert not one.few
    assert "The tables say otherwise." in text(comparison_sentence(TABLES, one))
    (few,) = compare(TABLES, spread[:9])
    assert few.few
    assert "too few" in text(comparison_sentence(TABLES, few))
    (agreeing,) = compare(
        TABLES, own("tridacna_noae", 20, height_ratio=lambda i: 0.5 + i / 200)
    )
    assert agreeing.proposal == ()


def test_own_scores_propose_a_frequency_where_the_tables_say_otherwise():
    rows = [("tridacna_maxima", [Scored("eyes", "none")])] * 18
    rows += [("tridacna_maxima", [Scored("eyes", "dense_row")])] * 2
    rows += [("tridacna_maxima", [Scored("eyes", "sparse", sure=False)])] * 5
    (one,) = compare(TABLES, rows)
    assert one.n == 20
    assert {cell.state: cell.word for cell in one.proposal} == {
        "none": "usually",
        "dense_row": "rarely",
    }


def test_cell_in_words_has_its_numbers_its_sizes_and_its_source():
    said = {
        text(cell_sentence(TABLES, one)).rpartition(", row")[0]
        for one in TABLES.cells
        if one.taxon in ("hippopus_hippopus", "tridacna_gigas")
    }
    assert "strong usually, at a size of 0 to 200 mm [poutiers_1998, read" in said
    assert (
        "0.62 to 0.82, typically 0.72, at a size of 0 to 250 mm [encyclopaedia_zh, read"
        in said
    )
    assert "9 to 14 [poutiers_1998, read" in said
    assert "0.5 or more [indian_sheet_gigas, read" in said
    assert "greatest 1370 mm [indian_sheet_gigas, read" in said
    assert "absent always, from a size of 150 mm on [delbeek_sprung_1994, read" in said


def test_other_files_that_differ_are_named(folder):
    assert other_differences(TABLES, read_tables(folder)) == ()
    change(folder, "ranges.csv", "no_record", "absent")
    change(folder, "pairs.csv", "cannot be told apart", "can hardly be told apart")
    assert other_differences(TABLES, read_tables(folder)) == ("ranges.csv", "pairs.csv")


def test_difference_of_two_tables_is_said_cell_by_cell(folder):
    assert differences(TABLES, read_tables(folder)) == ()
    change(folder, "cells.csv", ",always,", ",usually,", row=2)
    (one,) = differences(TABLES, read_tables(folder))
    assert (one.taxon, one.character) == ("tridacna_gigas", "incurrent_margin")
    assert [cell.word for cell in (*one.before, *one.after)] == ["always", "usually"]
    assert [cell.row for cell in (*one.before, *one.after)] == [2, 2]
