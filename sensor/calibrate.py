"""Bias and gain of an accelerometer from gravity alone: at rest it reads 1 g, whatever its posture.

Each still posture gives one equation, |(read − bias) × gain| = 1 g. The six sides of a box are the six-position test of
IEEE Std 1293, for which least squares give its formulas, bias (a₊ + a₋)/2 and scale factor (a₊ − a₋)/2g; other postures
do as well, and need no level table. What is known before (the class of such parts, or an earlier calibration) enters
with its own uncertainty, so a few alike postures correct what they can and leave the rest alone.

Gravity differs by up to .5 % from place to place; 1 g here is that of the place, which no reading can tell from a gain.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sensor.calibration import Correction, Triple
from sensor.postures import Seen
from sensor.protocol import STANDARD_GRAVITY_M_S2 as G

FloatArray = NDArray[np.float64]
Rows = tuple[tuple[float, ...], ...]

CLASS_BIAS_SD_M_S2 = 0.05 * G
"""Offsets of 20–100 mg are usual before any calibration (data sheet classes, from memory)."""
CLASS_GAIN_SD = 0.02
"""Scale errors of 1–3 % are usual (data sheet classes, from memory)."""
READING_SD_M_S2 = 0.003 * G
"""Of a posture's mean, however long it is held: cross-axis and higher terms that the model leaves out. Set here."""
MOMENT_SD_M_S2 = 0.008 * G
"""Of one moment on a body: what the slow middle of a slow rep, or a shift of the weight, puts into it. Set here."""
DRIFT_BIAS_SD_M_S2 = 0.005 * G
"""From one session to the next: about 1 mg/K (data sheet classes, from memory) and 5 K."""
DRIFT_GAIN_SD = 0.001
"""From one session to the next: about .02 %/K (data sheet classes, from memory) and 5 K."""
LEAST_POSTURES = 2
"""One posture alone tells nothing that the analysis does not find out by itself; two show the bias across gravity."""
LEAST_ANEW = 4
"""Two postures fit anything; so many must agree with each other before they outvote what was known. Set here."""
DOUBTFUL = 3.0
"""So many sigma, root mean square, from 1 g or from what was expected are not explained by bias and gain."""


@dataclass(frozen=True, slots=True)
class Belief:
    """A correction, and how sure it is.

    Attributes
    ----------
    correction
        Bias in m/s², gain as a factor.
    covariance
        Six rows of six: bias x, y, z (m/s²), then gain x, y, z.
    """

    correction: Correction
    covariance: Rows

    @property
    def bias_sd_m_s2(self) -> Triple:
        """One sigma of the bias, each axis."""
        return _triple(self._sd[:3])

    @property
    def gain_sd(self) -> Triple:
        """One sigma of the gain, each axis."""
        return _triple(self._sd[3:])

    @property
    def _sd(self) -> FloatArray:
        return np.asarray(np.sqrt(np.diag(np.array(self.covariance))))


_CLASS = np.repeat([0.0, 1.0], 3)
_CLASS_VARIANCE = np.repeat([CLASS_BIAS_SD_M_S2**2, CLASS_GAIN_SD**2], 3)
_DRIFT_VARIANCE = np.repeat([DRIFT_BIAS_SD_M_S2**2, DRIFT_GAIN_SD**2], 3)


def class_belief() -> Belief:
    """Return what is known of any sensor before it was calibrated."""
    return Belief(Correction(), _rows(np.diag(_CLASS_VARIANCE)))


def aged(belief: Belief) -> Belief:
    """Return what an earlier belief is worth in another session: the sensor may be warmer or colder.

    A walk that tends back to the class (Ornstein–Uhlenbeck), so that what is never seen again ends as the class, and
    not as less than that.
    """
    left = np.sqrt(1 - _DRIFT_VARIANCE / _CLASS_VARIANCE)
    known = _CLASS + left * (_vector(belief.correction) - _CLASS)
    covariance = left * np.array(belief.covariance) * left[:, None] + np.diag(_DRIFT_VARIANCE)
    return Belief(Correction(_triple(known[:3]), _triple(known[3:])), _rows(covariance))


def learn(readings: FloatArray, before: Belief, sd_m_s2: FloatArray | float = READING_SD_M_S2) -> Belief:
    """Merge what postures tell with what was known, each by its weight.

    Parameters
    ----------
    readings : (n, 3) array
        Mean readings of different still postures, m/s², not corrected; see `sensor.postures`.
    before
        What was known.
    sd_m_s2 : (n,) array or float
        One sigma of the size of each reading.

    Notes
    -----
    The most likely bias and gain for independent normal errors, and their covariance to first order (Gauss–Newton).
    """
    from scipy.linalg import solve_triangular  # late: half a second, before the first picture of a session
    from scipy.optimize import least_squares

    known = _vector(before.correction)
    root = np.linalg.cholesky(np.array(before.covariance))

    def misfit(x: FloatArray) -> FloatArray:
        size = np.linalg.norm((readings - x[:3]) * x[3:], axis=1)
        return np.concatenate([(size - G) / sd_m_s2, solve_triangular(root, x - known, lower=True)])

    found = least_squares(misfit, known, method="lm")
    jacobian = np.asarray(found.jac)
    covariance = np.linalg.inv(jacobian.T @ jacobian)
    return Belief(Correction(_triple(found.x[:3]), _triple(found.x[3:])), _rows((covariance + covariance.T) / 2))


def refine(seen: Seen, stored: Belief | None) -> Belief | None:
    """Return what the postures of a session add to what is stored; None where they are too few or cannot be true.

    Where they do not go with what is stored (the sensor had a fall, another part bears its name) it begins anew, if
    they are many enough to be believed against it.

    Parameters
    ----------
    seen
        Different still postures on a body, not corrected.
    stored
        What was stored of this sensor; None before anything was.
    """
    if len(seen) < LEAST_POSTURES:
        return None
    sd = np.hypot(READING_SD_M_S2, MOMENT_SD_M_S2 / np.sqrt(seen.moments))
    befores = [aged(stored)] if stored else []
    if stored is None or len(seen) >= LEAST_ANEW:
        befores.append(class_belief())
    for before in befores:
        belief = learn(seen.readings, before, sd)
        if believable(seen.readings, belief, before, sd):
            return belief
    return None


def off_1g_m_s2(readings: FloatArray, correction: Correction) -> float:
    """Root mean square of |f| − 1 g over readings of shape (n, 3), corrected; 0 without any."""
    if not len(readings):
        return 0.0
    return float(np.sqrt(np.mean((np.linalg.norm(correction.apply(readings), axis=1) - G) ** 2)))


def believable(
    readings: FloatArray, belief: Belief, before: Belief, sd_m_s2: FloatArray | float = READING_SD_M_S2
) -> bool:
    """Whether what `learn` made of these can be true: the readings, corrected, are 1 g, and it was to be expected.

    Six postures leave six unknowns no freedom: then only the second tells that a side was pressed upon.
    """
    off = (np.linalg.norm(belief.correction.apply(readings), axis=1) - G) / sd_m_s2
    change = _vector(belief.correction) - _vector(before.correction)
    surprise = change @ np.linalg.solve(np.array(before.covariance), change) / len(change)
    return bool(np.mean(off**2) < DOUBTFUL**2 and surprise < DOUBTFUL**2)


def _vector(correction: Correction) -> FloatArray:
    return np.array([*correction.bias, *correction.gain])


def _triple(values: FloatArray) -> Triple:
    x, y, z = (float(value) for value in values)
    return x, y, z


def _rows(matrix: FloatArray) -> Rows:
    return tuple(tuple(float(value) for value in row) for row in matrix)
