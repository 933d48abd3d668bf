"""A stranger's file can do nothing: every rule, and the tests that hold it.

The rules are those of the design ("a stranger's file runs nothing"), of the notes on CSV
safety, and what was found since. A rule without a test is a wish; this module says of each
which tests they are, and that they are there. Rules about what is not there are held here.
"""

import ast
import re
from functools import cache
from pathlib import Path

TESTS = Path(__file__).parents[1]
ROOT = TESTS.parent

RULES = {
    # -- text ------------------------------------------------------------------------------
    "text is plain text on every screen, every tip and every list": (
        "app/test_strangers_file.py::test_a_collection_full_of_markup_is_shown_as_it_is_written",
        "app/test_strangers_file.py::test_markup_is_drawn_letter_by_letter",
        "app/test_strangers_file.py::test_every_tip_is_made_plain_and_no_label_decides_by_itself",
        "app/test_accessibility.py::test_the_pages_in_place_of_the_picture_can_be_reached_and_show_plain_words",
    ),
    "text is plain in notices and in both sides of a conflict": (
        "app/test_strangers_file.py::test_both_sides_of_a_conflict_are_words",
        "core/test_telling.py::test_odd_parts_of_a_stranger_are_told_entry_by_entry",
    ),
    "file names are plain text too": (
        "app/test_strangers_file.py::test_pictures_with_odd_names_are_sorted_by_them",
        "core/test_picture.py::test_text_from_a_file_name_is_said_as_it_is",
    ),
    "text is never a template, and turns no sentence around": (
        "core/test_sentences.py::test_a_stranger_s_text_is_said_literally",
        "core/test_sentences.py::test_what_would_change_the_sentence_around_it_becomes_blank",
        "app/test_cli.py::test_text_of_a_stranger_is_said_literally",
    ),
    "nothing printed is an order to the terminal or a line of its own": (
        "core/test_strangers_exports.py::test_nothing_printed_is_an_order_to_the_terminal",
        "core/test_strangers_exports.py::test_a_line_of_a_stranger_is_no_line_of_ours",
        "core/test_strangers_exports.py::test_every_print_goes_through_the_one_door",
    ),
    "no request is made": (
        "app/test_strangers_file.py::test_a_collection_full_of_markup_is_shown_as_it_is_written",
        "core/test_strangers_exports.py::test_no_request_is_made_while_a_collection_is_read_and_written",
        "core/test_strangers_rules.py::test_no_module_reaches_out_or_runs_what_it_reads",
    ),
    # -- places ----------------------------------------------------------------------------
    "picture paths are relative until the person agrees; none on the network, no ..": (
        "app/test_strangers_file.py::test_pictures_are_opened_beside_the_collection_and_nowhere_else",
        "app/test_strangers_file.py::test_a_picture_outside_waits_until_the_person_agrees",
        "app/test_strangers_file.py::test_folders_a_person_agreed_to_are_kept_and_hold_for_what_lies_inside",
    ),
    "the same path with other content is never silently used": (
        "journeys/test_trouble.py::test_another_picture_in_its_place_is_noticed_and_not_shown",
    ),
    "ids and keys name no file outside": (
        "core/test_strangers_exports.py::test_a_folder_of_json_comes_back_exactly_and_writes_nowhere_else",
        "core/test_folder.py::test_any_collection_comes_back_exactly",
        "app/test_strangers_file.py::test_keys_of_a_stranger_lead_to_no_other_drawing",
    ),
    # -- collections -----------------------------------------------------------------------
    "SQLite trusts no schema": (
        "core/test_storage_faults.py::test_an_ordinary_disk_gets_the_write_ahead_log_synced_in_full",
    ),
    "a collection is checked when it is opened": (
        "core/test_storage_faults.py::test_a_page_overwritten_is_found",
        "core/test_storage_faults.py::test_a_file_cut_short",
        "core/test_fuzz_collections.py::test_spoilt_bytes_are_a_sentence_or_found_by_the_check",
        "core/test_fuzz_collections.py::test_rows_a_stranger_wrote_are_a_sentence_or_found_by_the_check",
    ),
    "foreign triggers, views, virtual tables, columns and indexes are refused": (
        "core/test_storage_faults.py::test_what_does_not_belong_in_a_collection_is_refused_by_name",
        "core/test_storage_faults.py::test_a_table_that_takes_anything_is_refused",
        "core/test_fuzz_collections.py::test_what_tables_do_by_themselves_is_refused",
        "core/test_fuzz_collections.py::test_an_index_of_our_name_with_other_words_is_refused",
    ),
    "a journal beside a collection touches no other file": (
        "core/test_fuzz_journals.py::test_a_journal_that_names_another_file_removes_nothing",
        "core/test_fuzz_journals.py::test_a_spoilt_journal_is_a_sentence_or_a_sound_reading",
    ),
    "what is packed unpacks to no more than was announced": (
        "core/test_fuzz_collections.py::test_outlines_that_unpack_to_gigabytes_are_a_sentence_within_little_memory",
        "core/test_fuzz_collections.py::test_a_giant_value_is_a_sentence",
    ),
    "a file of a newer version is refused and left as it is": (
        "core/test_storage_faults.py::test_a_newer_format",
        "core/test_bad_input.py::test_a_record_of_a_newer_format_is_not_touched",
    ),
    "pipes and devices are not waited for": (
        "core/test_storage_faults.py::test_a_pipe_is_not_waited_for",
    ),
    # -- other forms -----------------------------------------------------------------------
    "JSON has limits of depth, size and number": (
        "core/test_fuzz_documents.py::test_bombs_of_json_are_a_sentence_within_little_memory",
        "core/test_fuzz_documents.py::test_bytes_of_any_kind_are_json_or_a_sentence",
        "core/test_storage_faults.py::test_stored_text_is_held_to_the_limits_of_json",
    ),
    "XML has no entities": (
        "core/test_intake_metadata.py::test_xml_that_is_not_read_here_is_refused_and_costs_no_picture",
        "core/test_intake_metadata.py::test_any_bytes_give_properties_or_the_one_fault",
    ),
    "zip has names, sizes and ratio checked: none is read": (
        "core/test_strangers_rules.py::test_no_module_reaches_out_or_runs_what_it_reads",
    ),
    "JSON-LD only with the bundled context: none is read": (
        "core/test_strangers_rules.py::test_no_module_reads_linked_data",
    ),
    "no drawing or font of a stranger is drawn: SVG is our own, well-formed and alone": (
        "core/test_strangers_rules.py::test_our_drawings_hold_nothing_foreign",
        "app/test_strangers_file.py::test_keys_of_a_stranger_lead_to_no_other_drawing",
    ),
    "species tables and label tables are read, or a sentence, in time": (
        "core/test_fuzz_tables.py::test_tables_with_spoilt_cells_are_read_or_every_fault_is_a_sentence",
        "core/test_fuzz_tables.py::test_bombs_of_tables_are_a_sentence_in_time",
        "core/test_fuzz_tables.py::test_bombs_of_label_tables_are_read_or_a_sentence_in_time",
    ),
    "conditions and kept filters are questions, whatever is in them": (
        "core/test_fuzz_conditions.py::test_whatever_is_typed_is_a_condition_or_a_sentence",
        "core/test_fuzz_conditions.py::test_whatever_is_kept_as_a_filter_is_read_or_a_sentence",
        "core/test_finding.py::test_no_query_holds_a_condition_that_means_nothing",
    ),
    "pictures announce their memory; what would need too much is refused undecoded": (
        "core/test_picture.py::test_a_picture_above_the_limit_is_refused_undecoded",
        "core/test_picture.py::test_a_picture_with_wrong_bytes_gives_a_picture_or_a_sentence",
    ),
    "a file of a kind that can hold programs is not even tried": (
        "core/test_picture.py::test_a_file_of_a_kind_that_can_hold_programs_is_not_even_tried",
    ),
    # -- what is written -------------------------------------------------------------------
    "no text cell of a table runs as a formula, and each reads back (CSV safety 2 and 3)": (
        "core/test_guarding.py::test_no_guarded_text_begins_like_a_formula",
        "core/test_guarding.py::test_guarding_is_undone_exactly",
        "core/test_strangers_exports.py::test_no_cell_runs_and_every_one_reads_back",
        "core/test_intake_labels.py::test_the_guard_against_formulas_is_taken_off_once",
    ),
    "numbers are written by us and never guarded (CSV safety 1)": (
        "core/test_guarding.py::test_numbers_are_plain_exact_and_never_guarded",
    ),
    "control characters are left out of tables (CSV safety 4)": (
        "core/test_guarding.py::test_whole_tables_read_back_through_a_strict_reader",
    ),
    "names of files, cameras, people and labels are text like any other (CSV safety 5)": (
        "core/test_strangers_exports.py::test_no_cell_runs_and_every_one_reads_back",
    ),
    "an exported picture is new pixels: no place, caption, serial number or name": (
        "core/test_strangers_exports.py::test_an_annotated_picture_is_pixels_alone",
        "core/test_png.py::test_nothing_of_the_original_travels_along",
    ),
    "JSON that is written reads back exactly": (
        "core/test_strangers_exports.py::test_json_that_is_printed_is_the_text_itself",
        "core/test_strangers_exports.py::test_a_folder_of_json_comes_back_exactly_and_writes_nowhere_else",
    ),
    "original pictures are never written to": (
        "core/test_picture.py::test_the_original_is_never_written_to",
        "core/test_png.py::test_the_original_is_never_written_to",
    ),
}  # fmt: skip


