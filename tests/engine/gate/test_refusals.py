"""Every refusal says what is wrong, where, and what to do."""

from __future__ import annotations

import re

import pytest

from analysis.engine.errors import Refused
from analysis.engine.gate import DEFAULT, Limits, admit

from .small import ATTRIBUTES, bar, mxl, note, score

#: what no sentence may hold: names of libraries and languages, paths, signs of a traceback
FORBIDDEN = re.compile(
    r"lxml|libxml|expat|music21|verovio|python|zipfile|zlib|Traceback|Exception|Error\b|"
    r"/\w+/\w+|\.py|\bNone\b|0x[0-9a-f]{4}",
    re.IGNORECASE,
)


def refused(data: bytes, name: str = "a.musicxml", limits: Limits = DEFAULT) -> Refused:
    with pytest.raises(Refused) as caught:
        admit(data, name, limits=limits)
    return caught.value


def lint(refusal: Refused) -> None:
    """The rules for what a person reads."""
    text = refusal.sentence
    assert 20 <= len(text) <= 320, text
    assert text[0].isupper() or text[0] == "“", text
    assert text.endswith("."), text
    assert not FORBIDDEN.search(text), text
    assert re.search(r"[Ee]xport|upload|Upload|unpack", text), f"says not what to do: {text}"
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", refusal.code)


IN_BAR_2 = [
    (note("H"), "range"),
    (note(octave=12), "range"),
    (note(octave="<octave>4</octave>"), "range"),
    (note(duration="NaN"), "range"),
    (note(duration=-1), "range"),
    (note(duration=2_000_000), "range"),
    (note(duration="0.5"), "range"),
    (note().replace("<step>C</step>", "<step>C</step><alter>5</alter>"), "range"),
    ("<note><duration>4</duration></note>", "note-body"),
    ("<note><rest/><pitch/><duration>4</duration></note>", "note-body"),
    ("<note><pitch><step>C</step></pitch><duration>4</duration></note>", "pitch"),
    ("<note><rest/></note>", "duration"),
    ("<backup/>", "duration"),
    ("<backup><duration>8</duration></backup>" + note(), "backup"),
    (note(inside="<chord/>"), "chord-first"),
    (note() + note(inside="<chord/>") * 64, "chord"),
    (note().replace("</note>", "<dot/><dot/><dot/><dot/><dot/></note>"), "dots"),
    ("<attributes><time><beats>0</beats><beat-type>4</beat-type></time></attributes>", "range"),
    ("<attributes><time><beats>3+0</beats><beat-type>4</beat-type></time></attributes>", "range"),
    ("<attributes><time><beats>4</beats><beat-type>0</beat-type></time></attributes>", "range"),
    ("<attributes><time><beats>4</beats></time></attributes>", "time"),
    ("<attributes><divisions>0</divisions></attributes>", "range"),
    ("<attributes><key><fifths>15</fifths></key></attributes>", "range"),
    ("<attributes><staves>1000000</staves></attributes>", "range"),
    ("<attributes><transpose><chromatic>400</chromatic></transpose></attributes>", "range"),
    ("<a>" * 70 + "</a>" * 70, "depth"),
    ('<direction id="a b"/>', "id"),
    ("<words>" + "x" * 100_001 + "</words>", "text-long"),
]


@pytest.mark.parametrize(("content", "code"), IN_BAR_2)
def test_a_fault_in_a_bar_is_named_with_bar_and_part(content: str, code: str):
    data = score(bar() + bar(), bar() + bar(content, "12a"), names=("Oboe", "Flauto 1"))
    refusal = refused(data)
    assert refusal.code == code
    assert refusal.where == "bar 12a, Flauto 1"
    assert "12a" in refusal.sentence
    assert "Flauto 1" in refusal.sentence
    lint(refusal)


