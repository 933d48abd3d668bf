"""Everything a person can mend, as one tree.

::

    HingelineError            a sentence for the person, never a traceback
    ├── PictureError          a picture file that cannot be opened or is not what it was
    ├── ScaleError            a scale that gives no millimetres
    ├── PlacingError          a landmark where it cannot be
    ├── DocumentError         a record that is not in the document format
    │   └── NewerFormatError  a record written by a newer version
    ├── TablesError           a species table with a fault
    ├── UnknownWordError      a key, state, view or region nobody knows; the nearest one
    └── StoreError            a collection that cannot be opened or written
        └── ConflictError     somebody changed the same part since
"""

from __future__ import annotations

from landmarks.sentences import Sentence


class HingelineError(Exception):
    """What was found, where, and the way out, as one sentence."""

    def __init__(self, key: str, **values: object) -> None:
        self.sentence = Sentence(key, values)
        super().__init__(key, values)

    def __str__(self) -> str:
        from landmarks.sentences import text

        return text(self.sentence)


class PictureError(HingelineError):
    """A picture file that cannot be opened, or is not what it was."""


class ScaleError(HingelineError):
    """A scale that gives no millimetres."""


class PlacingError(HingelineError):
    """A landmark where it cannot be."""


class DocumentError(HingelineError):
    """A record that is not in the document format."""


class NewerFormatError(DocumentError):
    """A record written by a newer version of the program."""


class TablesError(HingelineError):
    """A species table with a fault."""


class UnknownWordError(HingelineError):
    """A key, state, view or region that nobody knows; the nearest known one is named."""


class StoreError(HingelineError):
    """A collection that cannot be opened or written."""


class ConflictError(StoreError):
    """Somebody changed the same part since; both versions are kept."""
