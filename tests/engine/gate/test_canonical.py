"""The canonical copy: ids, shape, and that it comes out of the gate as it went in."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from analysis.engine.errors import Refused
from analysis.engine.gate import admit

from .small import bar, mxl, note, score


def tree(data: bytes) -> etree._Element:
    return etree.fromstring(admit(data, "a.musicxml").canonical)


def test_notes_and_bars_get_ids_by_position():
    root = tree(score(bar() + bar(note() + note("D"), "1a"), bar() + bar(number=7)))
    first, second = root.findall("part")
    assert [m.get("id") for m in first] == ["b0", "b1"]
    assert [m.get("id") for m in second] == ["b0-p1", "b1-p1"]
    assert [n.get("id") for n in first[1].iter("note")] == ["n0-1-0", "n0-1-1"]
    assert [n.get("id") for n in second[1].iter("note")] == [f"n1-1-{k}" for k in range(4)]


def test_ids_are_unique_even_if_a_part_is_called_like_a_bar():
    data = score(bar(), bar()).replace(b'"P1"', b'"b0"').replace(b'"P2"', b'"n0-0-0"')
    root = tree(data)
    listed = [e.get("id") for e in root.iter("score-part")]
    assert listed == ["P-b0", "P-n0-0-0"] == [e.get("id") for e in root.findall("part")]
    ids = [e.get("id") for e in root.iter("note", "measure", "score-part")]
    assert len(set(ids)) == len(ids)


def test_timewise_becomes_partwise():
    partwise = score(bar() + bar(number=2), bar() + bar(number=2), names=("A", "B"))
    root = etree.fromstring(partwise)
    parts = root.findall("part")
    timewise = etree.Element("score-timewise")
    timewise.append(root.find("part-list"))
    for k in range(2):
        measure = etree.SubElement(timewise, "measure", number=str(k + 1))
        for part in parts:
            cell = etree.SubElement(measure, "part", id=part.get("id"))
            cell.extend(part.findall("measure")[0 if k == 0 else -1])
    assert admit(etree.tostring(timewise), "a.xml").canonical == admit(partwise, "a.xml").canonical


def test_transposition_without_steps_gets_them():
    # MusicXML 4.0, <transpose>: the horn in E flat of its example is diatonic -5, chromatic -9.
    transpose = "<attributes><transpose><chromatic>-9</chromatic></transpose></attributes>"
    root = tree(score(bar(transpose + note() * 4)))
    assert [c.tag for c in root.find(".//transpose")] == ["diatonic", "chromatic"]
    assert root.findtext(".//transpose/diatonic") == "-5"


@pytest.mark.parametrize(
    ("chromatic", "steps"),
    # intervals of common transposing instruments, as listed with <transpose> in the corpora:
    # B flat clarinet, A clarinet, F horn, E horn, D horn, piccolo clarinet in E flat, D trumpet
    [(-2, -1), (-3, -2), (-7, -4), (-8, -5), (-10, -6), (3, 2), (2, 1), (0, 0), (5, 3), (-14, -8)],
)
def test_steps_of_transposition(chromatic: int, steps: int):
    transpose = (
        f"<attributes><transpose><chromatic>{chromatic}</chromatic></transpose></attributes>"
    )
    assert tree(score(bar(transpose + note()))).findtext(".//diatonic") == str(steps)


def test_what_is_no_notation_is_left_out():
    link = '<link xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href="javascript:alert(1)"/>'
    words = (
        '<direction><direction-type><words color="url(http://127.0.0.1:9/x)" default-x="3" '
        'font-family="x" font-style="italic">dolce<!-- c --></words>'
        "</direction-type></direction>"
    )
    colored = note().replace("<note>", '<note color="#80ff0000" default-y="-20">')
    data = score(bar(link + words + colored + "<?x y?>"))
    admitted = admit(data, "a.xml")
    root = etree.fromstring(admitted.canonical)
    assert root.find(".//link") is None
    assert b"javascript" not in admitted.canonical
    assert dict(root.find(".//words").attrib) == {"font-style": "italic"}
    assert root.findtext(".//words") == "dolce"
    assert dict(root.find(".//note").attrib) == {"color": "#FF0000", "id": "n0-0-0"}
    assert {n.code for n in admitted.notices} == {"left-out", "instruction"}


def test_short_parts_are_filled_up():
    admitted = admit(score(bar() + bar(number=2) + bar(number=3), bar()), "a.xml")
    parts = etree.fromstring(admitted.canonical).findall("part")
    assert [len(p) for p in parts] == [3, 3]
    assert "unequal" in {n.code for n in admitted.notices}
    assert admit(admitted.canonical, "b.xml").canonical == admitted.canonical


def test_a_part_without_bars_gets_empty_ones():
    admitted = admit(score(bar() + bar(number=2), ""), "a.xml")
    assert admitted.canonical == admit(admitted.canonical, "b.xml").canonical
    assert [len(p) for p in etree.fromstring(admitted.canonical).findall("part")] == [2, 2]


@pytest.mark.parametrize("text", ["", " ", "\u202e", "\u202e \u200f"])
def test_texts_without_anything_to_see_are_empty(text: str):
    words = f"<direction><direction-type><words>{text}</words></direction-type></direction>"
    admitted = admit(score(bar(words + note())), "a.xml")
    assert b"<words/>" in admitted.canonical
    assert admit(admitted.canonical, "b.xml").canonical == admitted.canonical


def test_parts_keep_the_order_of_the_music():
    data = score(bar(), bar(note("D") * 4), names=("A", "B"))
    data = data.replace(b'<part id="P1">', b'<part id="PX">').replace(
        b'<part id="P2">', b'<part id="P1">'
    )
    root = tree(data.replace(b'<part id="PX">', b'<part id="P2">'))
    assert [e.get("id") for e in root.iter("score-part")] == ["P2", "P1"]
    assert [e.get("id") for e in root.findall("part")] == ["P2", "P1"]


def test_mxl_and_plain_file_give_the_same_copy():
    plain = score(head="<work><work-title>Étude</work-title></work>")
    admitted = admit(mxl(plain), "étude.mxl")
    assert admitted.canonical == admit(plain, "a.xml").canonical
    assert admitted.title == "Étude"


def test_title_falls_back_on_the_name_of_the_file():
    assert admit(score(), "../My\u202e piece.musicxml").title == "My piece"
    head = (
        "<work><work-title>Symphony</work-title></work><movement-number>2</movement-number>"
        "<movement-title>Andante</movement-title>"
    )
    assert admit(score(head=head), "a.xml").title == "Symphony: 2. Andante"


# -- any score: what comes out goes in unchanged -----------------------------------------

texts = st.text(
    st.characters(codec="utf-8", categories=("L", "N", "P", "Z", "S", "Cf")), max_size=9
)


@st.composite
def elements(draw, depth: int = 2):
    """Any well-formed sign: known and unknown names, odd attributes, comments, instructions."""
    tag = draw(st.sampled_from(["words", "notations", "image", "link", "x", "lyric", "text", "Sv"]))
    element = etree.Element(tag)
    for name in draw(st.lists(st.sampled_from(["color", "href", "id", "default-y", "type"]))):
        value = "i1" if name == "id" else draw(texts | st.just("#abcdef"))
        element.set(name, value)
    element.text = draw(texts)
    element.tail = draw(texts)
    if depth:
        for child in draw(st.lists(elements(depth - 1), max_size=2)):
            element.append(child)
        if draw(st.booleans()):
            element.append(etree.Comment("c"))
        if draw(st.booleans()):
            element.append(etree.ProcessingInstruction("p", "q"))
    return element


@st.composite
def notes(draw):
    step, octave = draw(st.sampled_from("ABCDEFG")), draw(st.integers(0, 9))
    alter = draw(st.sampled_from(["", "<alter>1.0</alter>", "<alter> -0.5</alter>"]))
    kind = draw(st.sampled_from(["", "<grace/>", "<cue/>"]))
    duration = "" if "grace" in kind else f"<duration> {draw(st.integers(0, 64))} </duration>"
    odd = "".join(
        etree.tostring(e, encoding="unicode") for e in draw(st.lists(elements(), max_size=2))
    )
    return (
        f"<note>{kind}<pitch><step>{step}</step>{alter}<octave>{octave}</octave></pitch>"
        f"{duration}{odd}</note>"
    )  # fmt: skip


@st.composite
def any_score(draw):
    parts = []
    for _ in range(draw(st.integers(1, 3))):
        bars = draw(st.lists(st.lists(notes(), max_size=3), min_size=1, max_size=3))
        parts.append("".join(bar("".join(b), i) for i, b in enumerate(bars, 1)))
    names = tuple(draw(texts).replace("&", "").replace("<", "") for _ in parts)
    return score(*parts, names=names)


@pytest.mark.slow
@given(any_score())
@settings(max_examples=150, deadline=None)
def test_a_copy_of_the_copy_is_the_copy(data: bytes):
    once = admit(data, "a.xml")
    twice = admit(once.canonical, "b.xml")
    assert twice.canonical == once.canonical
    assert (twice.parts, twice.bars, twice.notes) == (once.parts, once.bars, once.notes)


@pytest.mark.slow
@given(any_score())
@settings(max_examples=100, deadline=None)
def test_pitches_and_durations_are_those_of_the_file(data: bytes):
    def music(root: etree._Element) -> list[tuple[object, ...]]:
        return [
            (
                note.findtext("pitch/step"),
                float(note.findtext("pitch/alter") or 0),
                int(note.findtext("pitch/octave")),
                int(note.findtext("duration") or -1),
                note.find("grace") is not None,
                note.find("cue") is not None,
            )
            for note in root.iter("note")
        ]

    assert music(tree(data)) == music(etree.fromstring(data))


@given(st.binary(max_size=300), st.sampled_from(["a.xml", "a.mxl", "a.musicxml"]))
@settings(max_examples=200, deadline=None)
def test_any_bytes_are_refused_with_a_sentence(data: bytes, name: str):
    with pytest.raises(Refused):
        admit(data, name)


@given(st.integers(0, 10_000), st.integers(0, 255), st.booleans())
@settings(max_examples=300, deadline=None)
def test_a_changed_byte_never_breaks_the_gate(at: int, value: int, packed: bool):
    data = bytearray(mxl(score(bar(), bar())) if packed else score(bar(), bar()))
    data[at % len(data)] = value
    with contextlib.suppress(Refused):
        admit(bytes(data), "a.mxl")
