"""The questions before the first set and after the last, answered by keys."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount
from analysis.training.ladder import Position
from analysis.training.plan import default_plan
from analysis.training.setup import SetUp, Support
from analysis.training.statements import Pain, Signs, Statement
from tests.analysis.logbook.keeping import keep
from tests.analysis.training.builders import make_session, utc_us
from tui.asking import ask_after, ask_before, asked_set_up
from tui.home import Home
from tui.plans import Plan, todays_plan
from tui.set_up_words import ask_set_up
from tui.train import refusal
from tui.trouble import Trouble

MONDAY = date(2026, 3, 2)
NAME = "Ines Falk"


def answering(keys: str, ask: Callable[[], object]) -> str:
    """Ask with these lines typed; return what was shown."""

    @click.command()
    def command() -> None:
        ask()

    result = CliRunner().invoke(command, input=keys)
    assert result.exit_code == 0, result.output
    return result.output


@pytest.fixture
def home(tmp_path: Path) -> Home:
    return Home(tmp_path)


def trained(book: Logbook, day: date = MONDAY) -> None:
    ines = book.trainee(NAME) or book.add_trainee(NAME)
    keep(book, make_session(day, default_plan().ladder, Position(1, 0)), ines.id)


def before(home: Home, book: Logbook, keys: str, day: date) -> tuple[str, tuple[Statement, ...]]:
    held: list[Statement] = []
    shown = answering(keys, lambda: held.extend(ask_before(home, book, NAME, day, utc_us(day, 17))))
    return shown, tuple(held)


def test_a_newcomer_is_asked_about_pain_alone_and_nothing_is_in_the_log_yet(home: Home) -> None:
    with Logbook.open(home.logbook) as book:
        shown, held = before(home, book, "\n", MONDAY)
        assert held == (Pain(said_utc_us=utc_us(MONDAY, 17), day=MONDAY, now=0),)
        assert book.trainees() == ()
        assert "Worst" not in shown
        assert "Sharp" not in shown
        assert todays_plan(home, book, NAME, MONDAY, said=held).rung == "feet-on-floor"


def test_a_newcomer_with_pain_of_six_gets_no_session_and_the_reason(home: Home) -> None:
    with Logbook.open(home.logbook) as book:
        _, held = before(home, book, "6\nleft elbow\nn\n", MONDAY)
        with pytest.raises(Trouble, match="No session: pain 6 of 10 on Mon 2 March 2026"):
            todays_plan(home, book, NAME, MONDAY, said=held)


def test_the_bar_is_refused_on_one_line_and_a_command_names_what_to_type(home: Home) -> None:
    with Logbook.open(home.logbook) as book:
        before(home, book, "6\nleft elbow\nn\n", MONDAY)
        with pytest.raises(Trouble, match='rungwise tell "Ines Falk" --pain N'):
            todays_plan(home, book, NAME, MONDAY)
        refused = refusal(lambda who: todays_plan(home, book, who, MONDAY), NAME)
    assert refused.startswith("No session: pain 6 of 10")
    assert "\n" not in refused


def test_who_breaks_off_between_two_questions_has_said_the_first(home: Home) -> None:
    thursday = MONDAY + timedelta(days=3)
    with Logbook.open(home.logbook) as book:
        trained(book)

        @click.command()
        def command() -> None:
            ask_before(home, book, NAME, thursday, utc_us(thursday, 17))

        done = CliRunner().invoke(command, input="7\n\n\nn\n")  # and no answer about the warning signs
        assert done.exit_code == 1
        assert "dark urine" in done.output
        with pytest.raises(Trouble, match="pain 7 of 10"):
            todays_plan(home, book, NAME, thursday)


def test_what_stops_a_newcomer_is_not_forgotten_at_the_next_try(home: Home) -> None:
    # the issue: pain above 5 reopens only when it is 3 or less and settled overnight
    with Logbook.open(home.logbook) as book:
        before(home, book, "6\nleft elbow\nn\n", MONDAY)
        _, held = before(home, book, "0\n", MONDAY)
        with pytest.raises(Trouble, match="pain 6 of 10"):
            todays_plan(home, book, NAME, MONDAY, said=held)
        before(home, book, "2\n\nn\n", MONDAY + timedelta(days=1))
        assert todays_plan(home, book, NAME, MONDAY + timedelta(days=1)).rung == "feet-on-floor"


def test_in_the_first_weeks_the_worst_since_and_the_warning_signs_are_asked_too_and_kept_at_once(home: Home) -> None:
    thursday = MONDAY + timedelta(days=3)
    with Logbook.open(home.logbook) as book:
        trained(book)
        shown, held = before(home, book, "1\nx\nshoulder\ny\ny\n", thursday)
        assert held == ()
        assert "dark urine" in shown
        at = utc_us(thursday, 17)
        ines = book.trainee(NAME)
        assert ines is not None
        assert set(book.statements(ines.id)) == {
            Pain(said_utc_us=at, day=thursday, now=1, worst=10, sharp=True, where="shoulder"),
            Signs(said_utc_us=at, day=thursday, any=True),
        }
        with pytest.raises(Trouble, match="Seek medical care now"):
            todays_plan(home, book, NAME, thursday)


def test_what_cannot_be_is_asked_again(home: Home) -> None:
    with Logbook.open(home.logbook) as book:
        shown, _ = before(home, book, "eleven\n11\n-1\n0\n", MONDAY)
    assert shown.count("give 0 to 10, or x for 10") == 3


def test_after_the_last_set_exertion_and_pain_are_kept_with_what_was_held(home: Home) -> None:
    with Logbook.open(home.logbook) as book:
        held = (Pain(said_utc_us=utc_us(MONDAY, 17), day=MONDAY, now=0),)
        trained(book)
        ines = book.trainee(NAME)
        assert ines is not None

        def ask() -> None:
            ask_after(book, NAME, held, since_us=utc_us(MONDAY, 17), day=MONDAY, now_us=utc_us(MONDAY, 20))

        answering("7\n3\n", ask)
        assert book.sessions(ines.id)[0].rpe == 7
        assert [one.now for one in book.statements(ines.id) if isinstance(one, Pain)] == [0, 3]


def test_without_a_session_nothing_is_asked_and_no_answer_is_none(home: Home) -> None:
    with Logbook.open(home.logbook) as book:
        later = utc_us(MONDAY + timedelta(days=1))
        assert answering("", lambda: ask_after(book, NAME, (), since_us=later, day=MONDAY, now_us=later)) == ""
        trained(book)
        answering("\n\n", lambda: ask_after(book, NAME, (), since_us=0, day=MONDAY, now_us=later))
        ines = book.trainee(NAME)
        assert ines is not None
        assert book.sessions(ines.id)[0].rpe is None


def plan_after(home: Home, book: Logbook, keys: str, rung: str = "feet-on-floor") -> Plan:
    """Today's plan with the set-up that was answered."""
    plan = todays_plan(home, book, NAME, MONDAY + timedelta(days=4))
    assert plan.rung == rung
    found: list[Plan] = []
    answering(keys, lambda: found.append(asked_set_up(book, plan, chosen=None)(plan)))
    return found[0]


