"""Where things lie on this machine."""

from __future__ import annotations

import fcntl
import hashlib
import os
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import IO

LONGEST_SOCKET = 100  # a unix socket's path may have about that many characters


@dataclass(frozen=True)
class Places:
    root: Path  # the checkout
    var: Path  # everything that is made

    @classmethod
    def from_environment(cls, root: Path) -> Places:
        var = Path(os.environ.get("VAR_DIR") or root / "var").resolve()
        var.mkdir(parents=True, exist_ok=True)
        return cls(root, var)

    @property
    def logs(self) -> Path:
        return self.var / "logs"

    @property
    def stamps(self) -> Path:
        return self.var / "stamps"

    @property
    def broker_socket(self) -> Path:
        """In var/; in a private folder under the temporary one if var/ lies too deep."""
        here = self.var / "broker.sock"
        if len(str(here)) <= LONGEST_SOCKET:
            return here
        name = hashlib.sha256(str(self.var).encode()).hexdigest()[:12]
        folder = Path(tempfile.gettempdir()) / f"collaparte-{os.getuid()}-{name}"
        folder.mkdir(mode=0o700, exist_ok=True)
        if folder.stat().st_uid != os.getuid() or folder.stat().st_mode & 0o077:
            raise PermissionError(f"{folder} belongs to somebody else. Set TMPDIR or VAR_DIR.")
        return folder / "broker.sock"

    def lock(self) -> IO[str]:
        """Held as long as a supervisor lives. Raises BlockingIOError if one does already."""
        file = (self.var / "run.lock").open("w")
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            file.close()
            raise
        return file
