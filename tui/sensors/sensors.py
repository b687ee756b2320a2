"""What is known of each sensor, kept in the home folder: one JSON file, replaced as a whole, never half written."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from pathlib import Path
from typing import Any

import numpy as np
from cattrs import ClassValidationError
from cattrs.preconf.json import make_converter

from analysis.motion.samples import FloatArray
from sensor.calibrate import Belief, refine
from sensor.calibration import Calibration
from sensor.postures import Seen
from sensor.protocol import Info, InfoFlags
from tui.home import HomeError
from tui.whole import write_whole

FORMAT = "rungwise.sensors/1"
MET_KEPT = 24
"""Sensors remembered, those met last; a name or a calibration keeps one for good."""
_LARGEST_GAIN = 2.0


class SensorsError(HomeError):
    """The file of sensors cannot be used; the message names it and says what to do next."""


class How(StrEnum):
    """How a calibration was made; the values are written to the file: never change them."""

    SIDES = "six sides"
    FREE = "free postures"
    SESSION = "sessions"


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known of one sensor.

    Attributes
    ----------
    belief
        Bias and gain, and how sure they are.
    how, postures
        Where that is from; of the last time.
    learnt_utc_us
        When, µs since 1970-01-01 UTC.
    """

    belief: Belief
    how: How
    postures: int
    learnt_utc_us: int

    @property
    def calibration(self) -> Calibration:
        """What is applied to the sensor's counts."""
        return Calibration(force=self.belief.correction)


@dataclass(frozen=True, slots=True, kw_only=True)
class Met:
    """A sensor that was met, as it is called and set.

    Attributes
    ----------
    seen_utc_us
        When last, µs since 1970-01-01 UTC.
    advertised
        The name that it gives itself.
    name
        The one that it was given here; None: none.
    firmware
        What it said that it runs; None: it did not say.
    calibrated
        Whether it said that its maker calibrated it.
    rate_hz, force_g, turn_deg_s
        What it is set to at each connection; None: as it comes.
    """

    seen_utc_us: int
    advertised: str = ""
    name: str | None = None
    firmware: str | None = None
    calibrated: bool = False
    rate_hz: float | None = None
    force_g: int | None = None
    turn_deg_s: int | None = None


@dataclass(frozen=True, slots=True)
class _Document:
    format: str
    sensors: dict[str, Known]
    met: dict[str, Met] = field(default_factory=dict)


_converter = make_converter()


def met_with(before: Met | None, info: Info, utc_us: int) -> Met:
    """Return what is remembered of a sensor that says now what it is."""
    return replace(
        before or Met(seen_utc_us=utc_us),
        seen_utc_us=utc_us,
        firmware=firmware_of(info),
        calibrated=InfoFlags.CALIBRATED in info.flags,
    )


def firmware_of(info: Info) -> str:
    """Return the version of the firmware as it is written."""
    return ".".join(map(str, info.firmware))


def address_of(met: Mapping[str, Met], wanted: str) -> str:
    """Return the address of the sensor that was given this name here; `wanted` itself where none was."""
    return next((sensor_id for sensor_id, one in met.items() if one.name == wanted), wanted)


def calibration_of(known: Mapping[str, Known], sensor_id: str) -> Calibration:
    """Return what to apply to a sensor; nothing to one that is not known."""
    return known[sensor_id].calibration if sensor_id in known else Calibration()


