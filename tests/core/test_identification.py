"""Each thing that the reasoning must do, in a guide small enough to work out by hand.

What it must do, and the tests that fail without it (here, in the laws, in the shipped tables,
and in the published examples):

Scored states
    words become normalised weights: test_words_of_frequency_become_normalised_weights;
    neighbours are mistaken sooner: test_neighbouring_state_is_the_more_readily_mistaken;
    wider when unsure: test_unsure_reading_says_less, test_unsure_never_says_more_than_sure;
    unknown is uniform: test_unknown_cell_neither_helps_nor_hurts;
    absent needs four pixels: test_absent_below_four_pixels_of_detail_is_unsure_and_said.
Needs
    unmet, it cannot be seen, and comes back:
    test_unmet_need_hides_a_character_and_met_again_it_speaks,
    test_cannot_be_seen_is_an_answer_but_no_evidence.
Numbers
    test_low_typical_high_are_the_5th_50th_and_95th_percentile,
    test_one_sided_cell_favours_its_own_side, test_at_least_is_one_sided_evidence,
    test_doubt_of_a_measure_widens_the_cell, test_no_freak_number_vetoes_everything,
    test_number_is_never_met_by_a_cell_of_another_definition.
Size
    test_band_of_size_is_chosen_blended_at_its_border_and_averaged_unknown,
    test_beyond_the_maximum_the_likelihood_falls_softly,
    test_small_specimen_never_speaks_against_a_large_species,
    test_visible_length_bounds_the_size_and_moves_the_average,
    test_below_the_least_size_the_genus_at_most.
Condition
    test_what_wear_can_take_away_loses_weight_instead_of_counting_against,
    test_wear_of_another_zone_takes_nothing, test_origin_can_bring_a_state_about.
Dependence
    test_characters_that_say_the_same_thing_weigh_less_together,
    test_repeated_scores_of_one_character_are_one_observation.
Evidence grade
    test_remembered_cells_weigh_less_than_read_ones_and_practice_least,
    test_stated_certainty_is_capped_while_deciding_cells_are_not_read,
    test_nobody_gets_99_percent_on_thin_evidence, test_sources_that_disagree_are_both_kept.
Region
    test_region_is_a_soft_prior_that_can_be_switched_off,
    test_region_never_outweighs_a_character_that_rules_out,
    test_what_is_ruled_out_never_leads_and_stands_far_behind,
    test_name_that_was_never_recorded_in_the_region_comes_with_a_caution.
Fit and robustness
    test_nothing_fits_when_every_observation_is_unusual_for_the_best,
    test_between_two_species_when_only_both_together_explain,
    test_answer_names_what_it_rests_on, test_stranger_fits_none,
    test_hybrid_is_between_two_species.
What to say
    test_clear_and_fitting_is_a_species_with_reasons_from_cells,
    test_group_that_cannot_be_told_apart_takes_precedence_over_narrow_cells,
    test_group_may_hold_only_below_a_size_or_without_a_region,
    test_too_little_to_tell_gives_the_genus_or_nothing,
    test_several_together_are_never_stated_above_nine_tenths.
Reasons
    test_every_observation_is_a_reason_with_its_cells_for_every_candidate,
    test_supporting_observation_never_lowers_the_species_it_supports,
    test_order_of_scoring_never_matters, test_short_reason_has_room_on_a_chip.
Look next
    test_most_telling_character_comes_first_with_its_view_and_bits,
    test_view_at_hand_is_proposed_before_a_further_one,
    test_living_animal_is_asked_only_for_what_does_no_harm,
    test_living_animal_is_never_asked_for_a_view_that_needs_handling,
    test_what_only_handling_would_settle_is_said,
    test_what_if_is_what_follows_when_the_state_is_seen.
A textbook naive Bayes, and no clams in it
    test_iris_by_gaussian_naive_bayes_to_a_billionth,
    test_penguins_by_gaussian_naive_bayes_to_a_billionth_gaps_as_missing,
    test_iris_in_classes_by_categorical_naive_bayes_to_a_billionth,
    test_engine_names_no_taxon_character_or_view,
    test_changed_cell_names_the_specimens_whose_answer_changes.
"""

from __future__ import annotations

import re
from dataclasses import replace
from math import exp, inf
from pathlib import Path

import pytest
from pytest import approx

import landmarks.identification
from landmarks.characters import State
from landmarks.errors import UnknownWordError
from landmarks.identification import (
    FITS,
    Settings,
    compile_tables,
    hide_unmet,
    identify,
    weigh,
    what_if,
)
from landmarks.identification.densities import Plateau, TwoPiece
from landmarks.observations import Circumstances, Condition, Hidden, Scored, Taken
from landmarks.sentences import known, text
from landmarks.tables import FREQUENCIES, Group, Taxon, View
from tests.core.guides import (
    PLAIN,
    guide,
    measured,
    number,
    often,
    regions,
    scored,
    size_rule,
)

COLOUR = scored("colour", "white", "pink", "red")
BYTE = 1e-12


