"""For every check: files that trip it, and files that stay just inside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, kw_only=True, slots=True)
class Case:
    """A check, a file it speaks about at the marks, and one it is silent about."""

    check: str
    trips: str
    inside: str
    given: Mapping[str, object] = field(default_factory=dict)
    given_inside: Mapping[str, object] = field(default_factory=dict)


CASES = (
    Case(
        check="sides-unequal",
        trips="""
title: One side
exercises:
  - name: Calf stretch
    kind: hold
    targets: [gastrocnemius]
    sides: each
    hold: 30 s
    sets: 2
  - name: Towel stretch
    kind: hold
    targets: [gastrocnemius]
    sides: ‸left
    hold: 30 s
    sets: 2
""",
        inside="""
title: One side, then the other
exercises:
  - {name: Calf stretch, kind: hold, targets: [gastrocnemius], sides: right, hold: 1 min}
  - {name: Towel stretch, kind: hold, targets: [gastrocnemius], sides: left, hold: 1 min}
""",
    ),
    Case(
        check="stretch-under",
        trips="""
title: A little short
frequency: ‸once a week
exercises:
  - name: Calf stretch
    kind: hold
    targets: [gastrocnemius]
    sides: each
    hold: 29 s
    sets: ‸2
""",
        inside="""
title: Long enough
frequency: twice a week
exercises:
  - {name: Calf stretch, kind: hold, targets: [gastrocnemius], sides: each, hold: 30 s, sets: 2}
""",
    ),
    Case(
        check="stretch-under",
        trips="""
title: Two stretches for two muscles
exercises:
  - {name: Calf stretch, kind: hold, targets: [gastrocnemius], hold: 30 s, sets: ‸1}
  - {name: Low calf stretch, kind: hold, targets: [soleus], hold: 30 s, sets: ‸1}
""",
        inside="""
title: Two stretches for one muscle
exercises:
  - {name: Calf stretch, kind: hold, targets: [gastrocnemius], hold: 30 s}
  - {name: Towel stretch, kind: hold, targets: [gastrocnemius], hold: 30 s}
""",
    ),
    Case(
        check="stretch-under",
        trips="""
title: The right side is short
exercises:
  - {name: Calf stretch, kind: hold, targets: [soleus], sides: each, hold: 30 s, sets: ‸1}
  - {name: Towel stretch, kind: hold, targets: [soleus], sides: left, hold: 30 s}
""",
        inside="""
title: Both sides are served
exercises:
  - {name: Calf stretch, kind: hold, targets: [soleus], sides: each, hold: 30 s}
  - {name: Towel stretch, kind: hold, targets: [soleus], sides: left, hold: 30 s}
  - {name: Step stretch, kind: hold, targets: [soleus], sides: right, hold: 30 s}
""",
    ),
    Case(
        check="stretch-over",
        trips="""
title: More than four minutes
exercises:
  - {name: Calf stretch, kind: hold, targets: [soleus], hold: 60 s, sets: 4}
  - {name: Step stretch, kind: hold, targets: [soleus], hold: 10 s, sets: ‸1}
""",
        inside="""
title: Four minutes
exercises:
  - {name: Calf stretch, kind: hold, targets: [soleus], hold: 60 s, sets: 4}
""",
    ),
    Case(
        check="stretch-over",
        trips="""
title: More than ten minutes a week
frequency: 5 days a week
exercises:
  - {name: Calf stretch, kind: hold, targets: [soleus], hold: 61 s, sets: ‸2}
""",
        inside="""
title: Ten minutes a week
frequency: 5 days a week
exercises:
  - {name: Calf stretch, kind: hold, targets: [soleus], hold: 60 s, sets: 2}
""",
    ),
    Case(
        check="hold-length",
        trips="""
title: Holds outside
exercises:
  - {name: Short stretch, kind: hold, hold: ‸9 s}
  - {name: Long stretch, kind: hold, hold: ‸61 s}
  - {name: Long squeeze, kind: hold, hold: ‸11 s, involves: [isometric effort]}
  - name: Long reach
    kind: reps
    reps: 8
    tempo: {out: 2 s, hold: ‸11 s, back: 2 s}
    involves: [isometric effort]
  - {name: Press and stretch, kind: contract-relax, contract: ‸11 s, relax: 2 s, stretch: 20 s}
""",
        inside="""
