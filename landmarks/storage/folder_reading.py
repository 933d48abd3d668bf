"""The files of a folder, read: documents as their parts, change sets one by one.

Whatever cannot be read is named with its file, and in the history with its line.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from landmarks.changes import Change, ChangeSet, Document, Parts
from landmarks.codec import decode, read_json
from landmarks.collection import About, Picture, about_of, picture_parts
from landmarks.documents import FORMAT, Whole, read_collection, read_record
from landmarks.errors import DocumentError, NewerFormatError
from landmarks.specimen import parts_of
from landmarks.storage.deeds import deed_of
from landmarks.storage.folder_writing import OTHER


def read_collection_file(
    folder: Path,
) -> tuple[Whole, Document, Mapping[str, Mapping[str, Any]]]:
    """Return the collection, its document, and what else its file holds by document."""
    raw = dict(_json_in(folder / "collection.json"))
    others = raw.pop(OTHER, {})
    whole = read_collection(raw, "collection.json")
    others = decode(Mapping[str, Mapping[str, Any]], others, f"collection.json: {OTHER}")  # type: ignore[type-abstract]
    if whole.specimens or whole.pictures:
        raise DocumentError("export.not_a_folder", folder=folder.name)
    return whole, Document("collection", whole.about.id), others


def document_files(folder: Path) -> list[Path]:
    """Return the files of pictures, then those of specimens."""
    return [
        file
        for name in ("pictures", "specimens")
        for file in sorted((folder / name).glob("*.json"))
        if file.is_file()
    ]


def document_in(file: Path) -> dict[Document, Parts]:
    """Return the parts that a file gives: of a picture, or of a specimen and its pictures."""
    raw = dict(_json_in(file))
    where = f"{file.parent.name}/{file.name}"
    other = decode(Mapping[str, Any], raw.pop(OTHER, {}), f"{where}: {OTHER}")  # type: ignore[type-abstract]
    if file.parent.name == "pictures":
        _check_format(raw, where)
        picture = decode(Picture, raw.get("picture"), f"{where}: picture")
        return {Document("picture", picture.id): picture_parts(picture) | dict(other)}
    specimen, pictures = read_record(raw, where)
    made: dict[Document, Parts] = {
        Document("picture", one.id): picture_parts(one) for one in pictures
    }
    made[Document("specimen", specimen.id)] = parts_of(specimen) | dict(other)
    return made


def deeds_in(file: Path) -> Iterator[ChangeSet]:
    """Read the change sets of a history, oldest first."""
    try:
        with file.open("rb") as lines:
            for n, line in enumerate(lines, 1):
                where = f"{file.name}, line {n}"
                yield _deed(decode(Mapping[str, Any], read_json(line, where), where), where)  # type: ignore[type-abstract]
    except OSError as fault:
        reason = fault.strerror or ""
        raise DocumentError("document.cannot_read", file=file.name, reason=reason) from None


def begun_with(first: ChangeSet, folder: Path) -> About:
    """Return what the collection said of itself when it was begun."""
    parts = {
        change.part: change.after
        for change in first.changes
        if change.document.kind == "collection"
    }
    ids = {change.document.id for change in first.changes}
    if ids != {first.id} or "about" not in parts:
        raise DocumentError("export.broken_history", file="history.jsonl", id=first.id)
    return about_of(first.id, parts)


def _check_format(raw: Mapping[str, Any], where: str) -> None:
    if "format" not in raw:
        raise DocumentError("document.no_format", where=where, known=FORMAT)
    found = decode(int, raw["format"], f"{where}: format")
    if found > FORMAT:
        raise NewerFormatError(
            "document.newer_format", where=where, found=found, known=FORMAT
        )


def _json_in(file: Path) -> Mapping[str, Any]:
    where = (
        file.name
        if file.parent.name not in ("pictures", "specimens")
        else (f"{file.parent.name}/{file.name}")
    )
    try:
        content = file.read_bytes()
    except FileNotFoundError:
        raise DocumentError(
            "export.lacks_file", file=where, folder=file.parent.name
        ) from None
    except OSError as fault:
        reason = fault.strerror or ""
        raise DocumentError("document.cannot_read", file=where, reason=reason) from None
    raw = read_json(content, where)
    return decode(Mapping[str, Any], raw, where)  # type: ignore[type-abstract]


def _deed(raw: Mapping[str, Any], where: str) -> ChangeSet:
    words = {
        name: decode(str, raw.get(name, ""), f"{where}: {name}")
        for name in ("id", "person", "at", "undoes")
    }
    rows = decode(
        tuple[Mapping[str, Any], ...], raw.get("changes", []), f"{where}: changes"
    )
    changes = tuple(
        Change(
            Document(
                *(decode(str, row.get(key), f"{where}: {key}") for key in ("kind", "id"))
            ),
            decode(str, row.get("part"), f"{where}: part"),
            row.get("before"),
            row.get("after"),
        )
        for row in rows
    )
    extra = decode(Mapping[str, Any], raw.get("extra", {}), f"{where}: extra")  # type: ignore[type-abstract]
    return ChangeSet(deed=deed_of(raw.get("deed")), changes=changes, extra=extra, **words)