def two_colours(settings: Settings = PLAIN, **more: object):
    return guide(
        "a_one a_two",
        [COLOUR],
        [
            often("a_one", "colour", "white", "always"),
            often("a_two", "colour", "red", "always"),
        ],
        settings,
        **more,
    )


# -- scored states -------------------------------------------------------------------------


def test_words_of_frequency_become_normalised_weights():
    one = guide(
        "a_one a_two",
        [COLOUR],
        [
            often("a_one", "colour", "white", "usually"),
            often("a_two", "colour", "white", "sometimes"),
            often("a_two", "colour", "pink", "often"),
        ],
    )
    # usually 0.85; sometimes 0.30 and often 0.60, of which 0.10 is left for red.
    found = weigh(one, [Scored("colour", "white")])
    assert found[0] == approx(0.85 / (0.85 + 0.30), abs=BYTE)


def test_frequency_may_be_a_number():
    one = guide(
        "a_one a_two",
        [COLOUR],
        [
            often("a_one", "colour", "white", 0.25),
            often("a_one", "colour", "red", 0.75),
            often("a_two", "colour", "white", 0.5),
            often("a_two", "colour", "pink", 0.5),
        ],
    )
    assert weigh(one, [Scored("colour", "white")])[0] == approx(1 / 3, abs=BYTE)


def test_neighbouring_state_is_the_more_readily_mistaken():
    one = two_colours(replace(PLAIN, reading_error=2.0))
    near = weigh(one, [Scored("colour", "pink")])[0]
    assert near == approx(0.5, abs=BYTE)
    three = guide(
        "a_one a_two",
        [scored("size", "s", "m", "l", "xl")],
        [often("a_one", "size", "s", 1.0), often("a_two", "size", "xl", 1.0)],
        replace(PLAIN, reading_error=1.0),
    )
    assert weigh(three, [Scored("size", "m")])[0] > 0.8


def test_unsure_reading_says_less():
    one = two_colours()
    sure = weigh(one, [Scored("colour", "white")])[0]
    unsure = weigh(one, [Scored("colour", "white", sure=False)])[0]
    assert 0.5 < unsure < sure - 0.1


def test_unknown_cell_neither_helps_nor_hurts():
    one = guide(
        "a_one a_two a_three",
        [COLOUR],
        [
            often("a_one", "colour", "white", "always"),
            often("a_two", "colour", "red", "always"),
        ],
    )
    for state in ("white", "pink", "red"):
        assert weigh(one, [Scored("colour", state)])[2] == approx(1 / 3, abs=BYTE)


def test_repeated_scores_of_one_character_are_one_observation():
    one = two_colours()
    once = weigh(one, [Scored("colour", "white", frames=("f1",))])
    twice = weigh(one, [Scored("colour", "white", frames=(f,)) for f in ("f1", "f2")])
    assert twice == once


def test_scores_that_disagree_say_less_than_either_and_are_named():
    one = two_colours()
    both = [Scored("colour", "white"), Scored("colour", "red")]
    assert weigh(one, both)[0] == approx(0.5, abs=BYTE)
    assert any(s.key == "caution.scores_disagree" for s in identify(one, both).cautions)


def test_cannot_be_seen_is_an_answer_but_no_evidence():
    one = two_colours()
    answer = identify(one, [Hidden("colour", "worn")])
    assert [c.probability for c in answer.candidates] == [0.5, 0.5]
    assert [r.direction for r in answer.candidates[0].reasons] == ["silent"]
    assert answer.level == "none"


# -- what the picture can show -------------------------------------------------------------

SPOTS = scored("spots", "none!", "many", needs=("mantle_extended",))


def spotted(settings: Settings = PLAIN):
    return guide(
        "a_one a_two",
        [SPOTS],
        [
            often("a_one", "spots", "none", "always"),
            often("a_two", "spots", "many", "always"),
        ],
        settings,
    )


def test_absent_below_four_pixels_of_detail_is_unsure_and_said():
    one = spotted()
    coarse, sharp = (Scored("spots", "none", detail_px=px) for px in (3.9, 4.0))
    unsure = Scored("spots", "none", sure=False)
    assert weigh(one, [coarse]) == weigh(one, [unsure])
    assert weigh(one, [sharp]) == weigh(one, [Scored("spots", "none")])
    assert any(s.key == "caution.faint" for s in identify(one, [coarse]).cautions)


def test_present_in_a_coarse_picture_counts_in_full():
    one = spotted()
    assert weigh(one, [Scored("spots", "many", detail_px=1.0)]) == weigh(
        one, [Scored("spots", "many")]
    )


def test_unmet_need_hides_a_character_and_met_again_it_speaks():
    one = spotted()
    seen = (Scored("spots", "many"),)
    hidden = hide_unmet(one, seen, ["mantle_extended"])
    assert hidden == (Hidden("spots", "mantle_extended"),)
    assert weigh(one, hidden) == (0.5, 0.5)
    assert hide_unmet(one, seen, []) == seen


