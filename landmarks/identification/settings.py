"""Every figure the reasoning takes for granted, in one place; each is common practice, no source.

:data:`TEXTBOOK` takes none of them for granted: no reading error, no tempering, no floor, all
cells alike. With it the engine is a textbook naive Bayes classifier.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf


@dataclass(frozen=True, slots=True)
class Settings:
    """What the reasoning takes for granted.

    Attributes
    ----------
    reading_error
        Multiplies the confusion of every character; 0: every state is read rightly.
    unsure
        How much of a reading that the person is unsure of is no evidence at all, 0 to 1.
    tempering
        What a further character of the same group counts beside the strongest one; 1: all.
    floor
        Share of every prediction that is kept for freaks, so that no single one vetoes.
    own_doubt
        Multiplies the doubt that readings of a measured character have besides their own.
    grades
        How far a cell is believed by the evidence it rests on; the rest is *unknown*.
    least_detail_px
        Below so many pixels of a character's smallest detail *absent* is treated as unsure.
    lost, cultured
        How much of a state that the condition, or an origin, can bring about is no evidence.
    size_softness
        Beyond the maximum the likelihood falls like a normal with this share of it as sigma.
    blend
        Bands of size pass into each other over this share of their border.
    range_weights
        Weight of a species in a region by its status there.
    region_reach
        Nats between the likeliest and the least likely species of a region, at most. Less than
        ``ruled_out``: where a species was never recorded outweighs no decisive character.
    share_floor
        A species that is present weighs at least this against an average one.
    no_region_for
        Origins for which a region says nothing.
    species_at, genus_at, group_at, largest_group
        Stated probability from which a species, a genus, a group is answered, and how many
        species a group has at most.
    plain_at
        Stated probability from which a species is written without a sign of doubt.
    cap_read, cap_unread
        Greatest certainty stated when all decisive cells are read, and when none is.
    cap_group
        Greatest certainty stated of several taxa together: what cannot part them is not sure
        enough of them either (in simulated trials such answers were wrong in 5 of 100).
    cap_thin
        Each independent observation halves what must be left open, from this share on.
    fits_well, fits_poorly
        Fit from which the words hold; below the second nothing fits.
    between, exclusive
        Two species are answered together when an even mixture of them explains what was seen
        better than any one by so many nats, and each has something that is so many times as
        usual in it as in the other.
    ruled_out
        Nats below the best species from which an observation rules a species out, if all
        observations together leave it as far behind: so what leads is never ruled out.
    least_bits
        Expected information below which nothing is proposed.
    """

    reading_error: float = 1.0
    unsure: float = 0.5
    tempering: float = 0.85
    floor: float = 0.005
    own_doubt: float = 1.0
    grades: Mapping[str, float] = field(
        default_factory=lambda: {"read": 1.0, "memory": 0.5, "practice": 0.35}
    )
    least_detail_px: float = 4.0
    lost: float = 0.85
    cultured: float = 0.5
    size_softness: float = 0.06
    blend: float = 0.1
    range_weights: Mapping[str, float] = field(
        default_factory=lambda: {
            "present": 1.0,
            "introduced": 0.3,
            "doubtful": 0.2,
            "extinct": 0.1,
            "no_record": 0.05,
            "absent": 0.02,
        }
    )
    region_reach: float = 2.3
    share_floor: float = 0.15
    no_region_for: tuple[str, ...] = ("farmed", "aquarium", "trade")
    species_at: float = 0.8
    genus_at: float = 0.9
    group_at: float = 0.8
    largest_group: int = 4
    plain_at: float = 0.9
    cap_read: float = 0.97
    cap_unread: float = 0.8
    cap_group: float = 0.9
    cap_thin: float = 0.5
    fits_well: float = 0.15
    fits_poorly: float = 0.01
    between: float = 3.0
    exclusive: float = 6.0
    ruled_out: float = 2.5
    least_bits: float = 0.02


TEXTBOOK = Settings(
    reading_error=0.0,
    unsure=0.0,
    tempering=1.0,
    floor=0.0,
    own_doubt=0.0,
    grades={"read": 1.0, "memory": 1.0, "practice": 1.0},
    least_detail_px=0.0,
    lost=0.0,
    cultured=0.0,
    region_reach=inf,
    cap_read=1.0,
    cap_unread=1.0,
    cap_group=1.0,
    cap_thin=0.0,
    between=1e9,
)
