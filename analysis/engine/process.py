"""Run an engine function in a process of its own, within limits.

Files of strangers and native libraries may hang, eat memory or abort. A
Celery child that did so would take its job with it; a process of our own may
die without harm, and its death becomes one of three plain sentences.

The child is a fresh interpreter, not a fork of a large worker: it sets its own
limits before it reads a byte, sees no environment but the one made here, has
an empty private home and temporary folder, and answers into a file whose size
is capped. It has no network wall of its own: nothing it calls opens sockets.
"""

from __future__ import annotations

import contextlib
import importlib
import json
import logging
import os
import resource
import signal
import struct
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any, BinaryIO, Protocol

from analysis.engine.errors import EngineError, Refused

log = logging.getLogger(__name__)

#: What may be run by name: no caller's text ever becomes an import.
FUNCTIONS: dict[str, str] = {
    "gate.admit": "analysis.engine.gate.child:admit",
    "gate.convert": "analysis.engine.gate.child:convert",
    "engrave.pages": "analysis.engine.engrave.engraver:pages",
    "engrave.page": "analysis.engine.engrave.engraver:page",
    "engrave.passage": "analysis.engine.engrave.engraver:passage",
}

_MB = 1 << 20
_ROOT = Path(__file__).resolve().parents[2]
_EXIT_MEMORY, _EXIT_FAULT = 71, 70
_MAGIC = b"CPX1"


class Stopped(EngineError):
    """The process was ended from outside or by its own limits.

    Attributes
    ----------
    code : {"time", "memory", "crash"}
        Why.
    """

    def __init__(self, sentence: str, *, code: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.code = code


SENTENCES = {
    "time": "This took longer than it may and was stopped; try again, or try fewer bars.",
    "memory": "This needed more memory than it may have; try fewer bars or parts.",
    "crash": "This could not be finished: the program that did it broke off. Nothing was lost.",
}


@dataclass(frozen=True, slots=True)
class Bounds:
    """Limits of one call. Bytes and seconds."""

    memory: int = 2048 * _MB  # address space
    cpu: int = 120
    wall: float = 180.0
    output: int = 256 * _MB  # any file it writes, and its answer
    files: int = 64
    nice: int = 10


@dataclass(slots=True)
class Parcel:
    """What goes in and what comes out: a JSON value and named byte strings."""

    value: dict[str, Any] = field(default_factory=dict)
    blobs: dict[str, bytes] = field(default_factory=dict)


@dataclass(slots=True)
class Outcome:
    """A parcel and what it cost; `peak` is the child's resident memory in bytes."""

    parcel: Parcel
    seconds: float
    peak: int


class Function(Protocol):
    def __call__(self, parcel: Parcel) -> Parcel: ...


def run(name: str, parcel: Parcel, bounds: Bounds = Bounds()) -> Outcome:
    """Call a named engine function in a child process and wait for it.

    Parameters
    ----------
    name : str
        A key of `FUNCTIONS`.
    parcel : Parcel
        Its argument.
    bounds : Bounds, optional
        Memory, time and sizes it may use.

    Returns
    -------
    Outcome

    Raises
    ------
    Refused, EngineError
        As raised by the function.
    Stopped
        If it ran out of time or memory or was ended by a signal.
    """
    if name not in FUNCTIONS:
        raise EngineError(f"There is no engine function called {name!r}.")
    with tempfile.TemporaryDirectory(prefix="cp-") as folder:
        home = Path(folder)
        (home / "tmp").mkdir()
        (home / "in").write_bytes(pack(parcel))
        began = time.monotonic()
        with open(home / "err", "wb") as errors:
            code = _wait(_start(name, home, bounds, errors), bounds)
        complaint = (home / "err").read_bytes()[-2000:].decode("utf-8", "replace")
        seconds = time.monotonic() - began
        answer = _answer(home / "out", bounds)
    if code != 0 or answer is None:
        raise _stopped(name, code, complaint)
    _raise_if_told(answer)
    return Outcome(answer, seconds, int(answer.value.pop("peak", 0)))


def _start(name: str, home: Path, bounds: Bounds, errors: BinaryIO) -> subprocess.Popen[bytes]:
    environment = {
        "PATH": os.defpath,
        "LANG": "C.UTF-8",
        "HOME": str(home / "tmp"),
        "TMPDIR": str(home / "tmp"),
        "PYTHONPATH": str(_ROOT),
        "PYTHONDONTWRITEBYTECODE": "1",
        "PYTHONNOUSERSITE": "1",
        "OPENBLAS_NUM_THREADS": "1",  # threads reserve address space, which is limited
    }
    return subprocess.Popen(
        _command(name, bounds),
        cwd=home,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=errors,
        start_new_session=True,
        close_fds=True,
    )


def _command(name: str, bounds: Bounds) -> list[str]:
    limits = json.dumps(asdict(bounds))
    return [sys.executable, "-P", "-m", "analysis.engine.process", name, limits]


def _wait(process: subprocess.Popen[bytes], bounds: Bounds) -> int:
    """Exit code; -SIGXCPU for overtime of either clock."""
    try:
        return process.wait(timeout=bounds.wall)
    except subprocess.TimeoutExpired:
        _kill(process)
        process.wait()
        return -signal.SIGXCPU
    except BaseException:
        _kill(process)
        process.wait()
        raise


def _kill(process: subprocess.Popen[bytes]) -> None:
    with contextlib.suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)


