"""Spoiling what others send: how often, and with what."""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

TIMES = [40, pytest.param(1000, marks=pytest.mark.long)]
"""Examples on every day, and in the long tests."""

HOSTILE_WORDS = (
    "", " ", "\0", "=1+1", "-", "nan", "inf", "1e400", "-1", "0", "true", "9" * 400, "x" * 5000,
    "<img src=x>", "'; DROP TABLE parts; --", "\u202e\u0301", "../../x", "//host/x", "ключ", ";",
    ",", '"', "a;b;c", "\t",
)  # fmt: skip

hostile_json = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**17), 10**17)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.sampled_from([1e308, -1e308, 5e-324, 0.0, -0.0, 2**53])
    | st.sampled_from(HOSTILE_WORDS)
    | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4)
    | st.dictionaries(st.sampled_from(HOSTILE_WORDS[:6]) | st.text(max_size=6), inner,
                      max_size=4),
    max_leaves=12,
)  # fmt: skip
"""Anything that JSON can say."""


OTHERS = os.environ.get("HINGELINE_FUZZ_SEED", "")
"""A number that makes the examples others than those of every day."""


def often(times, **strategies):
    """Run a function with many examples, always the same ones unless others are asked for."""

    def run(body):
        test = given(**strategies)(body)
        if OTHERS:
            test = seed(int(OTHERS))(test)
        settings(
            max_examples=times,
            deadline=None,
            database=None,
            derandomize=not OTHERS,
            phases=(Phase.generate,),
            suppress_health_check=list(HealthCheck),
        )(test)()

    return run


def said(fault, *words):
    """Expect one sentence that can be read, with these words in it."""
    sentence = str(fault)
    assert 10 < len(sentence) < 2000
    for one in words:
        assert one in sentence


def spoilt(raw, data):
    """Return JSON in which one place, wherever it is, holds something else or is gone."""
    if isinstance(raw, dict) and raw and data.draw(st.integers(0, 5)):
        key = data.draw(st.sampled_from(sorted(raw)))
        what = data.draw(st.integers(0, 7))
        if what == 0:
            return {name: one for name, one in raw.items() if name != key}
        if what == 1:
            return {**raw, data.draw(st.sampled_from(HOSTILE_WORDS)): raw[key]}
        return {**raw, key: spoilt(raw[key], data)}
    if isinstance(raw, list) and raw and data.draw(st.integers(0, 5)):
        at = data.draw(st.integers(0, len(raw) - 1))
        if data.draw(st.integers(0, 7)) == 0:
            return [*raw, raw[at]]
        return [*raw[:at], spoilt(raw[at], data), *raw[at + 1 :]]
    return data.draw(hostile_json)
