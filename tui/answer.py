"""What `rungwise analyse` answers for one table of motion: a document, or lines to read."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from analysis.motion.analysis import Analysis, analyse
from analysis.motion.mounts import Mount, Place
from analysis.motion.samples import Samples
from sensor.table import TableError, read_motion
from tui.document import analysis_document

Answer = tuple[list[str], str]
"""The lines to print, and what kept the file from being read (empty: nothing did)."""


def answer(path: Path, *, mount: Mount, as_json: bool, as_live: bool, place: Place | None) -> Answer:
    """Read and analyse one table; options as of `analyse_files`."""
    try:
        result = analyse_file(path, mount, as_live=as_live)
    except TableError as error:
        return [], str(error)
    return list(_lines(path, mount, place, result, as_json=as_json)), ""


def analyse_file(path: Path, mount: Mount, *, as_live: bool = False) -> Analysis:
    """Read one table and analyse it.

    Raises
    ------
    sensor.table.TableError
        When the file cannot be read as a table of motion.
    """
    table = read_motion(path)
    return analyse(Samples(table.t_s, table.force_m_s2, table.rate_rad_s), mount, live=as_live)


def _lines(path: Path, mount: Mount, place: Place | None, result: Analysis, *, as_json: bool) -> Iterator[str]:
    if as_json:
        yield json.dumps(analysis_document(result, file=str(path), mount=mount, place=place))
    else:
        from tui import format as words  # here, since documents do not need it and its imports take their time

        yield from words.analysis_lines(path.name, mount, result, place)
