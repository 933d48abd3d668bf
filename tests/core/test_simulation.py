"""Specimens made from the tables, apart from the reasoning, and what is said of their trial."""

from __future__ import annotations

import ast
from pathlib import Path
from random import Random
from statistics import mean

import pytest
from pytest import approx

import landmarks.simulation
from landmarks.identification import compile_tables, conclude
from landmarks.observations import Circumstances, Hidden, Scored, Taken
from landmarks.shares import wilson
from landmarks.simulation import (
    brier,
    calibration,
    log_score,
    make_world,
    moved_tables,
    simulate,
    try_out,
)
from landmarks.simulation.drawing import draw
from landmarks.simulation.worlds import Numbers
from landmarks.tables import View, read_tables
from tests.core.guides import measured, number, often, regions, scored, size_rule, tables

TABLES = read_tables()
GUIDE = compile_tables(TABLES)
MANY = simulate(TABLES, 1500, 11)


def small(*characters, cells, **more):
    return tables("a_one a_two", list(characters), list(cells), **more)


# -- apart from the reasoning --------------------------------------------------------------


@pytest.mark.parametrize("module", ["worlds", "drawing", "scoring"])
def test_specimens_are_made_without_the_reasoning(module):
    path = Path(landmarks.simulation.__file__).with_name(f"{module}.py")
    imported = [
        node.module or ""
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom)
    ]
    assert not [one for one in imported if "identification" in one or "trial" in one]


def test_the_same_seed_makes_the_same_specimens():
    assert simulate(TABLES, 30, 3) == simulate(TABLES, 30, 3)
    assert simulate(TABLES, 30, 3) != simulate(TABLES, 30, 4)


def test_all_taxa_are_drawn_and_every_record_can_be_reasoned_from():
    assert {one.taxon for one in MANY} == set(GUIDE.taxa)
    for one in MANY[:200]:
        assert sum(conclude(GUIDE, one.seen, one.circumstances).probabilities) == approx(1)


# -- what a world is -----------------------------------------------------------------------


def test_read_cells_hold_in_every_world_and_remembered_ones_in_half_of_them():
    colour = scored("colour", "white", "red", confusion=0.0)
    own = small(
        colour,
        cells=[
            often("a_one", "colour", "white", 1.0),
            often("a_two", "colour", "red", 1.0, evidence="memory"),
        ],
    )
    worlds = [make_world(own, Random(seed)) for seed in range(400)]
    assert all(("a_one", "colour") in one.held for one in worlds)
    kept = sum(("a_two", "colour") in one.held for one in worlds)
    assert 0.4 < kept / 400 < 0.6


def test_species_of_which_nothing_is_known_borrows_one_truth_in_a_world():
    colour = scored("colour", "white", "red", confusion=0.0)
    own = tables(
        "a_one a_two a_three",
        [colour],
        [
            often("a_one", "colour", "white", 1.0),
            often("a_two", "colour", "red", 1.0),
        ],
    )
    borrowed = set()
    for seed in range(20):
        world, chance = make_world(own, Random(seed)), Random(1)
        said = {world.statement("a_three", "colour", 50.0, chance) for _ in range(10)}
        assert len(said) == 1
        borrowed |= said
    assert len(borrowed) == 2


def test_band_of_size_decides_which_statement_holds():
    own = small(
        scored("colour", "white", "red"),
        cells=[
            often("a_one", "colour", "white", 1.0, to_mm=100.0),
            often("a_one", "colour", "red", 1.0, from_mm=100.0),
        ],
    )
    world = make_world(own, Random(0))
    young, old = (world.statement("a_one", "colour", mm, Random(0)) for mm in (99, 100))
    assert (young.at(0.5), old.at(0.5)) == (0, 1)


def test_low_typical_and_high_are_percentiles_of_what_is_drawn():
    spread = Numbers(0.0, 1e9, 0.3, 0.5, 0.6)
    assert [spread.at(share) for share in (0.05, 0.5, 0.95)] == approx([0.3, 0.5, 0.6])


