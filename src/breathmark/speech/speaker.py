"""The speaker: written lines in, finished clips and their lengths out.

It synthesises only what the store lacks, sentence by sentence, each sentence once.
"""

from __future__ import annotations

import copy
from collections import OrderedDict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from breathmark.problems import Fault
from breathmark.routine.listening import Background, Hearing
from breathmark.speech.commas import commas_in, with_comma_pauses
from breathmark.speech.engines import engine_for
from breathmark.speech.engines.base import Engine, UnspeakableError
from breathmark.speech.equalising import equalised_clip, equaliser_of
from breathmark.speech.finish import FINISH_VERSION, finish, join
from breathmark.speech.lexicon import Lexicon, load_lexicon
from breathmark.speech.listening import as_spoken
from breathmark.speech.pace import setting_for
from breathmark.speech.profiles import VoiceProfile
from breathmark.speech.speakable import sentences, speakable
from breathmark.speech.store import ClipStore, key_of

Clip = NDArray[np.int16]

_MOST_HELD = 2_000_000
"""Samples of stored clips kept in memory (4 MB); older ones are read again."""


class Speaker:
    """One voice at one rate, over one store.

    ``private`` lines are never written to disk; ``store`` of ``None`` keeps everything
    in memory.  ``notes`` tells what did not go as it should without stopping the work.
    """

    def __init__(
        self,
        profile: VoiceProfile,
        *,
        rate_hz: int,
        store: ClipStore | None,
        private: frozenset[str] = frozenset(),
    ) -> None:
        self._profile, self._rate_hz, self._private = as_spoken(profile), rate_hz, private
        self._store = store
        self._stays = False
        self._texts: dict[str, str] = {}
        self._keys: dict[str, str] = {}  # of lines that the store may hold
        self._kept: dict[str, Clip] = {}  # what no store holds
        self._held: OrderedDict[str, Clip] = OrderedDict()  # what it holds, for a while
        self.notes: tuple[str, ...] = ()

    @property
    def hearing(self) -> Hearing:
        """The ears that are spoken to: pace and pauses are theirs, the mix does the rest."""
        return self._profile.hearing

    @property
    def background(self) -> Background:
        """What should sound under a session with this voice."""
        return self._profile.background

    def measure(
        self, lines: Iterable[str], progress: Callable[[int, int], None] | None = None
    ) -> dict[str, int]:
        """The length of each line's finished clip, in samples at the session's rate.

        ``progress`` is told how many of the lines to be synthesised are done, and how
        many there are.  Raises :class:`~breathmark.speech.engines.base.UnspeakableError`
        for a line without a sound, :class:`~breathmark.problems.InputProblems` for a
        lexicon that is wrong, :class:`~breathmark.problems.Fault` when the engine fails.
        """
        lengths = dict.fromkeys(lines, 0)
        missing: list[str] = []
        for line in lengths:
            clip = self._found(line)
            if clip is None:
                missing.append(line)
            else:
                lengths[line] = len(clip)
        for done, (line, clip) in enumerate(self._made(missing), start=1):
            lengths[line] = len(clip)
            self._keep(line, clip)
            if progress is not None:
                progress(done, len(missing))
        return lengths

    def clip(self, line: str) -> Clip:
        """The finished clip of a line: mono samples; made again if the store lost it."""
        found = self._found(line)
        if found is not None:
            return found
        for _, clip in self._made([line]):
            self._keep(line, clip)
            return clip
        raise UnspeakableError(f"nothing can be said in `{line[:60]}`")

    def fingerprint(self) -> dict[str, str]:
        """What decides this voice's sound, for the record: engine, versions, settings."""
        return {
            "voice": self._profile.name,
            **self._engine.fingerprint(),
            "pace wpm": str(self._profile.pace_wpm),
            "sentence pause ms": str(self._profile.sentence_pause_ms),
            "comma pause ms": str(self._profile.comma_pause_ms),
            **listened(self._profile),
            **equaliser_of(self._engine.model),
            "finish": FINISH_VERSION,
        }

    def fingerprints(self) -> tuple[dict[str, str], ...]:
        """The fingerprints of every voice that may say a line."""
        return (self.fingerprint(),)

    def voice_of(self, line: str) -> str:  # noqa: ARG002 - a recorded voice goes by the line
        """The name of the voice that says a line."""
        return self._profile.name

    def identity(self) -> str:
        """All that decides how a line sounds, as one text: the voice and its lexicon."""
        lexicon = sorted(self._lexicon.items())
        pauses = (self._profile.sentence_pause_ms, self._profile.comma_pause_ms)
        listening = sorted(listened(self._profile).items())
        return repr(
            (self._decided, lexicon, pauses, self._profile.pace_wpm, listening, self._rate_hz)
        )

    def with_private(self, private: frozenset[str]) -> Speaker:
        """The same voice, made ready, for somebody with other private lines.

        What is known of the voice and what the store holds is shared; of what was private
        to this one, only what is said to both goes over.  As others may follow, the
        engine stays loaded until :meth:`close`.
        """
        self._decided, self._lexicon  # noqa: B018 - made ready here, once for all
        twin = copy.copy(self)
        twin._stays = True
        twin._private, twin.notes = private, ()
        twin._kept = {line: clip for line, clip in self._kept.items() if line in private}
        twin._texts = {line: self._texts[line] for line in self._texts.keys() - self._private}
        return twin

    def close(self) -> None:
        """Give back the engine's memory; clips that were made can still be had."""
        if "_engine" in self.__dict__:
            self._engine.close()

    @cached_property
    def _engine(self) -> Engine:
        setting, note = setting_for(self._profile, self._store)
        self.notes += note
        return engine_for(self._profile, setting)

    @cached_property
    def _lexicon(self) -> Mapping[str, str]:
        return lexicon_for(self._profile, load_lexicon(self._profile.lexicon))

    @cached_property
    def _decided(self) -> str:
        """All of the fingerprint that decides the sound, as one text."""
        engine = self._engine
        parts = {
            **engine.fingerprint(),
            **equaliser_of(engine.model),
            "finish": FINISH_VERSION,
            **resampler(),
        }
        return "\n".join(f"{name}={value}" for name, value in sorted(parts.items()))

    def _key(self, line: str) -> str:
        if line not in self._keys:
            self._keys[line] = self._keyed(self._said(line))
        return self._keys[line]

    def _keyed(self, said: str) -> str:
        pause_ms = self._profile.sentence_pause_ms if len(sentences(said)) > 1 else 0
        comma_ms = self._profile.comma_pause_ms if commas_in(said) else 0
        pauses = f"{pause_ms} {comma_ms}"
        return key_of("clip", self._decided, said, pauses, str(self._rate_hz))

    def _said(self, line: str) -> str:
        if line not in self._texts:
            self._texts[line] = speakable(line, self._lexicon, self._profile.language)
        if not self._texts[line]:
            raise UnspeakableError(f"nothing can be said in `{line[:60]}`")
        return self._texts[line]

    def _found(self, line: str) -> Clip | None:
        if line in self._kept:
            return self._kept[line]
        if line in self._private:
            return None
        key = self._key(line)
        if key in self._held:
            self._held.move_to_end(key)
            return self._held[key]
        clip = self._store.get(key) if self._store else None
        if clip is not None:
            self._hold(key, clip)
        return clip

    def _keep(self, line: str, clip: Clip) -> None:
        if line in self._private or self._store is None:
            self._kept[line] = clip
            return
        try:
            key = self._key(line)
            self._store.put(key, clip)
            self._hold(key, clip)
        except Fault as error:  # a full disk must not stop a build that has its clips
            self._kept[line] = clip
            self._store = None
            self.notes += (error.shown(),)

    def _hold(self, key: str, clip: Clip) -> None:
        self._held[key] = clip
        while sum(map(len, self._held.values())) > _MOST_HELD and len(self._held) > 1:
            self._held.popitem(last=False)

    def _made(self, lines: Sequence[str]) -> Iterator[tuple[str, Clip]]:
        """Synthesise lines, each as soon as its last sentence is there; engine closed after."""
        if not lines:
            return
        wanted = {line: sentences(self._said(line)) for line in lines}
        waiting = _waiting(wanted)
        texts = list(waiting)
        pieces: dict[str, Clip] = {}
        try:
            for index, raw in self._engine.speak(texts):
                text = texts[index]
                clip = finish(raw, self._rate_hz)
                pause_ms = self._profile.comma_pause_ms
                clip = with_comma_pauses(clip, text, pause_ms, self._rate_hz)
                pieces[text] = equalised_clip(clip, self._engine.model, self._rate_hz)
                for line in [line for line in waiting[text] if pieces.keys() >= set(wanted[line])]:
                    yield line, self._joined([pieces[part] for part in wanted[line]])
                    _let_go(wanted.pop(line), line, waiting, pieces)
        finally:
            if not self._stays:
                self._engine.close()

    def _joined(self, pieces: Sequence[Clip]) -> Clip:
        return join(pieces, self._profile.sentence_pause_ms, self._rate_hz)


