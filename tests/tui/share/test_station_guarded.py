"""A station at a gym's broker: with an account and TLS, within its own topics; with a wrong password, in words."""

from __future__ import annotations

import asyncio
from pathlib import Path

from sensor.broker import Access, Address
from sensor.source import SystemClock
from tests.brokers.certificates import Certificates
from tests.brokers.mosquitto import PASSWORDS
from tests.brokers.process import BrokerProcess
from tests.tui.screen_feed import SHOWN
from tui.home import Home
from tui.share.station import NOT_CONNECTED, Station


def station(folder: Path, broker: BrokerProcess, password: str, ca: Path) -> Station:
    return Station(Address.parse(broker.url), Access(password, ca), "rack-3", Home(folder), SystemClock())


async def test_its_account_suffices(
    tmp_path: Path, mosquitto_guarded: BrokerProcess, certificates: Certificates
) -> None:
    async with station(tmp_path, mosquitto_guarded, PASSWORDS["rack-3"], certificates.ca) as one:
        async with asyncio.timeout(30):
            await one.up()
        one.saw(SHOWN["rest"])
        await asyncio.sleep(0.5)
        assert one.link == ""
    assert not list(one.faults)


async def test_a_wrong_password_is_told_and_shown_nowhere(
    tmp_path: Path, mosquitto_guarded: BrokerProcess, certificates: Certificates
) -> None:
    async with station(tmp_path, mosquitto_guarded, "wrong-secret", certificates.ca) as one:
        async with asyncio.timeout(30):
            while not one.why:  # noqa: ASYNC110
                await asyncio.sleep(0.05)
        assert one.link == NOT_CONNECTED
    assert "rack-3" in one.why
    assert "wrong-secret" not in " ".join([one.why, *one.faults, repr(one.__dict__)])
