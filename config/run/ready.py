"""Waiting for /readyz."""

from __future__ import annotations

import json
import time
import urllib.error
import urllib.request

from config.run.supervisor import Supervisor

_direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))


def ask(address: str) -> dict[str, object]:
    """What /readyz answers, ready or not; {} if nobody answers."""
    request = urllib.request.Request(f"{address}/readyz", headers={"Host": "localhost"})
    try:
        with _direct.open(request, timeout=5) as answer:
            return dict(json.load(answer))
    except urllib.error.HTTPError as error:
        try:
            return dict(json.load(error))
        except ValueError:
            return {}
    except OSError:
        return {}


def wait_until_ready(address: str, seconds: float, supervisor: Supervisor) -> str:
    """ "" when ready, else a sentence."""
    end = time.monotonic() + seconds
    answer: dict[str, object] = {}
    while time.monotonic() < end:
        supervisor.look()
        answer = ask(address)
        if answer.get("ready"):
            return ""
        time.sleep(0.2)
    missing = ", ".join(k for k, v in answer.items() if isinstance(v, str) and v != "ok")
    return (
        f"Not ready after {seconds:.0f} seconds: {missing or 'the web process does not answer'}. "
        "Look into the logs folder."
    )
