"""Whether a described sensor sends what was described; told early, since nothing would come of it otherwise."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from sensor.assembly import Assembler, Block, Item
from sensor.info import STANDARD_GRAVITY_M_S2
from sensor.own.loading import DescriptionError

_TRIED = 100
"""So many notifications of which none can be read are none of the layout."""
_LOOKED_S = 5.0
_FORCE_G = (0.25, 4.0)
"""Where the middle size of a specific force lies: gravity alone gives 1 g, whatever the posture."""


class Fit:
    """Looks at what comes first of a sensor, until it is content."""

    def __init__(self) -> None:
        self._sizes_g: list[float] = []
        self._begin_s: float | None = None
        self._content = False

    def look(self, assembler: Assembler, items: Iterable[Item]) -> None:
        """Take note of what an assembler gave; of a sensor that was not described nothing is asked.

        Raises
        ------
        DescriptionError
            When the description must be wrong.
        """
        if self._content or not assembler.described:
            return
        if assembler.rejected >= _TRIED and not assembler.tally.received:
            raise DescriptionError(
                f"None of the first {_TRIED} notifications fits the description of the sensor. "
                "Correct header, sample, trailer and samples under [motion] in it."
            )
        for item in items:
            if isinstance(item, Block):
                self._weigh(item)

    def _weigh(self, block: Block) -> None:
        self._sizes_g += (np.linalg.norm(block.force_m_s2, axis=1) / STANDARD_GRAVITY_M_S2).tolist()
        self._begin_s = block.t_s[0] if self._begin_s is None else self._begin_s
        if block.t_s[-1] - self._begin_s < _LOOKED_S:
            return
        self._content = True
        size_g = float(np.median(self._sizes_g))
        if not _FORCE_G[0] <= size_g <= _FORCE_G[1]:
            raise DescriptionError(
                f"By its description the sensor reads {size_g:.3g} g as a rule, where rest gives 1 g. "
                "Correct unit, scale and zero under [force] in it; the force must have gravity in it."
            )