title: Holds inside
exercises:
  - {name: Short stretch, kind: hold, hold: 10 s}
  - {name: Long stretch, kind: hold, hold: 60 s}
  - {name: Squeeze, kind: hold, hold: 10 s, involves: [isometric effort]}
  - {name: Short squeeze, kind: hold, hold: 2 s, involves: [isometric effort]}
  - {name: Short stance, kind: hold, hold: 5 s, targets: [standing balance]}
  - {name: Reach, kind: reps, reps: 8, tempo: {out: 2 s, hold: 11 s, back: 2 s}}
  - {name: Press and stretch, kind: contract-relax, contract: 10 s, relax: 2 s, stretch: 20 s}
""",
    ),
    Case(
        check="isometric-breathing",
        trips="""
title: Tense without a breath
exercises:
  - name: ‸Chair press
    kind: hold
    hold: 5 s
    involves: [isometric effort]
    cues:
      - Push the chair into the floor.
""",
        inside="""
title: Tense with a breath
exercises:
  - name: Chair press
    kind: hold
    hold: 5 s
    involves: [isometric effort]
    cues:
      - Let your breath flow.
  - {name: Chair pull, kind: hold, hold: 5 s, involves: [isometric effort], breathe: Go on.}
  - {name: Blade squeeze, kind: reps, reps: 8, tempo: {out: 2 s, hold: 5 s, back: 2 s}}
""",
    ),
    Case(
        check="held-breath",
        trips="""
title: Held
opening:
  - Take a seat and ‸hold your breath.
exercises:
  - name: Box breathing
    kind: breathing
    breaths: 4
    pattern: ‸{in: 4 s, hold in: 4 s, out: 4 s}
  - name: Quiet sitting
    kind: free
    time: 1 min
    cues:
      - Then ‸breathe in and hold.
""",
        inside="""
title: Not held
opening:
  - Never hold your breath, and do not bear down.
exercises:
  - {name: Slow breathing, kind: breathing, breaths: 4, pattern: {in: 4 s, out: 4 s}}
  - {name: Quiet sitting, kind: free, time: 1 min, setup: Hold the chair and keep breathing.}
""",
    ),
    Case(
        check="held-breath-effort",
        trips="""
title: Bearing down
exercises:
  - name: Heel raises
    kind: reps
    reps: 8
    tempo: {out: 2 s, back: 2 s}
    breathe: On the way up, ‸hold your breath.
  - name: Chair press
    kind: hold
    hold: 5 s
    involves: [isometric effort]
    breathe: ‸Bear down and breathe out after.
""",
        inside="""
title: Breathing out
exercises:
  - name: Heel raises
    kind: reps
    reps: 8
    tempo: {out: 2 s, back: 2 s}
    breathe: Breathe out instead of bearing down.
  - {name: Quiet sitting, kind: free, time: 1 min, breathe: Hold your breath for a moment.}
""",
    ),
    Case(
        check="effort-breathing-in",
        trips="""
title: The wrong way round
exercises:
  - name: Heel raises
    kind: reps
    reps: 8
    tempo: {out: 2 s, back: 2 s}
    breathe: ‸Breathe in as you rise.
  - name: Wall push
    kind: reps
    reps: 8
    tempo: {out: 2 s, back: 2 s}
    cues:
      - ‸As you push, breathe in.
""",
        inside="""
title: The right way round
exercises:
  - {name: Heel raises, kind: free, time: 30 s, breathe: Breathe out as you rise.}
  - {name: Wall push, kind: free, time: 30 s, breathe: Breathe in as you come back.}
  - {name: Ribs, kind: breathing, breaths: 4, setup: 'Breathe in as your hands rise.'}
""",
    ),
    Case(
        check="balance-support",
        trips="""
title: Nothing to hold
equipment: [kitchen counter]
exercises:
  - name: ‸Flamingo
    kind: hold
    position: standing
    hold: 20 s
    sides: each
    setup: Stand on your {side} leg.
    involves: [standing, balance on one leg]
  - name: ‸Still stance
    kind: hold
    position: standing
    hold: 20 s
    targets: [standing balance]
""",
        inside="""
title: Something to hold
exercises:
  - name: Flamingo
    kind: hold
    position: standing
    hold: 20 s
    sides: each
    setup: Stand on your {side} leg with a hand on the counter.
    involves: [standing, balance on one leg]
    equipment: [kitchen counter]
  - {name: Heel raises, kind: free, position: standing, time: 30 s, involves: [standing]}
  - {name: Rail stance, kind: hold, hold: 20 s, targets: [standing balance],
     equipment: [stair rail]}
  - {name: Seated shift, kind: hold, position: seated, hold: 20 s, targets: [weight shift]}
""",
    ),
    Case(
        check="balance-untagged",
        trips="""
title: It does not say so
exercises:
  - name: Flamingo
    kind: hold
    position: standing
    hold: 20 s
    sides: each
    setup: ‸Stand on your {side} leg, a hand on the counter.
    involves: [standing]
  - name: ‸Tandem stance
    kind: free
    position: standing
    time: 30 s
