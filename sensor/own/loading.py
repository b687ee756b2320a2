"""From the text of a description to the description, or to a sentence that names line and key."""

from __future__ import annotations

from math import degrees
from pathlib import Path

from sensor.info import STANDARD_GRAVITY_M_S2
from sensor.limits import DESCRIBED_RATE_HZ
from sensor.own.description import COUNTS, Description, Scaling, Write
from sensor.own.keys import KeyFaultError, Keys, shown
from sensor.own.layout import CELL_FORMS, FORCE, SEQUENCE, TIME, TURN, WIDTHS, Cell, CellError, Layout
from sensor.own.toml_lines import TomlError, last_line_of, line_of, read_toml
from sensor.protocol import ATT_VALUE_MAX, BATTERY_LEVEL_UUID
from sensor.wire import ProtocolError

FORMAT = "rungwise.own-sensor/1"
MOST_BYTES = 16384
FORCE_UNITS = {"g": 1.0, "mg": 1e-3, "m/s2": 1 / STANDARD_GRAVITY_M_S2}
TURN_UNITS = {"deg/s": 1.0, "mdeg/s": 1e-3, "rad/s": degrees(1.0)}
RATE_ERROR = 0.05
"""How far a sensor's rate may be off where nothing else is said: common chips' own oscillators, from memory."""
TIME_ERROR = 0.015
_MOST_WRITES = 16
_LEAST_WRAP_S = 2.0
"""A number that begins anew sooner cannot be told apart from itself a round ago, for packets come in bursts."""
_COARSE = 0.25
"""Largest step of the time, as a share of a notification's, from which a lost one is still seen."""


class DescriptionError(ProtocolError):
    """A description that cannot be used; the message names file, line and key, and says what is allowed."""


def read_description(path: Path) -> Description:
    """Return what a file describes.

    Raises
    ------
    DescriptionError
        When it cannot be read, or is no description.
    """
    try:
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
        return parse(content.decode("utf-8-sig"), str(path))
    except FileNotFoundError:
        raise DescriptionError(f"{path}: no such file; check the path") from None
    except OSError as error:
        raise DescriptionError(f"{path}: cannot be read ({error.strerror}); give a file that can") from error
    except UnicodeDecodeError as error:
        raise DescriptionError(f"{path}: is no text; give a description as TOML in UTF-8") from error


def parse(text: str, file: str = "description") -> Description:
    """Return what a text describes.

    Raises
    ------
    DescriptionError
        When it is no description.
    """
    if len(text.encode("utf-8", "replace")) > MOST_BYTES:
        raise DescriptionError(f"{file}: is longer than {MOST_BYTES} bytes; give the description of one sensor")
    try:
        return _description(text, Keys(read_toml(text)))
    except TomlError as error:
        raise DescriptionError(f"{file}, line {error.line}: {error}") from error
    except KeyFaultError as fault:
        named = ".".join(str(key) for key in fault.path)
        line = last_line_of(text) if fault.at_end else line_of(text, fault.path)
        raise DescriptionError(f"{file}, line {line}, {named}: {fault}") from fault


def _description(text: str, document: Keys) -> Description:
    document.choice("format", (FORMAT,))
    name, (service, advertised, address) = document.text("name"), _find(document.table("find"))
    motion = document.table("motion")
    characteristic, layout = motion.uuid("characteristic"), _layout(motion)
    rate_hz = motion.number("rate_hz", *DESCRIBED_RATE_HZ)
    rate_error = motion.number("rate_error", 0.0001, 0.1, RATE_ERROR)
    motion.finish()
    tick_us, time_of_last, time_error = _time(document, layout, rate_hz)
    description = Description(
        text=text,
        name=name,
        service=service,
        advertised=advertised,
        address=address,
        characteristic=characteristic,
        battery=_battery(document),
        start=tuple(_write(one) for one in document.tables("start", _MOST_WRITES)),
        layout=layout,
        rate_hz=rate_hz,
        rate_error=rate_error if time_error is None else time_error,
        force=_scaling(document.table("force"), layout, FORCE, FORCE_UNITS, (0.5, 1000)),
        turn=_turn(document, layout),
        per_sequence=_per_sequence(document, layout, rate_hz),
        tick_us=tick_us,
        time_of_last=time_of_last,
    )
    document.finish()
    return description


def _find(find: Keys) -> tuple[str | None, str | None, str | None]:
    service = find.uuid("service") if find.has("service") else None
    name = find.text("name") if find.has("name") else None
    address = find.address("address") if find.has("address") else None
    find.finish()
    if service is None and name is None:
        raise KeyFaultError(find.path, "holds neither; give the service or the name that it advertises")
    return service, name, address


def _layout(motion: Keys) -> Layout:
    seen: list[str] = []
    header = _cells(motion, "header", (SEQUENCE, TIME), seen)
    sample = _cells(motion, "sample", (*FORCE, *TURN), seen)
    trailer = _cells(motion, "trailer", (SEQUENCE, TIME), seen)
    missing = [name for name in (*FORCE, *(TURN if set(TURN) & set(seen) else ())) if name not in seen]
    if missing:
        raise motion.fault("sample", f"holds no {missing[0]}; give ax, ay, az, and gx, gy, gz or none of these")
    most = (ATT_VALUE_MAX - _width(header) - _width(trailer)) // _width(sample)
    if most < 1:
        raise motion.fault("sample", f"makes a notification longer than {ATT_VALUE_MAX} bytes, which there is none")
    samples = motion.whole("samples", 1, most, f": a notification is {ATT_VALUE_MAX} bytes at most")
    return Layout(header, sample, trailer, samples, motion.choice("byte_order", ("little", "big"), "little") == "big")


