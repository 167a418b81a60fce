"""Whole way: canonical copy and view in, pages out, every id where it belongs."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from lxml import etree

from analysis.engine import engrave
from analysis.engine.engrave.doors import again
from analysis.engine.engrave.view import View
from analysis.engine.errors import EngineError
from analysis.engine.gate import admit
from tests.corpora import require_corpora
from tests.engine.gate.small import bar, note, score

from .test_svg import DANGEROUS

pytestmark = pytest.mark.slow

SAMPLE = (
    "Bach_BWV.1048_2",
    "Bach_BWV.232_07b",
    "Beethoven_Op.21_3",
    "Beethoven_Op.93_2",
    "Beach_Op.32_2",
    "Brahms_Op.90_3",
)


def canonical_of(name: str) -> bytes:
    data = (require_corpora() / "scores" / f"{name}.mxl").read_bytes()
    return admit(data, name + ".mxl").canonical


def wanted_ids(
    canonical: bytes, parts: tuple[int, ...] = (), bars: tuple[int, int] | None = None
) -> set[str]:
    """Ids of the notes and bars that a view must show."""
    ids = set()
    for p, part in enumerate(etree.fromstring(canonical).findall("part")):
        if parts and p not in parts:
            continue
        for b, measure in enumerate(part):
            if bars is None or bars[0] <= b <= bars[1]:
                ids.add(f"b{b}")
                ids |= {
                    n.get("id")
                    for n in measure.iter("note")
                    if n.get("print-object") != "no"
                }  # fmt: skip
    return ids


def drawn_ids(svg: dict[int, bytes]) -> set[str]:
    return {i.decode() for page in svg.values() for i in re.findall(rb'data-id="([^"]*)"', page)}


@pytest.mark.corpora
@pytest.mark.parametrize("name", SAMPLE)
def test_every_note_and_bar_of_the_view_is_on_its_pages(name: str):
    canonical = canonical_of(name)
    view = View()
    made = engrave.open_view(canonical, view, first=1)
    assert list(made.svg) == [1]
    pages = engrave.pages(made, view, range(1, made.pages + 1))
    assert pages[1] == made.svg[1]  # or a bar could fall between pages of different calls
    drawn = drawn_ids(pages)
    wanted = wanted_ids(canonical)
    hidden = {i for i in drawn - wanted if i.startswith("n")}
    assert wanted <= drawn, sorted(wanted - drawn)[:5]
    assert hidden <= wanted_ids_hidden(canonical)
    for bar_index, page in enumerate(made.page_of):
        assert f'data-bar="{bar_index}"'.encode() in pages[page]
    for page in pages.values():
        assert b"<style" not in page
        assert not DANGEROUS.search(re.sub(rb">[^<]*<", b"><", page))


@pytest.mark.corpora
@pytest.mark.slow
def test_no_bar_falls_between_pages_drawn_by_different_calls():
    """This score breaks its first line elsewhere when it is laid out from MusicXML."""
    canonical = canonical_of("Beethoven_Op.55_4")
    made = engrave.open_view(canonical, View(), first=1)
    rest = engrave.pages(made, View(), [2])
    shown = [b for page in (made.svg[1], rest[2]) for b in re.findall(rb'data-bar="(\d+)"', page)]
    assert [int(b) for b in shown] == list(range(len(shown)))


def wanted_ids_hidden(canonical: bytes) -> set[str]:
    root = etree.fromstring(canonical)
    return {n.get("id") for n in root.iter("note") if n.get("print-object") == "no"}


@pytest.mark.corpora
def test_a_passage_of_some_parts():
    canonical = canonical_of("Beethoven_Op.21_3")
    view = View(parts=(0, 8, 13), bars=(25, 32))
    made = engrave.passage(canonical, view)
    assert drawn_ids(made.svg) == wanted_ids(canonical, (0, 8, 13), (25, 32))
    assert made.first_bar == 25
    assert [index for index, _ in made.staves] == [0, 8, 13]
    page = etree.fromstring(made.svg[1])
    measure = next(e for e in page.iter() if e.get("data-bar") == "25")
    staves = [e.get("data-part-index") for e in measure if e.get("class") == "staff"]
    assert staves == ["0", "8", "13"]
    assert made.seconds < 10


@pytest.mark.corpora
def test_a_passage_shows_what_was_in_force_before_it():
    """Clef, key and metre at its start are those the whole score has there."""
    canonical = canonical_of("Brahms_Op.90_3")
    from analysis.engine import reader
    from analysis.engine.engrave.prepare import prepare

    whole = reader.read(canonical, trust_labels=False)
    cut = reader.read(prepare(canonical, View(bars=(60, 70))).xml, trust_labels=False)
    pitches = {whole.ids[r["src"]]: (r["pitch"], r["duration"]) for r in whole.notes}
    assert len(cut.notes) > 100
    inner = [r for r in cut.notes if 60 <= int(cut.ids[r["src"]].split("-")[1]) <= 66]
    assert all(pitches[cut.ids[r["src"]]] == (r["pitch"], r["duration"]) for r in inner)
    for kind in ("key", "time", "clef"):
        before = {(m.part, m.staff): m.text for m in whole.marks if m.kind == kind and m.bar <= 56}
        after = {(m.part, m.staff): m.text for m in cut.marks if m.kind == kind and m.bar == 0}
        assert after.items() >= before.items(), kind


@pytest.mark.corpora
def test_another_sheet_from_the_engravers_copy():
    canonical = canonical_of("Beethoven_Op.21_3")
    view = View(parts=(13, 14), bars=(30, 40))
    made = engrave.open_view(canonical, view)
    larger = again(made, View(parts=(13, 14), bars=(30, 40), staff=8, layout="strip"), first=2)
    assert drawn_ids(larger.svg) == drawn_ids(made.svg) == wanted_ids(canonical, (13, 14), (30, 40))
    assert larger.pages == 2  # tiles of eight bars
    assert larger.mei == b""


def test_the_same_view_gives_the_same_bytes():
    canonical = admit(score(bar() + bar(number=2), bar()), "a.xml").canonical
    one, two = (engrave.open_view(canonical, View()) for _ in range(2))
    assert one.svg == two.svg


def test_part_names_with_markup_stay_text():
    names = ("&lt;script&gt;alert(1)&lt;/script&gt;", "{{7*7}}")
    made = engrave.open_view(admit(score(bar(), bar(), names=names), "a.xml").canonical, View())
    root = etree.fromstring(made.svg[1])
    assert "<script>alert(1)</script>" in "".join(root.itertext())
    assert b"<script" not in made.svg[1]


def test_a_part_on_two_staves_is_one_part():
    two = "<attributes><staves>2</staves></attributes>"
    low = "<backup><duration>16</duration></backup>" + note("C", 3, 16).replace(
        "</note>", "<staff>2</staff></note>"
    )
    music = bar(two + note() * 4 + low)
    made = engrave.open_view(admit(score(bar(), music, bar()), "a.xml").canonical, View())
    assert made.staves == [(0, "P1"), (1, "P2"), (1, "P2"), (2, "P3")]
    found = re.findall(rb'data-part="(P\d)"', made.svg[1])
    assert found == [b"P1", b"P2", b"P2", b"P3"]


@pytest.mark.parametrize("view", [View(parts=(5,)), View(bars=(0, 9))])
def test_a_view_beyond_the_score_is_refused_with_a_sentence(view: View):
    with pytest.raises(EngineError, match=r"The score has \d"):
        engrave.open_view(admit(score(), "a.xml").canonical, view)


def test_static_rules_cover_what_the_engraver_styles():
    """Every class its own style element names has a rule in the static sheet."""
    import verovio

    toolkit = verovio.toolkit()
    toolkit.loadData(admit(score(), "a.xml").canonical.decode())
    (style,) = re.findall(r"<style[^>]*>(.*?)</style>", toolkit.renderToSVG(1), re.DOTALL)
    named = set(re.findall(r"g\.([A-Za-z]+)", style)) - {"cursor", "chord"}
    sheet = (Path(__file__).resolve().parents[3] / "static/css/engraving.css").read_text()
    assert named
    assert {n for n in named if f".{n}" not in sheet} == set()
