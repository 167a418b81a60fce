"""Every score of the corpora from upload to ready, by the product's own services and handlers.

    python -m tests.corpus [--take N] [FOLDER ...]

Prints a row a score: seconds in the gate, in the reading, notes, findings, or the
sentence it was refused with. Exit code 1 if one is not ready at the end.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from tests.corpora import corpora_dir

RIGHTS = {
    "source": "the open corpora",
    "basis": "public-domain",
    "country": "-",
    "assessed_by": "tutor",
    "assessed_on": date(2026, 1, 1),
    "entitled": True,
}


@dataclass
class Outcome:
    name: str
    state: str
    parts: int = 0
    doubts: int = 0
    findings: int = 0
    gate_seconds: float = 0.0
    read_seconds: float = 0.0
    problem: str = ""

    def row(self) -> str:
        figures = f"{self.parts:5} {self.doubts:6} {self.findings:8}"
        seconds = f"{self.gate_seconds:7.2f} {self.read_seconds:7.2f}"
        return f"{self.name:48.48} {self.state:8} {figures} {seconds}  {self.problem}"


HEAD = f"{'score':48} {'state':8} parts doubts findings  gate s  read s"


def take_through(path: Path, tutor: Any) -> Outcome:
    """Upload, gate, confirm every part (each doubt by itself), read."""
    from django.core.files.uploadedfile import SimpleUploadedFile

    from analysis.jobs.worker import drain
    from analysis.models import FindingRow
    from courses.services.library import upload_score
    from courses.services.parts import confirm_parts, latest_revision, part_key

    file = SimpleUploadedFile(path.name, path.read_bytes())
    version = upload_score(
        tutor=tutor, work_title=path.stem, title="I", order=1, file=file, rights=dict(RIGHTS)
    )
    began = time.perf_counter()
    drain(most=20, seconds=600)
    gated = time.perf_counter()
    version.refresh_from_db()
    outcome = Outcome(path.stem, version.state, gate_seconds=gated - began)
    if version.state != "parts":
        outcome.problem = version.problem
        return outcome
    base = latest_revision(version)
    assert base is not None
    doubtful = [part_key(p) for p in base.parts if p.get("doubt")]
    clear = [part_key(p) for p in base.parts if not p.get("doubt")]
    if clear:
        confirm_parts(version=version, by=tutor, keys=clear, together=True)
    for key in doubtful:
        confirm_parts(version=version, by=tutor, keys=[key])
    began = time.perf_counter()
    drain(most=20, seconds=900)
    version.refresh_from_db()
    outcome.read_seconds = time.perf_counter() - began
    outcome.state, outcome.problem = version.state, version.problem
    outcome.parts, outcome.doubts = len(base.parts), len(doubtful)
    outcome.findings = FindingRow.objects.filter(run__copy__version=version).count()
    return outcome


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.corpus")
    parser.add_argument("--take", type=int, default=0, help="only so many, evenly spread")
    parser.add_argument("folders", nargs="*", type=Path)
    wish = parser.parse_args()
    folders = wish.folders or [corpora_dir() / "scores"]
    paths = sorted(p for folder in folders for p in folder.glob("*.mxl"))
    if not paths:
        print(f"No score in {', '.join(map(str, folders))}; set CORPORA.", file=sys.stderr)
        return 1
    if wish.take:
        paths = paths[:: max(1, len(paths) // wish.take)][: wish.take]
    with tempfile.TemporaryDirectory(prefix="corpus-") as folder:
        for name in ("DATABASE_URL", "BROKER_URL"):
            os.environ.pop(name, None)
        os.environ.update(
            VAR_DIR=folder, DJANGO_SETTINGS_MODULE="config.settings", LOG_LEVEL="ERROR"
        )
        return _run(paths)


def _run(paths: list[Path]) -> int:
    import django

    django.setup()
    from django.contrib.auth import get_user_model
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    tutor = get_user_model().objects.create_user(username="tutor", is_tutor=True)
    print(HEAD, flush=True)
    outcomes = []
    for path in paths:
        outcomes.append(take_through(path, tutor))
        print(outcomes[-1].row(), flush=True)
    ready = [o for o in outcomes if o.state == "ready"]
    slowest = max(outcomes, key=lambda o: o.read_seconds)
    print(
        f"{len(ready)} of {len(outcomes)} ready; {sum(o.findings for o in ready)} findings; "
        f"gate {sum(o.gate_seconds for o in outcomes):.1f} s, "
        f"reading {sum(o.read_seconds for o in outcomes):.1f} s, "
        f"longest {slowest.name} {slowest.read_seconds:.1f} s"
    )
    return 0 if len(ready) == len(outcomes) else 1


if __name__ == "__main__":
    raise SystemExit(main())
