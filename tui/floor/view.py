"""What the coach's screen shows: immutable, already computed, already words; pure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from analysis.logbook.changes import Change
from analysis.motion.events import Phase
from tui.floor.intake import Intake
from tui.floor.needs import NOTHING, Look, Need
from tui.floor.seen import Done, Now, Sensor
from tui.floor.station import Station
from tui.floor.words import Word, Words
from tui.session.messages import SHOWN_GAP_S, Hill, Stage
from tui.words.format import clock, seconds
from tui.words.link_news import LOW_PERCENT

WORD_SHOWN_S = 600.0
"""An answered word stands on its tile for so long."""
_STAGES = {
    Stage.SEARCHING: "looking for the sensor",
    Stage.READY: "ready",
    Stage.DONE: "session done",
}
MOST_SAID = 5
"""Words of a station that are shown when it is opened."""
ClockOf = Callable[[int], str]
"""From µs since 1970-01-01 UTC to the time of day here, 14:03."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TileView:
    """One station.

    Attributes
    ----------
    name, trainee
        Of the station, and of whoever trains there (empty: nobody yet).
    look
        Why it needs a look, and in which class.
    where
        Which set of how many.
    rung
        What is trained.
    doing
        Count, phase with its pace, or the rest clock.
    steady
        The same without what changes with every tenth of a second.
    hills, target, planned
        The set as a ridge; None while there is nothing to draw.
    link
        How station and sensor are, in words.
    word
        What became of what was said last; empty where that is long ago.
    """

    name: str
    trainee: str = ""
    look: Look = NOTHING
    where: str = ""
    rung: str = ""
    doing: str = ""
    steady: str = ""
    hills: tuple[Hill, ...] = ()
    target: Hill | None = None
    planned: int = 0
    link: str = ""
    word: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenView:
    """One station, opened.

    Attributes
    ----------
    tile
        As its tile has it.
    number, number_word
        What stands large, the count or the seconds of rest left, and what that is.
    phase, phase_s, phase_target_s
        Where the trainee is in the rep.
    asked
        The prescription.
    cue
        What was off in the last rep.
    turns
        Everybody on a shared bar; empty where one trains alone.
    done
        The sets done, a line each.
    records
        How the sensor is, and how far our logbook is with the station's.
    said
        What was said to it, the newest first, each with what became of it.
    others
        Who else needs a look, the most urgent first; empty where nobody does.
    broker
        As of `FloorView`.
    """

    tile: TileView
    number: str = ""
    number_word: str = ""
    phase: Phase = Phase.AWAY
    phase_s: float = 0.0
    phase_target_s: float | None = None
    asked: str = ""
    cue: str = ""
    turns: str = ""
    done: tuple[str, ...] = ()
    records: str = ""
    said: tuple[str, ...] = ()
    others: str = ""
    broker: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorView:
    """All stations, as they stand.

    Attributes
    ----------
    tiles
        In their order.
    broker
        Empty while the broker is there; else since when it is not, and what comes of it.
    trouble
        What could not be kept, or not be read, in one sentence; empty where all was.
    """

    tiles: tuple[TileView, ...] = ()
    broker: str = ""
    trouble: str = ""

    @property
    def need(self) -> int:
        """How many need a look."""
        return sum(one.look.need < Need.NONE for one in self.tiles)


def tile_view(station: Station, look: Look, said: str, at_s: float) -> TileView:
    """Return a station as its tile shows it; `said`: what became of the last word."""
    now = station.now
    silent_s = station.silent_s(at_s)
    if now is None:
        doing = "no session yet" if station.here else ""
        return TileView(
            name=station.name, look=look, doing=doing, steady=doing, link=_station_link(station, silent_s), word=said
        )
    return TileView(
        name=station.name,
        trainee=now.trainee,
        look=look,
        where=where_words(now),
        rung=now.rung,
        doing=doing_words(now, station.rest_left_s(at_s), station.phase_s(at_s)),
        steady=steady_words(now),
        hills=now.hills,
        target=now.target,
        planned=_planned(now),
        link=_station_link(station, silent_s) or sensor_line(now.link),
        word=said,
    )


def open_view(tile: TileView, station: Station, words: Words, records: str, at_s: float, day: ClockOf) -> OpenView:
    """Return a station as it is shown when it is opened; `records`: how far our logbook is with its."""
    said = [one for one in words.said.values() if one.station == station.name][: -MOST_SAID - 1 : -1]
    lines = tuple(f"{day(one.sent_utc_us)} {_quoted(one)}: {word_state(words, one, day)}" for one in said)
    now = station.now
    if now is None:
        return OpenView(tile=tile, records=records, said=lines)
    left_s = station.rest_left_s(at_s)
    resting = left_s is not None
    return OpenView(
        tile=tile,
        number=clock(left_s) if left_s is not None else str(now.count),
        number_word="rest" if resting else f"of {now.reps}" if now.reps else "reps",
        phase=now.phase,
        phase_s=round(station.phase_s(at_s), 1) if now.stage is Stage.SET else 0.0,
        phase_target_s=now.phase_target_s,
        asked=now.asked,
        cue=now.cue,
        turns=joined_words(*now.turns),
        done=tuple(done_line(number, one) for number, one in enumerate(now.closed, 1)),
        records=joined_words(sensor_line(now.link), records),
        said=lines,
    )


