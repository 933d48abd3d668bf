"""Signs of open nomenclature against published examples and their definitions.

The order and place of signs: Sigovini, Keppel & Tagliapietra 2016 (specimens) and Horton et
al. 2021 (pictures), both through the diagrams and the example table in the data manual of a
marine biogeographic network; the definitions of single signs through a published vocabulary
of identification qualifiers. The papers themselves were not read in full.
"""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from landmarks.identification import (
    Doubted,
    Written,
    compile_tables,
    identify,
    read_name,
    write_name,
)
from landmarks.identification.proposing import propose
from landmarks.identification.written import AFTER_GENUS, AFTER_SPECIES, BEFORE_EPITHET
from landmarks.observations import Circumstances, Scored, Taken
from landmarks.sentences import text
from landmarks.tables import read_tables

GUIDE = compile_tables(read_tables())
BY = "(Röding, 1798)"
SIGN = re.compile(r"cf\.|aff\.|\?|sp\.|indet|inc\.|stet|nr\.|prox\.|gr\.")

# What is written | scientific name | rank | qualifier, line by line as published.
PUBLISHED = [
    (Doubted("Tridacna", "stet."), "Tridacna stet.", "Tridacna", "genus", "stet."),
    (Doubted("Tridacna", "indet."), "Tridacna indet.", "Tridacna", "genus", "indet."),
    (Doubted("Tridacna", "sp."), "Tridacna sp.", "Tridacna", "genus", "sp."),
    (
        Doubted("Tridacna maxima", "aff.", BY),
        f"Tridacna aff. maxima {BY}",
        "Tridacna",
        "genus",
        "aff. maxima",
    ),
    (
        Doubted("Tridacna maxima", "cf.", BY),
        f"Tridacna cf. maxima {BY}",
        "Tridacna",
        "genus",
        "cf. maxima",
    ),
    (
        Doubted("Tridacna maxima", "?", BY),
        f"Tridacna maxima {BY} ?",
        "Tridacna",
        "genus",
        "Tridacna maxima ?",
    ),
    (
        Doubted("Tridacna maxima", "sp. inc.", BY),
        f"Tridacna maxima {BY} sp. inc.",
        "Tridacna",
        "genus",
        "Tridacna maxima sp. inc.",
    ),
    (
        Doubted("Tridacna maxima", "", BY),
        f"Tridacna maxima {BY}",
        "Tridacna maxima",
        "species",
        "",
    ),
    # The genus itself in doubt leaves the lowest rank that is certain.
    (Doubted("Tridacna", "gen. inc."), "Tridacna gen. inc.", "Cardiidae", "family",
     "Tridacna gen. inc."),
    (Doubted("Cardiidae", "indet."), "Cardiidae indet.", "Cardiidae", "family", "indet."),
    (Doubted("Cardiidae", "gen. et sp. indet."), "Cardiidae gen. et sp. indet.",
     "Cardiidae", "family", "gen. et sp. indet."),
]  # fmt: skip


@pytest.mark.parametrize(("one", "verbatim", "name", "rank", "qualifier"), PUBLISHED)
def test_name_is_written_as_published_and_read_back(one, verbatim, name, rank, qualifier):
    found = write_name(one, "Cardiidae")
    assert (found.verbatim, found.scientific_name) == (verbatim, name)
    assert (found.rank, found.qualifier) == (rank, qualifier)
    assert not SIGN.search(found.scientific_name)
    assert read_name(verbatim) == one


def test_divers_picture_is_recorded_as_in_the_worked_record():
    """The worked record: genus, `Tridacna squamosa sp. inc.`, from “Tridacna squamosa?”."""
    read = read_name("Tridacna squamosa?")
    assert read == Doubted("Tridacna squamosa", "?")
    found = write_name(Doubted(read.name, "sp. inc."))
    assert (found.scientific_name, found.rank) == ("Tridacna", "genus")
    assert found.qualifier == "Tridacna squamosa sp. inc."


@pytest.mark.parametrize(
    ("written", "sign"),
    [
        ("Tridacna cf maxima", "cf."),
        ("Tridacna CF. maxima", "cf."),
        ("Tridacna cfr. maxima", "cf."),
        ("Tridacna conf. maxima", "cf."),
        ("Tridacna aff maxima", "aff."),
        ("Tridacna sp. aff. maxima", "aff."),
        ("Tridacna ex gr. maxima", "ex gr."),
        ("Tridacna gr. maxima", "ex gr."),
        ("Tridacna nr maxima", "nr."),
        ("Tridacna prox. maxima", "prox."),
        ("Tridacna maxima sp inc", "sp. inc."),
        ("Tridacna maxima inc.", "sp. inc."),
        ("Tridacna maxima ?", "?"),
        ("Tridacna maxima n. sp.", "sp. nov."),
        ("Tridacna maxima sp. nov.", "sp. nov."),
    ],
)
def test_every_spelling_of_a_sign_is_read(written, sign):
    assert read_name(written) == Doubted("Tridacna maxima", sign)


@pytest.mark.parametrize(
    ("written", "sign"),
    [
        ("Tridacna sp", "sp."),
        ("Tridacna spp.", "spp."),
        ("Tridacna ind.", "indet."),
        ("tridacna INDET", "indet."),
        ("Tridacna stet", "stet."),
        ("Tridacna gen inc", "gen. inc."),
        ("Tridacna", ""),
    ],
)
def test_every_spelling_of_a_sign_after_a_genus_is_read(written, sign):
    assert read_name(written) == Doubted("Tridacna", sign)


