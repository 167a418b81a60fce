"""The gate in a process of its own: what callers use for files of strangers."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from analysis.engine import formats
from analysis.engine.errors import Refused
from analysis.engine.gate import DEFAULT, Admitted, Limits
from analysis.engine.gate.names import check_name
from analysis.engine.gate.notices import notice
from analysis.engine.process import Bounds, Outcome, Parcel, Stopped, run

_MB = 1 << 20
BOUNDS = Bounds(memory=512 * _MB, cpu=30, wall=40.0, output=128 * _MB)

CONVERSION = Bounds()  # a file of another format is held whole: an engine process of its own

_SENTENCES = {
    "time": "The file took too long to check. Upload its movements as files of their own, or "
    "export it again.",
    "memory": "The file needs more memory to check than is allowed. Upload its movements as "
    "files of their own.",
    "crash": "The file could not be checked: reading it broke off. Export it again from your "
    "notation program and upload the new file.",
}


def admit_in_child(
    data: bytes,
    filename: str,
    *,
    limits: Limits = DEFAULT,
    bounds: Bounds = BOUNDS,
    conversion: Bounds = CONVERSION,
) -> Admitted:
    """`gate.admit` in a child process with limits.

    A file of another format than MusicXML is first converted, in a child with
    limits of its own; the gate then reads what came out.

    Raises
    ------
    Refused
        As `gate.admit`, and with code ``gate-time``, ``gate-memory`` or
        ``gate-crash`` if a child was stopped.
    """
    return measured(data, filename, limits=limits, bounds=bounds, conversion=conversion)[0]


def measured(
    data: bytes,
    filename: str,
    *,
    limits: Limits = DEFAULT,
    bounds: Bounds = BOUNDS,
    conversion: Bounds = CONVERSION,
) -> tuple[Admitted, Outcome]:
    """As `admit_in_child`, with what the gate cost."""
    said: list[Any] = []
    if formats.recognise(data) in formats.CONVERTED:
        stem = check_name(filename, limits)
        made = _run("gate.convert", filename, data, said, limits, conversion).parcel
        data, said = made.blobs["musicxml"], made.value["notices"]
        filename = stem + ".musicxml"
    outcome = _run("gate.admit", filename, data, said, limits, bounds)
    value = outcome.parcel.value
    admitted = Admitted(
        canonical=outcome.parcel.blobs["canonical"],
        notices=tuple(notice(n) for n in value["notices"]),
        **{k: value[k] for k in ("sha256", "title", "parts", "bars", "notes", "sounding")},
    )
    return admitted, outcome


def _run(
    name: str, filename: str, data: bytes, said: list[Any], limits: Limits, bounds: Bounds
) -> Outcome:
    value = {"filename": filename, "limits": asdict(limits), "said": said}
    try:
        return run(name, Parcel(value, {"data": data}), bounds)
    except Stopped as stopped:
        raise Refused(_SENTENCES[stopped.code], code=f"gate-{stopped.code}") from stopped
