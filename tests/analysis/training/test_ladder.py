"""The ladder: its steps, its order, its cautions."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from analysis.motion.mounts import Mount
from analysis.training.blocks import ORDINARY, Step, rest_taper
from analysis.training.cautions import ANCHOR, cautions, within_cap
from analysis.training.decision import step_words
from analysis.training.exercises import PULL_UP
from analysis.training.ladder import PLATEAU_METHODS, Method, Position
from analysis.training.prescription import Goal, Grip, Tempo
from analysis.training.rungs import default_ladder
from analysis.training.sound import harder_in

LADDER = default_ladder()
PLACES = LADDER.places()


def test_rest_taper_reaches_sixty_in_week_seven() -> None:
    # common practice, no source: 3 × 15, 90 s in week 1, 5 s less each week
    steps = rest_taper(3, 15)
    assert [step.rest_s for step in steps] == [90, 85, 80, 75, 70, 65, 60]
    assert {(step.sets, step.reps) for step in steps} == {(3, 15)}


def test_the_first_ladder_in_its_order() -> None:
    # common practice, no source: rows, feet on the floor, heels raised, holds and lowerings, full pull-ups, added load
    keys = ["inverted-row", "feet-on-floor", "heels-raised", "box", "pull-up", "weighted"]
    assert [rung.key for rung in LADDER.rungs] == keys
    first = LADDER.rungs[1].prescription(0, Grip.NEUTRAL)
    assert (first.sets, first.reps, first.rest_s, first.grip) == (3, 15, 90, Grip.NEUTRAL)
    assert first.tempo.digits == "1010"
    assert first.tempo.named() == "up 1 · top 0 · down 1 · bottom 0"
    assert all(rung.exercise.mount is Mount.BODY and rung.exercise.cues for rung in LADDER.rungs)
    assert [rung.key for rung in LADDER.rungs if not rung.gate] == ["weighted"]  # the ladder ends there


def test_one_step_makes_one_thing_harder() -> None:
    for rung in LADDER.rungs:
        for lower, upper in zip(rung.steps, rung.steps[1:], strict=False):
            harder = [
                lower.rest_s > upper.rest_s,
                lower.reps < upper.reps,
                lower.tempo.down_s < upper.tempo.down_s,
                lower.tempo.top_s < upper.tempo.top_s,
            ]
            assert sum(harder) == 1
            assert [lower.rest_s < upper.rest_s, lower.reps > upper.reps, lower.sets != upper.sets] == [False] * 3


def test_every_place_is_found_again_from_what_was_prescribed() -> None:
    for place in PLACES:
        rung = LADDER.rungs[place.rung]
        assert LADDER.position(rung.key, rung.prescription(place.step)) == place
    assert LADDER.position("heels-raised", LADDER.rungs[1].prescription(0)) is None
    assert LADDER.position(None, LADDER.rungs[0].prescription(0)) is None


def test_up_a_rung_and_down_the_ladder_passes_every_place() -> None:
    for place, following in pairwise(PLACES):
        assert LADDER.above(place) == (following if following.rung == place.rung else None)
    assert LADDER.above(PLACES[-1]) is None
    assert [LADDER.below(place) for place in PLACES] == [PLACES[0], *PLACES[:-1]]


def test_the_steps_of_each_plateau_method() -> None:
    # common practice, no source: 2, 3, 4 s at the top, each from 90 to 60 s; 2, 3, 4 s down at 90 s, then the taper
    rung = LADDER.rungs[1]
    taper = [90, 85, 80, 75, 70, 65, 60]
    steps = rung.block(Method.PAUSED)
    assert [(step.tempo.top_s, step.rest_s) for step in steps] == [(top, rest) for top in (2, 3, 4) for rest in taper]
    steps = rung.block(Method.SLOW_NEGATIVE)
    assert [(step.tempo.down_s, step.rest_s) for step in steps] == [(2, 90), (3, 90), *((4, rest) for rest in taper)]
    steps = rung.block(Method.ONE_AND_A_HALF)
    assert [(step.half_pause_s, step.rest_s) for step in steps] == [(1, rest) for rest in taper]
    assert {(step.sets, step.reps) for method in PLATEAU_METHODS for step in rung.block(method)} == {(3, 10)}
    assert all(step.tempo.up_s == 1 for step in rung.block(Method.SLOW_NEGATIVE))


@pytest.mark.parametrize("method", list(Method))
def test_every_place_of_every_method_is_found_again_also_eased_loaded_and_with_more_sets(method: Method) -> None:
    for number, rung in enumerate(LADDER.rungs):
        for step in range(len(rung.block(method))):
            place = Position(number, step, method, more_sets=1, load_kg=2.5)
            assert LADDER.position(rung.key, LADDER.prescription(place, Grip.NEUTRAL), method) == place
    eased = Position(1, 3, method, fewer_reps=4)
    assert LADDER.position("feet-on-floor", LADDER.prescription(eased, Grip.NEUTRAL), method) == eased


def test_what_is_no_step_any_more_stands_at_the_hardest_step_that_is_harder_in_nothing() -> None:
    done = replace(LADDER.rungs[1].prescription(2), rest_s=78.0)
    assert LADDER.position("feet-on-floor", done) == Position(1, 2)
    assert LADDER.position("feet-on-floor", replace(done, rest_s=120.0)) == Position(1, 0)


def test_eccentric_cap_of_the_early_weeks() -> None:
    # at most 10 slow lowerings of at most 3 s (common practice, no source)
    def lowering(sets: int, reps: int, down_s: float) -> Step:
        return Step(sets, reps, Tempo(down_s=down_s, bottom_s=0, up_s=1, top_s=0), 90)

    assert within_cap(lowering(2, 5, 3))
    assert not within_cap(lowering(1, 11, 3))
    assert not within_cap(lowering(1, 1, 3.5))
    assert within_cap(Step(3, 15, ORDINARY, 60))


def test_cautions_follow_what_is_asked() -> None:
    def said(step: Step, *, early: bool = False, stepping_up: bool = False) -> str:
        told = cautions(step, early=early, stepping_up=stepping_up)
        assert told[0] == ANCHOR  # who hangs before reading on has read that
        return " ".join(told)

    plain = said(LADDER.rungs[1].steps[0])
    set_up = ("rack and straps hold", "the pull draws it into its uprights", "cannot slide or tip", "back and head")
    load = ("load is fixed", "First rep at part load")
    for word in ("Pain", "above 5", "clinician", *set_up, *load, "coach"):
        assert word.lower() in plain.lower()
    assert "Dark urine" not in plain
    assert "Dark urine" in said(LADDER.rungs[1].steps[0], early=True)
    assert "blood pressure" in said(LADDER.rungs[3].steps[0])
    assert "no clip can sense" in said(LADDER.rungs[2].steps[0], stepping_up=True)


def test_full_pull_ups_start_where_the_sensor_can_see_a_set() -> None:
    assert [step.reps for step in LADDER.rungs[4].steps] == [3, 4, 5, 6, 7, 8]
    assert LADDER.rungs[4].exercise is PULL_UP


def test_with_more_help_or_less_load_it_is_no_step_of_the_rung() -> None:
    for number, rung in enumerate(LADDER.rungs):
        asked = rung.prescription(0)
        assert LADDER.position(rung.key, replace(asked, load_kg=asked.load_kg - 2.5)) is None
        there = LADDER.position(rung.key, asked)
        assert there is not None
        assert (there.rung, there.load_kg) == (number, 0)


def test_what_a_step_asks_for_is_said_with_one_comma_between() -> None:
    step = replace(LADDER.rungs[1].steps[0], tempo=Tempo(2, 0, 1, 1), load_kg=5.0)
    assert step_words(step) == "3 × 15, 1 s at the top, 2 s down, +5 kg, with 90 s rest"
    assert step_words(LADDER.rungs[1].steps[0]) == "3 × 15 with 90 s rest"


@pytest.mark.parametrize(
    ("goal", "reps", "rest_s"), [(Goal.STRENGTH, 5, 180), (Goal.SIZE, 10, 90), (Goal.ENDURANCE, 20, 60)]
)
def test_added_load_follows_the_goal(goal: Goal, reps: int, rest_s: float) -> None:
    # 4–8 with 180–300 s, 8–15 with 90 s, 15–30 with 60 s (common practice, no source)
    before, last = default_ladder(goal).rungs[-2:]
    assert harder_in(before.steps[-1], last.steps[0]) == ()
    step = last.steps[-1]
    assert (step.reps, step.rest_s) == (reps, rest_s)
