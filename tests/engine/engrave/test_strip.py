"""One endless line: every bar once, staves that meet, and names where a length begins."""

from __future__ import annotations

import re

import pytest

from analysis.engine import engrave
from analysis.engine.engrave import strip
from analysis.engine.engrave.view import View
from analysis.engine.gate import admit
from tests.engine.gate.small import bar, score

from .test_engraver import canonical_of, drawn_ids, wanted_ids

STRIP = View(layout="strip")


def bars_of(svg: bytes) -> list[int]:
    return [int(b) for b in re.findall(rb'data-bar="(\d+)"', svg)]


def boxes(svg: bytes) -> list[list[float]]:
    found = re.findall(rb'viewBox="([^"]+)"', svg)
    return [[float(v) for v in box.split()] for box in found]


def small(bars: int) -> bytes:
    music = "".join(bar(number=n + 1) for n in range(bars))
    return admit(score(music, music), "a.xml").canonical


def test_tiles_meet_and_hold_every_bar_once() -> None:
    made = engrave.open_view(small(19), STRIP, first=1)
    assert (made.pages, made.page_of) == (3, [1] * 8 + [2] * 8 + [3] * 3)
    tiles = made.svg | engrave.pages(made, STRIP, [2, 3])
    assert [bars_of(tiles[n]) for n in (1, 2, 3)] == [
        list(range(8)), list(range(8, 16)), [16, 17, 18],
    ]  # fmt: skip
    inner = [boxes(tiles[n])[1] for n in (1, 2, 3)]
    assert inner[0][0] == 0
    assert [a[0] + a[2] for a in inner[:2]] == pytest.approx([b[0] for b in inner[1:]], abs=1)
    assert len({box[3] for box in inner}) == 1
    assert [tiles[n].count(b'class="label"') > 0 for n in (1, 2, 3)] == [True, False, False]


def test_a_length_ends_at_whole_tiles_and_the_next_begins_with_its_names(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert strip.length_of(24) % strip.TILE == 0
    assert strip.length_of(10**9) == strip.TILE
    assert strip.length_of(1) > strip.length_of(24)

    class Toolkit:
        """Stands for the engraver, to see what it is asked for."""

        asked: list[str] = []

        def select(self, what: dict[str, str]) -> None:
            self.asked.append(what["measureRange"])

        def redoLayout(self) -> None: ...

        def renderToSVG(self, page: int) -> str:
            first, last = (int(n) for n in self.asked[-1].split("-"))
            bars = "".join(
                f'<g class="measure" data-id="b{n}"><g class="staff">'
                f'<path d="M{100 * n} 5 L{100 * n + 100} 5"/></g></g>'
                for n in range(first, last + 1)
            )
            return (
                '<svg xmlns="http://www.w3.org/2000/svg"><svg class="definition-scale" '
                f'viewBox="0 0 {100 * last + 100} 50"><g class="page-margin" '
                f'transform="translate(3, 6)"><g class="system">{bars}</g></g></svg></svg>'
            )

    monkeypatch.setattr(strip, "_WORK", 64)
    tiles = dict(strip.drawn_tiles(Toolkit(), [1, 2, 3], (4, 23), low=2, staves=1))
    assert Toolkit.asked == ["3-10", "11-18", "19-22"]
    assert [len(re.findall(b"data-id", tiles[n])) for n in (1, 2, 3)] == [8, 8, 4]
    assert boxes(tiles[2])[1][:2] == [0, 0]  # a length begins at its own left edge


@pytest.mark.corpora
def test_a_real_movement_in_one_line_has_every_note() -> None:
    canonical = canonical_of("Beethoven_Op.21_3")
    view = View(layout="strip", parts=(0, 8, 13), bars=(20, 40))
    made = engrave.passage(canonical, view)
    assert made.pages == 3
    assert drawn_ids(made.svg) == wanted_ids(canonical, (0, 8, 13), (20, 40))
