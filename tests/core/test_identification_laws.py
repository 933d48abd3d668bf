"""Laws of the reasoning that hold for any guide and any observations."""

from __future__ import annotations

from math import exp, log

from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx

from landmarks.identification import (
    Settings,
    compile_tables,
    conclude,
    identify,
    identify_many,
    weigh,
    what_if,
)
from landmarks.observations import (
    CONDITIONS,
    ORIGINS,
    ZONES,
    Circumstances,
    Condition,
    Scored,
    Taken,
)
from landmarks.tables import read_tables
from tests.core.guides import guide, often, scored

TABLES = read_tables()
GUIDE = compile_tables(TABLES)
REGIONS = [None, *(one.key for one in TABLES.regions)]


@st.composite
def observations(draw, least=0):
    """Some characters of the shipped tables, each seen somehow, in any order."""
    chosen = draw(
        st.lists(st.sampled_from(TABLES.characters.rows), min_size=least, unique=True)
    )
    seen = []
    for one in chosen:
        if one.scored:
            state = draw(st.sampled_from([s.key for s in one.states]))
            pixels = draw(st.sampled_from([None, 2.0, 20.0]))
            seen.append(Scored(one.key, state, draw(st.booleans()), pixels))
        else:
            low, high = one.span or (0.0, 1.0)
            value = draw(st.floats(low, high))
            sigma = draw(st.sampled_from([0.0, 0.01 * high]))
            seen.append(Taken(one.key, value, sigma, at_least=draw(st.booleans())))
    return seen


circumstances = st.builds(
    Circumstances,
    region=st.sampled_from(REGIONS),
    use_region=st.booleans(),
    origin=st.sampled_from(ORIGINS),
    conditions=st.lists(
        st.builds(Condition, st.sampled_from(CONDITIONS), st.sampled_from(ZONES)),
        max_size=2,
    ).map(tuple),
)


@given(observations(), circumstances, st.randoms())
@settings(max_examples=60)
def test_order_of_scoring_never_matters(seen, now, chance):
    mixed = list(seen)
    chance.shuffle(mixed)
    assert weigh(GUIDE, mixed, now) == weigh(GUIDE, seen, now)
    assert identify(GUIDE, mixed, now) == identify(GUIDE, seen, now)


@given(observations(), circumstances)
@settings(max_examples=60)
def test_probabilities_are_probabilities(seen, now):
    found = weigh(GUIDE, seen, now)
    assert sum(found) == approx(1.0, abs=1e-12)
    assert min(found) > 0
    answer = identify(GUIDE, seen, now)
    ranked = {one.taxon: one.probability for one in answer.candidates}
    assert [ranked[key] for key in GUIDE.taxa] == approx(list(found))
    assert sum(one.stated for one in answer.candidates) == approx(1.0)
    assert 0 <= answer.fit.value <= 1


@given(observations(least=1), circumstances)
@settings(max_examples=120)
def test_what_is_ruled_out_never_leads_and_stands_far_behind(seen, now):
    best, *others = identify(GUIDE, seen, now).candidates
    assert best.ruled_out_by == ()
    for one in others:
        if one.ruled_out_by:
            assert one.probability < best.probability * exp(-2.5) * (1 + 1e-9)


@given(observations(least=1), circumstances, st.data())
@settings(max_examples=120)
def test_supporting_observation_never_lowers_the_species_it_supports(seen, now, data):
    one = data.draw(st.sampled_from(seen))
    if one.character == "shell_length":
        return  # the size also chooses what the other characters are compared with
    rest = [other for other in seen if other is not one]
    answer = identify(GUIDE, seen, now)
    before = dict(zip(GUIDE.taxa, weigh(GUIDE, rest, now), strict=True))
    for candidate in answer.candidates:
        for reason in candidate.supports:
            if reason.character == one.character:
                assert candidate.probability >= before[candidate.taxon] * (1 - 1e-9)


@given(
    st.lists(
        st.lists(st.floats(0.02, 0.98), min_size=4, max_size=4), min_size=1, max_size=5
    ),
    st.integers(0, 3),
    st.floats(0.0, 1.0),
)
@settings(max_examples=120)
def test_state_that_is_most_usual_in_a_species_never_lowers_it_in_a_group(
    rows, taxon, further
):
    """Whatever else its group says, and however much the group is tempered."""
    best = max(rows[-1])
    rows[-1][taxon] = best
    names = [f"c{i}" for i in range(len(rows))]
    cells = [
        often(f"a_{t}", name, state, share)
        for name, row in zip(names, rows, strict=True)
        for t in range(4)
        for state, share in (("x", row[t]), ("y", 1 - row[t]))
    ]
    characters = [scored(name, "x", "y", group="same") for name in names]
    one = guide("a_0 a_1 a_2 a_3", characters, cells, Settings(tempering=further))
    seen = [Scored(name, "x") for name in names]
    assert weigh(one, seen)[taxon] >= weigh(one, seen[:-1])[taxon] * (1 - 1e-9)


@given(
    observations(),
    circumstances,
    st.sampled_from([one for one in TABLES.characters if one.scored]),
)
@settings(max_examples=60)
def test_what_if_is_what_follows_when_the_state_is_seen(seen, now, character):
    tried = what_if(GUIDE, seen, now, character.key)
    assert list(tried) == [state.key for state in character.states]
    rest = [one for one in seen if one.character != character.key]
    for state, found in tried.items():
        seen_so = weigh(GUIDE, [*rest, Scored(character.key, state)], now)
        assert list(found) == approx(list(seen_so), abs=1e-12)


@given(observations(), circumstances)
@settings(max_examples=40)
def test_conclusion_is_what_the_whole_answer_comes_to(seen, now):
    answer, found = identify(GUIDE, seen, now), conclude(GUIDE, seen, now)
    assert (found.decision.level, found.capped, found.fit) == (
        answer.level,
        answer.capped,
        answer.fit,
    )
    assert tuple(GUIDE.taxa[one] for one in found.decision.taxa) == answer.taxa
    stated = {one.taxon: one.stated for one in answer.candidates}
    assert found.stated == tuple(stated[key] for key in GUIDE.taxa)


@given(st.lists(st.tuples(observations(), circumstances), min_size=1, max_size=8))
@settings(max_examples=40)
def test_many_at_once_are_weighed_as_one_by_one(specimens):
    together = identify_many(GUIDE, specimens)
    for found, (seen, now) in zip(together, specimens, strict=True):
        assert list(found) == approx(list(weigh(GUIDE, seen, now)), abs=1e-9)


@given(observations(least=1), circumstances)
@settings(max_examples=40)
def test_unsure_never_says_more_than_sure(seen, now):
    scores = [one for one in seen if isinstance(one, Scored)][:1]
    if not scores:
        return
    one = scores[0]
    spread = []
    for sure in (True, False):
        found = weigh(GUIDE, [Scored(one.character, one.state, sure)], now)
        flat = weigh(GUIDE, [], now)
        odds = [log(a / b) for a, b in zip(found, flat, strict=True)]
        spread.append(max(odds) - min(odds))
    assert spread[1] <= spread[0] + 1e-12
