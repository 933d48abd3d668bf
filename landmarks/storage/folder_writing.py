"""The files of a folder, written from a store: one document to each, the history by lines.

What a record has no words for is written beside it, under :data:`OTHER`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any, TextIO

from landmarks.changes import Document, Parts
from landmarks.codec import encode, write_json
from landmarks.collection import (
    about_of,
    about_parts,
    person_of,
    person_parts,
    picture_of,
    picture_parts,
)
from landmarks.documents import FORMAT, Whole, write_collection
from landmarks.documents import write_record as record_of
from landmarks.finding import saved_filter_parts, saved_filters_of
from landmarks.sentences import Sentence, text
from landmarks.specimen import parts_of, specimen_of
from landmarks.storage.contract import Store
from landmarks.storage.deeds import deed_json
from landmarks.storage.whole import collection_in
from landmarks.stretches import stretches

OTHER = "other_parts"

AT_ONCE = 200
"""Documents or change sets that are held at a time."""

Progress = Callable[[int, int], None]
"""Told how many documents are done, of how many."""


def write_all(
    store: Store,
    folder: Path,
    specimens: Sequence[str] | None,
    progress: Progress,
    *,
    history: bool,
) -> tuple[int, int, int]:
    """Write every file; return how many specimens, pictures and change sets."""
    collection = collection_in(store)
    latest = store.latest()
    parts = store.load(collection)[collection].parts
    people = store.load(*store.documents("person"))
    whole = Whole(
        about_of(collection.id, parts),
        tuple(person_of(one.id, found.parts) for one, found in people.items()),
        filters=saved_filters_of(parts),
        extra=parts.get("extra", {}),
    )
    raw = write_collection(whole)
    rest = {"collection": _others(parts, collection_parts(whole, {}))}
    made = {one.id: person_parts(one) for one in whole.people}
    rest |= {
        f"person/{one.id}": _others(found.parts, made[one.id])
        for one, found in people.items()
    }
    rest = {name: found for name, found in rest.items() if found}
    _write(folder / "collection.json", raw | ({OTHER: rest} if rest else {}))
    everything = store.documents("specimen")
    if specimens is not None:
        wanted = set(specimens)
        everything = tuple(one for one in everything if one.id in wanted)
    pictures = store.documents("picture") if specimens is None else None
    total = len(everything) + len(pictures or ())
    done = 0
    shown: dict[Document, None] = {}
    for some in stretches(everything, AT_ONCE):
        for one, found in store.load(*some).items():
            specimen = specimen_of(one.id, found.parts)
            shown |= {Document("picture", f.picture): None for f in specimen.frames}
            record = record_of(specimen)
            other = _others(found.parts, parts_of(specimen))
            _write(
                folder / "specimens" / _file_name(one.id),
                record | ({OTHER: other} if other else {}),
            )
            done += 1
            progress(done, total)
    pictures = tuple(shown) if pictures is None else pictures
    n_pictures = 0
    for some in stretches(pictures, AT_ONCE):
        for one, found in store.load(*some).items():
            picture = picture_of(one.id, found.parts)
            other = _others(found.parts, picture_parts(picture))
            _write(
                folder / "pictures" / _file_name(one.id),
                {"format": FORMAT, "picture": encode(picture)}
                | ({OTHER: other} if other else {}),
            )
            n_pictures += 1
            done += 1
            progress(done, max(total, done))
    n_deeds = 0
    if history and specimens is None:
        with (folder / "history.jsonl").open("w", encoding="utf-8", newline="\n") as file:
            n_deeds = _write_history(store, latest, file)
    key = "export.readme" if n_deeds else "export.readme_without_history"
    (folder / "README.txt").write_text(
        text(Sentence(key, {"name": whole.about.name or whole.about.id})) + "\n",
        encoding="utf-8",
    )
    return len(everything), n_pictures, n_deeds


def collection_parts(
    whole: Whole, others: Mapping[str, Mapping[str, Any]]
) -> dict[str, Any]:
    """Return the parts of the document of the collection itself."""
    parts = about_parts(whole.about)
    if whole.extra:
        parts["extra"] = dict(whole.extra)
    for saved in whole.filters:
        parts |= saved_filter_parts(saved)
    return parts | dict(others.get("collection", {}))


def _write_history(store: Store, latest: int, file: TextIO) -> int:
    n_deeds = 0
    for start in range(0, latest, AT_ONCE):
        before = min(start + AT_ONCE, latest) + 1
        for past in reversed(store.history(limit=before - start - 1, before=before)):
            deed = past.change_set
            raw = {
                "id": deed.id,
                "deed": deed_json(deed.deed),
                "person": deed.person,
                "at": deed.at,
                "undoes": deed.undoes,
                "extra": dict(deed.extra),
                "changes": [
                    {
                        "kind": change.document.kind,
                        "id": change.document.id,
                        "part": change.part,
                        "before": change.before,
                        "after": change.after,
                    }
                    for change in deed.changes
                ],
            }
            file.write(f"{write_json(raw)}\n")
            n_deeds += 1
    return n_deeds


def _others(parts: Parts, made: Parts) -> dict[str, Any]:
    """Return the parts that the values made of them would not give back as they are."""
    return {name: raw for name, raw in parts.items() if made.get(name) != raw}


def _write(path: Path, raw: Mapping[str, Any]) -> None:
    content = json.dumps(raw, ensure_ascii=False, indent=1, allow_nan=False)
    path.write_text(f"{content}\n", encoding="utf-8", newline="\n")


def _file_name(document_id: str) -> str:
    """Return a name that every file system takes and tells apart."""
    plain = re.fullmatch(r"[a-z0-9][a-z0-9-]{0,63}", document_id)
    name = document_id if plain else f"x{sha256(document_id.encode()).hexdigest()[:40]}"
    return f"{name}.json"