""",
        inside="""
title: It says so
exercises:
  - name: Flamingo
    kind: hold
    position: standing
    hold: 20 s
    sides: each
    setup: Stand on your {side} leg, a hand on the counter.
    involves: [standing, balance on one leg]
  - {name: Tandem stance, kind: free, position: standing, time: 30 s, targets: [standing balance]}
  - {name: Rest, kind: free, position: seated, time: 30 s, setup: Close your eyes.}
  - {name: Slide, kind: free, position: standing, time: 30 s, setup: Slide one leg back.}
  - {name: March, kind: free, position: standing, time: 30 s, setup: Do not close your eyes.}
""",
    ),
    Case(
        check="rising-from-floor",
        trips="""
title: Up at once
exercises:
  - {name: Bridge, kind: free, position: supine, time: 30 s}
  - {name: Heel raises, kind: free, position: ‸standing, time: 30 s}
  - {name: Plank, kind: hold, position: hands and knees, hold: 10 s, rests: {after: 1 min}}
  - {name: Toe raises, kind: free, position: ‸standing, time: 30 s, rests: {before: 59 s}}
""",
        inside="""
title: Up by and by
exercises:
  - {name: Bridge, kind: free, position: supine, time: 30 s}
  - {name: Sit, kind: pause, position: seated, time: 30 s}
  - {name: Heel raises, kind: free, position: standing, time: 30 s}
  - {name: Plank, kind: hold, position: hands and knees, hold: 10 s}
  - {name: Knee lifts, kind: free, position: seated, time: 30 s}
  - {name: Toe raises, kind: free, position: standing, time: 30 s}
  - {name: Clam, kind: free, position: side-lying, time: 30 s}
  - {name: March, kind: free, position: standing, time: 1 min, rests: {before: 60 s}}
""",
    ),
    Case(
        check="cue-one-thought",
        trips="""
title: Two thoughts
exercises:
  - name: Heel raises
    kind: reps
    reps: 8
    tempo: {out: 2 s, back: 2 s}
    cues:
      - Grow tall ‸and look ahead.
      - Heels down‸; toes up.
      - Push the floor away‸. Stand tall.
      - say: Sink slowly, ‸then rise.
        when: last set
""",
        inside="""
title: One thought
exercises:
  - name: Heel raises
    kind: reps
    reps: 8
    tempo: {out: 2 s, back: 2 s}
    cues:
      - Heels and toes stay heavy.
      - Grow long, light and tall.
    setup: Grow tall, and look ahead. Then rise.
""",
    ),
    Case(
        check="cue-length",
        trips="""
title: Nine words
exercises:
  - name: Calf stretch
    kind: hold
    hold: 30 s
    sides: each
    cues:
      - ‸Let the {other side} heel sink down into the floor.
""",
        inside="""
title: Eight words
exercises:
  - name: Calf stretch
    kind: hold
    hold: 30 s
    sides: each
    cues:
      - Let the {other side} heel sink into the floor.
    setup: Let the {side} heel sink down into the floor for a while.
""",
    ),
    Case(
        check="reading-grade",
        trips="""
title: Hard words
cautions:
  - ‸Discontinue immediately if experiencing considerable cardiovascular difficulties.
exercises:
  - name: Calf stretch
    kind: hold
    hold: 30 s
    setup: ‸Maintain alternating unilateral dorsiflexion throughout the entire repetition.
""",
        inside="""
title: Plain words
cautions:
  - Stop at once if your heart or your breath gives you trouble.
exercises:
  - name: Calf stretch
    kind: hold
    hold: 30 s
    setup: Keep one foot pulled up toward you the whole time.
""",
    ),
    Case(
        check="many-exercises",
        trips="""
title: Seven
exercises:
  - {name: One, kind: free, time: 30 s}
  - {name: Two, kind: free, time: 30 s}
  - {name: Three, kind: free, time: 30 s}
  - {name: Four, kind: free, time: 30 s}
  - {name: Five, kind: free, time: 30 s}
  - {name: Six, kind: free, time: 30 s}
  - {name: Water, kind: pause, time: 30 s}
  - {name: ‸Seven, kind: free, time: 30 s}
""",
        inside="""
title: Six
exercises:
  - {name: One, kind: free, time: 30 s}
  - {name: Two, kind: free, time: 30 s}
  - {name: Three, kind: free, time: 30 s}
  - {name: Four, kind: free, time: 30 s}
  - {name: Five, kind: free, time: 30 s}
  - {name: Water, kind: pause, time: 30 s}
  - {name: Six, kind: free, time: 30 s}
