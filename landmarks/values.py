"""Frozen values: the standard library's dataclasses, made in less than half the time.

Before the window can be read, some 170 classes are made. ``dataclasses.dataclass`` compiles
six methods for each of them, half a millisecond altogether. Here it keeps the fields alone,
so that ``fields``, ``replace`` and ``asdict`` know these classes as its own; ``__init__`` is
compiled as there, and the other methods, which differ between classes by the names of the
fields only, are closures over these names. What they do is the same.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Sequence
from operator import attrgetter
from reprlib import recursive_repr
from typing import TYPE_CHECKING, Any, TypeVar

__all__ = ["dataclass"]

Made = TypeVar("Made")

if TYPE_CHECKING:
    # A type checker is told what it knows already.
    from dataclasses import dataclass
else:

    def dataclass(*, frozen, slots, eq=True, repr=True):
        """Return what makes a class a frozen value with slots, as ``dataclasses.dataclass``.

        Raises
        ------
        TypeError
            If it shall not be frozen or have no slots, or has fields that are no plain ones:
            that is left to the standard library.
        """
        if not (frozen and slots):
            raise TypeError("Only frozen values with slots are made here.")
        return lambda cls: _value(cls, eq=eq, shown=repr)


def _value(cls: type[Made], *, eq: bool, shown: bool) -> type[Made]:
    own = vars(cls).copy()
    made = dataclasses.dataclass(init=False, repr=False, eq=False, slots=True)(cls)
    known = dataclasses.fields(made)  # type: ignore[arg-type]
    plain = sum(not one.kw_only for one in known)
    if plain < len(vars(made)["__dataclass_fields__"]):
        raise TypeError(f"{cls.__name__} has fields that are no plain ones.")
    methods = {"__init__": _init(made, known), **_FROZEN}
    if shown:
        methods["__repr__"] = _repr([one.name for one in known if one.repr])
    if eq:
        methods["__eq__"] = _eq([one.name for one in known if one.compare])
        counts = (one.compare if one.hash is None else one.hash for one in known)
        methods["__hash__"] = _hash(
            [one.name for one, does in zip(known, counts, strict=True) if does]
        )
    for name, method in methods.items():
        # Python itself takes the hash from a class that says when it is equal.
        if own.get(name) is None:
            setattr(made, name, method)
    return made


def _init(made: type, known: Sequence[dataclasses.Field[Any]]) -> Callable[..., None]:
    """Compile the one method that is written for each class: its arguments are the fields."""
    names: dict[str, Any] = {"_set": object.__setattr__, "_NEW": _NEW}
    arguments, body = ["self"], []
    for one in known:
        name = one.name
        default, given = "", name
        if one.default is not dataclasses.MISSING:
            default = own = f"_default_{name}"
            names[default] = one.default
        elif one.default_factory is not dataclasses.MISSING:
            default, own = "_NEW", f"_new_{name}()"
            names[f"_new_{name}"] = one.default_factory
            given = f"{own} if {name} is _NEW else {name}"
        if one.init:
            arguments.append(f"{name}={default}" if default else name)
        elif default:
            given = own
        else:
            continue  # Given by __post_init__.
        body.append(f"_set(self, {name!r}, {given})")
    if hasattr(made, "__post_init__"):
        body.append("self.__post_init__()")
    lines = "\n    ".join(body or ["pass"])
    # Nothing but names of fields is in it, which Python has read as such.
    exec(f"def __init__({', '.join(arguments)}):\n    {lines}", names)
    init: Callable[..., None] = names["__init__"]
    init.__qualname__ = f"{made.__qualname__}.__init__"
    return init


_NEW = object()
"""Stands for an argument that was left out and is made anew for each value."""


def _taker(names: Sequence[str]) -> Callable[[Any], tuple[Any, ...]]:
    """Return what takes these fields of a value, always as a tuple."""
    if len(names) > 1:
        return attrgetter(*names)
    return lambda value: tuple(getattr(value, name) for name in names)


def _eq(names: Sequence[str]) -> Callable[[Any, object], Any]:
    take = _taker(names)

    def same(self: Any, other: object) -> Any:
        if other.__class__ is not self.__class__:
            return NotImplemented
        return take(self) == take(other)

    return same


def _hash(names: Sequence[str]) -> Callable[[Any], int]:
    take = _taker(names)
    return lambda self: hash(take(self))


def _repr(names: Iterable[str]) -> Callable[[Any], str]:
    def words(self: Any) -> str:
        said = ", ".join(f"{name}={getattr(self, name)!r}" for name in names)
        return f"{self.__class__.__qualname__}({said})"

    return recursive_repr()(words)


def _set(self: object, name: str, value: object) -> None:
    raise dataclasses.FrozenInstanceError("cannot assign to field " + repr(name))


def _delete(self: object, name: str) -> None:
    raise dataclasses.FrozenInstanceError("cannot delete field " + repr(name))


def _state(self: Any) -> list[Any]:
    return [getattr(self, one.name) for one in dataclasses.fields(self)]


def _restore(self: Any, state: Iterable[Any]) -> None:
    for one, value in zip(dataclasses.fields(self), state, strict=True):
        object.__setattr__(self, one.name, value)


_FROZEN: dict[str, Callable[..., Any]] = {
    "__setattr__": _set,
    "__delattr__": _delete,
    "__getstate__": _state,
    "__setstate__": _restore,
}
