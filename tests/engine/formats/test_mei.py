"""MEI construct by construct; what it says is the MEI guidelines', version 5."""

from __future__ import annotations

from fractions import Fraction

import pytest

from analysis.engine.errors import Refused
from tests.engine.formats import reading
from tests.engine.formats.small import NOTE, bar, mei
from tests.engine.gate.test_refusals import lint

Q = Fraction(1)


def notes(data: bytes) -> list[reading.Sound]:
    return sorted(reading.sounds(reading.table_of(reading.let_in(data, "a.mei"))).elements())


def codes(data: bytes) -> list[str]:
    return [n.code for n in reading.let_in(data, "a.mei").notices]


def copy(data: bytes) -> str:
    return reading.let_in(data, "a.mei").canonical.decode()


def note(name: str = "c", octave: int = 4, duration: int = 4, **more: str) -> str:
    extra = "".join(f' {k.replace("_", ".")}="{v}"' for k, v in more.items())
    return f'<note pname="{name}" oct="{octave}" dur="{duration}"{extra}/>'


def rest(duration: int) -> str:
    return f'<rest dur="{duration}"/>'


# -- notes ---------------------------------------------------------------------------


def test_pitches_and_lengths():
    layer = note("c", 3, 2, dots="1") + note("d", accid_ges="s") * 2
    assert [n[1:] for n in notes(mei(layer))] == [
        (0 * Q, 3 * Q, 48), (3 * Q, Q, 63), (4 * Q, Q, 63)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("key", "layer", "keys"),
    [
        ("2s", note("f") + note("c") + note("g") + note("f"), [66, 61, 67, 66]),
        ("2s", note("f", accid="n") + note("f") + note("f", 5) + note("g"), [65, 65, 78, 67]),
        ("3f", note("e", accid="s") + note("b") + note("a") + note("e"), [65, 70, 68, 65]),
    ],
)
def test_without_sounding_accidentals_the_page_is_read(key: str, layer: str, keys: list[int]):
    data = mei(layer, key=key)
    assert [n[3] for n in notes(data)] == keys
    assert codes(data) == ["accidentals"]


def test_sounding_accidentals_are_believed():
    layer = note("f", accid_ges="s") + note("c") * 3
    assert [n[3] for n in notes(mei(layer, key="2s"))] == [66, 60, 60, 60]
    inner = '<note pname="f" oct="4" dur="1"><accid accid="s"/></note>'
    assert [n[3] for n in notes(mei(inner))] == [66]


def test_chords_ties_and_graces():
    layer = (
        '<chord dur="2"><note pname="c" oct="4" tie="i"/><note pname="e" oct="4"/></chord>'
        + note("c", tie="t") + note("d", 5, 8, grace="unacc") + note("g")
    )  # fmt: skip
    assert [n[1:] for n in notes(mei(layer))] == [
        (0 * Q, 2 * Q, 64), (0 * Q, 3 * Q, 60), (3 * Q, 0 * Q, 74), (3 * Q, Q, 67)
    ]  # fmt: skip


def test_ties_as_elements_across_the_bar():
    measures = bar(note("c", 4, 1, xml_id="a").replace("xml.id", "xml:id"),
                   after='<tie startid="#a" endid="#b"/>') + bar(
        note("c", 4, 1, xml_id="b").replace("xml.id", "xml:id"), n=2)  # fmt: skip
    assert [n[1:] for n in notes(mei(measures=measures))] == [(0 * Q, 8 * Q, 60)]


def test_tuplets_nested_and_as_spans():
    triplet = f'<tuplet num="3" numbase="2">{note(duration=8) * 3}</tuplet>'
    assert [n[2] for n in notes(mei(triplet + note() * 3))] == [Q / 3] * 3 + [Q] * 3
    inner = f'<tuplet num="5" numbase="4">{note(duration=16) * 5}</tuplet>'
    nested = f'<tuplet num="3" numbase="2">{note()}{note()}{inner}</tuplet>{note(duration=2)}'
    assert [n[2] for n in notes(mei(nested))] == [Q * 2 / 3] * 2 + [Q * 2 / 15] * 5 + [2 * Q]
    span = (
        note(duration=8).replace("<note", '<note xml:id="a"') + note(duration=8)
        + note(duration=8).replace("<note", '<note xml:id="b"') + note() * 3
    )  # fmt: skip
    after = '<tupletSpan startid="#a" endid="#b" num="3" numbase="2"/>'
    assert [n[1] for n in notes(mei(span, after=after))] == [0, Q / 3, Q * 2 / 3, 1, 2, 3]


