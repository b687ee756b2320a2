"""The columns of the exported tables, with units and meaning; `rungwise export --columns` and EXPORT.md show them."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields
from enum import Enum
from operator import attrgetter
from typing import Any

from analysis.logbook.entries import Trainee
from analysis.logbook.note_rows import plain_value
from analysis.motion.results import Rep
from analysis.training.corrections import Correction
from analysis.training.load import session_load
from analysis.training.records import SessionRecord, SetRecord
from analysis.training.sharing import given_from
from analysis.training.statements import Form, Note, Pain, Placement, Signs, Statement, Worn
from analysis.training.verdict import RepVerdict


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name, unit (empty: none), meaning, and where its value comes from."""

    name: str
    unit: str
    meaning: str
    of: Callable[[Any], Any]


@dataclass(frozen=True, slots=True)
class SessionRow:
    """A session of one trainee."""

    trainee: Trainee
    record: SessionRecord


@dataclass(frozen=True, slots=True)
class SetRow:
    """A set of it."""

    record: SessionRecord
    done: SetRecord


@dataclass(frozen=True, slots=True)
class RepRow:
    """A rep of that."""

    record: SessionRecord
    done: SetRecord
    number: int
    rep: Rep
    verdict: RepVerdict | None


@dataclass(frozen=True, slots=True)
class SaidRow:
    """What was said of a trainee."""

    trainee: Trainee
    said: Statement


@dataclass(frozen=True, slots=True)
class CorrectionRow:
    """What was said against a measurement."""

    trainee: Trainee
    made: Correction


def _at(name: str, unit: str, meaning: str, path: str) -> Column:
    return Column(name, unit, meaning, attrgetter(path))


def _said(name: str, unit: str, meaning: str, kind: type | tuple[type, ...], attribute: str) -> Column:
    return Column(name, unit, meaning, lambda row: getattr(row.said, attribute) if isinstance(row.said, kind) else None)


SESSIONS = (
    _at("session_id", "", "UUID of the session", "record.session_id"),
    _at("trainee_id", "", "UUID of the trainee", "trainee.id"),
    _at("trainee", "", "name of the trainee", "trainee.name"),
    _at("day", "", "the trainee's calendar day, YYYY-MM-DD", "record.day"),
    _at("started_utc_us", "µs", "begin, since 1970-01-01 UTC", "record.started_utc_us"),
    _at("ended_utc_us", "µs", "end; empty: broken off", "record.ended_utc_us"),
    _at("rung", "", "rung of the ladder; empty: outside it", "record.rung"),
    _at("method", "", "how the rung was climbed", "record.method"),
    _at("exercise", "", "key of the exercise", "record.prescription.exercise.key"),
    _at("mount", "", "where the sensor sat", "record.mount"),
    _at("place", "", "where on the body", "record.place"),
    _at("source", "", "sensor, typed or imported", "record.source"),
    _at("seen_by", "", "who watched", "record.seen_by"),
    _at("demo", "", "done by the virtual trainee", "record.demo"),
    _at("asked_sets", "", "sets asked for", "record.prescription.sets"),
    _at("asked_reps", "", "reps a set asked for", "record.prescription.reps"),
    _at("asked_down_s", "s", "lowering asked for", "record.prescription.tempo.down_s"),
    _at("asked_bottom_s", "s", "pause at the bottom asked for", "record.prescription.tempo.bottom_s"),
    _at("asked_up_s", "s", "rise asked for; empty: fast", "record.prescription.tempo.up_s"),
    _at("asked_top_s", "s", "hold at the top asked for", "record.prescription.tempo.top_s"),
    _at("asked_hold_s", "s", "length of a set that is one hold", "record.prescription.hold_s"),
    _at("asked_half_pause_s", "s", "pause part-way asked for", "record.prescription.half_pause_s"),
    _at("asked_rest_s", "s", "rest asked for", "record.prescription.rest_s"),
    _at("grip", "", "grip", "record.prescription.grip"),
    _at("load_kg", "kg", "added load; negative: assistance", "record.prescription.load_kg"),
    _at("bar_cm", "cm", "height of the bar", "record.set_up.bar_cm"),
    _at("heels_cm", "cm", "heels from under the bar", "record.set_up.heels_cm"),
    _at("block_cm", "cm", "height of the block", "record.set_up.block_cm"),
    _at("support", "", "what carries the person", "record.set_up.support"),
    _at("outcome", "", "met, missed, unsure or not measurable, as corrected", "record.outcome"),
    Column("done_sets", "", "sets that count", lambda row: len(row.record.sets)),
    Column("done_reps", "", "reps that count", lambda row: sum(one.verdict.count for one in row.record.sets)),
    _at("rpe", "0–10", "perceived exertion of the session", "record.rpe"),
    _at("minutes", "min", "length as told; empty: from begin to end", "record.minutes"),
    Column("load_rpe_min", "RPE × min", "session load (Foster et al. 2001)", lambda row: session_load(row.record)),
    _at("sensor", "", "name of the sensor", "record.sensor"),
    _at("recording", "", "file of the raw packets", "record.recording"),
    _at("note", "", "what a person wrote", "record.note"),
    _at(
        "hand_share",
        "0–1",
        "share of body weight on the hands, by a scale under the feet",
        "record.set_up.hand_share",
    ),
)

