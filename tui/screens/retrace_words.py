"""The keys of the replay, and how to read what it draws beside the hills."""

from __future__ import annotations

from tui.widgets.canvas import Ink
from tui.widgets.key_line import Keys

KEYS: Keys = (
    ("q", "back"),
    ("?", "help"),
    ("space", "play"),
    ("← →", "phase"),
    ("p n", "rep"),
    ("enter", "closer"),
)
"""What is needed most, before the key of marks."""

MORE_KEYS: Keys = (
    ("[ ]", "set"),
    ("e E", "next told live"),
    ("+ -", "zoom"),
    ("c", "compare rep"),
    ("o", "compare sets"),
    ("l", "loop"),
    ("↑ ↓", "speed"),
    (", .", "move"),
)
"""The others, before those of marks."""

LEGEND = (
    "Above: the whole session. ─ what is in sight below, ▲ where you are, ◆ a mark, ! not measurable or missing.",
    "│ where a phase begins; ╎ and ░ as wide as it is unsure; ┊ under ? it cannot be told.",
    "> < beside an edge of the acceleration: it goes further, in a knock.",
    "raw: ways up ╱ and down ╲ as the motion has them, before they are read as reps.",
    "live: as it had been told by where you are, with the count left of it; × taken back, ? no end told,",
    "≡ the set was told as seen whole.",
    "refined: as it answers now, the whole set seen, corrections included;",
    "∨ within one and a half: part of the way down and up again.",
)
EMPTY = (("Nothing was counted in this recording. What moved is drawn all the same.", Ink.MUTED),)
