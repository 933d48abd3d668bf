"""Fonts by the role they play, scaled with the person's base size.

Source Sans 3 and Source Serif 4 lie in `fonts/`, unchanged, under the SIL Open Font Licence
1.1. Loading all six files takes about 1 ms beyond waking the font database (measured).
"""

from functools import lru_cache
from pathlib import Path

from PySide6.QtGui import QFont, QFontDatabase, QFontMetricsF
from PySide6.QtWidgets import QApplication

from app.style import follow, tokens

FOLDER = Path(__file__).with_name("fonts")
LEAST_BASE_PX, MOST_BASE_PX = 10.0, 28.0

_FILES = (
    "SourceSans3-Regular.ttf",
    "SourceSans3-Semibold.ttf",
    "SourceSans3-It.ttf",
    "SourceSans3-SemiboldIt.ttf",
    "SourceSerif4-It.ttf",
    "SourceSerif4-SemiboldIt.ttf",
)
_base_px = tokens.BASE_PX


@lru_cache(maxsize=1)
def load() -> tuple[str, ...]:
    """Register the fonts of the program once; return the names of files that failed."""
    return tuple(
        name for name in _FILES if QFontDatabase.addApplicationFont(str(FOLDER / name)) < 0
    )


def set_base_size(px: float) -> None:
    """Set the size of body text, in logical pixels (14 is the usual); all else follows."""
    global _base_px
    _base_px = min(max(px, LEAST_BASE_PX), MOST_BASE_PX)
    _made.cache_clear()
    app = QApplication.instance()
    if isinstance(app, QApplication):
        app.setFont(font("body"))
        # Fields and menus, which the sheet paints, take a font only with the sheet.
        app.setStyleSheet(app.styleSheet())
    follow.news().restyled.emit()


def base_size() -> float:
    """Return the size of body text, in logical pixels."""
    return _base_px


def scale() -> float:
    """Return how much larger than usual type is; 1.0 at 14 px."""
    return _base_px / tokens.BASE_PX


def scaled(px: float) -> int:
    """Return a length that grows with type (icons, rows, drawings), in whole pixels."""
    return round(px * scale())


def font(role: str) -> QFont:
    """Return the font of a role of `tokens.TYPE`: body, strong, small, name_top ..."""
    return QFont(_made(role)[0])


def line_height(role: str) -> int:
    """Return the height of one line of a role, in whole pixels."""
    return _made(role)[1]


@lru_cache(maxsize=64)
def _made(role: str) -> tuple[QFont, int]:
    kind = tokens.TYPE[role]
    made = QFont()
    family = tokens.LATIN_FAMILY if kind.latin else tokens.UI_FAMILY
    made.setFamilies([family, tokens.FALLBACK_FAMILY])
    made.setPixelSize(round(kind.px * scale()))
    made.setWeight(QFont.Weight.DemiBold if kind.weight >= 600 else QFont.Weight.Normal)
    made.setItalic(kind.italic)
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    # Figures of one width stand still while a number moves under the pointer.
    made.setFeature(QFont.Tag("tnum"), 1)
    return made, round(QFontMetricsF(made).height())
