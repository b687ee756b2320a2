"""What the commented plan says of each key: what it does, its unit, what is allowed, where a figure comes from."""

from __future__ import annotations

PRACTICE = "Common practice, no source."

HEAD = (
    "The plan of one trainee. Edit it with any editor, or by `rungwise plan set`; `rungwise plan check` says what is "
    "wrong. A key that is left out means what the default plan says. Lines that begin with # are for people only.",
    "",
    "Cautions. General information, not medical advice: coach, clinician and maker's instructions come first.",
    "- Pain stops the set. 0–3 of 10 is acceptable if settled by the next day, 4–5 is a caution, above 5 ends the "
    "session (Silbernagel 2007, studied on the Achilles tendon: for elbow and shoulder an extrapolation). Sharp, night "
    "or nerve pain, or instability: stop and see a clinician.",
    "- Never begin with lowerings to failure. In the first two weeks, and for two weeks after 14 days off, at most 10 "
    "slow lowerings of at most 3 s a session (the figures are common practice, no source; why: Springer & Clarkson "
    "2003, MSSE 35:1499). Dark urine, swelling, or pain and weakness out of proportion: stop and "
    "seek medical care now.",
    "- High blood pressure: no long or heavy holds without medical advice. Keep breathing in every hold.",
    "- Before loading: bar, rack and straps hold, the pull draws the bar into its uprights, hooks or stops are locked, "
    "the block cannot slide or tip, the floor behind back and head is clear, shoes grip, added load is fixed, the clip "
    "is not between hand and bar.",
)
"""Paragraphs above the first key."""

PLAN_NOTES = {
    "format": "What this file is. Do not change it.",
    "trainee": "Whose plan it is, as in the logbook.",
    "group": "A coach's group, for `rungwise plan set … --group`; empty: none.",
    "goal": 'What for: "strength", "size" or "endurance". Added load: 4–8 reps with 180–300 s rest, 8–15 with 90 s, or '
    f"15–30 with 60 s. {PRACTICE}",
    "acknowledged": "Day on which the trainee read the cautions above, without quotes, for example 2026-03-02.",
    "start": "Key of the rung on which to begin. `rungwise plan start` proposes one from a test day.",
    "sessions_a_week": f"Sessions a week, 1 to 3; two to begin with. {PRACTICE}",
    "days_between": "Fewest free days between two sessions, 1 to 6. 1 only with three sessions a week; it then holds "
    f"after week 8 and with pain up to 3, and before that 2 do. {PRACTICE}",
    "weekdays": 'Days on which there is time, for example ["monday", "thursday"]; none: any day.',
    "times": 'At what time of day, for the calendar: one for all days, for example ["18:30"], or one for each of '
    "weekdays, in their order; none: any time.",
    "equipment": "What is at hand, of low-bar, high-bar, block, box, load, handles, rings, straps, towel. No rung and "
    "no grip that needs more is prescribed; the neutral grip needs handles, rings, straps or a towel.",
    "grips": 'In their order of rotation, of pronated, supinated, neutral, wide, towel; all but "wide" at shoulder '
    "width. Wide and supinated go with more of the movement that is linked to impingement (Prinold & Bull 2016, "
    "JSAMS): name wide only on purpose.",
    "grip_weeks": f"Weeks until the grip changes, 2 to 4. {PRACTICE}",
    "grip_by_weekday": f"true: one grip each of the week's days instead. {PRACTICE}",
    "shoulder_history": "true: a shoulder that was hurt. Then the neutral grip only, no hang on the test day, and "
    f"every rep begins with the shoulder blades set. {PRACTICE}",
    "elbow_history": f"true: an elbow that was hurt. Then the neutral grip only. {PRACTICE}",
    "grips_opened_by": "Who allowed other grips in spite of such a history: the coach's name; empty: nobody.",
    "high_blood_pressure": f"true: no hold or lowering of 5 s or more and no added load. {PRACTICE}",
    "blood_pressure_cleared_by": "Which clinician allowed them all the same; empty: nobody.",
    "plateau_weeks": f"Longest stay with a plateau method, in weeks, 1 to 12. {PRACTICE}",
    "test_weeks": "A clean-rep test every so many weeks, 3 to 12, on each rung: in the place of a session, after a "
    "week that was met, one set of full reps as asked until form breaks. It moves nothing on the ladder. Never in the "
    "first two weeks, of holds or slow lowerings, or with high blood pressure that nobody cleared; left out: none. "
    f"{PRACTICE}",
    "shoulders_set_from": "Key of the rung from which on a rep begins with the shoulder blades set; before it from a "
    f"dead hang. {PRACTICE}",
}
"""Keys of the whole plan, in the order in which they are written."""

RUNG_NOTES = {
    "key": "A short name of its own, in small letters. The log names it: do not change it later.",
    "exercise": "One of low-bar-feet-on-floor, low-bar-heels-raised, inverted-row, box-hold-and-lowering, top-hold, "
    "dead-hang, pull-up, weighted-pull-up; or a short name of your own, with name, mount and cues beside it.",
    "name": "How it is shown; of an exercise of ours only where you want another one.",
    "mount": "Where the sensor sits: body, limb, moving-bar, fixed-bar or suspension.",
    "cues": "What the trainee is told: start, top, trunk, breathing.",
    "typed": "true: nothing is measured, its sessions are typed in.",
    "sets": f"1 to 5; three, later up to five. {PRACTICE}",
    "reps": "2 to 30; 1 where it is typed in, too: a single rep the sensor cannot tell from a stray movement.",
    "tempo": 'Seconds of each phase: up_s (.5 to 10, or "fast"), top_s (0 to 30), down_s (.5 to 30), bottom_s (0 to '
    f"10). About 1 up, 1 down. {PRACTICE} Lowering and holds are least times.",
    "rest_s": "Seconds from one set's last rep to the next one's first, 10 to 600. Or, in its place:",
    "rest_from_s": "rest_from_s, rest_to_s, rest_by_s: a step for each rest from the longest to the shortest; one step "
    f"a week that is met. 90 to 60 by 5. {PRACTICE}",
    "hold_s": "A set is one hold of so many seconds (3 to 120) instead of reps.",
    "half_pause_s": "Stop at mid-height of one-and-a-half reps, .5 to 5 seconds.",
    "load_kg": "Added (positive) or assistance (negative), -100 to 100.",
    "load_step_kg": "Load added by the 2-for-2 rule (Baechle & Earle 2006): two reps over in the last set, twice "
    "running. .25 to 20.",
    "steps": "Where the steps are no taper: a list, each with what differs from the rung: sets, reps, tempo, rests, "
    "hold_s, half_pause_s, load_kg. One thing harder from each to the next.",
    "gate": "What opens the way to the next rung, in words; left out: the last step, a week long. Empty on the last "
    "rung: the ladder ends there.",
    "plateau_methods": 'Allowed when it stalls, of "paused", "one-and-a-half", "slow-negative". ' + PRACTICE,
    "needs": "Equipment without which it cannot be done.",
    "grips": "Only these grips on this rung; left out: the plan's.",
    "warm_ups": "Sets that come first, logged and not judged: 0 to 3.",
    "gap_s": "Planned gap within a set, 10 to 45 seconds (cluster sets; Tufano, Brown & Haff 2017, JSCR 31:848).",
    "two_sided": 'Phases that must not be longer either, of "down", "top".',
    "volume": f"true: add a set (to five) after two weeks met at 60 s rest, instead of the next rung. {PRACTICE}",
}
"""Keys of a rung, in the order in which they are written."""