def _answer(path: Path, bounds: Bounds) -> Parcel | None:
    try:
        if path.stat().st_size > bounds.output:
            return None
        return unpack(path.read_bytes())
    except (OSError, ValueError):
        return None


def _stopped(name: str, code: int, complaint: str) -> Stopped:
    """The death of a child as one of three sentences; details go to the log."""
    log.warning("%s ended with %s: %s", name, code, complaint)
    if code == -signal.SIGXCPU:
        kind = "time"
    elif code in (_EXIT_MEMORY, -signal.SIGKILL, -signal.SIGXFSZ) or _out_of_memory(complaint):
        kind = "memory"
    else:
        kind = "crash"
    return Stopped(SENTENCES[kind], code=kind)


def _out_of_memory(complaint: str) -> bool:
    return any(sign in complaint for sign in ("bad_alloc", "MemoryError", "failed to map segment"))


def _raise_if_told(answer: Parcel) -> None:
    told = answer.value.pop("raised", None)
    if told is None:
        return
    if told["kind"] == "refused":
        raise Refused(told["text"], code=told["code"], where=told["where"])
    raise EngineError(told["text"])


# -- the parcel on paper -----------------------------------------------------------


def pack(parcel: Parcel) -> bytes:
    """A parcel as bytes: a length, a JSON head with the sizes, the byte strings."""
    head = json.dumps(
        {"value": parcel.value, "blobs": [[k, len(v)] for k, v in parcel.blobs.items()]}
    ).encode()
    return b"".join([_MAGIC, struct.pack("<Q", len(head)), head, *parcel.blobs.values()])


def unpack(data: bytes) -> Parcel:
    """The parcel again; ValueError if it is not whole."""
    if data[:4] != _MAGIC or len(data) < 12:
        raise ValueError("no parcel")
    (length,) = struct.unpack_from("<Q", data, 4)
    head = json.loads(data[12 : 12 + length])
    at, blobs = 12 + length, {}
    for name, size in head["blobs"]:
        blobs[name] = data[at : at + size]
        at += size
    if at != len(data):
        raise ValueError("the parcel is not whole")
    return Parcel(head["value"], blobs)


# -- the child ---------------------------------------------------------------------


def _limit(bounds: Mapping[str, Any]) -> None:
    cpu = int(bounds["cpu"])
    for what, soft, hard in (
        (resource.RLIMIT_CORE, 0, 0),
        (resource.RLIMIT_AS, bounds["memory"], bounds["memory"]),
        (resource.RLIMIT_CPU, cpu, cpu + 2),
        (resource.RLIMIT_FSIZE, bounds["output"], bounds["output"]),
        (resource.RLIMIT_NOFILE, bounds["files"], bounds["files"]),
    ):
        ceiling = resource.getrlimit(what)[1]
        if ceiling != resource.RLIM_INFINITY:
            soft, hard = min(int(soft), ceiling), min(int(hard), ceiling)
        resource.setrlimit(what, (int(soft), int(hard)))
    os.nice(int(bounds["nice"]))


def _call(name: str, parcel: Parcel) -> Parcel:
    module, _, attribute = FUNCTIONS[name].partition(":")
    function: Function = getattr(importlib.import_module(module), attribute)
    try:
        return function(parcel)
    except Refused as refusal:
        told = {"kind": "refused", "text": refusal.sentence, "code": refusal.code,
                "where": refusal.where}  # fmt: skip
    except EngineError as error:
        told = {"kind": "engine", "text": str(error)}
    return Parcel({"raised": told})


def _peak() -> int:
    """Highest resident memory of this process, in bytes.

    The kernel's resource usage also counts what the parent held when it
    started the child, so the process's own status is read where there is one.
    """
    with contextlib.suppress(OSError):
        for line in Path("/proc/self/status").read_text().splitlines():
            if line.startswith("VmHWM:"):
                return int(line.split()[1]) * 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def main(arguments: list[str]) -> int:
    """The child's side: limits first, then the work, then the answer."""
    name, bounds = arguments[0], json.loads(arguments[1])
    _limit(bounds)
    try:
        answer = _call(name, unpack(Path("in").read_bytes()))
        answer.value["peak"] = _peak()
        Path("out").write_bytes(pack(answer))
    except MemoryError:
        return _EXIT_MEMORY
    except OSError as error:
        sys.stderr.write(f"{error!r}\n")
        return _EXIT_MEMORY if error.errno in (12, 27) else _EXIT_FAULT
    return 0


if __name__ == "__main__":
    # Run as a module this file would exist twice; the child works on the imported one.
    from analysis.engine import process as _self

    sys.exit(_self.main(sys.argv[1:]))
