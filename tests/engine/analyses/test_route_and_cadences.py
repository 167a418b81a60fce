"""Route of the keys, tonicisation, cadences: planted in a small piece in four parts.

Source of what counts: trade facts 8 (a key is confirmed by a cadence and a stay; one or two bars
are a tonicisation; a settled phrase in the parallel minor is a key), otherwise common practice.
"""

import pytest

from analysis.engine.analyses import cadences, key_route, tonicisation
from analysis.engine.claims.schema import read_claim
from analysis.engine.pitch import parse_pitch, steps_of, transpose
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table

S = Settings()
VOICES = ("Vl I", "Vl II", "Vla", "Vc")

#: bars of four chords, soprano alto tenor bass, and phrases of four bars that close
HOME = ["C5 G4 E4 C3", "C5 A4 F4 F3", "B4 G4 D4 G3", "C5 G4 E4 C3"]
CLOSE = ["C5 E4 G3 C3", "D5 F4 A3 F3", "B4 F4 G3 G2", "C5 E4 G3 C3"]
FIFTH = ["B4 G4 D4 G3", "C5 E4 A3 A2", "A4 F#4 D4 D3", "G4 G4 B3 G2"]
#: A7 to D minor twice, inside C major
TOUCH = ["E5 C#5 G4 A3", "F5 D5 A4 D3", "E5 C#5 G4 A3", "F5 D5 A4 D3"]
MINOR = ["C5 G4 Eb4 C3", "C5 Ab4 F4 F3", "B4 G4 D4 G3", "C5 G4 Eb4 C3"]


def piece(*phrases, closing=True):
    """One bar a chord; the last bar of each phrase is a half note and a rest."""
    bars = {v: [] for v in VOICES}
    for phrase in phrases:
        for k, chord in enumerate(phrase):
            last = closing and k == len(phrase) - 1
            for voice, pitch in zip(VOICES, chord.split(), strict=True):
                bars[voice].append(f"{pitch} h r h" if last else f"{pitch} h {pitch} h")
    return {v: " | ".join(b) for v, b in bars.items()}


def moved(lines, semitones):
    def word(w):
        pitch = w[0] in "ABCDEFG" and w[-1].isdigit()
        return transpose(parse_pitch(w), semitones, steps_of(semitones)).name if pitch else w

    return {k: " ".join(word(w) for w in v.split()) for k, v in lines.items()}


THERE_AND_BACK = piece(HOME, CLOSE, FIFTH, FIFTH, FIFTH, HOME, CLOSE)
STAYS = piece(HOME, CLOSE, TOUCH, HOME, CLOSE)


def keys_of(lines):
    (found,) = key_route.find_key_routes(table(lines), S)
    read_claim({**found.value, "bars": ["1"]})
    return found.value["keys"], render(found.sentence)


def test_there_and_back():
    keys, words = keys_of(THERE_AND_BACK)
    assert keys == ["c major", "g major", "c major"]
    assert words.startswith("b. 1–28: the keys in order are C major (b. 1–")


def test_a_touched_key_is_none_of_the_route():
    keys, words = keys_of(STAYS)
    assert keys == ["c major"]
    assert "settles in one key only, C major" in words


def test_a_phrase_in_the_parallel_minor_is_a_key_of_the_route():
    assert keys_of(piece(HOME, CLOSE, MINOR, MINOR, MINOR, HOME, CLOSE))[0] == [
        "c major", "c minor", "c major",
    ]  # fmt: skip


@pytest.mark.parametrize("semitones", [2, 5, -3])
def test_the_route_moves_with_the_music(semitones):
    keys = keys_of(moved(THERE_AND_BACK, semitones))[0]
    home = transpose(parse_pitch("C4"), semitones, steps_of(semitones))
    fifth = transpose(parse_pitch("G4"), semitones, steps_of(semitones))
    assert keys == [f"{p.name[:-1].lower()} major" for p in (home, fifth, home)]


def touched(lines):
    found = tonicisation.find_tonicisations(table(lines), S)
    for f in found:
        read_claim({**f.value, "bars": ["1"]})
    return [(f.value["keys"], f.first, f.last) for f in found]


