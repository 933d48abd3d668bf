"""What the list of specimens shows and in which order: conditions, sorting, kept filters."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from app.session.session import Session
from app.session.values import new_id
from landmarks.changes import Change, Document
from landmarks.finding import (
    Filter,
    SavedFilter,
    checked_filter,
    saved_filter_parts,
    saved_filters_of,
)
from landmarks.sentences import Sentence
from landmarks.storage import Query, Row
from landmarks.summaries import stale_among


def find(session: Session, **changes: object) -> None:
    """List what another query finds: the one there is, with these fields changed."""
    query = replace(session.query, **changes)  # type: ignore[arg-type]
    session.listing.refresh(of_today(session, query))


def of_today(session: Session, query: Query) -> Query:
    """Return a query that knows from which tables and engine a value is stale."""
    today = session.today
    return query if today is None else today.asking(query)


def add_condition(session: Session, condition: Filter) -> None:
    """Let one condition more hold of all that is listed.

    Raises
    ------
    DocumentError, UnknownWordError
        If it means nothing: one sentence.
    """
    checked = checked_filter(condition)
    if checked not in session.query.filters:
        find(session, filters=(*session.query.filters, checked))


def remove_condition(session: Session, condition: Filter) -> None:
    """Let one condition no longer hold."""
    kept = tuple(one for one in session.query.filters if one != condition)
    find(session, filters=kept)


def show_all(session: Session) -> None:
    """List every specimen, in the usual order."""
    usual = Query()
    find(
        session,
        text="",
        filters=(),
        order=usual.order,
        descending=usual.descending,
    )


def use_kept(session: Session, kept: SavedFilter) -> None:
    """List what a kept filter finds."""
    find(
        session,
        text=kept.text,
        filters=kept.filters,
        order=kept.order,
        descending=kept.descending,
    )


def keep_filter(session: Session, name: str) -> None:
    """Keep what is asked for now in the collection, under a name.

    A kept filter of the same name is taken over.
    """
    query = session.query
    old = next((one for one in kept_filters(session) if one.name == name), None)
    kept = SavedFilter(
        old.id if old is not None else new_id(),
        name,
        query.filters,
        query.text,
        query.order,
        query.descending,
    )
    session.do(Sentence("deed.keep_filter", {"name": name}), *_changes(session, old, kept))


def forget_filter(session: Session, kept: SavedFilter) -> None:
    """Take a kept filter out of the collection."""
    deed = Sentence("deed.forget_filter", {"name": kept.name})
    session.do(deed, *_changes(session, kept, None))


def kept_filters(session: Session) -> tuple[SavedFilter, ...]:
    """Return the filters that the collection keeps, by name."""
    return saved_filters_of(session.shelf.parts(collection_of(session)))


def collection_of(session: Session) -> Document:
    """Return the document that stands for the collection itself."""
    return Document("collection", session.about.id)


def find_missing(session: Session, then: Callable[[Row], None]) -> None:
    """Find the next specimen that lacks a step, after the one on the bench.

    Where there is none, that is said; and what is not worked out yet goes on being so.
    """
    store = session.store
    if store is None:
        return
    after = "" if session.specimen is None else session.specimen.id
    missing = Filter("missing", "known")
    query = of_today(session, replace(session.query, offset=0, limit=None))
    query = replace(query, filters=(*query.filters, missing))

    def question() -> tuple[Row | None, int]:
        row = store.following(query, after)
        return row, 0 if row is not None else store.count(stale_among(query))

    def found(answer: tuple[Row | None, int]) -> None:
        row, n_stale = answer
        if row is not None:
            then(row)
        elif n_stale:
            session.listing.derive_all(n_stale)
            session.notice(Sentence("finding.still_working", {"n": n_stale}), "passing")
        else:
            session.notice(Sentence("finding.no_step_missing"), "passing")

    session.desk.ask(question, found, lambda fault: session.notice(fault, "error"))


def _changes(
    session: Session, old: SavedFilter | None, new: SavedFilter | None
) -> list[Change]:
    before = {} if old is None else saved_filter_parts(old)
    after = {} if new is None else saved_filter_parts(new)
    return [
        Change(collection_of(session), part, before.get(part), after.get(part))
        for part in sorted(before.keys() | after.keys())
    ]
