"""Checking, exporting and restoring whole collections from the command line."""

import csv
import json
from contextlib import closing
from shutil import copy

import pytest

from app.cli import DONE, FAULTS, WRONG
from landmarks.changes import Change, ChangeSet, Document, difference
from landmarks.collection import person_parts, picture_parts
from landmarks.demo import FOLDER, worked_example
from landmarks.identification import compile_tables
from landmarks.sentences import Sentence
from landmarks.specimen import Label, Specimen, parts_of
from landmarks.storage import Derived, Query, Saved, open_sqlite
from landmarks.storage.whole import whole_of
from landmarks.summaries import stale_specimens, today_of
from landmarks.tables import read_tables


@pytest.fixture
def collection(tmp_path):
    """The worked example in a folder of its own, its pictures beside it."""
    folder = tmp_path / "museum"
    folder.mkdir()
    example, path = worked_example(), folder / "museum.hingeline"
    parts = {
        **{Document("person", one.id): person_parts(one) for one in example.people},
        **{Document("picture", one.id): picture_parts(one) for one in example.pictures},
        **{Document("specimen", one.id): parts_of(one) for one in example.specimens},
    }
    changes = tuple(c for one, made in parts.items() for c in difference(one, {}, made))
    with closing(open_sqlite(path, create=True, about=example.about)) as store:
        words = Sentence("plain", {"words": "take the example in"})
        assert isinstance(store.commit(ChangeSet("first", words, changes)), Saved)
    for one in example.pictures:
        copy(FOLDER / one.path, folder / one.path)
    return path


def rows_of(path):
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file, strict=True))


# -- check ---------------------------------------------------------------------------------


def test_a_moved_picture_is_found_by_content_and_noted_as_a_step(run, collection, tmp_path):
    picture = worked_example().pictures[0]
    elsewhere = tmp_path / "attic"
    elsewhere.mkdir()
    (collection.parent / picture.path).rename(elsewhere / "another name.jpg")
    code, out, _ = run("check", collection)
    assert code == FAULTS
    assert "is not where it was" in out
    before = collection.read_bytes()
    code, out, _ = run("check", collection, "--pictures", elsewhere)
    assert code == FAULTS
    assert "another name.jpg" in out
    assert collection.read_bytes() == before
    code, out, _ = run("check", collection, "--pictures", elsewhere, "--mend")
    assert code == DONE
    assert "mended" in out
    assert run("check", collection)[0] == DONE
    with closing(open_sqlite(collection)) as store:
        past = store.history(limit=1)[0].change_set
        assert str(past.deed) == "note where 1 picture lies now"


def test_a_derived_value_that_is_not_what_follows_is_named_and_mended(run, collection):
    fresh = run("check", collection)[1]
    assert "nothing was derived of" in fresh
    assert "last derived" not in fresh
    assert run("check", collection, "--mend")[0] == DONE
    specimen = worked_example().specimens[0]
    document = Document("specimen", specimen.id)
    with closing(open_sqlite(collection)) as store:
        (row,) = (one for one in store.list() if one.specimen == specimen.id)
        wrong = Derived(document, row.stamp, {"tridacna_gigas": 1.0}, {"steps": []})
        store.keep_cache(wrong)
    code, out, _ = run("check", collection)
    assert code == FAULTS
    (line,) = (one for one in out.splitlines() if specimen.label.catalogue_number in one)
    for word in ("candidates", "the five steps", "shell length", "certainty"):
        assert word in line.lower()
    assert run("check", collection, "--mend")[0] == DONE
    said = json.loads(run("check", collection, "--json")[1])
    assert (said["faults"], said["stale"]) == ([], 0)
    guide = compile_tables(read_tables())
    with closing(open_sqlite(collection, read_only=True)) as store:
        assert stale_specimens(store, today_of(store, guide)) == ()


