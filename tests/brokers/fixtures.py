"""Brokers, certificates and the proxy as fixtures, for every test (`tests/conftest.py`)."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import pytest

from tests.brokers import mosquitto as mosquittos
from tests.brokers.certificates import Certificates
from tests.brokers.embedded import embedded
from tests.brokers.embedded import guarded as guarded_hub
from tests.brokers.process import BrokerProcess
from tests.brokers.proxy import Proxy


@pytest.fixture(scope="session")
def certificates(tmp_path_factory: pytest.TempPathFactory) -> Certificates:
    """Right and wrong certificates for this machine."""
    return Certificates(tmp_path_factory.mktemp("certificates"))


@pytest.fixture
def hub(tmp_path: Path) -> Iterator[BrokerProcess]:
    """`rungwise hub`, for anybody on this machine; always there."""
    with embedded(_room(tmp_path, "hub")) as running:
        yield running


@pytest.fixture
def hub_guarded(tmp_path: Path, certificates: Certificates) -> Iterator[BrokerProcess]:
    """`rungwise hub` with TLS (`certificates.ca`) and accounts (`mosquitto.PASSWORDS`)."""
    with guarded_hub(_room(tmp_path, "hub"), certificates.right, mosquittos.PASSWORDS) as running:
        yield running


@pytest.fixture
def mosquitto(tmp_path: Path) -> Iterator[BrokerProcess]:
    """Mosquitto, for anybody on this machine."""
    with mosquittos.plain(_mosquitto_room(tmp_path)) as running:
        yield running


@pytest.fixture
def mosquitto_guarded(tmp_path: Path, certificates: Certificates) -> Iterator[BrokerProcess]:
    """Mosquitto with TLS (`certificates.ca`), accounts (`mosquitto.PASSWORDS`) and the package's rules."""
    with mosquittos.guarded(_mosquitto_room(tmp_path), certificates.right) as running:
        yield running


@pytest.fixture(params=["hub_guarded", "mosquitto_guarded"])
def broker_guarded(request: pytest.FixtureRequest) -> BrokerProcess:
    """Each of both brokers, with TLS and accounts; both say the same."""
    chosen: BrokerProcess = request.getfixturevalue(request.param)
    return chosen


@pytest.fixture(params=["hub", "mosquitto"])
def broker(request: pytest.FixtureRequest) -> BrokerProcess:
    """Each of both brokers, for anybody on this machine."""
    chosen: BrokerProcess = request.getfixturevalue(request.param)
    return chosen


@pytest.fixture
async def proxy(broker: BrokerProcess) -> AsyncIterator[Proxy]:
    """A way to `broker` (or whatever a test has as its `broker`) with faults on command."""
    async with Proxy(broker.port) as between:
        yield between


def _room(tmp_path: Path, name: str) -> Path:
    room = tmp_path / name
    room.mkdir()
    return room


def _mosquitto_room(tmp_path: Path) -> Path:
    if mosquittos.program() is None:
        pytest.skip(mosquittos.MISSING)
    return _room(tmp_path, "mosquitto")
