"""What the logbook keeps as JSON: prescriptions, verdicts, reasons. Fields that a later version adds need a default."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any, TypeVar
from uuid import UUID

from cattrs.errors import BaseValidationError
from cattrs.preconf.json import make_converter

from analysis.logbook.errors import LogbookError
from analysis.training.verdict import RepVerdict, SetVerdict

_CONVERTER = make_converter()
_CONVERTER.register_unstructure_hook(UUID, str)
_CONVERTER.register_structure_hook(UUID, lambda text, _: UUID(text))
_T = TypeVar("_T")


def to_json(value: object) -> Any:
    """Turn a frozen dataclass (or a tuple of them) into what JSON knows."""
    return _CONVERTER.unstructure(value)


def from_json(value: Any, form: type[_T]) -> _T:
    """Turn it back.

    Raises
    ------
    LogbookError
        When the entry does not have the form.
    """
    try:
        return _CONVERTER.structure(value, form)
    except (BaseValidationError, TypeError, ValueError, KeyError) as problem:
        raise LogbookError(
            f"An entry of the logbook cannot be read as {getattr(form, '__name__', form)}: it was written by a newer "
            "Rungwise or changed by hand. Update Rungwise, or restore a copy of the logbook."
        ) from problem


@lru_cache(maxsize=4096)
def from_text(text: str, form: type[_T]) -> _T:
    """Turn the text of an entry back; what was asked for repeats from session to session, and is read once."""
    return from_json(json.loads(text), form)


def set_to_json(verdict: SetVerdict) -> Any:
    """Turn the verdict of a set into JSON without those of its reps, which are stored beside the reps."""
    return to_json(replace(verdict, reps=()))


def set_from_json(value: Any, reps: Sequence[RepVerdict]) -> SetVerdict:
    """Turn it back, with the verdicts of its reps."""
    verdict = from_json(value, SetVerdict)
    return replace(verdict, reps=reps) if reps else verdict
