"""The hub's commands, as they are typed."""

from __future__ import annotations

import socket
import ssl
import stat
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests.brokers.certificates import Certificates
from tui.cli import main
from tui.home import Home
from tui.hub.accounts import fits, load
from tui.hub.certificate import Files
from tui.hub.command import accounts_file


def run(home: Path, *words: str, typed: str = "") -> Result:
    return CliRunner().invoke(main, ["--home", str(home), "hub", *words], input=typed)


def refused(result: Result) -> str:
    """Return the one line that it ended with."""
    assert result.exit_code == 2, result.output
    (line,) = result.stderr.splitlines()
    return line


def test_a_password_is_asked_twice_and_kept_as_a_hash(tmp_path: Path) -> None:
    result = run(tmp_path, "account", "rack-3", "--gateway", "board-3", typed="blue-kettle\nblue-kettle\n")
    assert result.exit_code == 0, result.output
    assert "blue-kettle" not in result.output
    made = load(accounts_file(Home(tmp_path)))["rack-3"]
    assert fits(made.kept, b"blue-kettle")
    assert made.gateways == ("board-3",)
    assert not made.coach


def test_two_passwords_that_differ_are_asked_for_again(tmp_path: Path) -> None:
    result = run(tmp_path, "account", "anna", "--coach", typed="blue-kettle\nblue-kettel\nred-kettle\nred-kettle\n")
    assert result.exit_code == 0
    made = load(accounts_file(Home(tmp_path)))["anna"]
    assert fits(made.kept, b"red-kettle")
    assert made.coach


def test_a_password_may_come_from_a_file_or_the_environment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "word"
    file.write_text("blue-kettle\r\nnot this\n")
    assert run(tmp_path, "account", "rack-3", "--password-file", str(file)).exit_code == 0
    monkeypatch.setenv("RUNGWISE_MQTT_PASSWORD", "cold-lantern")
    assert run(tmp_path, "account", "rack-4").exit_code == 0
    held = load(accounts_file(Home(tmp_path)))
    assert fits(held["rack-3"].kept, b"blue-kettle")
    assert fits(held["rack-4"].kept, b"cold-lantern")


def test_a_name_that_cannot_be_one_is_told_before_a_password_is_asked(tmp_path: Path) -> None:
    assert "rack-3" in refused(run(tmp_path, "account", "Rack 3", typed="blue-kettle\nblue-kettle\n"))
    assert "rack-3" in refused(run(tmp_path, "account", "x", "--gateway", "+", typed="blue-kettle\nblue-kettle\n"))
    assert load(accounts_file(Home(tmp_path))) == {}


@pytest.mark.parametrize("words", [["--remove"], ["--coach"], ["rack-3", "--remove", "--coach"]])
def test_an_option_that_would_do_nothing_is_told(tmp_path: Path, words: list[str]) -> None:
    run(tmp_path, "account", "rack-3", typed="blue-kettle\nblue-kettle\n")
    result = run(tmp_path, "account", *words)
    assert result.exit_code == 2
    assert ("goes alone" if "rack-3" in words else "whose account") in result.stderr
    assert set(load(accounts_file(Home(tmp_path)))) == {"rack-3"}


def test_a_gym_has_a_name_that_can_stand_in_a_topic(tmp_path: Path) -> None:
    assert "cannot be the name of a station, gateway, gym" in refused(run(tmp_path, "--gym", "The Valley"))


def test_accounts_are_listed_and_removed(tmp_path: Path) -> None:
    assert "No accounts yet" in run(tmp_path, "account").output
    run(tmp_path, "account", "anna", "--coach", typed="blue-kettle\nblue-kettle\n")
    run(tmp_path, "account", "rack-3", "--gateway", "board-3", typed="blue-kettle\nblue-kettle\n")
    listed = run(tmp_path, "account").output
    assert "anna: A coach" in listed
    assert "reads the gateways board-3" in listed
    assert run(tmp_path, "account", "anna", "--remove").exit_code == 0
    assert set(load(accounts_file(Home(tmp_path)))) == {"rack-3"}
    assert "no account 'anna'" in refused(run(tmp_path, "account", "anna", "--remove"))


def test_nobody_listens_openly_without_accounts_and_a_certificate(tmp_path: Path) -> None:
    def said() -> str:
        return refused(run(tmp_path, "--listen", "0.0.0.0:28883"))

    both = ("`rungwise hub account NAME`", "`rungwise hub certificate NAME`")
    assert all(one in said() for one in both)
    run(tmp_path, "account", "rack-3", typed="blue-kettle\nblue-kettle\n")
    assert all(one in said() for one in both), "no certificate"
    run(tmp_path, "account", "rack-3", "--remove")
    run(tmp_path, "certificate", "localhost")
    assert all(one in said() for one in both), "no accounts"


