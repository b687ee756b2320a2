"""How a parameter says what it is."""

from __future__ import annotations

from dataclasses import field
from typing import Any


def parameter(default: float, *, unit: str, larger: str, source: str = "set here") -> Any:
    """Return a dataclass field that carries its own documentation (`unit`, `larger`, `source`)."""
    return field(default=default, metadata={"unit": unit, "larger": larger, "source": source})
