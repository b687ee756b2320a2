"""The session's file: what goes in comes out, a kill loses at most a second, and what is no recording is named."""

import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path
from uuid import UUID

import numpy as np
import pytest
from stepclock import StepClock

from sensor.protocol import Info, Layout, Packet, encode
from sensor.recording import Anchor, Recording, StoredEvent
from sensor.recording_file import RecordingError
from sensor.source import Arrival, Channel, LinkState

SESSION = UUID("12345678-1234-4234-8234-123456789abc")
STEP_S = 0.02


@pytest.fixture
def clock():
    return StepClock()


@pytest.fixture
def recording(tmp_path, clock):
    with Recording.create(tmp_path / "a.rung", session_id=SESSION, clock=clock, meta={"mount": "body"}) as made:
        yield made


def packet(first_index, *, boot=7, layout=Layout.LARGE):
    counts = np.full((10, 3), first_index % 1000, np.int16)
    time_us = first_index * 10_000
    return encode(Packet(boot_tag=boot, first_index=first_index % 2**32, device_us=time_us, counts=counts), layout)


def info(boot_id):
    return bytes(Info(boot_id=boot_id, rate_hz=100, force_g_per_count=2**-14, axes=3))


def test_everything_comes_back_to_the_last_digit(recording):
    arrivals = [
        Arrival("clip", 0.1, Channel.LINK, LinkState.CONNECTED.value.encode()),
        Arrival("clip", 0.1 + 2**-50, Channel.INFO, info(7)),
        Arrival("belt", 1 / 3, Channel.DATA, packet(0)),
        Arrival("clip", 123456.789012345, Channel.DATA, b""),
        Arrival("clip", 0.0, Channel.BATTERY, b"\x57"),
    ]
    for arrival in arrivals:
        recording.append(arrival)
    recording.append_event(1.25, '{"kind": "rep"}', run="live")
    recording.close()
    with Recording.open(recording.path) as read:
        assert list(read.arrivals()) == arrivals
        assert list(read.events()) == [StoredEvent("live", 1.25, '{"kind": "rep"}')]
        assert read.meta == {"mount": "body", "session_id": str(SESSION)}
        assert read.session_id == SESSION


@pytest.mark.parametrize("closed", [True, False])
def test_it_can_be_written_on_behind_what_it_holds(recording, clock, closed):
    first = Arrival("clip", 0.1, Channel.DATA, b"x")
    later = [Arrival("clip", 0.2, Channel.DATA, b"y"), Arrival("belt", 0.3, Channel.DATA, b"z")]
    recording.append(first)
    recording.commit()
    if closed:
        recording.close()
    with Recording.go_on(recording.path, clock) as again:
        for arrival in later:
            again.append(arrival)
    with Recording.open(recording.path) as read:
        assert list(read.arrivals()) == [first, *later]
        assert read.session_id == SESSION


def test_what_is_no_recording_is_not_written_on(tmp_path, clock):
    path = tmp_path / "notes.rung"
    path.write_text("bought chalk", encoding="utf-8")
    with pytest.raises(RecordingError, match=r"notes\.rung"):
        Recording.go_on(path, clock)
    assert path.read_text(encoding="utf-8") == "bought chalk"


def test_closed_it_is_one_file(recording):
    recording.append(Arrival("clip", 0.1, Channel.DATA, b"x"))
    recording.close()
    assert [p.name for p in recording.path.parent.iterdir()] == ["a.rung"]
    # Bytes 18 and 19 are 2 for WAL, which cannot be opened in a folder that cannot be written; 1 is the legacy journal:
    # https://sqlite.org/fileformat.html#file_format_version_numbers
    assert recording.path.read_bytes()[18:20] == b"\x01\x01"


async def test_commits_come_once_a_second_of_the_sessions_clock(recording, clock):
    with Recording.open(recording.path) as reader:
        recording.append(Arrival("clip", 0.0, Channel.DATA, b"x"))
        await clock.advance(0.99)
        recording.commit_when_due()
        assert list(reader.arrivals()) == []
        await clock.advance(0.02)
        recording.commit_when_due()
        assert len(list(reader.arrivals())) == 1


async def test_appending_commits_what_is_due(recording, clock):
    with Recording.open(recording.path) as reader:
        for number in range(100):
            recording.append(Arrival("clip", clock.now_s(), Channel.DATA, bytes([number])))
            assert number - len(list(reader.arrivals())) <= 20
            await clock.advance(0.05)


async def test_the_wall_clock_is_anchored_each_minute(recording, clock):
    for _ in range(150):
        await clock.advance(1.0)
        recording.commit_when_due()
    recording.close()
    with Recording.open(recording.path) as read:
        utc_us = 1_700_000_000_000_000
        assert read.anchors() == tuple(Anchor(t, utc_us + round(t * 1e6)) for t in (0.0, 60.0, 120.0, 150.0))


def test_in_order_sorts_by_boot_and_index_and_puts_the_information_first(recording):
    late, wrap = 2**32 - 10, 2**32
    sent = [
        (Channel.DATA, packet(late)),
        (Channel.INFO, info(7)),
        (Channel.LINK, b"lost"),
        (Channel.DATA, packet(wrap + 10)),
        (Channel.DATA, packet(wrap)),
        (Channel.DATA, b"no packet"),
        (Channel.INFO, info(8)),
        (Channel.DATA, packet(0, boot=8)),
        (Channel.DATA, packet(late - 10)),
    ]
    for k, (channel, payload) in enumerate(sent):
        recording.append(Arrival("clip", float(k), channel, payload))
    order = [int(a.at_s) for a in recording.in_order()]
    assert order == [1, 8, 0, 4, 3, 6, 7]


