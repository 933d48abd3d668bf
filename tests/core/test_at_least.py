"""There are more of them than could be marked: from the placing to the answer and back."""

from dataclasses import replace
from math import erf, exp, sqrt

import pytest
from pytest import approx

from landmarks.agreement import Untold
from landmarks.assessment import assess, measure_notes, measure_rows, measure_words
from landmarks.changes import ChangeSet, Document, difference
from landmarks.codec import decode, encode
from landmarks.combination import Reading, settle
from landmarks.demo import example_store
from landmarks.documents import read_record, write_record
from landmarks.errors import DocumentError, PlacingError
from landmarks.figures import Lozenge, figure_of
from landmarks.finding import fits, parse_filter
from landmarks.geometry import Point
from landmarks.identification import compile_tables, identify, weigh
from landmarks.measures import MEASURES, Measured, measure
from landmarks.observations import Circumstances, Condition, Taken
from landmarks.outputs.answers import measure_json
from landmarks.outputs.inspection import inspect_collection
from landmarks.outputs.spreadsheets import write_tables
from landmarks.placing import Placing
from landmarks.repeats import measures_repeated, own_doubt
from landmarks.scheme import VIEWS
from landmarks.sentences import Sentence, text
from landmarks.specimen import Observation, Specimen, parts_of, specimen_of
from landmarks.storage.telling import history_rows
from landmarks.summaries import derive, renew_summaries, stale_specimens, today_of
from landmarks.tables import read_tables
from landmarks.units import Cause, uncertain
from tests.benchmarks.hidden_folds import (
    ALONE,
    EXACT,
    HIDDEN,
    KNOWN,
    NOTHING,
    WHOLE,
    gains,
    mean_of,
    specimens,
    tried,
)
from tests.core.guides import guide, measured, number
from tests.core.shells import OUTSIDE, VALVE, placings, setting
from tests.core.test_assessment import PICTURES, shell
from tests.core.test_telling import HERE, commit

FOLDS = Placing("f", "outside", "main_folds", VALVE["main_folds"])
MORE = replace(FOLDS, at_least=True)


def with_more(specimen, *series):
    """Return a specimen of which some series have more than could be marked."""
    said = [replace(one, at_least=one.landmark in series) for one in specimen.placings]
    return replace(specimen, placings=tuple(said))


def row_of(specimen, key):
    return next(one for one in measure_rows(specimen, PICTURES) if one.key == key)


# -- The placing ---------------------------------------------------------------------------


def test_at_least_none_is_refused_by_construction_and_named_in_a_record():
    with pytest.raises(PlacingError, match="one mark or more"):
        Placing("f", "outside", "main_folds", at_least=True)
    raw = {"format": 1, "placings": [encode(FOLDS) | {"at_least": True, "points": []}]}
    with pytest.raises(DocumentError, match=r"placings\[0\].*one mark or more"):
        read_record(raw)
    raw["placings"][0] |= {"points": [[1, 2]], "at_least": "yes"}
    with pytest.raises(DocumentError, match="at_least"):
        read_record(raw)


def test_a_record_of_before_says_all_are_marked_and_one_of_today_comes_back_the_same():
    assert "at_least" not in encode(FOLDS), (
        "a default is not written: older files are alike"
    )
    assert decode(Placing, encode(FOLDS)) == FOLDS
    specimen = with_more(shell(), "main_folds")
    written = write_record(specimen)
    assert [one["landmark"] for one in written["placings"] if one.get("at_least")] == [
        "main_folds"
    ]
    assert read_record(written)[0].placings == specimen.placings
    # Whoever does not know the word keeps it beside what it knows.
    stranger = encode(FOLDS) | {"at_most": True}
    assert encode(decode(Placing, stranger)) == stranger


# -- Measures ------------------------------------------------------------------------------


