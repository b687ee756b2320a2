"""Faults that a virtual sensor can be told to have."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Faults:
    """What goes wrong, counted in packets since the motion began, so that a test meets it again.

    Attributes
    ----------
    lose_link_after
        The link breaks right after these packets.
    stall_after
        After these packets the sensor says nothing more until the host connects anew.
    skip
        These packets are lost in the air.
    away_s
        After a lost link the sensor cannot be found for so long (seconds of its clock).
    """

    lose_link_after: tuple[int, ...] = ()
    stall_after: tuple[int, ...] = ()
    skip: tuple[int, ...] = ()
    away_s: float = 0.0
