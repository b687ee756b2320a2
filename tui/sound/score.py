"""Which sound when: snapshots of a session in, notes out. Knows no clock and plays nothing.

A session, its replay and the file of its sounds go through this one class, so they sound the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from analysis.motion.events import Phase
from sensor.source import LinkState
from tui.session.messages import Snapshot, Stage
from tui.training.turns import called
from tui.words.cues import CUES
from tui.words.rest_news import REST_WARNING_S

LOOK_AHEAD_S = 0.15
"""A note that is due before the next snapshot is given out with this one, so that it sounds at its time."""
LATE_S = 0.3
"""Found out later than this, the end of a phase's time is told by nobody: a tick so late would teach a wrong tempo."""
APART_S = 0.8
"""The same tick comes no sooner again: a phase that flickers is one phase (`tui.session.doing.BELIEVED_S`)."""
IN_TURN_S = 0.7
"""Number, what was off, and set done come so long after each other: a spoken word takes about half a second."""
NAMED_S = 1.2
"""A name comes so long after what it belongs to: the end of a set or of a rest sounds for about a second."""
JUMP_S = 5.0
"""Snapshots further apart do not follow each other: a replay was moved."""


class Sound(StrEnum):
    """Everything that is heard of a session."""

    UP = "up"
    TOP = "top"
    HELD = "held"
    LOWERED = "lowered"
    PAUSED = "paused"
    COUNT = "count"
    COUNT_BACK = "count-back"
    OFF = "off"
    SET_DONE = "set-done"
    REST_NEARLY_OVER = "rest-nearly-over"
    REST_OVER = "rest-over"
    NEXT = "next"
    COACH = "coach"
    SENSOR_LOST = "sensor-lost"
    SENSOR_THERE = "sensor-there"


_TICKS = (Sound.UP, Sound.TOP, Sound.HELD, Sound.LOWERED, Sound.PAUSED)
_OF_REST = (Sound.REST_NEARLY_OVER, Sound.REST_OVER)
_AWAY = (LinkState.SEARCHING, LinkState.STALLED, LinkState.LOST, LinkState.BLOCKED)


@dataclass(frozen=True, slots=True)
class Note:
    """One sound.

    Attributes
    ----------
    at_s
        Session seconds; at or soon after the snapshot that it came of.
    sound
        What sounds.
    number
        The count, where it is one; of who is next, their place among those who share the bar; else 0.
    words
        What is off, or who is next; else empty.
    """

    at_s: float
    sound: Sound
    number: int = 0
    words: str = ""


