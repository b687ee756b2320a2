"""What can go wrong outside the program, as one line that says what to do next, and status 2."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import click

from tui.words.lines import print_lines


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
    except click.ClickException:
        raise  # told clearly already
    except Exception as error:
        from tui.expected import EXPECTED  # from all of the program: loaded only where something went wrong

        if isinstance(error, EXPECTED):
            raise Trouble(str(error)) from error
        raise
