"""Where the hub listens, and what it needs for that."""

from __future__ import annotations

import errno
import ipaddress
import socket
from dataclasses import dataclass

from tui.hub.errors import HubError

PLAIN_PORT, SECURE_PORT = 1883, 8883
"""Registered for MQTT without and with TLS (IANA)."""
_EXAMPLE = "give HOST:PORT, for example 127.0.0.1:1883, 0.0.0.0:8883 or [::]:8883"


@dataclass(frozen=True, slots=True)
class Place:
    """A host or address, and a port."""

    host: str
    port: int

    def __str__(self) -> str:
        return f"[{self.host}]:{self.port}" if ":" in self.host else f"{self.host}:{self.port}"

    @property
    def is_here_only(self) -> bool:
        """Whether nobody but this computer reaches it."""
        if self.host == "localhost":
            return True
        try:
            return ipaddress.ip_address(self.host).is_loopback
        except ValueError:
            return False


def place(text: str) -> Place:
    """Read HOST:PORT; without a port, the one registered for how it is spoken there.

    Raises
    ------
    HubError
        When it is none.
    """
    host, colon, port = text.rpartition(":")
    if not colon or text.endswith("]"):
        host, port = text, ""
    bare = host[1:-1] if host.startswith("[") and host.endswith("]") else host
    if not bare or (":" in bare and bare == host) or "[" in bare or "/" in bare:
        raise HubError(f"{text!r} is no place to listen: {_EXAMPLE}.")
    if port and not (port.isascii() and port.isdigit() and 1 <= int(port) <= 65535):
        raise HubError(f"{port!r} is no port: {_EXAMPLE}.")
    here_only = Place(bare, 0).is_here_only
    return Place(bare, int(port) if port else PLAIN_PORT if here_only else SECURE_PORT)


def why_not(error: OSError, at: Place) -> str:
    """Return why nobody can listen there, and what to do next."""
    if error.errno == errno.EADDRINUSE:
        return f"Something else listens on {at} already: end it, or give another port with --listen."
    if error.errno == errno.EACCES:
        return f"You may not listen on {at}: give a port of 1024 or more with --listen."
    if error.errno == errno.EADDRNOTAVAIL or isinstance(error, socket.gaierror):
        return f"{at.host} is no address of this computer: give one of its own with --listen, or 0.0.0.0 for all."
    return f"Nobody can listen on {at} ({error.strerror})."
