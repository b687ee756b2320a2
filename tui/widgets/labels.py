"""The words on the screens; pure. Short, kind, exact."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rich.cells import cell_len

from analysis.motion.events import Phase
from analysis.motion.mounts import Mount
from analysis.training.prescription import Prescription
from analysis.training.verdict import Outcome, PhaseVerdict, RepVerdict, SetVerdict
from sensor.source import LinkState
from tui.session.messages import Link, Snapshot, Stage
from tui.views.rows import LogRow
from tui.widgets.hold_labels import ALL_DONE, hold_to_go_words, is_held, perhaps_held_s
from tui.widgets.phase_band import Progress
from tui.words.format import done as done_in_set
from tui.words.format import load_words
from tui.words.link_news import LOW_PERCENT, is_below

PHASE_WORDS = {
    Phase.AWAY: "",
    Phase.HANG: "HANG",
    Phase.UP: "UP",
    Phase.TOP: "TOP",
    Phase.DOWN: "DOWN",
    Phase.BOTTOM: "BOTTOM",
}
MOUNT_WORDS = {
    Mount.BODY: "Sensor on belt or strap, tight, so that it does not swing.",
    Mount.LIMB: "Sensor on wrist or ankle, strap tight. It shows phases, not height.",
    Mount.MOVING_BAR: "Sensor on the moving bar, clear of both hands.",
    Mount.FIXED_BAR: "Sensor on the fixed bar, clear of both hands. It shows phases, not height.",
    Mount.SUSPENSION: "Sensor on the strap or ring, clear of both hands. It shows phases, not height.",
}
SOON_S = 10.0
"""From here on a rest is nearly over."""
_PHASE_OFF = {-1: "short", 1: "long", 0: "off"}
_QUICK = {("up", -1): "fast up", ("up", 1): "slow up", ("down", -1): "fast down", ("down", 1): "slow down"}


def joined(*parts: str) -> str:
    """Put the parts that say something on one line."""
    return _BETWEEN.join(part for part in parts if part)


_BETWEEN = " · "


def whole_parts(text: str, width: int) -> str:
    """Return as many parts of a line as have room in `width` cells, none of them cut: a number cut is another one."""
    if cell_len(text) <= width:
        return text
    parts = text.split(_BETWEEN)
    while len(parts) > 1 and cell_len(_BETWEEN.join(parts)) + 2 > width:
        parts.pop()
    return f"{_BETWEEN.join(parts)} …"


def link_words(link: Link) -> str:
    """Say how the sensor is."""
    match link.state:
        case LinkState.SEARCHING | LinkState.LOST:
            return "sensor lost, looking again" if link.is_gone else "looking for the sensor"
        case LinkState.AWAY:
            return "looking for a sensor"
        case LinkState.STALLED:
            return "sensor silent"
        case LinkState.BLOCKED:
            return "Bluetooth is off: switch it on"
        case LinkState.LENT:
            return "sensor with somebody else"
        case LinkState.ENDED:
            return "demonstration over"
        case LinkState.CONNECTED:
            if link.is_behind:
                return f"sensor: {link.missing_s:.0f} s missing, asked for again"
            lost = f"{link.loss:.0%} lost" if link.loss >= 0.005 else "good"
            return f"sensor {lost}" + (f", battery {link.battery} %: charge it" if is_below(link, LOW_PERCENT) else "")


def reading_words(snapshot: Snapshot) -> str:
    """Say how much of what was recorded is read again by now; empty while none is."""
    return "" if snapshot.read_again is None else f"reading again, {100 * snapshot.read_again:.0f} % done"


def sensor_words(link: Link) -> tuple[str, ...]:
    """Name the sensor and its figures as far as they are known, the most useful last."""
    rate = f"{link.rate_hz:.0f} Hz" if link.rate_hz else ""
    battery = "" if link.battery is None else f"battery {link.battery} %"
    return tuple(part for part in (rate, link.sensor, battery) if part)


def set_words(snapshot: Snapshot) -> str:
    """Say where in the session this is."""
    of = f" of {snapshot.prescription.sets}" if snapshot.prescription.sets else ""
    if snapshot.warm_up and snapshot.stage in (Stage.READY, Stage.SET):
        return f"warm-up {snapshot.warm_up} of {snapshot.prescription.warm_ups}"
    match snapshot.stage:
        case Stage.DONE:
            done, asked = len(snapshot.closed), snapshot.prescription.sets
            return f"{done} sets done, {asked} asked for" if 0 < asked < done else f"{done}{of} sets done"
        case Stage.REST if snapshot.gap_s:
            return f"set {snapshot.set_number}{of}, gap"
        case Stage.REST:
            return joined(snapshot.partner_due, f"before set {snapshot.set_number}{of}")
        case _ if is_extra(snapshot):
            return f"extra set {snapshot.set_number}"
        case _:
            return f"set {snapshot.set_number}{of}" + (f" or {snapshot.partner_due}" if snapshot.partner_due else "")


def is_extra(snapshot: Snapshot) -> bool:
    """Whether a set is in progress beyond those that were asked for."""
    return snapshot.stage is Stage.SET and 0 < snapshot.prescription.sets < snapshot.set_number


def exercise_words(prescription: Prescription) -> tuple[str, ...]:
    """Name exercise, load and grip."""
    parts = (prescription.exercise.name, load_words(prescription.load_kg), str(prescription.grip))
    return tuple(part for part in parts if part)


def target_words(prescription: Prescription) -> str:
    """Say what each rep and each set should be, phases named."""
    if not prescription.sets:
        return "nothing prescribed"
    if prescription.hold_s:
        return f"hold {prescription.hold_s:g} s · rest {prescription.rest_s:g} s"
    half = "" if prescription.half_pause_s is None else f" · half-way {prescription.half_pause_s:g}"
    reps = "as many clean reps as possible" if prescription.is_test else f"{prescription.reps} reps"
    gap = "" if prescription.gap_s is None else f" · gap {prescription.gap_s:g} s"
    return f"{reps} · {prescription.tempo.named()}{half} s{gap} · rest {prescription.rest_s:g} s"


def seconds_words(done_s: float, target_s: float | None) -> str:
    """Say how much of how much."""
    if not target_s:
        return f"{done_s:.1f} s"
    reached = " · met" if done_s >= target_s else ""
    return f"{done_s:.1f} of {target_s:g} s{reached}"


def phase_progress(snapshot: Snapshot) -> Progress | None:
    """Return the band of the present phase; None while there is no phase."""
    if snapshot.phase is Phase.AWAY or is_held(snapshot):
        return None
    if perhaps_held_s(snapshot):
        hold_s = snapshot.prescription.hold_s
        return Progress(snapshot.phase_s, hold_s, seconds_words(snapshot.phase_s, hold_s))
    words = seconds_words(snapshot.phase_s, snapshot.phase_target_s)
    return Progress(snapshot.phase_s, snapshot.phase_target_s, words, PHASE_WORDS[snapshot.then])


def rest_progress(snapshot: Snapshot) -> Progress | None:
    """Return the band of the rest: the part of it that is over."""
    if snapshot.rest_left_s is None:
        return None
    rest_s, what = snapshot.gap_s or snapshot.prescription.rest_s, "gap" if snapshot.gap_s else "rest"
    words = f"seconds left of {rest_s:g}" if snapshot.rest_left_s > 0 else f"seconds past the {what}"
    return Progress(max(0.0, rest_s - snapshot.rest_left_s), rest_s, words)


def rest_digits(left_s: float | None) -> str:
    """Return the seconds left as shown large: whole seconds begun, `+` when overdue."""
    if left_s is None:
        return ""
    return str(math.ceil(left_s)) if left_s > 0 else f"+{math.floor(-left_s)}"


def rest_word(left_s: float | None, *, gap: bool = False) -> str:
    """Return the one word of a rest, or of the gap within a set."""
    if left_s is None or left_s > SOON_S:
        return "GAP" if gap else "REST"
    return "SOON" if left_s > 0 else "GO ON" if gap else "READY"


def phase_word(snapshot: Snapshot) -> str:
    """Return the one word of what is done now, or what to do while a lost sensor keeps what it sees."""
    if snapshot.stage is Stage.SET and snapshot.link.is_gone:
        return "GO ON" if snapshot.link.keeps_s and to_go_words(snapshot) != ALL_DONE else ""
    if is_held(snapshot):
        return ""
    if snapshot.prescription.hold_s and (snapshot.phase is Phase.HANG or perhaps_held_s(snapshot)):
        return "HOLD"
    return PHASE_WORDS[snapshot.phase]


def to_go_words(snapshot: Snapshot) -> str:
    """Say what is left of the set."""
    if not snapshot.prescription.sets or snapshot.partner_due or snapshot.prescription.is_test or snapshot.warm_up:
        return ""  # nothing asked, no number asked, or not known whose set it is
    if snapshot.ended or is_extra(snapshot):
        return ""
    if snapshot.prescription.hold_s:
        return hold_to_go_words(snapshot, snapshot.prescription.hold_s)
    left = snapshot.prescription.reps - snapshot.count - snapshot.provisional
    return f"{left} TO GO" if left > 0 else ALL_DONE


def cue_words(snapshot: Snapshot) -> str:
    """Return the one thing to be told now: what is read again or missing before anything else."""
    if snapshot.read_again is not None:
        return f"READING {snapshot.read_again:.0%}"
    match snapshot.link.state:
        case LinkState.LOST | LinkState.SEARCHING | LinkState.BLOCKED:
            return "SENSOR LOST" if snapshot.link.is_gone else "NO SENSOR"
        case LinkState.STALLED:
            return "SENSOR SILENT"
        case _:
            return "CATCHING UP" if snapshot.link.is_behind else snapshot.cue.upper()


def phase_off(phase: PhaseVerdict) -> str:
    """Say in two words how a missed phase was off."""
    return _QUICK.get((phase.name, phase.direction), f"{_PHASE_OFF[phase.direction]} {phase.name}")


def rep_mark(rep: RepVerdict) -> str:
    """Return the short word under a missed rep; empty for any other."""
    missed = [phase for phase in rep.phases if phase.outcome is Outcome.MISSED]
    return phase_off(missed[0]) if missed and rep.outcome is Outcome.MISSED else ""


def set_marks(verdict: SetVerdict | None) -> tuple[str, ...]:
    """Return the marks of a set's reps; the same word twice running is said once."""
    if verdict is None:
        return ()
    words = [rep_mark(rep) for rep in verdict.reps]
    return tuple("" if index and word == words[index - 1] else word for index, word in enumerate(words))