class Score:
    """Folds the snapshots of a session, in their order, into notes."""

    def __init__(self) -> None:
        self._before: Snapshot | None = None
        self._sensor_there = False
        self._last_s: dict[Sound, float] = {}
        self._counted = 0
        self._set_told = False
        self._time_told: set[Sound] = set()
        """Whose end was told since the phase began."""
        self._top_s = float("-inf")
        self._named = ""
        """Who was told last to be next."""
        self._said: frozenset[str] = frozenset()
        """The coach's words that were told."""

    def of(self, now: Snapshot) -> tuple[Note, ...]:
        """Return what is heard at this snapshot, or until the next one."""
        before, self._before = self._before, now
        notes = list(self._of_sensor(now))
        if before is None or not _follows(before, now):
            self._take_up(now)
        else:
            notes += self._of_phase(before, now)
            notes += _in_turn([*self._of_count(before, now), *self._of_set(before, now)])
            notes += _of_rest(before, now)
        notes += self._of_coach(now)
        notes += self._of_turn(now, rests=any(note.sound in _OF_REST for note in notes))
        return tuple(note for note in notes if self._is_apart(note))

    def _take_up(self, now: Snapshot) -> None:
        """Go on from here without a word on what was passed over."""
        self._last_s.clear()
        self._counted = now.count
        self._top_s = float("-inf")
        self._set_told = now.stage is not Stage.SET or _is_over(now)

    def _is_apart(self, note: Note) -> bool:
        """Whether it may sound: a tick only some time after the same one."""
        if note.sound in _TICKS:
            if note.at_s - self._last_s.get(note.sound, -APART_S) < APART_S:
                return False
            self._last_s[note.sound] = note.at_s
        return True

    def _of_sensor(self, now: Snapshot) -> Iterator[Note]:
        if self._sensor_there and now.link.state in _AWAY and now.stage is not Stage.DONE:
            self._sensor_there = False
            yield Note(now.elapsed_s, Sound.SENSOR_LOST)
        elif not self._sensor_there and now.link.state is LinkState.CONNECTED:
            self._sensor_there = True
            yield Note(now.elapsed_s, Sound.SENSOR_THERE)

    def _of_coach(self, now: Snapshot) -> Iterator[Note]:
        """Tell that the coach says something that was not said before."""
        words = frozenset(now.coach.words if now.coach else ())
        if words - self._said:
            yield Note(now.elapsed_s, Sound.COACH)
        self._said |= words

    def _of_turn(self, now: Snapshot, *, rests: bool) -> Iterator[Note]:
        """Tell who is next on a shared bar: as the turn passes, and whose rest it is that is nearly over, or over."""
        view = now.turns
        if view and view.next and (rests or view.next != self._named):
            self._named = view.next
            place = view.names.index(view.next) + 1
            yield Note(now.elapsed_s + NAMED_S, Sound.NEXT, place, called(view.next, view.names))

    def _of_phase(self, before: Snapshot, now: Snapshot) -> Iterator[Note]:
        """Tell the begin of a rise, the top, and the end of the time that a phase is to last."""
        has_tempo = now.prescription.hold_s is None
        if has_tempo and now.phase is Phase.UP and before.phase is not Phase.UP:
            yield Note(now.elapsed_s, Sound.UP)
        if has_tempo and now.provisional and not before.provisional:
            self._top_s = now.elapsed_s - (now.phase_s if now.phase is Phase.TOP else 0.0)
            self._time_told.discard(Sound.HELD)
            yield Note(now.elapsed_s, Sound.TOP)
        if now.phase is not before.phase:
            self._time_told -= {Sound.LOWERED, Sound.PAUSED}
        for sound, due_s in self._times_over(now):
            if due_s - now.elapsed_s <= LOOK_AHEAD_S and sound not in self._time_told:
                self._time_told.add(sound)
                if now.elapsed_s - due_s <= LATE_S:
                    yield Note(max(now.elapsed_s, due_s), sound)

    def _times_over(self, now: Snapshot) -> Iterator[tuple[Sound, float]]:
        """Yield when the time asked for a phase is over, as far as it is known by now. A rise has no least time."""
        tempo, began_s = now.prescription.tempo, now.elapsed_s - now.phase_s
        if now.prescription.hold_s is not None:  # what else moves is getting there and letting go
            if now.phase is Phase.HANG:
                yield Sound.HELD, began_s + now.prescription.hold_s
            return
        held_s = self._top_s + tempo.top_s
        lasts = now.phase is Phase.TOP or (now.phase is Phase.DOWN and began_s >= held_s)
        if now.provisional and lasts and tempo.top_s:
            yield Sound.HELD, held_s
        if now.prescription.half_pause_s is not None:
            return  # half of the way down, and the stop after it, are no lowering
        if now.phase is Phase.DOWN and tempo.down_s:
            yield Sound.LOWERED, began_s + tempo.down_s
        if now.phase is Phase.BOTTOM and tempo.bottom_s:
            yield Sound.PAUSED, began_s + tempo.bottom_s

    def _of_count(self, before: Snapshot, now: Snapshot) -> Iterator[Note]:
        """Tell the count as it is confirmed, with what was off in the rep, and when it is taken back."""
        if now.stage is not Stage.SET:
            return
        if before.stage is not Stage.SET:  # a cluster set goes on counting after its gap
            self._counted = before.count if before.gap_s else 0
        if now.count != self._counted:
            sound = Sound.COUNT if now.count > self._counted else Sound.COUNT_BACK
            self._counted = now.count
            yield Note(now.elapsed_s, sound, now.count)
            if sound is Sound.COUNT and now.cue in CUES:
                yield Note(now.elapsed_s, Sound.OFF, words=now.cue)

    def _of_set(self, before: Snapshot, now: Snapshot) -> Iterator[Note]:
        """Tell once that a set is done: its number is reached, it is over before, or it closes with what it has."""
        running = now.stage is Stage.SET
        if (running and before.stage is not Stage.SET) or (now.phase is Phase.HANG and before.phase is not Phase.HANG):
            self._set_told = False
            self._time_told.clear()
        left = before.stage is Stage.SET and not running and before.count > 0
        done = left or len(now.closed) > len(before.closed) or (running and _is_over(now))
        if done and not self._set_told:
            self._set_told = True
            yield Note(now.elapsed_s, Sound.SET_DONE)


def _in_turn(notes: list[Note]) -> Iterator[Note]:
    """Yield one after the other what would sound at once."""
    return (replace(note, at_s=note.at_s + IN_TURN_S * place) for place, note in enumerate(notes))


def _follows(before: Snapshot, now: Snapshot) -> bool:
    """Whether one comes after the other in the same person's session, with nothing left out."""
    return now.trainee == before.trainee and 0 <= now.elapsed_s - before.elapsed_s <= JUMP_S


def _is_over(now: Snapshot) -> bool:
    """Whether nothing more should come in the set in progress: its number is reached, or it is over before."""
    return now.ended or (not now.warm_up and 0 < now.prescription.reps <= now.count)


def _of_rest(before: Snapshot, now: Snapshot) -> Iterator[Note]:
    """Tell the last seconds of a rest, or of a gap within a set, and its end, as they are passed."""
    if before.rest_left_s is None or now.rest_left_s is None:
        return
    for left_s, sound in ((REST_WARNING_S, Sound.REST_NEARLY_OVER), (0.0, Sound.REST_OVER)):
        if now.rest_left_s <= left_s < before.rest_left_s:
            yield Note(now.elapsed_s, sound)
