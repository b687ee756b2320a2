"""What the mounts are called, in a word or two."""

from __future__ import annotations

from analysis.motion.mounts import Mount

MOUNT_NAMES = {
    Mount.BODY: "belt or vest",
    Mount.LIMB: "wrist or ankle",
    Mount.MOVING_BAR: "moving bar",
    Mount.FIXED_BAR: "fixed bar",
    Mount.SUSPENSION: "strap or ring",
}
