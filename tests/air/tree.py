"""Objects on a D-Bus: what they are, and the signals by which others learn of it.

Source: D-Bus Specification 0.43, "Standard Interfaces" (Properties, ObjectManager).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from dbus_fast import Message, Variant
from dbus_fast.aio import MessageBus

OBJECT_MANAGER = "org.freedesktop.DBus.ObjectManager"
PROPERTIES = "org.freedesktop.DBus.Properties"
Values = dict[str, Variant]


class RefusalError(Exception):
    """What a method call is answered with when it fails."""

    def __init__(self, name: str, text: str = "") -> None:
        super().__init__(text)
        self.name = name


class Tree:
    """Objects by path, each with the properties of its interfaces."""

    def __init__(self, bus: MessageBus) -> None:
        self._bus = bus
        self._objects: dict[str, dict[str, Values]] = {}

    def __contains__(self, path: str) -> bool:
        return path in self._objects

    def add(self, path: str, interface: str, **values: Variant) -> None:
        """Put an object there, and tell."""
        self._objects[path] = {interface: values}
        self._signal("/", OBJECT_MANAGER, "InterfacesAdded", "oa{sa{sv}}", [path, self._objects[path]])

    def remove(self, path: str) -> None:
        """Take an object and all below it away, deepest first, and tell."""
        for found in sorted((p for p in self._objects if p == path or p.startswith(path + "/")), reverse=True):
            interfaces = list(self._objects.pop(found))
            self._signal("/", OBJECT_MANAGER, "InterfacesRemoved", "oas", [found, interfaces])

    def change(self, path: str, interface: str, *, without: Iterable[str] = (), **values: Variant) -> None:
        """Change properties of an object that is there, and tell."""
        if path not in self._objects:
            return
        held = self._objects[path][interface]
        held.update(values)
        for name in without:
            held.pop(name, None)
        self._signal(path, PROPERTIES, "PropertiesChanged", "sa{sv}as", [interface, values, list(without)])

    def value(self, path: str, interface: str, name: str) -> Any:
        """Return a property's value."""
        return self._objects[path][interface][name].value

    def answer(self, call: Message) -> tuple[str, list[Any]]:
        """Answer a call of one of the standard interfaces; return signature and body."""
        if call.member == "GetManagedObjects":
            return "a{oa{sa{sv}}}", [self._objects]
        held = self._objects[call.path][call.body[0]]
        match call.member:
            case "Get":
                return "v", [held[call.body[1]]]
            case "GetAll":
                return "a{sv}", [held]
        raise RefusalError("org.freedesktop.DBus.Error.PropertyReadOnly", str(call.member))

    def _signal(self, path: str, interface: str, member: str, signature: str, body: list[Any]) -> None:
        self._bus.send(Message.new_signal(path, interface, member, signature, body))
