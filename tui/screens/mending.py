"""What is asked on the live screen when something is mended on the spot."""

from __future__ import annotations

from tui.screens.ask_line import AskLineScreen

MOST_REPS = 99


def told_set_question(asked: int) -> AskLineScreen:
    """Ask how many reps a set had that was done without the sensor; enter alone answers with those asked for."""
    usual = f" Enter alone: {asked}, as asked." if asked else ""

    def wrong(typed: str) -> str:
        if not typed and asked:
            return ""
        is_count = typed.isascii() and typed.isdigit() and 0 < int(typed) <= MOST_REPS
        return "" if is_count else f"A number from 1 to {MOST_REPS}, please."

    return AskLineScreen(f"A set done without the sensor, over now: how many reps?{usual}", wrong)
