"""Files on this machine's disk that are there before their row says so."""

from __future__ import annotations

import os
from pathlib import Path

from django.core.files.base import File
from django.core.files.storage import FileSystemStorage


class DurableStorage(FileSystemStorage):
    """Django's own, with the bytes and the folder's entry on the disk when `save` returns.

    Rows are written with synchronous=FULL; without this a power cut could keep
    the row and lose its file.
    """

    def _save(self, name: str, content: File[bytes]) -> str:
        kept: str = super()._save(name, content)  # type: ignore[misc]
        path = Path(self.path(kept))
        _sync(path)
        _sync(path.parent)
        return kept


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
