"""`rungwise forget`: all that is kept of a trainee here goes for good, and what cannot be reached is named."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from uuid import UUID

import click

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.logbook.forgetting import Forgotten
from analysis.logbook.people import name_key
from tui.book.show import person_called
from tui.home import Home
from tui.share.answered import forget_targets
from tui.trouble import Trouble, clear_errors

BEYOND = (
    "What cannot be removed from here: copies of the logbook (log --backup, the disk's own), exports, reports, tables "
    "and calendars that were made before; other logbooks that hold it by import; what a broker keeps for a coach who "
    "was away.",
    "A coach's logbook that hears this one (train --share) removes it as soon as it hears of this.",
)


def forget(folder: Path, name: str, *, sure: bool) -> None:
    """Remove everything of a trainee.

    Parameters
    ----------
    folder
        Home.
    name
        Whose.
    sure
        Whether not to ask.
    """
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        person = person_called(logbook, name)
        if not sure:
            _ask(logbook, person)
        found = logbook.forget(person.id)
        files = remove_files(home, found)
    for line in _lines(found, files):
        click.echo(line)


def remove_files(home: Home, found: Forgotten) -> int:
    """Remove what is kept of a forgotten person beside the logbook; return how many recordings that were.

    The recording of a session that stays for others goes too: it holds the person's motion.
    """
    recordings = [path for one in (*found.sessions, *found.shared) for path in home.recordings_of(str(one))]
    for path in recordings:
        _remove(path, *(path.with_name(f"{path.name}{end}") for end in ("-wal", "-shm", "-journal")))
    if found.whole:
        _forget_words(home, found.trainee.name)
        plan = home.plan(name_key(found.trainee.name))
        # a dot stands in no file name that is made of a person's name, so these are this one's alone
        _remove(plan, *plan.parent.glob(f"{plan.stem.translate(_LITERAL)}.*"))
    return len(recordings)


def _forget_words(home: Home, name: str) -> None:
    """Remove the targets of a coach that hold still."""
    try:
        forget_targets(home.answered, name)
    except OSError as problem:
        raise Trouble(f"{home.answered} cannot be written ({problem.strerror}): remove it by hand") from problem


_LITERAL = str.maketrans({one: f"[{one}]" for one in "*?["})


def _remove(*paths: Path) -> None:
    for path in paths:
        try:
            path.unlink(missing_ok=True)
        except OSError as problem:
            raise Trouble(
                f"{path} cannot be removed ({problem.strerror}): remove it by hand. The logbook holds nothing of it"
            ) from problem


def _ask(logbook: Logbook, person: Trainee) -> None:
    sessions = len(logbook.sessions(person.id))
    click.echo(
        f"Everything of {person.name} goes for good: {_number(sessions, 'session')} with their recordings, what was "
        "said and proposed, the plan. There is no way back."
    )
    typed = click.prompt("Type the name to go on", default="", show_default=False)
    if name_key(typed) != name_key(person.name):
        raise Trouble("that is another name: nothing was removed")


def _lines(found: Forgotten, files: int) -> Iterator[str]:
    gone = len(found.sessions)
    yield (
        f"{found.trainee.name} is forgotten: {_number(gone, 'session')} and {_number(files, 'recording')} are removed, "
        "and what was said, proposed and planned."
    )
    if found.shared:
        yield (
            f"{_number(len(found.shared), 'session')} ({_ids(found.shared)}) stay without a name, for the sets of "
            "others in them; the recordings are gone, so these sets can be looked up and not replayed."
        )
    if found.elsewhere:
        yield (
            f"Sets were taken out of {_number(len(found.elsewhere), 'session')} of others ({_ids(found.elsewhere)}); "
            "the recordings of those stay, since the others' sets are replayed from them."
        )
    if not found.wiped:
        yield "Another Rungwise has the logbook open: the last remains leave the file when that is closed."
    yield "Notes that others wrote in their own words stay as they are."
    yield from BEYOND
    yield "A number is kept that says nothing by itself, so that nothing of it comes back by a later event."


def _number(count: int, name: str) -> str:
    return f"{count} {name}" if count == 1 else f"{count} {name}s"


def _ids(sessions: Iterable[UUID]) -> str:
    return ", ".join(str(one)[:8] for one in sessions)
