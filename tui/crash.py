"""What is kept of a fault of the program: a file in the home folder, named on the terminal once that is whole."""

from __future__ import annotations

import faulthandler
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from importlib.metadata import version
from pathlib import Path
from typing import TextIO

import click

from tui.words.lines import print_lines

CRASHED = 70
"""Status of a fault of the program itself (EX_SOFTWARE of BSD's sysexits.h)."""


class Crash(click.ClickException):
    """A fault of the program itself; printed as one line that names the file to look at."""

    exit_code = CRASHED

    def show(self, file: object = None) -> None:
        """Print the line on stderr."""
        print_lines([f"rungwise: {self.format_message()}"], err=True)


@contextmanager
def crash_log(path: Path) -> Iterator[None]:
    """Write what nobody expected into a file, and say so on one line.

    A fault below Python (a broken library) leaves its trace there as well. Nothing is left where nothing happened.

    Parameters
    ----------
    path
        The file; what it holds stays, the newest is last.

    Raises
    ------
    Crash
        In the place of an exception that nobody turned into a clear line.
    """
    try:
        with path.open("a", encoding="utf-8") as file:
            yield from _watched(file, path)
    finally:
        if path.stat().st_size == 0:
            path.unlink()


def _watched(file: TextIO, path: Path) -> Iterator[None]:
    faulthandler.enable(file)
    try:
        yield
    except (click.ClickException, click.Abort, click.exceptions.Exit):
        raise  # told clearly already
    except Exception as error:
        _write(file, error)
        raise Crash(
            "this is a fault of the program itself. What was done until now is in the log; what happened is in "
            f"{path}: send that file along when you report it."
        ) from error
    finally:
        faulthandler.disable()


def _write(file: TextIO, error: Exception) -> None:
    file.write(f"{datetime.now().astimezone():%Y-%m-%d %H:%M:%S %z}, rungwise {version('rungwise')}\n")
    file.writelines(traceback.format_exception(error))
    file.write("\n")
