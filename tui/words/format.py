"""Words and figures for people: one place for how a duration, a rep, a set reads."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from analysis.motion.mounts import Mount, Place
from analysis.motion.results import Bout, Hold, Rep, RepKind, Unmeasurable
from analysis.training.prescription import Prescription, Start
from analysis.training.progression import NextSession
from analysis.training.records import SetRecord
from analysis.training.verdict import FormVerdict, Outcome, RepVerdict, SetVerdict
from analysis.training.words import PHASE_WORDS, WHY_WORDS
from sensor.source import LinkState
from tui.session.messages import SHOWN_GAP_S, Link
from tui.words.changed import changed_words

if TYPE_CHECKING:  # what is typed in or looked up needs no motion core
    from analysis.motion.analysis import Analysis
    from sensor.clock import ClockEstimate

UNKNOWN = "–"


def seconds(value: float | None) -> str:
    """Return a duration with one decimal, or a dash where it was not measured."""
    return UNKNOWN if value is None else f"{value:.1f}"


def clock(value_s: float) -> str:
    """Return seconds as m:ss; a minus sign before what is overdue."""
    whole = round(abs(value_s))
    sign = "-" if value_s < 0 and whole else ""
    return f"{sign}{whole // 60}:{whole % 60:02d}"


def link_line(link: Link) -> str:
    """Return the state of the sensor in words."""
    name = link.sensor or "sensor"
    battery = "" if link.battery is None else f", battery {link.battery} %"
    rate = "" if link.rate_hz is None else f" at {link.rate_hz:g} Hz"
    return {
        LinkState.SEARCHING: "looking for a sensor",
        LinkState.CONNECTED: f"{name} connected{rate}{battery}",
        LinkState.STALLED: f"{name} is silent; connecting again",
        LinkState.LOST: f"{name} lost: {lost_words(link)}",
        LinkState.BLOCKED: f"Bluetooth is off or not running; switch it on, {name} is looked for by itself then",
        LinkState.AWAY: f"{name} was away",
        LinkState.LENT: f"{name} is with somebody else",
        LinkState.ENDED: "the demonstration is over: the virtual sensor has shown all it had",
    }[link.state]


def lost_words(link: Link) -> str:
    """Return what a lost sensor means for whoever trains: whether to go on, and what will be known of it."""
    if link.keeps_s <= 0:
        return "what is done now is not measured; looking for it"
    return f"go on; it keeps the last {link.keeps_s:.0f} s, fetched once it is back"


def fetched_line(fetched_s: float, lost_s: float) -> str:
    """Return what became of the seconds that did not come at once."""
    fetched = f"{fetched_s:.1f} s fetched"
    gap = f"{lost_s:.1f} s stay a gap: the sensor could not send them again"
    if lost_s < SHOWN_GAP_S:
        return f"{fetched}: nothing is missing"
    return gap if fetched_s < SHOWN_GAP_S else f"{fetched}, {gap}"


def notice_line(sensor: str, notice: bytes) -> str:
    """Return what the host has to tell of a sensor."""
    return f"{sensor or 'sensor'} {notice.decode('utf-8', 'replace')}"


def clock_line(estimate: ClockEstimate) -> str:
    """Return how the sensor's clock ran against this computer's, as corrected in every judged time."""
    if estimate.span_s <= 0:
        return "sensor clock not known"
    ppm = 1e6 * (estimate.ratio - 1)
    counted = f"; it tells no time, so each moment ± {estimate.moment_sd_s:.2f} s" if estimate.moment_sd_s else ""
    return (
        f"sensor clock corrected by {ppm:+.0f} ± {estimate.sd_ppm:.0f} ppm, known from {estimate.span_s:.0f} s{counted}"
    )


def load_words(load_kg: float) -> str:
    """Say the load; empty for body weight alone."""
    if load_kg == 0:
        return ""
    return f"{load_kg:g} kg added" if load_kg > 0 else f"{-load_kg:g} kg help"


def kind_words(prescription: Prescription) -> tuple[str, ...]:
    """Say what makes it another kind than straight sets, a few words each."""
    half, gap, both = prescription.half_pause_s, prescription.gap_s, prescription.two_sided
    start = prescription.start
    warm_ups = prescription.warm_ups
    return (
        *([f"one and a half, {half:g} s half-way"] if half else []),
        *([_START_WORDS[start]] if start and not prescription.hold_s else []),
        *([f"{gap:g} s gaps within a set"] if gap else []),
        *([f"{warm_ups} warm-up {'set' if warm_ups == 1 else 'sets'} first"] if warm_ups else []),
        *([f"{' and '.join(PHASE_WORDS[name] for name in both)} no longer either"] if both else []),
    )


_START_WORDS = {Start.HANG: "each rep from a dead hang", Start.SHOULDERS_SET: "shoulders set before each pull"}


def asked(prescription: Prescription) -> str:
    """Return sets × reps; a prescription of nothing asks for nothing."""
    if prescription.is_test:
        return f"{prescription.sets} × as many clean reps as possible"
    each = f"{prescription.hold_s:g} s held" if prescription.hold_s else f"{prescription.reps}"
    return f"{prescription.sets} × {each}" if prescription.sets else "as it comes"


def prescription_line(prescription: Prescription) -> str:
    """Return what is asked, on one line, phases named beside the digits."""
    if not prescription.sets:
        return f"{prescription.exercise.name}, {asked(prescription)}"
    tempo = prescription.tempo
    phases = "" if prescription.hold_s else f" · {tempo.named()} (tempo {tempo.digits})"
    partner = f"in turn with {prescription.partner.name}" if prescription.partner else ""
    later = [f"then, by the coach: {changed_words(one)}" for one in prescription.changes]
    more = (*kind_words(prescription), load_words(prescription.load_kg), partner, *later)
    return (
        f"{prescription.exercise.name} · {asked(prescription)}"
        f"{phases} · rest {prescription.rest_s:g} s"
        f" · {prescription.grip.value} grip{''.join(f' · {part}' for part in more if part)}"
    )


def unmeasurable_line(span: Unmeasurable) -> str:
    """Return for how long, and why, nothing could be measured."""
    return f"{span.end_s - span.start_s:.1f} s not measurable: {WHY_WORDS[span.why]}"


def hold_line(hold: Hold, clock_ratio: float = 1.0) -> str:
    """Return where and how long it was held, in true seconds."""
    return f"held {(hold.end_s - hold.start_s) * clock_ratio:.1f} s at the {hold.where.value}"


def rep_phases(rep: Rep) -> str:
    """Return the named phase times of a rep."""
    up = None if rep.top_s is None else rep.top_s - rep.start_s
    down = None if rep.down_s is None else rep.end_s - rep.down_s
    half = f"  half-way {seconds(rep.half_pause_s)}" if rep.kind is RepKind.ONE_AND_HALF else ""
    return f"up {seconds(up)}  top {seconds(rep.hold_top_s)}{half}  down {seconds(down)}"


def short_words(verdict: RepVerdict) -> str:
    """Say how much of the reference rep's travel a rep that is short of it had."""
    found = next(one for one in verdict.form if one.name == "range")
    share = 0.0 if found.actual is None or not found.target else found.actual / found.target
    return f"{100 * share:.0f} % of the reference rep's travel"


