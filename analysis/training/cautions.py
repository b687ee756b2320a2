"""What the product says about safety. General words: coach, clinician and maker's instructions come first."""

from __future__ import annotations

from analysis.training.blocks import Step

SLOW_S = 2.0
"""A lowering prescribed to last this long is a slow one (no source)."""

CAP_LOWERINGS = 10
"""Most slow lowerings of a session in the early weeks (common practice, no source).

Early eccentric volume is what the reports on exertional rhabdomyolysis in novices have in common (Springer & Clarkson
2003, MSSE 35:1499); the figure itself has no source.
"""

CAP_LOWERING_S = 3.0
"""Longest slow lowering of the early weeks (common practice, no source)."""

EARLY_DAYS = 14
"""The first two weeks, and two weeks after a lay-off (common practice, no source)."""

LAY_OFF_DAYS = 14
"""So many days without a session are a lay-off (common practice, no source)."""

PAIN = (
    "Pain stops the set. 0–3 of 10 is acceptable if settled by the next day, 4–5 is a caution, above 5 ends the "
    "session (a scale studied on the Achilles tendon; for elbow and shoulder it is an extrapolation). "
    "Sharp, night or nerve pain, or instability: stop and see a clinician."
)
ANCHOR = (
    "Before loading: rack and straps hold, the bar is locked so that the pull draws it into its uprights, the block "
    "cannot slide or tip, the floor behind back and head is clear, load is fixed, the clip is not between hand and "
    "bar. First rep at part load."
)
EARLY = (
    f"These two weeks: at most {CAP_LOWERINGS} slow lowerings of at most {CAP_LOWERING_S:g} s a session, none to "
    "failure. Dark urine, swelling, or pain and weakness out of proportion: stop and seek medical care now."
)
BREATH = "Keep breathing in holds and slow lowerings; with high blood pressure only after medical advice."
FORM = (
    "What no clip can sense: shoulder blades drawn back at the top, upper back not rounded. "
    "Ask your coach, or look at a video, before stepping up."
)
DEFER = "Coach, clinician and maker's instructions come first."
ALL = (PAIN, ANCHOR, EARLY, BREATH, FORM, DEFER)
"""What is read before the first session, and acknowledged in the plan."""


def slow(step: Step) -> bool:
    """Whether a step asks for slow lowering."""
    return step.tempo.down_s >= SLOW_S


def within_cap(step: Step) -> bool:
    """Whether a step keeps within the eccentric cap of the early weeks."""
    return not slow(step) or (step.sets * step.reps <= CAP_LOWERINGS and step.tempo.down_s <= CAP_LOWERING_S)


def cautions(step: Step, *, early: bool, stepping_up: bool) -> tuple[str, ...]:
    """Return what to show before a session; first what must hold before anybody hangs.

    Parameters
    ----------
    step
        What the session asks for.
    early
        In the first two weeks, or two weeks after a lay-off.
    stepping_up
        The session is the first on a new rung.
    """
    chosen = (
        (ANCHOR, True),
        (PAIN, True),
        (EARLY, early),
        (BREATH, slow(step) or step.tempo.top_s >= SLOW_S),
        (FORM, stepping_up),
        (DEFER, True),
    )
    return tuple(text for text, holds in chosen if holds)