_OF_SET = (
    _at("session_id", "", "UUID of the session", "record.session_id"),
    _at("set_kind", "", "exercise, partner (of a superset) or warm-up", "done.kind"),
    _at("set", "", "number of the set within the session and kind, from 1", "done.number"),
)

SETS = (
    *_OF_SET,
    _at("start_s", "s", "begin, on the sensor's own clock", "done.start_s"),
    _at("end_s", "s", "end, on the sensor's own clock", "done.end_s"),
    _at("clock_ratio", "", "true seconds in one of the sensor's", "done.clock_ratio"),
    _at("count", "", "reps that count", "done.verdict.count"),
    _at("target_reps", "", "reps asked for", "done.verdict.target_reps"),
    _at("measured", "", "whether the sensor's count is to be relied on", "done.measured"),
    _at("why", "", "why not", "done.why"),
    _at("outcome", "", "met, missed, unsure or not measurable", "done.verdict.outcome"),
    _at("reps_outcome", "", "of the count", "done.verdict.reps_outcome"),
    _at("tempo_outcome", "", "of the tempo", "done.verdict.tempo_outcome"),
    _at("in_tempo", "", "reps whose every phase was met", "done.verdict.in_tempo"),
    _at("tut_s", "s", "time under tension, true seconds; of a hold its length", "done.verdict.tut_s"),
    _at("tut_sd_s", "s", "one sigma of it", "done.verdict.tut_sd_s"),
    _at("target_tut_s", "s", "time under tension asked for; empty: not judged", "done.verdict.target_tut_s"),
    _at("tut_outcome", "", "of the time under tension", "done.verdict.tut_outcome"),
    _at("rest_before_s", "s", "rest before the set, true seconds", "done.rest_before_s"),
    _at("rest_outcome", "", "of the rest", "done.verdict.rest_outcome"),
    _at("slowing", "", "last third's rises over the first third's, ratio of times", "done.verdict.slowing"),
    _at("remark", "", "the one thing to say about it", "done.verdict.remark"),
    _at("clean", "", "of a test: clean reps until form broke", "done.verdict.clean"),
    _at("trainee_id", "", "UUID of the trainee who did it", "record.trainee"),
    Column(
        "recorded_in",
        "",
        "UUID of the session in whose recording it is, where that is another's: a set that was given",
        lambda row: given_from(row.done),
    ),
)

_REP_UNITS = {"_s": "s", "_m": "m", "_m_s": "m/s", "_deg": "°"}
_REP_WORDS = {
    "start_s": "begin of the way up, on the sensor's own clock",
    "top_s": "its end",
    "down_s": "begin of the way down",
    "end_s": "its end",
    "kind": "full, one_and_half or partial (not counted)",
    "hold_top_s": "hold at the top",
    "bottom_pause_s": "pause before the next rep",
    "half_pause_s": "pause part-way of a one-and-a-half rep",
    "shrug_start_s": "begin of the shoulder-blade rise before the pull",
    "reached": "of a partial rep: how far it got, 0–1",
    "travel_m": "height gained",
    "mean_velocity_m_s": "mean speed of the way up, vertical",
    "peak_velocity_m_s": "peak speed of the way up, vertical",
    "mean_velocity_sd_m_s": "one sigma of the mean speed",
    "peak_velocity_sd_m_s": "one sigma of the peak speed",
    "lean_deg": "lean of the trunk at the top",
}


def _rep_columns() -> Iterator[Column]:
    for name in (field.name for field in fields(Rep) if field.name in _REP_WORDS):
        ends = sorted((end for end in _REP_UNITS if name.endswith(end)), key=len)
        yield _at(name, _REP_UNITS[ends[-1]] if ends else "", _REP_WORDS[name], f"rep.{name}")
    for edge in ("start", "top", "down", "end"):
        yield _at(f"{edge}_sd_s", "s", f"one sigma of {edge}_s", f"rep.timing_sd.{edge}_s")


