"""What identification comes to, before its reasons: probabilities, what may be stated, level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

from landmarks.identification.answer import Fit, Gist
from landmarks.identification.deciding import Decision, decide
from landmarks.identification.evidence import Evidence, gather, log_weights, shares
from landmarks.identification.fit import fit_of
from landmarks.identification.guide import Guide
from landmarks.identification.reasons import cells_of, weight_of
from landmarks.observations import Circumstances, Seen


@dataclass(frozen=True, slots=True)
class Conclusion:
    """What identification comes to, without reasons and sentences.

    ``probabilities`` and ``stated`` of every taxon in the order of the guide; ``cap`` is the
    greatest certainty that may be stated, ``capped`` whether it held anything down;
    ``cap_group`` the greatest for an answer of several taxa.
    """

    probabilities: tuple[float, ...]
    stated: tuple[float, ...]
    cap: float
    capped: bool
    cap_group: float
    fit: Fit
    decision: Decision

    @property
    def said(self) -> float:
        """Return what is stated for the answer as a whole: no more than the caps."""
        whole = sum(self.stated[one] for one in self.decision.taxa)
        return min(whole, self.cap, self.cap_group if len(self.decision.taxa) > 1 else 1.0)

    @property
    def order(self) -> list[int]:
        """Return the places of all taxa in the guide, the most probable first."""
        taxa = range(len(self.probabilities))
        return sorted(taxa, key=lambda taxon: -self.probabilities[taxon])

    def gist(self, guide: Guide) -> Gist:
        """Return what a list keeps of it: that of the answer of the same guide."""
        order = self.order
        probabilities = {guide.taxa[one]: self.probabilities[one] for one in order}
        return Gist(
            probabilities,
            guide.taxa[order[0]],
            self.decision.level,
            self.stated[order[0]],
            self.fit.value,
        )


def conclude(
    guide: Guide, seen: Sequence[Seen], circumstances: Circumstances | None = None
) -> Conclusion:
    """Return what :func:`identify` comes to, without its reasons, sentences and look next."""
    evidence = gather(guide, seen, circumstances or Circumstances())
    return concluded(guide, evidence, log_weights(guide, evidence))


def concluded(guide: Guide, evidence: Evidence, logs: Sequence[float]) -> Conclusion:
    """Return what evidence comes to; ``logs`` are the log weights of all taxa."""
    probabilities = shares(logs)
    best = max(range(len(logs)), key=lambda taxon: probabilities[taxon])
    cap = _cap(guide, evidence, best)
    stated, capped = held_down(probabilities, cap)
    fit = fit_of(guide, evidence, (best,))
    decision = decide(guide, evidence, stated, fit.word, _between(guide, evidence))
    return Conclusion(
        tuple(probabilities),
        tuple(stated),
        cap,
        capped,
        guide.settings.cap_group,
        fit,
        decision,
    )


def _cap(guide: Guide, evidence: Evidence, best: int) -> float:
    """Return the greatest certainty that may be stated of the best candidate.

    Held down while the cells that decide for it were not read in a source, and while few
    independent observations speak.
    """
    settings = guide.settings
    support = read = 0.0
    groups = set()
    for factor in evidence.factors:
        weight = weight_of(guide, evidence, factor, best)
        if weight <= 0.3:
            continue
        groups.add(factor.group)
        support += weight
        cells = cells_of(guide, evidence, factor, best)
        grades = [one.weight * settings.grades[one.evidence] for one in cells]
        whole = sum(grades)
        if whole:
            sure = sum(
                grade
                for grade, one in zip(grades, cells, strict=True)
                if one.evidence == "read"
            )
            read += weight * sure / whole
    share = read / support if support else 0.0
    cap = settings.cap_unread + (settings.cap_read - settings.cap_unread) * share
    return min(
        cap, 1 - settings.cap_thin ** (len(groups) + 1) if settings.cap_thin else 1.0
    )


def held_down(probabilities: Sequence[float], cap: float) -> tuple[list[float], bool]:
    """Return the probabilities that may be stated: the greatest held down to the cap."""
    best = max(range(len(probabilities)), key=lambda taxon: probabilities[taxon])
    most = probabilities[best]
    if most <= cap:
        return list(probabilities), False
    rest = sum(one for taxon, one in enumerate(probabilities) if taxon != best)
    if rest <= 0:
        return list(probabilities), False
    scale = (1 - cap) / rest
    return [
        cap if taxon == best else one * scale for taxon, one in enumerate(probabilities)
    ], True


def _between(guide: Guide, evidence: Evidence) -> tuple[int, int] | None:
    """Return two taxa that together explain well what neither does alone.

    Each must have something that is far more usual in it than in the other.
    """
    taxa = list(zip(*(factor.likelihood for factor in evidence.factors), strict=True))
    logs = [log(one) if one > 0 else -690.0 for one in evidence.prior]
    alone = (
        max(
            own + sum([log(max(one, 1e-300)) for one in row])
            for own, row in zip(logs, taxa, strict=False)
        )
        if taxa
        else 0.0
    )
    exclusive = guide.settings.exclusive
    best, found = alone + guide.settings.between, None
    for one, first in enumerate(taxa):
        for other in range(one + 1, len(taxa)):
            both = list(zip(first, taxa[other], strict=True))
            if not any(a > exclusive * b for a, b in both):
                continue
            if not any(b > exclusive * a for a, b in both):
                continue
            joint = max(logs[one], logs[other])
            joint += sum([log(max((a + b) / 2, 1e-300)) for a, b in both])
            if joint > best:
                best, found = joint, (one, other)
    return found