def _width(cells: tuple[Cell, ...]) -> int:
    return sum(cell.width for cell in cells)


def _cells(motion: Keys, key: str, names: tuple[str, ...], seen: list[str]) -> tuple[Cell, ...]:
    cells = []
    for place, text in enumerate(motion.texts(key, None if key == "sample" else [])):
        path = (*motion.path, key, place)
        try:
            cell = Cell.read(text)
        except CellError:
            raise KeyFaultError(path, f"{shown(text)} is not allowed; give {CELL_FORMS}") from None
        if cell.kind and cell.name not in names:
            raise KeyFaultError(path, f"{shown(cell.name)} is not allowed here; give {', '.join(names)}")
        if cell.fixed and key == "sample":
            raise KeyFaultError(path, f"{shown(text)} is not allowed here; skip it, or give it in the header")
        if cell.kind and cell.name in seen:
            raise KeyFaultError(path, f"{shown(cell.name)} is there already; give each once, and skip the rest")
        if cell.name in (SEQUENCE, TIME) and (cell.kind[0] != "u" or cell.minus):
            raise KeyFaultError(path, f"{shown(text)} is not allowed; give u8, u16, u24 or u32")
        seen += [cell.name] if cell.kind else []
        cells.append(cell)
    return tuple(cells)


def _turn(document: Keys, layout: Layout) -> Scaling | None:
    if layout.axes == 3:
        _no_table(document, "turn", "gx, gy, gz in motion.sample")
        return None
    return _scaling(document.table("turn"), layout, TURN, TURN_UNITS, (10, 20000))


def _no_table(document: Keys, key: str, needs: str) -> None:
    if document.has(key):
        raise document.fault(key, f"needs {needs}; add that, or leave [{key}] out")


def _scaling(
    keys: Keys, layout: Layout, names: tuple[str, ...], units: dict[str, float], reaches: tuple[float, float]
) -> Scaling:
    cells = [cell for name in names if (cell := layout.cell(name))]
    kinds, signs = [cell.kind for cell in cells], tuple(-1 if cell.minus else 1 for cell in cells)
    unit_name = keys.choice("unit", tuple(units))
    unit, scale = units[unit_name], keys.number("scale", 1e-9, 1e6)
    per_count, zero = unit * scale, keys.number("zero", -(2**32), 2**32, 0.0)
    low, high = reaches[0] / unit, reaches[1] / unit
    if keys.has("range") or any(kind == "f32" or WIDTHS[kind] > 2 for kind in kinds):
        reach = unit * keys.number("range", low, high)
    else:
        reach = per_count * max(_largest(kind, zero) for kind in kinds)
        if not reaches[0] <= reach <= reaches[1]:
            has = f"gives a range of ±{reach / unit:g} {unit_name}"
            raise keys.fault("scale", f"{has}; give one that makes it {low:g} to {high:g}, or the range itself")
    keys.finish()
    floating = "f32" in kinds
    step = reach / COUNTS if floating else max(per_count, reach / COUNTS)
    if step > 1:
        raise keys.fault("scale", f"is coarser than 1 {next(iter(units))} a count; give a sensor that sees more")
    return Scaling(zero, per_count, step, reach - 1.5 * (step if floating else per_count), signs)


def _largest(kind: str, zero: float) -> float:
    """Return how many counts a whole number of 8 or 16 bits reaches from zero, to its farther side."""
    values = 1 << 8 * WIDTHS[kind]
    low = -(values // 2) if kind[0] == "i" else 0
    return max(zero - low, low + values - zero)


def _per_sequence(document: Keys, layout: Layout, rate_hz: float) -> int:
    cell = layout.cell(SEQUENCE)
    if cell is None:
        _no_table(document, "sequence", 'a number "sequence" in motion.header or motion.trailer')
        return 1
    sequence = document.table("sequence")
    by_notification = sequence.choice("counts", ("notifications", "samples")) == "notifications"
    sequence.finish()
    if by_notification and layout.samples is None:
        raise sequence.fault("counts", "needs to know how many samples a notification has; give motion.samples")
    per_sequence = layout.samples or 1 if by_notification else 1
    if cell.modulus * per_sequence / rate_hz < _LEAST_WRAP_S:
        raise sequence.fault(
            "counts", f"begins anew within {_LEAST_WRAP_S:g} s; skip the sequence, it tells too little"
        )
    return per_sequence


def _time(document: Keys, layout: Layout, rate_hz: float) -> tuple[float, bool, float | None]:
    cell = layout.cell(TIME)
    if cell is None:
        _no_table(document, "time", 'a number "time" in motion.header or motion.trailer')
        return 1.0, False, None
    time = document.table("time")
    tick_us, of_last = time.number("tick_us", 0.1, 1e6), time.choice("of", ("first", "last"), "first") == "last"
    error = time.number("error", 0.0001, 0.1, TIME_ERROR)
    time.finish()
    if cell.modulus * tick_us < _LEAST_WRAP_S * 1e6:
        raise time.fault("tick_us", f"makes the time begin anew within {_LEAST_WRAP_S:g} s; skip the time")
    if layout.cell(SEQUENCE) is None and tick_us > _COARSE * 1e6 * (layout.samples or 1) / rate_hz:
        raise time.fault("tick_us", "is too coarse to see that a notification was lost; skip the time")
    return tick_us, of_last, error


def _battery(document: Keys) -> str:
    if not document.has("battery"):
        return BATTERY_LEVEL_UUID
    battery = document.table("battery")
    characteristic = battery.uuid("characteristic")
    battery.finish()
    return characteristic


def _write(start: Keys) -> Write:
    write = Write(start.uuid("characteristic"), start.octets("hex", ATT_VALUE_MAX), start.truth("response", True))
    start.finish()
    return write
