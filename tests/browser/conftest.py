"""A real site for browser tests: web, worker and broker as processes, Chromium as a person."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.browser.people import PATIENCE
from tests.services import REDIS, need_postgres, need_redis, new_database

ROOT = Path(__file__).resolve().parents[2]
CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
FLAGS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync",
         "--autoplay-policy=no-user-gesture-required"]  # fmt: skip
START_SECONDS = 150


@dataclass
class Site:
    url: str
    log: Path


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def start_site(folder: Path, **more: str) -> Iterator[Site]:
    port = _free_port()
    log = folder / "site.log"
    env = {
        k: v for k, v in os.environ.items()
        if k not in {"DJANGO_SETTINGS_MODULE", "CELERY_EAGER", "DEMO", "DEBUG", "DATABASE_URL"}
    }  # fmt: skip
    env.update(VAR_DIR=str(folder / "var"), PORT=str(port), PYTHONUNBUFFERED="1",
               STATICFILES_BACKEND="django.contrib.staticfiles.storage.StaticFilesStorage",
               **more)  # fmt: skip
    with log.open("wb") as out:
        process = subprocess.Popen(
            [sys.executable, "-m", "config.run", "serve"], cwd=ROOT, env=env, stdout=out,
            stderr=subprocess.STDOUT, start_new_session=True,
        )  # fmt: skip
    try:
        deadline = time.monotonic() + START_SECONDS
        url = f"http://127.0.0.1:{port}"
        while True:
            try:
                with urllib.request.urlopen(f"{url}/readyz", timeout=2) as answer:
                    if answer.status == 200:
                        break
            except OSError:
                pass
            if process.poll() is not None or time.monotonic() > deadline:
                pytest.fail("The site did not start:\n" + log.read_text()[-3000:])
            time.sleep(0.5)
        yield Site(url, log)
    finally:
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(30)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)


SERVED = pytest.param("served", marks=pytest.mark.services)


@pytest.fixture(scope="session")
def embedded(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    """The embedded default: SQLite, a private broker, files on disk."""
    yield from start_site(tmp_path_factory.mktemp("site"))


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    """The same site on PostgreSQL and Redis."""
    need_postgres()
    need_redis()
    with new_database() as database:
        yield from start_site(
            tmp_path_factory.mktemp("site"),
            DATABASE_URL=database,
            BROKER_URL=REDIS,
            CACHE_URL=REDIS,
            SECRET_KEY=uuid.uuid4().hex * 2,
        )


@pytest.fixture(params=["embedded", SERVED])
def site(request: pytest.FixtureRequest) -> Site:
    found: Site = request.getfixturevalue(request.param)
    return found


@pytest.fixture(scope="session")
def browser(playwright: Any) -> Any:
    from playwright.sync_api import expect

    expect.set_options(timeout=PATIENCE)
    started = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
    yield started
    started.close()
