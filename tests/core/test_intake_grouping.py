"""Pictures proposed to be of one animal, and what a person makes of the proposal."""

import random
from itertools import pairwise
from statistics import mean

import pytest
from hypothesis import given
from hypothesis import strategies as st

from landmarks.errors import HingelineError
from landmarks.intake import (
    Shot,
    by_labels,
    by_name,
    by_time,
    each_alone,
    keep_by_hand,
    merge,
    move,
    number_groups,
    split,
    split_before,
)
from landmarks.intake.naming import named_of
from landmarks.intake.spacing import USUAL_GAP_S, spacing_of
from landmarks.sentences import text


def at(*seconds, camera=""):
    return [
        Shot(f"{camera}{i}", f"P{i:04}.jpg", "", float(one), camera)
        for i, one in enumerate(seconds)
    ]


def named(*names, folder=""):
    return [Shot(f"{folder}/{name}", name, folder) for name in names]


def groups(proposal):
    return [list(one.shots) for one in proposal.groups]


def files(proposal):
    return [[key.rpartition("/")[2] for key in one.shots] for one in proposal.groups]


# -- by time ---------------------------------------------------------------------------------


def test_the_gaps_themselves_say_where_an_animal_ends():
    proposal = by_time(at(0, 3, 8, 70, 74, 140, 141, 145, 149))
    assert groups(proposal) == [["0", "1", "2"], ["3", "4"], ["5", "6", "7", "8"]]
    assert 5 < proposal.gap_s < 62
    assert all(one.certainty > 0.8 for one in proposal.groups)
    assert text(proposal.why).endswith("s.")


def test_a_break_of_hours_does_not_hide_the_gaps_of_a_minute():
    seconds = [0, 4, 60, 63, 65, 130, 135]
    proposal = by_time(at(*seconds, *(20_000 + one for one in seconds)))
    assert [len(one.shots) for one in proposal.groups] == [2, 3, 2] * 2


def test_gaps_that_do_not_fall_in_two_kinds_give_the_usual_one_and_little_certainty():
    proposal = by_time(at(0, 10, 21, 31, 42, 130, 141))
    even = by_time(at(0, 10, 21, 31, 42))
    assert even.gap_s == USUAL_GAP_S
    assert len(even.groups) == 1
    assert all(one.certainty <= 0.5 for one in even.groups)
    assert len(proposal.groups) == 2


def test_a_clock_that_stood_still_makes_no_animal_sure():
    told = [0, 4, 60, 63, 65, 130, 135]
    stuck = by_time(at(*told, *(250 for _ in range(22)), 400, 404))
    assert [len(one.shots) for one in stuck.groups] == [2, 3, 2, 22, 2]
    found = stuck.groups[3]
    assert found.certainty <= 0.1
    assert "22 pictures" in text(found.why)
    assert "clock" in text(found.why)
    # Five of one second are a burst.
    burst = by_time(at(*told, *(250 for _ in range(5)), 400, 404))
    assert burst.groups[3].certainty > 0.8


def test_a_picture_alone_is_no_surer_than_the_gaps_beside_it():
    proposal = by_time(at(0, 5, 60, 90, 150, 156, 400), 25)
    near, far = proposal.groups[1], proposal.groups[-1]
    assert near.shots == ("2",)
    assert near.certainty < 0.3, "thirty seconds are hardly more than twenty-five"
    assert far.certainty > 0.8


def test_a_person_sets_the_gap():
    shots = at(0, 10, 20, 100, 110)
    assert len(by_time(shots, 5).groups) == 5
    assert len(by_time(shots, 10).groups) == 2  # as long as the gap is not beyond it
    assert len(by_time(shots, 1000).groups) == 1


@pytest.mark.parametrize("gap", [0, -3, float("nan"), float("inf")])
def test_a_gap_that_is_none_is_refused(gap):
    with pytest.raises(HingelineError) as fault:
        by_time(at(0, 10), gap)
    assert "seconds" in text(fault.value.sentence)


def test_each_camera_has_its_own_clock():
    one, other = at(0, 5, 100, 104, camera="a"), at(3, 51, 98, camera="b")
    proposal = by_time([*one, *other], 20)
    assert groups(proposal) == [["a0", "a1"], ["b0"], ["b1"], ["b2"], ["a2", "a3"]]


def test_pictures_without_a_time_stand_alone_at_the_end():
    shots = [*at(0, 4), Shot("x", "x.jpg"), Shot("y", "y.jpg")]
    proposal = by_time(shots)
    assert groups(proposal)[-2:] == [["x"], ["y"]]
    assert proposal.groups[-1].why.key == "intake.why_no_time"


def test_nothing_gives_nothing():
    for propose in (by_time, by_name, each_alone):
        assert propose([]).groups == ()