def test_what_grows_with_a_series_is_one_sided_and_nothing_else():
    series = {row.grows_with for row in MEASURES.values()} - {""}
    assert series == {"main_folds", "end_folds", "scutes", "tentacles", "eyes"}
    one_sided = {"main_folds", "end_folds", "scute_count", "tentacle_count", "eye_density"}
    found = {}
    for view, scheme in VIEWS.items():
        marks = [
            Placing(
                key,
                "f",
                key,
                tuple(Point(300 + 90 * i, 400 + 60 * n + 7 * i * i) for i in range(9))
                if row.grows
                else (Point(300 + 90 * n, 500 + 13 * n * n),),
                at_least=key in series,
            )
            for n, row in enumerate(scheme.landmarks)
            for key in [row.key]
        ]
        for one in measure(setting(), scheme, marks, "f"):
            if isinstance(one, Measured):
                found.setdefault(one.key, set()).add((view, one.at_least))
    assert one_sided | {"scute_gap", "scute_growth", "eye_regularity"} <= found.keys()
    for key, said in found.items():
        wanted = key in one_sided or MEASURES[key].at_least
        assert {least for _, least in said} == {wanted}, key


def test_a_true_zero_and_all_marked_stay_exact():
    (row,) = (
        one
        for one in measure(setting(), OUTSIDE, placings(), "f")
        if one.key == "main_folds"
    )
    assert not row.at_least
    none = [Placing("n", "f", "main_folds", reason="none")]
    (row,) = (
        one for one in measure(setting(), OUTSIDE, none, "f") if one.key == "main_folds"
    )
    assert (row.value.value, row.at_least) == (0.0, False)


@pytest.mark.parametrize(
    ("said", "settled"),
    [
        ("5 ≥6", "≥6"),  # nobody counts a fold that is not there
        ("5 5 ≥6", "5"),  # what most pictures give
        ("6 ≥5", "6"),
        ("5 ≥5", "5"),
        ("≥5 ≥6", "≥6"),
        ("5 6 ≥6", "6"),
        ("6 8 ≥5", "8"),
        ("5 ≥6 ≥7", "≥7"),
        ("4 ≥4 ≥5 ≥6", "≥6"),
        ("≥5", "≥5"),
    ],
)
def test_counts_and_bounds_of_several_pictures_settle_whatever_their_order(said, settled):
    readings = [
        Reading(
            uncertain(float(one[-1]), 0.5, "count", Cause("counting", f"{n}")),
            "derived",
            f"frame {n}",
            one.startswith("≥"),
            (f"frame {n}",),
        )
        for n, one in enumerate(said.split())
    ]
    for order in (readings, readings[::-1]):
        found = settle(order)
        best = found.best
        assert f"{'≥' * best.at_least}{best.quantity.value:.0f}" == settled
        assert len(best.frames) + len(found.others) == len(readings)
        assert found.differs is None, "one fold more or less is what counting is"


def test_two_frames_of_a_specimen_settle_and_show_each_other():
    inside = replace(shell().frames[0], id="hinge", picture="hinge", number=1)
    six = (*VALVE["main_folds"], Point(1500, 400))
    both = replace(
        shell(),
        frames=(shell().frames[0], replace(inside, view="inside_of_valve")),
        placings=(FOLDS, Placing("g", "hinge", "main_folds", six, at_least=True)),
    )
    row = row_of(both, "main_folds")
    assert (text(measure_words(row)), row.frame) == ("≥ 6", "hinge")
    assert [(one.quantity.value, one.at_least) for one in row.others] == [(5.0, False)]
    # A typed number stands: the person looked at the shell.
    typed = Observation("o", "main_folds", value=5.0, method="by_eye")
    row = row_of(replace(both, observations=(typed,)), "main_folds")
    assert (text(measure_words(row)), row.method) == ("5", "by_eye")
    # Of two valves each is said with what is known of it.
    frames = tuple(
        replace(one, part=part)
        for one, part in zip(both.frames, ("left_valve", "right_valve"), strict=True)
    )
    notes = measure_notes(row_of(replace(both, frames=frames), "main_folds"))
    assert [text(one) for one in notes] == ["left valve: 5", "right valve: ≥ 6"]


