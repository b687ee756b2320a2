"""Every number the motion core rests on: frozen, with its unit, what larger and smaller mean, and where it is from.

Few and physical on purpose. "Set here" marks a choice of this product that no outside source prescribes.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, fields

from analysis.motion.described import parameter
from analysis.motion.lowering import LoweringParameters
from analysis.motion.onset import OnsetParameters
from analysis.motion.rhythm import RhythmParameters

STANDARD_GRAVITY_M_S2 = 9.80665
"""Standard gravity, exact (3rd CGPM 1901; CODATA)."""


@dataclass(frozen=True, slots=True)
class GridParameters:
    """From uneven samples to an even grid (`grid.py`)."""

    rate_hz: float = parameter(25.0, unit="Hz", larger="finer in time, slower")
    box_s: float = parameter(0.06, unit="s", larger="smoother, steeper cut above its first zero at 1/box_s")
    hole_s: float = parameter(0.12, unit="s", larger="longer losses are bridged by a straight line")


@dataclass(frozen=True, slots=True)
class HeightParameters:
    """From specific force to height and speed (`smoother.py`, `height.py`)."""

    cutoff_hz: float = parameter(5.0, unit="Hz", larger="faster strokes kept, more tremor")
    level_s: float = parameter(4.0, unit="s", larger="gyro drift counts more, sideways motion less")
    force_noise_m_s2: float = parameter(
        0.12, unit="m/s² per sample", larger="pseudo-measurements win over acceleration"
    )
    hole_noise_m_s2: float = parameter(3.0, unit="m/s² per sample", larger="speed is freer across a hole")
    bias_m_s2: float = parameter(
        0.3,
        unit="m/s²",
        larger="few rests decide more",
        source="data sheet classes: offsets of 20–100 mg, 30 mg after a trim",
    )
    still_second_m_s2: float = parameter(0.05, unit="m/s² of a second", larger="rests tell less of the bias")
    bias_walk_m_s2: float = parameter(0.015, unit="m/s² per √s", larger="bias × tilt errors followed faster")
    leak_walk: float = parameter(0.2, unit="per √s", larger="bias follows sideways acceleration faster")
    still_force_m_s2: float = parameter(0.07, unit="m/s²", larger="more called still")
    calm_force_m_s2: float = parameter(0.9, unit="m/s²", larger="shakier pauses are held still")
    still_turn_deg_s: float = parameter(2.5, unit="°/s", larger="slow lowering taken for stillness")
    still_speed_m_s: float = parameter(0.16, unit="m/s per sample", larger="softer zero-speed update")
    pause_speed_m_s: float = parameter(0.01, unit="m/s per sample", larger="softer zero-speed update in read pauses")
    knock_m_s2: float = parameter(10.0, unit="m/s²", larger="harder knocks are taken for movement")
    free_speed_m_s: float = parameter(20.0, unit="m/s per sample", larger="weaker pull to zero speed elsewhere")
    free_height_m: float = parameter(3.0, unit="m per sample", larger="weaker pull to zero height")
    loose_height_m: float = parameter(60.0, unit="m per sample", larger="weaker pull inside a closed set")
    posture_window_s: float = parameter(10.0, unit="s", larger="posture-to-height fit follows changes slower")
    vigour_m_s2: float = parameter(4.0, unit="m/s² rms", larger="vigorous strokes are read from the size of the force")
    vigour_s: float = parameter(1.0, unit="s", larger="vigour counts longer before and after a stroke")
    drift_m_s: float = parameter(0.02, unit="m/s", larger="slow ways of a body may be unlike")
    plumb_s: float = parameter(1.5, unit="s", larger="sideways motion counts less in vigorous strokes, turning more")


@dataclass(frozen=True, slots=True)
class TiltParameters:
    """From the gravity direction to a position proxy, where the sensor does not travel (`tilt.py`)."""

    cutoff_hz: float = parameter(1.0, unit="Hz", larger="faster strokes kept, more shake")
    gyro_cutoff_hz: float = parameter(1.6, unit="Hz", larger="faster strokes kept, more shake")
    still_deg_s: float = parameter(1.5, unit="°/s", larger="the gyro's bias is learnt from restless moments")
    detrend_s: float = parameter(8.0, unit="s", larger="longer holds kept, slow drift of the clip kept too")
    window_s: float = parameter(25.0, unit="s", larger="main direction of turning follows changes slower")
    swing_share: float = parameter(
        0.5, unit="of the force's variance", larger="free swings are taken for held movement"
    )
    least_turn_deg: float = parameter(
        0.4, unit="°", larger="more bars called too stiff", source="beam tables: slope of a bending bar"
    )


@dataclass(frozen=True, slots=True)
class StrokeParameters:
    """From the speed curve to lobes and phase boundaries (`lobes.py`, `edges.py`)."""

    least_travel_m: float = parameter(0.12, unit="m", larger="small ranges of motion are missed")
    inclined_share: float = parameter(
        0.35, unit="of the travel", larger="flat rows are missed without a gyro", source="cosine of 70°"
    )
    lobe_share: float = parameter(0.15, unit="of the run's peak", larger="strokes fall apart at sticking points")
    lobe_travel: float = parameter(0.06, unit="of the typical rep", larger="shoulder-blade rises vanish, fewer ripples")
    lobe_speed_m_s: float = parameter(0.04, unit="m/s", larger="slow lowering vanishes, less drift")
    early_s: float = parameter(2.5, unit="s", larger="earlier rises belong to the pull")
    rise_speed: float = parameter(5.0, unit="of the boundary speed", larger="gentle rises are missed, fewer ripples")
    rise_travel: float = parameter(0.1, unit="of the least travel", larger="small shoulder-blade rises are missed")
    rise_share: float = parameter(0.33, unit="of the way up", larger="low sticking points are taken for a rise")
    steep_share: float = parameter(0.3, unit="of the peak", larger="sticking points are searched for a rise")
    boundary_speed_m_s: float = parameter(0.012, unit="m/s", larger="phases shorter", source="definition of a boundary")
    boundary_share: float = parameter(
        0.05, unit="of the peak", larger="phases shorter", source="definition of a boundary"
    )
    stop_share: float = parameter(0.05, unit="of the peak", larger="phases end earlier; set by the mount")
    least_sd_s: float = parameter(0.008, unit="s", larger="no boundary is called surer than this")
    speed_sd_m_s: float = parameter(0.0055, unit="m/s", larger="slow passages are called less sure")
    time_sd: float = parameter(0.014, unit="of the stroke's time", larger="slow strokes are called less sure")
    low_sd: float = parameter(0.12, unit="of the stroke's time", larger="bottoms read of a tilt are less sure")
    high_sd: float = parameter(0.08, unit="of the stroke's time", larger="tops read of a tilt are less sure")
    untold: float = parameter(0.14, unit="of the rep's time", larger="vaguer boundaries are given; 1/√12: all")
    peak_sd_m_s: float = parameter(0.015, unit="m/s", larger="all speeds are called less sure")
    gain_sd: float = parameter(0.02, unit="of the speed", larger="fast strokes are called less sure")
    leak_sd: float = parameter(
        0.4, unit="of the leak", larger="without a gyro, sideways movement makes speeds less sure"
    )
    vague: float = parameter(0.2, unit="of the speed", larger="speeds are shown although little is known of them")


@dataclass(frozen=True, slots=True)
class SetParameters:
    """From turning points to reps and sets (`grammar.py`, `bouts.py`)."""

    least_reps: int = parameter(3, unit="reps", larger="short sets are dropped", source="definition of a set")
    longest_pause_s: float = parameter(8.0, unit="s", larger="sets merge", source="definition of a set")
    shortest_rep_s: float = parameter(0.6, unit="s", larger="fast sets are dropped")
    longest_up_s: float = parameter(8.0, unit="s", larger="slow drift is taken for a pull")
    longest_down_s: float = parameter(16.0, unit="s", larger="slow drift is taken for a lowering")
    longest_hold_s: float = parameter(15.0, unit="s", larger="isolated movements join up")
    longest_half_s: float = parameter(12.0, unit="s", larger="two reps are taken for one-and-a-half")
    alike: float = parameter(0.66, unit="of the typical rep", larger="more attempts called partial")


@dataclass(frozen=True, slots=True)
class TemplateParameters:
    """How much the reps of one set differ from each other (`template.py`, `grammar.py`)."""

    travel_spread: float = parameter(0.15, unit="of the typical rep", larger="unlike strokes make a rep")
    closure_spread: float = parameter(0.15, unit="of the typical rep", larger="open reps are accepted")
    drift: float = parameter(0.0, unit="m/s", larger="slow ways may be unlike; set by the mount")
    pace_spread: float = parameter(0.5, unit="natural log of time", larger="unlike tempos make a set")
    hold_spread: float = parameter(0.0, unit="natural log of time", larger="unlike top holds make a set; 0: all do")
    hold_least_s: float = parameter(0.2, unit="s", larger="more top holds count as none")
    posture_least_deg: float = parameter(5.0, unit="°", larger="other postures join a set")
    posture_gyro_deg: float = parameter(3.0, unit="°", larger="the same on a body, levelled by a gyro")
    posture_most_deg: float = parameter(12.0, unit="°", larger="restless sets are kept, mounts and dismounts join")
    merge_gap_s: float = parameter(1.3, unit="s", larger="separate movements become one way")
    counter_share: float = parameter(0.2, unit="of the way", larger="half-way pauses vanish, ripples are bridged")
    wobble_share: float = parameter(0.55, unit="of the way", larger="larger ripples at the top are bridged")
    early_share: float = parameter(0.25, unit="of the way", larger="larger first pieces are a shoulder-blade rise")
    bound: float = parameter(3.0, unit="spreads", larger="one odd quantity can decide alone")
    posture_bound: float = parameter(4.0, unit="spreads", larger="an odd posture can decide alone")
    partial: float = parameter(3.0, unit="nats", larger="fewer attempts, more called movement")
    skip: float = parameter(6.0, unit="nats", larger="more is called a rep")
    skip_least: float = parameter(0.4, unit="nats", larger="small strokes must be explained")


@dataclass(frozen=True, slots=True)
class LimbParameters:
    """What differs on a limb: large turns, loose form, quick reps (`turning.py`)."""

    least_turn_deg: float = parameter(2.0, unit="°", larger="small movements are missed, a resting limb makes no set")
    knock_m_s2: float = parameter(4.0, unit="m/s²", larger="harder knocks are taken for turning")
    travel_spread: float = parameter(0.25, unit="of the typical rep", larger="unlike strokes make a rep")
    posture_least_deg: float = parameter(12.0, unit="°", larger="other postures join a set")
    posture_most_deg: float = parameter(25.0, unit="°", larger="restless sets are kept")
    skip: float = parameter(8.0, unit="nats", larger="more is called a rep")
    shortest_rep_s: float = parameter(0.6, unit="s", larger="fast sets are dropped")
    alike: float = parameter(0.5, unit="of the typical rep", larger="more attempts called partial")


@dataclass(frozen=True, slots=True)
class GripParameters:
    """Bars that stay, and straps, while hands are on (`grips.py`, `slips.py`, `gripped.py`)."""

    shake: float = parameter(2.5, unit="of the quiet power", larger="gentle hands are overlooked")
    bridge_s: float = parameter(2.5, unit="s", larger="separate grips merge")
    least_s: float = parameter(7.0, unit="s", larger="short sets are dropped, less fidgeting is looked at")
    wall: float = parameter(
        1.7, unit="of the typical stroke", larger="taking hold and letting go are taken for strokes"
    )
    slip: float = parameter(0.7, unit="of the typical stroke", larger="small slips of the sensor stay in")
    least_turn_deg: float = parameter(0.1, unit="°", larger="reps on stiff bars are not even looked for")
    strap_turn_deg: float = parameter(0.6, unit="°", larger="short strokes on long straps are not looked for")
    settled_s: float = parameter(3.0, unit="s", larger="the swing after taking hold may last longer")
    quick_s2: float = parameter(0.05, unit="s²", larger="without a gyro, what is quick on a strap is damped more")
    wary_nats: float = parameter(4.0, unit="nats", larger="reps right after taking hold need more evidence")
    leaving_s: float = parameter(1.5, unit="s", larger="strokes before letting go are more easily left over")
    left_over: float = parameter(2.0, unit="of the usual", larger="fewer strokes are left over among the reps")
    rep_nats: float = parameter(4.5, unit="nats a rep", larger="more sets of doubtful reps on straps are dropped")
    hold_spread: float = parameter(0.35, unit="natural log of time", larger="unlike top holds make a set")
    shortest_rep_s: float = parameter(0.8, unit="s", larger="fast sets are dropped, less swinging is read")
    bar_cutoff_hz: float = parameter(0.7, unit="Hz", larger="without a gyro, a bar's bending splits more strokes")
    bar_stop: float = parameter(0.15, unit="of the peak", larger="a bar rolls later after the wrists")
    bar_alike: float = parameter(0.5, unit="of the typical rep", larger="more attempts on fixed bars called partial")


@dataclass(frozen=True, slots=True)
class DoubtParameters:
    """When a set was seen but its count should not be relied on (`found.py`)."""

    hole_s: float = parameter(1.2, unit="s", larger="reps lost in longer holes are not noticed")
    count_nats: float = parameter(2.0, unit="nats", larger="fewer sets with a doubtful count are claimed")
    trust_nats: float = parameter(1.1, unit="nats", larger="fewer sets of sensors that travel are claimed")
    edge_nats: float = parameter(2.0, unit="nats", larger="fewer sets with a doubtful first or last rep are claimed")
    sideways: float = parameter(1.5, unit="across/along gravity", larger="more inclined paths are claimed")
    grip_rep_nats: float = parameter(11.0, unit="nats a rep", larger="fewer sets on straps and bars are claimed")
    strap_word_nats: float = parameter(4.5, unit="nats", larger="fewer sets with a doubtful rep or attempt are claimed")
    grip_rival_nats: float = parameter(15.0, unit="nats", larger="fewer sets on straps and bars are claimed")
    rival_nats: float = parameter(4.0, unit="nats", larger="fewer sets that may be read otherwise are claimed")
    way_nats: float = parameter(1.5, unit="nats", larger="fewer sets on bars whose direction is not sure are claimed")


@dataclass(frozen=True, slots=True)
class HoldParameters:
    """Isometric holds without reps (`holds.py`)."""

    quick_s: float = parameter(0.15, unit="s", larger="slower sway counts as tremor")
    over_s: float = parameter(1.0, unit="s", larger="tremor judged over longer, edges smeared wider")
    posture_hz: float = parameter(0.4, unit="Hz", larger="a swinging hang counts as turning")
    alive: float = parameter(1.8, unit="of the sensor's own noise", larger="light grips are missed")
    alive_body_m_s2: float = parameter(0.03, unit="m/s² rms", larger="calm hangs are missed, less quiet standing")
    calm: float = parameter(8.0, unit="of the least tremor", larger="slow walking is taken for a hold")
    wobble: float = parameter(3.0, unit="of the calm limit", larger="a hold outlasts larger movements")
    wobble_s: float = parameter(1.5, unit="s", larger="a hold outlasts longer movements")
    shown_s: float = parameter(3.0, unit="s", larger="live tells of a hold later, and less often in vain")
    least_s: float = parameter(5.0, unit="s", larger="short holds are dropped, and pauses between walks")
    posture_deg: float = parameter(4.0, unit="°", larger="restless spans are holds")
    turn_deg: float = parameter(4.0, unit="° in 2 over_s", larger="slow changes of posture are part of a hold")
    steady: float = parameter(4.0, unit="most/least tremor", larger="movements that die away are holds")
    step_deg: float = parameter(0.4, unit="°", larger="stiff bars show no hold", source="beam tables: bending bar")
    step_spread: float = parameter(4.0, unit="of the span's own turning", larger="steps of a bar's tilt are missed")
    edge: float = parameter(3.0, unit="of the span's tremor", larger="gentle mounts and dismounts are missed")
    apart_s: float = parameter(3.0, unit="s", larger="holds farther from a set belong to it")
    edge_s: float = parameter(3.5, unit="s", larger="movements farther off bound a hold")


@dataclass(frozen=True, slots=True)
class LifeParameters:
    """Windows of the two answers (`pipeline.py`, `live.py`)."""

    refine_every_s: float = parameter(90.0, unit="s", larger="long bouts are looked at less often, cheaper")
    context_s: float = parameter(30.0, unit="s", larger="more of the past seen again by the refinement")
    move_m_s2: float = parameter(0.12, unit="m/s² in a second", larger="slow movement is taken for stillness")
    busy_s: float = parameter(5.0, unit="s", larger="short movements are not looked at")
    still_s: float = parameter(9.0, unit="s", larger="refined answer later after a hang without dismount")
    restart_s: float = parameter(30.0, unit="s", larger="longer holes are carried through instead of starting afresh")
    longest_s: float = parameter(420.0, unit="s", larger="longer bouts in one piece, more memory")
    unread_s: float = parameter(75.0, unit="s", larger="slower reps are seen together before they are a set")
    live_every_s: float = parameter(0.2, unit="s", larger="live answer later, cheaper")
    live_window_s: float = parameter(24.0, unit="s", larger="live sees longer holds in one piece, slower")
    second_look_s: float = parameter(15.0, unit="s", larger="a confirmed rep may be withdrawn later")
    first_up_s: float = parameter(2.5, unit="s", larger="slow mounting movements are announced as first reps")
    first_turn_deg: float = parameter(12.0, unit="°", larger="first reps may end in another posture than they began")
    hands_off_s: float = parameter(2.0, unit="s", larger="the end of a bout is told later and surer")
    step_m_s2: float = parameter(0.9, unit="m/s² rms", larger="slow walking keeps a bout open")
    other_posture_deg: float = parameter(28.0, unit="°", larger="other postures keep a bout open")


@dataclass(frozen=True, slots=True)
class Parameters:
    """All parameters of the motion core, step by step."""

    grid: GridParameters = GridParameters()
    height: HeightParameters = HeightParameters()
    tilt: TiltParameters = TiltParameters()
    stroke: StrokeParameters = StrokeParameters()
    lowering: LoweringParameters = field(default_factory=LoweringParameters)
    onset: OnsetParameters = field(default_factory=OnsetParameters)
    sets: SetParameters = SetParameters()
    template: TemplateParameters = TemplateParameters()
    limb: LimbParameters = LimbParameters()
    rhythm: RhythmParameters = field(default_factory=RhythmParameters)
    grip: GripParameters = GripParameters()
    doubt: DoubtParameters = DoubtParameters()
    holds: HoldParameters = HoldParameters()
    life: LifeParameters = LifeParameters()


DEFAULTS = Parameters()
"""What everything runs with unless told otherwise."""


def parameters_sha(parameters: Parameters) -> str:
    """Return a short hash that changes when, and only when, a parameter's value does."""
    text = ";".join(
        f"{group.name}.{item.name}={getattr(getattr(parameters, group.name), item.name)!r}"
        for group in fields(parameters)
        for item in fields(getattr(parameters, group.name))
    )
    return hashlib.sha256(text.encode()).hexdigest()[:12]
