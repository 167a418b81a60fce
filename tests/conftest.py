"""What every test may use. People and courses come from the fixtures of their own rooms."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings as hypothesis_settings

from tests.corpora import require_corpora
from tests.services import need_browser, need_postgres, need_redis

#: Where nothing may skip, made-up cases are the same in every run; elsewhere they are new ones.
hypothesis_settings.register_profile("strict", derandomize=True, deadline=None)
if os.environ.get("STRICT"):
    hypothesis_settings.load_profile("strict")


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    """A test whose marked need is not there is skipped with a sentence; STRICT=1: it fails."""
    needs = {
        "services": (need_postgres, need_redis),
        "browser": (need_browser,),
        "corpora": (require_corpora,),
    }
    for marker, calls in needs.items():
        if item.get_closest_marker(marker):
            for need in calls:
                need()


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """With nothing allowed to skip, a browser test that fails is run once more, and listed.

    A browser, a worker, a database and a synthesiser on two busy cores: see DEVELOPERS.md, Tests.
    """
    if os.environ.get("STRICT"):
        for item in items:
            if item.get_closest_marker("browser"):
                item.add_marker(pytest.mark.flaky(reruns=1))


@pytest.fixture(autouse=True)
def own_places(settings: Any, tmp_path: Path) -> None:
    """No test touches the site's own files, cache or broker."""
    settings.VAR_DIR = tmp_path
    settings.MEDIA_ROOT = tmp_path / "files"
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(autouse=True)
def silent_bell(monkeypatch: pytest.MonkeyPatch) -> list[bool]:
    """Committed work rings here instead of at a broker; the list counts the rings."""
    rung: list[bool] = []
    monkeypatch.setattr("analysis.jobs.queue.ring_the_bell", lambda: rung.append(True))
    return rung


@pytest.fixture(scope="session")
def playwright() -> Iterator[Any]:
    """The one driver of browsers in this process: it cannot be started twice beside itself."""
    need_browser()
    from playwright.sync_api import sync_playwright

    # Its loop runs in this thread from now on; Django would refuse the database to later tests.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as started:
        yield started


@pytest.fixture
def drain_jobs() -> Callable[[], int]:
    """Do all jobs that wait, in this process: `drain_jobs()` says how many."""
    from analysis.jobs.worker import drain

    return lambda: drain(most=1000, seconds=300)


@pytest.fixture
def cast(db: None, settings: Any, monkeypatch: pytest.MonkeyPatch) -> Any:
    """People: see `tests.cast`. Files stay in memory: their durability has tests of its own."""
    from django.core.signals import request_finished, request_started
    from django.db import close_old_connections

    from tests.cast import make_cast

    # The test is one transaction: neither the worker nor a request may close its connection.
    monkeypatch.setattr("analysis.jobs.worker.close_old_connections", lambda: None)
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)

    settings.STORAGES = {
        **settings.STORAGES,
        "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    }
    yield make_cast()
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.fixture
def stage(cast: Any) -> Any:
    """A dated course with a read score and a published assignment on bars 1-4."""
    from tests.cast import make_stage

    return make_stage(cast)
