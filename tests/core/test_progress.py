"""The five steps in words, the next landmark, and names as open nomenclature writes them."""

from dataclasses import replace

import pytest

from landmarks.collection import Picture
from landmarks.picture import PictureFile
from landmarks.placing import Placing
from landmarks.progress import FULL, HALF, NONE, STEPS, name_words, next_landmark, steps
from landmarks.scheme import VIEWS
from landmarks.sentences import text
from landmarks.specimen import LEVELS, Determination, Frame, Specimen
from tests.core.shells import SIZE, VALVE, placings, ruler

NAMES = {
    "tridacna_maxima": "Tridacna maxima",
    "tridacna_noae": "Tridacna noae",
    "tridacna_squamosa": "Tridacna squamosa",
    "tridacna": "Tridacna",
}
FRAME = Frame("f", "p", "outside_of_valve")
PICTURE = Picture("p", "p.jpg", PictureFile("0" * 64, 1, *SIZE), ruler())


def named(level="species", *taxa, **kinds):
    return Determination("d", level, taxa, **kinds)


def walked(specimen, frame=FRAME, picture=PICTURE, characters=()):
    pictures = {} if picture is None else {"p": picture}
    made = steps(specimen, frame, pictures, characters, NAMES)
    assert tuple(one.key for one in made) == STEPS
    return {one.key: (one.has, text(one.words)) for one in made}


# -- Steps -----------------------------------------------------------------------------


def test_a_new_specimen_lacks_everything_and_says_so():
    assert walked(Specimen("s"), None, None) == {
        "picture": (NONE, "no picture yet"),
        "scale": (NONE, "none: ratios and scores only"),
        "landmarks": (NONE, "none in this view"),
        "characters": (NONE, "0 seen, 0 to look at"),
        "name": (NONE, "not named yet"),
    }


def test_a_finished_specimen_has_everything_and_says_what():
    specimen = Specimen(
        "s",
        frames=(FRAME,),
        placings=tuple(placings(VALVE)),
        determinations=(named("species", "tridacna_maxima"),),
    )
    assert walked(specimen, characters=[("scutes", True)]) == {
        "picture": (FULL, "outside of a valve"),
        # 1000 px on 125 mm: a thousandth of the ruler, and 1.5 px at both of its ends.
        "scale": (FULL, "8.000 ± 0.019 px per mm, two points"),
        "landmarks": (FULL, "8 of 8 placed"),
        "characters": (FULL, "1 seen, 0 to look at"),
        "name": (FULL, "Tridacna maxima"),
    }


def test_half_way_is_said_as_half_way():
    specimen = Specimen("s", frames=(FRAME,), placings=tuple(placings(VALVE)[:3]))
    found = walked(specimen, characters=[("scutes", True), ("outline", False)])
    assert found["landmarks"] == (HALF, "3 of 8 placed")
    assert found["characters"] == (HALF, "1 seen, 1 to look at")


def test_a_picture_whose_view_is_not_told_is_asked_for_it():
    assert walked(Specimen("s"), replace(FRAME, view=""))["picture"] == (
        HALF,
        "which view is it?",
    )


def test_words_of_a_later_version_are_said_as_they_are():
    later = replace(PICTURE, scale=ruler(method="by_sonar"))
    found = walked(Specimen("s"), replace(FRAME, view="by_sonar"), later)
    assert found["picture"] == (FULL, "by_sonar")
    assert found["scale"][1].endswith("px per mm, by_sonar")
    assert found["landmarks"] == (NONE, "none in this view")


def test_landmarks_of_blind_repeats_do_not_count_as_placed():
    repeats = tuple(replace(one, occasion="blind_repeat") for one in placings(VALVE))
    specimen = Specimen("s", frames=(FRAME,), placings=repeats)
    assert walked(specimen)["landmarks"] == (NONE, "0 of 8 placed")


# -- The next landmark -------------------------------------------------------------------


def test_landmarks_are_asked_for_in_the_order_of_the_scheme():
    specimen, asked = Specimen("s", frames=(FRAME,)), []
    while (key := next_landmark(specimen, FRAME)) is not None:
        asked.append(key)
        specimen = specimen.with_one(Placing(key, "f", key, VALVE[key]))
    assert asked == [
        one.key for one in VIEWS["outside_of_valve"].landmarks if one.key in VALVE
    ]


