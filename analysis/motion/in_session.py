"""The parameters of a session, in which reps were asked for."""

from __future__ import annotations

from analysis.motion.parameters import Parameters, SetParameters

IN_A_SESSION = Parameters(sets=SetParameters(least_reps=2))
"""Two alike reps are a set: first pull-ups come by ones and twos, and small sets of a cluster are as short.

Without a prescription three are asked for, since anybody moves up and down twice. A single rep is not told from a
change of grip: with one rep as the least, the first 20 simulated sessions on a belt and a bar that travels held seven
sets that nobody did; with two they held none, and neither did the first 16 on a bar that stays and on straps.
"""
