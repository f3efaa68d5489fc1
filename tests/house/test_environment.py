"""The scripts' own environment: made once, made again when it must, and plain about failures."""

from __future__ import annotations

import importlib.util
import json
import os
import subprocess
import sys
import time
from pathlib import Path
from types import ModuleType

import pytest

from tests.house.sources import TOP

SCRIPT = TOP / "scripts" / "_environment.py"


@pytest.fixture(scope="module")
def environment() -> ModuleType:
    """The scripts' shared module, loaded from where it lies."""
    spec = importlib.util.spec_from_file_location("_environment", SCRIPT)
    if spec is None or spec.loader is None:
        pytest.fail("scripts/_environment.py cannot be loaded")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A project with a pyproject.toml and an environment that looks made."""
    (tmp_path / "pyproject.toml").write_text('[project]\nname = "small"\ndependencies = ["a"]\n')
    programs = tmp_path / ".venv" / ("Scripts" if os.name == "nt" else "bin")
    programs.mkdir(parents=True)
    name = "python.exe" if os.name == "nt" else "python"
    (programs / name).symlink_to(sys.executable)
    return tmp_path


@pytest.fixture
def installs(environment: ModuleType, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What would be installed; stands in for pip and for making a bare environment."""
    done: list[str] = []
    monkeypatch.setattr(environment, "_install", lambda _folder, target, _top: done.append(target))
    monkeypatch.setattr(environment, "_create", lambda _folder: done.append("new environment"))
    return done


def test_a_made_environment_is_left_alone(
    environment: ModuleType, project: Path, installs: list[str]
) -> None:
    """The second start installs nothing, and needs no test extras to be content."""
    environment.ready(["dev"], top=project)
    assert installs == [".[dev]"]
    environment.ready(["dev"], top=project)
    environment.ready(top=project)
    assert installs == [".[dev]"]


def test_extras_that_are_not_there_are_added(
    environment: ModuleType, project: Path, installs: list[str]
) -> None:
    """After the demo the tests add what they need."""
    environment.ready(top=project)
    environment.ready(["dev"], top=project)
    assert installs == [".", ".[dev]"]


def test_a_changed_dependency_is_installed_and_a_changed_setting_is_not(
    environment: ModuleType, project: Path, installs: list[str]
) -> None:
    """Only the tables that say what to install count."""
    environment.ready(top=project)
    pyproject = project / "pyproject.toml"
    pyproject.write_text(pyproject.read_text() + "[tool.ruff]\nline-length = 90\n")
    environment.ready(top=project)
    assert installs == ["."]
    pyproject.write_text(pyproject.read_text().replace('["a"]', '["a", "b"]'))
    environment.ready(top=project)
    assert installs == [".", "."]


def test_an_interrupted_attempt_is_begun_again(
    environment: ModuleType, project: Path, installs: list[str]
) -> None:
    """What an interrupted pip left behind is not trusted."""
    environment.ready(top=project)
    (project / ".venv" / environment.UNFINISHED).touch()
    environment.ready(top=project)
    assert installs == [".", "new environment", "."]


def test_an_environment_whose_python_is_gone_is_made_again(
    environment: ModuleType, project: Path, installs: list[str]
) -> None:
    """A removed or replaced base Python leaves a dead link behind."""
    environment.ready(top=project)
    python = environment.program("python", project / ".venv")
    python.unlink()
    python.symlink_to(project / "gone")
    environment.ready(top=project)
    assert installs[1:] == ["new environment", "."]


def test_a_damaged_stamp_is_no_stamp(
    environment: ModuleType, project: Path, installs: list[str]
) -> None:
    """Half a stamp does not count as made."""
    environment.ready(top=project)
    stamp = project / ".venv" / environment.STAMP
    stamp.write_text(stamp.read_text()[:10])
    environment.ready(top=project)
    assert installs == [".", "."]
    assert json.loads(stamp.read_text())["extras"] == []