def test_a_tenth_of_the_cells_is_moved_by_one_step():
    moved = moved_tables(TABLES, 0.1, Random(1))
    pairs = [
        (old, new) for old, new in zip(TABLES.cells, moved.cells, strict=True) if old != new
    ]
    assert len(pairs) / len(TABLES.cells) == approx(0.1, abs=0.04)
    for old, new in pairs:
        if old.state:
            keys = [one.key for one in TABLES.characters[old.character].states]
            assert abs(keys.index(old.state) - keys.index(new.state)) == 1
        elif old.low is not None:
            assert abs(new.low - old.low) == approx((old.high - old.low) / 4)


# -- what a specimen is --------------------------------------------------------------------


def of_group(*, group):
    """Return how often two characters of one specimen deviate to the same side."""
    names = ("one", "two")
    characters = [
        scored(name, "less", "more", confusion=0.0, group=group) for name in names
    ]
    own = small(
        *characters,
        cells=[often(t, n, "less", 0.5) for t in ("a_one", "a_two") for n in names],
    )
    alike = []
    for one in simulate(own, 3000, 5):
        states = [seen.state for seen in one.seen if isinstance(seen, Scored)]
        if len(states) == 2:
            alike.append(states[0] == states[1])
    return mean(alike)


def test_specimen_deviates_as_a_whole_within_a_group_only():
    # Of two normal numbers with correlation 1/2, 2/3 have the same sign.
    assert of_group(group="same") == approx(2 / 3, abs=0.03)
    assert of_group(group="") == approx(1 / 2, abs=0.03)


def test_readings_err_as_often_as_the_character_is_confused_and_care_differs():
    own = small(
        scored("colour", "white", "red", confusion=0.2),
        cells=[often(t, "colour", "white", 1.0) for t in ("a_one", "a_two")],
    )
    rows = [seen for one in simulate(own, 4000, 6) for seen in one.seen]
    wrong = [seen.state == "red" for seen in rows]
    assert mean(wrong) == approx(0.2, abs=0.04)
    unsure = {
        state: mean(not seen.sure for seen in rows if seen.state == state)
        for state in ("white", "red")
    }
    assert unsure["red"] > 3 * unsure["white"]


def test_only_what_the_views_can_show_is_seen_and_unmet_needs_hide():
    hidden = 0
    for one in MANY:
        views = one.circumstances.views
        for seen in one.seen:
            character = TABLES.characters[seen.character]
            assert views.intersection(character.views)
            hidden += isinstance(seen, Hidden)
            assert not isinstance(seen, Hidden) or character.needs
        assert all(TABLES.view(view).living == one.circumstances.living for view in views)
    assert hidden > 50


def test_worn_shells_lose_what_wear_takes_away():
    absent = {
        worn: mean(
            seen.state == "absent"
            for one in simulate(TABLES, 8000, 9)
            if one.taxon == "tridacna_squamosa"
            if bool(one.circumstances.conditions) == worn
            for seen in one.seen
            if isinstance(seen, Scored) and seen.character == "scutes"
        )
        for worn in (False, True)
    }
    assert absent[True] > absent[False] + 0.15


def test_living_specimens_have_no_condition_and_regions_are_mostly_their_own():
    found = [one for one in MANY if one.circumstances.region]
    present = {
        (one.taxon, one.region)
        for one in TABLES.ranges
        if one.status in ("present", "introduced")
    }
    own = mean((one.taxon, one.circumstances.region) in present for one in found)
    assert 0.85 < own < 1.0
    assert not [o for o in MANY if o.circumstances.living and o.circumstances.conditions]


