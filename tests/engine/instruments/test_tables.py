"""Crooks, transpositions, ranges, open tones and drums against published tables."""

from __future__ import annotations

import pytest

from analysis.engine.errors import EngineError
from analysis.engine.instruments import brass, check_range, crooks, parse_label, propose, timpani
from analysis.engine.instruments.crooks import Crook
from analysis.engine.instruments.table import INSTRUMENTS, OPEN_STRINGS, instrument
from analysis.engine.pitch import midi, parse_pitch, pitch_class, steps_of, transpose
from tests.published import table


def crook_of(kind: str, name: str) -> Crook:
    return next(c for c in crooks.table(kind) if c.name == name)


@pytest.mark.parametrize(
    "row", table("published/transpositions.csv"), ids=lambda r: r["instrument"]
)
def test_usual_transpositions(row: dict[str, str]) -> None:
    semitones = int(row["semitones"])
    octaves = int(row["octave_change"])
    steps = int(row["diatonic"]) + 7 * octaves
    # "clef" rows: bass-clef notation of the bass clarinet is another transposition.
    name, clef = [*row["instrument"].split(", "), "treble clef"][:2]
    clefs = ("F4",) if clef == "bass clef" else ("G2",)
    found = propose(name, transpose=(semitones, steps) if semitones else None, clefs=clefs)
    assert found.doubt is None
    assert (found.transposition, found.diatonic) == (semitones, steps)
    assert int(row["chromatic"]) + 12 * octaves == semitones  # the source's own sum
    record = instrument(found.instrument)
    if record.transposition is not None:
        assert (record.transposition, record.diatonic) == (semitones, steps)


@pytest.mark.parametrize("row", table("published/horn_crooks.csv"), ids=lambda r: r["crook"])
def test_horn_crooks(row: dict[str, str]) -> None:
    crook = crook_of("horn", row["crook"])
    assert (crook.semitones, crook.steps) == (int(row["semitones"]), int(row["steps"]))
    found = propose(f"Horn in {row['crook']}", transpose=(crook.semitones, crook.steps))
    assert (found.crook, found.transposition, found.doubt) == (crook.name, crook.semitones, None)


@pytest.mark.parametrize("row", table("published/trumpet_crooks.csv"), ids=lambda r: r["crook"])
def test_trumpet_crooks(row: dict[str, str]) -> None:
    assert crook_of(row["instrument"], row["crook"]).semitones == int(row["semitones"])


@pytest.mark.parametrize("row", table("published/horn_bass_clef.csv"), ids=lambda r: r["crook"])
def test_old_bass_clef_is_an_octave_above_the_treble_reckoning(row: dict[str, str]) -> None:
    treble, new, old = (int(row[k]) for k in ("treble", "new_bass", "old_bass"))
    found = propose(
        f"Horn in {row['crook']}",
        transpose=(treble, steps_of(treble)),
        clefs=("G2", "F4"),
        low=midi("C2"),
        high=midi("G5"),
        clef_ranges={"G2": (60, 79), "F4": (midi("C2"), midi("G2"))},
    )
    assert found.old_bass_clef
    assert found.doubt is not None
    assert found.doubt.about == "pitch"
    assert found.transposition + 12 == old
    modern = propose(
        f"Horn in {row['crook']}",
        transpose=(treble, steps_of(treble)),
        clefs=("G2", "F4"),
        low=midi("C3"),
        high=midi("G5"),
        clef_ranges={"G2": (60, 79), "F4": (midi("C3"), midi("G3"))},
    )
    assert (modern.old_bass_clef, modern.doubt, modern.transposition) == (False, None, new)


@pytest.mark.parametrize("row", table("published/harmonic_series.csv"), ids=lambda r: r["partial"])
def test_harmonic_series(row: dict[str, str]) -> None:
    partial = int(row["partial"])
    in_c = crook_of("horn", "C alto")  # written = sounding
    assert brass.cents_of(partial) == pytest.approx(float(row["cents"]), abs=0.05)
    assert brass.printed(partial, in_c) == int(row["midi"]) == midi(row["written"])
    tone = brass.tone(int(row["midi"]), in_c)
    if row["verdict"] != "outside":
        assert (tone.openness, tone.partial) == (row["verdict"], partial)


