"""The script one would write: ``talk.py LINES.json RATE OUT.mp3``, pyttsx3 and pydub.

Each line is spoken to a file, silence is added up to its time, and the line behind it.
"""

from __future__ import annotations

import ctypes
import json
import os
import sys
import tempfile
from pathlib import Path

import espeakng_loader
import pyttsx3
from pydub import AudioSegment


def main(lines_path: str, rate: str, mp3_path: str) -> None:
    """Speak ``[[start in ms, text], …, [length in ms, ""]]`` into one recording."""
    ctypes.CDLL(espeakng_loader.get_library_path())  # where no eSpeak NG is installed
    os.environ["ESPEAK_DATA_PATH"] = espeakng_loader.get_data_path()
    engine = pyttsx3.init()
    engine.setProperty("rate", int(rate))
    recording = AudioSegment.silent(duration=0, frame_rate=24_000)
    with tempfile.TemporaryDirectory() as folder:
        clip = str(Path(folder) / "clip.wav")
        for start_ms, text in json.loads(Path(lines_path).read_text(encoding="utf-8")):
            gap_ms = max(0, start_ms - len(recording))
            recording += AudioSegment.silent(duration=gap_ms, frame_rate=24_000)
            if text:
                engine.save_to_file(text, clip)
                engine.runAndWait()
                recording += AudioSegment.from_wav(clip)
    recording.export(mp3_path, format="mp3", bitrate="64k")


if __name__ == "__main__":
    main(*sys.argv[1:])
