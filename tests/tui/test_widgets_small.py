"""Bands, lines, lists and words: the small parts of the screens."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.style import Style
from screen_feed import GOOD, PRESCRIPTION, Knobs, rep_verdict, set_verdict, short_hold, snapshot
from textual.theme import Theme

from analysis.motion.events import Phase
from analysis.training.verdict import Outcome, PhaseVerdict
from sensor.source import LinkState
from tui.palette import DARK, LIGHT, first_theme, ink_styles
from tui.session.control import PlayState
from tui.session.messages import Link, Stage
from tui.widgets import labels
from tui.widgets.block_digits import draw_block
from tui.widgets.canvas import Ink, fitted, plain, size, spread
from tui.widgets.key_line import draw_keys
from tui.widgets.lines import draw_lines
from tui.widgets.phase_band import Progress, draw_band
from tui.widgets.plan_panel import advice, start_words
from tui.widgets.timeline import TimelineView, cell_of, draw_timeline


def band(done_s: float, target_s: float | None, width: int = 21, height: int = 3) -> tuple[str, ...]:
    return plain(draw_band(Progress(done_s, target_s, "words"), width, height))


KEYS = (("q", "back"), ("?", "help"), ("space", "play"), ("← →", "phase"), ("m", "mark"))


def test_a_part_of_a_line_that_has_no_room_is_left_out_whole() -> None:
    text = "lowering too quick by 1.1 s · pelvis 13° · 0.35 m/s up"
    for width, shown in ((len(text), text), (len(text) - 1, "lowering too quick by 1.1 s · pelvis 13° …")):
        assert labels.whole_parts(text, width) == shown
    assert labels.whole_parts(text, 41) == "lowering too quick by 1.1 s …"
    assert labels.whole_parts("one part alone", 5) == "one part alone …"


def test_a_line_of_keys_comes_closer_before_one_is_left_out_and_none_is_cut() -> None:
    """Each key takes a blank, itself, a blank and its words; 2 blanks or 1 after it, none after the last."""
    whole = " q back   ? help   space play   ← → phase   m mark"
    close = " q back  ? help  space play  ← → phase  m mark"
    short = " q back  ? all keys  space play  ← → phase"
    for width, line in ((len(whole), whole), (len(whole) - 1, close), (len(close), close), (len(close) - 1, short)):
        assert plain(draw_keys(KEYS, width)) == (line.ljust(width),)
    assert plain(draw_keys(KEYS, len(short) - 1)) == (" q back  ? all keys  space play".ljust(len(short) - 1),)
    assert plain(draw_keys((), 5)) == ("     ",)


def test_the_band_changes_its_shape_when_the_target_is_met() -> None:
    before, after = band(0.99, 1.0), band(1.0, 1.0)
    assert before[0].strip() == "▐"
    assert before[1].startswith("▄▄▄")
    assert after[0] == after[1] == "█" * 21


def test_once_it_is_met_the_band_says_what_to_do_now_in_letters_of_three_rows() -> None:
    before, after = (plain(draw_band(Progress(done_s, 1.0, "words", "DOWN"), 43, 4)) for done_s in (0.9, 1.0))
    assert not any("█" in row for row in before)
    for row, letters in zip(after, plain(draw_block("DOWN", 43, 3)), strict=False):
        assert row == "█" * (41 - len(letters)) + "  " + letters


def test_where_the_word_has_no_room_the_band_stays_whole() -> None:
    for width, height in ((20, 4), (43, 3)):
        rows = plain(draw_band(Progress(1.0, 1.0, "words", "DOWN"), width, height))
        assert rows[0] == "█" * width


@given(target_s=st.floats(0.1, 10.0), share=st.floats(0.0, 0.999))
def test_the_band_fills_in_proportion(target_s: float, share: float) -> None:
    filled = band(share * target_s, target_s, width=101)[1].count("▄")
    assert filled == pytest.approx(100 * share, abs=1)


@pytest.mark.parametrize("target_s", [None, 0.0])
def test_without_a_target_there_is_a_number_and_no_band(target_s: float | None) -> None:
    rows = band(1.4, target_s)
    assert not "".join(rows[:-1]).strip()
    assert rows[-1] == "words"


def test_a_band_of_one_row_is_all_band() -> None:
    assert plain(draw_band(Progress(2.0, 1.0), 5, 1)) == ("█████",)


@given(st.lists(st.tuples(st.text(max_size=12), st.sampled_from(list(Ink))), max_size=5), st.integers(0, 60))
def test_a_fitted_row_is_never_longer_than_its_place(row: list[tuple[str, Ink]], width: int) -> None:
    assert size(fitted(tuple(row), width)) <= width


def test_the_right_end_gives_way_before_the_left_one_is_lost() -> None:
    left, right = (("who and what", Ink.TEXT),), (("the sensor in many words", Ink.TEXT),)
    assert "".join(text for text, _ in spread(left, right, 20)) == "who and what" + " " * 8
    assert "".join(text for text, _ in spread(left, right, 40)).endswith("many words")


def test_lines_wrap_at_words() -> None:
    assert plain(draw_lines((("one two three four", Ink.TEXT),), 12)) == (" one two", "   three", "   four")


def test_the_time_line_shows_sets_rests_gaps_and_the_place() -> None:
    knobs = Knobs()
    rows = plain(draw_timeline(TimelineView(knobs.spans, knobs.state), 84))
    # 420 s on 84 cells: five seconds a cell.
    assert rows[0][4:13] == "▄" * 9
    assert rows[0][13:31] == "╌" * 18
    assert rows[0][40:46] == " " * 6
    assert rows[1].index("▲") == 34
    assert rows[2].startswith("2:50 of 7:00 · set 2")
    assert rows[2].endswith("playing at 1×")


@given(st.floats(-10, 1000), st.floats(0, 500), st.integers(1, 100))
def test_a_moment_is_always_on_the_line(at_s: float, duration_s: float, width: int) -> None:
    assert 0 <= cell_of(at_s, duration_s, width) < width


def test_an_empty_recording_has_a_time_line_too() -> None:
    rows = plain(draw_timeline(TimelineView((), PlayState(0.0, 0.0, playing=False)), 40))
    assert rows[2].startswith("0:00 of 0:00")
    assert rows[2].endswith("paused at 1×")


@pytest.mark.parametrize(
    ("left_s", "digits", "word"),
    [(90.0, "90", "REST"), (10.4, "11", "REST"), (10.0, "10", "SOON"), (0.2, "1", "SOON"), (0.0, "+0", "READY")],
)
def test_a_rest_counts_whole_seconds_begun(left_s: float, digits: str, word: str) -> None:
    assert labels.rest_digits(left_s) == digits
    assert labels.rest_word(left_s) == word


def test_an_overdue_rest_counts_up() -> None:
    assert labels.rest_digits(-12.5) == "+12"


def test_a_lost_sensor_is_said_before_any_cue() -> None:
    lost = replace(snapshot(Stage.SET, cue="slower down"), link=Link(state=LinkState.LOST))
    assert labels.cue_words(lost) == "SENSOR LOST"
    assert labels.cue_words(replace(lost, link=GOOD)) == "SLOWER DOWN"


@pytest.mark.parametrize(("keeps_s", "word"), [(60.0, "GO ON"), (0.0, "")])
def test_whoever_loses_the_sensor_in_a_set_goes_on_where_it_keeps_what_it_sees(keeps_s: float, word: str) -> None:
    lost = Link(state=LinkState.SEARCHING, sensor="clip-07", keeps_s=keeps_s)
    shown = snapshot(Stage.SET, link=lost, phase=Phase.AWAY)
    assert labels.phase_word(shown) == word
    assert labels.phase_word(replace(shown, count=10)) == ""  # nothing to go on with
    assert labels.cue_words(shown) == "SENSOR LOST"
    assert labels.link_words(lost) == "sensor lost, looking again"


def test_before_a_set_a_lost_sensor_is_another_thing_than_one_never_met() -> None:
    never = snapshot(Stage.SEARCHING)
    lost = replace(never, link=Link(state=LinkState.SEARCHING, sensor="clip-07", keeps_s=60.0))
    assert [start_words(one) for one in (never, lost)] == ["NO SENSOR YET", "SENSOR LOST"]
    assert advice(lost)[0][0] == "Sensor lost: go on; it keeps the last 60 s, fetched once it is back."
    assert "Switch the sensor on" in advice(never)[0][0]


def test_every_state_of_the_link_has_its_own_words() -> None:
    assert len({labels.link_words(Link(state=state)) for state in LinkState}) == len(LinkState)
    assert labels.link_words(Link(state=LinkState.CONNECTED, loss=0.031)) == "sensor 3% lost"


def test_the_set_says_what_of_it_was_missed() -> None:
    verdict = set_verdict(rest_s=91.0)
    assert labels.set_line(2, verdict) == "set 2: 10 of 10 · tempo missed · 41 of 40 s under tension · rest 91 of 90 s"
    met = replace(verdict, outcome=Outcome.MET, tempo_outcome=Outcome.MET, tut_s=None, rest_before_s=None)
    assert labels.set_line(1, met) == "set 1: 10 of 10 · met"
    both = replace(verdict, reps_outcome=Outcome.MISSED)
    assert labels.verdict_words(both) == "reps and tempo missed"


@pytest.mark.parametrize(
    ("name", "direction", "words"),
    [("top", -1, "short top"), ("down", -1, "fast down"), ("up", 1, "slow up"), ("half", -1, "short half")],
)
def test_a_missed_phase_is_said_in_two_words(name: str, direction: int, words: str) -> None:
    assert labels.phase_off(PhaseVerdict(name, 1.0, 0.1, 2.0, Outcome.MISSED, direction)) == words


def test_only_a_missed_rep_has_a_word() -> None:
    missed = rep_verdict(short_hold(0))
    assert labels.rep_mark(missed) == "short top"
    assert labels.rep_mark(replace(missed, outcome=Outcome.UNSURE)) == ""


def test_phases_are_named_beside_every_figure() -> None:
    assert labels.target_words(PRESCRIPTION) == "10 reps · up 1 · top 1 · down 2 · bottom 0 s · rest 90 s"
    assert "half-way 1 s" in labels.target_words(replace(PRESCRIPTION, half_pause_s=1.0))


def test_the_load_is_named_as_added_or_as_help() -> None:
    assert labels.load_words(5.0) == "5 kg added"
    assert labels.load_words(-12.5) == "12.5 kg help"
    assert labels.load_words(0.0) == ""


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.1 defines it (https://www.w3.org/TR/WCAG21/#dfn-relative-luminance)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(style: Style) -> float:
    """Contrast ratio as WCAG 2.1 defines it; reversed it is the same."""
    pair = sorted(luminance(colour.name) for colour in (style.color, style.bgcolor) if colour)
    return (pair[1] + 0.05) / (pair[0] + 0.05)


def test_the_contrast_is_the_one_of_wcag() -> None:
    """Black on white is 21:1; #777777 on white fails with 4.48:1 (W3C, technique G18)."""
    assert contrast(Style(color="#000000", bgcolor="#ffffff")) == pytest.approx(21.0)
    assert contrast(Style(color="#777777", bgcolor="#ffffff")) == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("theme", [DARK, LIGHT], ids=lambda theme: theme.name)
@pytest.mark.parametrize("ink", list(Ink))
def test_every_ink_has_the_contrast_that_wcag_asks_of_text(theme: Theme, ink: Ink) -> None:
    """WCAG 2.1, success criterion 1.4.3: at least 4.5:1."""
    style = ink_styles(theme)[ink]
    assert not style.dim
    assert contrast(style) >= 4.5


@pytest.mark.parametrize(("colours", "name"), [("0;15", LIGHT.name), ("15;0", DARK.name), ("", DARK.name)])
def test_the_first_theme_follows_the_terminal(colours: str, name: str) -> None:
    assert first_theme({"COLORFGBG": colours}) == name
