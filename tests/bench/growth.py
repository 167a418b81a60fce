"""``python -m tests.bench.growth``: how time grows with bars and parts, and what takes it.

Scores come from `growth_score` (12 parts for the bars, 64 bars for the parts); each size runs in a
process of its own, gate apart, and is measured by the processor's time of that process, so that
other work on the machine counts little. The exponent is the slope of a line through the logarithms
(least squares). The profile is of one score by analysis, in the order of the registry: what several
analyses share is built by the first that asks, and counts there.

Writes a plot and the tables with ``--out FOLDER``. Exit code: 0 within the limits, 1 not.
"""

from __future__ import annotations

import argparse
import json
import math
import platform
import subprocess
import sys
import time
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

from analysis.engine.bench import largest_score
from tests.bench.growth_plot import svg
from tests.bench.growth_score import score

ROOT = Path(__file__).resolve().parents[2]
BARS, PARTS = (250, 500, 1000, 2000, 3500, 5000), (12, 18, 24, 36, 48, 60)
FIXED_PARTS, FIXED_BARS = 12, 64
#: largest exponents: linear in bars, with room for the measurement's own scatter; issue: parts <= 2
LIMITS = {"bars": 1.1, "parts": 2.0}

Figures = dict[str, Any]


def main(argv: list[str] | None = None) -> int:
    asked = _arguments(argv)
    if asked.child:
        print(json.dumps(_measure(*json.loads(asked.child))))
        return 0
    curves = {
        "bars": [_size(bars, FIXED_PARTS) for bars in asked.bars],
        "parts": [_size(FIXED_BARS, parts) for parts in asked.parts],
    }
    powers = {
        name: exponent([(row[name], row["read"] + row["analyse"]) for row in rows])
        for name, rows in curves.items()
    }
    path = Path(asked.file) if asked.file else largest_score()
    profile = _child([str(path)]) if path else None
    text = "\n".join(told(curves, powers, profile))
    print(text)
    if asked.out:
        folder = Path(asked.out)
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "growth.svg").write_text(svg(curves, powers), encoding="utf-8")
        made = f"`make growth`, {date.today():%d %B %Y}. ![Growth](growth.svg)"
        page = f"# Growth and profile\n\n{made}\n\n{text}\n"
        (folder / "growth.md").write_text(page, encoding="utf-8")
    return 0 if all(powers[name] <= LIMITS[name] for name in powers) else 1


def exponent(points: Sequence[tuple[float, float]]) -> float:
    """Slope of log(y) over log(x) by least squares.

    >>> round(exponent([(1, 3), (2, 12), (4, 48)]), 6)
    2.0
    """
    logs = [(math.log(x), math.log(y)) for x, y in points]
    mx = sum(x for x, _ in logs) / len(logs)
    my = sum(y for _, y in logs) / len(logs)
    return sum((x - mx) * (y - my) for x, y in logs) / sum((x - mx) ** 2 for x, _ in logs)


def steepest(rows: Sequence[Figures], name: str) -> list[tuple[str, float, float]]:
    """Analyses by exponent, with their seconds at the largest size; those below 0.05 s left out."""
    found = []
    for analysis in rows[-1]["by"]:
        points = [(r[name], r["by"][analysis]) for r in rows if r["by"][analysis] > 0.002]
        if len(points) > 2 and rows[-1]["by"][analysis] >= 0.05:
            found.append((analysis, exponent(points), rows[-1]["by"][analysis]))
    return sorted(found, key=lambda row: -row[1])


# --- measuring ------------------------------------------------------------------


def _size(bars: int, parts: int) -> Figures:
    return _child([bars, parts])


def _child(what: list[Any]) -> Figures:
    command = [sys.executable, "-m", "tests.bench.growth", "--child", json.dumps(what)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SystemExit(f"Measuring {what} failed:\n{done.stderr[-2000:]}")
    found: Figures = json.loads(done.stdout.strip().splitlines()[-1])
    return found


def _measure(*what: Any) -> Figures:
    """Seconds of the processor for reading and for each analysis; of a file, or (bars, parts)."""
    from analysis.engine.analyses.registry import ANALYSES, in_order
    from analysis.engine.gate import admit
    from analysis.engine.reader import read
    from analysis.engine.settings import Settings

    if isinstance(what[0], str):
        name, data = Path(what[0]).name, Path(what[0]).read_bytes()
    else:
        name, data = "growth.musicxml", score(*what)
    canonical = admit(data, name).canonical
    settings, by, found = Settings(), {}, 0
    start = time.process_time()
    table = read(canonical)
    reading = time.process_time() - start
    for analysis in in_order(ANALYSES):
        begun = time.process_time()
        found += len(analysis.find(table, settings))
        by[analysis.name] = time.process_time() - begun
    return {
        "name": name,
        "bars": len(table.bars),
        "parts": table.part_count,
        "notes": len(table.notes),
        "findings": found,
        "read": reading,
        "analyse": sum(by.values()),
        "by": by,
    }


# --- telling --------------------------------------------------------------------


def told(
    curves: dict[str, list[Figures]], powers: dict[str, float], profile: Figures | None
) -> list[str]:
    lines = [f"{platform.machine()}, Python {platform.python_version()}; seconds of the processor."]
    for name, rows in curves.items():
        fixed = f"{FIXED_PARTS} parts" if name == "bars" else f"{FIXED_BARS} bars"
        word = "within" if powers[name] <= LIMITS[name] else "ABOVE"
        late = exponent([(row[name], row["read"] + row["analyse"]) for row in rows[-3:]])
        lines += [
            "",
            (
                f"**{name.capitalize()}** ({fixed}): exponent {powers[name]:.2f} "
                f"({word} {LIMITS[name]}); of the three largest alone {late:.2f}"
            ),
            "",
            f"| {name} | notes | findings | table, s | analyses, s |",
            "|---|---|---|---|---|",
        ]
        lines += [
            f"| {r[name]:,} | {r['notes']:,} | {r['findings']:,} | {r['read']:.2f} | "
            f"{r['analyse']:.2f} |"
            for r in rows
        ]
        steep = ", ".join(f"{a} {p:.2f} ({s:.1f} s)" for a, p, s in steepest(rows, name)[:5])
        lines += ["", f"Steepest analyses (seconds at the largest size): {steep or 'none'}."]
    if profile:
        whole = profile["read"] + profile["analyse"]
        rows = sorted(profile["by"].items(), key=lambda row: -row[1])
        lines += [
            "",
            (
                f"**Profile** of {profile['bars']} bars, {profile['notes']:,} notes: "
                f"{whole:.2f} s, of which the table {profile['read'] / whole:.0%}"
            ),
            "",
            "| analysis | share | s |",
            "|---|---|---|",
        ]
        lines += [f"| {a} | {s / whole:.1%} | {s:.2f} |" for a, s in rows if s / whole >= 0.005]
        rest = sum(s for _a, s in rows if s / whole < 0.005)
        lines.append(f"| all others | {rest / whole:.1%} | {rest:.2f} |")
    return lines


def _arguments(argv: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="tests.bench.growth", description=__doc__)
    parser.add_argument("file", nargs="?", help="score of the profile; default: the largest open")
    parser.add_argument("--bars", type=int, nargs="+", default=BARS)
    parser.add_argument("--parts", type=int, nargs="+", default=PARTS)
    parser.add_argument("--out", help="folder for growth.svg and growth.md")
    parser.add_argument("--child", help=argparse.SUPPRESS)
    return parser.parse_args(argv)


if __name__ == "__main__":
    raise SystemExit(main())
