"""The report, read back with the standard library's own parser. Limits (300 kB, no network) are what was asked for."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from click.testing import CliRunner, Result
from read_back import Read, read_page

from analysis.logbook.book import Logbook
from analysis.training.judge import judge_session
from analysis.training.prescription import Tempo
from analysis.training.records import SessionRecord
from analysis.training.statements import Note
from tests.analysis.training.builders import make_set
from tests.tui.past_weeks import INES, JONAS, MISSED, TODAY, keep, past_weeks
from tests.tui.past_weeks import session as past_session
from tui.book.report import report_of
from tui.cli import main
from tui.home import Home
from tui.palette import LIGHT

NOW = datetime(TODAY.year, TODAY.month, TODAY.day, 20).astimezone()
HOSTILE = '<script src="http://evil.example/x.js">alert(1)</script>" onload="x & <b>'
LIMIT_BYTES = 300_000
PHONE_PX = 600


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[tuple[Home, Logbook]]:
    home, book = past_weeks(tmp_path)
    yield home, book
    book.close()


def rungwise(home: Path, *words: object) -> Result:
    return CliRunner().invoke(main, ["--home", str(home), *map(str, words)])


def missed_session() -> str:
    return str(past_session(MISSED, 2, TODAY).session_id)


def loads_nothing(page: Read) -> None:
    """No script, nothing fetched: what is referred to is in the page itself."""
    assert not {"script", "link", "img", "iframe", "object", "embed", "base"} & set(page.tags)
    for _, name, value in page.attributes:
        assert not name.startswith("on")
        if name.split(":")[-1] in ("src", "href", "srcset", "action", "data", "poster"):
            assert value.startswith("#")


def test_a_session_is_told_with_every_rep_its_verdict_and_its_uncertainty(kept: tuple[Home, Logbook]) -> None:
    page = read_page(report_of(*kept, missed_session()[:8], NOW))
    loads_nothing(page)
    assert page.column("verdict", "tempo") == ["missed"] * 3
    assert page.column("done", "tempo") == ["15 of 15", "15 of 15", "12 of 15"]
    assert page.column("rest before, s", "tempo") == ["–", "81 of 80, met", "81 of 80, met"]
    # Both boundaries of a phase are known to 20 ms: √2 · 20 ms = 28 ms.
    assert page.column("down, s (asked 1)", "range, cm")[9:11] == ["1.00 ± 0.03", "0.40 ± 0.03 ×"]
    assert page.column("verdict", "range, cm")[9:11] == ["met", "missed: fast down"]
    assert page.tags.count("svg") == 5  # three ridges, two plots
    for word in ("Pain stops the set", "Why", "feet-on-floor", "not measurable", "rating of perceived exertion"):
        assert word in page.text


def test_a_corrected_number_of_reps_stands_beside_the_measured_one(kept: tuple[Home, Logbook]) -> None:
    home, _ = kept
    words = ("--set", 3, "--count", 14, "--reason", "missed", "--by", "Ada Brunn", "--role", "coach")
    assert rungwise(home.folder, "correct", missed_session()[:8], *words).exit_code == 0
    page = read_page(report_of(*kept, missed_session()[:8], NOW))
    assert page.column("done", "tempo") == ["15 of 15", "15 of 15", "14 of 15, measured 12"]


def test_the_stop_of_one_and_a_half_reps_is_called_by_its_name(kept: tuple[Home, Logbook]) -> None:
    home, book = kept
    made = past_session(MISSED, 2, TODAY)
    trainee = book.trainee(JONAS)
    assert trainee is not None
    asked = replace(made.prescription, half_pause_s=1.0)
    sets = (make_set(asked, 1),)
    verdict = judge_session([one.verdict for one in sets], asked)
    began_us = made.started_utc_us + round(timedelta(hours=1).total_seconds() * 1e6)
    halved = replace(
        made,
        session_id=uuid4(),
        trainee=trainee.id,
        prescription=asked,
        sets=sets,
        verdict=verdict,
        started_utc_us=began_us,
        ended_utc_us=began_us + 1_000_000,
    )
    keep(book, halved)
    page = read_page(report_of(home, book, str(halved.session_id)[:8], NOW))
    assert len(page.column("half-way, s (asked 1)", "range, cm")) == asked.reps


def test_a_trainee_is_told_with_ladder_next_session_calendar_and_trends(kept: tuple[Home, Logbook]) -> None:
    page = read_page(report_of(*kept, JONAS, NOW))
    loads_nothing(page)
    assert page.column("rung", "opens the next one")[-1] == "inverted-row"
    assert page.column("", "opens the next one")[-2:] == ["● step 7 of 7", "begun above it"]
    assert len(page.column("day", "hills")) == 12
    assert page.tags.count("svg") == 12 + 3  # a line of hills a session; the climb, velocity, time under tension
    for word in ("Rest 65 → 60 s", "Fri 6 March 2026: 3 × 15, rest 60 s, if all before it goes as asked", "rising"):
        assert word in page.text


def test_who_has_not_begun_has_a_page_without_plots(
    kept: tuple[Home, Logbook], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "matplotlib.figure", None)
    page = read_page(report_of(*kept, INES, NOW))
    assert "No session on the ladder yet." in page.text
    assert "svg" not in page.tags


def test_without_matplotlib_it_says_how_to_get_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    past_weeks(tmp_path)[1].close()
    monkeypatch.setitem(sys.modules, "matplotlib.figure", None)
    found = rungwise(tmp_path, "report", JONAS, "--out", tmp_path / "x.html")
    assert found.exit_code == 2
    assert "pip install 'rungwise[report]'" in found.stderr
    assert not (tmp_path / "x.html").exists()


def test_it_is_made_for_phones_and_for_printing_in_grey(kept: tuple[Home, Logbook]) -> None:
    text = report_of(*kept, JONAS, NOW)
    assert ("meta", "content", "width=device-width, initial-scale=1") in read_page(text).attributes
    (phone,) = re.findall(r"@media \(max-width: (\d+)px\) \{ \.pair \{ grid-template-columns: 1fr; \}", text)
    assert int(phone) == PHONE_PX
    (printed,) = re.findall(r"@media print \{(.*?)\n</style>", text, re.DOTALL)
    colours = re.findall(r"#([0-9a-f]{3,6})\b", printed)
    assert colours
    assert all(len(set(one)) == 1 for one in colours)  # #000, #999: a grey has three equal parts


def test_its_colours_are_those_of_the_light_screen_whose_contrast_is_tested(kept: tuple[Home, Logbook]) -> None:
    text = report_of(*kept, INES, NOW)
    (style,) = re.findall(r"<style>(.*?)@media print", text, re.DOTALL)
    used = set(re.findall(r"(?:color|background): (#[0-9a-f]+)", style))
    assert used <= {LIGHT.foreground, LIGHT.background, LIGHT.secondary, "#fff"}
    assert LIGHT.foreground in used


def test_what_people_write_stays_text(kept: tuple[Home, Logbook]) -> None:
    home, book = kept
    person = book.add_trainee(HOSTILE)
    record = replace(past_session(20, 0, TODAY), trainee=person.id, sensor=HOSTILE)
    keep(book, record, seen_by=HOSTILE)
    for of in (HOSTILE, str(record.session_id)):
        page = read_page(report_of(home, book, of, NOW))
        loads_nothing(page)
        assert "b" not in page.tags
        assert HOSTILE in page.text


def test_the_largest_session_stays_within_300_kilobytes(kept: tuple[Home, Logbook]) -> None:
    home, book = kept
    record = _largest(past_session(21, 0, TODAY), book)
    keep(book, record)
    assert sum(len(one.reps) for one in record.sets) == 300
    assert len(report_of(home, book, str(record.session_id), NOW).encode()) <= LIMIT_BYTES
    assert len(report_of(home, book, JONAS, NOW).encode()) <= LIMIT_BYTES


def _largest(made: SessionRecord, book: Logbook) -> SessionRecord:
    """Six sets of fifty, every phase asked for: more than any ladder of the program's own asks."""
    trainee = book.trainee(JONAS)
    assert trainee is not None
    asked = replace(made.prescription, sets=6, reps=50, tempo=Tempo(down_s=1, bottom_s=1, up_s=1, top_s=1))
    sets = tuple(make_set(asked, number, rest_s=None if number == 1 else 90.0, down_s=0.4) for number in range(1, 7))
    verdict = judge_session([one.verdict for one in sets], asked)
    began_us = made.started_utc_us + round(timedelta(hours=1).total_seconds() * 1e6)
    return replace(
        made,
        trainee=trainee.id,
        prescription=asked,
        sets=sets,
        verdict=verdict,
        started_utc_us=began_us,
        ended_utc_us=began_us,
    )


