"""Where the hub listens."""

from __future__ import annotations

import errno
import socket

import pytest

from tui.commands.hub import LISTEN
from tui.hub.errors import HubError
from tui.hub.listening import Place, place, why_not


@pytest.mark.parametrize(
    ("text", "expected", "here_only"),
    [
        (LISTEN, Place("127.0.0.1", 1883), True),
        ("127.0.0.1", Place("127.0.0.1", 1883), True),
        ("localhost:2000", Place("localhost", 2000), True),
        ("127.8.8.8:9", Place("127.8.8.8", 9), True),
        ("[::1]:1884", Place("::1", 1884), True),
        ("[::1]", Place("::1", 1883), True),
        ("0.0.0.0", Place("0.0.0.0", 8883), False),
        ("[::]:8883", Place("::", 8883), False),
        ("192.168.1.20:8883", Place("192.168.1.20", 8883), False),
        ("gym.example", Place("gym.example", 8883), False),
        ("localhost.example", Place("localhost.example", 8883), False),
        ("127.0.0.1.example:1", Place("127.0.0.1.example", 1), False),
    ],
)
def test_a_place_to_listen(text: str, expected: Place, here_only: bool) -> None:
    assert place(text) == expected
    assert place(text).is_here_only == here_only


@pytest.mark.parametrize(
    "text", ["", ":1883", "::1:1883", "a:b", "a:0", "a:65536", "a:-1", "mqtt://a:1", "[::1", "a:²"]
)
def test_no_place_to_listen(text: str) -> None:
    with pytest.raises(HubError, match=r"127\.0\.0\.1:1883"):
        place(text)


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (OSError(errno.EADDRINUSE, "in use"), "listens on 127.0.0.1:80 already"),
        (OSError(errno.EACCES, "denied"), "may not listen"),
        (OSError(errno.EADDRNOTAVAIL, "none"), "no address of this computer"),
        (socket.gaierror(-2, "unknown"), "no address of this computer"),
        (OSError(errno.ENETDOWN, "network is down"), "network is down"),
    ],
)
def test_why_nobody_can_listen_there(error: OSError, said: str) -> None:
    told = why_not(error, Place("127.0.0.1", 80))
    assert said in told
    assert told.count(".") >= 1
    assert "\n" not in told
