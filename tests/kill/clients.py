"""Students who never stop: each write is logged before it is sent and after it is answered."""

from __future__ import annotations

import http.client
import json
import os
import random
import threading
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from django.db import connection

UPLOAD_EVERY = 20


class Log:
    """invoke / ok / unknown, one JSON line each, on the disk before the client goes on."""

    def __init__(self, path: Path) -> None:
        self._file = path.open("a")
        self._lock = threading.Lock()
        self.acknowledged: set[str] = set()  # statements
        self.uploaded: set[str] = set()
        self.counts: Counter[str] = Counter()

    def note(self, what: str, key: str, **more: object) -> None:
        with self._lock:
            line = {"at": time.time(), "what": what, "key": key, **more}
            self._file.write(json.dumps(line) + "\n")
            self._file.flush()
            os.fdatasync(self._file.fileno())
            self.counts[what] += 1
            if what == "ok":
                (self.uploaded if more["door"] == "upload" else self.acknowledged).add(key)


class Client(threading.Thread):
    """Says one thing after the other; what was not answered is said again with its key."""

    def __init__(self, student: int, port: int, log: Log, seed: int) -> None:
        super().__init__(name=f"student {student}", daemon=True)
        self.student, self.port, self.log = student, port, log
        self.chance = random.Random(f"{seed}-{student}")
        self.over = threading.Event()
        self.wait = threading.Event()

    def run(self) -> None:
        number = 0
        while not self.over.is_set():
            number += 1
            self.say("upload" if number % UPLOAD_EVERY == 5 else "say", f"{self.student}-{number}")
            time.sleep(self.chance.uniform(0.01, 0.15))
            if self.wait.is_set():
                self.over.wait(1.5)

    def say(self, what: str, key: str) -> None:
        self.log.note("invoke", key, door=what)
        while True:
            try:
                status = self._post(what, key)
            except (OSError, http.client.HTTPException) as error:
                self.log.note("unknown", key, why=type(error).__name__)
            else:
                if status == 201:
                    self.log.note("ok", key, door=what)
                    return
                self.log.note("fail", key, status=status)
            time.sleep(0.1)

    def _post(self, what: str, key: str) -> int:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=15)
        try:
            line.request("POST", f"/{what}/{self.student}/{key}", headers={"Content-Length": "0"})
            return line.getresponse().status
        finally:
            line.close()


class Pressure(threading.Thread):
    """Slows the clients down while more jobs queue than a killed worker can ever do."""

    MOST = 150

    def __init__(self, clients: list[Client], waiting: Callable[[], int]) -> None:
        super().__init__(daemon=True)
        self.clients, self.waiting = clients, waiting

    def run(self) -> None:
        while not all(client.over.is_set() for client in self.clients):
            full = self.waiting() > self.MOST
            for client in self.clients:
                (client.wait.set if full else client.wait.clear)()
            time.sleep(0.5)
        connection.close()