def test_what_a_frame_is_complete_without_is_asked_last_and_only_when_wanted():
    full = Specimen("s", frames=(FRAME,), placings=tuple(placings(VALVE)))
    assert next_landmark(full, FRAME) is None
    assert walked(full)["landmarks"] == (FULL, "8 of 8 placed")
    asked = []
    while (key := next_landmark(full, FRAME, optional=True)) is not None:
        asked.append(key)
        full = full.with_one(Placing(key, "f", key, reason="hidden"))
    scutes = ["scutes", "scute_left", "scute_right"]
    assert asked == ["upper_margin_line", *scutes, "valve_outline"]
    assert walked(full)["landmarks"] == (FULL, "8 of 8 placed")


@pytest.mark.parametrize("reason", ["worn", "hidden", "broken", "outside_picture", "none"])
def test_what_cannot_be_placed_is_answered_and_not_asked_again(reason):
    first = VIEWS["outside_of_valve"].landmarks[0].key
    specimen = Specimen("s").with_one(Placing("p", "f", first, reason=reason))
    assert next_landmark(specimen, FRAME) != first


def test_a_view_without_a_scheme_asks_for_nothing():
    assert next_landmark(Specimen("s"), replace(FRAME, view="label")) is None
    assert next_landmark(Specimen("s"), replace(FRAME, view="by_sonar")) is None


# -- Names: qualifiers stand where open nomenclature puts them (Sigovini, Keppel &
# Tagliapietra 2016; its order was read in a marine data manual, the paper was not) ----------


@pytest.mark.parametrize(
    ("determination", "written"),
    [
        (named("species", "tridacna_maxima"), "Tridacna maxima"),
        (named("species", "tridacna_maxima", qualifier="cf."), "Tridacna cf. maxima"),
        (named("species", "tridacna_maxima", qualifier="aff."), "Tridacna aff. maxima"),
        (named("species", "tridacna_maxima", qualifier="sp. inc."), "Tridacna maxima sp. inc."),
        (named("species", "tridacna_maxima", qualifier="?"), "Tridacna maxima ?"),
        (named("genus", "tridacna"), "Tridacna sp."),
        (
            named("group", "tridacna_maxima", "tridacna_noae"),
            "Tridacna maxima or Tridacna noae",
        ),
        (
            named("group", "tridacna_maxima", "tridacna_noae", "tridacna_squamosa"),
            "Tridacna maxima, Tridacna noae or Tridacna squamosa",
        ),
        (named("group", "tridacna_maxima"), "Tridacna maxima"),
        (
            named("hybrid", "tridacna_maxima", "tridacna_squamosa"),
            "Tridacna maxima × Tridacna squamosa",
        ),
        (named("not_a_giant_clam"), "not a giant clam"),
        (named("unresolved"), "cannot be settled"),
        (named("free_text", name="Tridacna sp. 3 (2019)"), "Tridacna sp. 3 (2019)"),
        (named("species", name="Cerastoderma edule"), "Cerastoderma edule"),
        (named("species", "unknown_key"), "unknown_key"),
    ],
)  # fmt: skip
def test_a_name_is_written_as_it_was_given(determination, written):
    assert text(name_words(determination, NAMES)) == written


@pytest.mark.parametrize("level", LEVELS)
def test_every_level_has_words_even_with_nothing_in_it(level):
    assert isinstance(text(name_words(named(level), NAMES)), str)


def test_the_latest_determination_is_the_name():
    first = named("species", "tridacna_maxima", at="2024-01-01T00:00:00Z")
    later = replace(first, id="e", taxa=("tridacna_noae",), at="2025-01-01T00:00:00Z")
    specimen = Specimen("s", determinations=(later, first))
    assert walked(specimen)["name"] == (FULL, "Tridacna noae")


def test_a_name_given_by_a_stranger_is_said_literally():
    odd = named("free_text", name="{0} {name} <b>x</b>")
    assert text(name_words(odd, NAMES)) == "{0} {name} <b>x</b>"
