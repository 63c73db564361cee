"""Commands run as a user runs them; in this process unless a whole one matters."""

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from evenlay.cli.app import run
from evenlay.files.jobfile import set_value, write_job
from evenlay.job.starting import NewJob

SETTINGS = {
    "force": "40 N",
    "speed": "18 m/s",
    "feed": "120 mm/s",
    "step_over": "25 mm",
    "rounds": "2",
    "offsets": "even",
    "taper": "0.6",
}


@dataclass(frozen=True)
class Ran:
    """What a command left: exit code and both outputs."""

    code: int
    out: str
    err: str

    @property
    def words(self):
        """Standard output without its line ends."""
        return " ".join(self.out.split())

    @property
    def said(self):
        """Both outputs without their line ends."""
        return " ".join(f"{self.out} {self.err}".split())


@pytest.fixture
def evenlay(capsys):
    """Run a command in this process; no pictures unless ``draw`` is given."""

    def ran(*arguments, draw=lambda plan: {}):
        capsys.readouterr()
        code = run([str(each) for each in arguments], draw=draw)
        out, err = capsys.readouterr()
        return Ran(code, out, err)

    return ran


@pytest.fixture
def make_job(tmp_path):
    """A job folder in which everything is set, so that a plan takes a second; ``changes`` are made in its file."""

    def made(name="job", *, changes=(), settings=(), **known):
        given = {"size": "420 mm x 300 mm", "grain": "along 420 mm", "alloy": "304", "sheet": "1.5 mm", **known}
        folder = tmp_path / name
        write_job(folder, NewJob(name=name, settings={**SETTINGS, **dict(settings)}, **given))
        for key, text in dict(changes).items():
            set_value(folder, key, text)
        return folder

    return made


@pytest.fixture
def settings():
    """Settings in which nothing is left to choose."""
    return dict(SETTINGS)


@pytest.fixture
def whole_process():
    """Run a command as a process of its own."""

    def ran(*arguments, cwd, module=("-m", "evenlay"), **environment):
        done = subprocess.run(
            [sys.executable, *module, *(str(each) for each in arguments)],
            cwd=cwd,
            env={**os.environ, **environment},
            capture_output=True,
            timeout=300,
            check=False,
        )
        return Ran(done.returncode, done.stdout.decode("utf-8"), done.stderr.decode("utf-8"))

    return ran


@pytest.fixture
def everything_in():
    """Every file under a folder with its bytes, to see that nothing was written or lost."""

    def found(folder):
        return {path: path.read_bytes() for path in sorted(Path(folder).rglob("*")) if path.is_file()}

    return found
