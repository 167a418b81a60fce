"""``python -m analysis.engine.bench [FILE]``: speed and memory as ratios, in one run.

The reference is music21's mere parse of the same canonical file, measured in the same run on the
same machine: our reading plus all analyses may take half of its time and half of its memory, and
one claim in a warm process a fiftieth of its time. Each measurement runs in a process of its own;
"memory" is the peak above what the imported libraries need. The gate (checking and stamping an
upload) is told apart. Times are the processor's time of each process, so that other work on the
machine counts little. Without FILE the largest score of the open corpora is taken.

Exit code: 0 all within their limits, 1 not, 2 nothing to measure.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import median
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
LIMITS = {"time": 0.5, "memory": 0.5, "claim": 1 / 50}
#: claims tried, spread evenly over the findings of each kind
CLAIMS_OF_A_KIND = 8


def main(argv: list[str] | None = None) -> int:
    arguments = _arguments(argv)
    if arguments.child:
        print(json.dumps(CHILDREN[arguments.child](Path(arguments.file))))
        return 0
    path = Path(arguments.file) if arguments.file else largest_score()
    if path is None or not path.is_file():
        print("There is no score to measure: name a file, or set CORPORA.", file=sys.stderr)
        return 2
    result = measure(path, arguments.repeat)
    _tell(result)
    if arguments.json:
        Path(arguments.json).write_text(json.dumps(result, indent=1), encoding="utf-8")
    return 0 if all(result["within"].values()) else 1


def largest_score() -> Path | None:
    """The largest MXL of the corpora, by the size of the music inside."""
    from zipfile import ZipFile

    folder = Path(os.environ.get("CORPORA") or ROOT.parent / "shared") / "scores"

    def size(path: Path) -> int:
        with ZipFile(path) as archive:
            return sum(i.file_size for i in archive.infolist())

    return max(sorted(folder.glob("*.mxl")), key=size, default=None)


def measure(path: Path, repeat: int) -> dict[str, Any]:
    """All figures for one file; the two sides take turns, the median counts."""
    with tempfile.TemporaryDirectory(prefix="bench-") as folder:
        canonical = Path(folder) / "canonical.musicxml"
        gate = _child("gate", path, canonical)
        ours, theirs = [], []
        for _ in range(repeat):
            ours.append(_child("ours", canonical))
            theirs.append(_child("music21", canonical))
        claim = _child("claim", canonical)
    seconds = median(x["seconds"] for x in theirs)
    memory = median(x["memory"] for x in theirs)
    ratios = {
        "time": median(x["seconds"] for x in ours) / seconds,
        "memory": median(x["memory"] for x in ours) / memory,
        "claim": claim["slowest"] / seconds,
    }
    return {
        "file": path.name,
        "machine": f"{platform.machine()}, {os.cpu_count()} cores, Python "
        f"{platform.python_version()}",
        "gate": gate,
        "ours": ours,
        "music21": theirs,
        "claim": claim,
        "ratios": {k: round(v, 4) for k, v in ratios.items()},
        "limits": LIMITS,
        "within": {k: v <= LIMITS[k] for k, v in ratios.items()},
    }


# --- what the processes do ----------------------------------------------------


def _gate(path: Path) -> dict[str, Any]:
    from analysis.engine.gate import admit

    data = path.read_bytes()
    peak = _memory()
    started = time.process_time()
    admitted = admit(data, path.name)
    seconds = time.process_time() - started
    if target := os.environ.get("BENCH_CANONICAL"):
        Path(target).write_bytes(admitted.canonical)
    return {"seconds": seconds, "memory": peak(), "bytes": len(admitted.canonical)}


def _ours(path: Path) -> dict[str, Any]:
    from analysis.engine.analyses import analyse
    from analysis.engine.reader import read

    peak = _memory()
    started = time.process_time()
    table = read(path.read_bytes())
    read_in = time.process_time() - started
    findings = analyse(table)
    seconds = time.process_time() - started
    return {
        "seconds": seconds,
        "read": read_in,
        "memory": peak(),
        "notes": len(table.notes),
        "lines": len(table.lines),
        "bars": len(table.bars),
        "findings": len(findings),
    }


def _music21(path: Path) -> dict[str, Any]:
    from music21 import converter

    peak = _memory()
    started = time.process_time()
    parsed = converter.parse(path, format="musicxml", forceSource=True, storePickle=False)
    seconds = time.process_time() - started
    return {"seconds": seconds, "memory": peak(), "parts": len(parsed.parts)}


def _claim(path: Path) -> dict[str, Any]:
    """Answer claims made of the findings, each for the first time.

    Warm: on the table that has been analysed here, its shared views built. Cold: on a copy
    without any view, as the first claim after a table was loaded meets it; told, not judged.
    """
    from analysis.engine.analyses import analyse
    from analysis.engine.claims import answer
    from analysis.engine.reader import read

    table = read(path.read_bytes())
    findings = analyse(table)
    by_kind: dict[str, list[Any]] = {}
    for finding in findings:
        by_kind.setdefault(finding.kind, []).append(finding)
    times: dict[str, list[float]] = {}
    asked: list[Any] = []
    for kind, group in by_kind.items():
        for finding in group[:: max(1, len(group) // CLAIMS_OF_A_KIND)]:
            first, last = table.bars[finding.first], table.bars[finding.last]
            claim = {
                "id": 1,
                "movement": finding.movement + 1,
                "bars": {
                    "from": {"bar": first.label, "nth": first.nth},
                    "to": {"bar": last.label, "nth": last.nth},
                },
                **finding.value,
            }
            times.setdefault(kind, []).append(_timed(answer, claim, table, findings))
            asked.append(claim)
    # apart, so that throwing away a copy's views is not counted to a warm claim
    cold = [_timed(answer, claim, replace(table), findings) for claim in asked]
    every = [t for group in times.values() for t in group]
    return {
        "claims": len(every),
        "median": median(every),
        "slowest": max(every),
        "cold_median": median(cold),
        "cold_slowest": max(cold),
        "by_kind": {kind: round(max(group), 5) for kind, group in sorted(times.items())},
    }


def _timed(function: Callable[..., Any], *arguments: Any) -> float:
    started = time.process_time()
    function(*arguments)
    return time.process_time() - started


CHILDREN: dict[str, Callable[[Path], dict[str, Any]]] = {
    "gate": _gate,
    "ours": _ours,
    "music21": _music21,
    "claim": _claim,
}


def _memory() -> Callable[[], int]:
    """Start counting; the function returned gives the peak above now, in bytes."""
    status = Path("/proc/self/status")
    before = _status(status, "VmRSS")
    Path("/proc/self/clear_refs").write_text("5")  # forget the peak of the imports
    return lambda: max(_status(status, "VmHWM") - before, 1)


def _status(path: Path, name: str) -> int:
    for line in path.read_text().splitlines():
        if line.startswith(name + ":"):
            return int(line.split()[1]) * 1024
    raise OSError(f"{path} has no {name}")


# --- telling --------------------------------------------------------------------


def _child(name: str, path: Path, canonical: Path | None = None) -> dict[str, Any]:
    environment = {**os.environ, "PYTHONHASHSEED": "0"}
    if canonical:
        environment["BENCH_CANONICAL"] = str(canonical)
    command = [sys.executable, "-m", "analysis.engine.bench", "--child", name, str(path)]
    done = subprocess.run(
        command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise SystemExit(f"Measuring {name} failed:\n{done.stderr[-2000:]}")
    found: dict[str, Any] = json.loads(done.stdout.strip().splitlines()[-1])
    return found


def _tell(result: dict[str, Any]) -> None:
    ours = result["ours"][0]
    print(f"{result['file']} on {result['machine']}")
    print(
        f"  {ours['bars']} bars, {ours['lines']} lines, {ours['notes']} notes, "
        f"{ours['findings']} findings"
    )
    gate = result["gate"]
    print(f"  gate and stamping (apart): {gate['seconds']:.2f} s, {gate['memory'] / 1e6:.0f} MB")
    rows = (
        ("time", "seconds", "s", 1.0, "table and all analyses / music21's parse"),
        ("memory", "memory", "MB", 1e6, "peak above the imports"),
    )
    for name, key, unit, scale, words in rows:
        a = median(x[key] for x in result["ours"]) / scale
        b = median(x[key] for x in result["music21"]) / scale
        print(_line(result, name, f"{words}: {a:.2f} {unit} / {b:.2f} {unit}"))
    claim = result["claim"]
    words = (
        f"one claim, slowest of {claim['claims']}: {1000 * claim['slowest']:.1f} ms "
        f"(median {1000 * claim['median']:.1f} ms)"
    )
    print(_line(result, "claim", words))
    print(
        f"  the same claims as first of a fresh table: slowest "
        f"{1000 * claim['cold_slowest']:.1f} ms, median {1000 * claim['cold_median']:.1f} ms"
    )


def _line(result: dict[str, Any], name: str, words: str) -> str:
    ratio, limit = result["ratios"][name], result["limits"][name]
    verdict = "within" if result["within"][name] else "ABOVE"
    return f"  {words} = {ratio:.3f} ({verdict} {limit:.3f})"


def _arguments(argv: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="analysis.engine.bench", description=__doc__)
    parser.add_argument("file", nargs="?", help="MXL or MusicXML; default: the largest open score")
    parser.add_argument("--repeat", type=int, default=3, help="runs of each side (default 3)")
    parser.add_argument("--json", help="write all figures there")
    parser.add_argument("--child", choices=sorted(CHILDREN), help=argparse.SUPPRESS)
    return parser.parse_args(argv)


if __name__ == "__main__":
    raise SystemExit(main())
