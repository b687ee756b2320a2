"""A session measured by the virtual sensor, from its packets to the page that a coach mails."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from pathlib import Path

from click.testing import CliRunner
from virtual_session import Gym

from sensor.virtual.motion import TraineeFeed
from sensor.virtual.script import hold_script
from tests.tui.report.read_back import read_page
from tui.book.report import report_of
from tui.cli import main
from tui.session.plans import DEMO_TRAINEE, demo_plan

LIMIT_BYTES = 300_000
DAY = date(2026, 3, 2)


def test_what_the_sensor_measured_is_on_the_page(done: Gym, tmp_path: Path) -> None:
    (record,) = done.records()
    out = tmp_path / "session.html"
    words = ["--home", str(done.home.folder), "report", str(record.session_id)[:8], "--out", str(out)]
    assert CliRunner().invoke(main, words).exit_code == 0
    assert out.stat().st_size <= LIMIT_BYTES
    page = read_page(out.read_text(encoding="utf-8"))
    assert page.column("done", "tempo") == [f"{one.verdict.count} of 5" for one in record.sets]
    assert page.column("verdict", "tempo") == [one.verdict.outcome.value for one in record.sets]
    first = record.sets[0]
    downs = [phase for rep in first.verdict.reps for phase in rep.phases if phase.name == "down"]
    cells = page.column("down, s (asked 2)", "range, cm")
    told = [re.match(r"([\d.]+) ± ([\d.]+)", cell) for cell in cells]
    for phase, found in zip(downs, told, strict=True):
        assert found is not None
        assert [float(part) for part in found.groups()] == [round(phase.actual_s or 0, 2), round(phase.sd_s or 0, 2)]


def test_the_trainees_page_holds_that_session(done: Gym) -> None:
    page = read_page(report_of(done.home, done.logbook, DEMO_TRAINEE, datetime(2026, 3, 3, 12, tzinfo=UTC)))
    assert page.column("rung", "opens the next one") == ["demo-hold", "demo-heels", "demo-floor"]
    assert page.column("done", "hills") == ["5, 5, 5"]


def test_holds_are_told_in_seconds(gym: Gym) -> None:
    session = gym.opening(lambda _: demo_plan(gym.logbook, DAY, holds=True)).open_session("", gym.book)
    session.begin()
    gym.run(session, TraineeFeed(hold_script(), seed=3))
    session.end()
    (record,) = gym.records()
    page = read_page(report_of(gym.home, gym.logbook, str(record.session_id), datetime(2026, 3, 3, 12, tzinfo=UTC)))
    assert all(re.fullmatch(r"\d+ s", one) for one in page.column("done", "tempo"))
    assert set(page.column("tempo", "done")) == {"–"}
    assert "no recording" not in page.text
