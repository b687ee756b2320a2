"""Reads who shares a bar, as the command line has it."""

from __future__ import annotations

from typing import Any

import click

EXAMPLE = '--turns "Mara Lindt,Jonas Reiter", or with the sensors they wear: --turns "Mara Lindt=clip-07,Jonas=clip-12"'


class TurnsType(click.ParamType[dict[str, str | None]]):
    """Names, each once, parted by commas; with `=` the sensor that each of them wears."""

    name = "turns"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> dict[str, str | None]:
        """Return the sensor of each name in their order, None where they share one."""
        if isinstance(value, dict):  # converted already
            return value
        parts = [tuple(half.strip() for half in part.split("=", 1)) for part in value.split(",") if part.strip()]
        names, sensors = [part[0] for part in parts], [part[1] for part in parts if len(part) > 1]
        if not all(names) or not all(sensors):
            self.fail(f"a name or a sensor is missing: {EXAMPLE}", param, ctx)
        if len(names) < 2:
            self.fail(f"name two people or more, parted by commas: {EXAMPLE}", param, ctx)
        if len({name.casefold() for name in names}) < len(names):
            self.fail("the same name stands twice: everybody is named once", param, ctx)
        if sensors and len(sensors) < len(names):
            self.fail(f"name the sensor of each of them, or of none: {EXAMPLE}", param, ctx)
        if len(set(sensors)) < len(sensors):
            self.fail("the same sensor stands twice: who shares one is named without it", param, ctx)
        return dict(zip(names, sensors or [None] * len(names), strict=True))


def check_turns(
    turns: dict[str, str | None] | None, *, trainee: str | None, superset: str | None, sensors: tuple[str, ...]
) -> None:
    """Refuse what does not go with several people on one bar."""
    if turns is None:
        return
    if trainee is not None:
        raise click.UsageError("--turns names everybody: leave out the one name, or leave out --turns")
    if superset is not None:
        raise click.UsageError("--superset is for one person: leave it out, or leave out --turns")
    if sensors and any(turns.values()):
        raise click.UsageError("--turns names the sensors that are worn: leave out --sensor")
