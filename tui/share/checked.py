"""Every payload is held against its JSON Schema (2020-12) before it means anything; the schemas lie beside this.

Two libraries do it. The quick one decides (.05 ms for the state of a station, where the other takes 2 to 3: a coach's
screen reads 240 a second); what it does not take, the other puts into words.
"""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import Any

import jsonschema_rs
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from tui.share.topics import VERSION, Kind

MOST_BYTES = 256 * 1024
"""A longer payload is not even parsed. The largest there is, a set of 100 reps, takes 80 KiB."""
_SHOWN = 120


class RefusedError(ValueError):
    """A payload that is not what it should be; the message says what is wrong, and nothing of it was used."""


def schema_of(kind: Kind) -> str:
    """Return the identifier of a kind's schema, as events name it (`dataschema`)."""
    return f"urn:rungwise:share:{kind.value}:{VERSION}"


def parsed(payload: bytes) -> dict[str, Any]:
    """Return the object that a payload holds (RFC 8259).

    Raises
    ------
    RefusedError
        When it is too long, no JSON, or no object, or half of a letter stands in it (an unpaired surrogate, which no
        library agrees about: RFC 8259, 8.2).
    """
    if len(payload) > MOST_BYTES:
        raise RefusedError(f"it has {len(payload)} bytes, and at most {MOST_BYTES} are read")
    try:
        found = json.loads(payload.decode("utf-8"), parse_constant=_no_constant)
        if b"\\u" in payload:  # only so can half a letter be written
            json.dumps(found, ensure_ascii=False).encode("utf-8")
    except (ValueError, RecursionError) as problem:
        raise RefusedError(f"it is no JSON ({problem or 'nested too deep'})") from problem
    if not isinstance(found, dict):
        raise RefusedError("it is no JSON object")
    return found


def check(found: Any, schema: str) -> None:
    """Hold a value against a schema of this folder, by its identifier.

    Raises
    ------
    RefusedError
        With the place and the rule that does not hold.
    """
    if _decider(schema).is_valid(found):
        return
    problem = next(_validator(schema).iter_errors(found), None)
    if problem is None:  # the two read a pattern's end otherwise: a line feed behind it is refused
        raise RefusedError(f"it is not as {schema} has it")
    place = "".join(f"[{one}]" if isinstance(one, int) else f".{one}" for one in problem.absolute_path).lstrip(".")
    said = problem.message if len(problem.message) <= _SHOWN else f"{problem.message[:_SHOWN]}…"
    raise RefusedError(f"{place or 'it'}: {said}")


def schemas() -> dict[str, dict[str, Any]]:
    """Return all schemas of this version, by identifier."""
    folder = files("tui.share") / "schemas"
    found = [json.loads(one.read_text("utf-8")) for one in folder.iterdir() if one.name.endswith(".json")]
    return {one["$id"]: one for one in found}


@cache
def _decider(schema: str) -> jsonschema_rs.Validator:
    every = schemas()
    return jsonschema_rs.validator_for(every[schema], registry=jsonschema_rs.Registry(list(every.items())))


@cache
def _validator(schema: str) -> Draft202012Validator:
    every = schemas()
    registry: Registry[Any] = Registry().with_resources(
        (name, Resource.from_contents(one)) for name, one in every.items()
    )
    return Draft202012Validator(every[schema], registry=registry)


def _no_constant(name: str) -> Any:
    raise ValueError(f"{name} is no number in JSON")
