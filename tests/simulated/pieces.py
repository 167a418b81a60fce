"""Which pieces the class reads: the movements of the open corpora, and the demo piece."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from tests.simulated.music import Music, from_music21, from_table

CHECKOUT = Path(__file__).resolve().parents[2]
DEMO = CHECKOUT / "demo" / "piece"

Open = Callable[[], Music]


def corpora() -> Path:
    """The folder named by CORPORA, or `shared` beside the checkout."""
    return Path(os.environ.get("CORPORA") or CHECKOUT.parent / "shared")


def demo_pieces() -> dict[str, Open]:
    """The movements of the demo piece, read by music21."""
    return {p.stem: lambda p=p: from_music21(p) for p in sorted(DEMO.glob("*.musicxml"))}  # type: ignore[misc]


def corpus_pieces() -> dict[str, Open]:
    """The movements that have a note table, by name."""
    folder = corpora() / "eval" / "data" / "hauptstimme"
    found: dict[str, Open] = {}
    for score in sorted((corpora() / "scores").glob("*.mxl")):
        table = folder / f"{score.stem}.npz"
        if table.exists():
            found[score.stem] = lambda t=table, s=score: from_table(t, s)  # type: ignore[misc]
    return found