def under_tension_words(verdict: SetVerdict) -> str:
    """Say the time under tension against its target; empty where it was not measurable."""
    if verdict.tut_s is None:
        return ""
    if verdict.target_tut_s is not None and verdict.tut_is_least:
        return f"{verdict.tut_s:.0f} s under tension, at least {verdict.target_tut_s:.0f}"
    wanted = "" if verdict.target_tut_s is None else f" of {verdict.target_tut_s:.0f}"
    return f"{verdict.tut_s:.0f}{wanted} s under tension"


def rest_kept_words(verdict: SetVerdict) -> str:
    """Say the rest kept before a set; empty for the first."""
    if verdict.rest_before_s is None:
        return ""
    return f"rest {verdict.rest_before_s:.0f} of {verdict.target_rest_s:.0f} s"


def verdict_words(verdict: SetVerdict) -> str:
    """Say what of a set was missed or unsure; the verdict's own word where nothing was."""
    aspects = (
        ("reps", verdict.reps_outcome),
        ("tempo", verdict.tempo_outcome),
        ("time under tension", verdict.tut_outcome),
        ("rest", verdict.rest_outcome),
    )
    for outcome in (Outcome.MISSED, Outcome.UNSURE):
        names = [name for name, one in aspects if one is outcome]
        if names and verdict.outcome is outcome:
            return f"{' and '.join(names)} {outcome}"
    return str(verdict.outcome)