def test_loose_ends_are_told_and_are_no_fault(run, collection):
    specimen = worked_example().specimens[0]
    observed = specimen.observations[0]
    document = Document("specimen", specimen.id)
    parts = parts_of(specimen)
    name = f"observation/{observed.id}"
    after = {**parts[name], "frame": "gone", "person": "nobody"}
    with closing(open_sqlite(collection)) as store:
        change = Change(document, name, parts[name], after)
        store.commit(ChangeSet("loose", Sentence("plain", {"words": ""}), (change,)))
    code, out, _ = run("check", collection)
    assert code == DONE
    assert "1 observation was made in a frame that was removed" in out
    assert "1 entry is by a person" in out


def test_what_cannot_be_read_is_named_and_the_rest_is_looked_through(run, collection):
    example = worked_example()
    picture, specimen = example.pictures[0], example.specimens[-1]
    file = picture_parts(picture)["file"]
    label = parts_of(specimen)["label"]
    changes = (
        Change(Document("picture", picture.id), "file", file, {**file, "width": "wide"}),
        Change(Document("specimen", specimen.id), "label", label, {"locality": 3}),
    )
    with closing(open_sqlite(collection)) as store:
        words = Sentence("plain", {"words": "break it"})
        assert isinstance(store.commit(ChangeSet("break", words, changes)), Saved)
    code, out, _ = run("check", collection, "--json")
    said = json.loads(out)
    assert code == FAULTS
    assert len([one for one in said["faults"] if "cannot be read" in one]) == 2
    assert said["specimens"] == len(example.specimens)
    assert said["recomputed"] == len(example.specimens) - 1
    assert 0 < said["stale"] < len(example.specimens)


# -- export and restore --------------------------------------------------------------------


def test_a_collection_goes_to_json_and_back_with_its_history(run, collection, tmp_path):
    folder, back = tmp_path / "json", tmp_path / "back.hingeline"
    code, out, _ = run("export", collection, "--to", "json", folder)
    assert (code, "written to" in out) == (DONE, True)
    assert run("restore", folder, back)[0] == DONE
    with (
        closing(open_sqlite(collection, read_only=True)) as old,
        closing(open_sqlite(back)) as new,
    ):
        assert whole_of(new) == whole_of(old)
        assert new.history() == old.history()


def test_a_record_of_an_export_is_what_identify_reads(run, collection, tmp_path):
    run("export", collection, "--to", "json", tmp_path / "json")
    record = tmp_path / "json" / "specimens" / f"{worked_example().specimens[0].id}.json"
    code, out, _ = run("identify", record)
    assert code == DONE
    assert "Candidates" in out


def test_the_tables_hold_every_measure_with_doubt_unit_and_definition(
    run, collection, tmp_path
):
    assert run("export", collection, "--to", "csv", tmp_path / "csv")[0] == DONE
    measures = rows_of(tmp_path / "csv" / "measures.csv")
    with_value = [row for row in measures if row["value"]]
    assert len(with_value) > 20
    for row in with_value:
        assert float(row["standard_uncertainty"]) >= 0
        assert row["unit"]
        assert row["definition"]
    assert all(row["missing"] for row in measures if not row["value"])
    described = {
        (row["table"], row["column"]) for row in rows_of(tmp_path / "csv/columns.csv")
    }
    for name in ("specimens", "measures", "scores", "candidates", "names"):
        for column in rows_of(tmp_path / "csv" / f"{name}.csv")[0]:
            assert (f"{name}.csv", column) in described
    listed = rows_of(tmp_path / "csv" / "specimens.csv")
    assert len(listed) == len(worked_example().specimens)


def test_specimens_of_which_nothing_was_seen_have_no_candidates(run, collection, tmp_path):
    alone = Specimen("nobody-looked", label=Label("HR-0999"))
    document = Document("specimen", alone.id)
    changes = tuple(difference(document, {}, parts_of(alone)))
    with closing(open_sqlite(collection)) as store:
        words = Sentence("plain", {"words": "one more"})
        assert isinstance(store.commit(ChangeSet("more", words, changes)), Saved)
    assert run("export", collection, "--to", "csv", tmp_path / "csv")[0] == DONE
    listed = {row["specimen_id"] for row in rows_of(tmp_path / "csv" / "specimens.csv")}
    ranked = {row["specimen_id"] for row in rows_of(tmp_path / "csv" / "candidates.csv")}
    assert ranked
    assert (alone.id in listed, alone.id in ranked) == (True, False)
    read_me = (tmp_path / "csv" / "README.txt").read_text(encoding="utf-8")
    assert "nothing was seen" in read_me


