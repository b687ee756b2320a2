"""What somebody sees who holds at the top: the demonstration's session of holds, packet by packet."""

from __future__ import annotations

from itertools import groupby, pairwise
from pathlib import Path

from virtual_session import Gym, HandClock, Notebook

from analysis.logbook.book import Logbook
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.script import HELD_S, hold_script
from tui.home import Home, day_of
from tui.session.messages import Snapshot, Stage
from tui.session.plans import demo_plan
from tui.widgets.hold_labels import held_s, perhaps_held_s
from tui.widgets.labels import ALL_DONE, phase_word, to_go_words


def seen(folder: Path) -> list[Snapshot]:
    with Logbook.open(Home(folder).logbook) as book:
        gym = Gym(Home(folder), book, HandClock(), Notebook())
        plan = demo_plan(book, day_of(gym.clock.utc_us()), holds=True)
        session = gym.opening(lambda _: plan).open_session("", gym.book)
        session.begin()
        gym.run(session, TraineeFeed(hold_script(), seed=3))
        session.end()
    return gym.book.snapshots


def test_each_hold_is_counted_as_it_lasts_and_its_rest_runs_from_letting_go(tmp_path: Path) -> None:
    shown = seen(tmp_path)
    stages = [key for key, _ in groupby((one.stage, one.set_number) for one in shown)]
    sets = [(Stage.SET, 1), (Stage.REST, 2), (Stage.SET, 2), (Stage.REST, 3), (Stage.SET, 3), (Stage.DONE, 3)]
    assert stages == [(Stage.SEARCHING, 1), (Stage.READY, 1), *sets]
    for number in (1, 2, 3):
        of_set = [one for one in shown if (one.stage, one.set_number) == (Stage.SET, number)]
        assert {phase_word(one) for one in of_set} <= {"HOLD", ""}
        counted = [perhaps_held_s(one) or held_s(one) for one in of_set]
        assert all(after - before < 1.0 for before, after in pairwise(counted))
        assert HELD_S - 1 < max(counted) < HELD_S + 5  # it ends with the lowering of 2 s, told 2.6 s late
        assert to_go_words(of_set[-1]) == ALL_DONE
    rests = [one.rest_left_s or 0.0 for one in shown if one.stage is Stage.REST]
    falls = [after - before for before, after in pairwise(rests)]
    assert sum(fall > 0 for fall in falls) == 1  # from one rest to the next
