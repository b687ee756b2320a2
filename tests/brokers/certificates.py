"""Certificates as a gym might have them: right ones, and each kind of wrong one (RFC 5280, from memory)."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cached_property
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from tui.hub.certificate import key_usage

_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Pair:
    """A certificate and its key, as files."""

    cert: Path
    key: Path


class Authority:
    """Signs certificates; its own is what clients are told to trust (`ca`)."""

    def __init__(self, folder: Path, called: str = "gym") -> None:
        self._folder = folder
        self._called = called
        self._key = ec.generate_private_key(ec.SECP256R1())
        self._subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"{called} authority")])
        now = datetime.now(UTC)
        own = (
            _begun(self._subject, self._subject, self._key.public_key(), now - _DAY, now + 30 * _DAY)
            .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
            .add_extension(key_usage(signs=True), critical=True)
            .add_extension(x509.SubjectKeyIdentifier.from_public_key(self._key.public_key()), critical=False)
            .sign(self._key, hashes.SHA256())
        )
        self.ca = folder / f"{called}-ca.pem"
        self.ca.write_bytes(own.public_bytes(serialization.Encoding.PEM))

    def pair(self, called: str, *names: str, days: tuple[float, float] = (-1.0, 30.0)) -> Pair:
        """Sign a server's certificate for names and addresses, good from and until days from now."""
        key = ec.generate_private_key(ec.SECP256R1())
        subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0])])
        begin, end = (datetime.now(UTC) + timedelta(days=day) for day in days)
        cert = (
            _begun(subject, self._subject, key.public_key(), begin, end)
            .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
            .add_extension(key_usage(signs=False), critical=True)
            .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
            .add_extension(x509.SubjectAlternativeName([_name(name) for name in names]), critical=False)
            .add_extension(
                x509.AuthorityKeyIdentifier.from_issuer_public_key(self._key.public_key()),
                critical=False,
            )
            .sign(self._key, hashes.SHA256())
        )
        pair = Pair(self._folder / f"{self._called}-{called}.pem", self._folder / f"{self._called}-{called}-key.pem")
        pair.cert.write_bytes(cert.public_bytes(serialization.Encoding.PEM))
        pair.key.write_bytes(
            key.private_bytes(
                serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
            )
        )
        pair.key.chmod(0o600)
        return pair


class Certificates:
    """One authority's certificates for this machine, and those that must be refused; made as they are asked for."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    @cached_property
    def authority(self) -> Authority:
        """The gym's own."""
        return Authority(self._folder)

    @property
    def ca(self) -> Path:
        """What a client is given to trust."""
        return self.authority.ca

    @cached_property
    def right(self) -> Pair:
        """A certificate for localhost and 127.0.0.1."""
        return self.authority.pair("right", "localhost", "127.0.0.1")

    @cached_property
    def wrong_name(self) -> Pair:
        """One of the same authority for another computer."""
        return self.authority.pair("wrong-name", "elsewhere.example")

    @cached_property
    def expired(self) -> Pair:
        """One that was good until yesterday."""
        return self.authority.pair("expired", "localhost", "127.0.0.1", days=(-20.0, -1.0))

    @cached_property
    def stranger(self) -> Pair:
        """One for this machine, of an authority nobody knows."""
        return Authority(self._folder, "stranger").pair("right", "localhost", "127.0.0.1")


def _begun(
    subject: x509.Name, issuer: x509.Name, public: ec.EllipticCurvePublicKey, begin: datetime, end: datetime
) -> x509.CertificateBuilder:
    return x509.CertificateBuilder(
        issuer_name=issuer,
        subject_name=subject,
        public_key=public,
        serial_number=x509.random_serial_number(),
        not_valid_before=begin,
        not_valid_after=end,
    )


def _name(text: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(text))
    except ValueError:
        return x509.DNSName(text)
