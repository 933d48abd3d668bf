"""The style sheet of the standard widgets, built from the tokens.

Properties that widgets may carry: a button's `kind` (primary, link, tool), a label's `ink`
(ink2, ink3, accent, plus, minus, caution), a surface's `ground` (ground, sheet, raised,
card, canvas). Type sizes are not in the sheet: fonts come from `app.style.fonts`.
"""

from functools import lru_cache
from pathlib import Path

from app.style.tokens import DARK, RADIUS, Colours

SHEET_ICONS = Path(__file__).with_name("icons") / "sheet"


@lru_cache(maxsize=2)
def style_sheet(c: Colours) -> str:
    """Return the style sheet of a scheme."""
    icons = (SHEET_ICONS / ("dark" if c is DARK else "light")).as_posix()
    return "".join(
        (_surfaces(c), _buttons(c), _fields(c, icons), _lists(c, icons), _bars(c))
    )


def _surfaces(c: Colours) -> str:
    labels = "".join(
        f'QLabel[ink="{name}"] {{ color: {getattr(c, name)}; }}\n'
        for name in ("ink2", "ink3", "accent", "plus", "minus", "caution", "on_accent")
    )
    grounds = "".join(
        f'QWidget[ground="{name}"] {{ background: {getattr(c, name)}; }}\n'
        for name in ("ground", "sheet", "raised", "canvas", "accent_soft")
    )
    return f"""{labels}{grounds}
QWidget[ground="card"] {{
  background: {c.raised}; border: 1px solid {c.line}; border-radius: {RADIUS.card}px; }}
QLabel:disabled {{ color: {c.ink3}; }}
QToolTip {{ background: {c.raised}; color: {c.ink};
  border: 1px solid {c.edge}; padding: 4px 6px; }}
QMainWindow::separator, QSplitter::handle {{ background: {c.line}; }}
QSplitter::handle:horizontal {{ width: 1px; }}
QSplitter::handle:vertical {{ height: 1px; }}
QGroupBox {{ border: none; margin-top: 24px; }}
QGroupBox::title {{ subcontrol-origin: margin; color: {c.ink}; }}
"""


def _buttons(c: Colours) -> str:
    r = RADIUS.control
    return f"""
QPushButton {{ background: {c.raised}; color: {c.ink}; border: 1px solid {c.edge};
  border-radius: {r}px; padding: 5px 14px; }}
QPushButton:hover {{ background: {c.accent_soft}; }}
QPushButton:pressed {{ background: {c.sunken}; }}
QPushButton:checked {{ background: {c.accent_soft}; border-color: {c.accent};
  color: {c.accent}; }}
QPushButton:disabled {{ background: {c.sheet}; color: {c.ink3}; border-color: {c.line}; }}
QPushButton[kind="primary"] {{ background: {c.accent}; color: {c.on_accent};
  border-color: {c.accent}; }}
QPushButton[kind="primary"]:hover, QPushButton[kind="primary"]:pressed {{
  background: {c.accent_hover}; border-color: {c.accent_hover}; }}
QPushButton[kind="primary"]:disabled {{ background: {c.sunken}; color: {c.ink3};
  border-color: {c.sunken}; }}
QPushButton[kind="link"] {{ background: transparent; border-color: transparent;
  color: {c.accent}; padding: 3px 0px; text-align: left; }}
QPushButton[kind="link"]:hover {{ color: {c.accent_hover}; text-decoration: underline; }}
QPushButton[kind="link"]:disabled {{ color: {c.ink3}; }}
QToolButton, QPushButton[kind="tool"] {{ background: transparent; color: {c.ink};
  border: 1px solid transparent; border-radius: {r}px; padding: 5px; }}
QToolButton:hover, QPushButton[kind="tool"]:hover {{ background: {c.accent_soft}; }}
QToolButton:checked {{ background: {c.accent_soft}; border-color: {c.accent};
  color: {c.accent}; }}
QToolButton:disabled {{ color: {c.ink3}; }}
QToolButton::menu-indicator {{ image: none; }}
"""