def test_the_command_writes_a_new_file_and_leaves_one_that_is_there(tmp_path: Path) -> None:
    past_weeks(tmp_path)[1].close()
    out = tmp_path / "session.html"
    found = rungwise(tmp_path, "report", missed_session()[:8], "--out", out)
    assert (found.exit_code, found.stdout) == (0, f"{out}: {out.stat().st_size / 1000:.0f} kB, complete by itself\n")
    read_page(out.read_text(encoding="utf-8"))
    out.write_text("mine", encoding="utf-8")
    again = rungwise(tmp_path, "report", missed_session()[:8], "--out", out)
    assert again.exit_code == 2
    assert "is there already and left as it is" in again.stderr
    assert out.read_text(encoding="utf-8") == "mine"


def test_what_was_noted_beside_moments_is_told_with_where_it_was(kept: tuple[Home, Logbook]) -> None:
    home, book = kept
    person = book.trainee(JONAS)
    assert person is not None
    record = book.sessions(person.id, with_reps=True)[-1]
    first, second = record.sets[:2]
    moments = (
        (first.start_s - 1.0, "stands badly"),
        (first.reps[1].start_s + 0.1, "elbows <wide>"),
        (first.end_s + 1.0, "shakes it off"),
        (second.start_s + 0.1, ""),
    )
    for number, (at_s, text) in enumerate(moments):
        when = {"said_utc_us": number, "day": record.day, "session": str(record.session_id)}
        book.say(person.id, Note(**when, at_s=at_s, text=text, by="Katrin Vogt"))  # type: ignore[arg-type]
    page = read_page(report_of(home, book, str(record.session_id), NOW))
    for line in ("before the first set: stands badly", "set 1, rep 2: elbows <wide>", "after set 1: shakes it off"):
        assert f"{line} (Katrin Vogt)" in page.text
    assert page.text.count("Katrin Vogt") == 3


def test_what_is_neither_a_trainee_nor_a_session_is_told_so(tmp_path: Path) -> None:
    past_weeks(tmp_path)[1].close()
    found = rungwise(tmp_path, "report", "zzz", "--out", tmp_path / "x.html")
    assert found.exit_code == 2
    assert "nor the first letters of a session's id" in found.stderr
    assert JONAS in found.stderr


def test_a_session_typed_in_needs_no_plots(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rungwise(tmp_path, "done", JONAS, "--sets", "15,15,12", "--rest", 90)
    monkeypatch.setitem(sys.modules, "matplotlib.figure", None)
    with Logbook.open(Home(tmp_path).logbook) as book:
        (record,) = book.sessions(book.trainees()[0].id)
        page = read_page(report_of(Home(tmp_path), book, str(record.session_id), datetime.now().astimezone()))
    assert page.column("done", "tempo") == ["15 of 15", "15 of 15", "12 of 15"]
    assert page.column("tempo", "done") == ["not measurable"] * 3
    assert "no recording of this set" in page.text
