"""Files of other formats, cut, doubled or overwritten: read, or refused with a sentence."""

from __future__ import annotations

import random

import pytest

from analysis.engine.errors import Refused
from analysis.engine.gate import admit
from tests.engine.formats.small import bar, mei, midi
from tests.engine.gate.test_refusals import lint

pytestmark = pytest.mark.slow

LAYER = (
    '<beam><note xml:id="a" pname="c" oct="4" dur="8" tie="i"/><note pname="c" oct="4" dur="8" '
    'tie="t"/></beam><tuplet num="3" numbase="2"><note pname="d" oct="4" dur="8"/><rest dur="8"/>'
    '<chord dur="8" dots="1"><note pname="e" oct="4"/><note xml:id="b" pname="g" oct="4"/></chord>'
    '</tuplet><fTrem beams="2"><note pname="c" oct="4" dur="2"/><note pname="e" oct="5" dur="2"/>'
    '</fTrem><clef shape="F" line="4"/><note grace="acc" pname="f" oct="4" dur="16"/>'
)
AFTER = (
    '<slur startid="#a" endid="#b"/><dynam tstamp="1">f</dynam><hairpin form="dim" tstamp="1" '
    'tstamp2="1m+2"/><octave dis="8" dis.place="above" startid="#a" endid="#b"/><tupletSpan '
    'startid="#a" endid="#b" num="3"/><tempo tstamp="1" mm="90" mm.unit="4"/>'
)
KERN = "\n".join([
    "**kern\t**dynam\t**kern", "*Iflt\t*\t*Ivioln", "*clefG2\t*\t*clefF4", "*k[b-]\t*\t*k[f#]",
    "*M3/4\t*\t*M3/4", "*MM90\t*\t*ITrd1c2", "=1\t=1\t=1", "4c(\tp <\t8C'L 8E", ".\t.\t8D#J",
    "*^\t*\t*", "4e)\t4g;\t[\t[12F", ".\t.\t.\t12_F", ".\t.\t.\t12F]", "*v\t*v\t*\t*",
    "4r\tff\t8qa", ".\t.\t4.GG", "=2:|!\t=2:|!\t=2:|!", "2.c\t.\t2.C", "==\t==\t==", "*-\t*-\t*-",
])  # fmt: skip
SEEDS = {
    "a.mei": mei(measures=bar(LAYER, after=AFTER) + bar("<mRpt/>", n=2) + bar("<mRest/>", n=3)),
    "a.krn": KERN.encode(),
    "a.mid": midi(
        [(0, 480, 60), (0, 470, 64), (480, 640, 67), (640, 800, 65), (800, 2880, 61)],
        metas=b"\0\xff\x58\x04\x03\x02\x18\x08\0\xff\x59\x02\xfe\0\0\xc0\x28",
    ),
}
PIECES = (b"0", b"-1", b"99999999", b"", b"<", b'"', b"\t", b"\n", b"*^", b"*v", b".", b"\xff",
          b"\0", b"1", b"4", b"[", b"=", b"%", b"\x90", b"\x7f", b"n", b"mRpt")  # fmt: skip


def mutated(data: bytes, chance: random.Random) -> bytes:
    for _ in range(chance.randint(1, 4)):
        at, end = sorted(chance.randrange(len(data) + 1) for _ in range(2))
        end = min(end, at + chance.choice((1, 1, 2, 4, 40)))
        match chance.randrange(4):
            case 0:
                data = data[:at] + data[end:]
            case 1:
                data = data[:end] + data[at:]
            case 2:
                data = data[:at] + chance.choice(PIECES) + data[end:]
            case 3:
                data = data[:at] + bytes((chance.randrange(256),)) + data[at + 1 :]
    return data


@pytest.mark.parametrize("name", SEEDS)
def test_the_seed_itself_is_read(name: str):
    assert admit(SEEDS[name], name).sounding > 3


@pytest.mark.parametrize("name", SEEDS)
@pytest.mark.parametrize("seed", range(4))
def test_whatever_comes_is_read_or_refused_with_a_sentence(name: str, seed: int):
    chance = random.Random(f"{name}{seed}")
    outcomes = {"read": 0, "refused": 0}
    for _ in range(400):
        data = mutated(SEEDS[name], chance)
        try:
            admitted = admit(data, name)
        except Refused as refusal:
            lint(refusal)
            outcomes["refused"] += 1
        else:
            assert admit(admitted.canonical, "b.xml").canonical == admitted.canonical
            outcomes["read"] += 1
    assert min(outcomes.values()) > 10