REPS = (
    *_OF_SET,
    _at("rep", "", "number within the set, from 1, partial ones included", "number"),
    *_rep_columns(),
    Column("outcome", "", "of its phases; empty: not judged", lambda row: row.verdict and row.verdict.outcome),
    _at("trainee_id", "", "UUID of the trainee who did it", "record.trainee"),
)

STATEMENTS = (
    _at("trainee_id", "", "UUID of the trainee", "trainee.id"),
    _at("trainee", "", "name of the trainee", "trainee.name"),
    Column(
        "kind",
        "",
        "pain, signs, form, release, placement, reference, worn or note",
        lambda row: type(row.said).__name__.lower(),
    ),
    _at("day", "", "the trainee's calendar day, YYYY-MM-DD", "said.day"),
    _at("said_utc_us", "µs", "when it was said, since 1970-01-01 UTC", "said.said_utc_us"),
    _said("pain_now", "0–10", "pain at that moment", Pain, "now"),
    _said("pain_worst", "0–10", "worst since the session before", Pain, "worst"),
    _said("sharp", "", "sharp, at night or along a nerve", Pain, "sharp"),
    _said("where", "", "where it hurts", Pain, "where"),
    _said("signs", "", "swelling, dark urine or weakness out of proportion", Signs, "any"),
    _said("question", "", "question of form", Form, "question"),
    _said("answer", "", "its answer", Form, "yes"),
    _said("self_seen", "", "answered by the trainee from a video", Form, "self_seen"),
    Column("by", "", "who said so", lambda row: getattr(row.said, "by", None)),
    Column("role", "", "who released: coach or clinician", lambda row: getattr(row.said, "role", None)),
    _said("rung", "", "rung on which to go on; of worn: on which the sensor sits so", (Placement, Worn), "rung"),
    _said("step", "", "step of that rung, from 0", Placement, "step"),
    _said("why", "", "what the placement rests on", Placement, "why"),
    _said("session_id", "", "UUID of the session that a note is about", Note, "session"),
    _said("at_s", "s", "moment of a note, on the sensor's own clock", Note, "at_s"),
    _said("text", "", "what was noted; empty: a mark alone", Note, "text"),
    _said("gone", "", "the note was taken away", Note, "gone"),
    _said("mount", "", "where the sensor sits on that rung", Worn, "mount"),
    _said(
        "asked_mount",
        "",
        "where its exercise asked for it then; mount holds as long as it does",
        Worn,
        "asked",
    ),
)

CORRECTIONS = (
    _at("correction_id", "", "UUID of the correction", "made.id"),
    _at("session_id", "", "UUID of the session", "made.session_id"),
    _at("trainee", "", "name of the session's trainee", "trainee.name"),
    _at("kind", "", "what it does", "made.kind"),
    _at("start_s", "s", "begin of its span, on the sensor's own clock", "made.start_s"),
    _at("end_s", "s", "end of its span", "made.end_s"),
    Column(
        "value", "", "what holds instead, as JSON", lambda row: json.dumps(plain_value(row.made), ensure_ascii=False)
    ),
    _at("reason", "", "why, of a list", "made.reason"),
    _at("text", "", "why, in the person's words", "made.text"),
    _at("who", "", "who says so", "made.who"),
    _at("role", "", "coach or trainee", "made.role"),
    _at("made_utc_us", "µs", "when it was said, since 1970-01-01 UTC", "made.made_utc_us"),
)

TABLES: dict[str, Sequence[Column]] = {
    "sessions.csv": SESSIONS,
    "sets.csv": SETS,
    "reps.csv": REPS,
    "statements.csv": STATEMENTS,
    "corrections.csv": CORRECTIONS,
}
"""Files of an export as tables. Columns keep name and meaning; new ones come at the end."""


def cell(value: Any) -> str:
    """Return a value as the tables write it: empty for none, true or false, the shortest exact decimal."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Enum):
        return str(value.value)
    return repr(value) if isinstance(value, float) else str(value)


def columns_text() -> str:
    """Return the columns of all tables, as Markdown."""
    parts = []
    for name, columns in TABLES.items():
        rows = "\n".join(f"| `{one.name}` | {one.unit} | {one.meaning} |" for one in columns)
        parts.append(f"### {name}\n\n| column | unit | meaning |\n|---|---|---|\n{rows}\n")
    return "\n".join(parts)
