"""How many heavy jobs one machine does at once: file locks, which a crash gives back."""

from __future__ import annotations

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager

from django.conf import settings


class Slot:
    """A held lock file, or nothing (falsy)."""

    def __init__(self, handle: int | None) -> None:
        self._handle = handle

    def __bool__(self) -> bool:
        return self._handle is not None

    def give_back(self) -> None:
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None


@contextmanager
def heavy_slot() -> Iterator[Slot]:
    slot = _first_free()
    try:
        yield slot
    finally:
        slot.give_back()


def _first_free() -> Slot:
    folder = settings.VAR_DIR / "slots"
    folder.mkdir(parents=True, exist_ok=True)
    for number in range(settings.JOB_HEAVY_AT_ONCE):
        handle = os.open(folder / f"heavy-{number}", os.O_RDWR | os.O_CREAT, 0o600)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            os.close(handle)
            continue
        return Slot(handle)
    return Slot(None)
