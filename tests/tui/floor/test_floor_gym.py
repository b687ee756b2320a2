"""Letters in, states and answers out; and what comes from somebody who means no good."""

from __future__ import annotations

import json
import time
from uuid import UUID

import pytest
from floor_feed import EPOCH, HILL, LINK, NOON_US, NOW, book_of, gone, here, letter, now, record, rest, shown
from hypothesis import given
from hypothesis import strategies as st

from tui.floor.gym import MOST_STATIONS, Gym
from tui.floor.needs import NOTHING, Need
from tui.floor.seen import now_of
from tui.floor.station import LIVE_BURST, OLD_S, SILENT_S, Station
from tui.floor.view import tile_view
from tui.floor.words import AGAIN_S, MOST_KEPT, Word, Words
from tui.share.envelope import from_bytes
from tui.share.topics import Kind, parse
from tui.widgets.floor_tile import draw_tile

COACH = UUID(int=0xC0)


def gym(*letters: tuple[str, bytes], at_s: float = 0.0) -> Gym:
    made = Gym(COACH)
    for one in letters:
        made.take(*one, at_s, NOON_US)
    return made


def only(made: Gym, at_s: float = 0.0) -> Station:
    ((station, _),) = made.look(at_s, NOON_US)
    return station


def test_of_several_states_only_the_newest_is_read() -> None:
    made = gym(here("rack-3"), (now("rack-3")[0], b"nonsense"), now("rack-3", count=1), now("rack-3", count=5))
    station = only(made)
    assert station.now is not None
    assert (station.now.count, station.unreadable) == (5, 0)


def test_the_rest_clock_runs_on_and_a_silent_station_is_told() -> None:
    made = gym(here("rack-3"), rest("rack-3", 45.0))
    station = only(made)
    assert station.rest_left_s(5.0) == 40.0
    assert made.look(SILENT_S - 0.1, NOON_US)[0][1].need is Need.NONE
    assert made.look(SILENT_S, NOON_US)[0][1].words == "no word for 0:12"
    assert station.rest_left_s(60.0) == -15.0  # overdue
    made.take(*gone("rack-3"), 61.0, NOON_US)
    assert made.look(61.0, NOON_US)[0][1].words == "station gone"


def test_what_the_broker_kept_of_another_day_needs_nobody() -> None:
    made = gym(gone("rack-3"), now("rack-3"))
    assert made.look(0.0, NOON_US)[0][1].need is Need.LINK
    assert made.look(0.0, NOON_US + round(OLD_S * 1e6) + 1)[0][1].need is Need.AWAY


def test_records_become_changes_and_the_mark_is_told() -> None:
    made = gym(
        here("rack-3", last=3), record("rack-3", 1), record("rack-3", 3), record("rack-3", 2, subject=str(COACH))
    )
    (source,) = made.unknown()
    assert source == book_of("rack-3")
    assert not list(made.marks(0.0))
    made.begin(source, "", 0, 0)
    ((who, epoch, changes),) = made.ready(0.0)
    assert (who, epoch, [one.sequence for one in changes]) == (source, EPOCH, [1, 2, 3])
    assert [one.session for one in changes] == [None, COACH, None]
    made.applied(source, EPOCH, 3, NOON_US, 1, 0.0)
    (mark,) = made.marks(0.0)
    topic, payload = made.heard(mark, NOON_US)
    assert parse(topic) == parse("rungwise/1/station/rack-3/down/heard")
    assert from_bytes(payload, Kind.HEARD).data == {
        "coach": str(COACH),
        "epoch": EPOCH,
        "through": 3,
        "noted_utc_us": NOON_US,
    }
    made.told(mark, 0.0)
    assert not list(made.marks(60.0))
    intake = made.intake_of(only(made))
    assert intake is not None
    assert (intake.behind, intake.refused) == (0, 1)