def rep_line(number: int, rep: Rep, verdict: RepVerdict | None = None) -> str:
    """Return one rep on one line."""
    if rep.kind is RepKind.PARTIAL:
        reached = "" if rep.reached is None else f", reached {100 * rep.reached:.0f} %"
        return f"partial, not counted{reached}"
    if verdict is not None and verdict.short:
        return f"partial, not counted: {short_words(verdict)}"
    judged = "" if verdict is None else f"  {verdict.outcome.value}"
    return f"rep {number:2d}  {rep_phases(rep)}{judged}"


def done(verdict: SetVerdict) -> str:
    """Return what was done in a set: its count, of a test the clean reps, or the seconds held."""
    if verdict.clean is not None:
        return f"{verdict.clean} clean of {verdict.count}"
    return f"{verdict.tut_s:.0f} s" if verdict.held and verdict.tut_s is not None else f"{verdict.count}"


def _rest_and_remark(verdict: SetVerdict) -> Iterator[str]:
    if verdict.rest_before_s is not None:
        kept = f"{seconds(verdict.rest_before_s)} of {verdict.target_rest_s:g} s"
        yield f"  rest before {kept}, {verdict.rest_outcome.value}"
    if verdict.remark:
        yield f"  {verdict.remark}"


def form_line(form: FormVerdict) -> str:
    """Return start, lean or range of a set on one line, with figure, target and uncertainty."""
    if form.actual is None or form.target is None:
        return f"  {form.name} {form.outcome.value}"
    if form.name == "start":
        figures = f"seen as asked in {form.actual:g} of {form.target:g} reps"
    elif form.name == "lean":
        figures = f"{form.actual:.0f} ± {form.sd or 0:.0f}° at the top, up to {form.target:g}°"
    else:
        least_m = form.target - (form.tolerance or 0)
        figures = f"{100 * form.actual:.0f} ± {100 * (form.sd or 0):.0f} cm, at least {100 * least_m:.0f}"
    return f"  {form.name} {figures}, {form.outcome.value}"