def test_a_made_up_dive_is_sorted_into_its_animals():
    """300 dives with bursts of 1 to 20 s and swims of 40 to 400 s, fixed seed.

    Not a published rate: the kind of dive that the feature is for.
    """
    draw, right = random.Random(11), []
    for _ in range(300):
        now, times, border = 0.0, [], []
        for animal in range(draw.randint(8, 25)):
            now += draw.uniform(40, 400)
            for _ in range(draw.randint(2, 9)):
                now += draw.uniform(1, 20)
                times.append(round(now))
                border.append(animal)
        proposal = by_time(at(*times))
        found = [one.id for one in proposal.groups for _ in one.shots]
        pairs = list(
            zip(
                pairwise(border),
                pairwise(found),
                strict=True,
            )
        )
        right.append(mean((a == b) == (c == d) for (a, b), (c, d) in pairs))
    assert mean(right) > 0.97


@given(st.lists(st.integers(0, 100_000), max_size=40))
def test_every_gap_inside_is_at_most_the_border_and_every_one_between_above(seconds):
    proposal = by_time(at(*seconds))
    when = {str(i): one for i, one in enumerate(seconds)}
    for one in proposal.groups:
        inside = [when[key] for key in one.shots]
        assert all(b - a <= proposal.gap_s for a, b in pairwise(inside))
        assert 0 <= one.certainty <= 1
    ends = [(when[one.shots[0]], when[one.shots[-1]]) for one in proposal.groups]
    for (_, end), (begin, _) in pairwise(ends):
        assert begin - end > proposal.gap_s


@given(st.lists(st.floats(0, 1e6), max_size=30), st.floats(1.5, 20))
def test_the_border_does_not_care_in_which_order_the_gaps_come(gaps, factor):
    assert spacing_of(gaps) == spacing_of(sorted(gaps, reverse=True))


# -- by name ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("PM-1042_a.jpg", "PM-1042"),
        ("PM-1042 (2).jpg", "PM-1042"),
        ("PM-1042-inside.jpg", "PM-1042"),
        ("PM-1042_left_inside_2.jpg", "PM-1042"),
        ("PM-1042b.tif", "PM-1042"),
        ("PM-1042.jpg", "PM-1042"),
        ("PM-12.jpg", "PM-12"),  # a counter that leaves no figure is a number
        ("clam_a.jpg", "clam_a"),
        ("1042-3.jpg", "1042"),
        ("IMG_1042 (2).JPG", "IMG_1042"),
        ("PM 1042 copy.jpg", "PM 1042"),
        ("2024-03-12_7.jpg", "2024-03-12_7"),  # a day is no animal
        ("2024-03-12 clam 3_a.jpg", "2024-03-12 clam 3"),
        ("PM-1042-1_a.jpg", "PM-1042-1"),
        ("no suffix 7", "no suffix 7"),
        ("", ""),
        (".jpg", ".jpg"),
    ],
)
def test_a_stem_is_what_remains_without_counters_letters_and_words_of_views(name, stem):
    assert named_of(name).stem == stem


@pytest.mark.parametrize(
    ("name", "by_camera"),
    [("IMG_1042.JPG", True), ("_XYZ1234.jpg", True), ("20240312_104107.jpg", True),
     ("IMG_20240312_104107.jpg", True), ("2024-03-12_7.jpg", True), ("PM-1042.jpg", False),
     ("1042.jpg", False), ("Halverson 3-1.jpg", False)],
)  # fmt: skip
def test_names_that_a_camera_gave_are_known(name, by_camera):
    assert named_of(name).by_camera is by_camera


def test_names_with_one_stem_belong_together_and_give_a_number():
    proposal = by_name(
        named("PM-1042_b.jpg", "PM-1042.jpg", "PM-1042 (2).jpg", "PM-1043.jpg", "PM-12.jpg",
              "PM-13.jpg")
    )  # fmt: skip
    assert files(proposal) == [
        ["PM-1042 (2).jpg", "PM-1042.jpg", "PM-1042_b.jpg"],
        ["PM-1043.jpg"],
        ["PM-12.jpg"],
        ["PM-13.jpg"],
    ]
    assert [one.number for one in proposal.groups] == [
        "PM-1042",
        "PM-1043",
        "PM-12",
        "PM-13",
    ]


def test_same_stems_in_two_folders_are_two_animals():
    shots = [*named("3_a.jpg", "3_b.jpg", folder="reef"), *named("3_a.jpg", folder="wall")]
    assert len(by_name(shots).groups) == 2


def test_where_a_camera_gave_the_names_small_folders_are_animals():
    shots = [
        *named("IMG_1042.JPG", "IMG_1043.JPG", folder="dive/clam 1"),
        *named("IMG_1050.JPG", folder="dive/clam 2"),
    ]
    proposal = by_name(shots)
    assert files(proposal) == [["IMG_1042.JPG", "IMG_1043.JPG"], ["IMG_1050.JPG"]]
    assert "clam 1" in text(proposal.groups[0].why)
    assert proposal.groups[0].number == ""
    alone = by_name(named("IMG_1042.JPG", "IMG_1043.JPG", folder="dive"))
    assert len(alone.groups) == 2


