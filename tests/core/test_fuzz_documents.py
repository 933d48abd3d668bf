"""Records and whole collections as JSON, spoilt at random: a sentence, or a clean reading."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import strategies as st

from landmarks.assessment import assess
from landmarks.codec import read_json, write_json
from landmarks.documents import (
    Whole,
    read_collection,
    read_record,
    write_collection,
    write_record,
)
from landmarks.errors import DocumentError, HingelineError
from landmarks.identification import compile_tables
from landmarks.tables import read_tables
from tests.core.fuzzing import TIMES, hostile_json, often, said, spoilt
from tests.strategies import abouts, pictures, specimens

pytestmark = pytest.mark.timeout(1800)

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("times", TIMES)
def test_bytes_of_any_kind_are_json_or_a_sentence(times):
    @often(times, content=st.binary(max_size=200) | st.text(max_size=200).map(str.encode))
    def body(content):
        try:
            raw = read_json(content, "record.json")
        except DocumentError as fault:
            said(fault, "record.json")
        else:
            write_json(raw)


@pytest.mark.parametrize("times", TIMES)
def test_a_spoilt_record_is_read_or_refused_and_what_was_read_is_written_back(times):
    guide = compile_tables(read_tables())

    @often(times, whole=specimens, seen=st.lists(pictures, max_size=2), data=st.data())
    def body(whole, seen, data):
        raw = json.loads(write_json(write_record(whole, seen)))
        for _ in range(data.draw(st.integers(1, 3))):
            raw = spoilt(raw, data)
        try:
            raw = read_json(json.dumps(raw), "record.json")
            specimen, brought = read_record(raw, "record.json")
            again = read_record(read_json(write_json(write_record(specimen, brought)), ""))
            assert again == (specimen, brought)
        except HingelineError as fault:
            said(fault)
            return
        try:
            assess(specimen, {one.id: one for one in brought}, guide)
        except HingelineError as fault:
            said(fault)


@pytest.mark.parametrize("times", TIMES)
def test_a_spoilt_whole_collection_is_read_or_refused(times):
    @often(times, about=abouts, some=st.lists(specimens, max_size=2), data=st.data())
    def body(about, some, data):
        raw = json.loads(write_json(write_collection(Whole(about, specimens=tuple(some)))))
        raw = spoilt(raw, data)
        try:
            whole = read_collection(read_json(json.dumps(raw), "whole.json"))
            assert read_collection(write_collection(whole)) == whole
        except HingelineError as fault:
            said(fault)


@pytest.mark.parametrize("times", TIMES)
def test_json_of_any_form_is_no_record_and_says_so(times):
    @often(times, raw=hostile_json)
    def body(raw):
        for read in (read_record, read_collection):
            with pytest.raises(DocumentError):
                read(raw)


BOMBS = {
    "empty lists": '"[" + "[]," * 60_000_000 + "[]]"',
    "deep lists": '"[" * 5_000_000',
    "deep objects": "'{\"a\":' * 2_000_000",
    "a long number": '"[" + "9" * 50_000_000 + "]"',
    "many numbers": '"[" + "0," * 100_000_000 + "0]"',
    "one long text": "'\"' + \"x\" * 200_000_000 + '\"'",
    "too large": '" " * 300_000_000',
}


@pytest.mark.skipif(sys.platform == "win32", reason="limits of POSIX systems")
@pytest.mark.parametrize("bomb", BOMBS)
def test_bombs_of_json_are_a_sentence_within_little_memory(bomb):
    """Four times the largest file, and the interpreter, is all that may be held."""
    program = f"""
import resource
resource.setrlimit(resource.RLIMIT_AS, (2 * 2**30, 2 * 2**30))
from landmarks.codec import read_json
from landmarks.errors import DocumentError
content = ({BOMBS[bomb]}).encode()
try:
    read_json(content, "bomb.json")
except DocumentError as fault:
    assert "bomb.json" in str(fault)
"""
    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr[-500:]
