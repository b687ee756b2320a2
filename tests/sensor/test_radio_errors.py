"""Every way in which Bluetooth can be missing ends in one sentence with the next step."""

from __future__ import annotations

import pytest
from bleak.exc import BleakBluetoothNotAvailableError, BleakBluetoothNotAvailableReason, BleakDBusError, BleakError

from sensor.radio import RadioError
from sensor.radio_errors import explain


@pytest.mark.parametrize(
    ("reason", "words"),
    [
        (BleakBluetoothNotAvailableReason.NO_BLUETOOTH, "no Bluetooth adapter. Plug one in"),
        (BleakBluetoothNotAvailableReason.NO_BLE_CENTRAL_ROLE, "Bluetooth 4.0 or later"),
        (BleakBluetoothNotAvailableReason.POWERED_OFF, "switched off. Switch it on"),
        (BleakBluetoothNotAvailableReason.DENIED_BY_USER, "Allow it in the system's privacy settings"),
        (BleakBluetoothNotAvailableReason.DENIED_BY_SYSTEM, "Ask its administrator"),
        (BleakBluetoothNotAvailableReason.DENIED_BY_UNKNOWN, "privacy settings"),
        (BleakBluetoothNotAvailableReason.UNKNOWN, "off and on again"),
    ],
)
def test_reasons_of_bleak(reason: BleakBluetoothNotAvailableReason, words: str) -> None:
    assert words in str(explain(BleakBluetoothNotAvailableError("?", reason)))


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("org.freedesktop.DBus.Error.ServiceUnknown", "systemctl start bluetooth"),
        ("org.freedesktop.DBus.Error.AccessDenied", "Ask its administrator"),
        ("org.bluez.Error.NotReady", "switched off"),
        ("org.bluez.Error.Failed", "off and on again"),
    ],
)
def test_errors_of_bluez(name: str, words: str) -> None:
    assert words in str(explain(BleakDBusError(name, ["details"])))


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (FileNotFoundError(2, "No such file"), "D-Bus system bus is missing"),
        (ConnectionRefusedError(111, "refused"), "D-Bus system bus is missing"),
        (PermissionError(13, "denied"), "Ask its administrator"),
        (BleakError("strange"), "(strange)"),
        (TimeoutError(), "(TimeoutError)"),
    ],
)
def test_bare_errors(error: Exception, words: str) -> None:
    assert words in str(explain(error))


def test_every_sentence_names_the_way_without_hardware() -> None:
    errors: list[Exception] = [FileNotFoundError(), PermissionError(), BleakError("?")]
    errors += [BleakBluetoothNotAvailableError("?", reason) for reason in BleakBluetoothNotAvailableReason]
    assert all("`rungwise demo`" in str(explain(error)) for error in errors)


def test_what_is_explained_already_stays() -> None:
    error = RadioError("said")
    assert explain(error) is error
