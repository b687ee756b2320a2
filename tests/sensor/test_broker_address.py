"""Where a broker is: what is taken, what is refused, and that no password is ever shown."""

import ssl
from pathlib import Path

import pytest
from stepclock import StepClock

from sensor.broker import Access, Address, Broker, BrokerError

SECRET = "korund-7"


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("mqtt://localhost", Address("localhost", 1883, tls=False)),
        ("mqtt://127.8.0.1:9001", Address("127.8.0.1", 9001, tls=False)),
        ("mqtt://[::1]", Address("::1", 1883, tls=False)),
        ("mqtts://broker.example", Address("broker.example", 8883, tls=True)),
        ("mqtts://rack-3@broker.example:9443/valley", Address("broker.example", 9443, True, "rack-3", "valley")),
    ],
)
def test_address_of_text(text: str, meant: Address) -> None:
    # Ports: IANA service names mqtt 1883, secure-mqtt 8883.
    assert Address.parse(text) == meant
    assert Address.parse(str(meant)) == meant


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("localhost", "begins with mqtt://"),
        ("http://localhost", "begins with mqtt://"),
        ("mqtts://", "needs one host"),
        ("mqtts:///valley", "needs one host"),
        ("mqtts://a,b", "needs one host"),
        ("mqtts://broker.example?x=1", "needs one host"),
        ("mqtts://broker.example:70000", "The port"),
        ("mqtts://broker.example:x", "The port"),
        ("mqtts://broker.example/a/b", "The name of a gym"),
        ("mqtts://broker.example/Valley", "The name of a gym"),
        ("mqtts://broker.example/..", "The name of a gym"),
        ("mqtts://a b@broker.example", "The name before @"),
        ("mqtt://broker.example", "mqtts://broker.example"),
        ("mqtt://192.168.1.4", "mqtts://192.168.1.4"),
        ("mqtt://127.0.0.1.example", "mqtts://127.0.0.1.example"),
    ],
)
def test_refuses_with_what_to_do(text: str, told: str) -> None:
    with pytest.raises(BrokerError, match=told):
        Address.parse(text)


@pytest.mark.parametrize(
    "password", [SECRET, f"a@{SECRET}", f"a/{SECRET}", f"a#{SECRET}", f"a?{SECRET}", f"9:{SECRET}"]
)
@pytest.mark.parametrize("scheme", ["mqtt", "mqtts", "MQTT", "http"])
def test_password_in_an_address_is_refused_and_not_repeated(password: str, scheme: str) -> None:
    with pytest.raises(BrokerError) as caught:
        Address.parse(f"{scheme}://rack-3:{password}@broker.example")
    error: BaseException | None = caught.value
    while error is not None:
        assert SECRET not in str(error)
        error = error.__cause__ or error.__context__


def test_password_is_in_no_representation() -> None:
    access = Access(SECRET)
    broker = Broker(Address.parse("mqtt://localhost"), access, name="rack-3", clock=StepClock())
    for one in (access, broker, broker._login, broker.link):
        assert SECRET not in f"{one!r} {one!s}"


def test_certificates_are_always_checked_and_old_tls_is_refused() -> None:
    # RFC 8996 deprecates TLS 1.0 and 1.1; Python's ssl: create_default_context, CERT_REQUIRED, check_hostname.
    context = Access().tls()
    assert context.verify_mode is ssl.CERT_REQUIRED
    assert context.check_hostname
    assert context.minimum_version >= ssl.TLSVersion.TLSv1_2


def test_file_that_is_no_authority_is_told(tmp_path: Path) -> None:
    path = tmp_path / "gym.pem"
    with pytest.raises(BrokerError, match=r"gym\.pem cannot be read"):
        Access(ca=path).tls()
    path.write_text("no certificate")
    with pytest.raises(BrokerError, match=r"gym\.pem cannot be read"):
        Access(ca=path).tls()