def _let_go(
    parts: Iterable[str], line: str, waiting: dict[str, list[str]], pieces: dict[str, Clip]
) -> None:
    """Forget the sentences that no line waits for any more."""
    for part in dict.fromkeys(parts):
        waiting[part].remove(line)
        if not waiting[part]:
            del pieces[part]


def _waiting(wanted: Mapping[str, Sequence[str]]) -> dict[str, list[str]]:
    """Each sentence, once, with the lines that need it."""
    waiting: dict[str, list[str]] = {}
    for line, texts in wanted.items():
        for text in dict.fromkeys(texts):
            waiting.setdefault(text, []).append(line)
    return waiting


def listened(profile: VoiceProfile) -> dict[str, str]:
    """What a profile says of listening, where that is not the usual."""
    said = {"hearing": profile.hearing, "background": profile.background}
    usual = (Hearing.USUAL, Background.NONE)
    return {name: value.value for name, value in said.items() if value not in usual}


def lexicon_for(profile: VoiceProfile, lexicon: Lexicon) -> Mapping[str, str]:
    """The lexicon as the profile's engine takes it; sounds are checked against its model.

    Raises :class:`~breathmark.problems.InputProblems` for a sound the model lacks.
    """
    if profile.engine != "piper":
        return lexicon.as_spellings()
    from breathmark.speech.engines.piper import PiperEngine

    lexicon.require_sounds(PiperEngine(profile.model, length_scale=1.0).known_sounds())
    return lexicon.as_sounds()


def resampler() -> dict[str, str]:
    """The versions of what finishing uses, as part of a clip's key."""
    from importlib.metadata import version

    return {name: version(name) for name in ("soxr", "pydub", "numpy")}
