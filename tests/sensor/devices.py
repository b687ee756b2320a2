"""A device for tests, whose counts say their own index, and readers of what the assembler made of them."""

from dataclasses import dataclass

import numpy as np

from sensor.assembly import Block, Lost, Restart
from sensor.protocol import Info, InfoFlags, Layout, Packet, PacketFlags, encode
from sensor.source import Arrival, Channel

SENSOR = "clip"


def marks(indices, axes=6):
    """Counts that are a function of the index, so that a misplaced sample shows."""
    indices = np.asarray(indices, np.int64)[:, None]
    return ((indices * 31 + np.arange(axes) * 7) % 60000 - 30000).astype(np.int16)


@dataclass
class Device:
    """One boot id: makes the payloads of any stretch of samples."""

    boot_id: int = 7
    rate_hz: float = 100.0
    axes: int = 6
    start_us: int = 0
    layout: Layout = Layout.LARGE
    ring_samples: int = 6000
    clock_ratio: float = 1.0
    flags: InfoFlags = InfoFlags.NONE

    @property
    def info(self):
        turn = 2000 / 32768 if self.axes == 6 else 0.0
        scales = {"force_g_per_count": 2**-12, "turn_deg_s_per_count": turn}
        return Info(
            boot_id=self.boot_id,
            rate_hz=self.rate_hz,
            axes=self.axes,
            ring_samples=self.ring_samples,
            flags=self.flags,
            **scales,
        )

    def time_us(self, index):
        return self.start_us + round(index * 1e6 / self.rate_hz * self.clock_ratio)

    def packet(self, first, n=10, flags=PacketFlags.NONE):
        return Packet(
            boot_tag=self.boot_id & 0xFF,
            first_index=first % 2**32,
            device_us=self.time_us(first),
            counts=marks(np.arange(first, first + n), self.axes),
            flags=flags,
        )

    def says(self, at_s=0.0):
        return Arrival(SENSOR, at_s, Channel.INFO, bytes(self.info))

    def sends(self, first, n=10, at_s=None, flags=PacketFlags.NONE):
        at_s = (first + n) / self.rate_hz if at_s is None else at_s
        return Arrival(SENSOR, at_s, Channel.DATA, encode(self.packet(first, n, flags), self.layout))


def run(assembler, arrivals):
    """All items of a whole stream."""
    items = [item for arrival in arrivals for item in assembler.push(arrival)]
    return items + assembler.finish()


def indices(items):
    """Indices of all samples given, in the order given."""
    return [
        i for item in items if isinstance(item, Block) for i in range(item.first_index, item.first_index + len(item))
    ]


def lost(items):
    """Indices of all samples named as lost."""
    return [i for item in items if isinstance(item, Lost) for i in range(item.first_index, item.end_index)]


def times(items):
    """All sample times, in the order given."""
    blocks = [item.t_s for item in items if isinstance(item, Block)]
    return np.concatenate(blocks) if blocks else np.empty(0)


def restarts(items):
    return [item for item in items if isinstance(item, Restart)]


def assert_true_samples(items, device):
    """Every block holds the samples that its indices say."""
    for item in items:
        if isinstance(item, Block):
            counts = marks(np.arange(item.first_index, item.first_index + len(item)), device.axes)
            np.testing.assert_array_equal(
                item.force_m_s2, counts[:, :3].astype(float) * device.info.force_m_s2_per_count
            )
            assert (item.rate_rad_s is None) == (device.axes == 3)
