"""Conditions as anybody might type or keep them: a sentence, or the same in every store."""

import time
from contextlib import closing

import pytest
from hypothesis import strategies as st

from landmarks.codec import decode, encode
from landmarks.errors import HingelineError
from landmarks.finding import (
    Filter,
    SavedFilter,
    fields,
    filter_words,
    parse_filter,
    saved_filter_parts,
    saved_filters_of,
    written,
)
from landmarks.finding.conditions import RELATIONS
from landmarks.sentences import text
from landmarks.storage import Query, open_sqlite
from tests.core.fuzzing import HOSTILE_WORDS, hostile_json, often, said
from tests.strangers import WORDS, full_of_words

pytestmark = pytest.mark.timeout(1800)

FEW = [12, pytest.param(1000, marks=pytest.mark.long)]

PIECES = st.sampled_from(
    [
        *sorted(fields()), *RELATIONS, *WORDS.values(), *HOSTILE_WORDS,
        "surely", "between", "and", "is", "is not", "lacks", "has", "contains", ">=", "<", "=",
        "is known", "unknown", "80", "1e3", "-0", "٣", "²", "80 mm", "50 %", "2026-03",
        "٢٠٢٦-٠٣", "yes", "'", '"', "“", "”", "%", "*", "_", "NEAR", "(", "\\", " ",
    ]
)  # fmt: skip
typed = st.lists(PIECES | st.text(max_size=5), max_size=7).map(" ".join)


@pytest.fixture(scope="module")
def drawer(tmp_path_factory):
    """A collection in which every text is a stranger's."""
    path = tmp_path_factory.mktemp("drawer") / "drawer.hingeline"
    with closing(open_sqlite(full_of_words(path))) as store:
        yield store


def found(store, query):
    """Ask for a list and its length; either is an answer or a sentence."""
    try:
        n = store.count(query)
        assert len(store.list(query)) == n
    except HingelineError as fault:
        said(fault)


@pytest.mark.parametrize("times", FEW)
def test_whatever_is_typed_is_a_condition_or_a_sentence(times, drawer):
    @often(times, typed=typed, words=st.text(max_size=9) | st.sampled_from(HOSTILE_WORDS))
    def body(typed, words):
        begun = time.process_time()
        try:
            one = parse_filter(typed)
        except HingelineError as fault:
            said(fault)
        else:
            assert parse_filter(written(one)) == one
            assert decode(Filter, encode(one)) == one
            assert text(filter_words(one))
            found(drawer, Query(filters=(one,)))
        found(drawer, Query(text=words))
        assert time.process_time() - begun < 2.0


@pytest.mark.parametrize("times", FEW)
def test_whatever_is_kept_as_a_filter_is_read_or_a_sentence(times, drawer):
    kept = st.fixed_dictionaries(
        {},
        optional={
            "id": hostile_json,
            "name": hostile_json,
            "text": hostile_json,
            "order": hostile_json | st.sampled_from(sorted(fields())),
            "descending": hostile_json | st.booleans(),
            "filters": st.lists(
                st.fixed_dictionaries(
                    {
                        "field": st.sampled_from(sorted(fields())) | hostile_json,
                        "relation": st.sampled_from(list(RELATIONS)) | hostile_json,
                    },
                    optional={
                        "values": st.lists(hostile_json, max_size=3),
                        "surely": hostile_json,
                    },
                ),
                max_size=2,
            ),
        },
    )

    @often(times, raw=kept)
    def body(raw):
        try:
            (one,) = saved_filters_of({"filter/x": {"id": "x", "name": "y", **raw}})
            assert isinstance(one, SavedFilter)
            (again,) = saved_filters_of(saved_filter_parts(one))
            assert again == one
            query = Query(
                text=one.text,
                filters=one.filters,
                order=one.order,
                descending=one.descending,
            )
        except HingelineError as fault:
            said(fault)
            return
        for condition in one.filters:
            assert text(filter_words(condition))
        found(drawer, query)
