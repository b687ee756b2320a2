"""The schedule as a calendar reads it (RFC 5545)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID, uuid5

from icalendar import Calendar, Event

from analysis.logbook.entries import Trainee
from analysis.training.ladder import Position
from analysis.training.plan import default_plan
from analysis.training.records import History
from analysis.training.schedule import Planned, schedule
from tests.analysis.training.builders import SPACE, TRAINEE, make_session
from tui.book.calendar_out import calendar

MONDAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 6, 7, 30, 12, tzinfo=UTC)
LONG = Trainee(
    uuid5(SPACE, "long"), "Änne-Sørine Þórðardóttir-Żółkiewska v. der Hüttenstraße zu Großglöckner ✓ 山岳救助隊"
)


def planned(trainee: UUID = TRAINEE, *, days_done: tuple[int, ...] = (0,)) -> tuple[Planned, ...]:
    plan = default_plan()
    done = tuple(make_session(MONDAY + timedelta(days=n), plan.ladder, Position(1, 0)) for n in days_done)
    return schedule(History(done), plan, MONDAY + timedelta(days=days_done[-1] + 1), trainee=trainee)


def events(content: bytes) -> list[Event]:
    return [one for one in Calendar.from_ical(content).walk("VEVENT") if isinstance(one, Event)]


def test_read_back_it_says_what_was_planned() -> None:
    coming = planned()
    content = calendar([(LONG, coming)], NOW)
    read = Calendar.from_ical(content)
    assert (str(read["version"]), "Rungwise" in str(read["prodid"])) == ("2.0", True)
    found = events(content)
    assert [one["dtstart"].dt for one in found] == [one.day for one in coming]
    assert all(type(one["dtstart"].dt) is date for one in found)
    assert [one["dtend"].dt - one["dtstart"].dt for one in found] == [timedelta(days=1)] * len(coming)
    assert [str(one["status"]) for one in found] == ["CONFIRMED"] + ["TENTATIVE"] * (len(coming) - 1)
    assert all(LONG.name in str(one["summary"]) for one in found)
    assert all(one["dtstamp"].dt == NOW for one in found)
    assert "rest 90 s" in str(found[0]["description"])
    assert coming[0].proposal.reasons[0].text in str(found[0]["description"])
    assert not list(read.walk("VALARM"))


def test_the_plans_time_of_day_is_a_floating_one() -> None:
    """RFC 5545, 3.3.5, form 1: DATE-TIME without Z and without TZID is the same on the clock everywhere."""
    plan = replace(default_plan(), weekdays=(4, 0), times=(time(18, 30), time(7)))
    coming = schedule(History(), plan, MONDAY, trainee=TRAINEE)
    content = calendar([(LONG, coming)], NOW)
    assert b"\r\nDTSTART:20260302T070000\r\n" in content
    assert b"TZID" not in content
    begins = [one["dtstart"].dt for one in events(content)]
    assert {(one.weekday(), one.time(), one.tzinfo) for one in begins} == {(0, time(7), None), (4, time(18, 30), None)}
    assert {one["dtend"].dt - one["dtstart"].dt for one in events(content)} == {timedelta(hours=1)}
    assert {str(one["transp"]) for one in events(content)} == {"OPAQUE"}
    one_time = replace(default_plan(), times=(time(6, 5),))
    (first, *_) = events(calendar([(LONG, schedule(History(), one_time, MONDAY, trainee=TRAINEE))], NOW))
    assert first["dtstart"].dt == datetime(2026, 3, 2, 6, 5)


def test_lines_are_folded_at_75_octets_and_end_with_crlf() -> None:
    """RFC 5545, 3.1: lines of at most 75 octets, without the line break; folded within no character."""
    content = calendar([(LONG, planned())], NOW)
    lines = content.split(b"\r\n")
    assert lines[-1] == b""
    assert b"\n" not in content.replace(b"\r\n", b"")
    assert max(map(len, lines)) <= 75
    assert any(line.startswith(b" ") for line in lines)
    for line in lines:
        line.decode("utf-8")


def test_a_later_export_updates_the_earlier_one() -> None:
    """Same UIDs, a higher SEQUENCE (RFC 5545, 3.8.7.4); what was done keeps its UID, and no other takes it."""
    earlier = events(calendar([(LONG, planned())], NOW))
    later = events(calendar([(LONG, planned())], NOW + timedelta(days=1)))
    assert [one["uid"] for one in earlier] == [one["uid"] for one in later]
    assert all(new["sequence"] > old["sequence"] for old, new in zip(earlier, later, strict=True))
    after_one_more = events(calendar([(LONG, planned(days_done=(0, 3)))], NOW + timedelta(days=2)))
    assert after_one_more[0]["uid"] == earlier[1]["uid"]
    assert earlier[0]["uid"] not in [one["uid"] for one in after_one_more]


def test_no_two_events_share_a_uid() -> None:
    other = Trainee(uuid5(SPACE, "other"), "Jonas")
    found = events(calendar([(LONG, planned()), (other, planned(other.id))], NOW))
    assert len({str(one["uid"]) for one in found}) == len(found) > 10