# -- numbers -------------------------------------------------------------------------------


def test_low_typical_high_are_the_5th_50th_and_95th_percentile():
    shape = TwoPiece(5.0, 1.0 / 1.6448536269514722, 3.0 / 1.6448536269514722)
    assert [shape.cdf(x, 0.0) for x in (4.0, 5.0, 8.0)] == approx(
        [0.05, 0.5, 0.95], abs=1e-9
    )


@pytest.mark.parametrize("shape", [TwoPiece(5.0, 0.5, 2.0), Plateau(2.0, 7.0, 0.4)])
@pytest.mark.parametrize("sigma", [0.0, 0.3, 2.0])
def test_density_of_a_number_is_a_density_and_wider_with_doubt(shape, sigma):
    step = 0.01
    xs = [-20 + step * (i + 0.5) for i in range(5000)]
    whole = sum(shape.density(x, sigma) for x in xs) * step
    assert whole == approx(1.0, abs=2e-3)
    below = sum(shape.density(x, sigma) for x in xs if x < 6.0) * step
    assert below == approx(shape.cdf(6.0, sigma), abs=0.08)


def test_doubt_of_a_measure_widens_the_cell():
    one = guide(
        "a_one a_two",
        [measured("ratio")],
        [
            number("a_one", "ratio", 0.3, 0.35, 0.4),
            number("a_two", "ratio", 0.5, 0.55, 0.6),
        ],
    )
    clear = weigh(one, [Taken("ratio", 0.38, 0.0)])[0]
    vague = weigh(one, [Taken("ratio", 0.38, 0.2)])[0]
    assert clear > 0.999
    assert 0.5 < vague < 0.8


def test_no_freak_number_vetoes_everything():
    one = guide(
        "a_one a_two",
        [measured("ratio", span=(0.0, 1.0)), COLOUR],
        [
            number("a_one", "ratio", 0.3, 0.35, 0.4),
            number("a_two", "ratio", 0.5, 0.55, 0.6),
            often("a_one", "colour", "white", "always"),
            often("a_two", "colour", "red", "always"),
        ],
        replace(PLAIN, floor=0.01),
    )
    seen = [Scored("colour", "white"), Taken("ratio", 3.0, 0.0)]
    assert weigh(one, seen)[0] == approx(weigh(one, seen[:1])[0], abs=0.01)


def test_one_sided_cell_favours_its_own_side():
    one = guide(
        "a_one a_two",
        [measured("ratio", span=(0.2, 0.8))],
        [number("a_one", "ratio", at_most=0.5), number("a_two", "ratio", at_least=0.5)],
    )
    below, edge, above = (weigh(one, [Taken("ratio", x, 0.0)])[0] for x in (0.4, 0.5, 0.6))
    assert below > 0.99
    assert edge == approx(0.5, abs=1e-6)
    assert above < 0.01


def test_at_least_is_one_sided_evidence():
    one = guide(
        "a_one a_two",
        [measured("count", "count", span=(0.0, 20.0))],
        [number("a_one", "count", 3, 5, 7), number("a_two", "count", 9, 12, 15)],
    )
    few, many = (weigh(one, [Taken("count", x, 0.0, at_least=True)])[0] for x in (2.0, 9.0))
    assert few == approx(0.5, abs=0.01)
    assert many < 0.01


def test_number_is_never_met_by_a_cell_of_another_definition():
    one = guide(
        "a_one a_two",
        [measured("ratio")],
        [
            number("a_one", "ratio", 0.3, 0.35, 0.4),
            number("a_two", "ratio", 0.5, 0.55, 0.6),
        ],
    )
    other = [Taken("ratio", 0.35, 0.0, definition="along the hinge axis")]
    assert weigh(one, other) == (0.5, 0.5)
    reason = identify(one, other).candidates[0].reasons[0]
    assert (reason.direction, reason.sentence.key) == ("silent", "because.other_definition")


def test_sum_of_two_counts_meets_the_cells_of_the_sum():
    characters = [
        measured("main", "count", weight=0.0),
        measured("end", "count", weight=0.0),
        measured("all", "count", sum_of=("main", "end")),
    ]
    cells = [number("a_one", "all", 4, 5, 6), number("a_two", "all", 9, 10, 11)]
    one = guide("a_one a_two", characters, cells)
    apart = weigh(one, [Taken("main", 7, 0.0), Taken("end", 3, 0.0)])
    assert apart == weigh(one, [Taken("all", 10, 0.0)])
    assert apart[1] > 0.99


def test_sources_that_disagree_are_both_kept():
    cells = [
        number("a_one", "ratio", 0.2, 0.25, 0.3),
        number("a_two", "ratio", 0.4, 0.45, 0.5),
    ]
    also = number("a_one", "ratio", 0.4, 0.45, 0.5)
    single = guide("a_one a_two", [measured("ratio")], cells)
    both = guide("a_one a_two", [measured("ratio")], [*cells, also])
    assert weigh(single, [Taken("ratio", 0.45, 0.0)])[0] < 1e-6
    assert weigh(both, [Taken("ratio", 0.45, 0.0)])[0] == approx(1 / 3, abs=1e-6)