def test_the_set_up_is_asked_once_and_then_confirmed_by_one_key(home: Home) -> None:
    with Logbook.open(home.logbook) as book:
        trained(book)
        first = plan_after(home, book, "105\n40\n\n\n")
        assert first.set_up == SetUp(bar_cm=105, heels_cm=40, support=Support.RACK)
        again = replace(
            make_session(MONDAY + timedelta(days=1), default_plan().ladder, Position(1, 0)), set_up=first.set_up
        )
        ines = book.trainee(NAME)
        assert ines is not None
        keep(book, again, ines.id)
        assert plan_after(home, book, "\n").set_up == first.set_up
        changed = plan_after(home, book, "n\n100\n\n\n\n")
        assert changed.set_up == SetUp(bar_cm=100, heels_cm=40, support=Support.RACK)


def test_a_support_that_is_pulled_on_changes_the_mount_of_a_sensor_that_is_not_worn(home: Home) -> None:
    with Logbook.open(home.logbook) as book:
        worn = plan_after(home, book, "\n\nrings\n\n")
        assert worn.mount is Mount.BODY
        on_bar = replace(worn, mount=Mount.FIXED_BAR)
        found: list[Plan] = []
        answering("\n\nrings\n\n", lambda: found.append(asked_set_up(book, on_bar, chosen=None)(on_bar)))
        assert (found[0].mount, found[0].prescription.exercise.mount) == (Mount.SUSPENSION, Mount.SUSPENSION)
        answering("\n\nrings\n\n", lambda: found.append(asked_set_up(book, on_bar, chosen=Mount.FIXED_BAR)(on_bar)))
        assert found[1].mount is Mount.FIXED_BAR


def test_a_scale_under_the_feet_gives_the_share_on_the_hands_and_no_weight_is_kept(home: Home) -> None:
    """1 − 22/70 = .686 (statics)."""
    with Logbook.open(home.logbook) as book:
        trained(book)
        weighed = plan_after(home, book, "105\n40\n\n22\n70\n")
        assert weighed.set_up == SetUp(bar_cm=105, heels_cm=40, support=Support.RACK, hand_share=0.686)
        ines = book.trainee(NAME)
        assert ines is not None
        done = make_session(MONDAY + timedelta(days=1), default_plan().ladder, Position(1, 0))
        keep(book, replace(done, set_up=weighed.set_up), ines.id)
        assert plan_after(home, book, "\n").set_up == weighed.set_up
        more = plan_after(home, book, "n\n\n\n\n80\n70\n90\n")  # 70 kg cannot be: the scale shows 80
        assert more.set_up.hand_share == 0.111


def test_where_the_feet_do_not_help_no_scale_is_asked_for() -> None:
    shown = answering("\n", lambda: ask_set_up(SetUp(), frozenset({"high-bar"})))
    assert "Scale" not in shown
