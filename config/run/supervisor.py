"""Child processes in groups of their own: started, started again when they die, all stopped."""

from __future__ import annotations

import ctypes
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import NoReturn

STABLE = 30.0  # seconds after which a start counts as good
SLOWEST = 10.0  # seconds between starts of a part that keeps dying


@dataclass
class Part:
    """One program and how long it may take to stop."""

    name: str
    command: list[str]
    patience: float
    process: subprocess.Popen[bytes] | None = None
    started: float = 0.0
    falls: int = 0
    again_at: float = 0.0
    environment: dict[str, str] = field(default_factory=dict)

    @property
    def alive(self) -> bool:
        return self.process is not None and self.process.poll() is None


def _die_with_parent() -> Callable[[], None] | None:
    """For the child: SIGTERM when this process vanishes, even by SIGKILL. Linux only."""
    if not sys.platform.startswith("linux"):
        return None
    libc = ctypes.CDLL(None)
    parent = os.getpid()

    def ask() -> None:
        libc.prctl(1, signal.SIGTERM)  # PR_SET_PDEATHSIG
        if os.getppid() != parent:
            os._exit(1)

    return ask


class Stopped(Exception):
    """Ctrl-C, or a TERM from outside."""


class Supervisor:
    """Use as a context: whatever was started is stopped at its end."""

    def __init__(self, logs: Path) -> None:
        self.parts: list[Part] = []
        self._logs = logs
        logs.mkdir(parents=True, exist_ok=True)

    def __enter__(self) -> Supervisor:
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, self._asked_to_stop)
        return self

    def __exit__(self, *exc: object) -> None:
        self.stop()

    def _asked_to_stop(self, number: int, frame: FrameType | None) -> None:
        for other in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(other, signal.SIG_IGN)  # stopping takes seconds; once is enough
        raise Stopped

    def start(self, part: Part) -> None:
        if part not in self.parts:
            self.parts.append(part)
        with (self._logs / f"{part.name}.log").open("ab") as log:
            part.process = subprocess.Popen(
                part.command,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=subprocess.STDOUT,
                start_new_session=True,  # Ctrl-C reaches the supervisor alone
                preexec_fn=_die_with_parent(),
                env={**os.environ, **part.environment},
            )
        part.started = time.monotonic()

    def watch(self) -> NoReturn:
        """Keep everything running; ends by raising Stopped."""
        while True:
            self.look()
            time.sleep(0.3)

    def look(self) -> None:
        """Start again what has died; wait longer each time it dies soon."""
        now = time.monotonic()
        for part in self.parts:
            if part.alive:
                continue
            if part.process is not None:
                self._fell(part, now)
            if now >= part.again_at:
                self.start(part)

    def _fell(self, part: Part, now: float) -> None:
        assert part.process is not None
        _signal_group(part.process.pid, signal.SIGKILL)  # what it left behind
        part.falls = part.falls + 1 if now - part.started < STABLE else 0
        part.again_at = now + min(SLOWEST, part.falls * 0.5)
        log = self._logs / f"{part.name}.log"
        print(f"The {part.name} ended and is started again (see {log}).", file=sys.stderr)
        part.process = None

    def stop(self) -> None:
        """End every part, last started first, and everything in its group."""
        running = [p for p in reversed(self.parts) if p.process is not None]
        first = [p for p in running if p.name != "broker"]
        self._end(first)
        self._end([p for p in running if p.name == "broker"])

    def _end(self, parts: list[Part]) -> None:
        for part in parts:
            if part.alive and part.process:
                part.process.send_signal(signal.SIGTERM)
        for part in parts:
            assert part.process is not None
            # Work that takes longer is safe to end: the jobs table gives it to the next start.
            with suppress(subprocess.TimeoutExpired):
                part.process.wait(timeout=part.patience)
            _signal_group(part.process.pid, signal.SIGKILL)
            part.process.wait()
            part.process = None


def _signal_group(leader: int, number: int) -> None:
    with suppress(ProcessLookupError, PermissionError):
        os.killpg(leader, number)
