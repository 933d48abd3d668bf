"""What is remembered of pictures that were on the bench: how they were seen, scale, frames."""

from __future__ import annotations

from app.session.values import Drawer
from landmarks.collection import Picture
from landmarks.instruments.seeing import Seeing
from landmarks.specimen import Frame


class Remembered:
    """The pictures that the next one can be treated like; forgotten with the collection.

    Attributes
    ----------
    last_scaled
        Id of the last picture with a scale; empty before the first.
    drawer
        The last picture with several frames, or None.
    """

    def __init__(self) -> None:
        self.last_scaled = ""
        self.drawer: Drawer | None = None
        self._seeing: dict[str, Seeing] = {}

    def leave(self, picture: Picture, frames: tuple[Frame, ...]) -> None:
        """Remember of a picture that leaves the bench its scale and its several frames."""
        if picture.scale is not None:
            self.last_scaled = picture.id
        if len(frames) > 1:
            self.drawer = Drawer(picture, frames)

    def see(self, picture: Picture, how: Seeing) -> None:
        """Remember how a picture is shown, until the collection is left."""
        self._seeing[picture.id] = how

    def seeing(self, picture: Picture) -> Seeing:
        """Return how a picture is shown."""
        return self._seeing.get(picture.id, Seeing())