def test_in_order_tells_two_boots_with_one_tag_apart(recording):
    sent = [
        (Channel.INFO, info(0x107)),
        (Channel.DATA, packet(50)),
        (Channel.INFO, info(0x107)),
        (Channel.DATA, packet(60)),
        (Channel.INFO, info(0x207)),
        (Channel.DATA, packet(0)),
    ]
    for k, (channel, payload) in enumerate(sent):
        recording.append(Arrival("clip", float(k), channel, payload))
    assert [int(a.at_s) for a in recording.in_order()] == [0, 2, 1, 3, 4, 5]


def test_a_recording_can_be_read_while_it_is_written(recording):
    recording.append(Arrival("clip", 0.0, Channel.DATA, b"x"))
    recording.commit()
    with Recording.open(recording.path) as reader:
        assert len(list(reader.arrivals())) == 1
        recording.close()
        assert len(list(reader.arrivals())) == 1


def test_the_settings_that_safety_rests_on(recording):
    with sqlite3.connect(recording.path) as db:
        assert db.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    db.close()
    # 2 is FULL: https://sqlite.org/pragma.html#pragma_synchronous
    assert recording._db.execute("PRAGMA synchronous").fetchone() == (2,)


def test_reading_only_is_reading_only(recording):
    recording.close()
    with Recording.open(recording.path) as read, pytest.raises(RecordingError, match="reading only"):
        read.append(Arrival("clip", 0.0, Channel.DATA, b"x"))
    with Recording.open(recording.path) as read, pytest.raises(RecordingError, match="reading only"):
        read.commit()


def test_writing_after_closing_is_a_mistake_of_ours(recording):
    recording.close()
    with pytest.raises(sqlite3.ProgrammingError):
        recording.append(Arrival("clip", 0.0, Channel.DATA, b"x"))


def test_an_existing_file_is_never_overwritten(recording, clock):
    with pytest.raises(RecordingError, match="exists already"):
        Recording.create(recording.path, session_id=SESSION, clock=clock, meta={})


def test_a_folder_that_is_not_there(tmp_path, clock):
    with pytest.raises(RecordingError, match="check the folder"):
        Recording.create(tmp_path / "none" / "a.rung", session_id=SESSION, clock=clock, meta={})


def later_version(path):
    db = sqlite3.connect(path)
    db.executescript("PRAGMA application_id = 0x52756E67; PRAGMA user_version = 2; CREATE TABLE meta (key)")
    db.close()


def other_database(path):
    db = sqlite3.connect(path)
    db.execute("CREATE TABLE t (a)")
    db.close()


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda path: None, "no such file"),
        (lambda path: path.mkdir(), "no such file"),
        (lambda path: path.write_bytes(b""), "not a recording"),
        (lambda path: path.write_bytes(b"t_s,ax_g,ay_g,az_g\n" * 100), "give the path of a recording"),
        (other_database, "not a recording"),
        (later_version, "update"),
    ],
    ids=["missing", "folder", "empty", "text", "other database", "later version"],
)
def test_what_is_no_recording_is_named(tmp_path, make, says):
    path = tmp_path / "b.rung"
    make(path)
    with pytest.raises(RecordingError, match=says) as caught:
        Recording.open(path)
    assert str(path) in str(caught.value)


def test_a_damaged_file_is_named(recording):
    for number in range(200):
        recording.append(Arrival("clip", number, Channel.DATA, os.urandom(200)))
    recording.close()
    content = bytearray(recording.path.read_bytes())
    content[8192:] = b"\xff" * (len(content) - 8192)
    recording.path.write_bytes(content)
    with Recording.open(recording.path) as read, pytest.raises(RecordingError, match="damaged"):
        list(read.arrivals())


def kill_a_writer(path: Path, after: int) -> int:
    """Start a writer, kill it with SIGKILL when it has announced `after` arrivals; return the last one announced."""
    here = Path(__file__).parent
    env = os.environ | {"PYTHONPATH": os.pathsep.join((str(here.parents[1]), str(here)))}
    command = [sys.executable, str(here / "recording_writer.py"), str(path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, env=env, text=True) as process:
        lines = []
        for line in process.stdout:
            lines.append(line)
            if len(lines) == after:
                process.send_signal(signal.SIGKILL)
        process.wait()
    assert process.returncode == -signal.SIGKILL
    return int([line for line in lines if line.endswith("\n")][-1].split()[1])


@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is POSIX")
@pytest.mark.parametrize("seed", range(5))
def test_a_killed_process_loses_at_most_the_last_second(tmp_path, seed):
    path = tmp_path / "killed.rung"
    last = kill_a_writer(path, random.Random(seed).randint(1, 800))
    with Recording.open(path) as read:
        kept = list(read.arrivals())
        assert read.session_id
    assert [int.from_bytes(a.payload[:4], "little") for a in kept] == list(range(len(kept)))
    assert [a.at_s for a in kept] == [n * STEP_S for n in range(len(kept))]
    kept_until_s = len(kept) * STEP_S
    assert (last + 1) * STEP_S - kept_until_s <= 1.0 + STEP_S


@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is POSIX")
def test_a_killed_recording_opens_from_a_copy_without_its_index_file(tmp_path):
    path, copy = tmp_path / "killed.rung", tmp_path / "copy.rung"
    kill_a_writer(path, 300)
    shutil.copy(path, copy)
    shutil.copy(f"{path}-wal", f"{copy}-wal")
    with Recording.open(path) as one, Recording.open(copy) as two:
        assert len(list(one.arrivals())) >= 250
        assert list(one.arrivals()) == list(two.arrivals())