def set_in_brief(number: int, verdict: SetVerdict) -> str:
    """Say what was done in a set, and what of it was missed."""
    if verdict.held:
        return joined(f"set {number}: held {verdict.tut_s:.0f} of {verdict.target_tut_s:g} s", str(verdict.outcome))
    if verdict.clean is not None:
        return f"set {number}: {verdict.clean} clean of {verdict.count}"
    if not verdict.target_reps:
        return f"set {number}: {verdict.count} reps"
    return joined(f"set {number}: {verdict.count} of {verdict.target_reps}", verdict_words(verdict))


def set_line(number: int, verdict: SetVerdict) -> str:
    """Say a set in one line."""
    tension = "" if verdict.held or verdict.clean is not None else under_tension_words(verdict)
    return joined(set_in_brief(number, verdict), tension, rest_kept_words(verdict))


def counts_words(counts: Sequence[int]) -> str:
    """Say the reps of a session's sets."""
    return ", ".join(str(count) for count in counts) or "no set"


def done_words(row: LogRow) -> str:
    """Say what was done in a session's sets: counts, seconds held."""
    return ", ".join(done_in_set(one.verdict) if one.verdict else f"{one.count}" for one in row.done) or "no set"


def clock_words(seconds: float) -> str:
    """Say a time as minutes and seconds, with hours where there are any."""
    minutes, rest = divmod(max(0, round(seconds)), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"