def others_words(looks: Sequence[tuple[str, Look]], but: str) -> str:
    """Say who else needs a look than one; looks by the names of the stations, the most urgent first."""
    others = [(name, look) for name, look in looks if look.need < Need.NONE and name != but]
    if not others:
        return ""
    (name, look), more = others[0], len(others) - 1
    return f"◆ {name} {look.words}" + (f" · {more} more need a look" if more > 1 else " · 1 more needs a look" * more)


def records_words(intake: Intake[Change]) -> str:
    """Say how far our logbook is with a station's."""
    refused = f", {intake.refused} could not be used" if intake.refused else ""
    return f"{intake.behind} records on their way{refused}" if intake.behind else f"all its records are here{refused}"


def joined_words(*parts: str) -> str:
    """Put the parts that say something on one line."""
    return " · ".join(part for part in parts if part)


def where_words(now: Now) -> str:
    """Say in which set this is."""
    of = f" of {now.sets}" if now.sets else ""
    if now.warm_up and now.stage in (Stage.READY, Stage.SET):
        return f"warm-up {now.warm_up}"
    if now.stage is Stage.DONE:
        return f"{len(now.closed)}{of} sets done"
    return f"{'before ' if now.stage is Stage.REST else ''}set {now.set_number}{of}"


def doing_words(now: Now, rest_left_s: float | None, phase_s: float) -> str:
    """Say what is done now, with the count and the time of the phase, or of the rest."""
    count = steady_words(now)
    if now.stage in _STAGES:
        return count
    if now.stage is Stage.REST:
        return f"rest {clock(rest_left_s or 0.0)} · {count}"
    if now.phase is Phase.AWAY:
        return count
    target = f" of {now.phase_target_s:g}" if now.phase_target_s else ""
    return f"{count} · {now.phase.name} {seconds(phase_s)}{target} s"


def steady_words(now: Now) -> str:
    """Say what is done now, without any time."""
    if now.stage in _STAGES:
        return _STAGES[now.stage]
    return f"{now.count} of {now.reps}" if now.reps else f"{now.count}"


def sensor_line(sensor: Sensor) -> str:
    """Say how a sensor is."""
    if sensor.state != "connected":
        return f"sensor {sensor.state}"
    if sensor.missing_s >= SHOWN_GAP_S:
        return f"sensor: {sensor.missing_s:.0f} s missing"
    battery = f", battery {sensor.battery} %" if sensor.battery is not None and sensor.battery <= LOW_PERCENT else ""
    return f"sensor {f'{sensor.loss:.0%} lost' if sensor.loss >= 0.005 else 'good'}{battery}"


def _station_link(station: Station, silent_s: float | None) -> str:
    if not station.here:
        return "not connected"
    if silent_s is not None:
        return f"no word for {clock(silent_s)}"
    return "" if station.now else "connected"


def done_line(number: int, done: Done) -> str:
    """Return one set that was done."""
    of = f" of {done.asked}" if done.asked is not None else ""
    outcome = f", {done.outcome.value}" if done.outcome else ""
    remark = f": {done.remark}" if done.remark else ""
    return f"set {number}: {done.count}{of} reps{outcome}{remark}"


def _planned(now: Now) -> int:
    running = now.stage is Stage.SET and not now.warm_up and not now.ended
    return min(now.reps or 0, 100) if running else 0


def word_line(words: Words, station: str, utc_us: int, day: ClockOf) -> str:
    """Say what became of what was said last: "note shown 14:03"; empty where that was long ago."""
    word = words.newest(station)
    if word is None or (word.answered_utc_us is not None and utc_us - word.answered_utc_us >= WORD_SHOWN_S * 1e6):
        return ""
    return f"{word.what} {word_state(words, word, day)}"


def word_state(words: Words, word: Word, day: ClockOf) -> str:
    """Say what became of a word, without its kind."""
    if not words.is_sent(word):
        return "waits"
    at = "" if word.answered_utc_us is None else f" {day(word.answered_utc_us)}"
    return f"{word.became}{at}" + (f" ({word.answer})" if word.answer and word.state != "shown" else "")


def _quoted(word: Word) -> str:
    data = word.data
    if word.what == "note":
        return f"“{data['text']}”"
    if word.what == "plan":
        return f"plan of {data['trainee']}"
    parts = (
        f"{data['reps']} reps" if data["reps"] is not None else "",
        f"rest {data['rest_s']:g} s" if data["rest_s"] is not None else "",
        f"tempo {data['tempo']}" if data["tempo"] else "",
    )
    return ", ".join(part for part in parts if part)
