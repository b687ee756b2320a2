"""The state of a running analysis as plain data, to be kept and gone on with later.

A saved state is one JSON text (UTF-8): `format`, `mount`, `live`, `parameters_sha` and `state`. In `state`

    null, true, 1, 1.5, "a"                    stand for themselves; numbers keep every digit (Infinity as in JSON5)
    {"list": […]}, {"tuple": […]}              are sequences
    {"array": [dtype, shape, base64]}          is an array, its numbers little-endian in C order
    {"choice": [class, name]}                  is a member of an enumeration
    {"value": [class, {field: …}]}             is a frozen or private record of the motion core
    {"part": [class, {attribute: …}]}          is a step with a state of its own; it is filled into a new one

What follows from mount and parameters is not kept. Nothing in a state is run: classes are looked up by name among the
records and enumerations of the motion core, and nowhere else.
"""

from __future__ import annotations

import base64
import json
import sys
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any

import numpy as np

from analysis.motion import parameters as parameter_module
from analysis.motion.mounts import Mount

FORMAT = "rungwise.motion-state/1"
_ROOM = "analysis.motion."


class StateError(ValueError):
    """A saved state that cannot be gone on with; the message says what to do next."""


def packed(part: object, *, mount: Mount, live: bool, parameters_sha: str) -> bytes:
    """Return the state of `part` and of the steps within it."""
    head = {"format": FORMAT, "mount": mount.value, "live": live, "parameters_sha": parameters_sha}
    return json.dumps({**head, "state": _encode(part)}, separators=(",", ":")).encode()


def opened(data: bytes, parameters_sha: str) -> tuple[Mount, bool, Any]:
    """Return mount, whether it is live, and the packed state.

    Raises
    ------
    StateError
        When `data` is no state, one of another format, or one made with other parameters.
    """
    try:
        document = json.loads(data)
        form = document["format"]
    except (ValueError, TypeError, KeyError):
        raise StateError("this is no saved state of an analysis; analyse the recording from its beginning") from None
    if form != FORMAT:
        raise StateError(f"a state of format {form!r} cannot be read here, only {FORMAT!r}; analyse the recording anew")
    try:
        sha, mount, live, state = (document[key] for key in ("parameters_sha", "mount", "live", "state"))
        mount = Mount(mount)
    except (ValueError, KeyError) as error:
        raise StateError(f"this saved state is damaged ({error}); analyse the recording from its beginning") from None
    if sha != parameters_sha:
        raise StateError(
            f"this state was saved with the parameters {sha}, and these are {parameters_sha}; go on with the same "
            "ones, or analyse the recording from its beginning"
        )
    return mount, bool(live), state


def fill(part: object, state: Any) -> None:
    """Put a packed state into `part`, newly made with the same mount and parameters.

    Raises
    ------
    StateError
        When the state does not fit.
    """
    try:
        _fill(part, state)
    except (ValueError, TypeError, KeyError, AttributeError, IndexError) as error:
        raise StateError(
            f"this saved state does not fit this version of the program ({error}); "
            "analyse the recording from its beginning"
        ) from error


def _own(part: object) -> dict[str, Any]:
    """Attributes of a step that do not follow from mount and parameters."""
    return {name: value for name, value in vars(part).items() if not _is_given(value)}


def _is_given(value: object) -> bool:
    return isinstance(value, Mount) or type(value).__module__ == parameter_module.__name__


def _is_part(value: object) -> bool:
    kind = type(value)
    return kind.__module__.startswith(_ROOM) and not is_dataclass(value) and not isinstance(value, Enum)


def _encode(value: Any) -> Any:
    match value:
        case Enum():
            return {"choice": [_name(type(value)), value.name]}
        case np.generic():
            return value.item()
        case None | bool() | int() | float() | str():
            return value
        case list() | tuple():
            return {type(value).__name__: [_encode(item) for item in value]}
        case np.ndarray():
            plain = np.ascontiguousarray(value, dtype=value.dtype.newbyteorder("<"))
            return {"array": [plain.dtype.str, list(value.shape), base64.b64encode(plain.tobytes()).decode()]}
        case _ if _is_part(value):
            return {"part": [_name(type(value)), {name: _encode(own) for name, own in _own(value).items()}]}
        case _ if is_dataclass(value) and type(value).__module__.startswith(_ROOM):
            record = {field.name: _encode(getattr(value, field.name)) for field in fields(value)}
            return {"value": [_name(type(value)), record]}
    raise TypeError(f"{type(value).__name__} has no place in a saved state")


def _decode(value: Any, fresh: object = None) -> Any:
    """Return what `value` stands for; `fresh` is what a new analysis has in its place."""
    if not isinstance(value, dict):
        return value
    ((tag, content),) = value.items()
    match tag:
        case "list":
            return [_decode(item) for item in content]
        case "tuple":
            return tuple(_decode(item) for item in content)
        case "array":
            return _array(*content)
        case "choice":
            return _class(content[0], Enum)[content[1]]
        case "value":
            return _record(*content)
        case "part":
            _fill(fresh, value)
            return fresh
    raise ValueError(f"unknown entry {tag!r}")


def _fill(part: object, value: Any) -> None:
    kind, attributes = value["part"]
    if not _is_part(part) or kind != _name(type(part)) or set(attributes) != set(_own(part)):
        raise ValueError(f"{kind} is made differently")
    for name, own in attributes.items():
        setattr(part, name, _decode(own, getattr(part, name)))


def _array(dtype: str, shape: list[int], text: str) -> np.ndarray:
    return np.frombuffer(base64.b64decode(text), dtype=np.dtype(dtype)).reshape(shape).astype(np.dtype(dtype[1:]))


def _record(kind: str, values: dict[str, Any]) -> object:
    cls = _class(kind, object)
    if not isinstance(cls, type) or not is_dataclass(cls) or set(values) != {field.name for field in fields(cls)}:
        raise ValueError(f"{kind} is made differently")
    made = object.__new__(cls)
    for name, value in values.items():
        object.__setattr__(made, name, _decode(value))
    return made


def _name(kind: type) -> str:
    return f"{kind.__module__.removeprefix(_ROOM)}.{kind.__qualname__}"


def _class(name: str, base: type) -> Any:
    module, _, own = name.rpartition(".")
    found = getattr(sys.modules.get(_ROOM + module), own, None)
    if not isinstance(found, type) or not issubclass(found, base) or _name(found) != name:
        raise ValueError(f"there is no {name}")
    return found
