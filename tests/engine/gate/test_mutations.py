"""Scores with parts moved, doubled, renamed or taken away: let in whole, or refused in words."""

from __future__ import annotations

import copy
import random

import pytest
from lxml import etree

from analysis.engine.errors import Refused
from analysis.engine.gate import admit

from .small import bar, note, score

pytestmark = pytest.mark.slow

RICH = score(
    bar(
        '<direction><direction-type><words>dolce</words></direction-type><sound tempo="60"/>'
        "</direction>" + note() + note(inside="<chord/>") + note(inside="<grace/>")
        + "<backup><duration>4</duration></backup><forward><duration>2</duration></forward>"
    )
    + bar(
        '<barline location="left"><repeat direction="forward"/></barline>'
        "<attributes><transpose><chromatic>-2</chromatic></transpose></attributes>"
        + note("B").replace("</note>", '<time-modification><actual-notes>3</actual-notes>'
                            "<normal-notes>2</normal-notes></time-modification></note>"),
        "1a",
    ),
    bar("<note><rest/><duration>16</duration></note>") + bar("", 2),
    head="<work><work-title>A</work-title></work><movement-title>B</movement-title>",
)  # fmt: skip
TEXTS = ("", "0", "-1", "1e9", "NaN", "4.0", "٣", "²", "9" * 20, "x", "3+", "\u202e", " 4 ")


def mutated(source: etree._Element, chance: random.Random) -> bytes:
    tree = copy.deepcopy(source)
    for _ in range(chance.randint(1, 4)):
        elements = [e for e in tree.iter() if isinstance(e.tag, str)]
        one, other = chance.choice(elements), chance.choice(elements)
        parent = one.getparent()
        match chance.randint(0, 6):
            case 0 if parent is not None:
                parent.remove(one)
            case 1:
                one.text = chance.choice(TEXTS)
            case 2 if parent is not None:
                one.addnext(copy.deepcopy(other))
            case 3:
                one.append(copy.deepcopy(other))
            case 4:
                one.tag = other.tag
            case 5 if one.attrib:
                one.set(chance.choice(list(one.attrib)), chance.choice(TEXTS))
            case _:
                children = list(one)
                chance.shuffle(children)
                one[:] = children
    return etree.tostring(tree)


@pytest.mark.parametrize("seed", range(4))
def test_a_mutated_score_is_a_fixed_point_or_refused(seed: int):
    chance, source = random.Random(seed), etree.fromstring(RICH)
    let_in = refused = 0
    for _ in range(400):
        data = mutated(source, chance)
        try:
            once = admit(data, "a.xml")
        except Refused:
            refused += 1
            continue
        let_in += 1
        assert admit(once.canonical, "b.xml").canonical == once.canonical, data
    assert let_in > 50
    assert refused > 50
