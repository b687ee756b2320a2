"""A tempo as it travels in a coach's word: four figures in the trade's order, lowering - bottom - rise - top; pure."""

from __future__ import annotations

from analysis.training.prescription import Tempo

FAST = "X"
LEAST_S, MOST_S = (0.5, 0.0, 0.5, 0.0), (30.0, 10.0, 10.0, 30.0)
"""As a plan allows them, in that order."""
ALLOWED = "give four figures, lowering bottom rise top: 2011, or 2-0-X-1.5 (X: as quick as can be)"


class TempoError(ValueError):
    """A text that is no tempo; the message says what is one."""


def tempo_text(tempo: Tempo) -> str:
    """Return a tempo as it travels: "2-0-1-1"."""
    up = FAST if tempo.up_s is None else f"{tempo.up_s:g}"
    return f"{tempo.down_s:g}-{tempo.bottom_s:g}-{up}-{tempo.top_s:g}"


def tempo_of(text: str) -> Tempo:
    """Return the tempo that a text means, with hyphens between the figures or, where each has one digit, without.

    Raises
    ------
    TempoError
        When it is none, or out of what a plan allows.
    """
    parts = text.strip().upper().split("-")
    figures = list(parts[0]) if len(parts) == 1 else parts
    if len(figures) != 4:
        raise TempoError(ALLOWED)
    down, bottom, up, top = (_seconds(figure, at) for at, figure in enumerate(figures))
    if down is None or bottom is None or top is None:
        raise TempoError(ALLOWED)
    return Tempo(down_s=down, bottom_s=bottom, up_s=up, top_s=top)


def _seconds(figure: str, at: int) -> float | None:
    if at == 2 and figure == FAST:
        return None
    if not figure.isascii() or not figure.replace(".", "", 1).isdigit():
        raise TempoError(ALLOWED)
    value = float(figure)
    if not LEAST_S[at] <= value <= MOST_S[at]:
        name = ("lowering", "bottom", "rise", "top")[at]
        raise TempoError(f"the {name} may be {LEAST_S[at]:g} to {MOST_S[at]:g} s")
    return value
