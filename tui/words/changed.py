"""What a coach changes while a session goes on, in words."""

from __future__ import annotations

from analysis.training.prescription import Changed


def changed_words(one: Changed) -> str:
    """Return what a coach changed."""
    tempo = None if one.tempo is None else f"{one.tempo.named()} (tempo {one.tempo.digits})"
    reps = None if one.reps is None else f"{one.reps} reps"
    rest = None if one.rest_s is None else f"rest {one.rest_s:g} s"
    return ", ".join(part for part in (reps, tempo, rest) if part)
