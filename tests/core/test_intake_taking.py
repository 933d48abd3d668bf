"""Files become pictures and specimens; views, rights and clocks for many at once."""

from dataclasses import replace
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from landmarks.changes import applied, by_document, reverse
from landmarks.collection import About, Clock, Picture, Rights, picture_of, picture_parts
from landmarks.errors import UnknownWordError
from landmarks.geometry import Point
from landmarks.intake import (
    by_name,
    by_time,
    correct_clock,
    dive_of,
    each_alone,
    files_in,
    give_rights,
    give_view,
    merge_specimens,
    move_frames,
    path_within,
    read_all,
    read_shift,
    read_zone,
    recognise,
    shift_between,
    shots_of,
    shots_of_pictures,
    split_specimen,
    take_in,
    taken_at,
)
from landmarks.picture import PictureFile
from landmarks.placing import Placing
from landmarks.sentences import text
from landmarks.specimen import (
    Determination,
    Frame,
    Label,
    Observation,
    Specimen,
    Where,
    parts_of,
    specimen_of,
)
from landmarks.storage import MemoryStore, Saved


@pytest.fixture
def new_id():
    numbers = count()
    return lambda: f"id-{next(numbers)}"


def shown(*names, folder, shade=0):
    for i, name in enumerate(names):
        Image.new("L", (6, 4), shade + i).save(folder / name)
    return read_all(files_in([folder]))[0]


def done(deed, *, store=None):
    """Do a deed in a store and return the store."""
    store = store or MemoryStore(About("c"))
    assert isinstance(store.commit(deed.change_set(id=f"deed-{store.latest()}")), Saved)
    return store


# -- taking in -------------------------------------------------------------------------------


def test_groups_become_specimens_whose_frames_show_their_pictures(tmp_path, new_id):
    found = shown("PM-1_a.png", "PM-1_b.png", "PM-2.png", folder=tmp_path)
    proposal = by_name(shots_of(found))
    intake = take_in(
        recognise(found, ()),
        proposal,
        new_id=new_id,
        path_of=lambda path: path_within(path, tmp_path),
        view="outside_of_valve",
    )
    assert [one.path for one in intake.pictures] == ["PM-1_a.png", "PM-1_b.png", "PM-2.png"]
    assert [one.label.catalogue_number for one in intake.specimens] == ["PM-1", "PM-2"]
    first = intake.specimens[0]
    assert [(one.number, one.view) for one in first.frames] == [
        (0, "outside_of_valve"),
        (1, "outside_of_valve"),
    ]
    assert [one.picture for one in first.frames] == [one.id for one in intake.pictures[:2]]
    assert text(intake.deed.sentence) == "take in 3 pictures (specimens: 2)"


def test_it_is_one_deed_and_taken_back_as_one(tmp_path, new_id):
    found = shown("a.png", "b.png", folder=tmp_path)
    intake = take_in(recognise(found, ()), each_alone(shots_of(found)), new_id=new_id)
    store = done(intake.deed)
    assert store.count() == 2
    assert len(store.documents("picture")) == 2
    back = reverse(intake.deed.change_set(id="1"), id="back", person="", at="")
    assert isinstance(store.commit(back), Saved)
    assert store.count() == 0
    assert store.load(*store.documents("picture")) == {}
    assert store.check() == ()


def test_what_is_stored_reads_back_as_it_was_meant(tmp_path, new_id):
    found = shown("a.png", folder=tmp_path)
    found = [replace(found[0], rights=Rights("Mara Quill", statement="(c)"))]
    intake = take_in(recognise(found, ()), each_alone(shots_of(found)), new_id=new_id)
    documents = by_document(intake.deed.changes)
    for document, changes in documents.items():
        parts = applied({}, changes)
        if document.kind == "picture":
            assert picture_of(document.id, parts) == intake.pictures[0]
        else:
            assert specimen_of(document.id, parts) == intake.specimens[0]


def test_the_same_content_again_is_told_and_not_doubled(tmp_path, new_id):
    found = shown("a.png", folder=tmp_path)
    there = Picture("known", "a.png", found[0].file)
    recognised = recognise(found, [there])
    assert (recognised.new, recognised.moved) == ((), ())
    assert "already" in text(recognised.again[0].sentence)
    proposal = each_alone(shots_of(found))
    assert take_in(recognised, proposal, new_id=new_id).deed.changes == ()
    intake = take_in(recognised, proposal, new_id=new_id, again=True)
    assert intake.pictures == ()
    assert intake.specimens[0].frames[0].picture == "known"


