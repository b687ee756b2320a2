"""The plan of one trainee as a file: `<home>/plans/<name>.toml`, for people to read and edit."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import time
from functools import lru_cache
from pathlib import Path
from typing import Any

from analysis.logbook.people import name_key
from analysis.training.ladder import Ladder, Rung
from analysis.training.plan import EQUIPMENT, TrainingPlan, default_plan
from analysis.training.prescription import Goal, Grip
from analysis.training.rungs import START, default_ladder
from analysis.training.sound import flaws
from sensor.own.keys import KeyFaultError
from sensor.own.toml_lines import KeyPath, TomlError, line_of, read_toml
from tui.book.plan_keys import Faults, PlanKeys
from tui.book.plan_rungs import GRIPS, rung_of
from tui.home import FROM_COACH, Home, HomeError
from tui.whole import write_whole

FORMAT = "rungwise.plan/1"
MOST_BYTES = 262144
MOST_RUNGS = 30
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
TIME = re.compile(r"(?:[01][0-9]|2[0-3]):[0-5][0-9]")
GOALS = tuple(one.value for one in Goal)
SET_FROM = "box"
"""Rung of the default ladder from which on a rep begins with the shoulder blades set."""


class PlanError(ValueError):
    """A plan that cannot be used; each line of the message names file, line and key, and says what is allowed."""


@dataclass(frozen=True, slots=True)
class Written:
    """A plan as it stands in its file."""

    path: Path
    trainee: str
    plan: TrainingPlan


def training_plan(home: Home, trainee: str) -> TrainingPlan:
    """Return the plan of a trainee, by name; the default one where none was written.

    Raises
    ------
    PlanError
        When the file is no plan.
    """
    path = home.plan(name_key(trainee))
    return read_plan(path, trainee).plan if path.exists() else default_plan()


def read_plan(path: Path, trainee: str | None = None) -> Written:
    """Return what a file says, and whose it is; `trainee` where somebody's is wanted.

    Raises
    ------
    PlanError
        When it cannot be read, or is no plan.
    """
    name, plan = parse(plan_text_of(path), str(path), trainee)
    return Written(path, name, plan)


def plan_text_of(path: Path) -> str:
    """Return the text of a plan's file.

    Raises
    ------
    PlanError
        When it cannot be read.
    """
    try:
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
        return content.decode("utf-8-sig").replace("\r\n", "\n")
    except FileNotFoundError:
        raise PlanError(f"{path}: no such file; rungwise plan new writes one") from None
    except OSError as error:
        raise PlanError(f"{path}: cannot be read ({error.strerror}); give a file that can") from error
    except UnicodeDecodeError as error:
        raise PlanError(f"{path}: is no text; write a plan as TOML in UTF-8") from error


def written_plans(home: Home) -> Iterator[Path]:
    """Yield the files of all plans, by name."""
    yield from sorted(one for one in home.plans.glob("*.toml") if not one.name.endswith(FROM_COACH))


def write_plans(home: Home, texts: Mapping[Path, str]) -> None:
    """Write the files of plans: all or none.

    Raises
    ------
    HomeError
        When one cannot be written.
    """
    try:
        home.plans.mkdir(parents=True, exist_ok=True)
        write_whole(texts)
    except OSError as error:
        raise HomeError(f"{home.plans}: cannot be written ({error.strerror}); check its rights") from error


def parse(text: str, file: str, trainee: str | None = None) -> tuple[str, TrainingPlan]:
    """Return whose plan a text is, and the plan.

    Raises
    ------
    PlanError
        When it is no plan: all that is wrong, a line each.
    """
    if len(text.encode()) > MOST_BYTES:
        raise PlanError(f"{file}: is longer than {MOST_BYTES} bytes; give the plan of one trainee")
    try:
        document = read_toml(text)
    except TomlError as error:
        raise PlanError(f"{file}, line {error.line}: {error}") from error
    faults = Faults()
    name, plan = _plan(PlanKeys(document), faults, trainee)
    if not faults.found:
        for flaw in flaws(plan):
            where = flaw.where if flaw.where[0] in document or not flaw.instead else flaw.instead
            faults.note(KeyFaultError(where, flaw.text))
    if faults.found:
        told = [(line_of(text, one.path), f"{named(one.path, document)}: {one}") for one in faults.found]
        raise PlanError("\n".join(f"{file}, line {line}, {words}" for line, words in sorted(told)))
    return name, plan


def named(path: KeyPath, document: dict[str, Any]) -> str:
    """Return a key as a coach would name it: a rung by its key, places counted from 1."""
    words = [str(part + 1) if isinstance(part, int) else part for part in path]
    if len(path) > 1 and path[0] == "rungs":
        rungs = document.get("rungs")
        rung = rungs[path[1]] if isinstance(rungs, list) and isinstance(path[1], int) else None
        key = rung.get("key") if isinstance(rung, dict) else None
        words = [key if isinstance(key, str) else f"rung {words[1]}", *words[2:]]
    return ".".join(words)


def _plan(document: PlanKeys, faults: Faults, trainee: str | None) -> tuple[str, TrainingPlan]:
    take = faults.take
    take(lambda: document.choice("format", (FORMAT,)), FORMAT)
    name = take(lambda: _name(document, trainee), "")
    goal = Goal(take(lambda: document.choice("goal", GOALS, Goal.STRENGTH.value), Goal.STRENGTH.value))
    ladder = Ladder(_rungs(document, faults)) if document.has("rungs") else default_ladder(goal)
    often = take(lambda: document.count("sessions_a_week", 1, 3, 2), 2)
    plan = TrainingPlan(
        ladder=ladder,
        start=take(lambda: _rung_key(document, "start", ladder, START), START),
        goal=goal,
        sessions_a_week=often,
        days_between=take(lambda: document.count("days_between", 1, 6, 2), 2),
        weekdays=_weekdays(document, faults),
        times=_times(document, faults),
        grips=tuple(map(Grip, faults.some(lambda: document.several("grips", GRIPS, _GRIPS)))),
        grip_weeks=take(lambda: document.count("grip_weeks", 2, 4, 4), 4),
        grip_by_weekday=take(lambda: document.truth("grip_by_weekday", False), False),
        grips_opened_by=take(lambda: document.line("grips_opened_by"), ""),
        plateau_weeks=take(lambda: document.count("plateau_weeks", 1, 12, 6), 6),
        test_weeks=take(lambda: document.count("test_weeks", 3, 12) if document.has("test_weeks") else None, None),
        equipment=frozenset(faults.some(lambda: document.several("equipment", EQUIPMENT, EQUIPMENT))),
        shoulder_history=take(lambda: document.truth("shoulder_history", False), False),
        elbow_history=take(lambda: document.truth("elbow_history", False), False),
        high_blood_pressure=take(lambda: document.truth("high_blood_pressure", False), False),
        blood_pressure_cleared_by=take(lambda: document.line("blood_pressure_cleared_by"), ""),
        shoulders_set_from=take(lambda: _rung_key(document, "shoulders_set_from", ladder, SET_FROM), SET_FROM),
        group=take(lambda: document.line("group"), ""),
        acknowledged=take(lambda: document.day("acknowledged"), None),
    )
    with faults.noting():
        document.finish()
    return name, plan


_GRIPS = tuple(one.value for one in default_plan().grips)


def _name(document: PlanKeys, trainee: str | None) -> str:
    name = document.text("trainee", "the trainee's name")
    if trainee is not None and name_key(name) != name_key(trainee):
        raise document.fault("trainee", f"{name!r} is another one than {trainee}, whose file this is; give {trainee!r}")
    return " ".join(name.split())


def _rung_key(document: PlanKeys, key: str, ladder: Ladder, usual: str) -> str:
    """Return the key of a rung; where it is missing the usual one, if the ladder has it."""
    keys = [rung.key for rung in ladder.rungs]
    allowed = f"the key of a rung: {', '.join(keys)}"
    return document.text(key, allowed, usual if usual in keys or not keys else None)


def _weekdays(document: PlanKeys, faults: Faults) -> tuple[int, ...]:
    days = faults.some(lambda: document.several("weekdays", WEEKDAYS))
    return tuple(WEEKDAYS.index(day) for day in days)


def _times(document: PlanKeys, faults: Faults) -> tuple[time, ...]:
    """Return times of day, "18:30"."""
    found = faults.some(lambda: tuple(document.texts("times", [], '["18:30"]')))
    for place, one in enumerate(found):
        if not TIME.fullmatch(one):
            text = f'{one!r} is not allowed; give a time of day from 00:00 to 23:59, for example "18:30"'
            faults.note(KeyFaultError(("times", place), text))
            return ()
    return tuple(map(time.fromisoformat, found))


def _rungs(document: PlanKeys, faults: Faults) -> tuple[Rung, ...]:
    tables = faults.some(lambda: tuple(document.tables("rungs", MOST_RUNGS)))
    if not tables:
        with faults.noting():
            raise document.fault("rungs", "holds none; give at least one table [[rungs]], or leave it out")
    return tuple(_sound_rung(_Said(table.said, table)) or rung_of(table, faults) for table in tables)


@dataclass(frozen=True, slots=True)
class _Said:
    """A table that is the same as another one that says the same."""

    text: str
    table: PlanKeys = field(compare=False)


@lru_cache(maxsize=512)
def _sound_rung(said: _Said) -> Rung | None:
    """Return the rung of a table, None where something in it is at fault: most rungs of a group's plans are alike."""
    faults = Faults()
    rung = rung_of(said.table, faults)
    return None if faults.found else rung
