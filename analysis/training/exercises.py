"""The variations of the first ladder. What each asks of the body is common practice, no source."""

from __future__ import annotations

from analysis.motion.mounts import Mount
from analysis.training.prescription import Exercise

_BREATHING = "Breathe out on the way up, in on the way down; keep breathing in every hold."
_SHOULDERS = "Top: shoulder blades drawn back, chest ahead of the shoulders."

FEET_ON_FLOOR = Exercise(
    "low-bar-feet-on-floor",
    "low-bar pull-up, feet on the floor",
    Mount.BODY,
    (
        "Start: knees bent, on the heels, hips hanging under the bar, arms long and shoulders raised.",
        "Draw the shoulder blades down first, with straight elbows; then pull.",
        _SHOULDERS,
        "Trunk upright all the way; let the legs help only as much as needed.",
        _BREATHING,
    ),
)

HEELS_RAISED = Exercise(
    "low-bar-heels-raised",
    "low-bar pull-up, heels raised",
    Mount.BODY,
    (
        "Start: heels on a block that cannot slide or tip, hips hanging under the bar, arms long.",
        "Draw the shoulder blades down first, with straight elbows; then pull.",
        _SHOULDERS,
        "Trunk upright to the end: a pull that turns into a row is the usual fault here.",
        _BREATHING,
    ),
)

INVERTED_ROW = Exercise(
    "inverted-row",
    "inverted row under a low bar",
    Mount.BODY,
    (
        "Start: hanging under the bar, heels far ahead, body straight from shoulders to heels.",
        "Pull the chest to the bar without bending at the hips.",
        _SHOULDERS,
        _BREATHING,
    ),
)

BOX = Exercise(
    "box-hold-and-lowering",
    "top hold and slow lowering, off a box",
    Mount.BODY,
    (
        "Start: step up from the box until the chin is over the bar; the way up is not judged.",
        _SHOULDERS,
        "Lift the feet and hold, then lower evenly until the arms are long.",
        "Trunk still, ribs down; back onto the box between reps.",
        "Keep breathing in the hold, out slowly on the way down. With high blood pressure: only after medical advice.",
    ),
)

DEAD_HANG = Exercise(
    "dead-hang",
    "dead hang",
    Mount.BODY,
    (
        "Arms long, shoulders not shrugged to the ears; feet free of the floor.",
        "Let go by stepping down, before the grip gives way.",
        "None with a shoulder history without advice. Keep breathing.",
    ),
)

TOP_HOLD = Exercise(
    "top-hold",
    "hold at the top, off a box",
    Mount.BODY,
    (
        "Start: step up from the box until the chin is over the bar, then lift the feet.",
        _SHOULDERS,
        "Step back onto the box before the shoulders give way.",
        "Keep breathing in the hold. With high blood pressure: only after medical advice.",
    ),
)

PULL_UP = Exercise(
    "pull-up",
    "pull-up",
    Mount.BODY,
    (
        "Only with three strict ones in a row; until then stay with slow lowering.",
        "Start: dead hang, arms long.",
        "Draw the shoulder blades down, then pull until the chin is over the bar.",
        "Trunk still: no swing, no kick.",
        _BREATHING,
    ),
)

WEIGHTED = Exercise(
    "weighted-pull-up",
    "pull-up with added load",
    Mount.BODY,
    (
        "The load hangs from a belt or sits in a vest, fixed; the first rep at part load.",
        "Start: dead hang, arms long, the load still.",
        "Draw the shoulder blades down, then pull until the chin is over the bar.",
        "Trunk still: no swing, no kick.",
        _BREATHING,
    ),
)

OURS = {
    one.key: one for one in (INVERTED_ROW, FEET_ON_FLOOR, HEELS_RAISED, BOX, TOP_HOLD, DEAD_HANG, PULL_UP, WEIGHTED)
}
"""The exercises that a plan may name by their key."""