def test_the_same_content_twice_in_one_drop_is_one_picture(tmp_path, new_id):
    Image.new("L", (6, 4), 9).save(tmp_path / "a.png")
    (tmp_path / "copy of a.png").write_bytes((tmp_path / "a.png").read_bytes())
    found, _ = read_all(files_in([tmp_path]))
    recognised = recognise(found, ())
    assert len(recognised.new) == 1
    assert "a.png" in text(recognised.again[0].sentence)
    proposal = each_alone(shots_of(found))
    assert len(take_in(recognised, proposal, new_id=new_id).specimens) == 1
    both = take_in(recognised, proposal, new_id=new_id, again=True)
    assert len(both.pictures) == 1
    assert len(both.specimens) == 2
    assert len({one.frames[0].picture for one in both.specimens}) == 1


def test_a_picture_that_was_gone_and_turns_up_gets_its_new_place(tmp_path, new_id):
    found = shown("found again.png", folder=tmp_path)
    gone = Picture("known", "old/place.png", found[0].file, rights=Rights("Mara Quill"))
    recognised = recognise(
        found, [gone], exists=lambda _: False, path_of=lambda path: path.name
    )
    before, after = recognised.moved[0]
    assert (before, after) == (gone, replace(gone, path="found again.png"))
    intake = take_in(recognised, each_alone(()), new_id=new_id)
    assert [change.part for change in intake.deed.changes] == ["path"]


def test_files_that_the_proposal_leaves_out_are_not_taken_in(tmp_path, new_id):
    found = shown("a.png", "b.png", folder=tmp_path)
    proposal = each_alone(shots_of(found[:1]))
    intake = take_in(recognise(found, ()), proposal, new_id=new_id)
    assert [Path(one.path).name for one in intake.pictures] == ["a.png"]


def test_an_unknown_view_is_refused_naming_the_nearest(tmp_path, new_id):
    with pytest.raises(UnknownWordError, match="outside"):
        take_in(recognise((), ()), each_alone(()), new_id=new_id, view="outside")


# -- many at once ----------------------------------------------------------------------------


def specimens():
    return [
        Specimen("a", frames=(Frame("a1", "p", ""), Frame("a2", "q", "end", number=1))),
        Specimen("b", frames=(Frame("b1", "p", ""),)),
    ]


def test_a_selection_of_frames_is_given_one_view_in_one_deed():
    deed = give_view(specimens(), {"a1", "a2", "b1"}, "hinge_edge")
    assert sorted(one.part for one in deed.changes) == ["frame/a1", "frame/a2", "frame/b1"]
    assert all(one.after["view"] == "hinge_edge" for one in deed.changes)
    assert text(deed.sentence) == "give 3 frames the view hinge edge"
    assert give_view(specimens(), {"a2"}, "end").changes == ()
    with pytest.raises(UnknownWordError):
        give_view(specimens(), {"a1"}, "hinge")


def pictures():
    file = PictureFile("0" * 64, 1, 6, 4, captured="2024:03:12 10:41:07")
    return [
        Picture("p", "p.jpg", file, rights=Rights("Someone", "CC BY 4.0")),
        Picture("q", "q.jpg", replace(file, captured="", sha256="1" * 64)),
    ]


def test_a_selection_of_pictures_is_given_rights_in_one_deed():
    deed = give_rights(pictures(), creator="Mara Quill ", rights_holder="Port Maren Museum")
    made = {one.document.id: one.after for one in deed.changes}
    assert made["p"] == {
        "creator": "Mara Quill",
        "licence": "CC BY 4.0",
        "rights_holder": "Port Maren Museum",
    }
    assert made["q"] == {"creator": "Mara Quill", "rights_holder": "Port Maren Museum"}
    assert {one.part for one in deed.changes} == {"rights"}
    assert give_rights(pictures()).changes == ()
    cleared = give_rights(pictures()[:1], creator="", licence="")
    assert cleared.changes[0].after is None


# -- clocks ----------------------------------------------------------------------------------


def picture(captured, zone="", clock=None):
    file = PictureFile("0" * 64, 1, 6, 4, captured=captured, zone=zone)
    return Picture("p", "p.jpg", file, clock=clock or Clock())


def test_without_a_zone_the_moment_is_not_known_and_said_to_be():
    found = taken_at(picture("2024:03:12 10:41:07"))
    assert (found.utc, found.zone, found.corrected) == (None, "", False)
    assert text(found.sentence) == "2024-03-12 10:41:07, zone unknown"


def test_with_its_offset_a_time_is_a_moment():
    found = taken_at(picture("2024:03:12 10:41:07", "+11:00"))
    assert found.utc == datetime(2024, 3, 11, 23, 41, 7, tzinfo=UTC)
    assert text(found.sentence) == "2024-03-12 10:41:07, UTC+11:00"


