"""Text goldens: the visible characters of a screen, kept in tests/golden.

After a wanted change of a screen, write them anew with ``RUNGWISE_WRITE_GOLDEN=1 pytest tests/tui`` and read the diff.
"""

from __future__ import annotations

import os
from pathlib import Path

from textual.app import App

FOLDER = Path(__file__).parent.parent / "golden"


def screen_text(app: App[None]) -> str:
    """Return what is on the screen, a line a row, without trailing blanks."""
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips) + "\n"


def check_golden(name: str, shown: str) -> None:
    """Compare with the golden of that name, or write it where that was asked for."""
    path = FOLDER / f"{name}.txt"
    if os.environ.get("RUNGWISE_WRITE_GOLDEN"):
        path.write_text(shown, encoding="utf-8")
    assert path.exists(), f"{path.name} is missing: RUNGWISE_WRITE_GOLDEN=1 pytest tests/tui writes it"
    kept = path.read_text(encoding="utf-8")
    assert shown == kept, f"{name} looks different:\n{shown}\nwas:\n{kept}"
