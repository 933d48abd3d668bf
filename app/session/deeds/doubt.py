"""The own placing doubt of a person: used, or the usual one again."""

from __future__ import annotations

from dataclasses import replace

from app.session.session import Session
from landmarks.changes import Document, difference
from landmarks.collection import person_of, person_parts
from landmarks.own_doubt import OwnDoubt
from landmarks.sentences import Sentence


def use_own_doubt(session: Session, doubt: OwnDoubt | None) -> None:
    """Let the own placing doubt of whoever works here speak, or None: the usual one."""
    document = Document("person", session.person.id)

    def known() -> None:
        parts = session.shelf.parts(document)
        person = person_of(document.id, parts) if parts else session.person
        word = "deed.usual_doubt" if doubt is None else "deed.own_doubt"
        changed = person_parts(replace(person, doubt=doubt))
        session.do(Sentence(word), *difference(document, parts, changed))

    session.reader.read([document], known)
