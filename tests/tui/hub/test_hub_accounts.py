"""Accounts are kept as hashes, for nobody but the user to read."""

from __future__ import annotations

import stat
from base64 import b64encode
from pathlib import Path

import pytest

from tui.home import Home
from tui.hub.accounts import Account, fits, hashed, load, save
from tui.hub.command import keep_account
from tui.hub.errors import HubError
from tui.share.topics import TopicError


def test_a_password_is_known_again_and_not_kept(tmp_path: Path) -> None:
    file = tmp_path / "hub" / "accounts.json"
    made = Account("rack-3", hashed("blue-kettle"), gateways=("board-3",))
    save(file, {"rack-3": made})
    assert "blue-kettle" not in file.read_text()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert load(file) == {"rack-3": made}
    assert fits(made.kept, b"blue-kettle")
    assert not fits(made.kept, b"blue-kettlf")
    assert not fits(made.kept, b"")


def test_the_same_password_is_kept_differently_each_time() -> None:
    assert hashed("blue-kettle") != hashed("blue-kettle")


def test_what_is_kept_is_scrypt_as_published() -> None:
    """RFC 7914, 12: the first 32 of the 64 bytes of its example with N 16384, r 8, p 1."""
    published = "7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2"
    salt, derived = (b64encode(one).decode() for one in (b"SodiumChloride", bytes.fromhex(published)))
    assert fits(f"scrypt$16384$8$1${salt}${derived}", b"pleaseletmein")


def test_a_file_that_others_can_read_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "accounts.json"
    save(file, {})
    file.chmod(0o640)
    with pytest.raises(HubError, match="chmod 600"):
        load(file)


@pytest.mark.parametrize(
    "text", ["", "[]", "{}", '{"format": "rungwise.hub/1"}', '{"format": "other", "accounts": []}']
)
def test_a_file_that_holds_no_accounts_is_no_way_in(tmp_path: Path, text: str) -> None:
    """A broken file must not read as one without accounts, which lets everybody in."""
    file = tmp_path / "accounts.json"
    file.write_text(text)
    file.chmod(0o600)
    with pytest.raises(HubError):
        load(file)


def test_no_file_is_no_accounts(tmp_path: Path) -> None:
    assert load(tmp_path / "accounts.json") == {}


@pytest.mark.parametrize("name", ["", "+", "#", "Rack 3", "a/b", "../x", "-a", "x" * 33, "ä"])
def test_an_account_has_a_name_that_can_stand_in_a_topic(tmp_path: Path, name: str) -> None:
    with pytest.raises(TopicError, match="cannot be the name"):
        keep_account(Home(tmp_path), name, "blue-kettle", coach=False, gateways=())


def test_a_short_password_is_refused() -> None:
    with pytest.raises(HubError, match="8 characters"):
        hashed("seven77")


@pytest.mark.parametrize("kept", ["", "scrypt", "scrypt$1$2$3$4$5", "plain$16384$8$1$AAAA$blue-kettle", "a$b$c$d$e$f"])
def test_a_hash_that_is_none_fits_nothing(kept: str) -> None:
    assert not fits(kept, b"blue-kettle")
