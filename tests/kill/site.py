"""The product's own supervisor over broker, worker and web; and the one who kills them."""

from __future__ import annotations

import os
import random
import shutil
import signal
import sys
import threading
import time
from pathlib import Path

from config.run.broker import private_broker
from config.run.places import Places
from config.run.supervisor import Part, Supervisor


class Site:
    """Three parts, watched from a thread; `kill` is all the rest of the world knows."""

    def __init__(self, places: Places, port: int) -> None:
        self.places, self.port = places, port
        self.supervisor = Supervisor(places.logs)
        broker, socket = private_broker(places)
        os.environ["BROKER_SOCKET"] = str(socket)
        python = [sys.executable, "-m"]
        web = [*python, "gunicorn", "config.wsgi", "--worker-class", "gthread"]
        web += ["--workers", "2", "--threads", "4", "--bind", f"127.0.0.1:{port}"]
        worker = [*python, "celery", "-A", "config", "worker", "--loglevel", "WARNING"]
        worker += ["--concurrency", "2", "--without-gossip", "--without-mingle"]
        self.parts = {
            "broker": broker,
            "worker": Part("worker", worker, patience=10),
            "web": Part("web", web, patience=5),
        }
        self._over = threading.Event()
        self._watcher = threading.Thread(target=self._watch, daemon=True)

    def __enter__(self) -> Site:
        for part in self.parts.values():
            self.supervisor.start(part)
        self._watcher.start()
        return self

    def __exit__(self, *exc: object) -> None:
        self._over.set()
        self._watcher.join()
        self.supervisor.stop()

    def _watch(self) -> None:
        while not self._over.wait(0.05):
            for part in self.parts.values():
                part.falls = 0  # here they die on purpose: no growing pause
            self.supervisor.look()

    def kill(self, name: str, chance: random.Random) -> str:
        """SIGKILL a part: its whole group, its leader, or one of its children."""
        part = self.parts[name]
        process = part.process
        if process is None or process.poll() is not None:
            return ""
        children = children_of(process.pid)
        how = chance.choice(["group", "leader", "child"] if children else ["group"])
        if name == "broker" and chance.random() < 0.5:
            how = "group+data"
        if how == "child":
            os.kill(chance.choice(children), signal.SIGKILL)
        elif how == "leader":
            os.kill(process.pid, signal.SIGKILL)
        else:
            os.killpg(process.pid, signal.SIGKILL)
        if how == "group+data":  # and everything it knew
            shutil.rmtree(self.places.var / "broker" / "appendonlydir", ignore_errors=True)
        return how


def children_of(pid: int) -> list[int]:
    try:
        text = Path(f"/proc/{pid}/task/{pid}/children").read_text()
    except OSError:
        return []
    return [int(word) for word in text.split()]


def wait_until(condition: object, seconds: float) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if condition():  # type: ignore[operator]
            return True
        time.sleep(0.05)
    return False
