"""`rungwise analyse`: tables of motion in, documents or a readable table out; many tables on all cores at once."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import click

from analysis.motion.mounts import Mount, Place

_FILES_A_PROCESS = 3
"""Fewer are done sooner here than another process has started."""

Answer = tuple[list[str], str, bool]
"""As of `tui.answer`."""


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
    answer = partial(_answer, mount=mount, as_json=as_json, as_live=as_live, place=place)
    with (
        _each(answer, paths) as answers,
        click.progressbar(answers, label="analysing", length=len(paths), file=sys.stderr, hidden=not shown) as progress,
    ):
        for lines, told, was_read in progress:
            for line in lines:
                click.echo(line)
            if told:
                click.echo(f"rungwise: {told}", err=True)
            status = status if was_read else 2
    return status


@contextmanager
def _each(answer: partial[Answer], paths: Sequence[Path]) -> Iterator[Iterator[Answer]]:
    """Answer for each path in turn, in as many processes as there are cores and files enough for."""
    processes = min(os.cpu_count() or 1, len(paths) // _FILES_A_PROCESS)
    if processes < 2:
        yield map(answer, paths)
        return
    # Spawned, the one way that every system has: a fork would copy the threads of the numeric library half.
    # Ctrl-C is for this process to see: the others end with what they have in hand.
    ignore = partial(signal.signal, signal.SIGINT, signal.SIG_IGN)
    pool = ProcessPoolExecutor(processes, mp_context=get_context("spawn"), initializer=ignore)
    try:
        yield pool.map(answer, paths)
    finally:
        pool.shutdown(cancel_futures=True)


def _answer(path: Path, **how: Any) -> Answer:
    from tui.answer import answer  # here, since a process that lets others do the work need not wait for its imports

    return answer(path, **how)
