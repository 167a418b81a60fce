"""The page of figures, docs/trust.md: what was measured; the reading of it is written by hand.

What stands below the line `HAND` is kept when the figures are written anew.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

from tests.simulated.figures import FLAGS, Figures, kinds_of, matrix

HAND = "## Reading"


def write(path: Path, figures: Figures, seed: int, files: int) -> None:
    old = path.read_text(encoding="utf-8") if path.exists() else ""
    hand = old[old.index(HAND) :] if HAND in old else f"{HAND}\n\nNot written yet.\n"
    path.write_text("\n".join([*_page(figures, seed, files), "", hand]), encoding="utf-8")


def _page(figures: Figures, seed: int, files: int) -> Iterator[str]:
    total = figures.total()
    yield "# How far a flag can be trusted"
    yield ""
    yield (
        f"`python -m tests.simulated --seed {seed}`, {date.today():%-d %B %Y}: {total:,} claims "
        f"about {files} files (the movements of OpenScore Orchestra in the corpora and the demo "
        "piece). A claim's right flag is worked out by the contract from note tables of another "
        "reader and from music21; nothing of the checker is used for it. "
        f"{figures.hard / total:.0%} of the claims are meant to be mistaken, {figures.negated:,} "
        "are negated. Where the contract leaves room for two flags a claim is not asked: so many "
        "draws are told as “left out”."
    )
    yield ""
    yield "| figure | measured | asked for |"
    yield "|---|---|---|"
    yield f"| flags as expected | {figures.matched():.2%} | at least 98 % |"
    yield (
        f"| true claims called “conflicts” | {figures.true_conflicts} of "
        f"{figures.total(expected='agrees'):,} | 0 in 3,000 |"
    )
    yield (
        f"| false claims called “agrees” | {figures.false_agrees:.2%} of "
        f"{figures.total(expected='conflicts'):,} | at most 0.5 % |"
    )
    yield f"| left to the ear unexpectedly | {figures.unexpected_ear:.2%} | at most 1 % |"
    yield (
        f"| causes as expected | {figures.causes_right:.2%} of {sum(figures.causes.values()):,} "
        "| at least 95 % |"
    )
    yield ""
    yield "## Kinds"
    for kind in kinds_of(figures):
        yield ""
        yield (
            f"**{kind}**: {figures.total(kind):,} claims, {figures.matched(kind):.2%} as expected, "
            f"{figures.undecided[kind]:,} draws left out"
        )
        yield ""
        yield f"| expected | {' | '.join(FLAGS)} |"
        yield f"|---|{'---|' * len(FLAGS)}"
        for row in matrix(figures, kind):
            yield f"| {' | '.join(row)} |"
    yield ""
    yield "## Misreadings"
    yield ""
    yield (
        "Claims whose cause is to be named, by the cause; where a claim fits two (a bar off and an "
        "octave off) either is right."
    )
    yield ""
    yield "| cause | claims | named so | named otherwise |"
    yield "|---|---|---|---|"
    for wanted in sorted({w for w, _ in figures.causes}):
        given = {g: n for (w, g), n in figures.causes.items() if w == wanted}
        others = ", ".join(f"{'none' if g == 'None' else g} {n}"
                           for g, n in sorted(given.items()) if g != wanted)  # fmt: skip
        count = sum(given.values())
        yield f"| {wanted} | {count} | {given.get(wanted, 0)} | {others} |"