# -- size ----------------------------------------------------------------------------------

LENGTH = measured("length", "mm", span=(5.0, 1500.0))


def grown(**more: object):
    """Two taxa: the first is white when small and red when large, the second always pink."""
    return guide(
        "a_one a_two",
        [LENGTH, COLOUR],
        [
            number("a_one", "length", maximum=400.0),
            number("a_one", "length", 50, 200, 350),
            number("a_two", "length", maximum=400.0),
            often("a_one", "colour", "white", 1.0, to_mm=200.0),
            often("a_one", "colour", "red", 1.0, from_mm=200.0),
            often("a_two", "colour", "red", 0.5),
            often("a_two", "colour", "white", 0.5),
        ],
        **size_rule(),
        **more,
    )


def test_band_of_size_is_chosen_blended_at_its_border_and_averaged_unknown():
    one = grown()
    red = Scored("colour", "red")
    found = [
        weigh(one, [red, Taken("length", mm, 0.0)])[0] for mm in (100, 195, 200, 205, 350)
    ]
    assert found == sorted(found)
    assert found[0] < 0.01
    assert found[2] == approx(0.5, abs=1e-9)
    assert found[-1] == approx(2 / 3, abs=1e-3)
    # Half of the first taxon's specimens are larger than its typical 200 mm, and a little
    # more, since none is below nothing.
    assert weigh(one, [red])[0] == approx(0.5, abs=0.005)


def test_visible_length_bounds_the_size_and_moves_the_average():
    characters = [LENGTH, COLOUR, measured("visible", "mm", bounds="length", weight=0.0)]
    one = guide("a_one a_two", characters, list(grown().tables.cells), **size_rule())
    red = Scored("colour", "red")
    at_least = weigh(one, [red, Taken("visible", 190.0, 0.0)])[0]
    assert weigh(one, [red])[0] < at_least < 2 / 3


def test_beyond_the_maximum_the_likelihood_falls_softly():
    one = guide(
        "a_one a_two",
        [LENGTH],
        [
            number("a_one", "length", maximum=200.0),
            number("a_two", "length", maximum=1000.0),
        ],
        replace(PLAIN, floor=0.01),
        **size_rule(),
    )
    found = [
        weigh(one, [Taken("length", mm, 0.0)])[0] for mm in (150, 200, 210, 230, 300, 900)
    ]
    assert found[:2] == approx([0.5, 0.5], abs=BYTE)
    assert found == sorted(found, reverse=True)
    assert 0.3 < found[2] < 0.5
    assert 0.005 < found[-1] < 0.02


def test_small_specimen_never_speaks_against_a_large_species():
    one = guide(
        "a_one a_two",
        [LENGTH],
        [
            number("a_one", "length", 20, 80, 140),
            number("a_two", "length", 300, 600, 900),
            number("a_one", "length", maximum=150.0),
            number("a_two", "length", maximum=1000.0),
        ],
        **size_rule(),
    )
    assert weigh(one, [Taken("length", 40.0, 1.0)]) == (0.5, 0.5)


def test_below_the_least_size_the_genus_at_most():
    cells = [*two_colours().tables.cells, number("a_one", "length", maximum=200.0)]
    seen = [Scored("colour", "white"), Taken("length", 29.0, 0.5)]
    one = guide("a_one a_two", [COLOUR, LENGTH], cells, **size_rule(30))
    answer = identify(one, seen)
    assert (answer.level, answer.name, answer.text.key) == (
        "genus",
        "a",
        "answer.genus_small",
    )
    assert identify(one, [seen[0], Taken("length", 31.0, 0.5)]).level == "species"
    young = Taxon("a_one", "a_one", "a", species_from_mm=20)
    taxa = (young, *one.tables.taxa[1:])
    told = compile_tables(replace(one.tables, taxa=taxa), PLAIN)
    assert identify(told, seen).level == "species"


# -- condition, dependence, evidence -------------------------------------------------------


def weathered():
    scutes = scored("scutes", "none!", "all", zone="middle")
    states = (replace(scutes.states[0], made_by=("worn", "aquarium")), scutes.states[1])
    return guide(
        "a_one a_two",
        [replace(scutes, states=states)],
        [
            often("a_one", "scutes", "none", "always"),
            often("a_two", "scutes", "all", "always"),
        ],
    )


def test_what_wear_can_take_away_loses_weight_instead_of_counting_against():
    one = weathered()
    none, present = Scored("scutes", "none"), Scored("scutes", "all")
    worn = Circumstances(conditions=(Condition("worn"),))
    assert weigh(one, [none])[1] < 0.05
    assert weigh(one, [none], worn)[1] > 0.3
    assert weigh(one, [present], worn) == weigh(one, [present])
    assert any(s.key == "caution.lost" for s in identify(one, [none], worn).cautions)


