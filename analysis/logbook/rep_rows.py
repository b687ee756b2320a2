"""Rows of reps to values and back: read by their place, their verdicts when somebody looks."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import fields
from functools import cache, lru_cache
from typing import Any

from sqlalchemy import Row, Text, cast

from analysis.logbook.codec import from_json, to_json
from analysis.logbook.schema import rep
from analysis.logbook.unread import Unread
from analysis.motion.results import Rep, RepKind, TimingSd, Untold, Why
from analysis.training.verdict import RepVerdict

_PLAIN = tuple(field.name for field in fields(Rep) if field.name not in {"kind", "timing_sd", "untold"})
_SD = tuple(field.name for field in fields(TimingSd))
_UNTOLD = tuple(field.name for field in fields(Untold))


def _sd_column(name: str) -> str:
    """Name the column of a boundary's one-sigma: `start_s` → `start_sd_s`."""
    return f"{name.removesuffix('_s')}_sd_s"


def rep_values(one: Rep, verdict: RepVerdict, ordinal: int) -> dict[str, Any]:
    """Return the columns of a rep, without its set."""
    return {
        "ordinal": ordinal,
        "kind": one.kind.value,
        "verdict": to_json(verdict),
        **{name: getattr(one, name) for name in _PLAIN},
        **{_sd_column(name): getattr(one.timing_sd, name) for name in _SD},
        **{f"{name}_why": getattr(one.untold, name) for name in _UNTOLD},
    }


_REP_BESIDE = 3
"""So many columns of a rep stand before its own: its set, its verdict, its kind."""
_SD_AT = _REP_BESIDE + len(_PLAIN)
_UNTOLD_AT = _SD_AT + len(_SD)


def rep_columns() -> tuple[Any, ...]:
    """Return the columns of a rep, its set's number first; its verdict as text.

    They are read by their place: years hold a hundred thousand reps, and by name each of them is looked up anew.
    """
    own = (*_PLAIN, *map(_sd_column, _SD), *(f"{name}_why" for name in _UNTOLD))
    return rep.c.set_id, cast(rep.c.verdict, Text).label("verdict"), rep.c.kind, *(rep.c[name] for name in own)


def rep_of(row: Row[Any]) -> Rep:
    """Return the rep of a row of `rep_columns`."""
    parts = {
        **dict(zip(_PLAIN, row[_REP_BESIDE:_SD_AT], strict=True)),
        "kind": _kind(row.kind),
        "timing_sd": TimingSd(*row[_SD_AT:_UNTOLD_AT]),
        "untold": _untold(*row[_UNTOLD_AT:]),
    }
    return Rep(**parts)


_kind = lru_cache(RepKind)


@lru_cache
def _untold(*why: str | None) -> Untold:
    return Untold(*(None if one is None else Why(one) for one in why))


def rep_verdicts(reps: Sequence[Row[Any]]) -> Sequence[RepVerdict]:
    """Return the verdicts of reps, read from their text when somebody looks: trends over years do not."""

    @cache
    def read(_: int) -> tuple[RepVerdict, ...]:
        return tuple(from_json(json.loads(row.verdict), RepVerdict) for row in reps)

    return Unread(len(reps), read, 0) if reps else ()
