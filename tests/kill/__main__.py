"""Kill web, worker and broker at random under load, then count what is left.

    python -m tests.kill --database sqlite --kills 60 --seed 1

The clients' log is written outside the killed processes. Afterwards nothing that
was acknowledged may be missing, nothing said twice, no effect doubled or missing,
and every job must be done. Exit code 1 if not. Linux only.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import socket
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
FAULTS = "before-bell:0.01,claimed:0.003,before-effect:0.003,after-effect:0.003,before-done:0.003"


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.kill", description=__doc__)
    parser.add_argument("--database", choices=["sqlite", "postgres"], default="sqlite")
    parser.add_argument("--kills", type=int, default=60, help="of each of web, worker, broker")
    parser.add_argument("--seed", type=int, default=0, help="0 = a new one, printed")
    parser.add_argument("--students", type=int, default=6)
    parser.add_argument("--keep", action="store_true", help="leave the folder for a look")
    return parser.parse_args()


@contextmanager
def database(kind: str) -> Iterator[dict[str, str]]:
    if kind == "sqlite":
        yield {}
        return
    from tests.services import new_database

    with new_database() as url:
        yield {"DATABASE_URL": url}


def free_port() -> int:
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])


def main() -> int:
    wish = arguments()
    seed = wish.seed or random.randrange(1, 10**6)
    print(f"seed {seed}, {wish.database}, {wish.kills} kills of each part", flush=True)
    folder = Path(tempfile.mkdtemp(prefix="kill-"))
    with database(wish.database) as environment:
        for name in ("DATABASE_URL", "BROKER_URL", "CACHE_URL"):
            os.environ.pop(name, None)
        os.environ.update(
            environment,
            DJANGO_SETTINGS_MODULE="tests.kill.settings",
            VAR_DIR=str(folder / "var"),
            SECRET_KEY="k" * 40,
            JOB_LEASE_SECONDS="4",
            JOB_SWEEP_SECONDS="1",
            LOG_LEVEL="WARNING",
            JOBS_ALONE="1",
        )
        report = run(wish, seed, folder)
    report["seed"], report["database"] = seed, wish.database
    short = {k: v[:10] if isinstance(v, list) else v for k, v in report.items()}
    print(json.dumps(short, indent=1))
    if wish.keep or not report["passed"]:
        print(f"Logs: {folder}")
    else:
        import shutil

        shutil.rmtree(folder)
    return 0 if report["passed"] else 1


def run(wish: argparse.Namespace, seed: int, folder: Path) -> dict[str, Any]:
    import django

    django.setup()
    from django.core.management import call_command

    from config.run.places import Places
    from tests.kill import verdict
    from tests.kill.clients import Client, Log, Pressure
    from tests.kill.seed import course_with
    from tests.kill.site import Site, wait_until

    places = Places.from_environment(ROOT)
    call_command("migrate", verbosity=0)
    call_command("createcachetable", verbosity=0)
    students = course_with(wish.students)
    log, port = Log(folder / "clients.jsonl"), free_port()
    os.environ["FAULTS_LOG"] = str(folder / "faults.log")
    os.environ["FAULTS"] = FAULTS
    began = time.monotonic()
    with Site(places, port) as site:
        clients = [Client(s, port, log, seed) for s in students]
        Pressure(clients, verdict.unfinished).start()
        for client in clients:
            client.start()
        kills = kill_all(site, wish.kills, random.Random(seed))
        loaded = time.monotonic() - began
        for client in clients:
            client.over.set()
        for client in clients:
            client.join(60)
        settled = time.monotonic()
        # This process rings and presses the button itself from here on: no shot at its own foot.
        del os.environ["FAULTS"]
        poison = verdict.put_poison()
        drained = wait_until(lambda: verdict.unfinished() == 0, 300)
        settled = time.monotonic() - settled
        unlucky = verdict.press_retry(poison)
        drained = drained and wait_until(lambda: verdict.unfinished() == 0, 120)
    found = verdict.look(log.acknowledged, poison) | verdict.look_at_uploads(log.uploaded)
    faults = folder / "faults.log"
    return {
        "passed": drained and verdict.passed(found) and not any(c.is_alive() for c in clients),
        "kills": kills,
        "own_crashes": verdict.tally(faults.read_text().split() if faults.exists() else []),
        "client": dict(log.counts),
        "hit_three_times_and_retried_by_the_button": unlucky,
        **found,
        "seconds_under_fire": round(loaded),
        "seconds_to_settle": round(settled, 1),
    }


def kill_all(site: Any, each: int, chance: random.Random) -> dict[str, dict[str, int]]:
    """`each` kills of every part in random order, each 20-200 ms after work is seen to go on."""
    from tests.kill import verdict
    from tests.kill.site import wait_until

    order = [name for name in site.parts for _ in range(each)]
    chance.shuffle(order)
    made: dict[str, dict[str, int]] = {name: {} for name in site.parts}
    for number, name in enumerate(order, 1):
        before = verdict.progress_mark()
        if not wait_until(lambda mark=before: verdict.moved_on(mark), 90):
            raise SystemExit(f"Nothing moved for 90 seconds; logs in {site.places.var}")
        how = ""
        while not how:  # it may just be on its way up
            time.sleep(chance.uniform(0.02, 0.2))
            how = site.kill(name, chance)
        made[name][how] = made[name].get(how, 0) + 1
        if number % 20 == 0:
            print(f"{number} of {len(order)} kills", file=sys.stderr, flush=True)
    return made


if __name__ == "__main__":
    raise SystemExit(main())
