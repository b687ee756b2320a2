"""What differs from one mount to another: the same parameters, some of them replaced."""

from __future__ import annotations

from dataclasses import replace

from analysis.motion.mounts import Mount
from analysis.motion.parameters import Parameters

_ANY_DEG = 180.0
"""No posture is another one."""


def on_limb(parameters: Parameters) -> Parameters:
    """Return the parameters as they are used on a limb (used twice, they stay the same).

    A limb's line of turning has no up of its own: what is a hold read one way is a pause read the other, so both may
    last as long. Its reps turn by more than other postures differ.
    """
    limb = parameters.limb
    template = replace(
        parameters.template,
        travel_spread=limb.travel_spread,
        closure_spread=limb.travel_spread,
        posture_least_deg=limb.posture_least_deg,
        posture_most_deg=limb.posture_most_deg,
        skip=limb.skip,
    )
    pause_s = parameters.sets.longest_hold_s
    sets = replace(parameters.sets, shortest_rep_s=limb.shortest_rep_s, alike=limb.alike, longest_pause_s=pause_s)
    life = replace(parameters.life, other_posture_deg=_ANY_DEG, still_s=pause_s)
    tilt = replace(parameters.tilt, least_turn_deg=limb.least_turn_deg)
    return replace(parameters, tilt=tilt, template=template, sets=sets, life=life)


def in_grip(parameters: Parameters, mount: Mount) -> Parameters:
    """Return the parameters as they are used on bars that stay, and on straps; only these swing by themselves.

    A fixed bar tilts by the pull and the turn of the wrists, not by height: its reps are less alike. A strap turns by
    more than a bar.

    A bar rolls behind the wrists. A minimum-jerk stroke (Flash & Hogan 1985) followed with a lag of a tenth of its time
    moves at 0.18 of its peak when it ends, and falls to 0.05 only an eighth of that time later.
    """
    grip, stroke = parameters.grip, parameters.stroke
    sets = replace(parameters.sets, shortest_rep_s=grip.shortest_rep_s)
    if mount is Mount.FIXED_BAR:
        stroke = replace(stroke, stop_share=grip.bar_stop)
        grip, sets = replace(grip, rep_nats=0.0), replace(sets, alike=grip.bar_alike)
    else:
        grip = replace(grip, least_turn_deg=grip.strap_turn_deg)
    template = replace(parameters.template, hold_spread=grip.hold_spread)
    return replace(parameters, grip=grip, stroke=stroke, template=template, sets=sets)


def on_inclined_path(parameters: Parameters) -> Parameters:
    """Return the parameters for a path far from the vertical, of which height shows only a share."""
    stroke = parameters.stroke
    share = stroke.inclined_share
    smaller = replace(
        stroke,
        least_travel_m=share * stroke.least_travel_m,
        lobe_speed_m_s=share * stroke.lobe_speed_m_s,
    )
    return replace(parameters, stroke=smaller)


def on_body(parameters: Parameters, *, gyro: bool = False) -> Parameters:
    """Return the parameters as they are used on a body: as it leans, the sensor's bias is taken for movement.

    So whoever stands up seems to sink again. With a gyro the posture is known well enough to tell that it is no bottom;
    without one, a stroke's own acceleration turns it.
    """
    template = replace(parameters.template, drift=parameters.height.drift_m_s)
    if gyro:
        template = replace(template, posture_least_deg=template.posture_gyro_deg)
    return replace(parameters, template=template)
