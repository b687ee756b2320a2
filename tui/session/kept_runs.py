"""The answers of the analysis to one session, as the logbook keeps them while it goes on: a run for each kind."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.metadata import version
from uuid import UUID

from analysis.logbook.book import Logbook
from analysis.logbook.entries import RunKind
from analysis.motion.in_session import IN_A_SESSION
from analysis.motion.parameters import parameters_sha
from analysis.training.records import SetRecord
from sensor.clock import ClockEstimate
from tui.session.done import gist
from tui.session.later import Later


class KeptRuns:
    """Writes sets into runs; nothing is overwritten.

    Parameters
    ----------
    later
        Writes now, or as soon as the logbook can be written.
    """

    def __init__(self, logbook: Logbook, later: Later) -> None:
        self._logbook, self._later = logbook, later
        self._numbers: dict[RunKind, int] = {}
        self._kept: dict[RunKind, list[SetRecord]] = {}

    def found(self, session_id: UUID, record: SetRecord, kind: RunKind, clock: ClockEstimate) -> None:
        """Keep a set as a run of this kind found it; a part of one in a run of its own: the next part holds it too."""
        if kind is RunKind.PART:
            self._later.write(lambda: self._forget(kind))
            self._kept.pop(kind, None)
        kept = self._kept.setdefault(kind, [])
        again = any(record.start_s < one.end_s and one.start_s < record.end_s for one in kept)
        if not again:  # what a second refinement changes is settled at the end
            kept.append(record)
            self._later.write(
                lambda: self._logbook.record_set(session_id, self._run(session_id, kind, clock), record),
            )

    def _forget(self, kind: RunKind) -> None:
        self._numbers.pop(kind, None)

    def settle(self, session_id: UUID, measured: Sequence[SetRecord], clock: ClockEstimate) -> None:
        """Write the final answer as a run of its own where it is another than the refined sets kept so far."""
        kept = [gist(record) for record in self._kept.get(RunKind.REFINED, [])]
        final = [gist(record) for record in measured]
        if kept != final or (self._numbers and RunKind.REFINED not in self._numbers):
            self._numbers.pop(RunKind.REFINED, None)
            run = self._run(session_id, RunKind.REFINED, clock)
            for record in measured:
                self._logbook.record_set(session_id, run, record)
        elif RunKind.REFINED in self._numbers:
            self._logbook.note_clock(
                self._numbers[RunKind.REFINED],
                clock_ratio=clock.ratio,
                clock_sd_ppm=clock.sd_ppm,
                moment_sd_s=clock.moment_sd_s,
            )

    def _run(self, session_id: UUID, kind: RunKind, clock: ClockEstimate) -> int:
        if kind not in self._numbers:
            self._numbers[kind] = self._logbook.start_run(
                session_id,
                kind=kind,
                version=version("rungwise"),
                parameters_sha=parameters_sha(IN_A_SESSION),
                clock_ratio=clock.ratio,
                clock_sd_ppm=clock.sd_ppm,
                moment_sd_s=clock.moment_sd_s,
            )
        return self._numbers[kind]
