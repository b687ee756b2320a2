"""What a rule decides, and how it says so."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

from analysis.training.ladder import Ladder, Position, Step
from analysis.training.prescription import Grip
from analysis.training.records import SessionRecord
from analysis.training.situation import Situation
from analysis.training.standing import standing
from analysis.training.words import day, listing

PRACTICE = "common practice, no source"

ID_LETTERS = 8
"""As many letters of a session's id are enough to name it."""


class Awaits(Enum):
    """What somebody is to say before it goes on."""

    SETTLED = "that pain has settled"
    RELEASE = "a release of coach or clinician"
    CLINICIAN = "a clinician's release"
    FORM = "the questions of form"


@dataclass(frozen=True, slots=True)
class Reason:
    """Why the next session is what it is.

    Attributes
    ----------
    rule
        Name of the rule that fired.
    text
        What it says, one or two sentences.
    evidence
        Days, figures, and the source of the rule.
    """

    rule: str
    text: str
    evidence: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Decision:
    """Where to train next; None: no session.

    Attributes
    ----------
    grip
        The grip that belongs to it; None: as it rotates.
    awaits
        What is to be said first; None: nothing.
    is_test
        One set until form breaks, in the place of the session there (`clean_reps`).
    """

    position: Position | None
    reason: Reason
    grip: Grip | None = None
    awaits: Awaits | None = None
    is_test: bool = False


Rule = Callable[[Situation], Decision | None]


def decide(position: Position | None, rule: str, text: str, *evidence: str) -> Decision:
    """Return a decision with its reason."""
    return Decision(position, Reason(rule, text, evidence))


def week_evidence(now: Situation) -> tuple[str, ...]:
    """Say of each session of the week what it counted for."""
    return tuple(session_words(record) for record in now.week)


def session_words(record: SessionRecord) -> str:
    """Return one session as evidence, with the letters of its id that lead to its reps."""
    found = standing(record)
    verdicts = [one.verdict for one in record.sets]
    counts = ", ".join(f"{one.tut_s:.0f} s" if one.held else str(one.count) for one in verdicts)
    done = "held" if record.prescription.hold_s else "reps"
    matter = f" ({found.matter})" if found.matter else ""
    outcome = f"sets met, step {found.outcome}" if found.rest_only else found.outcome
    which = f"{day(record.day)} ({str(record.session_id)[:ID_LETTERS]})"
    return f"{which}: {counts} {done}, rest {record.prescription.rest_s:g} s, {outcome}{matter}"


def days_words(records: Sequence[SessionRecord]) -> str:
    """Return the days of sessions."""
    return listing([day(record.day) for record in records])


def step_words(step: Step) -> str:
    """Return what a step asks for, short."""
    each = f"{step.hold_s:g} s held" if step.hold_s else f"{step.reps}"
    more = (
        "one and a half" if step.half_pause_s else "",
        f"{step.tempo.top_s:g} s at the top" if step.tempo.top_s else "",
        f"{step.tempo.down_s:g} s down" if step.tempo.down_s > 1 else "",
        f"{step.load_kg:+g} kg" if step.load_kg else "",
    )
    beside = "".join(f", {words}" for words in more if words)
    return f"{step.sets} × {each}{beside}{',' if beside else ''} with {step.rest_s:g} s rest"


def place_words(ladder: Ladder, position: Position) -> str:
    """Return the exercise and what is asked for at a position."""
    return f"{ladder.rungs[position.rung].exercise.name}, {step_words(ladder.at(position))}"


def change_words(before: Step, after: Step) -> str:
    """Name what becomes different: "Rest 90 → 85 s"."""
    pairs = (
        ("rest", before.rest_s, after.rest_s, " s"),
        ("reps", before.reps, after.reps, ""),
        ("sets", before.sets, after.sets, ""),
        ("lowering", before.tempo.down_s, after.tempo.down_s, " s"),
        ("top hold", before.tempo.top_s, after.tempo.top_s, " s"),
        ("hold", before.hold_s or 0.0, after.hold_s or 0.0, " s"),
        ("half-way pause", before.half_pause_s or 0.0, after.half_pause_s or 0.0, " s"),
        ("load", before.load_kg, after.load_kg, " kg"),
    )
    changed = [f"{name} {old:g} → {new:g}{unit}" for name, old, new, unit in pairs if old != new]
    text = ", ".join(changed) or "next step"
    return f"{text[:1].upper()}{text[1:]}"
