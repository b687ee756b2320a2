"""What can go wrong outside the program, as one line that says what to do next, and status 2."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import click

from analysis.logbook.errors import LogbookError
from analysis.training.test_day import TrialError
from analysis.training.told import ToldError
from sensor.own.loading import DescriptionError
from sensor.radio_errors import RadioError
from sensor.recording import RecordingError
from sensor.table import TableError
from sensor.virtual.spawn import VirtualSensorError
from tui.book.cells import SheetError
from tui.book.plan_file import PlanError
from tui.book.plan_lists import EditError
from tui.home import HomeError
from tui.lines import print_lines
from tui.stored import StoredEventError

EXPECTED = (
    DescriptionError,
    EditError,
    HomeError,
    LogbookError,
    PlanError,
    RadioError,
    RecordingError,
    SheetError,
    StoredEventError,
    TableError,
    ToldError,
    TrialError,
    VirtualSensorError,
)
"""What can go wrong outside the program; the message of each says what to do next."""


class Trouble(click.ClickException):
    """Something outside the program; printed as one line."""

    exit_code = 2

    def show(self, file: object = None) -> None:
        """Print the line on stderr."""
        print_lines([f"rungwise: {self.format_message()}"], err=True)


@contextmanager
def clear_errors() -> Iterator[None]:
    """Turn what is expected to go wrong into one line and status 2."""
    try:
        yield
    except EXPECTED as error:
        raise Trouble(str(error)) from error