def test_wear_of_another_zone_takes_nothing():
    one = weathered()
    none = [Scored("scutes", "none")]
    there, elsewhere = (
        Circumstances(conditions=(Condition("worn", zone),)) for zone in ("middle", "umbo")
    )
    assert weigh(one, none, elsewhere) == weigh(one, none)
    assert weigh(one, none, there) == weigh(
        one, none, Circumstances(conditions=(Condition("worn"),))
    )


def test_origin_can_bring_a_state_about():
    one = weathered()
    none = [Scored("scutes", "none")]
    kept = weigh(one, none, Circumstances(origin="aquarium"))[1]
    assert weigh(one, none)[1] < kept < 0.5


def alike(tempering: float, group: str):
    characters = [scored(f"c{i}", "x", "y", group=group) for i in range(3)]
    cells = [
        often(taxon, f"c{i}", state, 0.8)
        for i in range(3)
        for taxon, state in (("a_one", "x"), ("a_two", "y"))
    ]
    return guide("a_one a_two", characters, cells, replace(PLAIN, tempering=tempering))


def test_characters_that_say_the_same_thing_weigh_less_together():
    seen = [Scored(f"c{i}", "x") for i in range(3)]
    single = weigh(alike(0.5, "same"), seen[:1])[0]
    together = weigh(alike(0.5, "same"), seen)[0]
    apart = weigh(alike(0.5, ""), seen)[0]
    assert single == approx(0.8, abs=BYTE)
    # Odds of 4 for the strongest and the square root of 4 for each further one.
    assert together == approx(16 / 17, abs=BYTE)
    assert apart == approx(64 / 65, abs=BYTE)


def test_remembered_cells_weigh_less_than_read_ones_and_practice_least():
    found = []
    for evidence in ("read", "memory", "practice"):
        one = guide(
            "a_one a_two",
            [COLOUR],
            [
                often("a_one", "colour", "white", "always", evidence=evidence),
                often("a_two", "colour", "red", "always", evidence=evidence),
            ],
        )
        found.append(weigh(one, [Scored("colour", "white")])[0])
    assert found == sorted(found, reverse=True)
    assert found[0] == approx(0.97 / 0.985, abs=1e-9)
    assert found[2] < 0.75


def test_half_weight_of_a_cell_halves_how_far_it_is_believed():
    one = guide(
        "a_one a_two",
        [COLOUR],
        [
            often("a_one", "colour", "white", 1.0, weight=0.5),
            often("a_two", "colour", "red", 1.0),
        ],
    )
    # Known: half of white by the first, none by the second; an unknown cell says 1/3.
    assert weigh(one, [Scored("colour", "red")])[0] == approx((1 / 3) / (4 / 3), abs=1e-9)


def many_characters(evidence: str):
    characters = [scored(f"c{i}", "x", "y") for i in range(8)]
    cells = [
        often(taxon, f"c{i}", state, "always", evidence=evidence)
        for i in range(8)
        for taxon, state in (("a_one", "x"), ("a_two", "y"))
    ]
    settings = Settings(grades={"read": 1.0, "memory": 1.0, "practice": 1.0})
    return guide("a_one a_two", characters, cells, settings)


def test_stated_certainty_is_capped_while_deciding_cells_are_not_read():
    seen = [Scored(f"c{i}", "x") for i in range(8)]
    read, remembered = (
        identify(many_characters(evidence), seen) for evidence in ("read", "memory")
    )
    assert read.candidates[0].probability == remembered.candidates[0].probability > 0.999
    assert read.candidates[0].stated == approx(0.97)
    assert remembered.candidates[0].stated == approx(0.80)
    assert remembered.capped
    assert sum(c.stated for c in remembered.candidates) == approx(1.0)
    assert any(s.key == "caution.capped" for s in remembered.cautions)


def test_nobody_gets_99_percent_on_thin_evidence():
    answer = identify(many_characters("read"), [Scored("c0", "x"), Scored("c1", "x")])
    assert answer.candidates[0].probability > 0.95
    assert answer.candidates[0].stated <= 0.875


# -- region --------------------------------------------------------------------------------


def test_region_is_a_soft_prior_that_can_be_switched_off():
    one = two_colours(
        Settings(), **regions(here={"a_one": "present", "a_two": "no_record"})
    )
    here = Circumstances(region="here")
    found = weigh(one, [], here)
    # No record weighs 0.05, which is more than the 2.3 nats that a region may reach.
    assert found[0] == approx(1 / (1 + exp(-2.3)))
    assert weigh(one, [], replace(here, use_region=False)) == (0.5, 0.5)
    for origin in ("farmed", "aquarium", "trade"):
        assert weigh(one, [], replace(here, origin=origin)) == (0.5, 0.5)
        cautions = identify(one, [], replace(here, origin=origin)).cautions
        assert "caution.region_off" in [s.key for s in cautions]
    # Seen plainly, the other species still wins: silence is never an exclusion.
    red = [Scored("colour", "red")]
    assert weigh(one, red, here)[1] > 0.5


