"""Where a broker is, and what it is spoken to with; a password is never shown, and never stands in an address."""

from __future__ import annotations

import re
import ssl
from contextlib import suppress
from dataclasses import dataclass, field
from ipaddress import ip_address
from pathlib import Path
from typing import Self
from urllib.parse import urlsplit

PORTS = {"mqtt": 1883, "mqtts": 8883}
"""Ports registered with IANA for MQTT, and for MQTT over TLS."""
NAME = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,30}[a-z0-9])?")
"""What a gateway, gym or sensor is called in a topic."""
PASSWORD_VARIABLE = "RUNGWISE_MQTT_PASSWORD"
_HOST = re.compile(r"[0-9A-Za-z_.:-]{1,253}")
_USER = re.compile(r"[0-9A-Za-z_.-]{1,64}")
_EXAMPLE = "mqtts://broker.example, or on this computer mqtt://localhost"
_ONE_HOST = f"The address of a broker needs one host after //, for example {_EXAMPLE}."


class BrokerError(Exception):
    """A broker cannot be spoken to; the message says why and what to do next, and holds no secret."""


class _ClosedOnFailure(ssl.SSLSocket):
    """Closes itself when no secure connection comes about: whoever opened it then has nothing left to close."""

    def do_handshake(self, block: bool = False) -> None:
        """Agree on keys, and check the certificate."""
        try:
            super().do_handshake(block)
        except BaseException:
            self.close()
            raise


@dataclass(frozen=True, slots=True)
class Address:
    """Where a broker is: `mqtt[s]://[user@]host[:port][/gym]`.

    Attributes
    ----------
    host, port
        Of the broker.
    tls
        Whether the connection is secured; without, only this computer itself may be meant.
    user
        Name of the account; empty: what the client is called.
    gym
        Stands before all topics, where several gyms share a broker; empty for none.
    """

    host: str
    port: int
    tls: bool
    user: str = ""
    gym: str = ""

    @classmethod
    def parse(cls, text: str) -> Self:
        """Return the address that a text means.

        Raises
        ------
        BrokerError
            When it is none, holds a password, or leads out of this computer unsecured. What it holds is repeated only
            where that can be no password.
        """
        scheme, found, rest = text.partition("://")
        if not found or scheme not in PORTS:
            raise BrokerError(f"The address of a broker begins with mqtt:// or mqtts://, for example {_EXAMPLE}.")
        if ":" in rest.rpartition("@")[0]:
            raise BrokerError(
                f"A password in an address can be read by others: leave it out, and give it by {PASSWORD_VARIABLE} or "
                "--password-file."
            )
        return cls._of(scheme, text)

    @classmethod
    def _of(cls, scheme: str, text: str) -> Self:
        try:
            parts = urlsplit(text)
            host, port = parts.hostname or "", parts.port
        except ValueError:
            raise BrokerError(
                "The port of a broker is a number up to 65535, as in mqtts://broker.example:8883."
            ) from None
        if not _HOST.fullmatch(host) or parts.query or parts.fragment:
            raise BrokerError(_ONE_HOST)
        user, gym = parts.username or "", parts.path.strip("/")
        if user and not _USER.fullmatch(user):
            raise BrokerError("The name before @ may have letters, digits and . _ - only.")
        if gym and not NAME.fullmatch(gym):
            raise BrokerError(
                "The name of a gym after the host has 1 to 32 of the letters a to z, digits and hyphens, as in "
                "mqtts://broker.example/valley."
            )
        made = cls(host, PORTS[scheme] if port is None else port, scheme == "mqtts", user, gym)
        if not made.tls and not made.is_here:
            raise BrokerError(f"Without encryption only this computer is spoken to: write mqtts://{host} instead.")
        return made

    @property
    def is_here(self) -> bool:
        """Whether it leads to this computer itself."""
        with suppress(ValueError):
            return ip_address(self.host).is_loopback
        return self.host == "localhost"

    @property
    def where(self) -> str:
        """Host and port, as people write them."""
        return f"[{self.host}]:{self.port}" if ":" in self.host else f"{self.host}:{self.port}"

    def __str__(self) -> str:
        user, gym = f"{self.user}@" if self.user else "", f"/{self.gym}" if self.gym else ""
        return f"mqtt{'s' if self.tls else ''}://{user}{self.where}{gym}"


@dataclass(frozen=True, slots=True)
class Access:
    """What a broker is spoken to with.

    Attributes
    ----------
    password
        Of the account; None for none. It is shown nowhere.
    ca
        File with the certificate of the authority that signed the broker's; None: those that this computer knows.
    """

    password: str | None = field(default=None, repr=False)
    ca: Path | None = None

    def tls(self) -> ssl.SSLContext:
        """Return how connections are secured: certificate and host name are checked, always.

        Raises
        ------
        BrokerError
            When the authority's file cannot be used.
        """
        try:
            context = ssl.create_default_context(cafile=self.ca)
        except (OSError, ssl.SSLError) as error:
            raise BrokerError(
                f"{self.ca} cannot be read as the certificate of an authority (PEM): give the one that signed the "
                "broker's by --ca."
            ) from error
        context.minimum_version = ssl.TLSVersion.TLSv1_2
        context.sslsocket_class = _ClosedOnFailure
        return context
