"""What is laid before the reasoning: the observations that speak, and what is known besides."""

from __future__ import annotations

from collections.abc import Sequence

from landmarks.assessment.measured import MeasureRow, Pictures, typed_quantity
from landmarks.assessment.scored import CharacterRow
from landmarks.characters import Character, Characters
from landmarks.measures import MEASURES
from landmarks.observations import Circumstances, Hidden, Scored, Seen, Taken
from landmarks.scale import mm_per_px
from landmarks.scheme import VIEWS
from landmarks.specimen import Frame, Specimen


def observed(
    specimen: Specimen,
    pictures: Pictures,
    rows: Sequence[MeasureRow],
    characters: Sequence[CharacterRow],
    known: Characters,
) -> tuple[Seen, ...]:
    """Return one row for each character that speaks or cannot be seen."""
    seen: list[Seen] = []
    for row in characters:
        if row.hidden:
            seen.append(Hidden(row.character.key, row.hidden))
        seen.extend(
            Scored(
                row.character.key,
                one.state,
                one.sure and len(row.states) < 2,
                _detail_px(row.character, specimen.frame(one.frame), pictures),
                (one.frame,) if one.frame else (),
            )
            for one in row.answers
        )
    derived = {row.key for row in rows if row.value is not None}
    for measured in rows:
        if measured.value is not None and known.get(measured.key) is not None:
            seen.append(_taken(measured))
    for one in specimen.recorded:
        row_ = known.get(one.character)
        if row_ is None or row_.scored:
            continue
        if one.value is not None and one.character not in MEASURES:
            sigma = typed_quantity(one, row_.unit).sigma
            seen.append(Taken(row_.key, one.value, sigma, one.at_least))
        elif one.hidden and row_.key not in derived:
            seen.append(Hidden(row_.key, one.hidden))
    return tuple(seen)


def circumstances(specimen: Specimen) -> Circumstances:
    """Return what is known of a specimen besides its characters."""
    views = frozenset(frame.view for frame in specimen.frames)
    where = specimen.where
    return Circumstances(
        region=where.region or None,
        use_region=where.use_region,
        origin=where.origin,
        conditions=where.condition,
        living=any(view in VIEWS and VIEWS[view].living for view in views),
        views=views,
    )


def _detail_px(row: Character, frame: Frame | None, pictures: Pictures) -> float | None:
    picture = pictures.get(frame.picture) if frame is not None else None
    if not row.smallest_detail_mm or picture is None or picture.scale is None:
        return None
    return row.smallest_detail_mm / mm_per_px(picture.scale, picture.id).value


def _taken(row: MeasureRow) -> Taken:
    value = row.value
    if value is None:
        raise ValueError("a missing measure says nothing")
    # The ends are called by the person, but tables tell the umbo from the nearer end only.
    number = (
        min(value.value, 1 - value.value) if row.key == "umbo_position" else value.value
    )
    frames = row.frames or ((row.frame,) if row.frame else ())
    return Taken(row.key, number, value.sigma, row.at_least, frames=frames)