AUTHORITIES = (
    "",
    BY,
    "Lamarck, 1819",
    "(Linnaeus, 1758)",
    "Roa-Quiaoit, Kochzius, Jantzen, Al-Zibdah & Richter in Richter et al., 2008",
)


@given(
    st.one_of(
        st.builds(
            Doubted,
            st.sampled_from([one.name for one in GUIDE.tables.taxa]),
            st.sampled_from(["", *BEFORE_EPITHET, *AFTER_SPECIES]),
            st.sampled_from(AUTHORITIES),
        ),
        st.builds(
            Doubted,
            st.sampled_from(["Tridacna", "Hippopus"]),
            st.sampled_from(["", *AFTER_GENUS, "gen. inc.", "?"]),
            st.sampled_from(["", "Bruguière, 1797"]),
        ),
    )
)
def test_what_is_written_is_read_back(one):
    found = write_name(one, "Cardiidae")
    assert read_name(found.verbatim) == one
    assert not SIGN.search(found.scientific_name)


def test_sign_that_does_not_stand_with_a_rank_is_refused():
    with pytest.raises(ValueError, match="indet"):
        write_name(Doubted("Tridacna maxima", "indet."))
    with pytest.raises(ValueError, match="cf"):
        write_name(Doubted("Tridacna", "cf."))


# -- what an answer proposes ---------------------------------------------------------------

SQUAMOSA = [
    Scored("incurrent_margin", "large_branched"),
    Scored("mantle_extent", "beyond"),
    Scored("eyes", "sparse"),
    Scored("scutes", "all_over"),
    Scored("scute_size", "large"),
    Scored("scute_spacing", "wide"),
    Scored("fold_strength", "strong"),
    Scored("upper_margin", "rounded_lobes"),
    Taken("shell_length", 220, 2.0),
]
ABOVE = Circumstances(living=True, views=frozenset({"living_from_above"}))


def test_sure_answer_is_written_without_a_sign_and_with_its_authority():
    answer = identify(GUIDE, SQUAMOSA)
    assert answer.stated >= GUIDE.settings.plain_at
    assert answer.written == Written(
        "Tridacna squamosa",
        "Lamarck, 1819",
        "species",
        "",
        "Tridacna squamosa Lamarck, 1819",
    )
    assert text(answer.text) == "Tridacna squamosa Lamarck, 1819"


def test_answer_less_sure_is_sp_inc_and_its_certain_name_the_genus():
    little = [SQUAMOSA[0], SQUAMOSA[5], SQUAMOSA[7]]
    answer = identify(GUIDE, little)
    assert (answer.level, answer.candidates[0].against) == ("species", ())
    assert answer.stated < GUIDE.settings.plain_at
    assert answer.written.scientific_name == "Tridacna"
    assert answer.written.qualifier == "Tridacna squamosa sp. inc."
    assert text(answer.text) == "Tridacna squamosa Lamarck, 1819 sp. inc."


def test_what_something_speaks_against_is_compared_if_it_is_kept_and_sp_inc_on_a_picture():
    odd = [*SQUAMOSA, Scored("warts", "many"), Scored("burrowing", "full")]
    kept = identify(GUIDE, odd)
    assert (kept.level, kept.stated < GUIDE.settings.plain_at) == ("species", True)
    assert kept.candidates[0].against
    assert kept.written.verbatim == "Tridacna cf. squamosa Lamarck, 1819"
    seen = identify(GUIDE, odd, ABOVE)
    assert seen.written.verbatim == "Tridacna squamosa Lamarck, 1819 sp. inc."


def test_group_is_indet_with_the_species_in_question_behind():
    answer = identify(
        GUIDE,
        [Scored("mantle_extent", "within"), Scored("burrowing", "none"),
         Scored("warts", "absent"), Scored("ringed_spots", "absent")],
        ABOVE,
    )  # fmt: skip
    assert answer.written == Written(
        "Hippopus", "", "genus", "indet.", "Hippopus indet. (H. hippopus / H. porcellanus)"
    )
    assert text(answer.text).startswith("Hippopus indet. (H. hippopus / H. porcellanus): ")


def test_young_shell_is_indet_without_species_behind():
    young = identify(GUIDE, [*SQUAMOSA[:-1], Taken("shell_length", 25, 1.0)])
    assert (young.level, young.written.verbatim) == ("genus", "Tridacna indet.")


def test_species_of_two_genera_leave_the_family_and_two_at_once_are_crossed():
    taxa = [GUIDE.tables.taxon(one) for one in ("tridacna_derasa", "hippopus_porcellanus")]
    found = propose(
        taxa, "undecided", "fits_well", 0.85, GUIDE.settings, against=False, kept=True
    )
    assert (found.scientific_name, found.rank) == ("Cardiidae", "family")
    assert found.verbatim == "Cardiidae gen. et sp. indet. (T. derasa / H. porcellanus)"
    parents = [GUIDE.tables.taxon(one) for one in ("tridacna_maxima", "tridacna_squamosa")]
    found = propose(
        parents, "between", "fits_poorly", 0.85, GUIDE.settings, against=True, kept=True
    )
    assert found.verbatim == "Tridacna indet. (T. maxima × T. squamosa)"


def test_where_nothing_fits_or_nothing_tells_no_name_is_proposed():
    strange = identify(GUIDE, [Taken("main_folds", 28, 0.5), Taken("hinge_ratio", 0.1, 0.01),
                               Taken("height_ratio", 1.05, 0.01)])  # fmt: skip
    assert strange.fit.word == "does_not_fit"
    assert strange.written == Written()
    for little in ([], [Scored("closure", "tight")]):
        answer = identify(GUIDE, little)
        assert (answer.level, answer.written) == ("none", Written())