def test_every_rule_is_held_by_tests_that_are_there():
    for rule, tests in RULES.items():
        assert tests, rule
        for held in tests:
            file, _, name = held.partition("::")
            assert name in names_in(file), f"{rule}: {held}"


@cache
def names_in(file):
    tree = ast.parse((TESTS / file).read_text("utf-8"))
    return {one.name for one in tree.body if isinstance(one, ast.FunctionDef)}


# -- absences ------------------------------------------------------------------------------

REACHES_OUT = (
    "urllib", "http", "ftplib", "smtplib", "socket", "ssl", "requests", "httpx", "aiohttp",
    "webbrowser", "QtNetwork", "QtWebEngineWidgets", "QtQml",
)  # fmt: skip
RUNS = ("pickle", "marshal", "shelve", "ctypes", "zipfile", "tarfile", "lxml", "minidom",
        "ElementTree", "yaml", "subprocess", "runpy", "code")  # fmt: skip
"""What could run, unpack or resolve what it reads; each has to be allowed by name."""

ALLOWED = {
    "landmarks/picture/child.py": {
        "subprocess"
    },  # Our own decoder, in a process that may die.
    "landmarks/storage/opening.py": {"ctypes"},  # Asks Windows which drive is far.
}


IMPORT = re.compile(r"^\s*(?:from\s+([\w.]+)\s+)?import\s+(\([^)]*\)|[^\n]+)", re.MULTILINE)
EVALUATES = re.compile(r"(?<![.\w])(eval|exec|compile|__import__)\(")