def test_a_clock_that_was_off_is_corrected_beside_the_time_in_the_file():
    one = picture("2024:03:12 23:59:30", "+01:00", Clock(add_s=45, zone="+11:00"))
    found = taken_at(one)
    assert found.local == datetime(2024, 3, 13, 0, 0, 15)
    assert found.utc == datetime(2024, 3, 12, 13, 0, 15, tzinfo=UTC)
    assert (found.as_in_file, found.corrected) == ("2024:03:12 23:59:30", True)
    assert one.file.captured == "2024:03:12 23:59:30"


def test_a_whole_dive_is_corrected_in_one_deed_that_is_taken_back():
    deed = correct_clock(pictures(), add_s=-3600, zone="+11")
    assert {one.part for one in deed.changes} == {"clock"}
    assert deed.changes[0].after == {"add_s": -3600, "zone": "+11:00"}
    made = [replace(one, clock=Clock(add_s=-3600, zone="+11:00")) for one in pictures()]
    back = correct_clock(made, add_s=0, zone="")
    assert [one.after for one in back.changes] == [None, None]
    assert correct_clock(made, add_s=-3600).changes == ()


def test_a_dive_ends_where_the_camera_rested_and_no_correction_takes_it_apart():
    def shown(name, day_and_time, camera="Reef 5", add_s=0.0):
        file = replace(pictures()[0].file, captured=day_and_time, camera=camera)
        return replace(pictures()[0], id=name, file=file, clock=Clock(add_s))

    first = [shown(f"a{i}", f"2026:03:14 09:{i:02}:00") for i in range(0, 60, 20)]
    second = [shown(f"b{i}", f"2026:03:14 14:{i:02}:00", add_s=3600) for i in range(2)]
    other = [shown("c", "2026:03:14 09:10:00", camera="Deck 1"), shown("d", "")]
    everything = [*second, *other, *first]
    assert [one.id for one in dive_of(first[1], everything)] == ["a0", "a20", "a40"]
    assert [one.id for one in dive_of(second[1], everything)] == ["b0", "b1"]
    assert dive_of(other[1], everything) == (other[1],)
    assert dive_of(first[0], ()) == (first[0],)


def test_a_correction_is_kept_with_the_picture_and_none_is_not_written():
    corrected = picture("2024:03:12 10:41:07", clock=Clock(12.0, "-03:30"))
    assert picture_of("p", picture_parts(corrected)) == corrected
    assert "clock" not in picture_parts(picture("2024:03:12 10:41:07"))


@pytest.mark.parametrize(
    "captured",
    ["", "yesterday", "2024:13:40 10:00:00", "2024:03:12", "0000:00:00 00:00:00"],
)
def test_a_time_that_is_none_gives_none(captured):
    assert taken_at(picture(captured)) is None


@pytest.mark.parametrize("words", ["", "east", "+15:00", "+11:75", "11", "+1:2:3"])
def test_a_zone_that_is_none_is_refused(words):
    with pytest.raises(UnknownWordError, match="UTC"):
        read_zone(words)


@pytest.mark.parametrize("words", ["", "1:2:3:4", "soon", "1:", "99999999999999"])
def test_a_shift_that_is_none_is_refused(words):
    with pytest.raises(UnknownWordError, match="hours"):
        read_shift(words)


def test_a_photographed_watch_says_how_far_the_camera_was_off():
    assert shift_between("2024:03:12 10:41:07", "2024-03-12 09:40:00") == -3667
    assert shift_between("00:00:30", "23:59:50") == -40
    for words in ("half past", "25:10:00", "90", "-1:00:00"):
        with pytest.raises(UnknownWordError) as fault:
            shift_between("10:41:07", words)
        assert "no time of day" in text(fault.value.sentence)


@given(
    st.datetimes(datetime(1990, 1, 1), datetime(2090, 1, 1)), st.integers(-(10**7), 10**7)
)
def test_a_correction_and_its_opposite_cancel(moment, seconds):
    moment = moment.replace(microsecond=0)
    shifted = taken_at(picture(moment.isoformat(), clock=Clock(seconds))).local
    assert taken_at(picture(shifted.isoformat(), clock=Clock(-seconds))).local == moment


@given(st.integers(-14 * 60, 14 * 60))
def test_every_offset_reads_back(minutes):
    sign = "-" if minutes < 0 else "+"
    words = f"{sign}{abs(minutes) // 60:02}:{abs(minutes) % 60:02}"
    expected = words if minutes else "+00:00"
    assert read_zone(words) == expected


# -- after they were taken in ------------------------------------------------------------------


def outcome(deed, *specimens):
    """Return the specimens there are after a deed, by id."""
    parts = {one.id: parts_of(one) for one in specimens}
    for document, changes in by_document(deed.changes).items():
        parts[document.id] = applied(parts.get(document.id, {}), changes)
    return {name: specimen_of(name, one) for name, one in parts.items() if one}


