"""Writes what somebody asked for into a file that was not there before."""

from __future__ import annotations

from pathlib import Path

from tui.trouble import Trouble


def write_new(out: Path, content: bytes) -> None:
    """Write a new file, whole; a calendar takes the place of an older one."""
    try:
        with out.open("wb" if out.suffix == ".ics" and _is_calendar(out) else "xb") as file:
            file.write(content)
    except FileExistsError as error:
        raise Trouble(f"{out} is there already and left as it is: name a new one with --out") from error
    except OSError as error:
        raise Trouble(f"{out} cannot be written ({error.strerror}): name another place with --out") from error


def _is_calendar(out: Path) -> bool:
    try:
        with out.open("rb") as file:
            return file.read(15) == b"BEGIN:VCALENDAR"
    except OSError:
        return False
