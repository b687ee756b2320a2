"""What `rungwise analyse` answers for one table of motion: a document, or lines to read."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from analysis.motion.analysis import Analysis, analyse
from analysis.motion.gyro import follows_gravity
from analysis.motion.mounts import Mount, Place
from analysis.motion.parameters import DEFAULTS
from analysis.motion.samples import Samples
from sensor.table import TableError, read_motion
from tui.document import analysis_document

Answer = tuple[list[str], str, bool]
"""The lines to print, what is to be told on stderr (empty: nothing), and whether the file could be read."""

_NO_GYRO = (
    "the gyro does not turn gravity as it was seen to turn, or an axis of it stands still, so it was left out; "
    "give deg/s on all three axes, or the force alone"
)


def answer(path: Path, *, mount: Mount, as_json: bool, as_live: bool, place: Place | None) -> Answer:
    """Read and analyse one table; options as of `analyse_files`."""
    try:
        samples, told = samples_of(path)
    except TableError as error:
        return [], str(error), False
    result = analyse(samples, mount, live=as_live)
    return list(_lines(path, mount, place, result, as_json=as_json)), told, True


def analyse_file(path: Path, mount: Mount, *, as_live: bool = False) -> Analysis:
    """Read one table and analyse it, without its gyro where that does not follow gravity.

    Raises
    ------
    sensor.table.TableError
        When the file cannot be read as a table of motion.
    """
    return analyse(samples_of(path)[0], mount, live=as_live)


def samples_of(path: Path) -> tuple[Samples, str]:
    """Return what a table holds, without a gyro that does not follow gravity, and what is to be told of it.

    Raises
    ------
    sensor.table.TableError
        When the file cannot be read as a table of motion.
    """
    table = read_motion(path)
    samples = Samples(table.t_s, table.force_m_s2, table.rate_rad_s)
    if follows_gravity(samples, DEFAULTS):
        return samples, ""
    return Samples(table.t_s, table.force_m_s2), f"{path}: {_NO_GYRO}"


def _lines(path: Path, mount: Mount, place: Place | None, result: Analysis, *, as_json: bool) -> Iterator[str]:
    if as_json:
        yield json.dumps(analysis_document(result, file=str(path), mount=mount, place=place))
    else:
        from tui.words import format as words  # here, since documents do not need it and its imports take their time

        yield from words.analysis_lines(path.name, mount, result, place)