def test_share_of_a_rare_species_is_floored():
    far = Settings(region_reach=inf)
    one = two_colours(far, **regions(here={"a_one": 0.999, "a_two": 0.001}))
    assert weigh(one, [], Circumstances(region="here"))[1] == approx(0.15 / (0.15 + 1.998))


def test_region_draws_all_ratios_together_and_keeps_their_order():
    statuses = ("present", "introduced", "doubtful", "extinct", "no_record", "absent")
    taxa = [f"a_{status}" for status in statuses]
    cells = [often(taxon, "colour", "red", 0.5) for taxon in taxa]
    where = regions(here=dict(zip(taxa, statuses, strict=True)))
    one = guide(" ".join(taxa), [COLOUR], cells, Settings(), **where)
    prior = one.priors["here"]
    assert list(prior) == sorted(prior, reverse=True)
    assert prior[0] / prior[-1] == approx(exp(2.3))


def test_region_never_outweighs_a_character_that_rules_out():
    assert Settings().region_reach < Settings().ruled_out
    one = two_colours(Settings(), **regions(here={"a_one": 0.999, "a_two": "no_record"}))
    answer = identify(one, [Scored("colour", "red")], Circumstances(region="here"))
    best, other = answer.candidates
    assert (best.taxon, best.ruled_out_by) == ("a_two", ())
    assert other.probability < best.probability


def test_what_leads_is_never_ruled_out_whatever_speaks_against_it():
    characters = [scored(f"c{i}", "x", "y", confusion=0.02) for i in range(5)]
    cells = [
        often(taxon, f"c{i}", state, "always")
        for i in range(5)
        for taxon, state in (("a_one", "x"), ("a_two", "y"))
    ]
    one = guide("a_one a_two", characters, cells, Settings())
    seen = [Scored(f"c{i}", "y" if i == 4 else "x") for i in range(5)]
    best, other = identify(one, seen).candidates
    assert (best.taxon, best.ruled_out_by) == ("a_one", ())
    assert [r.character for r in best.against] == ["c4"]
    assert set(other.ruled_out_by) == {"c0", "c1", "c2", "c3"}


def test_unknown_words_name_the_nearest():
    one = two_colours(**regions(red_sea={"a_one": "present"}))
    with pytest.raises(UnknownWordError) as region:
        weigh(one, [], Circumstances(region="red_see"))
    assert "red_sea" in text(region.value.sentence)
    with pytest.raises(UnknownWordError) as character:
        weigh(one, [Scored("color", "red")])
    assert character.value.sentence.values["nearest"] == "colour"
    with pytest.raises(UnknownWordError) as state:
        weigh(one, [Scored("colour", "rose")])
    assert state.value.sentence.values["nearest"] == "red"


def test_name_that_was_never_recorded_in_the_region_comes_with_a_caution():
    here = regions(here={"a_one": "present", "a_two": "no_record"})
    one = three(**here)
    now = Circumstances(region="here")
    for state, said in (("x", False), ("y", True)):
        answer = identify(one, [Scored(f"c{i}", state) for i in range(6)], now)
        assert answer.level == "species"
        assert ("caution.no_record" in [s.key for s in answer.cautions]) is said


# -- answer --------------------------------------------------------------------------------


def three(**more: object):
    characters = [scored(f"c{i}", "x", "y", "z") for i in range(6)]
    cells = [
        often(taxon, f"c{i}", state, "always")
        for i in range(6)
        for taxon, state in (("a_one", "x"), ("a_two", "y"), ("b_three", "z"))
    ]
    return guide("a_one a_two b_three", characters, cells, Settings(), **more)


def test_clear_and_fitting_is_a_species_with_reasons_from_cells():
    answer = identify(three(), [Scored(f"c{i}", "x") for i in range(5)])
    assert (answer.level, answer.taxa, answer.fit.word) == (
        "species",
        ("a_one",),
        "fits_well",
    )
    for candidate in answer.candidates:
        assert sorted(r.character for r in candidate.reasons) == [f"c{i}" for i in range(5)]
        assert all(r.cells and r.cells[0].source == "book" for r in candidate.reasons)
    assert {r.direction for r in answer.candidates[0].reasons} == {"for"}
    assert answer.candidates[1].ruled_out_by
    assert text(answer.candidates[0].reasons[0].sentence).startswith("c0 “x”: always so in")


def test_nothing_fits_when_every_observation_is_unusual_for_the_best():
    numbers = [measured(f"n{i}", span=(0.0, 1.0)) for i in range(3)]
    cells = [
        number(taxon, f"n{i}", middle - 0.05, middle, middle + 0.05)
        for i in range(3)
        for taxon, middle in (("a_one", 0.3), ("a_two", 0.5))
    ]
    one = guide("a_one a_two", numbers, cells, Settings())
    answer = identify(one, [Taken(f"n{i}", 0.9, 0.005) for i in range(3)])
    assert (answer.level, answer.fit.word) == ("none", "does_not_fit")
    assert text(answer.text) == "None of these fits well."
    assert set(answer.fit.unusual) == {"n0", "n1", "n2"}
    assert any(s.key == "caution.look_again" for s in answer.cautions)


