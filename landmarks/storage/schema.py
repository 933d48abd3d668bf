"""The tables of a collection, format 3; the same for every database.

``documents``, ``parts`` and ``blobs`` are what is there now; ``change_sets`` and
``changes`` are how it came about; ``listing`` is taken from the parts within the same
transaction, and ``cache`` may be emptied at any time. ``words`` and ``numbers`` are what
specimens are found by: taken from the parts like ``listing``, or ``derived`` and kept
together with the ``cache``. A content is JSON text, or ``#`` and the hash of a blob.
"""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    Connection,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)
from sqlalchemy.dialects.sqlite import REAL
from sqlalchemy.schema import CreateIndex, CreateTable

METADATA = MetaData()
_Whole = BigInteger().with_variant(Integer, "sqlite")
_Real = Float(53).with_variant(REAL(), "sqlite")


def _document(*, key: bool) -> Column[int]:
    return Column(
        "document", _Whole, ForeignKey("documents.number"), primary_key=key, nullable=False
    )


DOCUMENTS = Table(
    "documents",
    METADATA,
    Column("number", _Whole, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("id", Text, nullable=False),
    Column("revision", _Whole, nullable=False),
    Column("deleted", Integer, nullable=False),
    UniqueConstraint("kind", "id"),
    sqlite_strict=True,
)

PARTS = Table(
    "parts",
    METADATA,
    _document(key=True),
    Column("part", Text, primary_key=True),
    Column("content", Text, nullable=False),
    sqlite_with_rowid=False,
    sqlite_strict=True,
)

BLOBS = Table(
    "blobs",
    METADATA,
    Column("hash", Text, primary_key=True),
    Column("packed", LargeBinary, nullable=False),
    sqlite_strict=True,
)

CHANGE_SETS = Table(
    "change_sets",
    METADATA,
    Column("sequence", _Whole, primary_key=True, autoincrement=False),
    Column("id", Text, nullable=False, unique=True),
    Column("deed", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("undoes", Text, nullable=False),
    Column("extra", Text, nullable=False),
    sqlite_strict=True,
)

CHANGES = Table(
    "changes",
    METADATA,
    Column(
        "sequence",
        _Whole,
        ForeignKey("change_sets.sequence"),
        primary_key=True,
        autoincrement=False,
    ),
    Column("place", _Whole, primary_key=True, autoincrement=False),
    _document(key=False),
    Column("part", Text, nullable=False),
    Column("before", Text),
    Column("after", Text),
    Index("changes_of_document", "document", "sequence"),
    sqlite_with_rowid=False,
    sqlite_strict=True,
)

LISTING = Table(
    "listing",
    METADATA,
    _document(key=True),
    Column("catalogue_number", Text, nullable=False),
    Column("catalogue_key", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("name_key", Text, nullable=False),
    Column("taxa", Text, nullable=False),
    Column("level", Text, nullable=False),
    Column("qualifier", Text, nullable=False),
    Column("n_pictures", _Whole, nullable=False),
    Column("picture", Text, nullable=False),
    Column("region", Text, nullable=False),
    Column("words", Text, nullable=False),
    Column("changed", _Whole, nullable=False),
    Index("listing_by_number", "catalogue_key", "document"),
    Index("listing_by_name", "name_key", "document"),
    Index("listing_by_change", "changed", "document"),
    sqlite_strict=True,
)

CACHE = Table(
    "cache",
    METADATA,
    _document(key=True),
    Column("revision", _Whole, nullable=False),
    Column("tables_hash", Text, nullable=False),
    Column("engine", Text, nullable=False),
    Column("value", Text, nullable=False),
    Column("summary", Text, nullable=False),
    Index("cache_by_stamp", "document", "revision", "tables_hash", "engine"),
    sqlite_strict=True,
)

WORDS = Table(
    "words",
    METADATA,
    _document(key=True),
    Column("field", Text, primary_key=True),
    Column("word", Text, primary_key=True),
    Column("derived", Integer, nullable=False),
    Index("words_by_word", "field", "word", "document"),
    sqlite_with_rowid=False,
    sqlite_strict=True,
)

NUMBERS = Table(
    "numbers",
    METADATA,
    _document(key=True),
    Column("field", Text, primary_key=True),
    Column("number", _Real, nullable=False),
    Column("sigma", _Real),
    Column("at_least", Integer, nullable=False),
    Column("derived", Integer, nullable=False),
    Index("numbers_by_number", "field", "number", "document", "sigma", "at_least"),
    sqlite_with_rowid=False,
    sqlite_strict=True,
)


def create_tables(connection: Connection) -> None:
    """Create every table and index, always in the same order: equal deeds, equal files."""
    for table in METADATA.sorted_tables:
        connection.execute(CreateTable(table))
        for index in sorted(table.indexes, key=lambda one: str(one.name)):
            connection.execute(CreateIndex(index))
