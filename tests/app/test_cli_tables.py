"""The commands about species tables: in words, as JSON, with their exit codes."""

import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from app.cli import DONE, FAULTS, WRONG
from landmarks.changes import ChangeSet, Document, difference
from landmarks.demo import worked_example
from landmarks.sentences import Sentence
from landmarks.specimen import Determination, Label, Observation, Specimen, parts_of
from landmarks.storage import Saved, open_sqlite
from landmarks.tables import SHIPPED

NOAE = "tridacna_noae"


@pytest.fixture
def folder(tmp_path):
    """Return a copy of the shipped tables to change."""
    return Path(shutil.copytree(SHIPPED, tmp_path / "tables"))


def change(folder, file, find, put):
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert find in text
    path.write_text(text.replace(find, put, 1), encoding="utf-8")


def specimen(number, taxon, *, independent=True, **states):
    seen = tuple(
        Observation(f"{number}-{key}", key, state=state)
        for key, state in states.items()
        if isinstance(state, str)
    )
    taken = tuple(
        Observation(f"{number}-{key}", key, value=value, unit=unit, method="calliper")
        for key, (value, unit) in (
            (key, value) for key, value in states.items() if not isinstance(value, str)
        )
    )
    named = Determination(f"{number}-name", "species", (taxon,), independent=independent)
    return Specimen(
        f"specimen-{number}",
        Label(catalogue_number=f"PMM {number}"),
        observations=(*seen, *taken),
        determinations=(named,),
    )


@pytest.fixture
def collection(tmp_path):
    """Return a collection file with these specimens."""

    def collection(*specimens):
        path = tmp_path / "drawer.hingeline"
        store = open_sqlite(path, create=True, about=worked_example().about)
        changes = tuple(
            change
            for one in specimens
            for change in difference(Document("specimen", one.id), {}, parts_of(one))
        )
        words = Sentence("plain", {"words": "add specimens"})
        assert isinstance(store.commit(ChangeSet("first", words, changes)), Saved)
        store.close()
        return path

    return collection


# -- check ---------------------------------------------------------------------------------


def test_check_of_the_shipped_tables_finds_no_fault(run):
    code, out, _ = run("tables", "check")
    assert code == DONE
    assert out.startswith("No fault found: 12 taxa")
    code, out, _ = run("tables", "check", "--json")
    assert (code, json.loads(out)["faults"]) == (DONE, [])


def test_check_names_every_fault_with_file_row_and_remedy(run, folder):
    change(folder, "cells.csv", ",smooth,", ",smoth,")
    change(folder, "ranges.csv", "red_sea", "red_see")
    code, out, _ = run("tables", "check", folder)
    assert code == FAULTS
    assert (
        "cells.csv, row 2: “smoth” in “state” is not known: perhaps “smooth” is meant."
        in out
    )
    assert out.splitlines()[-1] == "2 faults."
    code, out, _ = run("tables", "check", folder, "--json")
    faults = json.loads(out)["faults"]
    assert code == FAULTS
    assert {one["file"]: one["row"] for one in faults}.keys() == {"cells.csv", "ranges.csv"}
    assert next(one["row"] for one in faults if one["file"] == "cells.csv") == 2
    assert all("perhaps" in one["text"] for one in faults)


def test_check_of_no_folder_says_what_to_choose(run, tmp_path):
    code, _, err = run("tables", "check", tmp_path / "nowhere")
    assert code == WRONG
    assert "choose the folder that holds taxa.csv" in err


# -- diff ----------------------------------------------------------------------------------


def test_diff_names_the_cells_and_the_records_that_change_their_answer(
    run, folder, collection
):
    mantled = {
        "incurrent_margin": "small_simple",
        "mantle_extent": "beyond",
        "eyes": "sparse",
        "ringed_spots": "teardrop",
        "scutes": "all_over",
        "scute_spacing": "crowded",
        "burrowing": "partial",
        "outline": "elongate",
        "scute_size": "low",
        "hinge_ratio": (0.33, "ratio"),
        "shell_length": (120.0, "mm"),
    }
    path = collection(
        specimen(1, NOAE, **mantled), specimen(2, NOAE, mantle_extent="within")
    )
    change(
        folder,
        "cells.csv",
        "tridacna_noae,ringed_spots,teardrop,usually",
        "tridacna_noae,ringed_spots,teardrop,never",
    )
    change(
        folder,
        "cells.csv",
        "tridacna_noae,ringed_spots,teardrop,often",
        "tridacna_noae,ringed_spots,teardrop,never",
    )
    code, out, _ = run("tables", "diff", "shipped", folder, path)
    assert code == DONE
    assert "tridacna_noae, ringed_spots:" in out
    assert "− teardrop usually [su_2014, read, row" in out
    assert "+ teardrop never [su_2014, read, row" in out
    assert "2 records, of which 1 would get another answer." in out
    assert "PMM 1: Tridacna noae (Röding, 1798) sp. inc. →" in out
    code, out, _ = run("tables", "diff", "shipped", folder, path, "--json")
    said = json.loads(out)
    assert [one["name"] for one in said["records"]] == ["PMM 1"]
    assert said["records"][0]["before"]["taxa"] == [NOAE]
    assert said["of_records"] == 2
    assert [(one["taxon"], one["character"]) for one in said["cells"]] == [
        (NOAE, "ringed_spots")
    ]