def test_two_note_tremolos_share_their_time():
    layer = f'<fTrem beams="3">{note("c", duration=2)}{note("e", duration=2)}</fTrem>' + note() * 2
    assert [n[1:] for n in notes(mei(layer))][:2] == [(0 * Q, Q, 60), (Q, Q, 64)]
    text = copy(mei(layer))
    assert '<tremolo type="start">3</tremolo>' in text
    assert '<tremolo type="stop">3</tremolo>' in text
    one = f'<bTrem unitdur="16">{note(duration=1)}</bTrem>'
    assert '<tremolo type="single">2</tremolo>' in copy(mei(one))


def test_spaces_and_hidden_rests_take_time():
    layer = f'<space dur="2"/>{note()}<rest dur="4" visible="false"/>'
    assert [n[1] for n in notes(mei(layer))] == [2]
    assert 'print-object="no"' in copy(mei(layer))


# -- bars -------------------------------------------------------------------------------


def test_rests_of_a_bar_and_of_several():
    measures = bar("<mRest/>") + bar('<multiRest num="3"/>', n=2) + bar(NOTE * 4, n=5)
    table = reading.table_of(reading.let_in(mei(measures=measures), "a.mei"))
    assert [b.label for b in table.bars] == ["1", "2", "3", "4", "5"]
    assert [n[1] for n in notes(mei(measures=measures))] == [16, 17, 18, 19]


def test_bar_repeats_are_written_out():
    measures = bar(note("g") * 4) + bar("<mRpt/>", n=2) + bar(note() * 2 + "<halfmRpt/>", n=3)
    assert [n[3] for n in notes(mei(measures=measures))] == [67] * 8 + [60] * 4
    assert codes(mei(measures=measures)) == ["written-out"]


def test_upbeat_repeats_and_endings():
    ends = ('right="rptend"', 'right="end"')
    measures = (
        bar(note(), n=0, attributes='metcon="false"')
        + bar(NOTE * 4, n=1, attributes='left="rptstart"')
        + f'<ending n="1">{bar(NOTE * 4, n=2, attributes=ends[0])}</ending>'
        + f'<ending n="2">{bar(NOTE * 4, n=3, attributes=ends[1])}</ending>'
    )
    table = reading.table_of(reading.let_in(mei(measures=measures), "a.mei"))
    assert [b.label for b in table.bars] == ["0", "1", "2", "3"]
    assert [b.passes for b in table.bars][1:] == [(1, 2), (1,), (2,)]
    assert table.bars[1].start - table.bars[0].start == table.bars[0].length


def test_a_second_movement_goes_on_in_the_same_parts():
    once = mei().decode()
    first = once[once.index("<mdiv>") : once.index("</body>")]
    two = once.replace("</body>", first.replace("<mdiv>", '<mdiv label="Andante">') + "</body>")
    table = reading.table_of(reading.let_in(two, "a.mei"))
    assert len(table.parts) == 1
    assert [m.title for m in table.movements] == ["Movement 1", "Andante"]


def test_metre_and_key_change_between_bars():
    change = '<scoreDef keysig="1f" meter.count="3" meter.unit="8"/>'
    measures = bar(NOTE * 4) + change + bar(note("b", duration=8) * 3, n=2)
    assert [n[3] for n in notes(mei(measures=measures))][4:] == [70] * 3
    table = reading.table_of(reading.let_in(mei(measures=measures), "a.mei"))
    assert table.bars[1].length == table.bars[0].length * 3 / 8


# -- parts --------------------------------------------------------------------------------


def staff(n: int, name: str = "", more: str = "") -> str:
    label = f"<label>{name}</label>" if name else ""
    return f'<staffDef n="{n}" lines="5" clef.shape="G" clef.line="2" {more}>{label}</staffDef>'


def test_a_brace_named_as_one_is_one_part_and_named_singly_two():
    piano = f'<staffGrp symbol="brace"><label>Piano</label>{staff(1)}{staff(2)}</staffGrp>'
    violins = f'<staffGrp symbol="brace">{staff(1, "Violin I")}{staff(2, "Violin II")}</staffGrp>'
    measures = bar(NOTE * 4, note("g") * 4)
    for inner, names in ((piano, ["Piano"]), (violins, ["Violin I", "Violin II"])):
        data = mei(measures=measures, groups=f"<staffGrp>{inner}</staffGrp>")
        table = reading.table_of(reading.let_in(data, "a.mei"))
        assert [p.label for p in table.parts] == names
        assert len(table.notes) == 8


def test_transposing_instruments_sound_where_they_should():
    data = mei(note("c", 5, 1), staff='trans.diat="-1" trans.semi="-2"')
    assert [n[3] for n in notes(data)] == [70]


def test_octave_lines_move_what_gives_no_sounding_octave():
    layer = "".join(note("c").replace("<note", f'<note xml:id="n{i}"') for i in range(4))
    after = '<octave dis="8" dis.place="above" startid="#n1" endid="#n2" staff="1"/>'
    assert [n[3] for n in notes(mei(layer, after=after))] == [60, 72, 72, 60]
    given = layer.replace('xml:id="n1" pname="c"', 'xml:id="n1" oct.ges="5" pname="c"')
    assert [n[3] for n in notes(mei(given, after=after))] == [60, 72, 60, 60]


