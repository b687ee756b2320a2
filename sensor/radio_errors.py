"""What can be wrong with a computer's Bluetooth, in words that say what to do next."""

from __future__ import annotations

from bleak.exc import BleakBluetoothNotAvailableError, BleakBluetoothNotAvailableReason, BleakDBusError, BleakError

FAILURES = (BleakError, OSError, TimeoutError, EOFError)
"""What a radio operation may raise: bleak's own, and what it lets through (no D-Bus: FileNotFoundError)."""
WITHOUT = "or try everything without hardware by `rungwise demo`"

_REASONS = {
    BleakBluetoothNotAvailableReason.NO_BLUETOOTH: "This computer has no Bluetooth adapter. Plug one in",
    BleakBluetoothNotAvailableReason.NO_BLE_CENTRAL_ROLE: (
        "This Bluetooth adapter cannot talk to low-energy sensors. Plug in one that does Bluetooth 4.0 or later"
    ),
    BleakBluetoothNotAvailableReason.POWERED_OFF: (
        "Bluetooth is switched off. Switch it on in the system settings (Linux: `bluetoothctl power on`)"
    ),
    BleakBluetoothNotAvailableReason.DENIED_BY_USER: (
        "This terminal may not use Bluetooth. Allow it in the system's privacy settings and start the terminal anew"
    ),
    BleakBluetoothNotAvailableReason.DENIED_BY_SYSTEM: (
        "The system does not let this user use Bluetooth. Ask its administrator (Linux: the group `bluetooth`)"
    ),
    BleakBluetoothNotAvailableReason.DENIED_BY_UNKNOWN: (
        "The system does not let this program use Bluetooth. Look at its privacy settings"
    ),
}
_DBUS = {
    "org.freedesktop.DBus.Error.ServiceUnknown": (
        "The Bluetooth service is not running. Start it (Linux: `sudo systemctl start bluetooth`)"
    ),
    "org.freedesktop.DBus.Error.AccessDenied": _REASONS[BleakBluetoothNotAvailableReason.DENIED_BY_SYSTEM],
    "org.bluez.Error.NotPermitted": _REASONS[BleakBluetoothNotAvailableReason.DENIED_BY_SYSTEM],
    "org.bluez.Error.NotReady": _REASONS[BleakBluetoothNotAvailableReason.POWERED_OFF],
}
_NO_DBUS = (
    "This computer has no Bluetooth service: the D-Bus system bus is missing. "
    "Install and start BlueZ (Debian, Ubuntu: `sudo apt install bluez`)"
)


NOT_PAIRED = (
    "This sensor speaks only to computers that it is paired with. Pair it in the system's Bluetooth settings "
    "(Linux: `bluetoothctl pair ADDRESS`), then try again."
)
_WANTS_PAIRING = ("encryption", "authentication", "authorization", "notpermitted", "notauthorized")
"""Of an ATT error (Bluetooth Core Specification, Vol 3, Part F, 3.4.1.1: 0x05, 0x08, 0x0F), as the systems tell it."""


class RadioError(Exception):
    """Bluetooth cannot be used, or no sensor is there; the message says what is missing and what to do next."""


def wants_pairing(error: BaseException) -> bool:
    """Return whether a sensor refused because the link is not encrypted."""
    said = "".join(filter(str.isalpha, f"{type(error).__name__} {error}".lower()))
    return any(word in said for word in _WANTS_PAIRING)


def explain(error: Exception) -> RadioError:
    """Return the error of a Bluetooth library or system as a sentence with the next step.

    A missing D-Bus shows as a bare FileNotFoundError or ConnectionRefusedError, not as an error of the library.
    """
    match error:
        case RadioError():
            return error
        case BleakBluetoothNotAvailableError() if error.reason in _REASONS:
            return RadioError(f"{_REASONS[error.reason]}, {WITHOUT}.")
        case BleakDBusError() if error.dbus_error in _DBUS:
            return RadioError(f"{_DBUS[error.dbus_error]}, {WITHOUT}.")
        case FileNotFoundError() | ConnectionRefusedError():
            return RadioError(f"{_NO_DBUS}, {WITHOUT}.")
        case PermissionError():
            return RadioError(f"{_REASONS[BleakBluetoothNotAvailableReason.DENIED_BY_SYSTEM]}, {WITHOUT}.")
        case _:
            said = str(error) or type(error).__name__
            return RadioError(f"Bluetooth does not work here ({said}). Switch it off and on again, {WITHOUT}.")