def test_between_two_species_when_only_both_together_explain():
    seen = [Scored(f"c{i}", "x" if i % 2 else "z") for i in range(6)]
    answer = identify(three(), seen)
    assert (answer.level, set(answer.taxa)) == ("group", {"a_one", "b_three"})
    assert answer.text.key == "answer.between"


def test_answer_names_what_it_rests_on():
    one = guide(
        "a_one a_two",
        [COLOUR, scored("shape", "round", "long")],
        [
            often("a_one", "colour", "white", "always"),
            often("a_two", "colour", "red", "always"),
            often("a_one", "shape", "round", "often"),
            often("a_two", "shape", "long", "often"),
        ],
    )
    answer = identify(one, [Scored("colour", "white"), Scored("shape", "round")])
    assert answer.level == "species"
    assert answer.rests_on == ("colour",)


def test_group_that_cannot_be_told_apart_takes_precedence_over_narrow_cells():
    group = Group(
        "pair", ("a_one", "a_two"), ("c5",), abstain=True, words="Both look alike."
    )
    one = three(groups=(group,))
    answer = identify(one, [Scored(f"c{i}", "x") for i in range(5)])
    assert (answer.level, answer.taxa) == ("group", ("a_one", "a_two"))
    assert answer.separating == ("c5",)
    assert "c5" in text(answer.text)
    told = identify(one, [Scored(f"c{i}", "x") for i in range(6)])
    assert (told.level, told.taxa) == ("species", ("a_one",))
    unsure = [*(Scored(f"c{i}", "x") for i in range(5)), Scored("c5", "x", sure=False)]
    assert identify(one, unsure).level == "group"


def test_group_may_hold_only_below_a_size_or_without_a_region():
    below = Group("young", ("a_one", "a_two"), (), abstain=True, below_mm=100.0)
    where = Group("place", ("a_one", "a_two"), (), abstain=True, region_tells=True)
    seen = [Scored(f"c{i}", "x") for i in range(6)]
    characters = list(three().tables.characters)
    for group, now, more, level in (
        (below, Circumstances(), [Taken("length", 80.0, 1.0)], "group"),
        (below, Circumstances(), [Taken("length", 120.0, 1.0)], "species"),
        (where, Circumstances(), [], "group"),
        (where, Circumstances(region="here"), [], "species"),
    ):
        one = guide(
            "a_one a_two b_three",
            [*characters, LENGTH],
            list(three().tables.cells),
            Settings(),
            groups=(group,),
            **size_rule(),
            **regions(here={"a_one": "present", "a_two": "present"}),
        )
        assert identify(one, [*seen, *more], now).level == level


def test_too_little_to_tell_gives_the_genus_or_nothing():
    cells = [
        often(taxon, "c0", "x" if taxon[0] == "a" else "y", "always")
        for taxon in ("a_1", "a_2", "a_3", "a_4", "a_5", "b_1")
    ]
    one = guide("a_1 a_2 a_3 a_4 a_5 b_1", [scored("c0", "x", "y")], cells)
    genus = identify(one, [Scored("c0", "x")])
    assert (genus.level, genus.name) == ("genus", "a")
    assert identify(one, []).level == "none"


def test_short_reason_has_room_on_a_chip():
    names = {
        "margin": "Inhalant margin",
        "folds": "Main folds",
        "ratio": "Hinge line / length",
    }
    smooth = State("smooth", "Smooth", "")
    characters = [
        replace(scored("margin", "smooth", "rough"), name=names["margin"]),
        replace(measured("folds", "count"), name=names["folds"]),
        replace(measured("ratio"), name=names["ratio"]),
    ]
    characters[0] = replace(characters[0], states=(smooth, characters[0].states[1]))
    cells = [
        often("a_one", "margin", "smooth", "always"),
        number("a_one", "folds", 4, 5, 6),
        number("a_two", "folds", 9, 10, 11),
        number("a_one", "ratio", 0.4, 0.5, 0.6),
        number("a_two", "ratio", 0.2, 0.3, 0.4),
    ]
    seen = [Scored("margin", "smooth"), Taken("folds", 5, 0.5), Taken("ratio", 0.5, 0.01)]
    answer = identify(guide("a_one a_two", characters, cells), seen)
    assert {text(one.short) for one in answer.candidates[0].reasons} == {
        "inhalant margin smooth",
        "5 main folds",
        "hinge line / length 0.500 ± 0.010",
    }


def test_what_if_of_a_number_has_no_states_and_an_unknown_character_is_named():
    one = guide("a_one a_two", [measured("ratio"), COLOUR], [])
    assert what_if(one, [], None, "ratio") == {}
    with pytest.raises(UnknownWordError):
        what_if(one, [], None, "color")