@pytest.mark.parametrize("listen", ["127.0.0.1", "[::1]"])
def test_a_port_that_is_taken_is_one_sentence(tmp_path: Path, listen: str) -> None:
    kind = socket.AF_INET6 if listen == "[::1]" else socket.AF_INET
    with socket.socket(kind) as taken:
        try:
            taken.bind((listen.strip("[]"), 0))
        except OSError as error:
            pytest.skip(f"this computer has no {listen}: {error}")
        taken.listen()
        at = f"{listen}:{taken.getsockname()[1]}"
        assert f"Something else listens on {at} already" in refused(run(tmp_path, "--listen", at))


def test_an_address_of_another_computer_is_one_sentence(tmp_path: Path) -> None:
    run(tmp_path, "account", "rack-3", typed="blue-kettle\nblue-kettle\n")
    run(tmp_path, "certificate", "localhost")
    said = refused(run(tmp_path, "--listen", "192.0.2.1:28883"))  # RFC 5737: nobody's
    assert "192.0.2.1 is no address of this computer" in said


@pytest.mark.parametrize("missing", ["amqtt.broker", "amqtt.adapters"])
def test_without_the_broker_it_is_said_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, missing: str
) -> None:
    for module in ("serving", "routing", "gate"):
        monkeypatch.delitem(sys.modules, f"tui.hub.{module}", raising=False)
    monkeypatch.setitem(sys.modules, missing, None)
    assert "pip install 'rungwise[hub]'" in refused(run(tmp_path, "--listen", "127.0.0.1:28884"))


@pytest.mark.parametrize("name", ["", "a b", "*", "gym/3", "ä.example", "a" * 64 + ".example", "a." * 130 + "example"])
def test_a_certificate_is_for_names_of_computers(tmp_path: Path, name: str) -> None:
    assert "neither a name nor an address" in refused(run(tmp_path, "certificate", name))


def test_a_certificate_that_is_none_is_told_without_a_librarys_words(tmp_path: Path) -> None:
    file = tmp_path / "a.pem"
    file.write_text("this is none\n")
    said = refused(run(tmp_path, "--cert", str(file), "--key", str(file)))
    assert said == f"rungwise: {file} is no certificate that can be read (PEM): give one by --cert."


def test_a_certificate_is_one_that_a_client_takes(tmp_path: Path) -> None:
    """As OpenSSL checks it, by name and by address (RFC 6125); the next one is of the same authority."""
    for names in (("localhost", "127.0.0.1"), ("gym.example",), (f"{'a' * 63}.gym.example",)):
        assert run(tmp_path, "certificate", *names).exit_code == 0
        files = Files(Home(tmp_path).hub)
        for name in names:
            assert agreed(files, name)
        with pytest.raises(ssl.SSLCertVerificationError):
            agreed(files, "elsewhere.example")
    for secret in (files.key, files.authority_key):
        assert stat.S_IMODE(secret.stat().st_mode) == 0o600


def agreed(files: Files, name: str) -> bool:
    """Shake hands in memory, with the strictest checks there are (X509_V_FLAG_X509_STRICT)."""
    client = ssl.create_default_context(cafile=str(files.authority))
    client.verify_flags |= ssl.VERIFY_X509_STRICT
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(files.certificate, files.key)
    there, back = ssl.MemoryBIO(), ssl.MemoryBIO()
    sides = [
        client.wrap_bio(back, there, server_hostname=name),
        server.wrap_bio(there, back, server_side=True),
    ]
    for _ in range(4):
        for side in sides:
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                continue
    return sides[0].version() is not None


@pytest.mark.parametrize(
    ("which", "said"), [("expired", "ended on"), ("missing", "no certificate"), ("mixed", "cannot be used together")]
)
def test_a_certificate_that_cannot_be_used_is_told(
    tmp_path: Path, certificates: Certificates, which: str, said: str
) -> None:
    pair = certificates.expired if which == "expired" else certificates.right
    cert = tmp_path / "none.pem" if which == "missing" else pair.cert
    key = certificates.wrong_name.key if which == "mixed" else pair.key
    at = ("--listen", "127.0.0.1:28885", "--cert", str(cert), "--key", str(key))
    assert said in refused(run(tmp_path, *at))


def test_a_certificate_needs_its_key(tmp_path: Path) -> None:
    assert "go together" in refused(run(tmp_path, "--cert", str(tmp_path / "a.pem")))
