"""A name as one would write it: the signs of open nomenclature, put together and read.

Signs and where they stand follow Sigovini, Keppel & Tagliapietra 2016 for kept specimens and
Horton et al. 2021 for pictures, both as drawn in the data manual of a marine biogeographic
network; the papers themselves were not read in full.

>>> write_name(Doubted("Alba minor", "cf.", "(Berg, 1901)")).verbatim
'Alba cf. minor (Berg, 1901)'
>>> read_name("alba CFR minor (Berg, 1901)")
Doubted(name='Alba minor', sign='cf.', authority='(Berg, 1901)')
"""

from __future__ import annotations

import re
from dataclasses import dataclass

BEFORE_EPITHET = ("cf.", "aff.", "ex gr.", "nr.", "prox.")
AFTER_SPECIES = ("sp. inc.", "?", "sp. nov.")
AFTER_GENUS = ("sp.", "spp.", "indet.", "stet.", "sp. inc.", "gen. et sp. indet.")

_SPELLINGS = {
    "cf": "cf.", "cfr": "cf.", "conf": "cf.",
    "aff": "aff.", "sp aff": "aff.", "ex gr": "ex gr.", "gr": "ex gr.",
    "nr": "nr.", "prox": "prox.",
    "sp inc": "sp. inc.", "inc": "sp. inc.", "?": "?",
    "sp nov": "sp. nov.", "n sp": "sp. nov.",
    "sp": "sp.", "spp": "spp.", "indet": "indet.", "ind": "indet.", "stet": "stet.",
    "gen inc": "gen. inc.", "gen et sp indet": "gen. et sp. indet.",
}  # fmt: skip
"""How signs are spelt, without full stops, and the one spelling we write."""


@dataclass(frozen=True, slots=True)
class Doubted:
    """A name and the doubt about it.

    Attributes
    ----------
    name
        A species, a genus or a family, as far as the name is thought to go.
    sign
        Of open nomenclature, in our spelling; ``""``: certain.
    authority
        Author and year as they stand behind the name, parentheses included; or ``""``.
    """

    name: str
    sign: str = ""
    authority: str = ""


@dataclass(frozen=True, slots=True)
class Written:
    """A name in the parts in which data files want it.

    Attributes
    ----------
    scientific_name
        The lowest name that is certain; it never holds a sign.
    authority
        Of ``scientific_name``, where it is known.
    rank
        Of ``scientific_name``: ``species``, ``genus``, ``family``, or ``""`` for no name.
    qualifier
        The sign with the name that is in doubt.
    verbatim
        All as one would write it by hand; ``""``: there is nothing to write.
    """

    scientific_name: str = ""
    authority: str = ""
    rank: str = ""
    qualifier: str = ""
    verbatim: str = ""


def write_name(one: Doubted, family: str = "") -> Written:
    """Return a name with its sign where open nomenclature puts it.

    ``family`` is what stays certain where the genus itself is in doubt.

    Raises
    ------
    ValueError
        If the sign does not belong to a name of this rank.
    """
    genus, _, epithet = one.name.partition(" ")
    sign, tail = one.sign, f" {one.authority}" if one.authority else ""
    if not sign:
        rank = "species" if epithet else _rank(genus)
        return Written(one.name, one.authority, rank, "", f"{one.name}{tail}")
    if epithet and sign in BEFORE_EPITHET:
        said = f"{genus} {sign} {epithet}{tail}"
        return Written(genus, "", "genus", f"{sign} {epithet}", said)
    if epithet and sign in AFTER_SPECIES:
        said = f"{one.name}{tail} {sign}"
        return Written(genus, "", "genus", f"{one.name} {sign}", said)
    said = f"{genus}{tail} {sign}"
    if not epithet and sign in ("gen. inc.", "?"):
        return Written(family, "", "family" if family else "", f"{genus} {sign}", said)
    if not epithet and sign in AFTER_GENUS:
        return Written(genus, one.authority, _rank(genus), sign, said)
    raise ValueError(f"{sign} does not stand with {one.name}")


def _rank(name: str) -> str:
    """Return the rank of a name of one word, by the ending the Code lays down for families."""
    return "family" if name.endswith(("idae", "inae")) else "genus"


def read_name(text: str) -> Doubted:
    """Return the parts of a name that somebody wrote, whatever the spelling of its sign.

    What holds no sign is a certain name; spaces become single ones.
    """
    words = re.sub(r"\s*\?\s*$", " ?", text).split()
    if not words:
        return Doubted("")
    genus, rest = _capital(words[0]), words[1:]
    start, end, sign = _sign_in(rest)
    if sign in BEFORE_EPITHET and start == 0 and end < len(rest):
        return Doubted(f"{genus} {rest[end].lower()}", sign, " ".join(rest[end + 1 :]))
    if end != len(rest):
        sign, start = "", len(rest)
    before = rest[:start]
    if before and _EPITHET.fullmatch(before[0]):
        return Doubted(f"{genus} {before[0]}", sign, " ".join(before[1:]))
    return Doubted(genus, sign, " ".join(before))


_EPITHET = re.compile(r"[a-z][a-z-]+")
_MOST_WORDS = max(len(one.split()) for one in _SPELLINGS)


def short_name(name: str) -> str:
    """Return a name with its genus cut to the initial.

    >>> short_name("Alba minor"), short_name("Alba")
    ('A. minor', 'Alba')
    """
    genus, _, epithet = name.partition(" ")
    return f"{genus[:1]}. {epithet}" if epithet else name


def _sign_in(words: list[str]) -> tuple[int, int, str]:
    """Return where the first sign stands, from and to, and its one spelling."""
    for start in range(len(words)):
        for end in range(min(start + _MOST_WORDS, len(words)), start, -1):
            bare = " ".join(" ".join(words[start:end]).lower().replace(".", " ").split())
            if bare in _SPELLINGS:
                return start, end, _SPELLINGS[bare]
    return len(words), len(words), ""


def _capital(word: str) -> str:
    return word[:1].upper() + word[1:].lower()
