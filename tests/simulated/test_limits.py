"""A small class over six movements of the corpora and the demo piece keeps the limits.

`make simulated` asks 10,000 and more; docs/trust.md tells what came of it.
"""

from __future__ import annotations

import pytest

from tests.corpora import require_corpora
from tests.simulated import pieces
from tests.simulated.__main__ import SEED, measure_class
from tests.simulated.figures import Figures, lines

#: of each piece
CLAIMS = 100


@pytest.mark.corpora
@pytest.mark.slow
def test_flags_and_causes_are_as_the_contract_has_them() -> None:
    require_corpora()
    every = pieces.corpus_pieces()
    names = sorted(every)
    taken = [names[n * len(names) // 6] for n in range(6)]
    figures = measure_class({n: every[n] for n in taken}, SEED, CLAIMS)
    _keeps_the_limits(figures, least=500)


@pytest.mark.slow
def test_the_demo_piece_too() -> None:
    name, opened = next(iter(pieces.demo_pieces().items()))
    _keeps_the_limits(measure_class({name: opened}, SEED, 160), least=120)


def _keeps_the_limits(figures: Figures, least: int) -> None:
    told = "\n".join([*lines(figures), *(f"{m.piece} {m.case.claim}: {m.flag} {m.sentence}"
                                         for m in figures.misses)])  # fmt: skip
    assert figures.total() >= least, told
    assert figures.hard >= 0.3 * figures.total(), told
    assert not figures.failures(), told