def test_a_python_that_is_too_old_is_told_so(
    environment: ModuleType, capsys: pytest.CaptureFixture[str]
) -> None:
    """The message names what is there and what is needed."""
    with pytest.raises(SystemExit) as ended:
        environment.require_python((3, 10, 9))
    assert ended.value.code == 3
    said = capsys.readouterr().out
    assert "3.11 or newer" in said
    assert "3.10.9" in said
    environment.require_python((3, 11, 0))


def test_a_python_without_ensurepip_is_told_the_remedy(tmp_path: Path) -> None:
    """Debian's bare python3 lacks ensurepip: the message says what to install."""
    bare = f"import sys; sys.modules['ensurepip'] = None; {_start(tmp_path)}"
    done = _python(bare)
    assert done.returncode == 3
    assert "sudo apt install python3-venv" in done.stdout
    assert "Traceback" not in done.stdout + done.stderr


@pytest.mark.slow
def test_a_package_index_out_of_reach_is_told_so(tmp_path: Path) -> None:
    """pip's own words are shown, then the remedy; the next start begins again."""
    (tmp_path / "pyproject.toml").write_text(
        '[build-system]\nrequires = ["hatchling"]\nbuild-backend = "hatchling.build"\n'
        '[project]\nname = "small"\nversion = "1"\n'
    )
    done = _python(_start(tmp_path), PIP_NO_INDEX="1", PIP_FIND_LINKS="")
    assert done.returncode == 3
    assert "hatchling" in done.stdout
    assert "connect to the network" in done.stdout
    assert "Traceback" not in done.stdout + done.stderr
    assert (tmp_path / ".venv" / "breathmark-unfinished").exists()


@pytest.mark.parametrize(
    ("pip_said", "remedy"),
    [
        ("ERROR: OSError: [Errno 28] No space left on device", "disk is full"),
        ("ProxyError('Cannot connect to proxy.')", "HTTPS_PROXY"),
        ("[SSL: CERTIFICATE_VERIFY_FAILED]", "PIP_CERT"),
        ("Temporary failure in name resolution", "connect to the network"),
        ("something else", "stands above"),
    ],
)
def test_the_remedy_fits_what_pip_said(environment: ModuleType, pip_said: str, remedy: str) -> None:
    """Disk, proxy, certificate and network each have their own advice."""
    assert remedy in environment._remedy(pip_said)


@pytest.mark.skipif(os.name == "nt", reason="waits on a POSIX process")
def test_two_starts_make_the_environment_once(project: Path) -> None:
    """The second waits for the first and then finds everything made."""
    slow = (
        f"import sys, time; sys.path.insert(0, {str(SCRIPT.parent)!r}); import _environment as e\n"
        "from pathlib import Path\n"
        f"top = Path({str(project)!r})\n"
        "def install(folder, target, top):\n"
        "    (top / 'begun').touch(); time.sleep(0.6)\n"
        "    with (top / 'installs').open('a') as out: out.write('x')\n"
        "e._install = install\n"
        "e.ready(top=top)\n"
    )
    first = subprocess.Popen([sys.executable, "-c", slow], stdout=subprocess.PIPE, text=True)
    while not (project / "begun").exists() and first.poll() is None:
        time.sleep(0.02)
    second = _python(slow)
    first.communicate(timeout=30)
    assert (first.returncode, second.returncode) == (0, 0)
    assert "waiting" in second.stdout
    assert (project / "installs").read_text() == "x"


def test_a_good_environment_costs_little(environment: ModuleType, project: Path) -> None:
    """No program is started and nothing is asked of the network."""
    stamp = {
        "hash": environment.wanted_hash(project),
        "python": os.path.realpath(sys.executable),
        "extras": ["dev"],
    }
    (project / ".venv" / environment.STAMP).write_text(json.dumps(stamp))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(environment.subprocess, "run", None)
        patch.setattr(environment.subprocess, "Popen", None)
        environment.ready(["dev"], top=project)


def _start(top: Path) -> str:
    return (
        f"import sys; sys.path.insert(0, {str(SCRIPT.parent)!r}); import _environment as e; "
        f"import pathlib; e.ready(top=pathlib.Path({str(top)!r}))"
    )


def _python(code: str, **surroundings: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
        env={**os.environ, **surroundings},
    )
