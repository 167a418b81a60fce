"""Cases: claims in the contract's JSON with the flag they deserve, drawn by chance from a seed."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from tests.simulated.expecting import Expected, expected
from tests.simulated.judging import Asked
from tests.simulated.kinds import KINDS
from tests.simulated.music import Music


@dataclass(frozen=True)
class Case:
    """One claim. `sort`: what it was drawn as; `hard`: meant to be mistaken."""

    claim: Mapping[str, Any]
    expected: Expected
    sort: str
    hard: bool

    @property
    def kind(self) -> str:
        return str(self.claim["kind"])


@dataclass
class Drawn:
    """The cases of one piece, and how many draws the contract leaves more than one flag."""

    cases: list[Case] = field(default_factory=list)
    undecided: Counter[str] = field(default_factory=Counter)


#: fields of ours that a claim has in other words
_PRIVATE = ("place", "ticks", "midi", "tones")
#: tries for each case wanted before a piece gives up on a kind
PATIENCE = 14


def draw(music: Music, seed: int, wanted: Mapping[str, int]) -> Drawn:
    """So many cases of each kind as wanted, or as the piece gives."""
    found = Drawn()
    for kind, count in wanted.items():
        rng = random.Random(f"{seed}-{music.name}-{kind}")
        seen: set[str] = set()
        made = 0
        for tried, (asked, sort, hard) in enumerate(_sorts(music, kind, rng)):
            if made >= count or tried >= PATIENCE * count:
                break
            claim = as_json(music, asked, rng)
            key = repr({k: v for k, v in claim.items() if k != "parts"}) + repr(asked.parts)
            if key in seen:
                continue
            seen.add(key)
            told = expected(music, asked, KINDS[kind].rule)
            if told is None:
                found.undecided[kind] += 1
                continue
            found.cases.append(Case({"id": f"{kind}-{made}", **claim}, told, sort, hard))
            made += 1
    return found


def _sorts(music: Music, kind: str, rng: random.Random) -> Iterator[tuple[Asked, str, bool]]:
    """Endless draws of a kind, its sorts in turn so that none crowds the others out."""
    streams = KINDS[kind].sorts(music, rng)
    while streams:
        for name, hard, make in list(streams):
            asked = make()
            if asked is None:
                continue
            yield asked, name, hard
        if not streams:
            return


def as_json(music: Music, asked: Asked, rng: random.Random) -> dict[str, Any]:
    """The claim as the contract writes it."""
    claim: dict[str, Any] = {"kind": asked.kind, "movement": 1}
    claim["bars"] = asked.fields.get("place") or music.place(asked.first, asked.last)
    claim["parts"] = [part_json(music, p, rng) for p in asked.parts]
    if asked.negated:
        claim["negated"] = True
    for name, value in asked.fields.items():
        if name in _PRIVATE:
            continue
        if name in ("upper", "lower"):
            claim[name] = part_json(music, value[0], rng)
        elif name in ("with", "pair", "shares-staff-with"):
            claim[name] = [part_json(music, p, rng) for p in value]
        else:
            claim[name] = value
    if asked.kind == "layout":
        del claim["bars"]
    return claim


def part_json(music: Music, part: int, rng: random.Random) -> Any:
    """The printed label where it is one of its own, or the id."""
    label = music.label(part)
    alone = sum(music.label(p) == label for p in music.parts) == 1
    if alone and "\n" not in label and rng.random() < 0.6:
        return label
    return {"part": music.page.parts[part].id}
