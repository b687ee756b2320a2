"""What `bumble` says, in the words of `bleak`: errors, advertisements, UUIDs."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from contextlib import contextmanager
from typing import cast
from uuid import UUID

from bleak.backends.scanner import AdvertisementData
from bleak.exc import BleakError
from bumble import core
from bumble.core import AdvertisingData, BaseBumbleError
from bumble.device import Advertisement

_UUID_LISTS = (
    AdvertisingData.COMPLETE_LIST_OF_128_BIT_SERVICE_CLASS_UUIDS,
    AdvertisingData.INCOMPLETE_LIST_OF_128_BIT_SERVICE_CLASS_UUIDS,
    AdvertisingData.COMPLETE_LIST_OF_16_BIT_SERVICE_CLASS_UUIDS,
    AdvertisingData.INCOMPLETE_LIST_OF_16_BIT_SERVICE_CLASS_UUIDS,
)


@contextmanager
def bleak_errors() -> Iterator[None]:
    """Turn what `bumble` raises into what bleak's users expect.

    When the link goes, bumble cancels the future that an operation waits for; that looks like a cancelled task, so the
    two are told apart here.
    """
    try:
        yield
    except asyncio.CancelledError:
        task = asyncio.current_task()
        if task is not None and task.cancelling():
            raise
        raise BleakError("the link was lost during the operation") from None
    except (BaseBumbleError, OSError) as error:
        raise BleakError(str(error) or type(error).__name__) from error


def advertisement_data(heard: Advertisement) -> AdvertisementData:
    """Return an advertisement in bleak's form."""
    names = [
        name
        for kind in (AdvertisingData.COMPLETE_LOCAL_NAME, AdvertisingData.SHORTENED_LOCAL_NAME)
        for name in heard.data.get_all(kind)
    ]
    lists = [cast("list[core.UUID]", found) for kind in _UUID_LISTS for found in heard.data.get_all(kind)]
    uuids = [uuid_text(uuid) for found in lists for uuid in found]
    makers = heard.data.get_all(AdvertisingData.MANUFACTURER_SPECIFIC_DATA)
    return AdvertisementData(
        local_name=names[0] if names else None,
        manufacturer_data={company: bytes(data) for company, data in makers},
        service_data={},
        service_uuids=list(dict.fromkeys(uuids)),
        tx_power=None,
        rssi=heard.rssi,
        platform_data=(heard,),
    )


def uuid_text(uuid: core.UUID) -> str:
    """Return a UUID of any length as 128 bits in the usual notation."""
    return str(UUID(bytes=bytes(uuid.to_bytes(force_128=True))[::-1]))