DTD = b'<!DOCTYPE score-partwise [<!ENTITY c "Coda">]>'
WHOLE = [
    (b"", "empty"),
    (b"  \n", "empty"),
    (b"\x1f\x8b\x08", "gzip"),
    (b"hello", "type"),
    (b"<", "type"),
    (b"<!-- never ends", "prolog"),
    (b"<html><body/></html>", "format"),
    (b"<opus/>", "format"),
    (DTD + score(), "dtd"),
    (b'<?xml version="1.0" encoding="UTF-7"?>' + score(), "encoding"),
    (score()[:-40], "xml"),
    (score() + b"<more/>", "xml"),
    (score(head="<work><work-title>&amp;nbsp;&nbsp;</work-title></work>"), "xml"),
    (score(head="<work><work-title>a\0b</work-title></work>"), "nul"),
    (score(head="<work><work-title>\xe9</work-title></work>").decode().encode("latin-1"),
     "encoding-bytes"),
    (score(""), "no-music"),
    (score(bar()).replace(b'<part id="P1">', b'<part id="P9">'), "part-unlisted"),
    (score(bar(), bar()).replace(b'"P2"', b'"P1"'), "part-id"),
    (b"<score-partwise/>", "no-music"),
    (score(bar("<measure/>")), "layout"),
]  # fmt: skip


@pytest.mark.parametrize(("data", "code"), WHOLE)
def test_a_fault_of_the_file(data: bytes, code: str):
    refusal = refused(data)
    assert refusal.code == code
    lint(refusal)


@pytest.mark.parametrize("ending", ["abc", "ly", "zip", "pdf", "txt", ""])
def test_other_formats_get_one_sentence_that_names_what_is_taken(ending: str):
    refusal = refused(score(), f"a.{ending}")
    assert refusal.code == "format"
    assert "MusicXML (.musicxml, .xml), MXL (.mxl), MEI (.mei)" in refusal.sentence
    lint(refusal)


@pytest.mark.parametrize(
    ("limits", "code"),
    [
        (Limits(parts=1), "parts"),
        (Limits(bars=1), "bars"),
        (Limits(notes=9), "notes"),
        (Limits(elements=20), "elements"),
        (Limits(open_elements=20), "elements"),
        (Limits(plain_bytes=100), "large"),
    ],
)
def test_limits(limits: Limits, code: str):
    refusal = refused(score(bar() + bar(number=2), bar() + bar(number=2)), limits=limits)
    assert refusal.code == code
    assert "pload" in refusal.sentence or "at most" in refusal.sentence


def test_a_large_file_of_small_bars_passes_the_count_of_open_signs():
    many = score("".join(bar(number=k + 1) for k in range(300)))
    signs = many.count(b"<") - many.count(b"</")
    assert admit(many, "a.xml", limits=Limits(open_elements=signs - 1)).bars == 300


def test_archive_limits():
    assert refused(mxl(score()), "a.mxl", Limits(packed_bytes=50)).code == "zip-large"
    assert refused(mxl(score()), "a.mxl", Limits(unpacked_bytes=200)).code == "zip-unpacked"
    assert refused(mxl(score(), extra={"a": b""}), "a.mxl", Limits(entries=2)).code == "zip-entries"
    blank = score(head=" " * 2_000_000)
    assert refused(mxl(blank), "a.mxl").code == "zip-ratio"


def test_numbers_are_written_plainly():
    canonical = admit(score(bar(note(duration=" +4 ") + note(duration="4.0"))), "a.xml").canonical
    assert canonical.count(b"<duration>4</duration>") == 2


def test_three_sharps_are_read_with_a_warning():
    # the gate's rule: |alter| 3 and 4 occur in real exports and are kept as written
    high = note().replace("<step>C</step>", "<step>C</step><alter>3</alter>")
    admitted = admit(score(bar(high)), "a.xml")
    assert [(n.code, n.bars, n.part) for n in admitted.notices] == [("triple", (0,), "P1")]
    assert b"<alter>3</alter>" in admitted.canonical


def test_a_quiet_file_gets_no_notice():
    assert admit(score(bar(), bar()), "a.xml").notices == ()
    assert ATTRIBUTES.encode() in admit(score(), "a.xml").canonical


def test_warnings_of_many_bars_are_one_notice():
    overfull = "".join(bar(note() * 5, k + 1) for k in range(4))
    (notice,) = admit(score(overfull), "a.xml").notices
    assert notice.code == "overfull"
    assert notice.bars == (0, 1, 2, 3)
    assert notice.text.endswith(".")
