"""Shapes for hypothesis: one home for random specimens, pictures, placings and deeds."""

from uuid import UUID

from hypothesis import strategies as st

from landmarks.collection import About, Camera, Person, Picture, Rights
from landmarks.geometry import Box, Point
from landmarks.observations import CONDITIONS, ORIGINS, ZONES, Condition
from landmarks.picture import PictureFile
from landmarks.placing import OCCASIONS, REASONS, TRUE_ZEROS, WAYS, Placing
from landmarks.scale import Scale
from landmarks.specimen import (
    HIDDEN_REASONS,
    LEVELS,
    Determination,
    Frame,
    Label,
    Observation,
    Specimen,
    Where,
)

ids = st.integers(0, 2**128 - 1).map(lambda number: str(UUID(int=number, version=4)))
words = st.text(
    st.sampled_from("ab Z09.,;'\"\\/<&\n\té\u0301ÅßλЖ漢\u200b\U0001f600"), max_size=12
)
keys = st.from_regex(r"[a-z][a-z_]{0,10}", fullmatch=True)
times = st.datetimes().map(
    lambda moment: moment.isoformat(timespec="seconds") + "Z"
) | st.just("")
coordinates = st.floats(-100, 20_000, allow_nan=False)
lengths = st.floats(0, 1500, allow_nan=False)
points = st.builds(Point, coordinates, coordinates)
boxes = st.builds(Box, coordinates, coordinates, lengths, lengths)

json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**15), 10**15)
    | st.floats(allow_nan=False, allow_infinity=False)
    | words,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(words, inner, max_size=3),
    max_leaves=6,
)
"""Anything a later version might write."""

extras = st.dictionaries(keys.map(lambda key: f"later_{key}"), json_values, max_size=2)

labels = st.builds(
    Label,
    catalogue_number=words,
    locality=words,
    collector=words,
    verbatim=words,
    extra=extras,
)
wheres = st.builds(
    Where,
    region=keys | st.just(""),
    use_region=st.booleans(),
    origin=st.sampled_from(ORIGINS),
    condition=st.lists(
        st.builds(
            Condition, st.sampled_from(CONDITIONS), st.sampled_from(ZONES), extra=extras
        ),
        max_size=2,
    ).map(tuple),
    extra=extras,
)
frames = st.builds(
    Frame,
    id=ids,
    picture=ids | st.just(""),
    view=keys,
    region=st.none() | boxes,
    number=st.integers(0, 40),
    part=st.just("") | keys,
    mantle=st.just("") | keys,
    valves=st.just("") | keys,
    extra=extras,
)
placings = st.builds(
    Placing,
    id=ids,
    frame=ids,
    landmark=keys,
    points=st.lists(points, max_size=4).map(tuple),
    reason=st.sampled_from(("", *REASONS, *TRUE_ZEROS)),
    occasion=st.sampled_from(OCCASIONS),
    how=st.sampled_from(WAYS),
    zoom=st.none() | st.floats(0.01, 32),
    sigma_px=st.none() | st.floats(0, 50),
    person=ids | st.just(""),
    at=times,
    names_hidden=st.booleans(),
    extra=extras,
)


@st.composite
def observations(draw):
    """An observation says one of three things."""
    kind = draw(st.sampled_from(("state", "value", "hidden")))
    said = {
        "state": {"state": draw(keys), "sure": draw(st.booleans())},
        "value": {
            "value": draw(lengths),
            "sigma": draw(st.none() | st.floats(0, 50)),
            "at_least": draw(st.booleans()),
            "unit": draw(st.sampled_from(("", "mm", "ratio", "count"))),
            "method": draw(st.just("") | keys),
        },
        "hidden": {"hidden": draw(st.sampled_from(HIDDEN_REASONS))},
    }[kind]
    return Observation(
        draw(ids),
        draw(keys),
        frame=draw(ids | st.just("")),
        person=draw(ids | st.just("")),
        at=draw(times),
        names_hidden=draw(st.booleans()),
        extra=draw(extras),
        **said,
    )


determinations = st.builds(
    Determination,
    id=ids,
    level=st.sampled_from(LEVELS),
    taxa=st.lists(keys, max_size=2).map(tuple),
    name=words,
    qualifier=st.sampled_from(("", "cf.", "aff.", "sp. inc.", "?")),
    determiner=words,
    at=times,
    independent=st.booleans(),
    rested_on=st.lists(ids, max_size=3).map(tuple),
    probability=st.none() | st.floats(0, 1),
    extra=extras,
)


def rows(one):
    """A few rows, each with an id of its own."""
    return st.lists(one, max_size=3, unique_by=lambda row: row.id).map(tuple)


specimens = st.builds(
    Specimen,
    id=ids,
    label=labels,
    where=wheres,
    frames=rows(frames),
    placings=rows(placings),
    observations=rows(observations()),
    determinations=rows(determinations),
    extra=extras,
)
scales = st.builds(
    Scale,
    method=st.just("two_points"),
    points=st.tuples(points, points),
    length_mm=st.floats(0.1, 1000),
    sigma_mm=st.floats(0, 1),
    sigma_px=st.floats(0.1, 5),
    person=ids,
    at=times,
    extra=extras,
)
picture_files = st.builds(
    PictureFile,
    sha256=st.from_regex(r"[0-9a-f]{64}", fullmatch=True),
    n_bytes=st.integers(1, 10**9),
    width=st.integers(1, 20_000),
    height=st.integers(1, 20_000),
    orientation=st.integers(1, 8),
    captured=words,
    zone=st.sampled_from(("", "+08:00")),
    latitude=st.none() | st.floats(-90, 90),
    longitude=st.none() | st.floats(-180, 180),
    camera=words,
    focal_35mm=st.none() | st.floats(1, 600),
    format=st.sampled_from(("", "JPEG", "PNG")),
    extra=extras,
)
pictures = st.builds(
    Picture,
    id=ids,
    path=words.filter(bool),
    file=picture_files,
    scale=st.none() | scales,
    camera=st.builds(Camera, distance_mm=st.none() | lengths, extra=extras),
    rights=st.builds(Rights, creator=words, licence=words, extra=extras),
    extra=extras,
)
people = st.builds(Person, id=ids, name=words, researcher_id=words, extra=extras)
abouts = st.builds(About, id=ids, name=words, created=times, extra=extras)

parts = st.dictionaries(
    st.sampled_from(("label", "where", "frame/a", "frame/b", "placing/a", "placing/b")),
    json_values.filter(lambda raw: raw is not None),
    max_size=5,
)
"""Named parts of one document, few enough names to meet."""
