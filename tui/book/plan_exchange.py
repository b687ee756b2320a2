"""The plans within an export: their text as it is written, and back into files without losing one that is there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Any

from analysis.logbook.entries import Trainee
from analysis.logbook.errors import LogbookError
from analysis.logbook.exchange_forms import listed
from analysis.logbook.people import name_key
from tui.book.plan_edit import difference, edited
from tui.book.plan_file import MOST_BYTES, PlanError, parse, plan_text_of
from tui.home import Home

Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class TakenPlan:
    """One plan of an export on its way into a file.

    Attributes
    ----------
    name
        Of its trainee.
    text
        To be written.
    path
        The plan's own file where there was none; where another one is there, a file beside it that no command reads.
    here
        The text that is there and stays; None where there is none.
    fault
        Why it cannot be trained by as it is; empty where it can.
    """

    name: str
    text: str
    path: Path
    here: str | None
    fault: str


def plans_of(home: Home, people: Iterable[Trainee]) -> list[dict[str, str]]:
    """Return the written plans of these people as `rungwise.export/1` has them: whose, and the text.

    Raises
    ------
    PlanError
        When one cannot be read as text; one that only cannot be trained by is there as it is.
    """
    files = ((one, home.plan(name_key(one.name))) for one in people)
    return [{"trainee": str(one.id), "text": plan_text_of(path)} for one, path in files if path.exists()]


def plans_in(home: Home, document: Any, known: Iterable[Trainee], whose: Trainee | None) -> tuple[TakenPlan, ...]:
    """Return the plans of an export that are not here yet, each with where it goes.

    Parameters
    ----------
    document
        A `rungwise.export/1`.
    known
        Who is in the logbook: their names hold.
    whose
        Whose everything is, where the document is of one person only; None: as it says.

    Raises
    ------
    LogbookError
        When a plan in it is no text, too long, or nobody's.
    """
    names = {str(one["uuid"]): str(one["name"]) for one in listed(document, "trainees", "export")}
    names |= {str(one.id): one.name for one in known}
    found = []
    for number, one in enumerate(listed(document, "plans", "export")):
        where = f"plans[{number}]"
        if not isinstance(one, Mapping) or not isinstance(one.get("text"), str) or one.get("trainee") not in names:
            raise LogbookError(f"{where}: a text, and a trainee of this file, are expected here.")
        if len(one["text"].encode()) > MOST_BYTES:
            raise LogbookError(f"{where}: is longer than {MOST_BYTES} bytes, as no plan is.")
        found.append((whose.name if whose else names[one["trainee"]], one["text"]))
    return tuple(_placed(home, found))


def _placed(home: Home, found: Iterable[tuple[str, str]]) -> Iterator[TakenPlan]:
    for name, given in found:
        path = home.plan(name_key(name))
        text, fault = _of(name, given, path)
        if not path.exists():
            yield TakenPlan(name, text, path, None, fault)
            continue
        here = path.read_text(encoding="utf-8-sig", errors="replace")
        beside = None if here == text else _beside(path, text)
        if beside is not None:
            yield TakenPlan(name, text, beside, here, fault)


def _of(name: str, text: str, path: Path) -> tuple[str, str]:
    """Return a plan's text with its trainee's name as the logbook has it, and what is wrong with it."""
    try:
        whose, _ = parse(text, str(path))
    except PlanError as error:
        return text, str(error)
    return (text if name_key(whose) == name_key(name) else edited(text, [("trainee", name)])), ""


def _beside(path: Path, text: str) -> Path | None:
    """Return a new file beside a plan; None where this text is there already from an import before."""
    for number in count(1):
        beside = path.with_suffix(f".toml.imported{'' if number == 1 else f'-{number}'}")
        if not beside.exists():
            return beside
        if beside.read_text(encoding="utf-8", errors="replace") == text:
            return None
    raise AssertionError  # the numbers do not end


def taken_lines(one: TakenPlan, *, dry_run: bool) -> Iterator[str]:
    """Yield what became of a plan: where it is, and where another one was there both, with what differs."""
    would = "would be " if dry_run else ""
    if one.here is None:
        yield f"{one.name}: plan {would}written: {one.path}"
    else:
        yield f"{one.name}: another plan is here and stays; the imported one {would}written beside it: {one.path}"
        yield from difference(one.here, one.text, one.path.name).splitlines()[2:]
    if one.fault:
        yield f"  it cannot be trained by as it is: {one.fault}"
