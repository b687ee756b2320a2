"""The one error of the logbook."""

from __future__ import annotations


class LogbookError(Exception):
    """The logbook cannot do this; the message says why and what to do next."""


class OvertakenError(LogbookError):
    """What was to be written rests on a log that somebody else added to meanwhile: read it again, and judge anew."""