def _fields(c: Colours, icons: str) -> str:
    r = RADIUS.control
    fields = "QLineEdit, QPlainTextEdit, QTextEdit, QAbstractSpinBox, QComboBox"
    focused = ", ".join(f"{one}:focus" for one in fields.split(", "))
    off = ", ".join(f"{one}:disabled" for one in fields.split(", "))
    return f"""
{fields} {{ background: {c.raised}; color: {c.ink}; border: 1px solid {c.edge};
  border-radius: {r}px; padding: 5px 8px; selection-background-color: {c.accent};
  selection-color: {c.on_accent}; }}
{focused} {{ border: 2px solid {c.accent}; padding: 4px 7px; }}
{off} {{ background: {c.sheet}; color: {c.ink3}; border-color: {c.line}; }}
QComboBox::drop-down {{ border: none; width: 24px; }}
QComboBox::down-arrow, QSpinBox::down-arrow, QDoubleSpinBox::down-arrow {{
  image: url("{icons}/down.svg"); width: 12px; height: 12px; }}
QSpinBox::up-arrow, QDoubleSpinBox::up-arrow {{
  image: url("{icons}/up.svg"); width: 12px; height: 12px; }}
QAbstractSpinBox QLineEdit, QAbstractSpinBox QLineEdit:focus,
QComboBox QLineEdit, QComboBox QLineEdit:focus {{
  background: transparent; border: none; padding: 0px; }}
QAbstractSpinBox::up-button, QAbstractSpinBox::down-button {{
  background: transparent; border: none; width: 20px; }}
QCheckBox, QRadioButton {{ spacing: 8px; min-height: 24px; }}
QCheckBox::indicator, QRadioButton::indicator {{ width: 16px; height: 16px;
  background: {c.raised}; border: 1px solid {c.edge}; }}
QCheckBox::indicator {{ border-radius: 4px; }}
QRadioButton::indicator {{ border-radius: 9px; }}
QCheckBox::indicator:checked {{ background: {c.accent}; border-color: {c.accent};
  image: url("{icons}/tick.svg"); }}
QCheckBox::indicator:indeterminate {{ background: {c.accent}; border-color: {c.accent};
  image: url("{icons}/dash.svg"); }}
QRadioButton::indicator:checked {{ background: {c.accent}; border-color: {c.accent};
  image: url("{icons}/dot.svg"); }}
QCheckBox::indicator:disabled, QRadioButton::indicator:disabled {{
  background: {c.sheet}; border-color: {c.line}; }}
"""


def _lists(c: Colours, icons: str) -> str:
    return f"""
QMenuBar {{ background: {c.ground}; color: {c.ink}; padding: 2px 12px; }}
QMenuBar::item {{ background: transparent; padding: 4px 10px; border-radius: 5px; }}
QMenuBar::item:selected {{ background: {c.accent_soft}; color: {c.ink}; }}
QMenu {{ background: {c.raised}; color: {c.ink}; border: 1px solid {c.edge};
  padding: 4px; }}
QMenu::item {{ padding: 5px 24px 5px 12px; border-radius: 4px; }}
QMenu::icon {{ padding-left: 8px; }}
QMenu::item:selected {{ background: {c.accent_soft}; color: {c.ink}; }}
QMenu::item:disabled {{ color: {c.ink3}; background: transparent; }}
QMenu::indicator {{ width: 14px; height: 14px; margin-left: 6px; }}
QMenu::indicator:checked {{ image: url("{icons}/check.svg"); }}
QMenu::separator {{ height: 1px; background: {c.line}; margin: 4px 8px; }}
QAbstractItemView {{ background: {c.raised}; alternate-background-color: {c.sheet};
  color: {c.ink}; border: 1px solid {c.line}; outline: none;
  selection-background-color: {c.accent_soft}; selection-color: {c.ink}; }}
QAbstractItemView:focus {{ border-color: {c.accent}; }}
QComboBox QAbstractItemView {{ border: 1px solid {c.edge}; padding: 4px; }}
QComboBox QAbstractItemView::item {{ min-height: 26px; }}
QTableWidget::item {{ padding: 0 5px; }}
QHeaderView {{ background: {c.sheet}; border: none; }}
QHeaderView::section {{ background: {c.sheet}; color: {c.ink2}; border: none;
  border-bottom: 1px solid {c.line}; padding: 4px 8px; }}
QTabBar::tab {{ background: transparent; color: {c.ink2}; padding: 6px 12px;
  border-bottom: 2px solid transparent; }}
QTabBar::tab:selected {{ color: {c.accent}; border-bottom-color: {c.accent}; }}
QTabWidget::pane {{ border: none; border-top: 1px solid {c.line}; }}
"""


def _bars(c: Colours) -> str:
    return f"""
QScrollArea {{ background: transparent; border: none; }}
QScrollBar {{ background: transparent; margin: 0px; }}
QScrollBar:vertical {{ width: 12px; }}
QScrollBar:horizontal {{ height: 12px; }}
QScrollBar::handle {{ background: {c.edge}; border-radius: 3px; margin: 3px; }}
QScrollBar::handle:vertical {{ min-height: 32px; }}
QScrollBar::handle:horizontal {{ min-width: 32px; }}
QScrollBar::handle:hover {{ background: {c.ink2}; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0px; height: 0px; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QProgressBar {{ background: {c.sunken}; border: none; border-radius: 3px;
  max-height: 6px; min-height: 6px; color: transparent; }}
QProgressBar::chunk {{ background: {c.accent}; border-radius: 3px; }}
QSlider::groove:horizontal {{ background: {c.sunken}; height: 6px; border-radius: 3px; }}
QSlider::sub-page:horizontal {{ background: {c.accent}; height: 6px; border-radius: 3px; }}
QSlider::handle:horizontal {{ background: {c.raised}; border: 2px solid {c.accent};
  width: 14px; height: 14px; margin: -6px 0px; border-radius: 9px; }}
QStatusBar {{ background: {c.ground}; }}
QStatusBar::item {{ border: none; }}
"""