def test_percussion_has_no_pitch():
    group = '<staffGrp><staffDef n="1" lines="1" clef.shape="perc" label="Drum"/></staffGrp>'
    assert [n[3] for n in notes(mei('<note loc="0" dur="1"/>', groups=group))] == [-1]


# -- signs ---------------------------------------------------------------------------------------


def test_signs_beside_the_notes_arrive():
    layer = (
        '<note xml:id="a" pname="c" oct="4" dur="4" artic="stacc acc"/>' + note()
        + '<beam><note pname="c" oct="4" dur="8"/><note pname="d" oct="4" dur="8"/></beam>'
        + '<note xml:id="z" pname="c" oct="4" dur="4"><verse n="1"><syl>la</syl></verse></note>'
    )  # fmt: skip
    after = (
        '<slur startid="#a" endid="#z"/><dynam tstamp="1" staff="1">pp dolce</dynam>'
        '<hairpin form="cres" tstamp="2" tstamp2="0m+4" staff="1"/>'
        '<dir tstamp="3" staff="1" place="above">Solo</dir><fermata startid="#z"/>'
        '<tempo tstamp="1" mm="90" mm.unit="4" midi.bpm="90">Allegro</tempo>'
        '<trill startid="#a"/><reh tstamp="1">A</reh>'
    )
    text = copy(mei(layer, after=after))
    for sign in (
        "<staccato/>", "<accent/>", 'slur number="1" type="start"', 'slur number="1" type="stop"',
        "<pp/>", "<words>dolce</words>", 'type="crescendo"', '<words>Solo</words>', "<fermata/>",
        "<per-minute>90</per-minute>", 'tempo="90"', "<trill-mark/>", "<rehearsal>A</rehearsal>",
        "<text>la</text>", ">begin</beam>", ">end</beam>",
    ):  # fmt: skip
        assert sign in text, sign
    assert codes(mei(layer, after=after)) == []


def test_one_of_several_readings_is_read_and_told():
    layer = f"<app><lem>{note('g', duration=2)}</lem><rdg>{note('a', duration=2)}</rdg></app>"
    layer += (
        f"<choice><sic>{note('d', duration=2)}</sic><corr>{note('e', duration=2)}</corr></choice>"
    )
    assert [n[3] for n in notes(mei(layer))] == [67, 64]
    assert codes(mei(layer)) == ["variants"]


# -- faults ---


@pytest.mark.parametrize(
    ("layer", "code"),
    [
        (note("h"), "range"), (note(octave=11), "range"), (note(duration=3), "duration"),
        (note(dots="5"), "range"), ('<note pname="c" oct="4"/>', "duration"),
        ('<tuplet num="0" numbase="2"/>', "range"), (note(accid="q"), "range"),
        (note().replace('dur="4"', 'dur="brevis"'), "not-common"),
        ('<multiRest num="6000"/>', "range"), ('<clef shape="G" line="99"/>', "range"),
    ],
)  # fmt: skip
def test_a_fault_in_a_bar_is_named_with_bar_and_part(layer: str, code: str):
    with pytest.raises(Refused) as caught:
        reading.let_in(mei(measures=bar(NOTE * 4) + bar(layer, n="12a")), "a.mei")
    lint(caught.value)
    assert caught.value.code == code
    assert caught.value.where == "bar 12a, Flute"


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"/>'
NS = 'xmlns="http://www.music-encoding.org/ns/mei"'


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (mei()[:-40], "xml"),
        (
            mei().replace(b"<measure", SVG + b"<measure"),
            "foreign",
        ),
        (mei().replace(b'staff n="1"', b'staff n="7"'), "staff-unlisted"),
        (mei(groups="<staffGrp/>"), "no-staff"),
        (mei(measures=" "), "no-music"),
        (mei("<neume/>"), "not-common"),
        (mei(measures="<staff n='1'/>"), "layout"),
        (mei("<a>" * 70 + "</a>" * 70), "depth"),
        (
            f"<mei {NS}><music><body><mdiv><parts/></mdiv></body></music></mei>".encode(),
            "parts-only",
        ),
        (f"<mei {NS}/>".encode(), "no-music"),
        (f"<mei {NS}><music/></mei>".encode(), "no-music"),
    ],
)
def test_a_fault_of_the_file(data: bytes, code: str):
    with pytest.raises(Refused) as caught:
        reading.let_in(data, "a.mei")
    lint(caught.value)
    assert caught.value.code == code


def test_old_versions_are_read_with_a_warning():
    assert codes(mei(version="2013")) == ["version"]
    assert codes(mei(version="4.0.1")) == codes(mei(version="6.0-dev")) == []
