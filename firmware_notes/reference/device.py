"""What the device does with samples, commands and connections; sans-I/O, runs on MicroPython and CPython.

    imu ──► sampled ──► ring ──► due: live packets first, then re-sent ones ──► radio ──► sent
                control ──► answer (at once, in the radio's interrupt)
                        └─► take (in the loop) ──► a `Setting` is left to do ──► main ──► begin

The ring belongs to one boot id. Whatever breaks the even count of samples (a new rate or range, a FIFO that ran over)
begins another one, so index and time never part.
"""

from . import packet
from .ring import Ring
from .sampling import Timeline

FIRMWARE = (0, 1)
PACKET_MS = 100
"""Live packets hold at most so much, so that the screen stays live."""
LAG_MS = 1000
"""Live samples that wait longer are not sent: the ring keeps them, and the host asks for them."""
REQUESTS_KEPT = 8
RATES_HZ = (25, 50, 100, 200, 400)
FORCE_RANGES_G = (2, 4, 8, 16)
TURN_RANGES_DEG_S = (125, 250, 500, 1000, 2000)


class Setting:
    """Nominal rate (Hz) and ranges (± g, ± degrees a second) of a boot id; do not change one."""

    def __init__(self, boot_id: int, rate_hz: int, force_g: int, turn_deg_s: int) -> None:
        self.boot_id = boot_id
        self.rate_hz, self.force_g, self.turn_deg_s = rate_hz, force_g, turn_deg_s

    def again(self) -> "Setting":
        """Return the same under the next boot id."""
        return Setting((self.boot_id + 1) % (1 << 32), self.rate_hz, self.force_g, self.turn_deg_s)

    def changed(self, command: tuple[int, ...]) -> "Setting | None":
        """Return what `SetRate` or `SetRange` makes of it, under the next boot id; None if this device cannot do it."""
        rate_millihz, force_g, turn_deg_s = self.rate_hz * 1000, self.force_g, self.turn_deg_s
        if command[0] == packet.SET_RATE:
            rate_millihz = command[1]
        else:
            force_g, turn_deg_s = command[1], command[2] or turn_deg_s
        if rate_millihz % 1000 or rate_millihz // 1000 not in RATES_HZ:
            return None
        if force_g not in FORCE_RANGES_G or turn_deg_s not in TURN_RANGES_DEG_S:
            return None
        return Setting((self.boot_id + 1) % (1 << 32), rate_millihz // 1000, force_g, turn_deg_s)


class Device:
    """The sensor without its chips: six axes.

    Parameters
    ----------
    ring
        For 12 bytes a sample.
    setting
        To begin with.
    measured_millihz
        The chip's rate by the board's clock, Hz × 1000, while the nominal one was `setting.rate_hz`. One oscillator
        drives all of the chip's rates, so this serves them all.

    Attributes
    ----------
    setting
        Of the present boot id.
    streaming
        Between `Start` and `Stop` or the end of the connection.
    foretold
        Of the boot id that a host may read of: the present one, or a later one that was asked for and will begin.
    """

    def __init__(self, ring: Ring, setting: Setting, measured_millihz: int) -> None:
        self.ring = ring
        self.streaming = False
        self._ratio = (measured_millihz, setting.rate_hz * 1000)
        self._att_mtu = packet.ATT_MTU_MIN
        self._out = bytearray(packet.ATT_VALUE_MAX)
        self.foretold = setting
        self.begin(setting)

    def begin(self, setting: Setting) -> None:
        """Begin a boot id: the next sample has index 0."""
        self.setting = setting
        # A later one may have been foretold meanwhile, but never an earlier one, nor another of the same boot id.
        if (setting.boot_id - self.foretold.boot_id) % (1 << 32) < 1 << 31:
            self.foretold = setting
        self._timeline = Timeline(self._millihz(setting))
        self.ring.begin(self._millihz(setting))
        self._cursor, self._flags = 0, packet.RESTARTED
        self._requests: list[tuple[int, int]] = []
        self._due: tuple[int, int, bool] | None = None

    def sampled(self, samples: bytes | bytearray | memoryview, held: int, now_us: int) -> None:
        """Take in what the FIFO gave; when it held `held` samples, the last of these had just been taken, `now_us`."""
        self._timeline.note(self.ring.next + held - 1, now_us)
        self.ring.push(samples, self._timeline.time_ns(self.ring.next))

    def connected(self) -> None:
        """Begin a connection: nothing is sent before the host says `Start`."""
        self._att_mtu = packet.ATT_MTU_MIN
        self.stop()

    def agreed(self, att_mtu: int) -> None:
        """Use the ATT MTU that host and device agreed on."""
        self._att_mtu = att_mtu

    def stop(self) -> None:
        """Send nothing more, by command or because the host is gone; sampling goes on."""
        self.streaming = False
        self._requests = []

    def information(self, setting: Setting) -> bytes:
        """Return the information characteristic of a boot id."""
        ranges, bits = (setting.force_g, setting.turn_deg_s), packet.SIX_AXES | packet.CAN_RESEND
        rate = self._millihz(setting)
        return packet.information(setting.boot_id, rate, ranges, self.ring.capacity, bits, FIRMWARE)

    def answer(self, payload: bytes, now_us: int) -> tuple[int, bytes] | None:
        """Say what the host may read as soon as its write is done; may be called between any two steps of the rest.

        Returns
        -------
        (packet.MARK, value of the control characteristic), or
        (packet.SET_RATE, value of the information): of the boot id that begins when the loop comes to it, or
        None where there is nothing new to read.
        """
        command = packet.command(payload)
        if command is None or command[0] not in (packet.MARK, packet.SET_RATE, packet.SET_RANGE):
            return None
        if command[0] == packet.MARK:
            return packet.MARK, packet.mark(command[1], self._timeline.next_index(now_us), now_us)
        setting = self.foretold.changed(command)
        if setting is None:
            return None
        self.foretold = setting
        return packet.SET_RATE, self.information(setting)

    def take(self, payload: bytes) -> Setting | None:
        """Carry out a command that `answer` has seen.

        Returns
        -------
        Setting
            After `SetRate` and `SetRange`: what to set on the chip; then `begin`.
        None
            Nothing is left to do; also where this is no command, or the device cannot do it.
        """
        command = packet.command(payload)
        if command is None:
            return None
        opcode = command[0]
        if opcode in (packet.SET_RATE, packet.SET_RANGE):
            return self.setting.changed(command)
        if opcode == packet.START and not self.streaming:
            self.streaming, self._cursor = True, self.ring.next
        elif opcode == packet.STOP:
            self.stop()
        elif opcode == packet.RESEND and len(self._requests) < REQUESTS_KEPT:
            self._request(command[1], command[2])
        return None

    def due(self) -> memoryview | None:
        """Return the packet to send now, until the next call; None if there is none."""
        self._due = (self._live() or self._resent()) if self.streaming else None
        return None if self._due is None else self._packet(self._due)

    def sent(self) -> None:
        """Take note that the packet of the last `due` is on its way; without this the same samples are due again."""
        assert self._due is not None
        first, count, live = self._due
        if live:
            self._cursor, self._flags = first + count, 0
        else:
            self._requests[0] = (first + count, self._requests[0][1])

    def _millihz(self, setting: Setting) -> int:
        measured, nominal = self._ratio
        return (setting.rate_hz * 1000 * measured + nominal // 2) // nominal

    def _request(self, first: int, count: int) -> None:
        # The host counts modulo 2**32: of all indices equal to its own, the one nearest to the present.
        now, half = self.ring.next, 1 << 31
        first = now + (first - now + half) % (1 << 32) - half
        self._requests.append((first, first + count))

    def _live(self) -> tuple[int, int, bool] | None:
        rate_hz = self.setting.rate_hz
        size = min(packet.max_samples(self._att_mtu, 6), max(1, rate_hz * PACKET_MS // 1000))
        waiting = self.ring.next - self._cursor
        if waiting < size:
            return None
        if waiting > size + rate_hz * LAG_MS // 1000:
            self._cursor = self.ring.next - size
            self._flags |= packet.DROPPED
        return self._cursor, size, True

    def _resent(self) -> tuple[int, int, bool] | None:
        while self._requests:
            first, end = self._requests[0]
            # What lies from the cursor on comes live; what is older than the ring is gone.
            first, stop = max(first, self.ring.oldest), min(end, self._cursor)
            if first < stop:
                return first, min(stop - first, packet.max_samples(self._att_mtu, 6)), False
            self._requests.pop(0)
        return None

    def _packet(self, due: tuple[int, int, bool]) -> memoryview:
        first, count, live = due
        layout = packet.layout_for(self._att_mtu)
        start = packet.header_bytes(layout)
        end = start + count * self.ring.sample_bytes
        self.ring.copy(first, count, self._out, start)
        flags = self._flags if live else packet.RESENT
        if packet.saturated(self._out[start:end]):
            flags |= packet.SATURATED
        packet.put_header(self._out, layout, flags, self.setting.boot_id, first, self.ring.time_us(first), 6)
        return memoryview(self._out)[:end]
