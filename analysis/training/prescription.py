"""What the coach asked for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from analysis.motion.mounts import Mount


class Goal(StrEnum):
    """What a trainee trains for."""

    STRENGTH = "strength"
    SIZE = "size"
    ENDURANCE = "endurance"


class Grip(StrEnum):
    """How the hands hold the bar, at shoulder width but for the wide one."""

    PRONATED = "pronated"
    SUPINATED = "supinated"
    NEUTRAL = "neutral"
    WIDE = "wide"
    TOWEL = "towel"

    @property
    def hardness(self) -> int:
        """Return how hard it is beside the others: neutral and supinated are usually easier (common practice)."""
        return _EASIEST_FIRST.index(self)


_EASIEST_FIRST = (Grip.NEUTRAL, Grip.SUPINATED, Grip.PRONATED, Grip.WIDE, Grip.TOWEL)


class Start(StrEnum):
    """How a rep begins: from a dead hang with raised shoulders, or with the shoulder blades set already."""

    HANG = "hang"
    SHOULDERS_SET = "shoulders-set"


@dataclass(frozen=True, slots=True)
class Tempo:
    """Prescribed seconds of each phase, in the order of the trade's four digits.

    The digits are always shown with named phases beside them (:meth:`named`): people misread them for pull-ups, whose
    first phase is the third digit.

    Attributes
    ----------
    down_s, bottom_s, up_s, top_s
        Lowering, pause at the bottom, rise, hold at the top. `up_s` None means "as fast as possible" (digit X).
    """

    down_s: float
    bottom_s: float
    up_s: float | None
    top_s: float

    @property
    def digits(self) -> str:
        """The four digits of the trade, eccentric – bottom – concentric – top."""
        up = "X" if self.up_s is None else f"{self.up_s:g}"
        return f"{self.down_s:g}{self.bottom_s:g}{up}{self.top_s:g}"

    def named(self) -> str:
        """Name the phases, in the order of a pull-up."""
        up = "fast" if self.up_s is None else f"{self.up_s:g}"
        return f"up {up} · top {self.top_s:g} · down {self.down_s:g} · bottom {self.bottom_s:g}"


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far a phase may be off: the larger of `absolute_s` and `relative` × target (no source).

    Attributes
    ----------
    tut_relative
        Band of the set's time under tension (Faber et al. 2015, PeerJ 3:e1102).
    tut_from_s
        The band is judged only where a rep is prescribed to last this long: in a shorter one a single late
        boundary is already several percent (no source).
    reps_off
        Share of a set's reps whose tempo may be off while the set's tempo is still met (no source).
    rest_late_s
        How much longer than prescribed a rest may be and still be kept (no source).
    """

    absolute_s: float = 0.3
    relative: float = 0.20
    tut_relative: float = 0.08
    tut_from_s: float = 4.0
    reps_off: float = 0.20
    rest_late_s: float = 5.0

    def of(self, target_s: float) -> float:
        """Return the allowed deviation of a phase, seconds."""
        return max(self.absolute_s, self.relative * target_s)


@dataclass(frozen=True, slots=True)
class Exercise:
    """One variation of the pull.

    Attributes
    ----------
    key
        Short stable name, kebab case.
    name
        As shown.
    mount
        Default place of the sensor.
    cues
        A few short cues in the product's own words.
    """

    key: str
    name: str
    mount: Mount
    cues: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """What a coach changed while a session went on; None leaves a value as it was.

    Attributes
    ----------
    word
        By which word of the coach: it is taken once, however often it comes.
    from_s
        For the sets that begin later, on the sensor's own clock; None: for all.
    reps, rest_s, tempo
        As of `Prescription`.
    """

    word: str
    from_s: float | None = None
    reps: int | None = None
    rest_s: float | None = None
    tempo: Tempo | None = None

    def holds_at(self, start_s: float) -> bool:
        """Whether it holds for a set that begins then."""
        return self.from_s is None or self.from_s <= start_s


GAP_LATE = 1.5
"""So much of the planned gap within a cluster set is still one (no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prescription:
    """One exercise of one session: sets × reps, tempo, rest, grip, load.

    Attributes
    ----------
    reps
        Of each set; 0 for a test: as many clean full reps as possible.
    rest_s
        From the last rep's end to the next set's first rep.
    half_pause_s
        Pause part-way of a one-and-a-half rep; None for other kinds.
    hold_s
        A set is one hold of at least so long (a hang, a hold at the top) instead of reps; None where it is reps.
    load_kg
        Added (positive) or assistance (negative).
    gap_s
        Planned gap within a cluster set, 10–45 s (Tufano, Brown & Haff 2017, JSCR 31:848); None: straight sets.
    warm_ups
        So many sets come first, logged and not judged.
    start
        How each rep is to begin; None: not asked.
    two_sided
        Phases ("down", "top", "half") that must not be longer either; others of these are minima.
    partner
        The other exercise of a superset, done after each set of this one; its sets are told and not counted.
    changes
        What the coach changed while the session went on, in the order of time; all else is what was asked first.
    """

    exercise: Exercise
    sets: int
    reps: int
    tempo: Tempo
    rest_s: float
    grip: Grip = Grip.PRONATED
    load_kg: float = 0.0
    half_pause_s: float | None = None
    tolerance: Tolerance = Tolerance()
    partner: Exercise | None = None
    hold_s: float | None = None
    gap_s: float | None = None
    warm_ups: int = 0
    start: Start | None = None
    two_sided: tuple[str, ...] = ()
    changes: tuple[Changed, ...] = ()

    def at(self, start_s: float) -> Prescription:
        """Return what is asked of a set that begins then, on the sensor's own clock."""
        if not self.changes:
            return self
        asked = self
        for one in self.changes:
            if one.holds_at(start_s):
                reps = asked.reps if one.reps is None else one.reps
                rest_s = asked.rest_s if one.rest_s is None else one.rest_s
                asked = replace(asked, reps=reps, rest_s=rest_s, tempo=one.tempo or asked.tempo)
        return replace(asked, changes=())

    @property
    def is_eased(self) -> bool:
        """Whether something that was changed asks for less than at first, or for something else."""
        return any(
            (one.reps is not None and one.reps < self.reps)
            or (one.rest_s is not None and one.rest_s > self.rest_s)
            or (one.tempo is not None and one.tempo != self.tempo)
            for one in self.changes
        )

    @property
    def rep_tut_s(self) -> float | None:
        """Prescribed time under tension of one rep: up + top + down + half-way pause; None where up is "fast"."""
        if self.tempo.up_s is None:
            return None
        return self.tempo.up_s + self.tempo.top_s + self.tempo.down_s + (self.half_pause_s or 0.0)

    @property
    def is_test(self) -> bool:
        """Whether a set is as many clean full reps as possible."""
        return self.sets > 0 and self.reps == 0 and self.hold_s is None

    def as_test(self) -> Prescription:
        """Return the same exercise as one set of as many clean full reps as possible."""
        return replace(self, sets=1, reps=0, hold_s=None, half_pause_s=None, gap_s=None)

    @property
    def longest_gap_s(self) -> float:
        """Longest gap that still belongs to a cluster set; 0 for straight sets.

        Half as long again as planned (no source), and never nearer to the rest than to the gap.
        """
        if self.gap_s is None or self.hold_s is not None:
            return 0.0
        return min(GAP_LATE * self.gap_s, max(self.gap_s, (self.gap_s + self.rest_s) / 2))
