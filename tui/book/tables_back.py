"""The tables of `rungwise export --format csv` read back, as far as tables carry a log.

They hold sessions as corrected, and no parts of a verdict. So what comes back is marked as imported, which opens no
gate by itself, and its corrections, which are in the figures already, are not taken in again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.logbook.people import name_key
from analysis.logbook.whole import Entry
from analysis.training.records import SessionRecord
from analysis.training.statements import Statement
from tui.book.cells import Line, SheetError, raise_faults, read_lines
from tui.book.columns import TABLES
from tui.book.table_rows import Cells, rep_from, said_from, session_from, set_from

MOST_BYTES = 64_000_000
NEEDED = ("sessions.csv", "sets.csv", "reps.csv")
LATER = {
    "sessions.csv": frozenset({"hand_share"}),
    "sets.csv": frozenset({"clean", "trainee_id", "recorded_in"}),
    "reps.csv": frozenset({"trainee_id"}),
    "statements.csv": frozenset({"gone", "mount", "asked_mount"}),
}
"""Columns that older exports do not have."""

Owner = Callable[[str, str], Trainee]


@dataclass(frozen=True, slots=True)
class TablesBack:
    """What was in the tables and not in the logbook.

    Attributes
    ----------
    entries
        Sessions and statements to be written.
    known
        Sessions that are here already.
    left
        What the tables hold and do not carry whole, in words, each with how many.
    """

    entries: tuple[Entry, ...]
    known: int
    left: tuple[str, ...]

    @property
    def sessions(self) -> int:
        """How many sessions are new."""
        return sum(one.record is not None for one in self.entries)

    @property
    def statements(self) -> int:
        """How many statements are new."""
        return sum(len(one.said) for one in self.entries)


def tables_back(logbook: Logbook, folder: Path, whose: Trainee | None) -> TablesBack:
    """Read the tables of an export.

    Parameters
    ----------
    logbook
        Where they are to go.
    folder
        Of the tables.
    whose
        Whose everything is, where the tables are of one person only; None: as they say.

    Raises
    ------
    SheetError
        With all that is wrong in them, by file, line and column; or where they do not tell whose a session is.
    """
    lines = {name: _lines(folder, name) for name in TABLES}
    editions = {one.id: logbook.edition(one.id) for one in logbook.trainees()}
    owner = _owners(logbook, lines, whose)
    sets = _by_session(lines["sets.csv"])
    reps = _by_session(lines["reps.csv"])
    seen: set[UUID] = set()
    records: list[tuple[Trainee, SessionRecord]] = []
    known = 0
    for line in lines["sessions.csv"]:
        cells = Cells(line)
        session_id, person = cells.uuid("session_id"), _person(cells, owner)
        if session_id is None or person is None:
            continue
        if session_id in seen:
            line.fault("session_id", "is there twice: two people shared it, and only the JSON export takes that in")
            continue
        seen.add(session_id)
        if logbook.sessions_called(str(session_id)):
            known += 1
            continue
        own = [(one, [rep_from(rep) for rep in reps[session_id] if _is_of(rep, one)]) for one in sets[session_id]]
        records.append((person, session_from(cells, session_id, person, [set_from(*pair, cells) for pair in own])))
    said, unread = _said(logbook, lines["statements.csv"], owner)
    raise_faults([line for table in lines.values() for line in table])
    entries = [
        *(Entry(person, record, (), editions.get(person.id, 0)) for person, record in records),
        *(Entry(person, None, tuple(those), editions.get(person.id, 0)) for person, those in said),
    ]
    left = [
        (len(lines["corrections.csv"]), "corrections, which are in the figures already"),
        (unread, "reference reps, which no table holds, and where a sensor sits, which earlier tables do not hold"),
    ]
    return TablesBack(tuple(entries), known, tuple(f"{number} {words}" for number, words in left if number))


def _lines(folder: Path, name: str) -> list[Line]:
    path = folder / name
    if not path.exists():
        if name in NEEDED:
            raise SheetError(f"{folder} holds no {name}: give the folder that rungwise export --format csv wrote")
        return []
    columns = [one.name for one in TABLES[name]]
    return read_lines(path, columns, [one for one in columns if one not in LATER.get(name, ())], most_bytes=MOST_BYTES)


def _by_session(lines: Sequence[Line]) -> dict[UUID, list[Cells]]:
    found: dict[UUID, list[Cells]] = defaultdict(list)
    for line in lines:
        cells = Cells(line)
        session_id = cells.uuid("session_id")
        if session_id is not None:
            found[session_id].append(cells)
    return found


def _is_of(rep: Cells, done: Cells) -> bool:
    return all(rep.text(name) == done.text(name) for name in ("set_kind", "set"))


def _owners(logbook: Logbook, lines: dict[str, list[Line]], whose: Trainee | None) -> Owner:
    """Return what tells who a trainee of the tables is here.

    Raises
    ------
    SheetError
        When `whose` is named and the tables are of several people.
    """
    people = {line.text("trainee_id") for name in ("sessions.csv", "statements.csv") for line in lines[name]}
    if whose is not None and len(people) != 1:
        raise SheetError(f"The tables are of {len(people)} people: leave out --trainee, or export one of them alone")
    known = {str(one.id): one for one in logbook.trainees()}
    names = {name_key(one.name) for one in known.values()}

    def owner(uuid: str, name: str) -> Trainee:
        if whose is not None:
            return whose
        if uuid not in known and name_key(name) in names:
            raise SheetError(
                f"{name} is here already as somebody else, with a log of their own. To add the sessions to it, export "
                f'{name} alone and import that with --trainee "{name}".'
            )
        return known.setdefault(uuid, Trainee(UUID(uuid), name))

    return owner


def _person(cells: Cells, owner: Owner) -> Trainee | None:
    uuid, name = cells.uuid("trainee_id"), cells.text("trainee")
    if not name:
        cells.line.fault("trainee", "a name is needed here")
    return owner(str(uuid), name) if uuid is not None and name else None


def _said(
    logbook: Logbook, lines: Sequence[Line], owner: Owner
) -> tuple[Iterator[tuple[Trainee, list[Statement]]], int]:
    """Return by trainee what was said and is not here, and how many statements tables do not carry."""
    people: dict[UUID, Trainee] = {}
    new: dict[UUID, list[Statement]] = defaultdict(list)
    here: dict[UUID, tuple[Statement, ...]] = {}
    unread = 0
    for line in lines:
        cells = Cells(line)
        person = _person(cells, owner)
        if person is None:
            continue
        kind = cells.text("kind")
        if kind == "reference" or (kind == "worn" and not cells.text("mount")):  # earlier tables have no such column
            unread += 1
            continue
        found = said_from(cells)
        if person.id not in here:
            here[person.id] = logbook.statements(person.id) if logbook.trainee(person.name) == person else ()
            people[person.id] = person
        if found is not None and found not in here[person.id] and found not in new[person.id]:
            new[person.id].append(found)
    return ((people[uuid], those) for uuid, those in new.items() if those), unread
