"""Lines of the kind that home exercise sheets are made of, written for the tests."""

from __future__ import annotations

# Forty lines of a home routine, in passages of about twenty seconds: a recogniser, like
# a person, understands a line better among others.
PASSAGES = (
    (
        "Stand your chair against the wall and wear shoes that grip.",
        "Sit tall in your chair with both feet flat on the floor.",
        "Lift your toes, then lift your heels, slowly and smoothly.",
        "Keep breathing, slow and easy.",
    ),
    (
        "Face the counter with both hands on it. Slide your left foot straight back.",
        "Keep that knee straight.",
        "Back heel heavy on the floor.",
        "You should feel a gentle stretch low in the calf, never a sharp pain.",
    ),
    (
        "Take a shorter step back if that is too much.",
        "Change sides.",
        "Now your right side.",
        "Halfway.",
        "Ten seconds left.",
        "And rest.",
        "Shake out your legs.",
    ),
    (
        "Next, sit to stand.",
        "Move to the front edge of the chair and bring your feet back under your knees.",
        "Bring your nose over your toes, then stand up.",
        "Lower yourself slowly and quietly.",
        "One. Two. Three. Four.",
    ),
    (
        "Stand sideways to the counter with one hand resting on it.",
        "Keep your toes pointing forward and move your leg out to the side.",
        "Stay tall, as if a string were lifting the top of your head.",
        "Breathe out with the effort.",
        "Last one.",
    ),
    (
        "Place one foot half a step in front of the other.",
        "Look ahead at one spot on the wall.",
        "Hold on to the counter whenever you need to.",
        "Let your hands grow light.",
        "Hold for 30 s. 2 times on each side.",
    ),
    (
        "Close your eyes if that feels safe.",
        "Let your shoulders drop away from your ears.",
        "Breathe in through your nose.",
        "Breathe out slowly.",
        "Use the band to draw your foot towards you.",
    ),
    (
        "Stop if you feel pain in your chest, neck, jaw or arm.",
        "If you feel dizzy, stop and sit down.",
        "What your clinician told you comes first.",
        "Well done.",
        "Sit for a minute before you go on with your day.",
    ),
)

TYPICAL = (
    "Stand behind a sturdy chair and hold the back of it.",
    "Bring your feet as wide apart as your hips.",
    "Tighten the front of your thigh and hold it for five slow counts.",
    "Your back heel stays heavy on the floor.",
    "You should feel a mild pull low in the calf, never a sharp pain.",
    "Keep breathing, slow and easy.",
    "Scoot forward until you sit near the edge of the seat.",
    "Lean forward until your nose is over your toes, then stand up.",
    "Imagine that a string lifts the top of your head.",
    "Stop if you feel pain in your chest, neck, jaw or arm.",
    "Take a shorter step back if that is too much.",
    "Sit for a minute before you go on with your day.",
    *(line for passage in PASSAGES for line in passage),
)
"""Some fifty lines, none of them in the passage on which pace is calibrated."""
