"""What is worth telling of a rest as time goes by: its last seconds, and its end."""

from __future__ import annotations

from collections.abc import Iterator

REST_WARNING_S = 10.0


class RestNews:
    """Takes what is left of a rest as it is now; tells each thing once a rest, whatever comes between."""

    def __init__(self) -> None:
        self._after = 0
        self._warned = self._over = False

    def of(self, left_s: float | None, after: int, next_set: str, what: str = "rest") -> Iterator[str]:
        """Yield a line when the rest is nearly over, and when it is over.

        Parameters
        ----------
        left_s
            Seconds left, negative once overdue; None while nobody rests.
        after
            A number that grows with each rest: it tells one rest from another.
        next_set
            What comes next, in words.
        what
            What it is called: a rest, or the gap within a set.
        """
        if left_s is None or (self._over and after == self._after):
            return
        if after != self._after:
            self._after, self._warned, self._over = after, False, False
        if left_s <= 0:
            self._over = True
            yield f"{what} over: {next_set}"
        elif left_s <= REST_WARNING_S and not self._warned:
            self._warned = True
            yield f"{left_s:.0f} s of {what} left"
