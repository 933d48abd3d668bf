"""What the program says: keys and values in the core, words only at the door.

The core returns ``Sentence(key, values)``; :func:`text` turns it into words with the one
gettext catalogue that serves core, window and command line. English stands in the tables of
``landmarks/sentences/english``; a translation is a gettext catalogue of the domain
``hingeline`` whose context is the key.
"""

from __future__ import annotations

import gettext
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import import_module
from pathlib import Path
from string import Formatter
from types import MappingProxyType

from landmarks.sentences.numbers import Number, number, percent

__all__ = [
    "Number",
    "Sentence",
    "catalogue",
    "choose_language",
    "known",
    "number",
    "percent",
    "say",
    "text",
    "word",
]

AREAS = (
    "core",
    "tables",
    "identification",
    "storage",
    "finding",
    "collections",
    "export",
    "window",
    "side",
    "bench",
    "commands",
    "outputs",
    "instruments",
    "scaling",
    "agreement",
    "intake",
    "sorting",
)
LOCALE_FOLDER = Path(__file__).with_name("locale")


@dataclass(frozen=True, slots=True)
class Sentence:
    """A thing to say: a key of the catalogue and the values that go into it.

    Values are text, numbers, :class:`Number`, other sentences, or tuples of these (said as a
    list joined by "and").
    """

    key: str
    values: Mapping[str, object] = field(default_factory=dict)

    def __post_init__(self) -> None:
        object.__setattr__(self, "values", MappingProxyType(dict(self.values)))

    def __hash__(self) -> int:
        return hash((self.key, tuple(sorted((k, repr(v)) for k, v in self.values.items()))))

    def __reduce__(self) -> tuple[type[Sentence], tuple[str, dict[str, object]]]:
        return Sentence, (self.key, dict(self.values))

    def __str__(self) -> str:
        return text(self)


def say(key: str, **values: object) -> str:
    """Return the words of a key at once: the door for window and command line."""
    return text(Sentence(key, values))


def word(family: str, key: str) -> Sentence:
    """Return what a word of a record is called; one that nobody knows stands as it is.

    >>> text(word("view", "hinge_edge")), text(word("view", "by_sonar"))
    ('hinge edge', 'by_sonar')
    """
    name = f"{family}.{key}"
    return Sentence(name) if known(name) else Sentence("plain", {"words": key})


def text(sentence: object) -> str:
    """Return the words of a sentence (or of a plain value that stands inside one)."""
    match sentence:
        case Sentence(key=key, values=values):
            return _Words().vformat(_template(key, values), (), values)
        case tuple() | list():
            return _joined([text(one) for one in sentence])
        case Number():
            return number(sentence)
        case bool() | str():
            return str(sentence)
        case int() | float():
            return number(Number(float(sentence)))
        case None:
            return ""
        case _:
            return str(sentence)


def choose_language(language: str) -> None:
    """Say everything in ``language`` from now on; English where a sentence is untranslated."""
    global _translation
    _translation = gettext.translation(
        "hingeline", LOCALE_FOLDER, languages=[language], fallback=True
    )


def known(key: str) -> bool:
    """Return whether the catalogue has this key."""
    return key in catalogue()


@cache
def catalogue() -> Mapping[str, str | tuple[str, str]]:
    """Return the whole English catalogue; a pair is singular and plural, chosen by ``n``."""
    sentences: dict[str, str | tuple[str, str]] = {}
    for area in AREAS:
        table = import_module(f"landmarks.sentences.english.{area}").SENTENCES
        twice = sentences.keys() & table.keys()
        if twice:
            raise ValueError(f"sentences said twice: {sorted(twice)}")
        sentences |= table
    return sentences


_translation: gettext.NullTranslations = gettext.NullTranslations()


def _template(key: str, values: Mapping[str, object]) -> str:
    words = catalogue()[key]
    if isinstance(words, tuple):
        count = values.get("n", 1)
        n = int(count.value) if isinstance(count, Number) else int(str(count))
        return _translation.npgettext(key, words[0], words[1], n)
    return _translation.pgettext(key, words)


def _joined(words: list[str]) -> str:
    """Return ``a``, ``a and b``, ``a, b and c``."""
    if len(words) < 2:
        return "".join(words)
    return text(Sentence("list.and", {"head": ", ".join(words[:-1]), "last": words[-1]}))


class _Words(Formatter):
    """Fills the places of a template with words and well-written numbers."""

    def format_field(self, value: object, format_spec: str) -> str:
        if format_spec:
            return format(value, format_spec)
        return _told(text(value))


def _told(words: str) -> str:
    """Return a text from outside so that it changes nothing of the sentence around it.

    Control characters and turned directions become blanks; line ends stay.
    """
    return words if words.isprintable() else _ORDERS.sub(" ", words)


_ORDERS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
