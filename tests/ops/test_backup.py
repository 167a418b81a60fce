"""Saving and restoring the embedded default: equal, or refused."""

from __future__ import annotations

import os
import random
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from config.run import backup
from config.run.backup import Refusal, restore, save

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[2]


def make_site(var: Path, *, papers: int = 200, files: int = 5) -> None:
    (var / "files" / "scores").mkdir(parents=True)
    for n in range(files):
        (var / "files" / "scores" / f"{n:032x}").write_bytes(random.Random(n).randbytes(3000 + n))
    (var / "secret-key").write_text("k" * 48)
    with closing(sqlite3.connect(var / backup.DATABASE)) as database:
        database.execute("PRAGMA journal_mode=WAL")
        database.execute("CREATE TABLE paper (id INTEGER PRIMARY KEY, words TEXT)")
        database.executemany(
            "INSERT INTO paper (words) VALUES (?)", [(f"words {n}",) for n in range(papers)]
        )
        database.commit()


@pytest.fixture
def site(tmp_path: Path) -> Path:
    var = tmp_path / "site"
    var.mkdir()
    make_site(var)
    return var


def contents(var: Path) -> dict[str, bytes | list[tuple[object, ...]]]:
    found: dict[str, bytes | list[tuple[object, ...]]] = {
        p.relative_to(var).as_posix(): p.read_bytes()
        for p in (var / "files").rglob("*")
        if p.is_file()
    }
    found["key"] = (var / "secret-key").read_bytes()
    with closing(sqlite3.connect(var / backup.DATABASE)) as database:
        found["rows"] = database.execute("SELECT * FROM paper ORDER BY id").fetchall()
    return found


def test_a_restored_site_is_equal(site: Path, tmp_path: Path) -> None:
    save(site, tmp_path / "b.tar.gz")
    manifest = restore(tmp_path / "b.tar.gz", tmp_path / "other")
    assert contents(tmp_path / "other") == contents(site)
    assert manifest["rows"] == {"paper": 200}
    assert len(manifest["sha256"]) == 7


@contextmanager
def writer(site: Path) -> Iterator[None]:
    over = threading.Event()

    def write() -> None:
        with closing(sqlite3.connect(site / backup.DATABASE, timeout=20)) as database:
            while not over.is_set():
                database.execute("INSERT INTO paper (words) VALUES ('meanwhile')")
                database.commit()

    thread = threading.Thread(target=write)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


def test_it_is_consistent_while_somebody_writes(site: Path, tmp_path: Path) -> None:
    with writer(site):
        time.sleep(0.05)
        saved = save(site, tmp_path / "b.tar.gz")
        time.sleep(0.05)
    restored = restore(tmp_path / "b.tar.gz", tmp_path / "other")
    assert restored["rows"] == saved["rows"]
    assert restored["rows"]["paper"] > 200


def test_it_never_writes_over_a_site(site: Path, tmp_path: Path) -> None:
    save(site, tmp_path / "b.tar.gz")
    before = contents(site)
    with pytest.raises(Refusal, match="empty folder"):
        restore(tmp_path / "b.tar.gz", site)
    assert contents(site) == before


def test_a_changed_archive_is_refused_and_nothing_is_put_in_place(
    site: Path, tmp_path: Path
) -> None:
    archive = tmp_path / "b.tar.gz"
    save(site, archive)
    whole = archive.read_bytes()
    chance = random.Random(4)
    found = 0
    for n in range(100):
        at = chance.randrange(10, len(whole))
        broken = bytearray(whole)
        broken[at] ^= 1 << chance.randrange(8)
        archive.write_bytes(bytes(broken))
        other = tmp_path / f"other{n}"
        try:
            restore(archive, other)
        except Refusal:
            found += 1
            assert not (other / backup.DATABASE).exists()
        else:
            # A flip in padding that unpacks to the same bytes does no harm.
            assert contents(other) == contents(site)
            found += 1
    assert found == 100


def test_a_cut_archive_is_refused(site: Path, tmp_path: Path) -> None:
    archive = tmp_path / "b.tar.gz"
    save(site, archive)
    archive.write_bytes(archive.read_bytes()[:-200])
    with pytest.raises(Refusal):
        restore(archive, tmp_path / "other")


def test_the_old_archive_stays_whole_when_saving_fails(
    site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    archive = tmp_path / "b.tar.gz"
    save(site, archive)
    before = archive.read_bytes()
    monkeypatch.setattr(backup, "_sha256", lambda path: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        save(site, archive)
    assert archive.read_bytes() == before


def test_an_empty_folder_cannot_be_saved(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="nothing to save"):
        save(tmp_path, tmp_path / "b.tar.gz")


SITE = """
from django.contrib.auth import get_user_model
from django.core.files.base import ContentFile
from courses.models import Recording, Score, ScoreVersion, Work
tutor = get_user_model().objects.create_user("tutor", password="a long pass word", is_tutor=True)
work = Work.objects.create(tutor=tutor, title="Work")
score = Score.objects.create(work=work, tutor=tutor, title="Movement")
version = ScoreVersion(score=score, filename="a", size=5, sha256="0" * 64, uploaded_by=tutor)
version.original.save("upload", ContentFile(b"notes"), save=False)
version.save()
recording = Recording(version=version, name="In spring", filename="a", media_type="audio/wav",
                      size=5, sha256="1" * 64, uploaded_by=tutor, source="ours", basis="own",
                      country="here", assessed_by="us", assessed_on="2026-01-05", entitled=True)
recording.file.save("recording", ContentFile(b"sound"), save=False)
recording.save()
"""
LOOK = """
from django.contrib.auth import authenticate
from courses.models import Recording, ScoreVersion
print(authenticate(username="tutor", password="a long pass word"))
print(ScoreVersion.objects.get().original.read())
print(Recording.objects.get().file.read())
"""


def manage(var: Path, *arguments: str) -> str:
    unset = {"DATABASE_URL", "BROKER_URL", "CACHE_URL", "DEMO", "SECRET_KEY"}
    environment = {k: v for k, v in os.environ.items() if k not in unset}
    done = subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), *arguments],
        env={**environment, "VAR_DIR": str(var), "DJANGO_SETTINGS_MODULE": "config.settings"},
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout


@pytest.mark.slow
def test_the_restored_site_holds_the_same_rows_and_lets_the_same_people_in(tmp_path: Path) -> None:
    one, other = tmp_path / "one", tmp_path / "other"
    manage(one, "migrate", "-v", "0")
    manage(one, "shell", "-v", "0", "-c", SITE)
    save(one, tmp_path / "b.tar.gz")
    restore(tmp_path / "b.tar.gz", other)
    assert manage(other, "dumpdata") == manage(one, "dumpdata")
    held = manage(other, "shell", "-v", "0", "-c", LOOK).split()
    assert held == ["tutor", "b'notes'", "b'sound'"]
    manage(other, "migrate", "--check")
