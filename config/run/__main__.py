"""`python -m config.run demo|serve`: prepare, start, watch, stop."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

from config.run import prepare
from config.run.broker import NoBroker, private_broker
from config.run.places import Places
from config.run.ready import wait_until_ready
from config.run.supervisor import Part, Stopped, Supervisor


def main(arguments: list[str] | None = None) -> int:
    wish = _arguments().parse_args(arguments)
    places = Places.from_environment(Path(__file__).resolve().parents[2])
    try:
        lock = places.lock()
    except BlockingIOError:
        print(f"The site is already running on {places.var}. Stop it first.", file=sys.stderr)
        return 1
    with lock, Supervisor(places.logs) as supervisor:
        try:
            return _run(wish, places, supervisor)
        except Stopped:
            print("Stopping.", flush=True)
            return 0


def _arguments() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m config.run", description=__doc__)
    parser.add_argument("mode", choices=["demo", "serve"])
    parser.add_argument("--port", type=int, default=int(os.environ.get("PORT", "8000")))
    parser.add_argument("--host", default=os.environ.get("HOST", "127.0.0.1"))
    parser.add_argument("--workers", type=int, default=int(os.environ.get("WORKERS", "2")))
    parser.add_argument("--seconds-to-ready", type=float, default=180)
    return parser


def _run(wish: argparse.Namespace, places: Places, supervisor: Supervisor) -> int:
    environment = {"VAR_DIR": str(places.var), "PORT": str(wish.port)}
    if wish.mode == "demo":
        environment["DEMO"] = "1"
    if "BROKER_URL" not in os.environ:
        try:
            broker, socket = private_broker(places)
        except NoBroker as missing:
            print(missing, file=sys.stderr)
            return 1
        environment |= {"BROKER_SOCKET": str(socket), "JOBS_ALONE": "1"}
        supervisor.start(broker)
    os.environ.update(environment)

    if not prepare.everything(places):
        return 1
    for part in _parts(wish):
        supervisor.start(part)
    address = f"http://{wish.host}:{wish.port}"
    problem = wait_until_ready(address, wish.seconds_to_ready, supervisor)
    if problem:
        print(problem, file=sys.stderr)
        return 1
    if wish.mode == "demo" and not prepare.demo(places):
        return 1
    print(f"\nColla Parte is ready: {address}", flush=True)
    if wish.mode == "demo":
        print(prepare.accounts(places), flush=True)
    print("Ctrl-C stops everything.", flush=True)
    supervisor.watch()


def _parts(wish: argparse.Namespace) -> list[Part]:
    python = [sys.executable, "-m"]
    return [
        Part(
            "worker",
            [
                *python,
                *("celery", "-A", "config", "worker", "--loglevel", "WARNING", "--without-gossip"),
                f"--concurrency={wish.workers}",
                "--hostname=worker@%h",
            ],
            patience=6,
        ),
        Part(
            "web",
            [
                *python,
                *("gunicorn", "config.wsgi", "--worker-class", "gthread"),
                *("--workers", "1", "--threads", "8", "--graceful-timeout", "5"),
                *("--access-logfile", "-", "--log-level", "warning"),
                f"--bind={wish.host}:{wish.port}",
            ],
            patience=8,
        ),
    ]


if __name__ == "__main__":
    raise SystemExit(main())
