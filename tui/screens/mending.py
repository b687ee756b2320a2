"""What is asked on the live screen when something is mended on the spot."""

from __future__ import annotations

from analysis.motion.mounts import Mount
from analysis.training.prescription import Prescription
from tui.screens.ask_key import AskKeyScreen
from tui.screens.ask_line import AskLineScreen
from tui.words.mount_words import MOUNT_NAMES

MOST_REPS, MOST_S = 99, 999
MOUNT_KEYS = {str(number): mount for number, mount in enumerate(Mount, start=1)}

WHOSE = "Whose session is this? All of it so far is theirs."
SOMEBODY_NEW = "somebody who is not listed: type the name"


def name_question() -> AskLineScreen:
    """Ask for the name of somebody who is not in the logbook."""
    return AskLineScreen("What is the name?", lambda typed: "" if typed else "A name, please.")


def mount_question(present: Mount) -> AskKeyScreen:
    """Ask where the sensor sits; it ends with a key of `MOUNT_KEYS`."""
    others = [(key, MOUNT_NAMES[mount]) for key, mount in MOUNT_KEYS.items() if mount is not present]
    beside = (
        f"Until now: {MOUNT_NAMES[present]}.",
        "What was recorded is read again, and nothing is lost; both answers stay in the log.",
    )
    return AskKeyScreen("Where does the sensor sit?", others, beside)


def asked_of_a_set(prescription: Prescription) -> int:
    """Return what was asked of a set: reps, or the seconds of a hold; 0 where nothing was."""
    return prescription.reps if prescription.hold_s is None else round(prescription.hold_s)


def told_set_question(prescription: Prescription) -> AskLineScreen:
    """Ask how many reps, or seconds, a set had that was done without the sensor; enter alone: those asked for."""
    asked, holds = asked_of_a_set(prescription), prescription.hold_s is not None
    usual, most = f" (enter: {asked})" if asked else "", MOST_S if holds else MOST_REPS

    def wrong(typed: str) -> str:
        if not typed and asked:
            return ""
        is_count = typed.isascii() and typed.isdigit() and 0 < int(typed) <= most
        return "" if is_count else f"A number from 1 to {most}, please."

    question = "Hold without the sensor: how many seconds?" if holds else "Set done without the sensor: how many reps?"
    return AskLineScreen(f"{question}{usual}", wrong)
