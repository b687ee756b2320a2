"""Lines as they are printed: in a terminal broken between words, elsewhere whole."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from shutil import get_terminal_size
from textwrap import wrap

import click

HANGING = 2
"""What does not fit goes on so many columns further in."""


def print_lines(lines: Iterable[str], *, err: bool = False) -> None:
    """Print lines."""
    width = terminal_width(err=err)
    for line in lines:
        click.echo("\n".join(folded(line, width)), err=err)


def terminal_width(*, err: bool = False) -> int | None:
    """Return how many columns there are; None where nobody looks."""
    looked_at = (sys.stderr if err else sys.stdout).isatty()
    return get_terminal_size().columns if looked_at else None


def folded(line: str, width: int | None) -> Iterator[str]:
    """Yield a line in parts that fit, each but the first hanging; whole without a width.

    Parameters
    ----------
    line
        Text, which may hold several lines.
    width
        Columns.
    """
    for one in line.split("\n"):
        indent = one[: len(one) - len(one.lstrip())]
        hanging = f"{indent}{' ' * HANGING}"
        if width is None or len(one) <= width or width < 2 * len(hanging):
            yield one
        else:
            yield from wrap(
                one.lstrip(),
                width,
                initial_indent=indent,
                subsequent_indent=hanging,
                break_long_words=False,
                break_on_hyphens=False,
            )
