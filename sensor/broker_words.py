"""What can be wrong with the way to a broker, in words that say what to do next."""

from __future__ import annotations

import socket
import ssl
from collections.abc import Iterator

from sensor.broker_address import PASSWORD_VARIABLE, Address

_WRONG_NAME = frozenset({62, 64})
"""Host or address is none of the certificate's (OpenSSL, x509_vfy.h: HOSTNAME_MISMATCH, IP_ADDRESS_MISMATCH)."""
_WRONG_DAY = frozenset({9, 10})
"""CERT_NOT_YET_VALID, CERT_HAS_EXPIRED."""
_REFUSED = {
    1: ("speaks another version of MQTT: use one that speaks 3.1.1.", True),
    2: ("does not take {name} as the name of a client: choose another name.", True),
    3: ("takes nobody at the moment. It is tried again.", False),
    4: ("does not take this account or password ({name}): check the name before @, and {password}.", True),
    5: ("does not let {name} in: check the name before @, {password}, and what the broker allows.", True),
}
"""OASIS MQTT 3.1.1, table 3.1: return codes of CONNACK, and whether trying again alone is in vain."""


def explain(error: BaseException, address: Address) -> tuple[str, bool]:
    """Return why there is no connection, and whether somebody has to change something first."""
    for cause in _causes(error):
        match cause:
            case ssl.SSLCertVerificationError():
                return _of_certificate(cause, address), True
            case ssl.SSLError():
                return (
                    f"{address.where} does not speak TLS as it should: check the port; 8883 is usual for mqtts://.",
                    True,
                )
            case socket.gaierror() | UnicodeError():
                return f"No computer called {address.host} is known here: check the name and the network.", False
            case ConnectionRefusedError():
                return f"No broker listens at {address.where}: start it there, or check host and port.", False
            case TimeoutError():
                return f"No broker answers at {address.where}: check host, port and network.", False
    return f"The connection to {address.where} was lost. It is tried again.", False


def refused(code: int, name: str, address: Address) -> tuple[str, bool]:
    """Return why a broker refused to connect, by its return code, and whether that lasts."""
    said, lasts = _REFUSED.get(code, ("refused the connection. It is tried again.", False))
    said = said.format(name=name, password=f"{PASSWORD_VARIABLE} or --password-file")
    return f"The broker at {address.where} {said}", lasts


def not_allowed(topic: str, name: str, address: Address) -> str:
    """Say that a broker does not let somebody read a topic."""
    return f"The broker at {address.where} does not let {name} read {topic}: let whoever runs it allow that."


def _of_certificate(error: ssl.SSLCertVerificationError, address: Address) -> str:
    if error.verify_code in _WRONG_NAME:
        return f"The certificate of {address.where} is for another host: use a name in it, or do not trust it."
    if error.verify_code in _WRONG_DAY:
        return f"The certificate of {address.where} does not hold today: check this computer's date, then renew it."
    return (
        f"The certificate of {address.where} is signed by nobody whom this computer trusts: give the gym's own "
        "authority by --ca FILE, or do not trust it."
    )


def _causes(error: BaseException | None) -> Iterator[BaseException]:
    """Yield an error and those behind it; the library hides the system's own."""
    while error is not None:
        yield error
        error = error.__cause__ or error.__context__
