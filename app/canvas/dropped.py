"""What is dragged onto the window from elsewhere."""

from pathlib import Path

from PySide6.QtGui import QDropEvent


def files_of(event: QDropEvent) -> list[Path]:
    """Return the files and folders that are dragged; addresses of other places are none."""
    return [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
