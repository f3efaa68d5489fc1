"""The clinician's own voice: recorded lines, and another voice for those not recorded."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from breathmark.problems import UsageProblem
from breathmark.speech.engines.base import UnspeakableError
from breathmark.speech.finish import FINISH_VERSION, finish, join
from breathmark.speech.listening import as_spoken
from breathmark.speech.profiles import RECORDED, VoiceProfile, load_profile
from breathmark.speech.recorded import Recordings, load_recordings
from breathmark.speech.sheet import breaths
from breathmark.speech.speaker import Clip, Speaker, listened
from breathmark.speech.store import ClipStore

_SENTENCE_ENDS = (".", "!", "?", "…")


class RecordedSpeaker(Speaker):
    """Says recorded lines from their clips and all others as ``otherwise`` does.

    Both speak to the ears that the recorded profile names: clips cannot be slowed down,
    but the pauses between them become longer.
    """

    def __init__(
        self,
        profile: VoiceProfile,
        otherwise: VoiceProfile,
        recordings: Recordings,
        *,
        rate_hz: int,
        store: ClipStore | None,
        private: frozenset[str] = frozenset(),
    ) -> None:
        other = replace(otherwise, hearing=profile.hearing, background=profile.background)
        super().__init__(other, rate_hz=rate_hz, store=store, private=private)
        self._own, self._recordings = as_spoken(profile), recordings
        self._takes: dict[str, Clip | None] = {}

    def voice_of(self, line: str) -> str:
        """The name of the voice that says a line."""
        return self._own.name if self._take(line) is not None else super().voice_of(line)

    def fingerprint(self) -> dict[str, str]:
        """What decides the recorded lines' sound."""
        return {
            "voice": self._own.name,
            "engine": RECORDED,
            **self._recordings.fingerprint(),
            "sentence pause ms": str(self._own.sentence_pause_ms),
            "comma pause ms": str(self._own.comma_pause_ms),
            **listened(self._own),
            "finish": FINISH_VERSION,
        }

    def fingerprints(self) -> tuple[dict[str, str], ...]:
        """The recorded voice, and the one that says what is not recorded."""
        return (self.fingerprint(), super().fingerprint())

    def identity(self) -> str:
        """All that decides how a line sounds: both voices."""
        return repr((self.fingerprint(), super().identity()))

    def with_private(self, private: frozenset[str]) -> Speaker:
        """The same voice for somebody else; see :meth:`Speaker.with_private`."""
        twin = super().with_private(private)
        if isinstance(twin, RecordedSpeaker):
            twin._takes = {}
        return twin

    def _found(self, line: str) -> Clip | None:
        take = self._take(line)
        return take if take is not None else super()._found(line)

    def _take(self, line: str) -> Clip | None:
        """The recorded clip of a line; ``None`` when a piece of it lacks or is damaged."""
        if line not in self._takes:
            self._takes[line] = self._joined_take(line)
        return self._takes[line]

    def _joined_take(self, line: str) -> Clip | None:
        pieces = breaths(line)
        if not self._recordings.says(line):
            return None
        clips: list[Clip] = []
        for piece in pieces:
            raw = self._recordings.read(piece)
            if raw is None:
                self._note_damage(line, piece)
                return None
            try:
                clips.append(finish(raw, self._rate_hz))
            except UnspeakableError:
                self._note_damage(line, piece)
                return None
        return self._with_pauses(pieces, clips)

    def _note_damage(self, line: str, piece: str) -> None:
        which = "a private line" if line in self._private else f"“{piece[:60]}”"
        self.notes += (
            f"the recorded clip of {which} is damaged; {super().voice_of(line)} says that line",
        )

    def _with_pauses(self, pieces: Sequence[str], clips: Sequence[Clip]) -> Clip:
        whole = clips[0]
        for before, clip in zip(pieces, clips[1:], strict=False):
            ends = before.endswith(_SENTENCE_ENDS)
            pause_ms = self._own.sentence_pause_ms if ends else self._own.comma_pause_ms
            whole = join([whole, clip], pause_ms, self._rate_hz)
        return np.asarray(whole, dtype=np.int16)


def speaker_for(
    profile: VoiceProfile,
    folders: Sequence[Path],
    *,
    rate_hz: int,
    store: ClipStore | None,
    private: frozenset[str] = frozenset(),
) -> Speaker:
    """The speaker of any profile; ``folders`` are searched for the one it falls back to.

    Raises :class:`~breathmark.problems.UsageProblem` when that one is not there, is a
    recorded voice itself or speaks another language.
    """
    if profile.engine != RECORDED:
        return Speaker(profile, rate_hz=rate_hz, store=store, private=private)
    return RecordedSpeaker(
        profile,
        otherwise_of(profile, folders),
        load_recordings(clips_folder(profile)),
        rate_hz=rate_hz,
        store=store,
        private=private,
    )


def clips_folder(profile: VoiceProfile) -> Path:
    """The folder of a recorded voice's clips, beside its profile."""
    return (profile.file.parent if profile.file else Path()) / (profile.clips or profile.name)


def otherwise_of(
    profile: VoiceProfile,
    folders: Sequence[Path],
    load: Callable[[str, Sequence[Path]], VoiceProfile] = load_profile,
) -> VoiceProfile:
    """The voice that says what a recorded voice lacks; raises as :func:`speaker_for`."""
    other = load(profile.otherwise, folders)
    if other.engine == RECORDED:
        raise UsageProblem(
            f"the voice `{profile.name}` falls back to `{other.name}`, which is recorded itself. "
            "Name one that can say every line, such as `otherwise: calm`."
        )
    if other.language != profile.language:
        raise UsageProblem(
            f"the voice `{profile.name}` speaks `{profile.language}`, but falls back to "
            f"`{other.name}`, which speaks `{other.language}`"
        )
    return other
