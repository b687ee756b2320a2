"""The colours of the product, in one place; nothing needs them to be read.

Two themes (dark and light) paint their own background, so that they do not depend on the terminal's. With NO_COLOR set
no colour is sent at all, and the terminal's own two are used.
"""

from __future__ import annotations

import os
from collections.abc import Mapping

from rich.style import Style
from textual.theme import Theme

from tui.widgets.canvas import Ink


def _theme(name: str, *, dark: bool, ground: str, ink: str, muted: str, hill: str, attention: str) -> Theme:
    return Theme(
        name=name,
        dark=dark,
        primary=hill,
        secondary=muted,
        accent=attention,
        warning=attention,
        error=attention,
        success=hill,
        foreground=ink,
        background=ground,
        surface=ground,
        panel=ground,
    )


DARK = _theme(
    "rungwise-dark",
    dark=True,
    ground="#12171a",
    ink="#ece7db",
    muted="#9ba6a6",
    hill="#86bda6",
    attention="#e6b052",
)
LIGHT = _theme(
    "rungwise-light",
    dark=False,
    ground="#f7f4ec",
    ink="#20262a",
    muted="#59646a",
    hill="#2c6a58",
    attention="#865700",
)


def ink_styles(theme: Theme) -> dict[Ink, Style]:
    """Return what each ink looks like on the ground of `theme`."""
    plain = Style(color=theme.foreground, bgcolor=theme.background)
    quiet, lit = (plain + Style(color=colour) for colour in (theme.secondary, theme.primary))
    strong = Style(bold=True)
    return {
        Ink.BLANK: plain,
        Ink.TEXT: plain,
        Ink.STRONG: plain + strong,
        Ink.MUTED: quiet,
        Ink.ATTENTION: plain + Style(color=theme.accent) + strong,
        Ink.HILL: lit,
        Ink.HOLLOW: lit,
        Ink.FRAY: lit,
        Ink.GROUND: quiet,
        Ink.TARGET: quiet,
        Ink.INSIDE: lit + Style(reverse=True),
        Ink.WALKER: plain + strong,
    }


STYLES = {theme.name: ink_styles(theme) for theme in (DARK, LIGHT)}


def first_theme(environ: Mapping[str, str] = os.environ) -> str:
    """Return the theme to begin with: light where the terminal says that its background is (COLORFGBG), else dark."""
    background = environ.get("COLORFGBG", "").rpartition(";")[2]
    return LIGHT.name if background in {"7", "15"} else DARK.name