@cache
def modules():
    return [
        (path.relative_to(ROOT).as_posix(), path.read_text("utf-8"))
        for folder in ("landmarks", "app")
        for path in sorted((ROOT / folder).rglob("*.py"))
    ]


def imported(text):
    """Return every word that stands in an import, wherever it is."""
    return {
        word for found in IMPORT.finditer(text) for word in re.findall(r"\w+", found[0])
    }


def test_imports_are_found_wherever_they_stand():
    some = "import os.path\ndef a():\n    from urllib import (\n request,\n)\n    import x as y\n"
    assert {"os", "path", "urllib", "request", "x"} <= imported(some)
    assert EVALUATES.search("x = eval(y)")
    assert not EVALUATES.search("re.compile(y)")


def test_no_module_reaches_out_or_runs_what_it_reads():
    found = []
    for path, text in modules():
        names = imported(text) & {*REACHES_OUT, *RUNS}
        found += [f"{path}: {one}" for one in sorted(names - ALLOWED.get(path, set()))]
        found += [f"{path}: {one[0]}" for one in EVALUATES.finditer(text)]
    assert found == []


def test_no_module_reads_linked_data():
    for path, text in modules():
        assert '"@context"' not in text, path
        assert not {"pyld", "rdflib"} & imported(text), path


SVG_NAMES = {"svg", "g", "path", "circle", "ellipse", "line", "rect", "polyline", "polygon",
             "defs", "clipPath", "use", "title"}  # fmt: skip


def test_our_drawings_hold_nothing_foreign():
    """Each is well-formed, and has neither script, style, picture, text nor address."""
    from xml.etree import ElementTree

    drawings = [*(ROOT / "landmarks").rglob("*.svg"), *(ROOT / "app").rglob("*.svg")]
    assert len(drawings) > 50
    for path in drawings:
        for one in ElementTree.fromstring(path.read_text("utf-8")).iter():
            name = one.tag.removeprefix("{http://www.w3.org/2000/svg}")
            assert name in SVG_NAMES, (path.name, name)
            for key, value in one.attrib.items():
                assert not key.lower().startswith("on"), (path.name, key)
                assert "href" not in key or value.startswith("#"), (path.name, value)
                assert "url(" not in value or "url(#" in value, (path.name, value)