def test_a_key_touched_by_its_own_dominant():
    # what touches may last to the end of the chord it resolves to
    assert touched(STAYS) == [(["d minor"], 8, 11)]
    (f,) = tonicisation.find_tonicisations(table(STAYS), S)
    assert render(f.sentence) == (
        "b. 9 – b. 12, beat 2: D minor is touched within C major: a dominant seventh on A "
        "resolves to it twice."
    )


def test_near_misses_of_a_touched_key():
    home_dominant = piece(HOME, CLOSE, ["D5 B4 F4 G3", "E5 C5 G4 C3"] * 2, HOME)
    assert touched(home_dominant) == []  # the dominant of the key itself
    minor_fifth = piece(MINOR, MINOR, ["B4 G4 D4 G3", "C5 G4 Eb4 C3"] * 2, MINOR)
    assert touched(minor_fifth) == []  # the raised seventh of minor belongs to it
    nowhere = piece(HOME, CLOSE, ["E5 C#5 G4 A3", "C5 A4 F4 F3"] * 2, HOME, CLOSE)
    assert touched(nowhere) == []  # it does not resolve


def closes(lines):
    return [(c.sort, c.bar, c.home.key.name) for c in cadences.cadences(table(lines), S)]


def test_perfect_cadences_where_phrases_close():
    found = closes(piece(HOME, CLOSE, HOME, CLOSE))
    assert ("perfect", 7, "c major") in found
    assert ("perfect", 15, "c major") in found
    told = cadences.find_cadences(table(piece(TOUCH, HOME[:2], CLOSE)), S)
    assert render(told[-1].sentence) == (
        "b. 9 – b. 10, beat 1: perfect cadence in C major: a dominant seventh on G to C major, "
        "the top note on the tonic."
    )


def test_progression_without_close_is_no_cadence():
    lines = piece(HOME, CLOSE, HOME, CLOSE, HOME[:2], closing=False)
    flowing = {
        k: " | ".join(
            f"{bar.split()[0]} q {' '.join([bar.split()[0]] * 3)}" for bar in v.split("|")
        )
        for k, v in lines.items()
    }
    assert closes(flowing) == []


def test_imperfect_half_and_deceptive():
    high = ["C5 E4 G3 C3", "D5 F4 A3 F3", "D5 F4 B3 G2", "E5 G4 C4 C3"]
    assert ("imperfect", 7, "c major") in closes(piece(HOME, high))
    stops = ["C5 E4 G3 C3", "C5 G4 E4 C3", "A4 F4 C4 F3", "B4 G4 D4 G2"]
    assert ("half", 7, "c major") in closes(piece(HOME, stops, HOME, CLOSE))
    away = ["C5 E4 G3 C3", "D5 F4 A3 F3", "B4 F4 D4 G2", "C5 E4 C4 A2"]
    assert ("deceptive", 7, "c major") in closes(piece(HOME, away, HOME, CLOSE))


def test_values_are_chords_and_prove_themselves():
    t = table(piece(HOME, CLOSE, HOME, CLOSE))
    for f in cadences.find_cadences(t, S):
        claim = read_claim({**f.value, "bars": ["1"]})
        assert claim.kind == "chord"
        assert f.evidence[0].ids


@pytest.mark.parametrize("semitones", [1, -4, 7])
def test_cadences_move_with_the_music(semitones):
    lines = piece(HOME, CLOSE, TOUCH, HOME, CLOSE)
    plain = [(s, bar) for s, bar, _ in closes(lines)]
    assert plain
    assert [(s, bar) for s, bar, _ in closes(moved(lines, semitones))] == plain


def test_order_of_parts_and_silent_parts_change_nothing():
    lines = piece(HOME, CLOSE, FIFTH, FIFTH, HOME, CLOSE)
    silent = {**lines, "Fl": " | ".join(["r"] * 24)}
    assert closes(dict(reversed(lines.items()))) == closes(lines) == closes(silent)
    assert touched(silent) == touched(lines)


@pytest.mark.parametrize("lines", [{"Timp": "x w"}, {"Fl": "r"}, {"Fl": "C5 w"}])
def test_hardly_anything(lines):
    t = table(lines)
    assert cadences.find_cadences(t, S) == []
    assert tonicisation.find_tonicisations(t, S) == []
    assert len(key_route.find_key_routes(t, S)) <= 1
