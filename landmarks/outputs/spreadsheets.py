"""A collection as CSV tables: measures, scores, candidates, names, one row each.

Every number has its standard uncertainty, unit and definition beside it; ``columns.csv`` says
what every column means. Places of living wild animals are coarsened unless somebody asks
otherwise, since such tables travel.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import TextIO

from landmarks.assessment import Assessment, MeasureRow, assess
from landmarks.changes import Document
from landmarks.collection import Picture
from landmarks.identification import Guide
from landmarks.observations import holds_evidence
from landmarks.outputs.guarding import Cell, csv_lines
from landmarks.sentences import Sentence, say, text, word
from landmarks.specimen import Determination, Observation, Specimen, specimen_of
from landmarks.storage import Store
from landmarks.storage.new_folder import new_folder
from landmarks.stretches import stretches
from landmarks.summaries import doubts_of, pictures_of

COARSE_DEGREES = 0.1
"""To how many degrees places are coarsened, some 11 km (common practice for what must not
be found again, no source)."""

WILD = ("wild", "unknown")
"""Origins that a living animal's place is kept back for."""

AT_ONCE = 100

TABLES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "specimens": (
            "specimen_id", "catalogue_number", "name", "level", "qualifier", "determiner",
            "named_at", "region", "origin", "condition", "locality", "latitude",
            "longitude", "place", "collector", "collected", "living", "pictures",
        ),
        "measures": (
            "specimen_id", "catalogue_number", "measure", "measure_name", "value",
            "standard_uncertainty", "unit", "at_least", "method", "valve", "doubled",
            "frame_id", "missing", "definition",
        ),
        "scores": (
            "specimen_id", "catalogue_number", "character", "character_name", "state",
            "state_name", "value", "standard_uncertainty", "unit", "at_least",
            "cannot_be_seen", "sure", "method", "view", "frame_id", "person_id", "at",
            "names_hidden", "definition",
        ),
        "candidates": (
            "specimen_id", "catalogue_number", "rank", "taxon", "taxon_name", "probability",
            "stated", "ruled_out_by", "fit", "tables", "engine", "definition",
        ),
        "names": (
            "specimen_id", "catalogue_number", "determination_id", "latest", "level",
            "taxa", "name", "qualifier", "determiner", "person_id", "at", "independent",
            "remarks", "leading", "probability",
        ),
    }
)  # fmt: skip
"""Every table and its columns; ``column.<name>`` says what each means."""


@dataclass(frozen=True, slots=True)
class TablesWritten:
    """What was written: rows of each table, and of how many specimens the place is coarse."""

    folder: Path
    n_rows: Mapping[str, int]
    n_coarse: int


Progress = Callable[[int, int], None]


def write_tables(
    store: Store,
    guide: Guide,
    folder: Path,
    *,
    specimens: Sequence[str] | None = None,
    exact_places: bool = False,
    progress: Progress = lambda done, total: None,
) -> TablesWritten:
    """Write the tables of a collection into a new folder; it appears whole, or not at all.

    Parameters
    ----------
    specimens
        Ids of those to write, in this order; None for everything.
    exact_places
        Places of living wild animals as they are.

    Raises
    ------
    StoreError
        If the folder stands already or cannot be written.
    """
    if specimens is None:
        specimens = [one.id for one in store.documents("specimen")]
    doubts = doubts_of(store)
    with new_folder(folder) as unfinished:
        n_rows = dict.fromkeys(TABLES, 0)
        n_coarse = 0
        with ExitStack() as stack:
            files = {name: stack.enter_context(_new(unfinished, name)) for name in TABLES}
            for done, (specimen, pictures) in enumerate(_each(store, specimens), 1):
                assessment = assess(specimen, pictures, guide, doubts)
                coarse = not exact_places and _is_kept_back(specimen, assessment)
                n_coarse += coarse and _has_place(specimen, pictures)
                made = _rows(specimen, pictures, assessment, guide, coarse=coarse)
                for name, rows in made.items():
                    n_rows[name] += len(rows)
                    files[name].writelines(csv_lines(rows))
                progress(done, len(specimens))
        with _new(unfinished, "columns", ("table", "column", "meaning")) as file:
            file.writelines(csv_lines(_columns()))
        key = "export.tables_readme_exact" if exact_places else "export.tables_readme"
        said = {"name": store.about().name, "tables": guide.tables.hash[:12]}
        (unfinished / "README.txt").write_text(say(key, **said) + "\n", encoding="utf-8")
    return TablesWritten(folder, n_rows, n_coarse)


def _new(folder: Path, name: str, columns: Sequence[str] = ()) -> TextIO:
    file = (folder / f"{name}.csv").open("w", encoding="utf-8-sig", newline="")
    file.writelines(csv_lines([columns or TABLES[name]]))
    return file


def _columns() -> Iterator[tuple[str, str, str]]:
    for table, columns in TABLES.items():
        for one in columns:
            yield f"{table}.csv", one, say(f"column.{one}")


def _each(
    store: Store, specimens: Sequence[str]
) -> Iterator[tuple[Specimen, Mapping[str, Picture]]]:
    for run in stretches(specimens, AT_ONCE):
        some = [Document("specimen", one) for one in run]
        made = [specimen_of(one.id, doc.parts) for one, doc in store.load(*some).items()]
        pictures = pictures_of(store, made)
        for specimen in made:
            yield specimen, pictures


