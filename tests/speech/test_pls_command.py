"""``breathmark voices lexicon``: out and in, never over a file, problems with their line."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from breathmark.speech.lexicon import load_lexicon
from breathmark.speech.profiles import load_profile


def ran(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    """The command as a person runs it."""
    command = [sys.executable, "-m", "breathmark", "voices", "lexicon", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_a_lexicon_goes_out_and_comes_back(tmp_path: Path) -> None:
    """The written file is a lexicon file with all words; a second time it is left alone."""
    pls, own = tmp_path / "words.pls", tmp_path / "my-voices" / "lexicon-own.yaml"
    assert ran("--export", pls).returncode == 0
    assert ran("--import", pls, "--to", own).returncode == 0
    keys = [entry.key for entry in load_lexicon(load_profile("calm").lexicon).entries]
    assert [entry.key for entry in load_lexicon([own]).entries] == keys
    before = own.read_bytes()
    again = ran("--import", pls, "--to", own)
    assert (again.returncode, own.read_bytes()) == (2, before)
    assert "is there already" in again.stderr


def test_what_is_wrong_is_told(tmp_path: Path) -> None:
    """A problem of the file is status 1 with its line, of the command status 2."""
    pls = tmp_path / "words.pls"
    pls.write_text('<!DOCTYPE a [<!ENTITY b "c">]>\n<lexicon/>', encoding="utf-8")
    wrong = ran("--import", pls, "--to", tmp_path / "own.yaml")
    assert wrong.returncode == 1
    assert "words.pls:1:13" in wrong.stderr
    assert not (tmp_path / "own.yaml").exists()
    assert ran().returncode == 2
    assert ran("--import", pls).returncode == 2
