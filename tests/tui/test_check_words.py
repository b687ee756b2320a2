"""How the check reads: figures with their sigma, by how much a rep was off, which reps a filter lets through."""

from __future__ import annotations

from dataclasses import replace

import pytest
from check_feed import added, rep, view

from analysis.motion.results import RepKind
from analysis.training.superset import SetKind
from analysis.training.verdict import FormVerdict, Outcome, PhaseVerdict, RepVerdict
from tui.screens.fixing import fixes_of
from tui.views.check_view import Filter
from tui.widgets.canvas import plain
from tui.widgets.check_heads import draw_set_head
from tui.words.check_words import check_lines, figure, named, nothing_words, why


@pytest.mark.parametrize(
    ("phase", "text"),
    [
        (PhaseVerdict("up", 1.04, 0.031, 1.0, Outcome.MET), "1.0 ±.03"),
        (PhaseVerdict("down", 0.91, 0.024, 2.0, Outcome.MISSED, -1), "0.9 ±.02 ×"),
        (PhaseVerdict("top", 12.3, 1.25, 2.0, Outcome.UNSURE), "12.3 ±1.25 ?"),
        (PhaseVerdict("bottom", 0.2, 0.05, None, Outcome.NOT_MEASURABLE), "0.2 ±.05"),
        (PhaseVerdict("top", 1.0, None, 1.0, Outcome.NOT_MEASURABLE), "1.0"),
        (PhaseVerdict("up", None, None, 1.0, Outcome.NOT_MEASURABLE), "–"),
        (None, "–"),
    ],
)
def test_a_figure_has_its_sigma_and_says_without_colour_whether_it_is_off(
    phase: PhaseVerdict | None, text: str
) -> None:
    assert figure(phase) == text


def test_what_was_off_is_said_with_its_sigma() -> None:
    # 1 − .4 = .6 s too short, by hand
    assert list(why(rep(5, top_s=0.4, outcome=Outcome.MISSED))) == ["top hold too short by 0.6 ± 0.05 s"]
    assert list(why(rep(4, top_s=0.7, sd_s=0.1, outcome=Outcome.UNSURE))) == ["top hold unsure: 0.3 ± 0.10 s under"]
    assert list(why(rep(1))) == []
    assert list(why(added(6))) == ["phases not measured"]


def test_of_a_one_and_a_half_rep_the_half_way_pause_is_told() -> None:
    half = PhaseVerdict("half", 0.8, 0.05, 1.0, Outcome.MET, 0, 0.3)
    twice = replace(rep(1), kind=RepKind.ONE_AND_HALF, phases=(*rep(1).phases, half))
    assert list(why(twice)) == ["one and a half, half-way 0.8 ±.05"]


def test_of_many_corrections_of_a_set_the_last_one_is_told_and_how_many_there_are() -> None:
    told = view()
    many = replace(told.sets[1], corrected=("first", "second", "last"))
    text = "\n".join(plain(draw_set_head(told, many, "all", 80)))
    assert "corrected last" in text
    assert "2 corrections of this set before that: h" in text
    assert "first" not in text


def test_a_partial_rep_and_a_short_one_are_told_apart() -> None:
    partial = replace(rep(1), kind=RepKind.PARTIAL, phases=(), verdict=RepVerdict((), Outcome.MISSED))
    assert list(why(partial)) == ["partial, not counted"]
    form = (FormVerdict("range", Outcome.MISSED, -1, 0.3, 0.03, 0.5, 0.075, "m"),)
    short = replace(rep(1), phases=(), verdict=RepVerdict((), Outcome.MISSED, form))
    assert list(why(short)) == ["short of the reference rep"]


def test_a_filter_lets_through_what_it_names() -> None:
    first, second = view().sets
    assert [one.number for one in first.shown(Filter.MISSED)] == [5, 6]
    assert [one.number for one in first.shown(Filter.UNSURE)] == [4]
    assert [one.number for one in second.shown(Filter.UNSURE)] == [6]  # nothing of it can be told
    assert [one.number for one in second.shown(Filter.CORRECTED)] == [6]
    assert named(first.reps[0], "half") is None


def test_a_set_without_reps_says_what_it_is_and_what_to_do() -> None:
    first = view().sets[0]
    hold = replace(first, reps=(), verdict=replace(first.verdict, held=True))
    said = {
        nothing_words(one, Filter.ALL)
        for one in (
            replace(first, reps=()),
            hold,
            replace(first, reps=(), kind=SetKind.WARM_UP),
            replace(first, reps=(), kind=SetKind.PARTNER),
        )
    }
    assert len(said) == 4
    sure = replace(hold, verdict=replace(hold.verdict, tut_s=14.7, tut_sd_s=2.5, target_tut_s=10.0))
    told = "Held 14.7 ± 2.5 s (one sigma), at least 10 s asked for; a hold has no reps."
    assert nothing_words(sure, Filter.ALL) == told
    acts = [one.act for one in fixes_of(view(), hold, None)]
    assert "count" not in acts
    assert "load" in acts


def test_of_the_last_rep_and_of_a_warm_up_nothing_is_offered_that_cannot_be() -> None:
    first = view().sets[0]
    assert "merge" in [one.act for one in fixes_of(view(), first, first.reps[-2])]
    assert "merge" not in [one.act for one in fixes_of(view(), first, first.reps[-1])]
    warm_up = [one.act for one in fixes_of(view(), replace(first, reps=(), kind=SetKind.WARM_UP), None)]
    assert warm_up == ["relabel", "give", "drop_set", "load", ""]
    assert [one.act for one in fixes_of(replace(view(), sets=(), unconfirmed=True), None, None)] == ["confirm", ""]


def test_each_key_of_what_can_be_corrected_is_there_once() -> None:
    first = view().sets[0]
    keys = [one.key for one in fixes_of(replace(view(), unconfirmed=True), first, first.reps[0])]
    assert len(keys) == len(set(keys)) == 14
    assert not set(keys) & {"q", "j", "k"}


def test_the_text_has_a_row_a_rep_and_the_corrections() -> None:
    lines = list(check_lines(view()))
    assert lines[0] == "Mara Lindt, 2026-03-02: missed"
    rows = [line for line in lines if line[2:5].strip().isdigit() and line[5] == " "]
    assert len(rows) == 12
    assert rows[4].endswith("missed: top hold too short by 0.6 ± 0.05 s; shoulders rise first, met; 0.41 ± 0.02 m/s up")
    assert any("aaaa1111" in line and "measured: no rep" in line for line in lines)
    assert "± one sigma" in lines[-1]