def _rows(
    specimen: Specimen,
    pictures: Mapping[str, Picture],
    assessment: Assessment,
    guide: Guide,
    *,
    coarse: bool,
) -> Mapping[str, Sequence[Sequence[Cell]]]:
    head = (specimen.id, specimen.label.catalogue_number)
    names = {taxon.key: taxon.name for taxon in guide.tables.taxa}
    latest = specimen.determination
    return {
        "specimens": [_specimen(specimen, pictures, assessment, names, coarse=coarse)],
        "measures": [(*head, *_measure(row)) for row in assessment.measures],
        "scores": [(*head, *_score(one, specimen, guide)) for one in specimen.observations],
        "candidates": [(*head, *row) for row in _candidates(assessment)],
        "names": [
            (*head, one.id, one is latest, *_name(one, names))
            for one in specimen.determinations
        ],
    }


def _specimen(
    specimen: Specimen,
    pictures: Mapping[str, Picture],
    assessment: Assessment,
    names: Mapping[str, str],
    *,
    coarse: bool,
) -> tuple[Cell, ...]:
    label, where, named = specimen.label, specimen.where, specimen.determination
    shown = _shown(specimen, pictures)
    place = _coordinates(shown)
    latitude, longitude = place or (None, None)
    if coarse and place is not None:
        latitude, longitude = map(_coarse, place)
    has = bool(place or label.locality)
    return (
        specimen.id,
        label.catalogue_number,
        _written(named, names) if named else "",
        named.level if named else "",
        named.qualifier if named else "",
        named.determiner if named else "",
        named.at if named else "",
        where.region,
        where.origin,
        " ".join(f"{one.kind}:{one.zone}" for one in where.condition),
        "" if coarse else label.locality,
        latitude,
        longitude,
        ("coarsened" if coarse else "as_recorded") if has else "",
        label.collector,
        label.collected,
        assessment.circumstances.living,
        len(shown),
    )


def _measure(row: MeasureRow) -> tuple[Cell, ...]:
    value = row.value
    missing = ""
    if value is None and row.missing is not None:
        reasons = row.missing.reasons or {}
        lacks = [
            f"{one}:{reasons[one]}" if one in reasons else one for one in row.missing.lacks
        ]
        missing = " ".join(lacks or [f"{key}:{one}" for key, one in reasons.items()])
    return (
        row.key,
        say(f"measure.{row.key}.name"),
        None if value is None else value.value,
        None if value is None else value.sigma,
        row.unit or "1",
        row.at_least,
        "" if value is None else row.method,
        row.valve,
        row.doubled,
        row.frame,
        missing,
        say(f"measure.{row.key}.definition"),
    )


def _score(one: Observation, specimen: Specimen, guide: Guide) -> tuple[Cell, ...]:
    row = guide.tables.characters.get(one.character)
    frame = specimen.frame(one.frame)
    state = next((s for s in row.states if s.key == one.state), None) if row else None
    return (
        one.character,
        row.name if row else one.character,
        one.state,
        state.name if state else one.state,
        one.value,
        one.sigma,
        one.unit or (row.unit if row and one.value is not None else ""),
        one.at_least,
        one.hidden,
        one.sure,
        one.method,
        frame.view if frame else "",
        one.frame,
        one.person,
        one.at,
        one.names_hidden,
        row.definition if row else "",
    )


def _candidates(assessment: Assessment) -> Iterable[tuple[Cell, ...]]:
    """Return the list of candidates, which is none where nothing was seen."""
    if not holds_evidence(assessment.seen):
        return
    answer = assessment.answer
    for rank, one in enumerate(answer.candidates, 1):
        yield (
            rank,
            one.taxon,
            one.name,
            one.probability,
            one.stated,
            " ".join(one.ruled_out_by),
            answer.fit.value if rank == 1 else None,
            answer.tables_hash,
            answer.engine_version,
            say("column.candidate_definition"),
        )


def _name(one: Determination, names: Mapping[str, str]) -> tuple[Cell, ...]:
    return (
        one.level,
        " ".join(one.taxa),
        _written(one, names),
        one.qualifier,
        one.determiner,
        one.person,
        one.at,
        one.independent,
        one.remarks,
        one.leading,
        one.probability,
    )


def _written(one: Determination, names: Mapping[str, str]) -> str:
    if one.level in ("not_a_giant_clam", "unresolved"):
        return text(word("level", one.level))
    between = " × " if one.level == "hybrid" else " / "
    return between.join(names.get(key, key) for key in one.taxa) or one.name


def _is_kept_back(specimen: Specimen, assessment: Assessment) -> bool:
    return assessment.circumstances.living and specimen.where.origin in WILD


def _has_place(specimen: Specimen, pictures: Mapping[str, Picture]) -> bool:
    found = _coordinates(_shown(specimen, pictures))
    return bool(specimen.label.locality) or found is not None


def _shown(specimen: Specimen, pictures: Mapping[str, Picture]) -> tuple[Picture, ...]:
    ids = dict.fromkeys(frame.picture for frame in specimen.frames)
    return tuple(pictures[one] for one in ids if one in pictures)


def _coordinates(pictures: Iterable[Picture]) -> tuple[float, float] | None:
    for one in pictures:
        if one.file.latitude is not None and one.file.longitude is not None:
            return one.file.latitude, one.file.longitude
    return None


def _coarse(degrees: float) -> float:
    return round(round(degrees / COARSE_DEGREES) * COARSE_DEGREES, 1)


def coarse_sentence(written: TablesWritten) -> Sentence | None:
    """Return that places were coarsened, where any was."""
    if not written.n_coarse:
        return None
    return Sentence("export.coarsened", {"n": written.n_coarse})
