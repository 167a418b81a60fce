"""PostgreSQL and Redis for the tests that need them; skipped with a sentence, or failed if STRICT.

POSTGRES_URL and REDIS_URL name the servers. Databases are made fresh and dropped again.
"""

from __future__ import annotations

import os
import shutil
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager

import pytest

POSTGRES = os.environ.get("POSTGRES_URL", "postgres://postgres@127.0.0.1:5432/postgres")
REDIS = os.environ.get("REDIS_URL", "redis://127.0.0.1:6379/9")
MISSING = "{what} does not answer at {where}; start it or set {name}."


def have_postgres() -> bool:
    import psycopg

    try:
        psycopg.connect(POSTGRES, connect_timeout=3).close()
    except psycopg.Error:
        return False
    return True


def have_redis() -> bool:
    import redis

    try:
        with closing(redis.Redis.from_url(REDIS, socket_connect_timeout=3)) as server:
            return bool(server.ping())
    except redis.RedisError:
        return False


def need_postgres() -> None:
    """Inside a test or fixture marked `services`."""
    if not have_postgres():
        _without(MISSING.format(what="PostgreSQL", where=POSTGRES, name="POSTGRES_URL"))


def need_redis() -> None:
    if not have_redis():
        _without(MISSING.format(what="Redis", where=REDIS, name="REDIS_URL"))


def need_browser() -> None:
    """Inside a test or fixture marked `browser`."""
    if not shutil.which("chromium"):
        _without("Chromium is not on PATH; install the package chromium.")


def _without(sentence: str) -> None:
    if os.environ.get("STRICT") == "1":
        pytest.fail(sentence)
    pytest.skip(sentence)


@contextmanager
def new_database() -> Iterator[str]:
    """The URL of an empty PostgreSQL database of one's own."""
    import psycopg

    name = f"collaparte_test_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(POSTGRES, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}"')
        try:
            yield f"{POSTGRES.rsplit('/', 1)[0]}/{name}"
        finally:
            server.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
