"""One bus and one stand-in for the Bluetooth daemon for all tests here."""

from __future__ import annotations

import sys
from collections.abc import Iterator

import pytest

from sensor.virtual.motion import FileFeed
from sensor.virtual.process_setup import Setup
from tests.air.bus import ADDRESS_VARIABLE, MISSING, has_daemon, private_bus
from tests.air.routes import OwnBackend, Route, StockBleak
from tests.air.stand_in import StandIn, stand_in
from tests.air.streaming import SPEED, write_turning

MOTION_S = 600


@pytest.fixture(scope="session")
def bus() -> Iterator[str]:
    """Address of a private bus; where there is no D-Bus to be had, the test is skipped."""
    if sys.platform != "linux":
        pytest.skip("bleak's BlueZ backend is for Linux only")
    if not has_daemon():
        pytest.skip(MISSING)
    with private_bus() as address:
        yield address


@pytest.fixture(scope="session")
def running_daemon(bus: str) -> Iterator[StandIn]:
    with stand_in(bus) as daemon:
        yield daemon


@pytest.fixture
def daemon(running_daemon: StandIn, monkeypatch: pytest.MonkeyPatch) -> StandIn:
    """The stand-in, on what bleak takes for the system's bus."""
    monkeypatch.setenv(ADDRESS_VARIABLE, running_daemon.bus_address)
    return running_daemon


@pytest.fixture(params=["A", pytest.param("B", marks=pytest.mark.stock_bleak)])
def route(request: pytest.FixtureRequest) -> Route:
    """Route A: our backend on the virtual link; route B: bleak as it is, on the stand-in."""
    return OwnBackend() if request.param == "A" else StockBleak(request.getfixturevalue("daemon"))


@pytest.fixture
def stock(daemon: StandIn) -> StockBleak:
    return StockBleak(daemon)


@pytest.fixture(scope="session")
def setup(tmp_path_factory: pytest.TempPathFactory) -> Setup:
    """A sensor that turns on the spot for ten minutes of its own time."""
    path = tmp_path_factory.mktemp("motion") / "turning.csv"
    write_turning(path, 100, MOTION_S)
    return Setup(feed=FileFeed(path), speed=SPEED)