@pytest.mark.parametrize(
    "row",
    table("published/open_tones.csv"),
    ids=lambda r: f"{r['instrument']}-{r['crook']}-{r['partial']}",
)
def test_open_tones_of_every_crook(row: dict[str, str]) -> None:
    crook = crook_of(row["instrument"], row["crook"])
    partial, sounding = int(row["partial"]), midi(row["sounding"])
    assert crook.semitones == int(row["semitones"])
    assert brass.printed(partial, crook) == sounding
    tone = brass.tone(sounding, crook)
    assert tone.partial == partial
    assert tone.openness == ("doubtful" if partial in (7, 11, 13, 14) else "open")
    assert sounding in brass.open_tones(row["instrument"], crook, doubtful=True)


@pytest.mark.parametrize("row", table("published/open_pitch_classes.csv"), ids=lambda r: r["crook"])
def test_pitch_classes_a_crook_gives(row: dict[str, str]) -> None:
    tones = brass.open_tones("horn", crook_of("horn", row["crook"]))
    assert tones == {int(n) for n in row["midi"].split()}
    assert {t % 12 for t in tones} == {pitch_class(c) for c in row["classes"].split()}


def test_horns_in_e_flat_and_c_give_all_of_c_minor_but_a_flat() -> None:
    pair = [("horn", crook_of("horn", "Eb")), ("horn", crook_of("horn", "C basso"))]
    scale = [pitch_class(n) for n in ["C", "D", "Eb", "F", "G", "Ab", "Bb"]]
    lacking = [pc for pc, given in brass.supply(scale, pair).items() if not _true(given)]
    assert lacking == [pitch_class("Ab")]


def _true(given: list[tuple[int, brass.Openness]]) -> bool:
    return any(openness == "open" for _, openness in given)


@pytest.mark.parametrize(
    "row", table("published/timpani_tunings.csv"), ids=lambda r: f"{r['tonic']}-{r['large']}"
)
def test_timpani_tunings(row: dict[str, str]) -> None:
    pairs = [(t.large, t.small) for t in timpani.tunings(pitch_class(row["tonic"]))]
    assert (midi(row["large"]), midi(row["small"])) in pairs


def test_no_tuning_beyond_the_published_ones() -> None:
    rows = table("published/timpani_tunings.csv")
    published = {(pitch_class(r["tonic"]), midi(r["large"]), midi(r["small"])) for r in rows}
    ours = {(pc, t.large, t.small) for pc in range(12) for t in timpani.tunings(pc)}
    assert ours == published


@pytest.mark.parametrize("row", table("published/ranges.csv"), ids=lambda r: r["instrument"])
def test_ranges(row: dict[str, str]) -> None:
    key = parse_label(row["instrument"].split("(")[0]).instrument
    record = instrument(key)
    semitones = int(row["semitones"])
    assert record.professional is not None
    assert record.comfortable is not None
    shift = -12 if "bass-clef notation" in row["instrument"] else 0  # written an octave lower
    if key == "clarinet" and ("in D" in row["instrument"] or "in Eb" in row["instrument"]):
        assert record.professional.low + semitones == int(row["prof_low"])
        return  # the small clarinets stop at written A6; one record serves all sizes
    for ours, low, high in (
        (record.professional, row["prof_low"], row["prof_high"]),
        (record.comfortable, row["comf_low"], row["comf_high"]),
    ):
        if key == "trumpet" and ours is record.comfortable:
            assert ours.low + semitones == int(low)  # the C trumpet is given a tone less on top
            continue
        sounding = ours.sounding(semitones + shift)
        assert (sounding.low, sounding.high) == (int(low), int(high))


def test_open_strings_agree_with_music21() -> None:
    from music21 import instrument as m21

    for key, cls in (("violin", m21.Violin), ("viola", m21.Viola), ("cello", m21.Violoncello)):
        theirs = [int(p.ps) for p in cls().stringPitches]
        assert sorted(theirs) == list(OPEN_STRINGS[key])
    assert OPEN_STRINGS["double-bass"] == tuple(midi(n) for n in ("E1", "A1", "D2", "G2"))


