"""What differs from one mount to another: the same parameters, some of them replaced."""

from __future__ import annotations

from dataclasses import replace

from analysis.motion.parameters import Parameters


def on_limb(parameters: Parameters) -> Parameters:
    """Return the parameters as they are used on a limb."""
    limb = parameters.limb
    template = replace(
        parameters.template,
        travel_spread=limb.travel_spread,
        closure_spread=limb.travel_spread,
        posture_least_deg=limb.posture_least_deg,
        posture_most_deg=limb.posture_most_deg,
        skip=limb.skip,
    )
    sets = replace(parameters.sets, shortest_rep_s=limb.shortest_rep_s, alike=limb.alike)
    return replace(parameters, template=template, sets=sets)


def in_grip(parameters: Parameters) -> Parameters:
    """Return the parameters as they are used on bars that stay, and on straps."""
    grip = parameters.grip
    template = replace(parameters.template, hold_spread=grip.hold_spread)
    return replace(parameters, template=template, sets=replace(parameters.sets, shortest_rep_s=grip.shortest_rep_s))