def worked():
    """Return two specimens with frames, landmarks, observations and a name."""
    first = Specimen(
        "a",
        label=Label("PM-1", locality="Halverson Reef"),
        where=Where(region="red_sea"),
        frames=(Frame("a1", "p", "end"), Frame("a2", "q", "end", number=1)),
        placings=(
            Placing("m1", "a1", "umbo", points=(Point(1, 2),), at="1"),
            Placing("m2", "a2", "umbo", points=(Point(3, 4),), at="2"),
        ),
        observations=(
            Observation("o1", "outline", state="fan", frame="a2", at="1"),
            Observation("o2", "eyes", state="none", at="2"),
        ),
        determinations=(Determination("d1", "genus", ("tridacna",), at="3"),),
    )
    second = Specimen(
        "b",
        label=Label("PM-2", collector="Mara Quill"),
        frames=(Frame("b1", "r", "end", number=4),),
    )
    return first, second


def test_frames_go_with_what_was_placed_on_them_and_seen_in_them():
    first, second = worked()
    made = outcome(move_frames([first, second], {"a2", "b1"}, second), first, second)
    assert [one.id for one in made["a"].frames] == ["a1"]
    assert [(one.id, one.number) for one in made["b"].frames] == [("b1", 4), ("a2", 5)]
    assert [one.id for one in made["b"].placings] == ["m2"]
    assert [one.id for one in made["b"].observations] == ["o1"]
    assert [one.id for one in made["a"].observations] == ["o2"]
    assert made["a"].determinations == first.determinations


def test_a_specimen_of_which_nothing_is_left_goes_and_a_labelled_one_stays():
    bare = Specimen("a", frames=(Frame("a1", "p", ""),))
    _, second = worked()
    assert set(outcome(move_frames([bare], {"a1"}, second), bare, second)) == {"b"}
    first, _ = worked()
    made = outcome(move_frames([first], {"a1", "a2"}, second), first, second)
    assert made["a"].label == first.label


def test_a_specimen_is_split_into_two_of_the_same_place():
    first, _ = worked()
    made = outcome(split_specimen(first, {"a2"}, new_id="c"), first)
    assert [one.id for one in made["a"].frames] == ["a1"]
    assert [one.id for one in made["c"].frames] == ["a2"]
    assert made["c"].where == first.where
    assert made["c"].label == Label()
    assert split_specimen(first, {"a1", "a2"}, new_id="c").changes == ()
    assert split_specimen(first, (), new_id="c").changes == ()


def test_specimens_are_merged_and_nothing_is_lost():
    first, second = worked()
    made = outcome(merge_specimens(second, [first]), first, second)
    assert set(made) == {"b"}
    one = made["b"]
    assert [frame.id for frame in one.frames] == ["b1", "a1", "a2"]
    assert {row.id for row in one.placings} == {"m1", "m2"}
    assert {row.id for row in one.observations} == {"o1", "o2"}
    assert one.determinations == first.determinations
    assert one.label.catalogue_number == "PM-2"
    assert (one.label.locality, one.label.collector) == ("Halverson Reef", "Mara Quill")
    assert "PM-1" in one.label.remarks
    assert merge_specimens(second, [second]).changes == ()


@pytest.mark.parametrize("which", ["move", "split", "merge"])
def test_every_regrouping_is_taken_back_as_one_step(which):
    first, second = worked()
    deed = {
        "move": lambda: move_frames([first], {"a1"}, second),
        "split": lambda: split_specimen(first, {"a1"}, new_id="c"),
        "merge": lambda: merge_specimens(first, [second]),
    }[which]()
    change_set = deed.change_set(id="1")
    back = reverse(change_set, id="2", person="", at="")
    after = outcome(deed, first, second)
    parts = {name: parts_of(one) for name, one in after.items()}
    for document, changes in by_document(back.changes).items():
        parts[document.id] = applied(parts.get(document.id, {}), changes)
    assert {name: one for name, one in parts.items() if one} == {
        "a": parts_of(first),
        "b": parts_of(second),
    }


def test_pictures_of_the_collection_are_grouped_by_their_corrected_clocks():
    times = ("10:00:00", "10:00:04", "09:00:30", "09:00:33")
    made = [
        Picture(
            str(i),
            f"dive/{i}.jpg",
            PictureFile(str(i) * 64, 1, 6, 4, captured=f"2024:03:12 {time}"),
            clock=Clock(3600.0 if i > 1 else 0.0),
        )
        for i, time in enumerate(times)
    ]
    proposal = by_time(shots_of_pictures(made), 20)
    assert [one.shots for one in proposal.groups] == [("0", "1"), ("2", "3")]
    assert by_time(shots_of_pictures(made), 30).groups[0].shots == ("0", "1", "2", "3")
