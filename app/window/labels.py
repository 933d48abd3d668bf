"""Labels from a table at the window: asked for, shown in place of the picture, written."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog

from app.session import Aspect
from landmarks.sentences import Sentence, say

if TYPE_CHECKING:
    from app.panels.label_table import LabelTablePage
    from app.window.bench import Bench


class LabelsDesk(QObject):
    """Opens one label table at a time."""

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        self._bench = bench
        self.page: LabelTablePage | None = None
        bench.session.changed.connect(self._look)
        # Whoever opens a strip wants to see the picture.
        bench.strips.opened.connect(lambda _: self.close())

    def pick(self) -> None:
        """Ask for a label table and open it."""
        found, _ = QFileDialog.getOpenFileName(
            self._bench, say("sorting.table"), str(self._bench.settings["last_folder"]),
            f"{say('sorting.tables')} (*.csv *.tsv *.txt)",
        )  # fmt: skip
        if found:
            self.open(Path(found))

    def open(self, path: Path) -> None:
        """Open a label table; one that cannot be read is said, and nothing opens."""
        from app.panels.label_table import LabelTablePage
        from app.session.labelling import Labelling

        bench = self._bench
        self.close()
        labelling = Labelling(bench.session, bench.files.reader, path, bench)

        def failed(sentence: Sentence) -> None:
            self.close()
            bench.session.notice(sentence, "error")

        self.page = LabelTablePage(bench.session, labelling)
        self.page.closed.connect(self.close)
        bench.strips.close_strip()
        bench.pages.open_page(self.page)
        bench.side.hide()
        bench.hints.set_home("label")
        labelling.read(failed)

    def close(self) -> None:
        """Let the page go."""
        page, self.page = self.page, None
        if page is not None:
            page.labelling.stop()
            page.labelling.deleteLater()
            self._bench.pages.close_page(page)
            self._bench.hints.set_home("picture")
            self._bench.side.setVisible(not self._bench.tabling.is_open)

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.COLLECTION:
            self.close()