# -- The answer ----------------------------------------------------------------------------


def _normal(z):
    return 0.5 * (1 + erf(z / sqrt(2)))


def test_at_least_five_ranks_as_the_mathematics_of_one_sided_evidence_says():
    two = guide(
        "a_four_to_six a_five_to_seven",
        [measured("main_folds", "count", span=(0.0, 20.0))],
        [
            number("a_four_to_six", "main_folds", 4, 5, 6),
            number("a_five_to_seven", "main_folds", 5, 6, 7),
        ],
    )
    # By hand: 4 to 6 is the middle nine tenths, so one fold is 1.6449 of their spread; counting
    # adds half a fold. Exact: the two densities at 5. At least: how often a shell has 4.5 or
    # more, since 5 stands for all that round to it.
    spread = sqrt((1 / 1.6448536) ** 2 + 0.5**2)
    exact = 1.0, exp(-0.5 * (1 / spread) ** 2)
    least = _normal(0.5 / spread), _normal(1.5 / spread)

    def shares(specimen):
        answer = assess(specimen, PICTURES, two).answer
        return {one.taxon: one.probability for one in answer.candidates}

    bare = replace(shell(), placings=(FOLDS,))
    for specimen, (four, five) in ((bare, exact), (with_more(bare, "main_folds"), least)):
        found = shares(specimen)
        assert found["a_four_to_six"] == approx(four / (four + five), abs=1e-6)
    assert shares(bare)["a_four_to_six"] > 0.69
    assert shares(with_more(bare, "main_folds"))["a_four_to_six"] < 0.44
    # At least 5 is 5 or 6 or more: it is never rarer than 5 itself.
    each = [exp(-0.5 * (n / spread) ** 2) / spread / sqrt(6.2831853) for n in range(5)]
    assert least[0] == approx(sum(each), abs=0.03)
    assert least[0] > each[0]


def test_what_hides_folds_takes_nothing_from_a_lower_bound():
    """Nine folds that stand on a broken shell are nine, whatever broke away beside them."""
    known = compile_tables(read_tables())
    broken = Circumstances(conditions=(Condition("broken", "whole"),))
    for least in (False, True):
        seen = [Taken("main_folds", 9.0, 0.5, at_least=least)]
        whole, less = (weigh(known, seen, now) for now in (Circumstances(), broken))
        apart = max(abs(a - b) for a, b in zip(whole, less, strict=True))
        assert (apart > 0.1) is not least
        keys = {one.key for one in identify(known, seen, broken).cautions}
        assert ("caution.lost" in keys) is not least


def test_only_too_many_are_at_odds_with_a_cell_and_the_reason_says_at_least():
    one = guide(
        "a_one a_two",
        [measured("main_folds", "count", span=(0.0, 20.0))],
        [number("a_one", "main_folds", 4, 5, 6), number("a_two", "main_folds", 9, 10, 11)],
    )
    for n, keys in ((2.0, ("has", "has")), (8.0, ("above", "has"))):
        answer = identify(one, [Taken("main_folds", n, 0.5, at_least=True)])
        said = {c.taxon: c.reasons[0] for c in answer.candidates}
        assert [said[key].sentence.key for key in ("a_one", "a_two")] == [
            f"because.{key}" for key in keys
        ]
        assert f"≥ {n:.0f}" in text(said["a_one"].short)
        assert f"≥ {n:.0f}" in text(said["a_two"].sentence)