def test_size_lies_within_the_greatest_and_a_visible_length_below_it():
    taxon = GUIDE.taxa.index("tridacna_crocea")
    most = max(one for one, _ in GUIDE.size.maxima[taxon])
    for one in MANY:
        lengths = {s.character: s.value for s in one.seen if isinstance(s, Taken)}
        if one.taxon == "tridacna_crocea" and "shell_length" in lengths:
            assert lengths["shell_length"] < 1.1 * most


def test_another_guide_is_simulated_just_as_well():
    own = small(
        measured("length", "mm", span=(1.0, 50.0)),
        measured("ratio"),
        cells=[
            number("a_one", "length", 31, 40, 49),
            number("a_one", "ratio", 0.1, 0.2, 0.3),
            number("a_two", "ratio", 0.5, 0.6, 0.7),
            number("a_two", "length", maximum=90.0),
        ],
        views=(View("seen", "seen"),),
        **size_rule(),
        **regions(here={"a_one": "present"}),
    )
    one = draw(make_world(own, Random(2)), "a_one", Random(3))
    assert one.taxon == "a_one"
    assert {seen.character for seen in one.seen} <= {"length", "ratio"}
    assert try_out(compile_tables(own), 200, 1).scores.first.value > 0.7


# -- scores --------------------------------------------------------------------------------


def test_calibration_of_known_answers():
    # Ten said at 0.85 of which eight are right, ten at 0.25 of which three are.
    stated = [0.85] * 10 + [0.25] * 10
    right = [True] * 8 + [False] * 2 + [True] * 3 + [False] * 7
    found = calibration(stated, right)
    assert found.error == approx(0.05)
    assert found.low == 0.0
    assert [(one.n, one.stated, one.true) for one in found.bins] == [
        (10, approx(0.25), approx(0.3)),
        (10, approx(0.85), approx(0.8)),
    ]


def test_interval_of_none_is_everything():
    assert wilson(0, 0) == (0.0, 1.0)


def test_scores_tell_better_from_worse():
    sure, unsure = [(0.9, 0.1)], [(0.6, 0.4)]
    assert brier(sure, [0]) < brier(unsure, [0]) < brier(sure, [1])
    assert log_score(sure, [0]) < log_score(unsure, [0]) < log_score(sure, [1])


# -- the trial -----------------------------------------------------------------------------


def test_trial_counts_every_specimen_once():
    found = try_out(GUIDE, 600, 21)
    assert sum(map(sum, found.confusion)) == found.scores.n == 600
    assert sum(scores.n for _, _, scores in found.by_views) == 600
    assert sum(level.right.n for level in found.levels) == 600
    assert found.scores.first.count <= found.scores.three.count
    assert found.scores.first.count == sum(
        row[place] for place, row in enumerate(found.confusion)
    )


def test_moved_cells_make_it_worse():
    clean, moved = (try_out(GUIDE, 1500, 22, share) for share in (0.0, 0.3))
    assert moved.scores.log_score > clean.scores.log_score
    assert moved.scores.first.value < clean.scores.first.value


def test_more_characters_tell_more():
    found = dict(try_out(GUIDE, 2000, 23).by_characters)
    assert (
        found[(1, 3)].first.value < found[(4, 6)].first.value < found[(10, 14)].first.value
    )


@pytest.mark.long
def test_no_more_is_stated_than_tables_and_observations_warrant():
    """Figures of the design: calibration error <= 0.03; stated above 90 %: wrong <= 3 %."""
    found = try_out(GUIDE, 20_000, 31)
    assert found.scores.calibration.error <= 0.03
    assert found.scores.clear_wrong.n > 1000
    assert found.scores.clear_wrong.value <= 0.03


def test_little_seen_is_never_stated_above_ninety_percent():
    for one in MANY:
        found = conclude(GUIDE, one.seen, one.circumstances)
        assert found.said <= max(found.cap, 0.9)
        if one.n_characters < 2:
            assert found.said < 0.9
    assert conclude(GUIDE, (), Circumstances()).decision.level == "none"
