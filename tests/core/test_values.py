"""Frozen values behave as those of the standard library, and cost less to make."""

import dataclasses
import inspect
import pickle
from dataclasses import KW_ONLY, FrozenInstanceError, InitVar, field, replace
from typing import ClassVar

import pytest

from landmarks import values


def written():
    """Return classes with every kind of field, not made into values yet."""

    class Empty:
        """Nothing in it."""

    class One:
        """A single field, which holds what equals nothing."""

        only: object

    class Many:
        """Fields of every kind that is used."""

        a: int
        b: str = "b"
        c: dict = field(default_factory=dict, hash=False)
        d: list = field(default_factory=list, init=False, compare=False, repr=False)
        e: int = field(init=False)
        f: int = field(default=6, init=False)

        def __post_init__(self):
            object.__setattr__(self, "e", self.a * 2)

        def __repr__(self):
            return "its own"

    class Alike:
        """Equal by its own measure, so that its hash has to be made all the same."""

        a: int

        def __eq__(self, other):
            return isinstance(other, Alike)

    return Empty, One, Many, Alike


def made_by(maker):
    return [maker(frozen=True, slots=True)(one) for one in written()]


PAIRS = list(zip(made_by(dataclasses.dataclass), made_by(values.dataclass), strict=True))
NAN = float("nan")
CALLS = {"Empty": [()], "One": [(1,), (NAN,), ((),)], "Many": [(1,), (1, "x"), (1, "b", {2: 3})],
         "Alike": [(1,), (2,)]}  # fmt: skip


@pytest.mark.parametrize(("theirs", "ours"), PAIRS, ids=CALLS)
def test_a_value_is_what_the_standard_library_makes(theirs, ours):
    known = [(f.name, f.default, f.init, f.compare) for f in dataclasses.fields(theirs)]
    assert [
        (f.name, f.default, f.init, f.compare) for f in dataclasses.fields(ours)
    ] == known
    assert ours.__slots__ == theirs.__slots__
    assert ours.__match_args__ == theirs.__match_args__
    assert not hasattr(ours(*CALLS[ours.__name__][0]), "__dict__")
    parameters = [inspect.signature(one).parameters for one in (theirs, ours)]
    assert list(parameters[0]) == list(parameters[1])
    calls = CALLS[ours.__name__]
    for call in calls:
        one, other = theirs(*call), ours(*call)
        assert repr(one) == repr(other)
        assert dataclasses.asdict(one) == dataclasses.asdict(other)
        assert hash(one) == hash(other)
        assert other != one
        for again in calls:
            assert (ours(*call) == ours(*again)) == (theirs(*call) == theirs(*again))
        for name in ours.__slots__:
            for each in (one, other):
                with pytest.raises(FrozenInstanceError, match=f"assign to field '{name}'"):
                    setattr(each, name, 1)
                with pytest.raises(FrozenInstanceError, match=f"delete field '{name}'"):
                    delattr(each, name)


def test_values_are_replaced_pickled_and_made_anew():
    _, _, many, _ = (ours for _, ours in PAIRS)
    one = many(1)
    assert replace(one, a=3).e == 6
    assert one.c is not many(1).c
    assert one.d is not many(1).d
    copied = many.__new__(many)
    copied.__setstate__(one.__getstate__())
    assert copied == one
    assert copied.e == 2
    from landmarks.sentences import Sentence

    assert pickle.loads(pickle.dumps(Sentence("a.b", {"n": 1}))) == Sentence(
        "a.b", {"n": 1}
    )
    with pytest.raises(TypeError, match=r"Many\.__init__\(\) missing 1 required"):
        many()
    with pytest.raises(TypeError, match="frozen"):
        values.dataclass(frozen=False, slots=True)


def test_what_holds_itself_can_be_shown():
    _, one, _, _ = (ours for _, ours in PAIRS)
    inner = []
    outer = one(inner)
    inner.append(outer)
    assert "..." in repr(outer)


@pytest.mark.parametrize("kind", [ClassVar[int], InitVar[int], KW_ONLY])
def test_fields_of_other_kinds_are_left_to_the_standard_library(kind):
    class Other:
        """A field that is none, or is given by name only."""

        __annotations__ = {"a": kind, "b": int}

    with pytest.raises(TypeError, match="Other has fields that are no plain ones"):
        values.dataclass(frozen=True, slots=True)(Other)