def test_places_of_living_wild_animals_are_coarse_unless_asked(run, collection, tmp_path):
    example = worked_example()
    living = next(
        one
        for one in example.specimens
        if any(frame.view.startswith("living") for frame in one.frames)
    )
    picture = next(one for one in example.pictures if one.id == living.frames[0].picture)
    old = picture_parts(picture)["file"]
    label = parts_of(living)["label"]
    changes = (
        Change(
            Document("picture", picture.id),
            "file",
            old,
            {**old, "latitude": -9.43217, "longitude": 160.05678},
        ),
        Change(
            Document("specimen", living.id),
            "label",
            label,
            {**label, "locality": "third bommie from the jetty"},
        ),
    )
    with closing(open_sqlite(collection)) as store:
        words = Sentence("plain", {"words": "place it"})
        assert isinstance(store.commit(ChangeSet("place", words, changes)), Saved)
    code, out, _ = run("export", collection, "--to", "csv", tmp_path / "coarse")
    assert code == DONE
    assert "coarsened" in out
    everything = b"".join(one.read_bytes() for one in (tmp_path / "coarse").iterdir())
    for told in (b"9.43", b"160.05", b"bommie"):
        assert told not in everything
    (row,) = (
        one
        for one in rows_of(tmp_path / "coarse" / "specimens.csv")
        if one["specimen_id"] == living.id
    )
    assert (row["latitude"], row["longitude"]) == ("-9.4", "160.1")
    assert row["place"] == "coarsened"
    run("export", collection, "--to", "csv", tmp_path / "exact", "--exact-places")
    exact = (tmp_path / "exact" / "specimens.csv").read_text(encoding="utf-8-sig")
    assert "-9.43217" in exact
    assert "bommie" in exact


def test_where_picks_by_what_follows_today_even_if_nothing_was_kept(
    run, collection, tmp_path
):
    where = ("--where", "shell_length > 120", "--where", "view is outside_of_valve")
    code, _, _ = run("export", collection, "--to", "csv", tmp_path / "some", *where)
    assert code == DONE
    chosen = {row["specimen_id"] for row in rows_of(tmp_path / "some" / "specimens.csv")}
    long = {
        row["specimen_id"]
        for row in rows_of(tmp_path / "some" / "measures.csv")
        if row["measure"] == "shell_length" and float(row["value"]) > 120
    }
    assert chosen == long != set()
    run("check", collection, "--mend")
    with closing(open_sqlite(collection, read_only=True)) as store:
        from landmarks.finding import parse_filter

        filters = tuple(map(parse_filter, where[1::2]))
        assert {row.specimen for row in store.list(Query(filters=filters))} == chosen


@pytest.mark.parametrize("form", ["csv", "json"])
def test_nothing_is_overwritten_and_the_collection_stays_as_it_was(
    run, collection, tmp_path, form
):
    before = collection.read_bytes()
    out = tmp_path / "out"
    assert run("export", collection, "--to", form, out)[0] == DONE
    first = {one.name: one.read_bytes() for one in out.rglob("*") if one.is_file()}
    code, _, err = run("export", collection, "--to", form, out)
    assert code == WRONG
    assert "nothing was overwritten" in err
    assert run("export", collection, "--to", form, tmp_path / "again")[0] == DONE
    again = (tmp_path / "again").rglob("*")
    assert {one.name: one.read_bytes() for one in again if one.is_file()} == first
    assert collection.read_bytes() == before
    if form == "json":
        code, _, err = run("restore", out, collection)
        assert (code, "nothing was overwritten" in err) == (WRONG, True)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--where", "shel_length > 3"), "the nearest is “shell_length”"),
        (("--where", "long ones"), "is no condition"),
    ],
)
def test_a_condition_that_cannot_be_read_is_one_sentence(
    run, collection, tmp_path, words, said
):
    code, _, err = run("export", collection, "--to", "csv", tmp_path / "o", *words)
    assert code == WRONG
    assert said in err
    assert not (tmp_path / "o").exists()