""",
    ),
    Case(
        check="when-to-stop",
        trips="""
title: How does it feel
exercises:
  - name: ‸Calf stretch
    kind: hold
    hold: 60 s
""",
        inside="""
title: It is said
exercises:
  - {name: Calf stretch, kind: hold, hold: 60 s, feel: 'a mild pull, never a sharp pain'}
  - {name: Water, kind: pause, time: 30 s}
""",
    ),
    Case(
        check="equipment-missing",
        trips="""
title: Who has a towel
opening:
  - Have a ‸pillow at hand.
exercises:
  - name: Calf stretch
    kind: hold
    hold: 60 s
    setup: Sit on a ‸chair and loop a ‸towel around your foot. Draw the towel to you.
    easier: Put both feet on a ‸low step.
""",
        inside="""
title: They are listed
equipment: [old kitchen chair, Pillow]
opening:
  - Have a pillow at hand.
exercises:
  - name: Calf stretch
    kind: hold
    hold: 60 s
    setup: Sit on a chair and loop a towel around your foot, the IT band at rest.
    cues:
      - Circle counter clockwise.
    easier: Put both feet on a low step.
    equipment: [towel, low step]
""",
    ),
    Case(
        check="side-word-missing",
        trips="""
title: Which foot
exercises:
  - name: Calf stretch
    kind: hold
    hold: 60 s
    sides: each
    setup: ‸Slide one foot back.
  - name: ‸Ankle circles
    kind: free
    time: 30 s
    sides: left
  - name: Toe circles
    kind: free
    time: 30 s
    sides: each
    setup: ‸Lift your left foot.
""",
        inside="""
title: This foot
exercises:
  - {name: Calf stretch, kind: hold, hold: 60 s, sides: each, setup: 'Slide your {side} foot back.'}
  - {name: Thigh stretch, kind: hold, hold: 60 s, sides: each, setup: 'Stay on the {other side}.'}
  - {name: Ankle circles, kind: free, time: 30 s, sides: left, setup: Lift your left foot.}
  - {name: March, kind: free, time: 30 s, sides: alternating, setup: Lift one knee.}
""",
    ),
    Case(
        check="side-named",
        trips="""
title: The wrong foot
exercises:
  - name: Calf stretch
    kind: hold
    hold: 60 s
    sides: each
    setup: Slide your {side} foot back, your ‸left knee bent.
    cues:
      - The ‸right heel stays heavy.
  - name: Ankle circles
    kind: free
    time: 30 s
    sides: left
    setup: Lift your ‸right foot.
""",
        inside="""
title: The right foot
exercises:
  - name: Calf stretch
    kind: hold
    hold: 60 s
    sides: each
    setup: Bend your {side} knee to a right angle, right under you, right against the bed.
    easier: With no time left, do it the right way.
  - {name: Ankle circles, kind: free, time: 30 s, sides: left, setup: Lift your left foot.}
  - {name: Turns, kind: free, time: 30 s, sides: alternating, setup: Turn left and then right.}
""",
    ),
    Case(
        check="back-and-forth",
        trips="""
title: Up and down
exercises:
  - {name: One, kind: free, position: standing, time: 30 s}
  - {name: Two, kind: free, position: seated, time: 30 s}
  - {name: Three, kind: free, time: 30 s}
  - {name: Four, kind: free, position: standing, time: 30 s}
  - {name: Five, kind: free, position: ‸seated, time: 30 s}
""",
        inside="""
title: Up and down for a reason
exercises:
  - {name: One, kind: free, position: standing, time: 30 s}
  - {name: Two, kind: free, position: seated, time: 30 s}
  - {name: Three, kind: free, position: standing, time: 30 s}
  - {name: Sit to stand, kind: free, time: 30 s, position: seated, involves: [rising from a chair]}
  - {name: Four, kind: free, position: standing, time: 30 s}
  - {name: Five, kind: free, position: supine, time: 30 s}
""",
    ),
    Case(
        check="condition",
        given={"conditions": ("osteoporosis", "High blood pressure")},
        given_inside={"conditions": ("osteoporosis", "High blood pressure")},
        trips="""
title: Think twice
exercises:
  - name: Curl up
    kind: reps
    reps: 8
    tempo: {out: 2 s, back: 2 s}
    involves: [lying on the back, ‸loaded spinal flexion]
  - name: Long press
    kind: hold
    hold: 11 s
    involves: [‸isometric effort]
""",
        inside="""
title: Nothing to think of
exercises:
  - {name: Bridge, kind: free, time: 30 s, involves: [lying on the back, crossing the midline]}
  - {name: Press, kind: hold, hold: 10 s, involves: [isometric effort]}
