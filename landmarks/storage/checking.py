"""Looking through a whole collection for faults: structure, contents, references."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import partial
from typing import TYPE_CHECKING, Any

from landmarks.changes import Document, Parts, part_name
from landmarks.collection import about_of, person_of, picture_of
from landmarks.errors import DocumentError, StoreError
from landmarks.sentences import Sentence
from landmarks.specimen import Specimen, specimen_of
from landmarks.storage.contract import Loaded
from landmarks.stretches import stretches

if TYPE_CHECKING:
    from sqlalchemy import Connection

_READERS: Mapping[str, Any] = {
    "collection": about_of,
    "person": person_of,
    "picture": picture_of,
    "specimen": specimen_of,
}


def faults_in(loaded: Mapping[Document, Loaded]) -> tuple[Sentence, ...]:
    """Return what cannot be read, and every reference that leads nowhere."""
    pictures = {one.id for one in loaded if one.kind == "picture"}
    faults: list[Sentence] = []
    for document, one in loaded.items():
        faults += document_faults(document, one.parts, pictures)
    return tuple(faults)


def document_faults(
    document: Document, parts: Parts, pictures: Iterable[str]
) -> tuple[Sentence, ...]:
    """Return the faults of one document; ``pictures`` are the ids of those there are."""
    read = _READERS.get(document.kind)
    if read is None:
        return ()
    try:
        value = read(document.id, parts)
    except DocumentError as fault:
        where = {"kind": Sentence(f"document.{document.kind}"), "id": document.id}
        return (Sentence("store.unreadable", {**where, "fault": fault.sentence}),)
    if not isinstance(value, Specimen):
        return ()
    return _misnamed(value, parts) + _loose_ends(value, set(pictures))


def structure_faults(connection: Connection) -> tuple[Sentence, ...]:
    """Return what the database itself says is damaged."""
    answers = connection.exec_driver_sql("PRAGMA integrity_check(20)").scalars().all()
    faults = [
        Sentence("store.fault_structure", {"fault": str(one)[:200]})
        for one in answers
        if one != "ok"
    ]
    lost = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
    faults += [Sentence("store.fault_link", {"table": str(row[0])}) for row in lost[:20]]
    return tuple(faults)


def content_faults(connection: Connection) -> tuple[Sentence, ...]:
    """Return faults of contents, references and of the list, a few documents at a time."""
    from landmarks.storage import reading
    from landmarks.storage.row_checking import damaged_rows, loaded_soundly
    from landmarks.storage.schema import LISTING

    damaged = set(_damaged_blobs(connection))
    faults = [Sentence("store.fault_content", {"hash": one[:12]}) for one in damaged]
    faults += damaged_rows(connection, damaged)
    pictures = {one.id for one in reading.documents(connection, "picture")}
    for kind in _READERS:
        wanted = reading.documents(connection, kind)
        for stretch in stretches(wanted, reading.AT_ONCE):
            some = dict(loaded_soundly(partial(reading.load, connection), stretch))
            for document, one in some.items():
                faults += document_faults(document, one.parts, pictures)
            if kind == "specimen":
                faults += _list_faults(connection, some)
    from sqlalchemy import func, select

    n_listed = connection.execute(select(func.count()).select_from(LISTING)).scalar_one()
    n_there = len(reading.documents(connection, "specimen"))
    if n_listed != n_there:
        faults.append(Sentence("store.fault_list", {"listed": n_listed, "there": n_there}))
    # Several parts of one kind are told of once for each document.
    return tuple(dict.fromkeys(faults))


def _list_faults(
    connection: Connection, some: Mapping[Document, Loaded]
) -> Iterable[Sentence]:
    """Return specimens that the list shows, or finds, by something else than recorded."""
    from sqlalchemy import select

    from landmarks.storage.listing import listed, recorded_facts
    from landmarks.storage.schema import DOCUMENTS, LISTING, NUMBERS, WORDS

    ids = [document.id for document in some]
    ours = (DOCUMENTS.c.kind == "specimen") & DOCUMENTS.c.id.in_(ids)
    found: dict[str, set[tuple[str, object]]] = {}
    for table, value in ((WORDS, WORDS.c.word), (NUMBERS, NUMBERS.c.number)):
        statement = (
            select(DOCUMENTS.c.id, table.c.field, value.label("value"))
            .join(table, table.c.document == DOCUMENTS.c.number)
            .where(ours, table.c.derived == 0)
        )
        for row in connection.execute(statement):
            found.setdefault(row.id, set()).add((row.field, row.value))
    statement = (
        select(DOCUMENTS.c.id, LISTING.c.catalogue_number, LISTING.c.name, LISTING.c.words)
        .join(LISTING, LISTING.c.document == DOCUMENTS.c.number)
        .where(ours)
    )
    shown = {row.id: tuple(row)[1:] for row in connection.execute(statement)}
    for document, one in some.items():
        now = listed(one.parts)
        facts = {
            (fact.field, fact.word if fact.number is None else fact.number)
            for fact in recorded_facts(one.parts, now)
        }
        same = shown.get(document.id) == (now.catalogue_number, now.name, now.words)
        # One that is not listed at all is told by the count.
        if document.id in shown and not (same and facts == found.get(document.id, set())):
            named = now.catalogue_number or document.id
            yield Sentence("store.fault_found", {"specimen": named})


def _damaged_blobs(connection: Connection) -> Iterable[str]:
    """Return the hashes of the packed contents that are not what they are named after."""
    from sqlalchemy import select

    from landmarks.storage.packing import hash_of, unpacked
    from landmarks.storage.schema import BLOBS

    for row in connection.execute(select(BLOBS.c.hash, BLOBS.c.packed)):
        try:
            sound = hash_of(unpacked(row.packed)) == row.hash
        except StoreError:
            sound = False
        if not sound:
            yield str(row.hash)


def _misnamed(specimen: Specimen, parts: Parts) -> tuple[Sentence, ...]:
    """Return the parts that bear another id than what they hold: changes would miss them."""
    named = specimen.label.catalogue_number or specimen.id
    return tuple(
        Sentence(
            "store.fault_name", {"specimen": named, "part": part_name(part), "id": row_id}
        )
        for part, raw in parts.items()
        for row_id in (part.partition("/")[2],)
        if row_id and isinstance(raw, dict) and raw.get("id", row_id) != row_id
    )


def _loose_ends(specimen: Specimen, pictures: set[str]) -> tuple[Sentence, ...]:
    frames = {frame.id for frame in specimen.frames}
    named = specimen.label.catalogue_number or specimen.id
    faults = [
        Sentence("store.fault_picture", {"specimen": named, "id": frame.picture})
        for frame in specimen.frames
        if frame.picture and frame.picture not in pictures
    ]
    faults += [
        Sentence("store.fault_frame", {"specimen": named, "id": placing.frame})
        for placing in specimen.placings
        if placing.frame not in frames
    ]
    return tuple(faults)
