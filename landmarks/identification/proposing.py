"""The name that an answer proposes, as one would write it; a person gives it or another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from landmarks.identification.settings import Settings
from landmarks.identification.written import Doubted, Written, short_name, write_name
from landmarks.tables.model import Taxon


def propose(
    taxa: Sequence[Taxon],
    why: str,
    fit: str,
    stated: float,
    settings: Settings,
    *,
    against: bool,
    kept: bool,
) -> Written:
    """Return the name that an answer proposes, with the sign of its doubt.

    A species is written plainly only if it fits well and is stated surely enough. Where it is
    not and something speaks against it, a kept specimen is to be compared (*cf.*); a picture
    cannot be and is, as all that is only less sure, *sp. inc.* Several species of one genus are
    *indet.* with the species in question behind; so is a genus, since nothing that can be seen
    tells more. Species of several genera leave the family.

    Parameters
    ----------
    taxa
        Of the answer; none where there is no answer.
    why, fit, stated
        Why the answer stops there, the fit in words, and the probability that is stated.
    against
        Something speaks against the best of them.
    kept
        Whether there is a specimen that can be compared, besides the picture.
    """
    if not taxa or fit == "does_not_fit":
        return Written()
    if len(taxa) == 1:
        one = taxa[0]
        sign = ""
        if fit != "fits_well" or stated < settings.plain_at:
            sign = "cf." if kept and against else "sp. inc."
        if sign and " " not in one.name:
            sign = "?"  # A guide need not name its taxa by genus and epithet.
        return write_name(Doubted(one.name, sign, one.authority), one.family)
    found = _joint(taxa)
    if why in ("small", "wide"):
        return found
    names = (" × " if why == "between" else " / ").join(
        short_name(one.name) for one in taxa
    )
    verbatim = f"{found.verbatim} ({names})" if found.verbatim else names
    return replace(found, verbatim=verbatim)


def _joint(taxa: Sequence[Taxon]) -> Written:
    """Return the lowest name that several taxa share, or none."""
    genera = {one.genus for one in taxa}
    if len(genera) == 1 and taxa[0].genus:
        return write_name(Doubted(taxa[0].genus, "indet."))
    if len({one.family for one in taxa}) == 1 and taxa[0].family:
        return write_name(Doubted(taxa[0].family, "gen. et sp. indet."))
    return Written()
