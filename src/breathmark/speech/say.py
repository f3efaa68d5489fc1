"""Speak one line into a WAV file, to hear a voice before it is used."""

from __future__ import annotations

import wave
from contextlib import suppress
from pathlib import Path

from breathmark.disk import patiently
from breathmark.problems import Fault
from breathmark.speech.profiles import VoiceProfile, voice_folders
from breathmark.speech.recorded_speaker import speaker_for
from breathmark.speech.store import ClipStore
from breathmark.units import SESSION_RATE_HZ, seconds


def say(
    profile: VoiceProfile,
    line: str,
    path: Path,
    *,
    store: ClipStore | None = None,
    rate_hz: int = SESSION_RATE_HZ,
) -> float:
    """Write ``line`` as a mono 16-bit WAV at ``path``; how many seconds it lasts.

    The file appears whole or not at all.  Raises what a
    :class:`~breathmark.speech.speaker.Speaker` raises, and
    :class:`~breathmark.problems.Fault` when the file cannot be written.
    """
    folders = voice_folders(profile.file.parent if profile.file else None)
    clip = speaker_for(profile, folders, rate_hz=rate_hz, store=store).clip(line)
    part = path.with_name(f".{path.name}.part")
    try:
        with part.open("wb") as opened, wave.open(opened, "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(rate_hz)
            file.writeframes(clip.astype("<i2").tobytes())
        patiently(lambda: part.replace(path))
    except OSError as error:
        with suppress(OSError):  # on a disk that is read-only, not even nothing is removed
            part.unlink(missing_ok=True)
        raise Fault(f"{path} cannot be written: {error.strerror or error}",
                    remedy="Name a file in a folder that you may write to.") from error  # fmt: skip
    return seconds(len(clip), rate_hz)
