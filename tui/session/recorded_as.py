"""What a recording says of the session that it is of."""

from __future__ import annotations

from importlib.metadata import version

from analysis.motion.in_session import IN_A_SESSION
from analysis.motion.parameters import parameters_sha
from sensor.calibration import Calibration
from tui.session.plans import Plan
from tui.session.stored import calibration_to_json, prescription_to_json, view_to_json

PRESCRIPTION = "prescription"
"""Where it holds what was asked."""


def meta_of(plan: Plan, calibration: Calibration) -> dict[str, str]:
    """Return what a replay needs to know beside the packets.

    Parameters
    ----------
    plan
        Whose session it is, and what is asked.
    calibration
        What is applied to the sensor that counts.
    """
    return {
        "trainee": plan.trainee.name,
        "mount": plan.mount.value,
        PRESCRIPTION: prescription_to_json(plan.prescription),
        "view": view_to_json(plan.view),
        "calibration": calibration_to_json(calibration),
        "version": version("rungwise"),
        "parameters_sha": parameters_sha(IN_A_SESSION),
    }