@pytest.mark.parametrize(
    ("sent", "why"),
    [
        ((now("rack-3")[0], now("rack-4")[1]), "names another station"),
        ((record("rack-3", 1)[0], record("rack-4", 1)[1]), "names another station"),
        (
            letter("rack-3", Kind.RECORD, {"epoch": EPOCH, "change": "trainee", "before_utc_us": 0, "row": {}}),
            "without its place",
        ),
        ((now("rack-3")[0], now("rack-3")[1].replace(b"now.1", b"now.2")), "version 2, and this Rungwise reads"),
        ((now("rack-3")[0], b"{" * 50_000), "no JSON"),
        ((here("rack-3")[0], b"\x00\xff"), "no JSON"),
        ((now("rack-3")[0], json.dumps({"a": "\x1b[2J"}).encode()), "type"),
    ],
)
def test_what_cannot_be_read_is_counted_and_told_and_nothing_of_it_used(sent: tuple[str, bytes], why: str) -> None:
    made = gym(sent)
    station = only(made)
    assert station.unreadable == 1
    assert why in station.refusal
    assert station.refusal.isprintable()
    assert station.now is None
    assert not list(made.ready(0.0))


def test_a_false_station_cannot_speak_for_another_ones_logbook() -> None:
    made = gym(
        here("rack-3", last=1), here("rack-9", book=book_of("rack-3")), record("rack-9", 1, book=book_of("rack-3"))
    )
    rack_3, rack_9 = (one for one, _ in made.look(0.0, NOON_US))
    assert "logbook of rack-3" in rack_9.refusal
    assert (rack_9.unreadable, rack_9.here, rack_9.source) == (2, False, None)
    assert rack_3.source == book_of("rack-3")
    made.begin(book_of("rack-3"), "", 0, 0)
    assert not list(made.ready(0.0))
    for one in (gone("rack-3"), here("rack-9", book=book_of("rack-3")), record("rack-9", 1, book=book_of("rack-3"))):
        made.take(*one, 1.0, NOON_US)  # the laptop of rack 3 stands at rack 9 now
    made.begin(book_of("rack-3"), "", 0, 0)
    assert [one.station for one in made.marks(1.0)] == ["rack-9"]
    assert [source for source, _, _ in made.ready(1.0)] == [book_of("rack-3")]


def test_a_station_with_another_logbook_says_so_first() -> None:
    made = gym(here("rack-3"), record("rack-3", 1, book=UUID(int=5)))
    assert "another logbook" in only(made).refusal
    made.take(*here("rack-3", book=UUID(int=5)), 0.0, NOON_US)
    made.take(*record("rack-3", 1, book=UUID(int=5)), 0.0, NOON_US)
    made.begin(UUID(int=5), "", 0, 0)
    assert [source for source, _, _ in made.ready(0.0)] == [UUID(int=5)]
    assert made.unknown() == []


def test_a_flood_is_not_read_and_others_are() -> None:
    made = gym(*[shown("rack-9", str(COACH))] * int(LIVE_BURST), now("rack-9"), now("rack-3"))
    flooding, calm = (one for one, _ in reversed(made.look(0.0, NOON_US)))
    assert (flooding.dropped, flooding.now, calm.dropped) == (1, None, 0)
    assert calm.now is not None
    made.take(*now("rack-9"), 1.0, NOON_US)
    made.look(1.0, NOON_US)
    assert flooding.now is not None


def test_topics_that_are_no_stations_and_too_many_names_are_left_out() -> None:
    made = gym(("rungwise/1/station/../up/now", b""), ("rungwise/1/station/rack-3/down/word", b""), ("$SYS/x", b""))
    assert made.strangers == 3
    for number in range(MOST_STATIONS + 5):
        made.take(*gone(f"s{number}"), 0.0, NOON_US)
    assert (len(made.look(0.0, NOON_US)), made.strangers) == (MOST_STATIONS, 8)


@given(st.text(max_size=40))
def test_nothing_of_a_text_steers_a_terminal(text: str) -> None:
    # ECMA-48 control functions begin with C0 or C1 controls; Unicode's bidirectional controls are of category Cf
    seen = now_of({**NOW, "trainee": text, "rung": text, "cue": text, "stop": text, "link": {**LINK, "sensor": text}})
    for one in (seen.trainee, seen.rung, seen.cue, seen.stop, seen.link.name):
        assert all(letter.isprintable() or letter.isspace() for letter in one)
        assert not set(one) & {"\x1b", "\x9b", "\n", "\r", "\t", "\u202e", "\u2066", "\u2028"}
    plain = "".join(letter for letter in text if letter.isprintable())
    assert seen.trainee.replace("�", "") == plain.replace("�", "") or not text.isprintable()


