"""A session in words that are read in ten seconds: what was met, what was missed, the one thing to work on.

The one thing is chosen by rule, the first that applies: the last third of a set comes down too fast; the range shrinks
from a rep on; the shoulders are not as asked; else the fault that most reps show. All are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean

from analysis.training.prescription import Prescription, Start
from analysis.training.remarks import Fault, fault_words, faults, main_fault
from analysis.training.verdict import Outcome, PhaseVerdict, RepVerdict, SetVerdict, worst
from analysis.training.words import listing, sentence

THIRDS_FROM = 6
"""A set of fewer counted reps has no thirds."""

OFTEN = 0.5
"""Share of a third of a set whose lowering is too quick that makes it too quick as a whole."""

RARE = 0.25
"""Up to this share before, the last third stands out; above, the whole set is too quick."""


def summary(asked: Sequence[SetVerdict], prescription: Prescription) -> tuple[str, ...]:
    """Return up to three sentences about the sets that were asked for, in their order."""
    sentences = (_met_words(asked, prescription), _open_words(asked), work_on(asked, prescription))
    return tuple(text for text in sentences if text)


def work_on(asked: Sequence[SetVerdict], prescription: Prescription) -> str:
    """Name the one thing to work on, in one sentence with figures; empty where there is none."""
    rules = (_late_lowering, _shrinking, lambda sets: _shoulders(sets, prescription.start), _most_frequent)
    found = next((text for rule in rules if (text := rule(asked))), "")
    return sentence(f"to work on: {found}") if found else ""


def _met_words(asked: Sequence[SetVerdict], prescription: Prescription) -> str:
    tests = [one for one in asked if one.clean is not None]
    if prescription.is_test and tests:
        return f"Test: {listing([f'{one.clean} clean of {one.count}' for one in tests])} reps."
    met = sum(one.outcome is Outcome.MET for one in asked)
    return f"{met} of {prescription.sets} sets met."


def _open_words(asked: Sequence[SetVerdict]) -> str:
    """Say of the first set that decides against the session what it was."""
    decisive = worst(one.outcome for one in asked)
    if decisive is Outcome.MET:
        late = [number for number, one in enumerate(asked, start=1) if one.rest_outcome is Outcome.MISSED]
        return f"Rest longer than asked before {'set' if len(late) == 1 else 'sets'} {listing(late)}." if late else ""
    number, first = next((n, one) for n, one in enumerate(asked, start=1) if one.outcome is decisive)
    return f"Set {number}: {first.remark[:1].lower()}{first.remark[1:]}"


def _late_lowering(asked: Sequence[SetVerdict]) -> str:
    """Find sets whose last third comes down too fast while what came before did not."""
    late = [(number, lowerings) for number, one in enumerate(asked, start=1) if (lowerings := _hasty_end(one))]
    if not late:
        return ""
    seconds = fmean(lowering.actual_s for _, each in late for lowering in each if lowering.actual_s is not None)
    target_s = late[0][1][0].target_s
    numbers = [number for number, _ in late]
    sets = f"{'set' if len(numbers) == 1 else 'sets'} {listing(numbers)}"
    return f"the last third of {sets} comes down in {seconds:.1f} s, asked {target_s:g} s"


def _hasty_end(one: SetVerdict) -> tuple[PhaseVerdict, ...]:
    """Return the lowerings of the last third where most of them are too quick and few before are."""
    downs = [down for rep in one.reps if (down := _lowering(rep)) is not None]
    third = len(downs) // 3
    if len(downs) < THIRDS_FROM:
        return ()
    before, last = downs[:-third], downs[-third:]
    stands_out = _too_quick(last) > OFTEN * len(last) and _too_quick(before) <= RARE * len(before)
    return tuple(last) if stands_out else ()


def _lowering(rep: RepVerdict) -> PhaseVerdict | None:
    return next((phase for phase in rep.phases if phase.name == "down"), None)


def _too_quick(downs: Sequence[PhaseVerdict]) -> int:
    return sum(down.outcome is Outcome.MISSED and down.direction < 0 for down in downs)


def _shrinking(asked: Sequence[SetVerdict]) -> str:
    """Find the set whose range shrinks most."""
    found = [(one.shrunk_to, one.shrinks_from, n) for n, one in enumerate(asked, start=1) if one.shrunk_to is not None]
    if not found:
        return ""
    share, rep, number = min(found)
    return f"range shrinks from rep {rep} of set {number} on, to {100 * share:.0f} % of the first reps'"


def _shoulders(asked: Sequence[SetVerdict], start: Start | None) -> str:
    """Say in how many reps the shoulders were not as asked, where a set is missed by it."""
    starts = [form for one in asked for form in one.form if form.name == "start"]
    if not any(form.outcome is Outcome.MISSED for form in starts):
        return ""
    reps = sum(form.target or 0 for form in starts)
    off = reps - sum(form.actual or 0 for form in starts)
    if start is Start.HANG:
        return f"start each rep from a dead hang; no rise of the shoulders was seen in {off:g} of {reps:g} reps"
    return f"shoulders not set before the pull in {off:g} of {reps:g} reps"


def _most_frequent(asked: Sequence[SetVerdict]) -> str:
    found: dict[Fault, list[int]] = {}
    for one in asked:
        for fault, numbers in faults(one.reps).items():
            found.setdefault(fault, []).extend(numbers)
    main = main_fault(found)
    if main is None:
        return ""
    times = len(found[main])
    return f"{fault_words(main)} in {times} {'rep' if times == 1 else 'reps'}"
