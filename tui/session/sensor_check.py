"""What is to be said of the sensor before a set: only what was measured, the most pressing first; pure.

- "clip moved", "too stiff": the motion core's reason why the last set is not to be relied on (`Why`).
- Steps on a bar or a strap: the seconds of steps that `analysis.motion.touch` felt; whoever walks carries the sensor.
- Nothing moves it: its seconds of stillness. Not a fault: a bar that nobody touches is still.
"""

from __future__ import annotations

from dataclasses import replace

from analysis.motion.mounts import Mount
from analysis.motion.results import Why
from analysis.motion.touch import Felt
from analysis.training.records import SetRecord
from tui.session.messages import SensorCheck, Snapshot, Stage

STEPS_S = 4
"""Steps for so long running are no bumps against the bar."""
STILL_S = 15
"""Nothing for so long: time to touch it and see."""
_CARRIED = {
    Mount.FIXED_BAR: "Steps are felt: this sensor is carried or worn, and belongs on the fixed bar.",
    Mount.MOVING_BAR: "Steps are felt: this sensor is carried or worn, and belongs on the moving bar.",
    Mount.SUSPENSION: "Steps are felt: this sensor is carried or worn, and belongs on the strap or ring.",
}
_AFTER = {
    Why.SLIPPED: "Clip moved: fasten it tighter before the next set.",
    Why.TOO_STIFF: "Bar too stiff here: move the clip 20 cm from the middle.",
    Why.SWINGING: "The sensor was swinging: fasten it so that it cannot.",
}
GOOD = "Sensor good: a touch shows here."
STILL = "Nothing moves the sensor: touch it, and this line jumps."


def wants_check(shown: Snapshot) -> bool:
    """Whether a snapshot has room for how the sensor does: before a set, and while the sensor is there."""
    return shown.stage in (Stage.READY, Stage.REST) and not shown.link.is_behind


def with_check(shown: Snapshot, felt: Felt, last: SetRecord | None) -> Snapshot:
    """Return a snapshot with how the sensor does, where it is wanted."""
    return replace(shown, check=sensor_check(felt, shown.prescription.exercise.mount, last))


def sensor_check(felt: Felt, mount: Mount, last: SetRecord | None) -> SensorCheck:
    """Say how the sensor does before a set.

    Parameters
    ----------
    felt
        What it felt lately.
    mount
        Where it should sit.
    last
        The set before, whose motion may have shown that it does not sit well; None where there was none.
    """
    fault = _AFTER.get(last.why, "") if last and not last.measured and last.why else ""
    fault = fault or (_CARRIED.get(mount, "") if felt.steps_s >= STEPS_S else "")
    words = fault or (STILL if felt.still_s >= STILL_S else GOOD)
    return SensorCheck(trace_m_s2=felt.trace_m_s2, words=words, good=not fault)
