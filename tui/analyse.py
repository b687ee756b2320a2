"""`rungwise analyse`: tables of motion in, documents or a readable table out."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from analysis.motion.analysis import Analysis, analyse
from analysis.motion.mounts import Mount, Place
from analysis.motion.samples import Samples
from sensor.table import TableError, read_table
from tui.document import analysis_document


def analyse_files(
    paths: Sequence[Path], mount: Mount, *, as_json: bool, as_live: bool, place: Place | None = None
) -> int:
    """Analyse each file and print the answers in their order; `place` is where on the body the sensor sat.

    Returns
    -------
    int
        0, or 2 when a file could not be read; the others are still printed.
    """
    status = 0
    shown = len(paths) > 1 and sys.stderr.isatty()
    with click.progressbar(paths, label="analysing", file=sys.stderr, hidden=not shown) as progress:
        for path in progress:
            try:
                result = analyse_file(path, mount, as_live=as_live)
            except TableError as error:
                click.echo(f"rungwise: {error}", err=True)
                status = 2
                continue
            for line in _lines(path, mount, place, result, as_json=as_json):
                click.echo(line)
    return status


def analyse_file(path: Path, mount: Mount, *, as_live: bool = False) -> Analysis:
    """Read one table and analyse it.

    Raises
    ------
    sensor.table.TableError
        When the file cannot be read as a table of motion.
    """
    table = read_table(path)
    return analyse(Samples(table.t_s, table.force_m_s2, table.rate_rad_s), mount, live=as_live)


def _lines(path: Path, mount: Mount, place: Place | None, result: Analysis, *, as_json: bool) -> Iterator[str]:
    if as_json:
        yield json.dumps(analysis_document(result, file=str(path), mount=mount, place=place))
    else:
        from tui import format as words  # here, since documents do not need it and its imports take their time

        yield from words.analysis_lines(path.name, mount, result, place)