def test_at_least_tells_of_the_truth_what_a_count_with_folds_hidden_takes_away():
    """Simulated specimens, apart from the reasoning; the figures: self-consistency.md."""
    known = compile_tables(read_tables())
    own = specimens(known, 2000, 11)
    found = tried(known, own, ALONE, 11)
    gain = {
        key: mean_of(*gains(own, rows, found[0.0, NOTHING])) for key, rows in found.items()
    }
    for share in HIDDEN:
        least = gain[share, KNOWN]
        assert max(0.0, gain[share, EXACT].value) < least.value < gain[0.0, WHOLE].value
        assert least.low > 0.0
    assert gain[0.5, EXACT].high < 0.0


# -- What is kept, written and shown -------------------------------------------------------


def test_history_tells_it_in_words_and_the_same_placing_changed_is_one_change(store):
    bare = Specimen("s1", frames=shell().frames, placings=(FOLDS,))
    commit(store, None, bare, "before")
    commit(store, bare, bare.with_one(MORE), "after")
    row = history_rows(store.history(HERE))[0]
    (told,) = row.changes
    assert (text(told.before), text(told.after)) == ("5 points", "at least 5 points")
    assert parts_of(bare.with_one(MORE))["placing/f"]["at_least"] is True


def test_lists_searches_tables_and_the_check_know_it(tmp_path):
    store, known = example_store(), compile_tables(read_tables())
    today = today_of(store, known)
    for document, loaded in store.load(*store.documents("specimen")).items():
        specimen = specimen_of(document.id, loaded.parts)
        if {one.landmark for one in specimen.placings} >= {"main_folds", "end_folds"}:
            break
    more = with_more(specimen, "main_folds")
    here = Document("specimen", specimen.id)
    changes = difference(here, parts_of(specimen), parts_of(more))
    renew_summaries(store, today, stale_specimens(store, today))
    store.commit(ChangeSet("more", Sentence("deed.camera_distance"), changes))
    assert stale_specimens(store, today) == (specimen.id,)
    (derived,) = derive(store, today, [specimen.id])
    facts = [one for one in derived.facts if one.field == "main_folds"]
    (fact,) = facts
    assert fact.at_least
    assert fits(parse_filter(f"surely main_folds > {fact.number - 2:.0f}"), facts)
    assert not fits(parse_filter("surely main_folds < 30"), facts)
    renew_summaries(store, today, [specimen.id])
    inspection = inspect_collection(store, known)
    assert not inspection.faults, "what is kept is what is computed anew"

    write_tables(store, known, tmp_path / "csv", specimens=[specimen.id])
    rows = (tmp_path / "csv" / "measures.csv").read_text("utf-8-sig").splitlines()
    at = rows[0].split(",").index("at_least")
    said = {line.split(",")[2]: line.split(",")[at] for line in rows[1:]}
    assert (said["main_folds"], said["end_folds"]) == ("yes", "no")
    store.close()


def test_answers_and_marks_say_it():
    specimen = with_more(shell(), "main_folds")
    assert measure_json(row_of(specimen, "main_folds"))["at_least"] is True
    marks = figure_of(PICTURES["outside"], specimen, specimen.frames[0]).marks
    written = [one.written for one in marks if isinstance(one, Lozenge)]
    assert written == ["1", "2", "3", "4", "5+", "1", "2"]


def test_bounds_are_no_repeats():
    """Two counts of all that could be marked do not tell how far two counts would agree."""
    again = replace(MORE, id="again", occasion="blind_repeat", person="ann")
    for first, n in ((FOLDS, 0), (MORE, 0), (replace(FOLDS, person="ann"), 0)):
        one = replace(shell(), placings=(first, again))
        assert len(measures_repeated([one], PICTURES)) == n
    both = replace(again, at_least=False)
    one = replace(shell(), placings=(replace(FOLDS, person="ann"), both))
    assert [row.key for row in measures_repeated([one], PICTURES)] == ["main_folds"]
    many = [one] * 4
    assert own_doubt(many, "ann").n == 20
    bound = replace(one, placings=(replace(MORE, person="ann"), both))
    assert isinstance(own_doubt([bound] * 4, "ann"), Untold)