def set_lines(number: int, verdict: SetVerdict) -> Iterator[str]:
    """Yield what was met and missed in a set, a line each."""
    if verdict.held:
        yield f"set {number}: held {done(verdict)} of {verdict.target_tut_s:g} s, {verdict.outcome.value}"
        yield from _rest_and_remark(verdict)
        return
    if verdict.outcome is Outcome.NOT_MEASURABLE and not verdict.count:
        yield f"set {number}: not measurable. {verdict.remark}".rstrip()
        return
    if verdict.clean is not None:
        yield f"set {number}: {done(verdict)} reps"
        yield from map(form_line, verdict.form)
        yield from _rest_and_remark(verdict)
        return
    if not verdict.target_reps:
        yield f"set {number}: {verdict.count} reps"
        return
    yield f"set {number}: {verdict.count} of {verdict.target_reps} reps"
    yield f"  number of reps {verdict.reps_outcome.value}"
    yield f"  tempo {verdict.tempo_outcome.value}"
    if verdict.target_tut_s is not None:
        asked = " s, at least" if verdict.tut_is_least else " of"
        target = f"{asked} {seconds(verdict.target_tut_s)} s"
        yield f"  time under tension {seconds(verdict.tut_s)}{target}, {verdict.tut_outcome.value}"
    yield from map(form_line, verdict.form)
    yield from _rest_and_remark(verdict)


def without_figures(line: str) -> str:
    """Return a line without its figures: what is told again must say something else, not another tenth."""
    return "".join(letter for letter in line if not letter.isdigit())


def seen_whole(done: SetRecord | None, changed: Sequence[str]) -> Iterator[str]:
    """Yield what the refined answer says otherwise than the live one did."""
    if done is not None:
        head = f"set {done.number}"
        yield from (f"{head}, seen whole: {line.strip().removeprefix(f'{head}: ')}" for line in changed)


def analysis_lines(name: str, mount: Mount, result: Analysis, place: Place | None = None) -> Iterator[str]:
    """Yield a readable table of what was found in a file."""
    minutes = clock(result.duration_s)
    sets, reps = len(result.sets), sum(found.count for found in result.sets)
    yield f"{name}: {minutes} min on mount {mount.value}, {result.axes} axes at {result.sample_rate_hz:.1f} Hz"
    yield f"  {sets} sets, {reps} reps ({result.kind} answer)" if sets else "  no set found"
    for number, found in enumerate(result.sets, start=1):
        yield from _found_set(number, found, place)
    for hold in result.holds:
        yield f"  from {clock(hold.start_s)}: {hold_line(hold)}"
    for span in result.unmeasurable:
        yield f"  from {clock(span.start_s)}: {unmeasurable_line(span)}"
    if result.gaps:
        lost_s = sum(gap.end_s - gap.start_s for gap in result.gaps)
        yield f"  {len(result.gaps)} gaps, {lost_s:.1f} s in all"


def _found_set(number: int, found: Bout, place: Place | None) -> Iterator[str]:
    doubt = "" if found.measured or found.why is None else f": not to be relied on, {WHY_WORDS[found.why]}"
    yield f"  set {number}, {clock(found.start_s)} to {clock(found.end_s)}, {found.count} reps{doubt}"
    if not found.reps:
        return
    angle = {None: "tilt", Place.BELT: "pelvis"}.get(place, "lean")
    yield f"        start     up    top   half   down bottom  travel cm  peak cm/s {angle:>6} °   kind"
    for ordinal, rep in enumerate(found.reps, start=1):
        yield f"   {ordinal:3d} {_found_rep(rep)}"
    if found.velocity_loss is not None:
        yield f"   speed lost on the way up, first to last rep: {100 * found.velocity_loss:.0f} %"


def _found_rep(rep: Rep) -> str:
    up = None if rep.top_s is None else rep.top_s - rep.start_s
    down = None if rep.down_s is None else rep.end_s - rep.down_s
    travel = UNKNOWN if rep.travel_m is None else f"{100 * rep.travel_m:.0f}"
    lean = UNKNOWN if rep.lean_deg is None else f"{rep.lean_deg:.0f}"
    phases = (seconds(value) for value in (up, rep.hold_top_s, rep.half_pause_s, down, rep.bottom_pause_s))
    columns = "".join(f"{value:>7}" for value in phases)
    return f"{rep.start_s:8.1f}{columns}{travel:>11}{_peak(rep):>11}{lean:>9}   {rep.kind.value.replace('_', ' ')}"


def _peak(rep: Rep) -> str:
    """Return the peak speed of the way up and its one sigma, cm/s."""
    speed, sd = rep.peak_velocity_m_s, rep.peak_velocity_sd_m_s
    return UNKNOWN if speed is None or sd is None else f"{100 * speed:.0f} ±{100 * sd:.0f}"


def next_lines(proposal: NextSession) -> Iterator[str]:
    """Yield what to do next, and why."""
    due = f"{proposal.due:%A} {proposal.due.day} {proposal.due:%B}"
    if proposal.prescription is None:
        yield "next: no session"
    else:
        yield f"next: from {due}, step {proposal.step} of {proposal.steps}"
        yield f"  {prescription_line(proposal.prescription)}"
    if proposal.cue:
        yield f"  {proposal.cue}"
    for reason in proposal.reasons:
        yield f"  {reason.text}"
        yield from (f"    {line}" for line in reason.evidence)
