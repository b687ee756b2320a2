"""A broker in a process of its own: started, killed, halted and started again on the same port."""

from __future__ import annotations

import signal
import socket
import subprocess
import time
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import Self

HOST = "127.0.0.1"
_STARTS_WITHIN_S = 20.0
_ENDS_WITHIN_S = 10.0


def free_port() -> int:
    """Return a port of this machine that nobody listens on at the moment."""
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        return int(probe.getsockname()[1])


class BrokerProcess:
    """A broker, running for as long as the `with` block lasts.

    Parameters
    ----------
    command
        Starts it; it must listen on `port` of 127.0.0.1.
    port
        See `free_port`.
    log
        Where its output goes.
    secure
        Whether it wants TLS.
    """

    def __init__(self, command: Sequence[str], port: int, log: Path, *, secure: bool = False) -> None:
        self.command = list(command)
        self.host = HOST
        self.port = port
        self.log = log
        self.secure = secure
        self._process: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        """Where it is, as `--share` and `floor` take it; by name where a certificate must fit."""
        return f"mqtts://localhost:{self.port}" if self.secure else f"mqtt://{self.host}:{self.port}"

    @property
    def pid(self) -> int:
        """The number of its process."""
        assert self._process is not None, "not running"
        return self._process.pid

    @property
    def running(self) -> bool:
        """Whether its process lives, halted or not."""
        return self._process is not None and self._process.poll() is None

    def start(self) -> None:
        """Start it and wait until it takes connections; it must not be running."""
        assert not self.running, "already running"
        with self.log.open("ab") as output:
            self._process = subprocess.Popen(self.command, stdin=subprocess.DEVNULL, stdout=output, stderr=output)
        until = time.monotonic() + _STARTS_WITHIN_S
        while not self._takes_connections():
            if not self.running or time.monotonic() > until:
                self.kill()
                raise RuntimeError(f"{self.command[0]} did not start: {self.said()[-2000:]}")
            time.sleep(0.02)

    def kill(self) -> None:
        """End it without a word (SIGKILL), halted or not."""
        self._end(signal.SIGKILL)

    def stop(self) -> None:
        """Ask it to end (SIGTERM), and wait until it did."""
        self._end(signal.SIGTERM)

    def halt(self) -> None:
        """Let it do nothing (SIGSTOP): connections stay open and nothing is answered."""
        assert self._process is not None
        self._process.send_signal(signal.SIGSTOP)

    def resume(self) -> None:
        """Let it go on (SIGCONT)."""
        assert self._process is not None
        self._process.send_signal(signal.SIGCONT)

    def said(self) -> str:
        """Return what it printed so far."""
        return self.log.read_text(errors="replace") if self.log.exists() else ""

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.kill()

    def _end(self, how: signal.Signals) -> None:
        if self._process is not None:
            if self.running:
                self._process.send_signal(how)
            try:
                self._process.wait(_ENDS_WITHIN_S)
            except subprocess.TimeoutExpired:
                self._process.kill()
                self._process.wait(_ENDS_WITHIN_S)
            self._process = None

    def _takes_connections(self) -> bool:
        try:
            with socket.create_connection((self.host, self.port), timeout=1.0):
                return True
        except OSError:
            return False
