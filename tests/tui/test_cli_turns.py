"""Who shares the bar, as the command line has it: read, or refused with what to type."""

from __future__ import annotations

from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from tui.cli import main
from tui.commands.turns import TurnsType


def test_names_in_their_order_each_with_the_sensor_they_wear() -> None:
    read = TurnsType().convert
    assert list(read("Mara Lindt, Jonas Reiter", None, None).items()) == [("Mara Lindt", None), ("Jonas Reiter", None)]
    worn = read("Mara Lindt=clip-07,Jonas Reiter = clip-12", None, None)
    assert worn == {"Mara Lindt": "clip-07", "Jonas Reiter": "clip-12"}


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("Mara Lindt", "two people or more"),
        ("", "two people or more"),
        ("Mara Lindt,mara lindt", "same name"),
        ("Mara=clip-07,Jonas", "of each of them, or of none"),
        ("Mara=clip-07,Jonas=clip-07", "same sensor"),
        ("Mara=,Jonas=clip-12", "missing"),
        ("=clip-07,Jonas=clip-12", "missing"),
    ],
)
def test_what_cannot_be_meant_is_refused_with_an_example_or_what_to_change(typed: str, why: str) -> None:
    with pytest.raises(click.BadParameter, match=why):
        TurnsType().convert(typed, None, None)


@pytest.mark.parametrize(
    ("more", "why"),
    [
        (("Mara Lindt",), "leave out the one name"),
        (("--superset", "press-up"), "for one person"),
        (("--sensor", "clip-99"), "leave out --sensor"),
    ],
)
def test_what_does_not_go_with_turns_is_refused(tmp_path: Path, more: tuple[str, ...], why: str) -> None:
    turns = ("--turns", "Mara=clip-07,Jonas=clip-12")
    result = CliRunner().invoke(main, ["--home", str(tmp_path), "train", *more, *turns])
    assert result.exit_code == 2
    assert why in " ".join(result.output.split())
