"""`rungwise correct` as the tests call it."""

from __future__ import annotations

from click.testing import CliRunner, Result
from virtual_session import Gym

from tui.cli import main

COACH = ("--by", "Ada", "--role", "coach")


def rungwise(gym: Gym, *words: str, keys: str = "") -> Result:
    return CliRunner().invoke(main, ["--home", str(gym.home.folder), *words], input=keys)


def correct(gym: Gym, *words: str) -> Result:
    (session,) = gym.logbook.sessions_called("")
    return rungwise(gym, "correct", str(session)[:8], *words)
