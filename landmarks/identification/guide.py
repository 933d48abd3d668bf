"""A guide: species tables made ready for reasoning, once; nothing in it knows what they name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf, log

from landmarks.characters import Character
from landmarks.identification.densities import Shape, TwoPiece
from landmarks.identification.settings import Settings
from landmarks.identification.size import Size
from landmarks.tables.model import Cell, Tables

ENGINE_VERSION = "4"
"""What was derived by another one is derived anew. It is raised wherever the same parts of a
record may give other values than before; that older ones gave what they give now is not
enough, since a program of before may write down what it makes of a newer record: 4 because
it takes the marks of a series for all there are, where the record says *at least*, and leaves
the lean that a ruler tells of out of the doubt."""


@dataclass(frozen=True, slots=True)
class Band:
    """What the cells of one taxon say of one character between two sizes.

    ``trust`` is how far they are believed, 0 to 1; ``chances`` how often each state is read,
    reading errors included; ``shapes`` the distributions of a number with their shares.
    """

    start: float
    end: float
    trust: float
    read: float
    cells: tuple[Cell, ...]
    chances: tuple[float, ...] = ()
    shapes: tuple[tuple[float, Shape], ...] = ()


Bands = tuple[tuple[Band, ...], ...]
"""For every taxon, its bands."""


@dataclass(frozen=True, slots=True)
class ScoredRow:
    """A scored character: the bands, and what follows of each state when the size is unknown.

    ``plain[state][taxon]`` is the likelihood, ``common[state]`` what an unknown cell predicts,
    ``drops[state][taxon]`` the weighted log likelihood below the best taxon. ``fixed`` is what
    the taxa say whose cells hold for every size, ``varying`` are the others.
    """

    index: int
    character: Character
    group: str
    bands: Bands
    banded: bool
    plain: tuple[tuple[float, ...], ...]
    common: tuple[float, ...]
    drops: tuple[tuple[float, ...], ...]
    states: Mapping[str, int]
    fixed: tuple[tuple[float, ...], ...] = ()
    fixed_trust: tuple[float, ...] = ()
    varying: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class MeasuredRow:
    """A measured character: for each definition of its number the bands of every taxon.

    A row is equal to itself alone, so that what follows of it can be kept beside it.
    """

    index: int
    character: Character
    group: str
    bands: Mapping[str, Bands]
    middle: float
    scale: float
    own_doubt: float
    bins: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class SizeRow:
    """The size: the greatest known of every taxon, and how it is spread below that."""

    index: int
    character: Character
    maxima: tuple[tuple[tuple[float, float], ...], ...]
    trust: tuple[float, ...]
    cells: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True, slots=True)
class Guide:
    """Species tables made ready for reasoning with the settings to reason by.

    ``borders`` are all borders between bands of size; ``sums`` and ``bounds`` the characters
    that follow from others.
    """

    tables: Tables
    settings: Settings
    taxa: tuple[str, ...]
    keys: Mapping[str, str]
    scored: Mapping[str, ScoredRow]
    measured: Mapping[str, MeasuredRow]
    size: SizeRow | None
    spread: tuple[TwoPiece, ...]
    priors: Mapping[str, tuple[float, ...]]
    borders: tuple[float, ...] = ()
    sums: tuple[Character, ...] = ()
    bounds: tuple[Character, ...] = ()

    @property
    def stamp(self) -> tuple[str, str]:
        """Return hash of the tables and version of the engine: what answers are stamped with."""
        return self.tables.hash, ENGINE_VERSION


def weighted_drops(likelihoods: Sequence[float], weight: float) -> tuple[float, ...]:
    """Return weighted log likelihoods relative to the best taxon: 0 for it, below 0 others."""
    logs = [log(one) if one > 1e-300 else -690.0 for one in likelihoods]
    best = max(logs)
    return tuple([weight * (one - best) for one in logs])


def mix(
    bands: Bands, size: Size, value: Sequence[Sequence[float]]
) -> tuple[list[float], float, list[float]]:
    """Return likelihood per taxon, what an unknown cell predicts, and the trust per taxon.

    ``value[taxon][band]`` is what each band says of the observation. What is not known of a
    taxon is predicted as the guide at large predicts it: so an unknown cell neither helps nor
    hurts, and a cell that is half believed counts half.
    """
    said: list[float] = []
    trust: list[float] = []
    share = size.share
    for taxon, own in enumerate(bands):
        sum_said = sum_trust = 0.0
        if len(own) == 1 and own[0].start <= 0 and own[0].end == inf:
            sum_trust = own[0].trust
            sum_said = sum_trust * value[taxon][0]
        else:
            for band, one in zip(own, value[taxon], strict=True):
                weight = share(taxon, band.start, band.end) * band.trust
                sum_said += weight * one
                sum_trust += weight
        said.append(sum_said)
        trust.append(sum_trust)
    return (*shared_out(said, trust), trust)


def shared_out(said: Sequence[float], trust: Sequence[float]) -> tuple[list[float], float]:
    """Return likelihoods with what is not believed filled in from the guide at large."""
    known = sum(trust)
    common = sum(said) / known if known > 0 else 1.0
    return [
        one + (1 - held) * common for one, held in zip(said, trust, strict=True)
    ], common
