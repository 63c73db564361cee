"""Files are written whole or not at all."""

import os
import signal
import subprocess
import sys
import time

import pytest

from evenlay.files import whole
from evenlay.files.whole import alone, write_new, write_whole


def test_a_file_is_replaced_whole_and_leaves_no_temporary(tmp_path):
    path = tmp_path / "a.txt"
    write_whole(path, b"one")
    path.chmod(0o640)
    write_whole(path, b"two")
    assert path.read_bytes() == b"two"
    assert path.stat().st_mode & 0o777 == 0o640
    assert [entry.name for entry in tmp_path.iterdir()] == ["a.txt"]


def test_a_failure_half_way_leaves_the_old_file(tmp_path, monkeypatch):
    path = tmp_path / "a.txt"
    write_whole(path, b"one")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(whole.os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_whole(path, b"two")
    assert path.read_bytes() == b"one"
    assert [entry.name for entry in tmp_path.iterdir()] == ["a.txt"]


def test_a_new_file_is_never_written_over_another(tmp_path):
    path = tmp_path / "a.txt"
    write_new(path, b"one")
    with pytest.raises(FileExistsError):
        write_new(path, b"two")
    assert path.read_bytes() == b"one"
    assert [entry.name for entry in tmp_path.iterdir()] == ["a.txt"]


def test_a_killed_writer_leaves_a_whole_file(tmp_path):
    path = tmp_path / "a.txt"
    code = (
        "import sys, pathlib\nfrom evenlay.files.whole import write_whole\n"
        "n = 0\nwhile True:\n    n += 1\n    write_whole(pathlib.Path(sys.argv[1]), (str(n % 10) * 200_000).encode())\n"
        "    print('x', flush=True)\n"
    )
    for pause in (0.0, 0.003, 0.011):
        with subprocess.Popen([sys.executable, "-c", code, str(path)], stdout=subprocess.PIPE) as process:
            process.stdout.readline()
            time.sleep(pause)
            process.send_signal(signal.SIGKILL)
            process.wait()
        content = path.read_bytes()
        assert len(content) == 200_000
        assert len(set(content)) == 1


def test_a_second_writer_waits_for_the_first(tmp_path):
    fcntl = pytest.importorskip("fcntl")
    with alone(tmp_path):
        handle = os.open(tmp_path, os.O_RDONLY)
        with pytest.raises(BlockingIOError):
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    os.close(handle)
