"""Dialogue and imitation: figures that go round between the parts.

* dialogue: the line is handed on (`handover_facts`) at least twice running, the taker of one
  being the giver of the next, within `NEXT` bars: call, answer, and call again;
* imitation: entries of one subject (`imitation_facts`) no more than `FOLLOWS` bars apart, so that
  they are heard as one texture.

Limits: common practice, without a printed source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.handover_facts import Handover, handovers
from analysis.engine.analyses.imitation_facts import imitations
from analysis.engine.analyses.speech import bar_at
from analysis.engine.model import Movement, ScoreTable
from analysis.engine.settings import Settings

#: bars within which a dialogue goes on, and after which an entry is no longer part of a texture
NEXT, FOLLOWS = 8, 4
#: certainty of a dialogue, by handovers; of an imitation, by entries
DIALOGUE, IMITATION, MORE, MOST = 0.7, 0.7, 0.07, 0.93


@dataclass(frozen=True, slots=True)
class Turn:
    """Bars (indices, inclusive) in which `lines` take turns, in order of their entries."""

    texture: str
    first: int
    last: int
    lines: tuple[int, ...]
    confidence: float


def turns(table: ScoreTable, movement: Movement, settings: Settings) -> list[Turn]:
    """Dialogues and imitations of one movement, by place."""
    found = [*_dialogues(table, movement, settings), *_imitations(table, movement)]
    return sorted(found, key=lambda t: (t.first, t.last, t.texture))


def _dialogues(table: ScoreTable, movement: Movement, settings: Settings) -> list[Turn]:
    chains: list[list[Handover]] = []
    for one in handovers(table, settings):
        bar = bar_at(table, one.at)
        if not movement.first_bar <= bar <= movement.last_bar:
            continue
        for chain in chains:
            last = chain[-1]
            near = bar - bar_at(table, last.at) <= NEXT and one.at > last.at
            if near and set(one.giving) & set(last.taking):
                chain.append(one)
                break
        else:
            chains.append([one])
    found = []
    for chain in chains:
        if len(chain) < 2:
            continue
        begin = bar_at(table, max(chain[0].left.start, _bars_before(table, chain[0].at)))
        end = bar_at(table, min(chain[-1].right.end - 1, _bars_after(table, chain[-1].at)))
        lines = tuple(dict.fromkeys(k for h in chain for k in (h.giving[0], h.taking[0])))
        mean = float(np.mean([h.confidence for h in chain]))
        sure = min(MOST, DIALOGUE * mean / 0.8 + MORE * (len(chain) - 2))
        begin = max(begin, movement.first_bar)
        end = min(max(end, begin), movement.last_bar)
        found.append(Turn("dialogue", begin, end, lines, sure))
    return _merged(sorted(found, key=lambda t: (t.first, t.last)))


def _bars_before(table: ScoreTable, tick: int) -> int:
    return table.bars[max(bar_at(table, tick) - NEXT // 2, 0)].start


def _bars_after(table: ScoreTable, tick: int) -> int:
    return table.bars[min(bar_at(table, tick) + NEXT // 2, len(table.bars) - 1)].end - 1


def _imitations(table: ScoreTable, movement: Movement) -> list[Turn]:
    """Bars in which entries follow each other closely."""
    found = []
    for one in memo(table, "_imitations", lambda: imitations(table)):
        first = bar_at(table, one.entries[0].onset)
        last = bar_at(table, max(one.entries[-1].end - 1, one.entries[-1].onset))
        reach = FOLLOWS * table.bars[first].length
        if movement.first_bar <= first <= movement.last_bar and max(one.lags) <= reach:
            lines = tuple(dict.fromkeys(e.lines[0] for e in one.entries))
            sure = min(MOST, IMITATION + MORE * (len(one.entries) - 2))
            found.append(Turn("imitation", first, min(last, movement.last_bar), lines, sure))
    return _merged(sorted(found, key=lambda t: (t.first, t.last)))


def _merged(found: list[Turn]) -> list[Turn]:
    """Turns in the same bars are one: several voices enter together, or reply to one."""
    kept: list[Turn] = []
    for turn in found:
        old = kept[-1] if kept else None
        if old and turn.first <= old.last:
            lines = tuple(dict.fromkeys((*old.lines, *turn.lines)))
            sure = max(old.confidence, turn.confidence)
            kept[-1] = Turn(old.texture, old.first, max(old.last, turn.last), lines, sure)
        else:
            kept.append(turn)
    return kept
