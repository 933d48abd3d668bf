"""From what was seen to the whole answer: candidates, reasons, fit, level, what to look at."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log

from landmarks.identification.answer import Answer, Candidate, Fit, Reason, Suggestion
from landmarks.identification.concluding import concluded, held_down
from landmarks.identification.deciding import Decision, decide
from landmarks.identification.evidence import (
    Evidence,
    gather,
    leave_each_out,
    log_weights,
    shares,
)
from landmarks.identification.guide import ENGINE_VERSION, Guide
from landmarks.identification.looking import look_next, only_harm_would_tell
from landmarks.identification.proposing import propose
from landmarks.identification.reasons import reasons_for, silent_reason
from landmarks.observations import Circumstances, Seen
from landmarks.sentences import Number, Sentence


def weigh(
    guide: Guide, seen: Sequence[Seen], circumstances: Circumstances | None = None
) -> tuple[float, ...]:
    """Return the probability of every taxon, in the order of ``guide.taxa``.

    The fast path: no reasons, no sentences.
    """
    evidence = gather(guide, seen, circumstances or Circumstances())
    return tuple(shares(log_weights(guide, evidence)))


def identify(
    guide: Guide, seen: Sequence[Seen], circumstances: Circumstances | None = None
) -> Answer:
    """Return everything that is to be said of a specimen.

    Raises
    ------
    UnknownWordError
        If a character, state or region is not in the tables; the nearest is named.
    """
    evidence = gather(guide, seen, circumstances or Circumstances())
    logs = log_weights(guide, evidence)
    found = concluded(guide, evidence, logs)
    probabilities, stated, decision = found.probabilities, found.stated, found.decision
    order = found.order
    without = leave_each_out(guide, evidence, logs)
    odds = _log_odds(logs)
    behind = [one - logs[order[0]] for one in logs]
    reasons = {
        factor.key: reasons_for(
            guide, evidence, factor, _log_odds(without[factor.key]), odds, behind
        )
        for factor in evidence.factors
    }
    rests_on = tuple(
        key
        for key, others in without.items()
        if _changes(guide, evidence, decision, shares(others), found.cap, found.fit, key)
    )
    ahead = look_next(guide, evidence, probabilities)
    separating = _separating(decision, ahead)
    silent = [silent_reason(guide, key, one, why) for key, one, why in evidence.silent]
    candidates = tuple(
        _candidate(guide, taxon, probabilities, stated, reasons, silent) for taxon in order
    )
    written = propose(
        [guide.tables.taxa[one] for one in decision.taxa],
        decision.why,
        found.fit.word,
        found.said,
        guide.settings,
        against=bool(candidates[0].against),
        kept=not evidence.circumstances.living,
    )
    return Answer(
        candidates=candidates,
        fit=found.fit,
        level=decision.level,
        taxa=tuple(guide.taxa[one] for one in decision.taxa),
        name=_name(guide, decision),
        written=written,
        stated=found.said,
        text=_text(guide, decision, separating, written.verbatim),
        separating=separating,
        rests_on=rests_on,
        cautions=_cautions(
            guide,
            evidence,
            decision,
            found.fit,
            probabilities,
            found.cap,
            capped=found.capped,
        ),
        look_next=ahead,
        capped=found.capped,
        tables_hash=guide.tables.hash,
        engine_version=ENGINE_VERSION,
    )


def _log_odds(logs: Sequence[float]) -> list[float]:
    """Return the log odds of every taxon against all others."""
    best = max(logs)
    weights = [exp(one - best) for one in logs]
    whole = sum(weights)
    odds = []
    for taxon, own in enumerate(logs):
        rest = whole - weights[taxon]
        if rest < 1e-6 * whole:
            # The leader's rivals are summed by themselves, or they vanish in rounding.
            rest = sum(one for other, one in enumerate(weights) if other != taxon)
        odds.append(own - best - log(max(rest, 1e-300)))
    return odds


def _changes(
    guide: Guide,
    evidence: Evidence,
    decision: Decision,
    probabilities: Sequence[float],
    cap: float,
    fit: Fit,
    without: str,
) -> bool:
    """Return whether the answer would be another without one character."""
    if decision.level == "none":
        return False
    stated, _ = held_down(probabilities, cap)
    word = "fits_well" if without in fit.unusual else fit.word
    other = decide(guide, evidence, stated, word, without=without)
    if decision.why == "between":
        return False
    return (other.level, other.taxa) != (decision.level, decision.taxa)


def _candidate(
    guide: Guide,
    taxon: int,
    probabilities: Sequence[float],
    stated: Sequence[float],
    reasons: dict[str, list[Reason]],
    silent: list[Reason],
) -> Candidate:
    own = sorted((one[taxon] for one in reasons.values()), key=lambda one: -abs(one.weight))
    return Candidate(
        guide.taxa[taxon],
        guide.tables.taxa[taxon].name,
        probabilities[taxon],
        stated[taxon],
        (*own, *silent),
        tuple(one.character for one in own if one.direction == "rules_out"),
    )


def _name(guide: Guide, decision: Decision) -> str:
    names = [guide.tables.taxa[one] for one in decision.taxa]
    match decision.level:
        case "species":
            return names[0].name
        case "group":
            return " / ".join(one.name for one in names)
        case "genus":
            return names[0].genus
        case _:
            return ""


def _text(
    guide: Guide, decision: Decision, separating: tuple[str, ...], written: str
) -> Sentence:
    names = tuple(guide.tables.taxa[one].name for one in decision.taxa)
    values: dict[str, object] = {
        "name": _name(guide, decision),
        "names": names,
        "written": written,
    }
    values["first"], values["second"] = (names[0], names[1]) if len(names) > 1 else ("", "")
    if decision.level in ("genus", "none") and decision.why in ("small", "wide"):
        values["least"] = Number(guide.tables.size.species_from, unit="mm")
        return Sentence(f"answer.{decision.level}_{decision.why}", values)
    values["characters"] = tuple(
        guide.tables.characters[key].name for key in separating[:3]
    )
    if decision.why == "group":
        return Sentence("answer.group" if separating else "answer.group_by_region", values)
    if decision.why == "undecided":
        return Sentence(
            "answer.undecided" if separating else "answer.undecided_plain", values
        )
    return Sentence(f"answer.{decision.why}", values)


def _separating(decision: Decision, ahead: Sequence[Suggestion]) -> tuple[str, ...]:
    """Return the characters that would tell the taxa of a group apart."""
    if decision.level != "group" or decision.why == "between":
        return ()
    if decision.group is not None:
        return decision.group.separating
    return tuple(dict.fromkeys(one.character for one in ahead))


def _cautions(
    guide: Guide,
    evidence: Evidence,
    decision: Decision,
    fit: Fit,
    probabilities: Sequence[float],
    cap: float,
    *,
    capped: bool,
) -> tuple[Sentence, ...]:
    characters = guide.tables.characters
    cautions = []
    for factor in evidence.factors:
        name = characters[factor.key].name
        if factor.faint:
            cautions.append(Sentence("caution.faint", {"character": name}))
        elif factor.also_read:
            cautions.append(Sentence("caution.scores_disagree", {"character": name}))
        elif factor.lost:
            cautions.append(Sentence("caution.lost", {"character": name}))
    if evidence.region_off:
        cautions.append(Sentence("caution.region_off", {}))
    cautions += _unrecorded(guide, evidence, decision)
    if fit.word != "fits_well" and fit.unusual:
        names = tuple(characters[key].name for key in fit.unusual[:3])
        cautions.append(Sentence("caution.look_again", {"characters": names}))
    if capped:
        cautions.append(
            Sentence("caution.capped", {"share": Number(float(round(100 * cap)), unit="%")})
        )
    if decision.why == "group" and decision.group is not None and decision.group.words:
        cautions.append(Sentence("plain", {"words": decision.group.words}))
    if decision.level != "species" and only_harm_would_tell(guide, evidence, probabilities):
        cautions.append(Sentence("caution.living_cannot_settle", {}))
    return tuple(cautions)


def _unrecorded(guide: Guide, evidence: Evidence, decision: Decision) -> list[Sentence]:
    """Return what is to be said where a species is named that was never recorded there."""
    key = evidence.circumstances.region
    if not evidence.region_used or decision.level != "species":
        return []
    named = guide.tables.taxa[decision.taxa[0]]
    if any(
        one.status not in ("no_record", "absent")
        for one in guide.tables.ranges
        if (one.taxon, one.region) == (named.key, key)
    ):
        return []
    region = next(one.name for one in guide.tables.regions if one.key == key)
    return [Sentence("caution.no_record", {"name": named.name, "region": region})]
