"""What the tests of all rooms stand on: a clip store of their own, an empty folder to work in."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests.listening import Listener

# The same random examples on every run: a failure can be looked into, and never comes by luck.
# No example fails for taking long: the machine may be busy with other work.
settings.register_profile(
    "steady",
    derandomize=True,
    print_blob=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("steady")


@pytest.fixture(scope="session", autouse=True)
def clip_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The clip store of this run, never the user's; ``scripts/test.py`` names one that lasts."""
    with pytest.MonkeyPatch.context() as patch:
        if "BREATHMARK_STORE" not in os.environ:
            patch.setenv("BREATHMARK_STORE", str(tmp_path_factory.mktemp("clips")))
        yield Path(os.environ["BREATHMARK_STORE"])


@pytest.fixture
def empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A fresh folder, and the working directory of the test."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(scope="session")
def listener() -> Listener:
    """The recogniser, loaded once for all tests."""
    return Listener.load()
