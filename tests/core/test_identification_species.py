"""The shipped tables through the engine: what a practitioner expects of it, and its honesty."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import landmarks.identification
from landmarks.identification import changed_answers, compile_tables, identify, weigh
from landmarks.identification.evidence import gather
from landmarks.identification.looking import prospects
from landmarks.observations import Circumstances, Condition, Scored, Taken
from landmarks.sentences import text
from landmarks.tables import read_tables

TABLES = read_tables()
GUIDE = compile_tables(TABLES)
LIVING = [one.key for one in TABLES.views if one.living]
ABOVE = Circumstances(living=True, views=frozenset({"living_from_above"}))


def seen(*numbers: Taken, **states: str) -> list[Scored | Taken]:
    return [*(Scored(key, state) for key, state in states.items()), *numbers]


def ratio(key: str, value: float) -> Taken:
    return Taken(key, value, 0.01)


def length(mm: float) -> Taken:
    return Taken("shell_length", mm, 2.0)


def mantle(inhalant: str, extent: str = "beyond", **more: str) -> list[Scored | Taken]:
    return seen(incurrent_margin=inhalant, mantle_extent=extent, **more)


# -- the practitioner's statements (common practice, no source) ----------------------------

GIGAS = mantle("smooth", ringed_spots="small_blue", upper_margin="long_triangles")
EXPECTED = {
    "tridacna_gigas": [*GIGAS, *seen(length(700), closure="gapes", fold_profile="rounded")],
    "tridacna_derasa": [
        *mantle("large_branched", eyes="sparse", warts="absent", ringed_spots="absent"),
        *seen(length(350), fold_strength="low", closure="tight", scutes="absent"),
        *seen(byssal_opening="closed", upper_margin="gentle", coloured_bands="none"),
    ],
    "tridacna_mbalavuana": [
        *mantle("large_branched", "to_margin", warts="many", eyes="none"),
        *seen(length(400), fold_strength="low", coloured_bands="red_near_umbo"),
    ],
    "tridacna_squamosa": [
        *mantle("large_branched", eyes="sparse"),
        *seen(scutes="all_over", scute_size="large", scute_spacing="wide"),
        *seen(length(220), fold_strength="strong", upper_margin="rounded_lobes"),
    ],
    "tridacna_maxima": [
        *mantle("small_simple", eyes="dense_row", ringed_spots="absent", warts="few"),
        *seen(length(160), burrowing="partial", upper_margin="sharp_triangles"),
        *seen(scutes="all_over", scute_size="low", scute_spacing="crowded"),
        *seen(fold_strength="moderate", fold_profile="rounded", byssal_opening="large"),
    ],
    "tridacna_noae": [
        *mantle("small_simple", eyes="sparse", ringed_spots="teardrop"),
        *seen(length(120), scutes="all_over", scute_size="low", scute_spacing="crowded"),
        *seen(ratio("hinge_ratio", 0.33), outline="elongate", burrowing="partial"),
    ],
    "tridacna_crocea": [
        *mantle("small_simple", warts="many"),
        *seen(length(90), fold_strength="low", burrowing="full", scutes="near_margin"),
        *seen(byssal_opening="very_large", upper_margin="wavy", closure="tight"),
    ],
    "hippopus_hippopus": [
        *mantle("smooth", "within"),
        *seen(Taken("main_folds", 11, 0.5), coloured_bands="strawberry", closure="tight"),
        *seen(fold_strength="strong", fold_profile="triangular", byssal_opening="closed"),
    ],
    "hippopus_porcellanus": [
        *mantle("fringe", "within"),
        *seen(length(200), coloured_bands="none", fold_strength="low"),
        *seen(outline="semicircular", byssal_opening="closed"),
    ],
}


@pytest.mark.parametrize("taxon", EXPECTED)
def test_typical_specimen_is_named(taxon):
    answer = identify(GUIDE, EXPECTED[taxon])
    assert (answer.level, answer.taxa) == ("species", (taxon,)), text(answer.text)
    assert answer.fit.word == "fits_well"


@pytest.mark.parametrize(
    ("taxon", "region"),
    [
        ("tridacna_squamosina", "red_sea"),
        ("tridacna_elongatissima", "east_africa"),
        ("tridacna_rosewateri", "mascarenes_seychelles"),
    ],
)
def test_local_species_leads_or_is_in_the_answer_where_it_lives(taxon, region):
    shells = {
        "tridacna_squamosina": seen(
            fold_strength="strong",
            fold_profile="triangular",
            upper_margin="sharp_triangles",
            warts="many",
            scute_size="large",
            byssal_opening="large",
            outline="elongate",
        ),
        "tridacna_elongatissima": seen(
            Taken("main_folds", 7, 0.5),
            scutes="all_over",
            scute_size="large",
            scute_spacing="crowded",
            upper_margin="wavy",
            byssal_opening="moderate",
            outline="elongate",
            burrowing="partial",
        ),
        "tridacna_rosewateri": seen(
            fold_strength="strong",
            fold_profile="triangular",
            scutes="all_over",
            scute_size="large",
            scute_spacing="crowded",
            upper_margin="sharp_triangles",
            byssal_opening="large",
        ),
    }
    answer = identify(GUIDE, shells[taxon], Circumstances(region=region))
    assert answer.candidates[0].taxon == taxon


@pytest.mark.parametrize(
    ("observation", "raised", "lowered"),
    [
        (Scored("incurrent_margin", "smooth"), "tridacna_gigas", "tridacna_derasa"),
        (
            Scored("incurrent_margin", "large_branched"),
            "tridacna_squamosa",
            "tridacna_maxima",
        ),
        (Scored("incurrent_margin", "large_branched"), "tridacna_derasa", "tridacna_gigas"),
        (Scored("incurrent_margin", "small_simple"), "tridacna_maxima", "tridacna_gigas"),
        (Scored("eyes", "dense_row"), "tridacna_maxima", "tridacna_derasa"),
        (Scored("closure", "gapes"), "tridacna_gigas", "tridacna_derasa"),
        (Scored("scute_spacing", "wide"), "tridacna_squamosa", "tridacna_noae"),
        (Scored("fold_profile", "triangular"), "tridacna_squamosina", "tridacna_squamosa"),
        (Scored("byssal_opening", "very_large"), "tridacna_crocea", "tridacna_derasa"),
        (Scored("burrowing", "full"), "tridacna_crocea", "tridacna_maxima"),
        (ratio("hinge_ratio", 0.33), "tridacna_noae", "tridacna_derasa"),
        (Taken("main_folds", 12, 0.5), "hippopus_hippopus", "tridacna_gigas"),
        (Scored("burrowing", "partial"), "tridacna_maxima", "tridacna_derasa"),
        (Scored("closure", "tight"), "tridacna_derasa", "tridacna_squamosa"),
        (Scored("closure", "tight"), "tridacna_crocea", "tridacna_squamosa"),
        (Scored("eyes", "sparse"), "tridacna_derasa", "tridacna_maxima"),
        (Scored("fold_strength", "low"), "tridacna_derasa", "tridacna_squamosina"),
        (Scored("fold_strength", "low"), "tridacna_crocea", "tridacna_squamosina"),
        (Scored("fold_strength", "strong"), "tridacna_squamosina", "tridacna_derasa"),
        (Scored("scutes", "near_margin"), "tridacna_crocea", "tridacna_squamosa"),
        (Scored("scutes", "all_over"), "tridacna_noae", "tridacna_crocea"),
        (Scored("scute_size", "large"), "tridacna_squamosa", "tridacna_noae"),
        (Scored("scute_size", "low"), "tridacna_noae", "tridacna_squamosa"),
        (Scored("scute_spacing", "crowded"), "tridacna_noae", "tridacna_squamosa"),
        (Scored("outline", "elongate"), "tridacna_noae", "tridacna_squamosa"),
        (Scored("byssal_opening", "slit"), "tridacna_derasa", "tridacna_crocea"),
        (Scored("byssal_edge", "interlocking"), "hippopus_hippopus", "tridacna_maxima"),
        (Scored("byssal_edge", "plicate"), "tridacna_maxima", "hippopus_hippopus"),
    ],
)
def test_what_a_practitioner_says_moves_the_weights_that_way(observation, raised, lowered):
    found = dict(zip(GUIDE.taxa, weigh(GUIDE, [observation]), strict=True))
    assert found[raised] > 1 / 12 > found[lowered]


def test_young_smooth_giant_shows_a_fan_with_half_as_long_a_hinge():
    young = weigh(GUIDE, seen(length(90), ratio("hinge_ratio", 0.5), outline="fan"))
    old = weigh(GUIDE, seen(length(400), ratio("hinge_ratio", 0.45)))
    derasa = GUIDE.taxa.index("tridacna_derasa")
    assert young[derasa] > 1 / 12 > old[derasa]


def chance(taxon: str, observations, now: Circumstances | None = None) -> float:
    found = weigh(GUIDE, observations, now or Circumstances())
    return found[GUIDE.taxa.index(taxon)]


def test_convex_ribs_and_a_gape_come_with_age_in_the_largest_species():
    for state in (Scored("fold_profile", "rounded"), Scored("closure", "gapes")):
        old, young = ([length(mm), state] for mm in (700, 120))
        size_alone = chance("tridacna_gigas", [length(700)])
        assert chance("tridacna_gigas", old) > size_alone
        assert chance("tridacna_gigas", old) > chance("tridacna_gigas", young)


def test_margins_of_the_small_giant_match_or_not_quite():
    tight = chance("tridacna_maxima", seen(closure="tight"))
    nearly = chance("tridacna_maxima", seen(closure="nearly"))
    gaping = chance("tridacna_maxima", seen(closure="gapes"))
    assert min(tight, nearly) > 1.5 * gaping


def test_tentacles_of_squamosa_and_derasa_vary_and_their_shells_tell_them_apart():
    for state in ("large_branched", "small_simple"):
        assert chance("tridacna_squamosa", seen(incurrent_margin=state)) > 0.01
        assert chance("tridacna_derasa", seen(incurrent_margin=state)) > 0.01
    both = mantle("large_branched", eyes="sparse")
    scaly = [*both, *seen(scute_spacing="wide", fold_strength="strong")]
    plain = [*both, *seen(scutes="absent", fold_strength="low", closure="tight")]
    assert chance("tridacna_squamosa", scaly) > 20 * chance("tridacna_derasa", scaly)
    assert chance("tridacna_derasa", plain) > 20 * chance("tridacna_squamosa", plain)


def test_missing_scutes_count_for_less_when_they_are_broken_off_or_the_shell_is_very_young():
    bare = [length(200), Scored("scutes", "absent")]
    whole = chance("tridacna_squamosa", bare)
    broken = Circumstances(conditions=(Condition("broken"),))
    assert chance("tridacna_squamosa", bare, broken) > 2 * whole
    # Of the other species scutes are sometimes missing, of this one hardly ever.
    assert chance("tridacna_noae", bare) > whole


def test_smooth_giant_is_thin_when_young_and_inflated_when_old():
    thin, thick = ratio("width_ratio", 0.42), ratio("width_ratio", 0.68)
    for mm, more, less in ((110, thin, thick), (450, thick, thin)):
        assert chance("tridacna_derasa", [length(mm), more]) > chance(
            "tridacna_derasa", [length(mm), less]
        )


def test_opening_of_the_smooth_giant_closes_with_age():
    for mm, state, other in ((100, "slit", "closed"), (400, "closed", "very_large")):
        assert chance("tridacna_derasa", [length(mm), Scored("byssal_opening", state)]) > (
            chance("tridacna_derasa", [length(mm), Scored("byssal_opening", other)])
        )


def test_state_that_no_cell_names_speaks_for_no_species():
    plain = {
        one.taxon: why.direction
        for one in identify(GUIDE, seen(byssal_edge="plain")).candidates
        for why in one.reasons
    }
    assert "for" not in plain.values()
    assert plain["hippopus_hippopus"] == "against"


def test_exhalant_opening_tells_nothing():
    without = seen(mantle_extent="beyond")
    for state in ("level", "raised", "cone"):
        told = [*without, Scored("exhalant_opening", state)]
        assert weigh(GUIDE, told) == weigh(GUIDE, without)
        reasons = identify(GUIDE, told).candidates[0].reasons
        (own,) = [one for one in reasons if one.character == "exhalant_opening"]
        assert own.direction == "silent"
        assert "tells nothing" in text(own.sentence)


def test_what_a_practitioner_states_counts_less_than_what_was_read():
    grades = GUIDE.settings.grades
    assert grades["practice"] < grades["memory"] < grades["read"]


def test_what_is_written_of_the_genus_at_large_says_that_it_does_not_count():
    answer = identify(GUIDE, seen(byssal_edge="plicate"))
    (crocea,) = [one for one in answer.candidates if one.taxon == "tridacna_crocea"]
    (reason,) = crocea.reasons
    assert (reason.direction, reason.cells[0].weight) == ("silent", 0)
    assert "too weak to count" in text(reason.sentence)
    answer = identify(GUIDE, [Taken("main_folds", 6, 0.5)])
    (other,) = [one for one in answer.candidates if one.taxon == "hippopus_porcellanus"]
    assert "too weak to count" in text(other.reasons[0].sentence)


# -- groups that cannot be told apart ------------------------------------------------------


def test_maxima_and_noae_on_shell_alone_are_a_group():
    shell = seen(
        length(110),
        ratio("hinge_ratio", 0.33),
        scutes="all_over",
        scute_size="low",
        scute_spacing="crowded",
        outline="elongate",
        fold_strength="moderate",
        fold_profile="rounded",
        byssal_opening="large",
        upper_margin="sharp_triangles",
    )
    answer = identify(GUIDE, shell, Circumstances(region="taiwan"))
    assert (answer.level, set(answer.taxa)) == (
        "group",
        {"tridacna_maxima", "tridacna_noae"},
    )
    assert answer.separating[0] == "ringed_spots"
    assert "Ringed spots" in text(answer.text)
    # In Western Australia the mantle was found unreliable as well.
    mantled = [*shell, Scored("ringed_spots", "teardrop"), Scored("eyes", "sparse")]
    assert identify(GUIDE, mantled, Circumstances(region="taiwan")).level == "species"
    there = identify(GUIDE, mantled, Circumstances(region="northwest_australia"))
    assert (there.level, set(there.taxa)) == ("group", {"tridacna_maxima", "tridacna_noae"})


def test_deep_folded_crowded_shells_without_a_region_are_a_group():
    shell = seen(
        fold_strength="strong",
        fold_profile="triangular",
        upper_margin="sharp_triangles",
        scutes="all_over",
        scute_size="large",
        scute_spacing="crowded",
        byssal_opening="large",
        outline="elongate",
    )
    answer = identify(GUIDE, shell)
    assert answer.level == "group"
    assert {"tridacna_squamosina", "tridacna_rosewateri"} <= set(answer.taxa)
    assert text(answer.text).endswith("Where the specimen was found would.")


def test_young_gigas_and_derasa_without_the_opening_are_a_group():
    young = seen(
        length(70),
        ratio("hinge_ratio", 0.55),
        mantle_extent="beyond",
        fold_strength="low",
        upper_margin="gentle",
        closure="tight",
        scutes="absent",
        burrowing="none",
    )
    answer = identify(GUIDE, young, Circumstances(region="great_barrier_reef"))
    assert (answer.level, set(answer.taxa)) == (
        "group",
        {"tridacna_gigas", "tridacna_derasa"},
    )
    assert answer.separating[0] == "incurrent_margin"


def test_both_hippopus_from_above_without_the_opening_are_a_group():
    shown = {"burrowing": "none", "warts": "absent", "ringed_spots": "absent"}
    answer = identify(GUIDE, seen(mantle_extent="within", **shown), ABOVE)
    assert answer.level == "group"
    assert set(answer.taxa) == {"hippopus_hippopus", "hippopus_porcellanus"}
    assert answer.separating[0] == "incurrent_margin"
    assert answer.look_next[0].character == "incurrent_margin"
    told = identify(GUIDE, mantle("fringe", "within", **shown), ABOVE)
    assert told.taxa == ("hippopus_porcellanus",)


def test_smooth_margin_in_the_red_sea_is_not_named_after_what_is_common_there():
    seen_there = [
        Scored("incurrent_margin", "smooth"),
        folds(5),
        hinge(0.48),
        Scored("scutes", "absent", sure=False),
    ]
    now = Circumstances(region="red_sea", conditions=(Condition("worn"),))
    answer = identify(GUIDE, seen_there, now)
    best = answer.candidates[0]
    assert (best.taxon, best.ruled_out_by) == ("tridacna_gigas", ())
    assert answer.level != "species"
    maxima = next(one for one in answer.candidates if one.taxon == "tridacna_maxima")
    assert "incurrent_margin" in [one.character for one in maxima.against]


def test_below_30_mm_the_genus_at_most():
    answer = identify(GUIDE, [*EXPECTED["tridacna_squamosa"][:-3], length(25)])
    assert answer.level in ("genus", "none")
    assert answer.text.key in ("answer.genus_small", "answer.none_small")


# -- strangers and hybrids -----------------------------------------------------------------


def folds(n: int) -> Taken:
    return Taken("main_folds", n, 0.5)


def high(value: float) -> Taken:
    return ratio("height_ratio", value)


def hinge(value: float) -> Taken:
    return ratio("hinge_ratio", value)


STRANGERS = {
    "cockle": seen(
        folds(28), high(0.98), hinge(0.35), byssal_opening="closed", scutes="absent"
    ),
    "heart cockle": seen(folds(18), high(1.1), hinge(0.25), fold_profile="triangular"),
    "scallop": seen(folds(22), high(1.03), byssal_opening="slit", outline="fan"),
    "scaly scallop": seen(folds(20), high(1.1), scutes="all_over", scute_size="low"),
    "jewel-box": seen(folds(0), high(1.05), scutes="all_over", byssal_opening="closed"),
    "thorny oyster": seen(folds(0), high(1.0), scute_size="large", scute_spacing="wide"),
    "oyster": seen(folds(0), high(1.4), hinge(0.1), outline="elongate"),
    "giant oyster": seen(folds(7), high(1.1), hinge(0.15), upper_margin="sharp_triangles"),
    "cockscomb oyster": seen(
        folds(9), high(1.05), hinge(0.12), upper_margin="long_triangles"
    ),
    "pearl oyster": seen(folds(0), high(1.0), hinge(0.75), byssal_opening="moderate"),
    "venus clam": seen(folds(0), high(0.85), hinge(0.3), byssal_opening="closed"),
    "ark": seen(folds(30), high(0.55), hinge(0.8), byssal_opening="moderate"),
    "pen shell": seen(folds(12), high(2.0), closure="gapes", scutes="all_over"),
    "mussel": seen(folds(0), ratio("umbo_position", 0.02), mantle_extent="within"),
    "geoduck": seen(folds(0), hinge(0.15), closure="gapes", byssal_opening="closed"),
    "razor clam": seen(folds(0), high(0.2), hinge(0.1), closure="gapes"),
    "hammer oyster": seen(folds(0), high(1.6), hinge(1.0), outline="rhomboid"),
    "file shell": seen(folds(22), high(1.4), scutes="all_over", byssal_opening="large"),
    "trough shell": seen(folds(0), high(0.75), hinge(0.12), byssal_opening="closed"),
    "carditid": seen(folds(20), ratio("umbo_position", 0.15), scutes="all_over"),
}


@pytest.mark.parametrize("name", STRANGERS)
def test_stranger_fits_none(name):
    """Shapes are rough recollections of each family; no source."""
    answer = identify(GUIDE, STRANGERS[name])
    assert answer.level == "none", (answer.name, answer.fit)
    assert text(answer.text) == "None of these fits well."


@pytest.mark.parametrize(
    ("parents", "observations"),
    [
        (
            {"tridacna_maxima", "tridacna_squamosa"},
            [
                *mantle("large_branched", eyes="dense_row", ringed_spots="absent"),
                *seen(scutes="all_over", scute_size="large", scute_spacing="wide"),
                *seen(ratio("umbo_position", 0.33), byssal_opening="large"),
                *seen(upper_margin="sharp_triangles", fold_strength="moderate"),
                *seen(burrowing="none"),
            ],
        ),
        (
            {"tridacna_gigas", "tridacna_derasa"},
            [
                *mantle("large_branched", ringed_spots="small_blue"),
                *seen(upper_margin="long_triangles", closure="gapes", fold_strength="low"),
                *seen(length(450), Taken("main_folds", 5, 0.5), scutes="absent"),
            ],
        ),
    ],
)
def test_hybrid_is_between_two_species(parents, observations):
    answer = identify(GUIDE, observations, Circumstances(region="great_barrier_reef"))
    assert answer.text.key == "answer.between", text(answer.text)
    assert set(answer.taxa) == parents


# -- what is asked of living animals -------------------------------------------------------


def in_view(taxon, view):
    """Return what a specimen of a taxon would show in one view: its most usual states."""
    shown = []
    for one in TABLES.characters:
        cells = [c for c in TABLES.cells if (c.taxon, c.character) == (taxon, one.key)]
        if view in one.views and one.scored and cells:
            best = max(cells, key=lambda cell: cell.frequency or 0.0)
            shown.append(Scored(one.key, best.state))
    return shown


@pytest.mark.parametrize("view", LIVING)
@pytest.mark.parametrize("taxon", GUIDE.taxa)
def test_living_animal_is_never_asked_for_a_view_that_needs_handling(view, taxon):
    now = Circumstances(living=True, views=frozenset({view}))
    shown = in_view(taxon, view)
    asked = 0
    for n in range(len(shown) + 1):
        for one in identify(GUIDE, shown[:n], now).look_next:
            asked += 1
            wanted = TABLES.view(one.view)
            assert wanted.living
            assert wanted.harmless
    assert asked > 0


def test_what_only_handling_would_settle_is_said():
    shown = [
        *mantle("small_simple", eyes="sparse", ringed_spots="absent", warts="many"),
        *seen(
            burrowing="partial", closure="tight", upper_margin="wavy", outline="elongate"
        ),
        *seen(fold_strength="moderate", fold_profile="rounded", coloured_bands="none"),
        *seen(scutes="all_over", scute_size="low", scute_spacing="crowded", folds=""),
    ]
    shown = [one for one in shown if one.character != "folds"] + [folds(5)]
    answer = identify(GUIDE, shown, Circumstances(living=True, views=frozenset(LIVING)))
    assert answer.level != "species"
    assert any(one.key == "caution.living_cannot_settle" for one in answer.cautions)


def test_end_folds_have_no_weight():
    assert weigh(GUIDE, [Taken("end_folds", 3, 0.5)]) == weigh(GUIDE, [])


def test_what_to_look_at_first_tells_most():
    from landmarks.identification.evidence import gather

    evidence = gather(GUIDE, [], Circumstances())
    found = prospects(GUIDE, evidence, weigh(GUIDE, []))
    assert found == sorted(found, key=lambda one: -one.bits)
    assert found[0].bits > 0.7


# -- the engine knows no clams -------------------------------------------------------------


def test_engine_names_no_taxon_character_or_view():
    folder = Path(landmarks.identification.__file__).parent
    code = "\n".join(
        path.read_text(encoding="utf-8")
        for path in folder.glob("*.py")
        if path.name != "__init__.py"
    )
    words = {one.key for one in TABLES.taxa} | {one.name.split()[1] for one in TABLES.taxa}
    words |= {one.key for one in TABLES.characters} | {one.key for one in TABLES.views}
    words |= {"clam", "shell", "mantle", "byssal", "scute", "Tridacna", "Hippopus"}
    # Words that are also plain English, or a key of another kind.
    words -= {"end", "label", "maxima"}
    named = [one for one in sorted(words) if re.search(rf"\b{one}", code)]
    assert named == []


def test_changed_cell_names_the_specimens_whose_answer_changes():
    from dataclasses import replace

    cells = tuple(
        replace(one, word="never", frequency=0.01)
        if (one.taxon, one.state) == ("tridacna_noae", "teardrop")
        else one
        for one in TABLES.cells
    )
    other = compile_tables(replace(TABLES, cells=cells))
    specimens = [(taxon, shown, Circumstances()) for taxon, shown in EXPECTED.items()]
    changes = changed_answers(GUIDE, other, specimens)
    assert [one.key for one in changes] == ["tridacna_noae"]
    assert changes[0].before.level == "species"
    assert changed_answers(GUIDE, GUIDE, specimens) == ()


def test_what_is_clear_already_is_not_settled_once_more():
    evidence = gather(GUIDE, (Scored("fold_strength", "strong"),), Circumstances())
    n = len(TABLES.taxa)
    clear = [0.97] + [0.03 / (n - 1)] * (n - 1)
    assert clear[0] >= GUIDE.settings.species_at
    assert {one.settles for one in prospects(GUIDE, evidence, clear)} == {0.0}
    open_ = [0.5, 0.5] + [0.0] * (n - 2)
    assert max(one.settles for one in prospects(GUIDE, evidence, open_)) > 0.5