class SensorFile:
    """The file that holds what is known of each sensor, by its id.

    Parameters
    ----------
    path
        The file; it need not exist yet, its folder must.
    """

    def __init__(self, path: Path) -> None:
        self.path = path

    def read(self) -> dict[str, Known]:
        """Return what is known of each sensor; nothing before the first was learnt.

        Raises
        ------
        SensorsError
            When the file cannot be read, or is not what `keep` wrote. It is left as it is.
        """
        return self._read().sensors

    def met(self) -> dict[str, Met]:
        """Return the sensors met, the latest last; raises as `read`."""
        return dict(sorted(self._read().met.items(), key=lambda one: one[1].seen_utc_us))

    def keep(self, sensor_id: str, known: Known) -> None:
        """Replace what is known of one sensor; the others stay as the file has them now.

        The new file is complete on the disk before it takes the old one's name, so an end at any moment leaves one of
        the two. Of two programs that keep at the very same moment the later one's file stands.

        Raises
        ------
        SensorsError
            When the file as it is cannot be read (then it is left alone), or the new one cannot be written.
        """
        document = self._read()
        self._write(replace(document, sensors={**document.sensors, sensor_id: known}))

    def keep_met(self, met: Mapping[str, Met]) -> None:
        """Replace what is remembered of some sensors; of the others the latest stay; raises as `keep`.

        A name belongs to the sensor that it was given to last.
        """
        document = self._read()
        names = {one.name for one in met.values() if one.name}
        others = {
            address: replace(one, name=None) if one.name in names else one for address, one in document.met.items()
        }
        latest = sorted({**others, **met}.items(), key=lambda one: -one[1].seen_utc_us)
        kept = dict(one for n, one in enumerate(latest) if n < MET_KEPT or one[1].name or one[0] in document.sensors)
        self._write(replace(document, met=kept))

    def _read(self) -> _Document:
        try:
            document = self._document(json.loads(self.path.read_text(encoding="utf-8")))
        except SensorsError:
            raise
        except FileNotFoundError:
            return _Document(FORMAT, {})
        except OSError as error:
            raise SensorsError(f"{self.path}: cannot be read ({error.strerror}); check its rights") from error
        except (ClassValidationError, ValueError, KeyError, TypeError, AttributeError) as error:
            raise self._broken("it is not what was written") from error
        for sensor_id, known in document.sensors.items():
            if not _sound(known.belief):
                raise self._broken(f"the figures of {sensor_id} cannot be right")
        return document

    def _write(self, document: _Document) -> None:
        text = _converter.dumps(document, indent=1, ensure_ascii=False) + "\n"
        try:
            write_whole({self.path: text})
        except OSError as error:
            raise SensorsError(
                f"{self.path}: cannot be written ({error.strerror}); free some space on the disk"
            ) from error

    def _document(self, content: Any) -> _Document:
        if isinstance(content, dict) and content.get("format", FORMAT) != FORMAT:
            raise SensorsError(f"{self.path}: has format {content['format']!r}, not {FORMAT!r}; update rungwise")
        return _converter.structure(content, _Document)

    def _broken(self, why: str) -> SensorsError:
        return SensorsError(
            f"{self.path}: {why}. Put a copy of it back, or move it elsewhere: "
            "then nothing is known of any sensor until `rungwise sensor --calibrate` or the next session"
        )


def refine_known(file: SensorFile, sensor_id: str, seen: Seen, utc_us: int) -> Known | None:
    """Merge what the still postures of a session tell with what the file holds now, and keep it.

    Parameters
    ----------
    seen
        Different postures, not corrected.

    Returns
    -------
    Known or None
        What is kept now; None where the postures cannot tell, and nothing was changed.

    Raises
    ------
    SensorsError
        As `SensorFile.keep`.
    """
    stored = file.read().get(sensor_id)
    belief = refine(seen, stored.belief if stored else None)
    if belief is None:
        return None
    known = Known(belief=belief, how=How.SESSION, postures=len(seen), learnt_utc_us=utc_us)
    file.keep(sensor_id, known)
    return known


def _sound(belief: Belief) -> bool:
    """Whether figures can be a belief: finite, gains near 1, variances positive."""
    gain, covariance = np.array(belief.correction.gain), _matrix(belief)
    if covariance is None or not np.all(np.isfinite([*belief.correction.bias, *gain, *covariance.ravel()])):
        return False
    if np.any(gain < 1 / _LARGEST_GAIN) or np.any(gain > _LARGEST_GAIN):
        return False
    return bool(np.allclose(covariance, covariance.T) and np.all(np.linalg.eigvalsh(covariance) > 0))


def _matrix(belief: Belief) -> FloatArray | None:
    rows = belief.covariance
    return np.array(rows) if len(rows) == 6 and all(len(row) == 6 for row in rows) else None