# -- by labels -------------------------------------------------------------------------------


def test_a_label_table_sorts_by_file_and_by_number():
    shots = named("IMG_0001.JPG", "img_0002.jpg", "PM-7_a.jpg", "PM 7 (2).jpg", "other.jpg")
    told = {"img_0001.jpg": "PM-5", "IMG_0002": "PM-5", "PM-7": "PM-7"}
    proposal = by_labels(shots, told)
    assert files(proposal) == [
        ["IMG_0001.JPG", "img_0002.jpg"],
        ["PM-7_a.jpg", "PM 7 (2).jpg"],
        ["other.jpg"],
    ]
    assert [one.number for one in proposal.groups] == ["PM-5", "PM-7", ""]
    assert proposal.groups[-1].why.key == "intake.why_no_label"


# -- by hand ---------------------------------------------------------------------------------


@pytest.fixture
def proposal():
    return by_time(at(0, 3, 100, 104, 300, 303), 50)


def test_groups_are_merged(proposal):
    made = merge(proposal, 0, 2)
    assert groups(made) == [["0", "1", "4", "5"], ["2", "3"]]
    assert (made.groups[0].certainty, made.groups[0].why.key) == (1, "intake.why_by_hand")
    assert merge(proposal, 1) == proposal


def test_a_group_is_split(proposal):
    made = split(proposal, ["1"])
    assert groups(made) == [["0"], ["1"], ["2", "3"], ["4", "5"]]
    assert len({one.id for one in made.groups}) == 4
    assert groups(split_before(proposal, "3")) == [["0", "1"], ["2"], ["3"], ["4", "5"]]
    assert split_before(proposal, "2") == proposal


def test_pictures_are_moved_between_groups_and_within_one(proposal):
    assert groups(move(proposal, ["1"], 1)) == [["0"], ["2", "3", "1"], ["4", "5"]]
    assert groups(move(proposal, ["5"], 0, before="1")) == [
        ["0", "5", "1"],
        ["2", "3"],
        ["4"],
    ]
    assert groups(move(proposal, ["0", "1"], 2)) == [["2", "3"], ["4", "5", "0", "1"]]
    assert groups(move(proposal, ["1"], 0, before="0"))[0] == ["1", "0"]
    assert move(proposal, ["nobody"], 0) == proposal
    assert move(proposal, ["1"], 99) == proposal


def test_a_number_is_given_to_a_group_and_survives_merging(proposal):
    made = number_groups(proposal, {1: " PM-5 "})
    assert made.group(1).number == "PM-5"
    assert merge(made, 0, 1).groups[0].number == "PM-5"


def test_numbers_that_a_person_gave_stay_with_their_pictures_when_all_is_sorted_anew():
    shots = at(0, 3, 60, 64, 120, 122, 126)
    before = by_time(shots)
    numbered = number_groups(before, {0: "PM-1", 2: "PM-7"})
    assert number_groups(before, {0: ""}) is before, "nothing was changed"
    for found in (by_time(shots, 500), by_time(shots, 1), each_alone(shots)):
        made = keep_by_hand(found, numbered)
        told = {one.number: one.shots for one in made.groups if one.number}
        assert told == {"PM-1": ("0", "1"), "PM-7": ("4", "5", "6")}
        assert sorted(made.shots) == sorted(before.shots)
        assert [one.id for one in made.groups] == list(range(len(made.groups)))
    assert groups(made) == [["0", "1"], ["2"], ["3"], ["4", "5", "6"]], "in their order"
    # What a name or a label said is proposed anew; a picture that is gone stays away.
    assert keep_by_hand(by_time(shots), by_labels(shots, {"p0000.jpg": "A"})) == before
    gone = keep_by_hand(each_alone(shots[1:]), numbered)
    assert groups(gone)[0] == ["1"]


@given(st.data())
def test_whatever_is_done_no_picture_is_lost_or_doubled(data):
    shots = at(*sorted(data.draw(st.lists(st.integers(0, 900), min_size=1, max_size=12))))
    proposal = by_time(shots)
    keys = sorted(one.key for one in shots)
    for _ in range(data.draw(st.integers(1, 8))):
        ids = [one.id for one in proposal.groups]
        some = data.draw(st.lists(st.sampled_from(keys), max_size=4))
        match data.draw(st.sampled_from(("merge", "split", "before", "move"))):
            case "merge":
                proposal = merge(proposal, *data.draw(st.lists(st.sampled_from(ids))))
            case "split":
                proposal = split(proposal, some)
            case "before":
                proposal = split_before(proposal, data.draw(st.sampled_from(keys)))
            case "move":
                target = data.draw(st.sampled_from(ids))
                proposal = move(proposal, some, target, data.draw(st.sampled_from(keys)))
        assert sorted(proposal.shots) == keys
        assert all(one.shots for one in proposal.groups)
        assert len({one.id for one in proposal.groups}) == len(proposal.groups)
