"""Beside each correction what was measured there: the corrected and the measured value, who, and when."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from analysis.motion.results import RepKind
from analysis.training.corrections import SEEN, Act, Correction, standing_corrections
from analysis.training.decision import ID_LETTERS
from analysis.training.pointing import named_sets
from analysis.training.records import SessionRecord, SetRecord, Source
from analysis.training.superset import SetKind
from tui.book.corrected import KIND_WORDS, RELABEL_WORDS, People, correction_line
from tui.views.check_view import CheckMark
from tui.words import format as words


@dataclass(frozen=True, slots=True)
class Measured:
    """A session as it was found, whatever people said against it.

    Attributes
    ----------
    record
        None where nobody measured or told anything.
    people
        Everybody in the logbook.
    """

    record: SessionRecord | None
    people: People

    def words(self, made: Correction) -> str:
        """Say what was measured, or told, where a correction is about; empty where that says nothing more."""
        if self.record is None or made.kind is Act.UNDO:
            return ""
        found = self._beside(made)
        if not found:
            return ""
        how = "measured" if self.record.source is Source.SENSOR else "told"
        return f"{how}: {', '.join(found)}"

    def _beside(self, made: Correction) -> list[str]:
        sets = [one for _, one in named_sets(self._found) if one.start_s <= made.middle_s <= one.end_s]
        match made.kind:
            case one if one in SEEN:
                return list(self._reps(made)) or ["no rep"]
            case Act.COUNT | Act.ADD:
                return [words.done(one.verdict) if one.verdict.held else f"{one.verdict.count} reps" for one in sets]
            case Act.DROP:
                return [words.done(done.verdict) for done in sets if done.kind is SetKind.EXERCISE]
            case Act.LOAD:
                return [words.load_words(self._found.prescription.load_kg) or "no load, as asked"]
            case Act.RELABEL:
                return [RELABEL_WORDS[done.kind] for done in sets]
            case _:
                return [f"{self.people[done.trainee or self._found.trainee].name}'s" for done in sets]

    @property
    def _found(self) -> SessionRecord:
        assert self.record is not None  # asked before
        return self.record

    def _reps(self, made: Correction) -> Iterator[str]:
        for _, done in named_sets(self._found):
            for rep in done.reps:
                if made.start_s <= (rep.start_s + rep.end_s) / 2 <= made.end_s:
                    kind = "" if rep.kind is RepKind.FULL else f"{KIND_WORDS[rep.kind]}, "
                    yield f"{kind}{' '.join(words.rep_phases(rep).split())}"


def mark_text(made: Correction, record: SessionRecord, measured: Measured, *, holds: bool, disagrees: bool) -> str:
    """Return a correction on one line, with what was measured there."""
    line = correction_line(made, record, measured.people, holds=holds, disagrees=disagrees)
    seen = measured.words(made)
    return " ".join(f"{line.partition('  ')[2]}{f'; {seen}' if seen else ''}".split())


def marks_of(record: SessionRecord, made: Sequence[Correction], measured: Measured) -> Iterator[CheckMark]:
    """Yield all corrections of a session, those undone too, in order of time."""
    standing = {one.id for one in standing_corrections(made)}
    disagreeing = {mark.made.id for mark in record.marks if mark.disagrees}
    for one in sorted(made, key=lambda each: each.made_utc_us):
        text = mark_text(one, record, measured, holds=one.id in standing, disagrees=one.id in disagreeing)
        yield CheckMark(letters=str(one.id)[:ID_LETTERS], text=text, holds=one.id in standing)


def of_set(done: SetRecord, record: SessionRecord, measured: Measured) -> Iterator[str]:
    """Yield the corrections of a set that are about none of the reps it has now."""
    for mark in done.marks:
        if not any(mark.is_about(rep) for rep in done.reps):
            yield mark_text(mark.made, record, measured, holds=True, disagrees=mark.disagrees)
