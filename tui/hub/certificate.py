"""An authority of one's own, and certificates for the hub that it signs (RFC 5280; names by RFC 6125)."""

from __future__ import annotations

import ipaddress
import ssl
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import NoReturn

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from tui.hub.errors import HubError
from tui.whole import write_whole

AUTHORITY_LASTS = timedelta(days=3650)
CERTIFICATE_LASTS = timedelta(days=825)
"""Longest that all common clients take from an authority of one's own."""
SOON = timedelta(days=30)
"""It is told so long before that a certificate ends."""
_CLOCKS_APART = timedelta(days=1)
_LONGEST_NAME, _LONGEST_LABEL = 253, 63
"""Of a computer's name, and of its parts between dots (RFC 1035, 2.3.4)."""


@dataclass(frozen=True, slots=True)
class Files:
    """Where authority and certificate are, within one folder."""

    folder: Path

    @property
    def authority(self) -> Path:
        """What stations and coaches are given, to know the hub by (`--ca`)."""
        return self.folder / "authority.pem"

    @property
    def authority_key(self) -> Path:
        """Signs; who has it can pretend to be the hub."""
        return self.folder / "authority-key.pem"

    @property
    def certificate(self) -> Path:
        """The hub's."""
        return self.folder / "certificate.pem"

    @property
    def key(self) -> Path:
        """The hub's."""
        return self.folder / "key.pem"


def make(files: Files, names: Sequence[str], now: datetime) -> None:
    """Write a certificate for these names and addresses, signed by the folder's authority, which is made if need be.

    Raises
    ------
    HubError
        When a name is none, or a file cannot be read or written.
    """
    alternatives = x509.SubjectAlternativeName([_name(name) for name in names])
    try:
        files.folder.mkdir(parents=True, exist_ok=True)
        authority, signing = _authority(files, now)
    except OSError as error:
        raise HubError(f"{files.folder} cannot be used ({error.strerror}): check it, and who may use it.") from error
    except (ValueError, TypeError) as error:
        raise HubError(f"The authority in {files.folder} cannot be used: put both of its files away.") from error
    key = ec.generate_private_key(ec.SECP256R1())
    until = min(now + CERTIFICATE_LASTS, authority.not_valid_after_utc)
    certificate = (
        _begun("Rungwise hub", authority.subject, key.public_key(), now, until)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(key_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(alternatives, critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(signing.public_key()), critical=False)
        .sign(signing, hashes.SHA256())
    )
    _write(files.certificate, certificate, files.key, key)


def ends(certificate: Path) -> datetime:
    """Return when a certificate ends.

    Raises
    ------
    HubError
        When it cannot be read.
    """
    try:
        return x509.load_pem_x509_certificate(certificate.read_bytes()).not_valid_after_utc
    except OSError as error:
        raise HubError(
            f"{certificate} is no certificate that can be read ({error.strerror}): give one by --cert."
        ) from error
    except ValueError as error:
        raise HubError(f"{certificate} is no certificate that can be read (PEM): give one by --cert.") from error


def context(certificate: Path, key: Path) -> ssl.SSLContext:
    """Return how the hub secures connections: TLS 1.2 at least.

    Raises
    ------
    HubError
        When certificate and key cannot be read, or do not belong together.
    """
    made = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    made.minimum_version = ssl.TLSVersion.TLSv1_2
    try:
        # A key that is locked would be asked for on the terminal; nobody may sit there.
        made.load_cert_chain(certificate, key, password=_locked)
    except (OSError, ValueError) as error:
        raise HubError(
            f"{certificate} and {key} cannot be used together: give a certificate and its own key (PEM), which no "
            "password locks."
        ) from error
    return made


def _locked() -> NoReturn:
    raise ValueError("the key is locked by a password")


def _authority(files: Files, now: datetime) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    if files.authority.exists():
        key = serialization.load_pem_private_key(files.authority_key.read_bytes(), password=None)
        if not isinstance(key, ec.EllipticCurvePrivateKey):
            raise ValueError(f"{files.authority_key} is of another kind")
        return x509.load_pem_x509_certificate(files.authority.read_bytes()), key
    key = ec.generate_private_key(ec.SECP256R1())
    own = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Rungwise hub authority")])
    certificate = (
        _begun("Rungwise hub authority", own, key.public_key(), now, now + AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(key_usage(signs=True), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    _write(files.authority, certificate, files.authority_key, key)
    return certificate, key


def _begun(
    subject: str, issuer: x509.Name, public: ec.EllipticCurvePublicKey, now: datetime, until: datetime
) -> x509.CertificateBuilder:
    return x509.CertificateBuilder(
        issuer_name=issuer,
        subject_name=x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, subject)]),
        public_key=public,
        serial_number=x509.random_serial_number(),
        not_valid_before=now.astimezone(UTC) - _CLOCKS_APART,
        not_valid_after=until.astimezone(UTC),
    )


def key_usage(*, signs: bool) -> x509.KeyUsage:
    """Return what a key is for: to sign certificates, or to shake hands (RFC 5280, 4.2.1.3)."""
    return x509.KeyUsage(
        digital_signature=not signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs,
        crl_sign=signs,
        encipher_only=False,
        decipher_only=False,
    )


def _name(text: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(text))
    except ValueError:
        pass
    try:
        if len(text) > _LONGEST_NAME or not text.isascii() or not all(map(_is_label, text.split("."))):
            raise ValueError
        return x509.DNSName(text)
    except ValueError:
        raise HubError(
            f"{text!r} is neither a name nor an address of a computer: give those by which stations reach it "
            "(gym.example, 192.168.1.20)."
        ) from None


def _is_label(text: str) -> bool:
    return 0 < len(text) <= _LONGEST_LABEL and text.replace("-", "a").isalnum()


def _write(path: Path, certificate: x509.Certificate, key_path: Path, key: ec.EllipticCurvePrivateKey) -> None:
    """Write both or none; the key for nobody but the user to read."""
    private = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    try:
        public = certificate.public_bytes(serialization.Encoding.PEM)
        write_whole({key_path: private.decode(), path: public.decode()})
        key_path.chmod(0o600)
        path.chmod(0o644)
    except OSError as error:
        raise HubError(f"{path.parent} cannot be written to ({error.strerror}).") from error
