"""The logbook: one file, kept for years.

Opened as a context manager; every method is one transaction, so what was recorded before a crash is there after it.
"""

from __future__ import annotations

from analysis.logbook.errors import LogbookError
from analysis.logbook.notes import Notes
from analysis.logbook.people import People
from analysis.logbook.sessions import Sessions

__all__ = ["Logbook", "LogbookError"]


class Logbook(People, Sessions, Notes):
    """What was done, by whom, and what was proposed. Make one with :meth:`open`."""
