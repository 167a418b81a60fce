"""The one command, for real: it gets ready, mends itself, and leaves nothing behind."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from config.run.places import LONGEST_SOCKET, Places
from config.run.ready import ask

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.slow


def free_port() -> int:
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])


def processes_of(var: Path) -> dict[int, str]:
    """Every process of the site in this folder: pid -> command line.

    Known by its environment; the broker, which writes its title over that, by its socket.
    """
    found = {}
    for entry in Path("/proc").iterdir():
        if not entry.name.isdigit():
            continue
        try:
            environment = (entry / "environ").read_bytes()
            command = (entry / "cmdline").read_bytes().replace(b"\0", b" ").decode()
        except OSError:
            continue
        socket_of_it = str(Places(ROOT, var).broker_socket)
        named = f"VAR_DIR={var}".encode() in environment.split(b"\0") or socket_of_it in command
        if named and command.strip():
            found[int(entry.name)] = command
    return found


def wait_for(condition: Callable[[], object], seconds: float) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if condition():
            return True
        time.sleep(0.1)
    return False


@dataclass
class Site:
    process: subprocess.Popen[str]
    var: Path
    port: int

    @property
    def ready(self) -> bool:
        return bool(ask(f"http://127.0.0.1:{self.port}").get("ready"))

    def pid(self, words: str) -> int:
        """The oldest process whose command line has these words."""
        return min(p for p, line in processes_of(self.var).items() if re.search(words, line))


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    var, port = tmp_path / "var", free_port()
    unset = {"DATABASE_URL", "BROKER_URL", "CACHE_URL", "DEMO", "VAR_DIR", "SECRET_KEY"}
    environment = {k: v for k, v in os.environ.items() if k not in unset}
    process = subprocess.Popen(
        [sys.executable, "-m", "config.run", "serve", "--port", str(port)],
        cwd=ROOT,
        # Compressing the static files is not what is tested here, and slow.
        env={
            **environment,
            "VAR_DIR": str(var),
            "STATICFILES_BACKEND": "django.contrib.staticfiles.storage.ManifestStaticFilesStorage",
        },
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    it = Site(process, var, port)
    assert process.stdout is not None
    for line in process.stdout:
        if "is ready" in line:
            break
    else:
        pytest.fail("it did not get ready")
    yield it
    if process.poll() is None:
        process.kill()
    process.wait()
    for pid in processes_of(var):
        os.kill(pid, signal.SIGKILL)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_it_stops_and_leaves_nothing_running(site: Site, number: int) -> None:
    assert site.ready
    assert len(processes_of(site.var)) >= 5
    site.process.send_signal(number)
    assert site.process.wait(timeout=30) == 0
    assert processes_of(site.var) == {}


def test_what_dies_is_started_again_and_nothing_outlives_the_supervisor(site: Site) -> None:
    for words in ("celery", "gunicorn", r"valkey|redis-server"):
        victim = site.pid(words)
        os.kill(victim, signal.SIGKILL)
        assert wait_for(lambda v=victim: v not in processes_of(site.var), 10), words
        assert wait_for(lambda: site.ready, 60), words
    site.process.kill()
    assert wait_for(lambda: processes_of(site.var) == {}, 30), processes_of(site.var)


def test_a_second_one_on_the_same_folder_says_so(site: Site) -> None:
    second = subprocess.run(
        [sys.executable, "-m", "config.run", "serve", "--port", str(free_port())],
        cwd=ROOT,
        env={**os.environ, "VAR_DIR": str(site.var)},
        capture_output=True,
        text=True,
    )
    assert second.returncode == 1
    assert "already running" in second.stderr
    assert site.ready


def test_the_socket_of_a_deep_folder_is_short(tmp_path: Path) -> None:
    deep = tmp_path / ("deep" * 30)
    assert len(str(Places(ROOT, deep).broker_socket)) <= LONGEST_SOCKET
    assert Places(ROOT, Path("/srv/var")).broker_socket == Path("/srv/var/broker.sock")
