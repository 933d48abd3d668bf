"""How far the answer goes: the species, the smallest honest group, the genus, or nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from landmarks.identification.evidence import Evidence
from landmarks.identification.guide import Guide
from landmarks.observations import Scored, Taken
from landmarks.tables.model import Group


@dataclass(frozen=True, slots=True)
class Decision:
    """The level of the answer, its taxa (indices), and the reason for stopping there.

    ``why`` is ``clear``, ``group``, ``undecided``, ``between``, ``small``, ``wide``, ``no_fit``
    or ``nothing_seen``.
    """

    level: str
    taxa: tuple[int, ...]
    why: str
    group: Group | None = None


def decide(
    guide: Guide,
    evidence: Evidence,
    stated: Sequence[float],
    word: str,
    between: tuple[int, int] | None = None,
    without: str = "",
) -> Decision:
    """Return how far the answer goes.

    Parameters
    ----------
    guide, evidence
        What the specimen was compared with, and what was seen of it.
    stated
        Probability that may be stated of every taxon.
    word
        Fit of the best one.
    between
        Two taxa that explain together what neither explains alone.
    without
        A character that is left out, for the robustness of the answer.
    """
    settings = guide.settings
    order = sorted(range(len(stated)), key=lambda taxon: -stated[taxon])
    if between is None and word == "does_not_fit":
        return Decision("none", (), "no_fit")
    if not any(
        factor.key != without and _tells(factor.drops) for factor in evidence.factors
    ):
        if not evidence.region_used:
            return Decision("none", (), "nothing_seen")
        return _wide(guide, stated, "wide")
    if between is not None:
        return Decision("group", tuple(sorted(between)), "between")
    best = order[0]
    if _too_small(guide, evidence, best, without):
        return _wide(guide, stated, "small")
    group = _abstains(guide, evidence, best, without)
    if group is not None:
        own = _members(guide, evidence, group)
        if len(own) > 1 and sum(stated[one] for one in own) >= settings.species_at:
            return Decision("group", own, "group", group)
    enough = settings.species_at if word == "fits_well" else settings.genus_at
    if group is None and stated[best] >= enough:
        return Decision("species", (best,), "clear")
    held: list[int] = []
    for taxon in order:
        if taxon in held:
            continue
        abstain = _abstains(guide, evidence, taxon, without)
        more = _members(guide, evidence, abstain) if abstain else (taxon,)
        held += [one for one in more if one not in held]
        if len(held) > settings.largest_group:
            break
        if len(held) > 1 and sum(stated[one] for one in held) >= settings.group_at:
            return Decision("group", tuple(sorted(held)), "undecided")
    return _wide(guide, stated, "wide")


def _tells(drops: Sequence[float]) -> bool:
    return min(drops) < -0.05


def _wide(guide: Guide, stated: Sequence[float], why: str) -> Decision:
    """Return the genus where one is clear, otherwise nothing."""
    genera: dict[str, list[int]] = {}
    for index, taxon in enumerate(guide.tables.taxa):
        genera.setdefault(taxon.genus, []).append(index)
    for own in genera.values():
        if sum(stated[one] for one in own) >= guide.settings.genus_at:
            return Decision("genus", tuple(own), why)
    return Decision("none", (), why)


def _too_small(guide: Guide, evidence: Evidence, best: int, without: str) -> bool:
    size, row = evidence.size, guide.size
    if row is None or not size.exact or size.value is None or row.character.key == without:
        return False
    own = guide.tables.taxa[best].species_from_mm
    return size.value < (guide.tables.size.species_from if own is None else own)


def _abstains(guide: Guide, evidence: Evidence, taxon: int, without: str) -> Group | None:
    """Return the group of species that this specimen cannot be told from, if there is one."""
    key = guide.taxa[taxon]
    for group in guide.tables.groups:
        if group.abstain and key in group.taxa and _holds(group, evidence, without):
            return group
    return None


def _holds(group: Group, evidence: Evidence, without: str) -> bool:
    region = evidence.circumstances.region
    if region is not None and region in group.unreliable_in:
        return True
    if group.below_mm is not None:
        size = evidence.size
        if not size.exact or size.value is None or size.value >= group.below_mm:
            return False
    if group.region_tells and evidence.region_used:
        return False
    return not any(
        factor.key in group.separating
        and factor.key != without
        and not factor.unsure
        and isinstance(factor.seen, Scored | Taken)
        for factor in evidence.factors
    )


def _members(guide: Guide, evidence: Evidence, group: Group) -> tuple[int, ...]:
    """Return the taxa of a group without those that some observation rules out."""
    best = -guide.settings.ruled_out
    return tuple(
        index
        for index, key in enumerate(guide.taxa)
        if key in group.taxa
        and not any(
            factor.drops[index] < best
            for factor in evidence.factors
            if guide.size is not None and factor.key == guide.size.character.key
        )
    )
