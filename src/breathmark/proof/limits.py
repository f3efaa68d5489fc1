"""What the proof allows, and where each limit comes from.

Where a limit is called our own, it was set between what good files measure and what
the smallest damage worth finding measures.
"""

from __future__ import annotations

from typing import Final

CHAPTER_MS: Final = 2.0
"""How far a chapter may be from its place: formats count in 1 ms, so this leaves room for
rounding twice (our own)."""

ONSET_MS: Final = 20.0
"""How far a tone may be from its place.

Two sounds 20 ms apart can just be told in order (Hirsh, *J Acoust Soc Am* 1959;31:759-67,
from memory), so nobody hears less than this.
"""

LOUDNESS_LUFS: Final = -19.0
"""Speech for phones: -16 LUFS in stereo is -19 for one channel (second-hand)."""

LOUDNESS_LU: Final = 0.5
"""How far the loudness may be off (EBU R 128 allows 0.5 LU, from memory)."""

PEAK_DBTP: Final = -1.0
"""The highest true peak after decoding (EBU R 128, from memory)."""

CAPTION_MS: Final = 10.0
"""How far a caption may be from its line: captions count in 1 ms, eyes in 40 (our own)."""

SILENCE_S: Final = 0.4
"""How much longer than the plan's a silence may be: the soft edges of lines, 0.26 s measured at
the "help" of a calm voice for ears that are hard of hearing (our own)."""

PAUSE_S: Final = 1.25
"""The longest pause inside a line: voices pause up to 0.9 s between sentences, and 0.91 s
was measured (our own)."""

WONDER_S: Final = 20.0
"""A silence of this length makes people wonder whether it stopped (our own)."""

FRAME_MS: Final = 10
"""The step in which levels are read."""

SILENT_DBFS: Final = -57.0
"""Below this a step counts as silent: clips are cut 46 dB under their loudest step, which is
about here once they are levelled, so a clip's softest consonants still count as sound."""

QUIET_DBFS: Final = -60.0
"""Where the plan has nothing, no step may be louder (our own; Opus leaves -84, MP3 nothing)."""

QUIET_WITH_BACKGROUND_DBFS: Final = -29.0
"""The same where the plan has a background: its steps of 10 ms, -41 on the average once it is
levelled, reached -32 (our own)."""

BACKGROUND_DB: Final = 20.0
"""How far a background is below speech (WCAG 2.2, 1.4.7)."""

BACKGROUND_FADE_S: Final = 4.0
"""How long a background takes to be heard at its beginning, and to be gone at its end."""

PAUSE_FRAMES: Final = 5
"""Steps in which a pause between two sentences is looked for: the shortest that a voice may
have is 0.1 s."""

PAUSE_DB: Final = 10.0
"""How far a step of a pause may be above its quietest place: noise reached 9 (our own)."""

LINE_DBFS: Final = -34.0
"""A line's mean level is above this: the softest measured had -21.4, a breath that stepped
back under a line -41 (our own)."""

VOICE_DBFS: Final = -50.0
"""A step this loud belongs to a voice or a breath (our own)."""

BEGIN_S: Final = 0.4
"""How soft a line may be at its beginning (our own); in the 588 lines of the starter library the
longest measured was 0.12 s."""

END_S: Final = 0.6
"""The same at its end (our own), where an "ft" or a "th" may be soft: 0.39 s measured."""

END_OVER_BACKGROUND_S: Final = 1.0
"""The same over a background, in which such an end is lost: "Side-lying leg lift." of a slow
voice ended 0.7 s early (our own)."""

VOICE_OVER_BACKGROUND_DBFS: Final = -42.0
"""The same where a background sounds, which steps back to -51 under a line (our own)."""

BREATH_DBFS: Final = -38.0
"""A breath with nothing over it is louder than this on the average; -23 measured (our own)."""

GUARD_MS: Final = 60
"""Coders smear sound up to this far around it: a frame of 1152 at 24 kHz is 48 ms."""

SWELL_S: Final = 0.3
"""How long a breath takes to be heard over silence, at each of its ends (our own)."""
