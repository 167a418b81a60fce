"""`python -m config.run.backup save|restore FILE`: the embedded default in one archive.

The archive holds a consistent copy of the database (SQLite's backup API, while
the site runs), every stored file, the secret key, and a manifest with a SHA-256
of each and the row count of each table.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import shutil
import sqlite3
import sys
import tarfile
import tempfile
import zlib
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from config.run.places import Places

SCHEMA = 1
DAMAGE = (OSError, EOFError, ValueError, KeyError, zlib.error, tarfile.TarError, sqlite3.Error)
DATABASE = "collaparte.sqlite3"
KEY = "secret-key"
FILES = "files"
SERVED = (
    "This saves the embedded default only. With DATABASE_URL set, use pg_dump and your storage's "
    "own copies."
)
NOTHING = "There is no site in {var}: nothing to save."
NOT_EMPTY = "{var} holds a site already. Restore into an empty folder: set VAR_DIR."
UNREADABLE = "{file} is no back-up of this site, or it is damaged: {why}."
NEWER = "the archive was made by a newer version"


class Refusal(Exception):
    """Told to the person at the keyboard."""


def save(var: Path, target: Path) -> dict[str, Any]:
    """Write the archive; an older one under the same name stays whole until the end."""
    if not (var / DATABASE).exists():
        raise Refusal(NOTHING.format(var=var))
    partial = target.with_name(target.name + ".partial")
    with tempfile.TemporaryDirectory(prefix="backup-", dir=var) as folder:
        copy = Path(folder) / DATABASE
        _copy_database(var / DATABASE, copy)
        handle = os.open(partial, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600)
        with os.fdopen(handle, "wb") as raw:
            with tarfile.open(fileobj=raw, mode="w:gz", compresslevel=3) as archive:
                manifest = _fill(archive, var, copy)
            raw.flush()
            os.fsync(raw.fileno())
    partial.replace(target)
    return manifest


def restore(source: Path, var: Path) -> dict[str, Any]:
    """Unpack into an empty folder and compare; nothing is put in place before all is right."""
    if (var / DATABASE).exists() or any((var / FILES).glob("*")):
        raise Refusal(NOT_EMPTY.format(var=var))
    var.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="restore-", dir=var) as name:
        folder = Path(name)
        try:
            with tarfile.open(source, "r:gz") as archive:
                archive.extractall(folder, filter="data")
            manifest = json.loads((folder / "manifest.json").read_text())
            compare(folder, manifest)
        except FileNotFoundError as error:
            raise Refusal(
                UNREADABLE.format(file=source, why=f"{error.filename} is missing")
            ) from None
        except DAMAGE as error:
            raise Refusal(UNREADABLE.format(file=source, why=error)) from error
        for thing in (FILES, KEY, DATABASE):  # the database last: it makes the site
            if (folder / thing).exists():
                if (var / thing).is_dir():
                    (var / thing).rmdir()
                shutil.move(folder / thing, var / thing)
    for stale in ("stamps", "static"):
        shutil.rmtree(var / stale, ignore_errors=True)
    return dict(manifest)


def compare(folder: Path, manifest: dict[str, Any]) -> None:
    """Raise ValueError at the first difference between a folder and its manifest."""
    if manifest.get("schema") != SCHEMA:
        raise ValueError(NEWER)
    found = {name: path for name, path in _things(folder, folder / DATABASE)}
    if set(found) != set(manifest["sha256"]):
        odd = sorted(set(found) ^ set(manifest["sha256"]))[0]
        raise ValueError(f"{odd} is missing or too much")
    for name, path in found.items():
        if _sha256(path) != manifest["sha256"][name]:
            raise ValueError(f"{name} is not what was saved")
    with closing(sqlite3.connect(folder / DATABASE)) as database:
        if database.execute("PRAGMA integrity_check").fetchall() != [("ok",)]:
            raise ValueError("the database is damaged")
        if database.execute("PRAGMA foreign_key_check").fetchall():
            raise ValueError("the database points at rows that are not there")
        if _rows(database) != manifest["rows"]:
            raise ValueError("the database has other rows")


def _copy_database(source: Path, target: Path) -> None:
    with closing(sqlite3.connect(source)) as live, closing(sqlite3.connect(target)) as copy:
        live.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")  # one file, no -wal beside it


def _fill(archive: tarfile.TarFile, var: Path, database: Path) -> dict[str, Any]:
    digests: dict[str, str] = {}
    for name, path in _things(var, database):
        try:
            digests[name] = _sha256(path)
            archive.add(path, name, recursive=False)
        except FileNotFoundError:  # taken down while we were copying
            digests.pop(name, None)
    with closing(sqlite3.connect(database)) as copy:
        rows = _rows(copy)
    manifest = {
        "schema": SCHEMA,
        "saved_at": datetime.now(UTC).isoformat(timespec="seconds"),
        "rows": rows,
        "sha256": digests,
    }
    note = database.with_name("manifest.json")
    note.write_text(json.dumps(manifest, indent=1, sort_keys=True))
    archive.add(note, "manifest.json")
    return manifest


def _things(var: Path, database: Path) -> Iterator[tuple[str, Path]]:
    yield DATABASE, database
    if (var / KEY).exists():
        yield KEY, var / KEY
    for path in sorted((var / FILES).rglob("*")):
        if path.is_file():
            yield path.relative_to(var).as_posix(), path


def _rows(database: sqlite3.Connection) -> dict[str, int]:
    tables = database.execute(
        "SELECT name FROM sqlite_master WHERE type='table' AND name NOT LIKE 'sqlite_%' "
        "ORDER BY name"
    ).fetchall()
    return {
        name: database.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for (name,) in tables
    }


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m config.run.backup")
    parser.add_argument("act", choices=["save", "restore"])
    parser.add_argument("file", type=Path)
    wish = parser.parse_args(arguments)
    places = Places.from_environment(Path(__file__).resolve().parents[2])
    try:
        if os.environ.get("DATABASE_URL"):
            raise Refusal(SERVED)
        if wish.act == "save":
            done, word = save(places.var, wish.file.resolve()), "Saved"
        else:
            with places.lock():
                done, word = restore(wish.file.resolve(), places.var), "Restored and compared"
    except BlockingIOError:
        print("The site is running there. Stop it first.", file=sys.stderr)
        return 1
    except Refusal as refusal:
        print(refusal, file=sys.stderr)
        return 1
    rows, files = sum(done["rows"].values()), len(done["sha256"])
    print(f"{word}: {rows} rows in {len(done['rows'])} tables, {files} files, {wish.file}.")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
