"""What went wrong beside a session and was not waited for: each once, and no more than anybody reads."""

from __future__ import annotations

from collections.abc import Iterator

MOST = 8


class Faults:
    """Sentences, in the order in which they were noted first."""

    def __init__(self) -> None:
        self._noted: dict[str, None] = {}

    def note(self, text: str) -> None:
        """Note one more; nothing once there are enough: texts from outside fill no memory."""
        if len(self._noted) < MOST:
            self._noted[text] = None

    def __iter__(self) -> Iterator[str]:
        return iter(tuple(self._noted))