def word(number: int, station: str = "rack-3") -> Word:
    data = {"word": str(UUID(int=number)), "what": "note", "trainee": "Mara Lindt", "text": "Chin over the bar."}
    return Word(station=station, data=data, sent_utc_us=NOON_US)


def test_a_word_is_sent_until_it_is_answered_and_again_when_the_station_comes_back() -> None:
    made = gym(here("rack-3"))
    made.words.say(word(1))
    (due,) = made.due_words(0.0)
    topic, payload = made.word(due, NOON_US)
    assert parse(topic) == parse("rungwise/1/station/rack-3/down/word")
    assert from_bytes(payload, Kind.WORD).data == due.data
    made.words.sent(due.id, 0.0)
    assert not made.due_words(AGAIN_S - 0.1)
    assert made.due_words(AGAIN_S)
    made.words.sent(due.id, AGAIN_S)
    made.take(*gone("rack-3"), 11.0, NOON_US)
    assert not made.due_words(99.0)
    made.take(*here("rack-3"), 100.0, NOON_US)
    assert made.due_words(100.0)
    for answer in (shown("rack-4", due.id), shown("rack-3", str(UUID(int=9)))):
        made.take(*answer, 101.0, NOON_US)
        assert not made.has_answers()
    made.take(*shown("rack-3", due.id, text="\x1b[31mred"), 101.0, NOON_US + 5)
    assert made.has_answers()
    assert not made.due_words(999.0)
    newest = made.words.newest("rack-3")
    assert newest is not None
    assert (newest.state, newest.answer, newest.answered_utc_us) == ("shown", "�[31mred", NOON_US + 5)


def test_old_answered_words_are_forgotten_and_open_ones_are_not() -> None:
    words = Words()
    words.say(word(0))
    for number in range(1, MOST_KEPT + 10):
        words.say(word(number))
        words.answer("rack-3", {"word": word(number).id, "state": "shown", "text": ""}, NOON_US)
    assert len(words.said) == MOST_KEPT
    assert word(0).id in words.said
    assert word(1).id not in words.said


def test_a_hill_is_drawn_from_what_came() -> None:
    seen = now_of({**NOW, "hills": [{**HILL, "outcome": None, "up_s": None}]})
    assert seen.hills[0].up_s is None
    assert seen.hills[0].outcome is None


def test_figures_that_are_whole_are_and_no_rep_takes_for_ever_to_draw() -> None:
    # JSON Schema 2020-12, validation 6.1.1: a number with a zero fractional part is an integer
    endless = {**HILL, "top_s": 1e6, "bottom_s": -1e6}
    whole = {"reps": 8.0, "sets": 3.0, "count": 4.0, "set_number": 2.0, "pain": 2.0, "warm_up": 0.0}
    made = gym(here("rack-3"), now("rack-3", **whole, target=endless, hills=[endless] * 4))
    seen = only(made).now
    assert seen is not None
    assert repr((seen.reps, seen.sets, seen.count, seen.pain)) == "(8, 3, 4, 2)"
    tile = tile_view(only(made), NOTHING, "", 0.0)
    assert tile.where == "set 2 of 3"
    began_s = time.process_time()
    assert len(draw_tile(tile, 40, 9)) == 9
    assert time.process_time() - began_s < 1.0


def test_a_last_will_that_is_late_hides_nobody() -> None:
    # OASIS MQTT 3.1.1, 3.1.2.5: the will of a connection that was lost may come after the next one was made
    made = gym(here("rack-3"), now("rack-3"), gone("rack-3"))
    assert not only(made).here
    made.take(*now("rack-3"), 0.5, NOON_US)
    assert not only(made).here  # on its way before it went
    made.take(*now("rack-3"), 1.5, NOON_US, kept=True)
    assert not only(made).here
    made.take(*now("rack-3"), 1.5, NOON_US)
    assert only(made).here
