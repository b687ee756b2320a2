"""Corrections, and the sets and reps that they are about, as people and as programs read them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from analysis.logbook.entries import Trainee
from analysis.logbook.note_rows import plain_value
from analysis.motion.results import Rep, RepKind
from analysis.training.corrections import BECAUSE_WORDS, Act, Because, By, Correction, Mark, standing_corrections
from analysis.training.decision import ID_LETTERS
from analysis.training.pointing import LETTERS, named_sets
from analysis.training.records import SessionRecord, SetRecord
from analysis.training.sharing import all_sets, given_from
from analysis.training.superset import SetKind
from analysis.training.verdict import RepVerdict
from analysis.training.words import listing
from tui.words import format as words
from tui.words.set_news import told_words

KIND_WORDS = {RepKind.FULL: "full", RepKind.PARTIAL: "partial", RepKind.ONE_AND_HALF: "one and a half"}

ACT_WORDS = {
    Act.ADD_REP: "a rep added",
    Act.DROP_REP: "a rep taken out",
    Act.MERGE: "two reps taken as one",
    Act.SPLIT: "one rep taken as two",
    Act.DROP: "the set left out",
    Act.UNDO: "undone",
}

RELABEL_WORDS = {
    SetKind.EXERCISE: "one of the sets that count",
    SetKind.PARTNER: "another exercise",
    SetKind.WARM_UP: "a warm-up",
}

People = Mapping[UUID, Trainee]
"""Everybody in the logbook."""


def act_words(made: Correction, people: People) -> str:
    """Return what a correction says."""
    match made.kind:
        case Act.REP_KIND:
            return f"a rep taken as {KIND_WORDS[RepKind(made.value['reps'][0]['kind'])]}"
        case Act.DROP_REP if (seen := made.value.get("seen", 1)) > 1:
            return f"{seen} reps taken out"
        case Act.COUNT:
            return f"{made.value['count']} reps, not {made.value['seen']}"
        case Act.ADD:
            return f"a {told_words(made)}, done without the sensor"
        case Act.LOAD:
            return words.load_words(made.value["load_kg"]) or "no load"
        case Act.RELABEL:
            return RELABEL_WORDS[SetKind(made.value)]
        case Act.GIVE:
            return f"the set was {people[made.value.trainee].name}'s"
        case Act.UNDO:
            return f"{str(made.value)[:ID_LETTERS]} undone"
        case _:
            return ACT_WORDS[made.kind]


def correction_line(
    made: Correction, record: SessionRecord, people: People, *, holds: bool, disagrees: bool = False
) -> str:
    """Return one correction on one line."""
    when = datetime.fromtimestamp(made.made_utc_us / 1e6, UTC).astimezone()
    why = ", ".join(
        text for text in ("" if made.reason is Because.OTHER else BECAUSE_WORDS[made.reason], made.text) if text
    )
    state = "" if holds or made.kind is Act.UNDO else "  (undone)"
    look = "  the newer analysis found something else there: look at it" if disagrees else ""
    said = f"{_where(made, record)}{act_words(made, people)}{f' ({why})' if why else ''}"
    return f"{str(made.id)[:ID_LETTERS]}  {when:%Y-%m-%d %H:%M}  {_who(made)}: {said}{state}{look}"


def _who(made: Correction) -> str:
    return f"{made.who} (coach)" if made.role is By.COACH else made.who


def _where(made: Correction, record: SessionRecord) -> str:
    hit = [name for name, one in named_sets(record) if any(mark.made.id == made.id for mark in one.marks)]
    return f"set {hit[0]}, " if len(hit) == 1 else ""


def correction_lines(record: SessionRecord, made: Sequence[Correction], people: People) -> Iterator[str]:
    """Yield all corrections of a session, those undone too."""
    standing = {one.id for one in standing_corrections(made)}
    disagreeing = {mark.made.id for mark in record.marks if mark.disagrees}
    for one in made:
        yield correction_line(one, record, people, holds=one.id in standing, disagrees=one.id in disagreeing)


@dataclass(frozen=True, slots=True)
class Listed:
    """One thing that can be corrected, in words.

    Attributes
    ----------
    set_name
        `pointing.named_sets`.
    rep
        Number of the rep within that set, from 1; None: the set itself.
    text
        One line.
    """

    set_name: str
    rep: int | None
    text: str


def listed(record: SessionRecord, people: People) -> Iterator[Listed]:
    """Yield the sets and reps of a session, in order of time, by the names with which a correction points at them."""
    for name, done in named_sets(record):
        whose = people[done.trainee].name if done.trainee else ""
        yield Listed(name, None, f"set {name}: {f'{whose}, ' if whose else ''}{_set_words(done)}")
        if done.kind is not SetKind.EXERCISE:
            continue
        pairs = zip(done.reps, done.verdict.reps, strict=True)
        for number, (rep, verdict) in enumerate(pairs, start=1):
            phases = _rep_words(done, rep, verdict)
            text = f"  rep {number:2d}  from {rep.start_s - done.start_s:5.1f} s  {phases}"
            yield Listed(name, number, text)


def set_lines(record: SessionRecord, people: People) -> Iterator[str]:
    """Yield the sets of a session, one line each."""
    return (one.text for one in listed(record, people) if one.rep is None)


def measured_words(done: SetRecord) -> str:
    """Say what was measured, or told, where somebody said another number since; empty where nobody did."""
    how = "measured" if done.reps or done.measured else "told"
    return "" if done.measured_count in (None, done.verdict.count) else f"{how} {done.measured_count}"


def _set_words(done: SetRecord) -> str:
    verdict = done.verdict
    match done.kind:
        case SetKind.PARTNER:
            return "the other exercise, not counted"
        case SetKind.WARM_UP:
            return f"warm-up, {words.done(verdict)}, not judged" if verdict.count else "warm-up, not judged"
    before = measured_words(done)
    measured = f" ({before})" if before else ""
    load = "" if done.load_kg is None else f", {words.load_words(done.load_kg) or 'no load'}"
    remark = f"  {verdict.remark}" if verdict.remark else ""
    return f"{words.done(verdict)}{measured}{load}, {verdict.outcome.value}{remark}"


def _rep_words(done: SetRecord, rep: Rep, verdict: RepVerdict) -> str:
    corrected = "  corrected" if done.is_corrected(rep) else ""
    if rep.top_s is None and rep.down_s is None:
        return f"{KIND_WORDS[rep.kind]}, phases not measured{corrected}"
    kind = "  short of the reference rep" if verdict.short else f"  {KIND_WORDS[rep.kind]}"
    kind = kind if verdict.short or rep.kind is not RepKind.FULL else ""
    return f"{words.rep_phases(rep)}{kind}  {verdict.outcome.value}{corrected}"


def corrected_words(record: SessionRecord) -> Iterator[str]:
    """Yield, for the line of a session, that it was corrected."""
    if record.marks:
        yield f"corrected by {listing(list(dict.fromkeys(_who(mark.made) for mark in record.marks)))}"
    yield from guest_words(record)
    if record.self_told:
        yield "met by the trainee's own correction only"
    if any(mark.disagrees for mark in record.marks):
        yield "a correction disagrees with the newer analysis: rungwise correct shows it"


def guest_words(record: SessionRecord) -> Iterator[str]:
    """Yield which sets were recorded in the session of somebody else, and in which."""
    came: dict[str, list[str]] = {}
    for done in all_sets(record) if record.marks else ():
        if done.given:
            session = str(given_from(done))[:ID_LETTERS]
            came.setdefault(session, []).append(f"{LETTERS[done.kind]}{done.number}")
    for session, sets in came.items():
        yield f"{'set' if len(sets) == 1 else 'sets'} {listing(sets)} from another's session ({session})"


def mark_document(mark: Mark) -> dict[str, Any]:
    """Return a correction that holds, as `rungwise.session/1` has it."""
    made = mark.made
    return {
        "id": str(made.id),
        "kind": made.kind.value,
        "start_s": made.start_s,
        "end_s": made.end_s,
        "value": plain_value(made),
        "reason": made.reason.value,
        "text": made.text,
        "who": made.who,
        "role": made.role.value,
        "made": datetime.fromtimestamp(made.made_utc_us / 1e6, UTC).isoformat(),
        "disagrees": mark.disagrees,
    }
