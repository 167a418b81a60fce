"""What must be there before the first request. A step is left out when nothing changed."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from collections.abc import Callable, Iterable
from pathlib import Path

from config.run.places import Places

SEED = "seed_demo"


def everything(places: Places) -> bool:
    """Database, cache table, old checks, static files. False after a printed sentence."""
    places.stamps.mkdir(exist_ok=True)
    return _database(places) and _checks(places) and _static(places)


def demo(places: Places) -> bool:
    """The demo course, made by the running site; what it prints is kept for the next start."""
    seed = [*places.root.glob(f"*/management/commands/{SEED}.py")]
    if not seed:
        print("There is no demo course in this version.", file=sys.stderr)
        return True

    def make() -> bool:
        print("Making the demo course; its score is read by the worker.", flush=True)
        done = _manage(places, SEED)
        if done is not None:
            _accounts_file(places).write_text(done)
        return done is not None

    digest = _digest([*seed, *_files(places.root / "demo")], *_database_of(places))
    return _unless_done(places, "demo", digest, make)


def accounts(places: Places) -> str:
    file = _accounts_file(places)
    return file.read_text().strip() if file.exists() else ""


def _accounts_file(places: Places) -> Path:
    return places.var / "demo-accounts.txt"


def _database(places: Places) -> bool:
    def make() -> bool:
        print("Preparing the database.", flush=True)
        return all(
            _manage(places, *command) is not None
            for command in (("migrate", "--no-input", "-v", "0"), ("createcachetable",))
        )

    files = [*places.root.glob("*/migrations/*.py"), places.root / "requirements.lock"]
    if os.environ.get("DATABASE_URL"):
        return make()  # others may have changed it
    missing = not _sqlite(places).exists()
    return _unless_done(places, "database", _digest(files), make, anew=missing)


def _checks(places: Places) -> bool:
    """What another version of the checker has flagged is queued to be compared again."""

    def make() -> bool:
        return _manage(places, "renew_checks") is not None

    files = [*(places.root / "analysis" / "engine" / "claims").glob("*.py")]
    return _unless_done(places, "checks", _digest(files, *_database_of(places)), make)


def _static(places: Places) -> bool:
    def make() -> bool:
        print("Collecting style sheets, scripts and sounds.", flush=True)
        return _manage(places, "collectstatic", "--no-input", "--clear", "-v", "0") is not None

    files = [*_files(places.root / "static"), places.root / "requirements.lock"]
    missing = not (places.var / "static" / "staticfiles.json").exists()
    return _unless_done(places, "static", _digest(files), make, anew=missing)


def _unless_done(
    places: Places, name: str, digest: str, make: Callable[[], bool], *, anew: bool = False
) -> bool:
    stamp = places.stamps / name
    if not anew and stamp.exists() and stamp.read_text() == digest:
        return True
    stamp.unlink(missing_ok=True)
    if not make():
        return False
    stamp.write_text(digest)
    return True


def _manage(places: Places, *arguments: str) -> str | None:
    """What a management command prints, or None after its complaint was shown."""
    done = subprocess.run(
        [sys.executable, str(places.root / "manage.py"), *arguments],
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
    )
    if done.returncode == 0:
        return done.stdout
    print(done.stdout, done.stderr, sep="\n", file=sys.stderr)
    print(f"`manage.py {arguments[0]}` did not work; see above.", file=sys.stderr)
    return None


def _sqlite(places: Places) -> Path:
    return places.var / "collaparte.sqlite3"


def _database_of(places: Places) -> tuple[str, ...]:
    """Which database it is: a new file is a new one."""
    if url := os.environ.get("DATABASE_URL"):
        return (url,)
    return (str(_sqlite(places).stat().st_ino),)


def _files(folder: Path) -> list[Path]:
    found = folder.rglob("*") if folder.exists() else ()
    return [p for p in found if p.is_file() and "__pycache__" not in p.parts]


def _digest(files: Iterable[Path], *more: str) -> str:
    digest = hashlib.sha256(repr(more).encode())
    for path in sorted(files):
        digest.update(f"{path}:{path.stat().st_mtime_ns}:{path.stat().st_size}\n".encode())
    return digest.hexdigest()