def test_every_observation_is_a_reason_with_its_cells_for_every_candidate():
    one = three()
    seen = [*(Scored(f"c{i}", "x") for i in range(4)), Hidden("c4", "worn")]
    answer = identify(one, seen)
    for candidate in answer.candidates:
        directions = {r.character: r.direction for r in candidate.reasons}
        assert set(directions) == {f"c{i}" for i in range(5)}
        assert directions["c4"] == "silent"
    best, other, *_ = answer.candidates
    assert {r.direction for r in best.reasons} == {"for", "silent"}
    assert {r.direction for r in other.reasons} <= {"against", "rules_out", "silent"}
    cell = best.reasons[0].cells[0]
    assert (cell.taxon, cell.source, cell.evidence) == ("a_one", "book", "read")


def test_several_together_are_never_stated_above_nine_tenths():
    group = Group("pair", ("a_one", "a_two"), ("c5",), abstain=True)
    answer = identify(three(groups=(group,)), [Scored(f"c{i}", "x") for i in range(5)])
    assert answer.level == "group"
    assert sum(c.probability for c in answer.candidates[:2]) > 0.99
    assert answer.stated == approx(0.9)


# -- look next -----------------------------------------------------------------------------


def looked_at():
    views = (
        View("above", "above", living=True, harmless=True),
        View("under", "under"),
        View("label", "label", harmless=True, ask=False),
    )
    tell = replace(scored("tell", "x", "y"), views=("under",))
    hint = replace(scored("hint", "x", "y"), views=("above", "under"))
    cells = [
        often(taxon, key, state, word)
        for taxon, state in (("a_one", "x"), ("a_two", "y"))
        for key, word in (("tell", 0.99), ("hint", 0.6))
    ]
    return guide("a_one a_two", [hint, tell], cells, views=views)


def test_most_telling_character_comes_first_with_its_view_and_bits():
    first, second = identify(looked_at(), []).look_next
    assert (first.character, first.view, first.at_hand) == ("tell", "under", False)
    # One bit less the entropy of 0.99: 0.919; of 0.6: 0.029.
    assert first.bits == approx(0.9192, abs=1e-4)
    assert second.bits == approx(0.0290, abs=1e-4)
    assert first.settles == approx(1.0)
    assert set(first.pair) == {"a_one", "a_two"}


def test_view_at_hand_is_proposed_before_a_further_one():
    now = Circumstances(views=frozenset({"above", "under"}))
    assert {one.at_hand for one in identify(looked_at(), [], now).look_next} == {True}


def test_living_animal_is_asked_only_for_what_does_no_harm():
    living = Circumstances(living=True, views=frozenset({"above"}))
    answer = identify(looked_at(), [], living)
    assert [one.view for one in answer.look_next] == ["above"]
    assert any(s.key == "caution.living_cannot_settle" for s in answer.cautions)
    # Living pictures alone say that it lives, even where nobody has said so.
    only = Circumstances(views=frozenset({"above", "label"}))
    assert [one.view for one in identify(looked_at(), [], only).look_next] == ["above"]


def test_dead_shell_is_not_asked_for_living_views():
    assert {one.view for one in identify(looked_at(), []).look_next} == {"under"}


def test_hidden_character_is_proposed_in_another_picture_unless_it_is_gone():
    here = Circumstances(views=frozenset({"above", "under"}))
    hidden = identify(looked_at(), [Hidden("tell", "need_unmet")], here).look_next
    assert [(one.character, one.at_hand) for one in hidden] == [
        ("tell", False),
        ("hint", True),
    ]
    gone = identify(looked_at(), [Hidden("tell", "worn")], here).look_next
    assert [one.character for one in gone] == ["hint"]


# -- sentences -----------------------------------------------------------------------------


def test_every_sentence_that_can_be_said_has_words():
    said = [f"because.{word}" for word in FREQUENCIES]
    said += [
        f"because.{why}" for why in ("no_weight", "other_definition", "unknown", "hidden")
    ]
    said += [f"because.{why}" for why in ("bound", "part", "unsure", "lost", "disagree")]
    said += [
        f"answer.{level}_{why}" for level in ("genus", "none") for why in ("small", "wide")
    ]
    said += [f"answer.{why}" for why in ("clear", "group", "group_by_region", "undecided")]
    said += [
        "answer.undecided_plain",
        "answer.between",
        "answer.no_fit",
        "answer.nothing_seen",
    ]
    said += [f"fit.{word}" for word in FITS]
    source = "".join(
        path.read_text(encoding="utf-8")
        for path in Path(landmarks.identification.__file__).parent.glob("*.py")
    )
    said += re.findall(r'Sentence\(\s*"([a-z_.]+)"', source)
    assert [key for key in said if not known(key)] == []


def test_list_of_what_must_be_done_names_tests_that_exist():
    root = Path(__file__).parents[1]
    files = [*root.glob("core/test_identification*.py"), *root.glob("published/*.py")]
    written = "\n".join(path.read_text(encoding="utf-8") for path in files)
    named = re.findall(r"test_\w+", __doc__ or "")
    assert len(named) > 45
    assert [one for one in named if f"def {one}(" not in written] == []
