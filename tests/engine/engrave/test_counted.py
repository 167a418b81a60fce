"""One part as its player has it: bars of rest counted, letters and tempo set in.

That a count ends at letters, double bars and changes of metre: common practice, no source.
"""

from __future__ import annotations

import re

import pytest
from lxml import etree

from analysis.engine import engrave
from analysis.engine.engrave.prepare import prepare
from analysis.engine.engrave.view import View
from analysis.engine.errors import EngineError
from analysis.engine.gate import admit
from tests.engine.gate.small import bar, note, score

REST = '<note><rest measure="yes"/><duration>16</duration></note>'
LETTER = "<direction><direction-type><rehearsal>{}</rehearsal></direction-type></direction>"
DOUBLE = '<barline location="right"><bar-style>light-light</bar-style></barline>'
OWN = View(parts=(1,), rests="counted")


def canonical() -> bytes:
    """Ten bars: the lower part plays in the first and the last, a letter stands in bar 5 above
    the upper part only, a double bar after bar 7."""
    top = [LETTER.format("A") + note() * 4 if n == 5 else note() * 4 for n in range(1, 11)]
    low = [note() * 4, *[REST] * 8, note("D") * 4]
    low[6] += DOUBLE
    parts = ("".join(bar(b, number=n) for n, b in enumerate(bars, 1)) for bars in (top, low))
    return admit(score(*parts), "a.xml").canonical


def drawn(svg: bytes) -> list[tuple[int, int]]:
    """(first, last) bar index of each bar that is drawn."""
    root = etree.fromstring(svg)
    bars = [e for e in root.iter() if e.get("data-bar")]
    return [(int(e.get("data-bar")), int(e.get("data-last", e.get("data-bar")))) for e in bars]


def test_rests_are_counted_up_to_the_next_sign() -> None:
    made = engrave.open_view(canonical(), OWN)
    assert drawn(made.svg[1]) == [(0, 0), (1, 3), (4, 6), (7, 8), (9, 9)]
    letter = etree.fromstring(made.svg[1]).xpath("//*[@class='reh']//text()")
    assert "".join(letter).strip() == "A"
    assert made.page_of == [1] * 10
    assert made.svg[1].count(b'class="multiRest"') == 3


def test_the_notes_keep_their_ids() -> None:
    ids = set(
        re.findall(r'data-id="(n[\d-]+)"', engrave.open_view(canonical(), OWN).svg[1].decode())
    )
    assert ids == {f"n1-{b}-{k}" for b in (0, 9) for k in range(4)}


def test_a_passage_ends_its_counts_at_its_edges() -> None:
    made = engrave.open_view(canonical(), View(parts=(1,), rests="counted", bars=(2, 5)))
    assert drawn(made.svg[1]) == [(2, 3), (4, 5)]
    assert (made.first_bar, made.page_of) == (2, [1] * 4)


def test_as_printed_every_bar_stands_by_itself() -> None:
    made = engrave.open_view(canonical(), View(parts=(1,)))
    assert drawn(made.svg[1]) == [(k, k) for k in range(10)]
    assert b"data-last" not in made.svg[1]


def test_what_is_cued_or_held_is_not_counted_over() -> None:
    fermata = REST.replace("</note>", "<notations><fermata/></notations></note>")
    cue = note(inside="<cue/>", duration=16)
    bars = "".join(bar(b, number=n) for n, b in enumerate([REST, REST, fermata, REST, cue], 1))
    made = prepare(admit(score(bars), "a.xml").canonical, View(parts=(0,), rests="counted"))
    assert made.counted == ((0, 2),)


def test_counted_rests_are_another_view_and_none_of_a_strip() -> None:
    assert "rests" not in View().as_dict()
    assert OWN.key() != View(parts=(1,)).key()
    assert OWN.source_key() != View(parts=(1,)).source_key()
    assert View.from_dict(OWN.as_dict()) == OWN
    with pytest.raises(EngineError):
        View(rests="counted", layout="strip")