alternatives:
  - {name: Curl up, kind: free, time: 30 s, involves: [loaded spinal flexion]}
""",
    ),
    Case(
        check="condition",
        given={"conditions": ("osteoprosis",)},
        given_inside={"conditions": ("osteoporosis",)},
        trips="""
‸title: A slip of the pen
exercises:
  - {name: March, kind: free, time: 30 s}
""",
        inside="""
title: A condition that is known
exercises:
  - {name: March, kind: free, time: 30 s, involves: [standing]}
""",
    ),
    Case(
        check="condition",
        given={"conditions": ("high blood pressure",)},
        given_inside={"conditions": ("high blood pressure",)},
        trips="""
title: Held and pressed without a tag
exercises:
  - name: ‸Box breathing
    kind: breathing
    breaths: 4
    pattern: {in: 4 s, hold in: 4 s, out: 4 s}
    involves: [sitting]
  - name: ‸Hamstrings against a towel
    kind: contract-relax
    contract: 11 s
    relax: 3 s
    stretch: 20 s
    sets: 2
    involves: [lying on the back]
  - {name: ‸Sit up, kind: free, time: 30 s}
""",
        inside="""
title: Neither held nor pressed for long
exercises:
  - name: Slow breathing
    kind: breathing
    breaths: 4
    pattern: {in: 4 s, out: 6 s}
    involves: [sitting]
  - name: Hamstrings against a towel
    kind: contract-relax
    contract: 10 s
    relax: 3 s
    stretch: 20 s
    sets: 2
    involves: [lying on the back]
  - {name: Water, kind: pause, time: 30 s}
""",
    ),
    Case(
        check="avoided",
        given={"avoid": ("breath holding", "isometric effort")},
        given_inside={"avoid": ("breath holding", "kneeling")},
        trips="""
title: Held and pressed without a tag
exercises:
  - name: ‸Box breathing
    kind: breathing
    breaths: 4
    pattern: {in: 4 s, out: 4 s, hold out: 4 s}
  - {name: ‸Press and let go, kind: contract-relax, contract: 5 s, relax: 3 s, stretch: 20 s}
""",
        inside="""
title: Neither held nor on the knees
exercises:
  - {name: Slow breathing, kind: breathing, breaths: 4, pattern: {in: 4 s, out: 6 s}}
  - {name: Press and let go, kind: contract-relax, contract: 5 s, relax: 3 s, stretch: 20 s}
""",
    ),
    Case(
        check="avoided",
        given={"avoid": ("Kneeling",)},
        given_inside={"avoid": ("Kneeling",)},
        trips="""
title: On the knees
exercises:
  - name: Cat and camel
    kind: reps
    reps: 8
    tempo: {out: 2 s, back: 2 s}
    involves: [spinal flexion, ‸kneeling]
""",
        inside="""
title: On the chair
exercises:
  - {name: Seated cat, kind: free, time: 30 s, involves: [spinal flexion, sitting]}
alternatives:
  - {name: Cat and camel, kind: free, time: 30 s, involves: [kneeling]}
""",
    ),
    Case(
        check="session-length",
        trips="""
title: Long
length: ‸20 min 1 s
exercises:
  - {name: March, kind: free, time: 30 s}
""",
        inside="""
title: Long enough
length: 20 min
exercises:
  - {name: March, kind: free, time: 30 s}
""",
    ),
    Case(
        check="session-length",
        given={"session_length_ms": 1_200_001},
        given_inside={"session_length_ms": 1_200_000},
        trips="""
‸title: It came out long
exercises:
  - {name: March, kind: free, time: 30 s}
""",
        inside="""
title: The plan is what counts
length: 21 min
exercises:
  - {name: March, kind: free, time: 30 s}
""",
    ),
    Case(
        check="unspeakable",
        trips="""
title: For your ‸ROM
exercises:
  - name: Shoulder lift
    kind: hold
    hold: 60 s
    setup: Bend it to 90‸° and ‸STOP.
    cues:
      - Lift ‸B/L arms.
      - Rest ‸w/ your palm up.
      - Do this ‸10x.
      - Rest your ‸рука here.
    feel: a pull in ‸flex. only
""",
        inside="""
title: For how far you can move
exercises:
  - name: Shoulder lift
    kind: hold
    hold: 60 s
    setup: Hold 30 s, 2 x 30 s each side, and/or watch TV. I like a T shape, naïve or α.
    cues:
      - Add a little more and flex.
""",
    ),
)
"""In the order of the manual's topics; several cases for a check with several findings."""