# --- ready-made assertions: crook, written, sounding (common practice; Grove 1879 p. 750 for 2) ---
SOUNDING = [
    ("horn", "Eb", "C5", "Eb4"),
    ("horn", "D", "E5", "F#4"),
    ("horn", "F", "C3", "F2"),
    ("trumpet", "F", "C5", "F5"),
    ("trumpet", "D", "G4", "A4"),
    ("clarinet", "A", "C5", "A4"),
    ("horn", "C basso", "C5", "C4"),
    ("clarinet", "Bb", "D5", "C5"),
]


@pytest.mark.parametrize(("kind", "crook", "written", "sounding"), SOUNDING)
def test_what_a_written_note_sounds(kind: str, crook: str, written: str, sounding: str) -> None:
    found = crook_of(kind, crook)
    assert transpose(parse_pitch(written), found.semitones, found.steps).name == sounding


FIXED = [
    ("basset-horn", "C3", "F2"),
    ("double-bass", "E2", "E1"),
    ("piccolo", "D4", "D5"),
    ("contrabassoon", "Bb1", "Bb0"),
    ("glockenspiel", "C4", "C6"),
    ("cor-anglais", "B3", "E3"),
]


@pytest.mark.parametrize(("key", "written", "sounding"), FIXED)
def test_instruments_of_one_size(key: str, written: str, sounding: str) -> None:
    record = instrument(key)
    assert record.transposition is not None
    assert transpose(parse_pitch(written), record.transposition, record.diatonic).name == sounding


def test_open_or_not() -> None:
    # Computed from the harmonic series; horn in E flat, D, F; trumpet in D.
    assert brass.tone(midi("Ab3"), crook_of("horn", "Eb")).openness == "not open"
    assert brass.tone(midi("Bb3"), crook_of("horn", "Eb")).partial == 6
    assert brass.tone(midi("C4"), crook_of("horn", "D")).partial == 7
    assert brass.tone(midi("C4"), crook_of("horn", "D")).openness == "doubtful"
    for name in ("B4", "Bb4"):
        tone = brass.tone(midi(name), crook_of("horn", "F"))
        assert (tone.partial, tone.openness) == (11, "doubtful")
    trumpet = brass.open_tones("trumpet", crook_of("trumpet", "D"))
    assert {midi(n) for n in ["D4", "F#4", "A4", "D5", "E5", "F#5", "A5"]} <= trumpet
    assert midi("G4") not in trumpet


def test_drums_of_a_classical_pair() -> None:
    # Grove 1879, "Drum"; Johnstone 1917 p. 50.
    assert not timpani.on_a_pair(midi("C2"))
    assert timpani.on_a_pair(midi("F2"))
    assert timpani.on_a_pair(midi("F3"))
    assert not timpani.on_a_pair(midi("F#3"))


SEVERITY = [
    ("viola", "B2", "impossible"),
    ("oboe", "A3", "impossible"),
    ("flute", "B3", "remarkable"),
    ("bassoon", "A1", "remarkable"),
    ("violin", "F3", "impossible"),
    ("cello", "B1", "impossible"),
    ("viola", "C3", None),
    ("oboe", "Bb3", None),
]


@pytest.mark.parametrize(("key", "low", "severity"), SEVERITY)
def test_lowest_notes(key: str, low: str, severity: str | None) -> None:
    found = check_range(key, 0, midi(low), None)
    assert [n.severity for n in found] == ([severity] if severity else [])


def test_unknown_names_are_named_in_the_error() -> None:
    with pytest.raises(EngineError, match="kazoo"):
        instrument("kazoo")
    with pytest.raises(EngineError, match="alto or Bb basso"):
        crooks.find("horn", "Bb")
    with pytest.raises(EngineError, match="no horn in G#"):
        crooks.find("horn", "G#")


def test_every_record_is_whole() -> None:
    for record in INSTRUMENTS.values():
        assert 0 <= record.program <= 127
        if record.crooks:
            assert crooks.by_transposition(record.crooks, record.usual or 0) is not None
