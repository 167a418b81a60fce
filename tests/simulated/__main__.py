"""`python -m tests.simulated [NAME ...]`: the simulated class, all pieces or those named.

Ends with 1 if a limit is not met, 2 if the corpora are not there.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping
from pathlib import Path

from tests.simulated import pieces
from tests.simulated.asking import ask
from tests.simulated.drawing import draw
from tests.simulated.figures import Figures, lines
from tests.simulated.pieces import Open

SEED = 20261126
#: of all claims of a piece, how many are of a kind
SHARES = {"playing": 28, "doubling": 46, "parallel": 22, "crossing": 24, "range": 24,
          "marking": 22, "layout": 14, "open-tones": 14}  # fmt: skip


def main(argv: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.simulated", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help="only these pieces")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--claims", type=int, default=194, help="wanted of each piece")
    parser.add_argument("--misses", action="store_true", help="what was not as expected")
    parser.add_argument("--report", type=Path, help="write the figures as a page")
    parser.add_argument("--speed", action="store_true", help="time of 1,000 claims")
    asked = parser.parse_args(argv)
    if asked.speed:
        from tests.simulated.speed import measure

        return measure()
    every = {**pieces.corpus_pieces(), **pieces.demo_pieces()}
    if len(every) < 10:
        print(f"The open corpora are not in {pieces.corpora()}; set CORPORA.", file=sys.stderr)
        return 2
    chosen = {n: o for n, o in every.items() if not asked.names or n in asked.names}
    print(f"seed {asked.seed}, {len(chosen)} files", flush=True)
    figures = measure_class(chosen, asked.seed, asked.claims, talk=True)
    print("\n".join(lines(figures)))
    for miss in figures.misses if asked.misses else ():
        wanted = f"{miss.case.expected.flag} {sorted(map(str, miss.case.expected.causes))}"
        print(f"\n{miss.piece} {miss.case.sort}: {dict(miss.case.claim)}")
        print(f"  expected {wanted}; {miss.flag} ({miss.cause}): {miss.sentence}")
    if asked.report:
        from tests.simulated.report import write

        write(asked.report, figures, asked.seed, len(chosen))
    for sentence in figures.failures():
        print(sentence)
    return int(bool(figures.failures()))


def measure_class(
    chosen: Mapping[str, Open], seed: int, claims: int, *, talk: bool = False
) -> Figures:
    """Draw, ask and count, piece by piece."""
    figures = Figures()
    total = sum(SHARES.values())
    wanted = {kind: round(claims * share / total) for kind, share in SHARES.items()}
    for name, opened in chosen.items():
        music = opened()
        drawn = draw(music, seed, wanted)
        figures.undecided.update(drawn.undecided)
        before = len(figures.misses)
        for found in ask(music.path, drawn.cases):
            figures.add(name, found.case, found.answer)
        if talk:
            print(
                f"{name}: {len(drawn.cases)} claims, {len(figures.misses) - before} misses",
                flush=True,
            )
    return figures


if __name__ == "__main__":
    raise SystemExit(main())
