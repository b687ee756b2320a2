"""Who may use the hub: names, what each is for, and passwords as hashes (scrypt, RFC 7914)."""

from __future__ import annotations

import hashlib
import hmac
import json
import os
import secrets
from base64 import b64decode, b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from tui.hub.errors import HubError
from tui.whole import write_whole

FORMAT = "rungwise.hub/1"
SHORTEST = 8
"""Characters that a password has at least."""
_COST, _BLOCK, _PARALLEL = 2**14, 8, 1
_MEMORY = 64 * 1024 * 1024
_OTHERS = 0o077


@dataclass(frozen=True, slots=True)
class Account:
    """One of those who may use the hub.

    Attributes
    ----------
    name
        Of the account, and so of the station or gateway.
    kept
        The password's hash, with its salt and cost.
    coach
        Whether it hears every station and has a word to all.
    gateways
        Whose packets it analyses.
    """

    name: str
    kept: str
    coach: bool = False
    gateways: tuple[str, ...] = ()


def load(path: Path) -> dict[str, Account]:
    """Return the accounts of a file by name; none where there is no file.

    Raises
    ------
    HubError
        When the file cannot be read, is no such file, or can be read by others.
    """
    try:
        if os.name == "posix" and path.stat().st_mode & _OTHERS:
            raise HubError(f"{path} can be read by others: chmod 600 {path}")
        held = json.loads(path.read_text(encoding="utf-8"))
        if held["format"] != FORMAT:
            raise HubError(f"{path} is of another version of Rungwise ({held['format']}).")
        accounts = [
            Account(str(one["name"]), str(one["kept"]), bool(one["coach"]), tuple(map(str, one["gateways"])))
            for one in held["accounts"]
        ]
    except FileNotFoundError:
        return {}
    except OSError as error:
        raise HubError(f"{path} cannot be read ({error.strerror}).") from error
    except (ValueError, KeyError, TypeError) as error:
        raise HubError(f"{path} is no file of accounts: put it away, and make the accounts anew.") from error
    return {account.name: account for account in accounts}


def save(path: Path, accounts: Mapping[str, Account]) -> None:
    """Keep the accounts, for nobody but the user to read."""
    rows = [
        {"name": one.name, "kept": one.kept, "coach": one.coach, "gateways": list(one.gateways)}
        for one in sorted(accounts.values(), key=lambda one: one.name)
    ]
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole({path: json.dumps({"format": FORMAT, "accounts": rows}, indent=1) + "\n"})
        path.chmod(0o600)
    except OSError as error:
        raise HubError(f"{path} cannot be written ({error.strerror}).") from error


def hashed(password: str) -> str:
    """Return what is kept of a password.

    Raises
    ------
    HubError
        When it is too short.
    """
    if len(password) < SHORTEST:
        raise HubError(f"A password has {SHORTEST} characters at least.")
    salt = secrets.token_bytes(16)
    kept = _derived(password.encode(), salt, _COST, _BLOCK, _PARALLEL)
    return "$".join(["scrypt", str(_COST), str(_BLOCK), str(_PARALLEL), b64encode(salt).decode(), kept])


def fits(kept: str, password: bytes) -> bool:
    """Return whether this is the password; takes some 50 ms of the processor and 16 MB, whatever the answer."""
    try:
        scheme, cost, block, parallel, salt, expected = kept.split("$")
        found = _derived(password, b64decode(salt), int(cost), int(block), int(parallel))
    except ValueError:
        return False
    return scheme == "scrypt" and hmac.compare_digest(found, expected)


def _derived(password: bytes, salt: bytes, cost: int, block: int, parallel: int) -> str:
    derived = hashlib.scrypt(password, salt=salt, n=cost, r=block, p=parallel, maxmem=_MEMORY, dklen=32)
    return b64encode(derived).decode()
