"""The ladder: its steps, its order, its cautions."""

from __future__ import annotations

from analysis.motion.mounts import Mount
from analysis.training.cautions import cautions, within_cap
from analysis.training.exercises import PULL_UP
from analysis.training.ladder import ORDINARY, Position, Step, default_ladder, rest_taper
from analysis.training.prescription import Grip, Tempo

LADDER = default_ladder()
PLACES = [Position(r, s) for r, rung in enumerate(LADDER.rungs) for s in range(len(rung.steps))]


def test_rest_taper_reaches_sixty_in_week_seven() -> None:
    # common practice, no source: 3 × 15, 90 s in week 1, 5 s less each week
    steps = rest_taper(3, 15)
    assert [step.rest_s for step in steps] == [90, 85, 80, 75, 70, 65, 60]
    assert {(step.sets, step.reps) for step in steps} == {(3, 15)}


def test_the_first_ladder_in_its_order() -> None:
    # common practice, no source: feet on the floor, heels raised, slow lowering, full pull-ups
    assert [rung.key for rung in LADDER.rungs] == ["feet-on-floor", "heels-raised", "slow-lowering", "pull-up"]
    first = LADDER.rungs[0].prescription(0, Grip.NEUTRAL)
    assert (first.sets, first.reps, first.rest_s, first.grip) == (3, 15, 90, Grip.NEUTRAL)
    assert first.tempo.digits == "1010"
    assert first.tempo.named() == "up 1 · top 0 · down 1 · bottom 0"
    assert all(rung.exercise.mount is Mount.BODY and rung.exercise.cues and rung.gate for rung in LADDER.rungs)


def test_one_step_makes_one_thing_harder() -> None:
    for rung in LADDER.rungs:
        for lower, upper in zip(rung.steps, rung.steps[1:], strict=False):
            harder = [lower.rest_s > upper.rest_s, lower.reps < upper.reps, lower.tempo.down_s < upper.tempo.down_s]
            assert sum(harder) == 1
            assert [lower.rest_s < upper.rest_s, lower.reps > upper.reps, lower.sets != upper.sets] == [False] * 3


def test_every_place_is_found_again_from_what_was_prescribed() -> None:
    for place in PLACES:
        rung = LADDER.rungs[place.rung]
        assert LADDER.position(rung.key, rung.prescription(place.step)) == place
    assert LADDER.position("heels-raised", LADDER.rungs[0].prescription(0)) is None
    assert LADDER.position(None, LADDER.rungs[0].prescription(0)) is None


def test_up_and_down_the_ladder_passes_every_place() -> None:
    assert [LADDER.above(place) for place in PLACES] == [*PLACES[1:], None]
    assert [LADDER.below(place) for place in PLACES] == [PLACES[0], *PLACES[:-1]]


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
        return " ".join(cautions(step, early=early, stepping_up=stepping_up))

    plain = said(LADDER.rungs[0].steps[0])
    for word in ("Pain", "above 5", "clinician", "bar, rack and straps", "coach"):
        assert word.lower() in plain.lower()
    assert "Dark urine" not in plain
    assert "Dark urine" in said(LADDER.rungs[0].steps[0], early=True)
    assert "blood pressure" in said(LADDER.rungs[2].steps[0])
    assert "no clip can sense" in said(LADDER.rungs[1].steps[0], stepping_up=True)


def test_full_pull_ups_start_where_the_sensor_can_see_a_set() -> None:
    assert [step.reps for step in LADDER.rungs[3].steps] == [3, 4, 5, 6, 7, 8]
    assert LADDER.rungs[3].exercise is PULL_UP