def test_diff_of_the_same_tables_and_of_other_files(run, folder):
    assert run("tables", "diff", "shipped", folder)[1] == "The two tables say the same.\n"
    change(folder, "taxa.csv", "Linnaeus", "Linné")
    assert "Other rows differ: taxa.csv" in run("tables", "diff", "shipped", folder)[1]
    code, out, _ = run("tables", "diff", "shipped", folder, "--json")
    assert (code, json.loads(out)["files"]) == (DONE, ["taxa.csv"])


def test_diff_goes_on_where_one_table_lacks_what_was_seen(run, folder, collection):
    path = collection(specimen(1, NOAE, eyes="sparse", ringed_spots="teardrop"))
    for file in ("cells.csv", "states.csv", "characters.csv", "conditions.csv"):
        rows = (folder / file).read_text(encoding="utf-8").splitlines()
        kept = [one for one in rows if not (",eyes," in one or one.startswith("eyes,"))]
        (folder / file).write_text("\n".join(kept) + "\n", encoding="utf-8")
    pairs = (folder / "pairs.csv").read_text(encoding="utf-8").replace("; eyes", "")
    (folder / "pairs.csv").write_text(pairs, encoding="utf-8")
    code, out, err = run("tables", "diff", "shipped", folder, path)
    assert (code, err) == (DONE, "")
    assert "1 record, of which" in out


# -- compare -------------------------------------------------------------------------------


def drawer(n, independent=True):
    return [
        specimen(
            i,
            NOAE,
            independent=independent,
            height_ratio=(0.70 + 0.005 * i, "ratio"),
            eyes="dense_row",
        )
        for i in range(n)
    ]


def test_compare_puts_own_specimens_beside_the_cells_and_proposes(run, collection):
    path = collection(
        *drawer(21),
        *[replace(one, id=f"b{one.id}") for one in drawer(3, independent=False)],
    )
    code, out, _ = run("tables", "compare", path)
    assert code == DONE
    assert "21 specimens of 24 were named to the species without this program." in out
    assert "Tridacna noae, Height / length: 0.75 (0.705 to 0.795), of 21 specimens." in out
    assert "0.48 to 0.65, typically 0.55 [su_2014, read, row" in out
    assert "+ 0.705 to 0.795, typically 0.75 [proposed from own_specimens]" in out
    code, out, _ = run("tables", "compare", path, "--json")
    rows = {one["character"]: one for one in json.loads(out)["rows"]}
    assert (rows["height_ratio"]["n"], rows["height_ratio"]["few"]) == (21, False)
    assert rows["height_ratio"]["median"] == pytest.approx(0.75)
    assert rows["eyes"]["counts"]["dense_row"] == 21
    assert rows["eyes"]["proposal"][0]["state"] in ("sparse", "dense_row")


def test_compare_warns_below_ten_specimens(run, collection):
    code, out, _ = run("tables", "compare", collection(*drawer(9)))
    assert code == DONE
    assert "9 specimens are too few to change them" in out


# -- report --------------------------------------------------------------------------------


def test_report_writes_words_numbers_and_plots(run, tmp_path):
    code, out, _ = run("tables", "report", "--n", 150, "--out", tmp_path / "new" / "report")
    assert code == DONE
    assert "This is self-consistency, not accuracy" in out
    assert "accuracy" not in out.replace("not accuracy", "")
    assert sorted(one.name for one in (tmp_path / "new" / "report").iterdir()) == [
        "self-consistency-by-characters.png",
        "self-consistency-by-views.png",
        "self-consistency-calibration.png",
        "self-consistency-confusion-moved.png",
        "self-consistency-confusion.png",
        "self-consistency.md",
    ]
    code, out, _ = run("tables", "report", "--n", 150, "--json")
    clean, moved = json.loads(out)["trials"]
    assert (clean["moved"], moved["moved"]) == (0.0, 0.1)
    assert sum(map(sum, clean["confusion"])) == clean["scores"]["n"] == 150


def test_report_into_a_file_is_refused_with_a_sentence(run, tmp_path):
    taken = tmp_path / "taken"
    taken.write_text("")
    code, _, err = run("tables", "report", "--n", 20, "--out", taken)
    assert code == WRONG
    assert "choose another folder" in err


@pytest.mark.parametrize("words", [("tables",), ("tables", "report", "--n", "0")])
def test_wrong_call_is_refused(run, words):
    code, _, err = run(*words)
    assert code == WRONG
    assert "usage:" in err
