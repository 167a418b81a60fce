"""What each instrument is: family, transposition, ranges, clefs, sound.

Ranges are written pitches ("written E3"); the sounding ones follow from the
transposition. Professional = what a good modern player can be asked;
comfortable = what a student orchestra plays well. Values: Adler, The Study of
Orchestration; Piston, Orchestration (1955); Kennan & Grantham; Forsyth (1914),
all from memory. `floor` is the lowest sounding note without extension, a hard
limit (common practice); `extended` the lowest with the usual extension.
"""

from __future__ import annotations

from dataclasses import dataclass

from analysis.engine.errors import EngineError
from analysis.engine.model import Family
from analysis.engine.pitch import midi, steps_of


@dataclass(frozen=True, slots=True)
class Range:
    """Lowest and highest written MIDI number."""

    low: int
    high: int

    def sounding(self, semitones: int) -> Range:
        return Range(self.low + semitones, self.high + semitones)

    def __contains__(self, number: int) -> bool:
        return self.low <= number <= self.high


@dataclass(frozen=True, slots=True)
class Instrument:
    """One instrument. `transposition` None: the crook or the size must tell."""

    key: str
    name: str
    plural: str
    family: Family
    transposition: int | None
    professional: Range | None
    comfortable: Range | None
    floor: int | None  # sounding
    extended: int | None  # sounding
    clefs: tuple[str, ...]  # usual ones first
    program: int  # General MIDI, 0-based
    crooks: str = ""  # which crook table ("horn", "trumpet", ...), "" = none
    usual: int | None = None  # what a part that names no crook most often is
    section: bool = False  # many players read one part
    pair: int = 2  # players meant by a bare plural; 0 = not known

    @property
    def diatonic(self) -> int:
        return steps_of(self.transposition or 0)


def _range(text: str) -> Range | None:
    if not text:
        return None
    low, high = text.split("-")
    return Range(midi(low), midi(high))


def _make(
    key: str,
    name: str,
    plural: str,
    family: Family,
    transposition: int | None,
    professional: str,
    comfortable: str,
    floor: str,
    clefs: str,
    program: int,
    *,
    extended: str = "",
    crooks: str = "",
    usual: int | None = None,
    section: bool = False,
    pair: int = 2,
) -> Instrument:
    return Instrument(
        key,
        name,
        plural,
        family,
        transposition,
        _range(professional),
        _range(comfortable),
        midi(floor) if floor else None,
        midi(extended) if extended else None,
        tuple(clefs.split()),
        program,
        crooks,
        usual,
        section,
        pair,
    )


_W: Family = "woodwind"
_B: Family = "brass"
_P: Family = "percussion"
_K: Family = "keyboard"
_V: Family = "voice"
_S: Family = "strings"

# fmt: off
_ALL = (
    # key, name, plural, family, transposition, written: professional, comfortable; sounding floor,
    # clefs, General MIDI program
    _make("piccolo", "piccolo", "piccolos", _W, 12, "D4-C7", "G4-A6", "D5", "G2", 72,
          extended="C5"),
    _make("flute", "flute", "flutes", _W, 0, "C4-D7", "D4-A6", "C4", "G2", 73, extended="B3"),
    _make("alto-flute", "alto flute", "alto flutes", _W, -5, "C4-C7", "C4-G5", "G3", "G2", 73),
    _make("recorder", "recorder", "recorders", _W, 0, "F4-C7", "F4-G6", "F4", "G2 G1", 74),
    _make("oboe", "oboe", "oboes", _W, 0, "Bb3-A6", "C4-D6", "Bb3", "G2", 68),
    _make("oboe-d-amore", "oboe d'amore", "oboi d'amore", _W, -3, "B3-E6", "B3-D6", "G#3", "G2",
          68, extended="G3"),
    _make("oboe-da-caccia", "oboe da caccia", "oboi da caccia", _W, -7, "C4-E6", "C4-D6", "F3",
          "G2 C3", 69, extended="E3"),
    _make("cor-anglais", "cor anglais", "cors anglais", _W, -7, "B3-G6", "B3-E6", "E3", "G2", 69,
          extended="Eb3"),
    _make("clarinet", "clarinet", "clarinets", _W, None, "E3-C7", "E3-G6", "C#3", "G2", 71,
          crooks="clarinet", usual=-2),
    _make("alto-clarinet", "alto clarinet", "alto clarinets", _W, -9, "E3-G6", "E3-C6", "G2",
          "G2", 71, extended="Gb2"),
    _make("basset-horn", "basset horn", "basset horns", _W, -7, "C3-G6", "C3-C6", "F2", "G2", 71),
    _make("bass-clarinet", "bass clarinet", "bass clarinets", _W, None, "Eb3-G6", "Eb3-C6", "C2",
          "G2 F4", 71, crooks="bass-clarinet", usual=-14, extended="Bb1"),
    _make("bassoon", "bassoon", "bassoons", _W, 0, "Bb1-E5", "Bb1-Bb4", "Bb1", "F4 C4", 70,
          extended="A1"),
    _make("contrabassoon", "contrabassoon", "contrabassoons", _W, -12, "Bb1-C5", "Bb1-F4", "Bb0",
          "F4", 70, extended="A0"),
    _make("soprano-saxophone", "soprano saxophone", "soprano saxophones", _W, -2, "Bb3-F#6",
          "D4-C6", "Ab3", "G2", 64),
    _make("alto-saxophone", "alto saxophone", "alto saxophones", _W, -9, "Bb3-F#6", "D4-C6",
          "Db3", "G2", 65),
    _make("tenor-saxophone", "tenor saxophone", "tenor saxophones", _W, -14, "Bb3-F#6", "D4-C6",
          "Ab2", "G2", 66),
    _make("baritone-saxophone", "baritone saxophone", "baritone saxophones", _W, -21, "Bb3-F#6",
          "D4-C6", "Db2", "G2", 67, extended="C2"),
    _make("horn", "horn", "horns", _B, None, "F#2-C6", "C3-G5", "", "G2 F4", 60, crooks="horn",
          usual=-7),
    _make("trumpet", "trumpet", "trumpets", _B, None, "F#3-D6", "G3-Bb5", "", "G2", 56,
          crooks="trumpet", usual=0),
    _make("piccolo-trumpet", "piccolo trumpet", "piccolo trumpets", _B, None, "F#3-G5", "G3-E5",
          "", "G2", 56, crooks="piccolo-trumpet", usual=10),
    _make("bass-trumpet", "bass trumpet", "bass trumpets", _B, None, "F#3-C6", "G3-G5", "", "G2",
          56, crooks="bass-trumpet", usual=-12),
    _make("cornet", "cornet", "cornets", _B, None, "F#3-C6", "G3-Bb5", "", "G2", 56,
          crooks="cornet", usual=-2),
    _make("flugelhorn", "flugelhorn", "flugelhorns", _B, -2, "F#3-C6", "G3-G5", "", "G2", 56),
    _make("cornett", "cornett", "cornetts", _B, 0, "A3-C6", "A3-A5", "", "G2 C1", 56),
    _make("alto-trombone", "alto trombone", "alto trombones", _B, 0, "A2-F5", "C3-C5", "", "C3",
          57, pair=0),
    _make("tenor-trombone", "tenor trombone", "tenor trombones", _B, 0, "E2-F5", "E2-Bb4", "",
          "C4 F4", 57),
    _make("bass-trombone", "bass trombone", "bass trombones", _B, 0, "C2-Bb4", "F2-F4", "", "F4",
          57, pair=0),
    _make("trombone", "trombone", "trombones", _B, 0, "C2-F5", "E2-Bb4", "", "C4 F4 C3", 57,
          pair=0),
    _make("tuba", "tuba", "tubas", _B, 0, "D1-F4", "F1-C4", "", "F4", 58),
    _make("wagner-tuba", "Wagner tuba", "Wagner tubas", _B, None, "", "", "", "G2 F4", 60,
          crooks="wagner-tuba", usual=-7),
    _make("euphonium", "euphonium", "euphoniums", _B, 0, "Bb1-Bb4", "F2-F4", "", "F4", 58),
    _make("ophicleide", "ophicleide", "ophicleides", _B, 0, "B1-C5", "C2-F4", "", "F4", 58),
    _make("serpent", "serpent", "serpents", _B, 0, "Bb1-Bb4", "C2-F4", "", "F4", 58),
    _make("timpani", "timpani", "timpani", _P, 0, "D2-C4", "F2-F3", "", "F4", 47, pair=0),
    _make("percussion", "percussion", "percussion", _P, 0, "", "", "", "percussion", 0, pair=0),
    _make("glockenspiel", "glockenspiel", "glockenspiels", _P, 24, "G3-C6", "G3-C6", "", "G2", 9),
    _make("xylophone", "xylophone", "xylophones", _P, 12, "F3-C7", "G3-C7", "", "G2", 13),
    _make("vibraphone", "vibraphone", "vibraphones", _P, 0, "F3-F6", "F3-F6", "", "G2", 11),
    _make("marimba", "marimba", "marimbas", _P, 0, "C2-C7", "C3-C7", "", "G2 F4", 12),
    _make("tubular-bells", "tubular bells", "tubular bells", _P, 0, "C4-F5", "C4-F5", "", "G2",
          14, pair=0),
    _make("harp", "harp", "harps", "plucked", 0, "Cb1-G#7", "C2-C7", "", "G2 F4", 46),
    _make("guitar", "guitar", "guitars", "plucked", -12, "E3-E6", "E3-A5", "", "G2", 24),
    _make("lute", "lute", "lutes", "plucked", 0, "", "", "", "F4 G2", 24),
    _make("celesta", "celesta", "celestas", _K, 12, "C3-C7", "C3-C7", "", "G2 F4", 8),
    _make("harpsichord", "harpsichord", "harpsichords", _K, 0, "F1-F6", "F1-F6", "", "F4 G2", 6),
    _make("organ", "organ", "organs", _K, 0, "", "", "", "F4 G2", 19),
    _make("piano", "piano", "pianos", _K, 0, "A0-C8", "A0-C8", "", "G2 F4", 0),
    _make("harmonium", "harmonium", "harmoniums", _K, 0, "", "", "", "G2 F4", 20),
    _make("continuo", "continuo", "continuo", _K, 0, "", "", "", "F4 C4", 6, pair=0),
    _make("soprano", "soprano", "sopranos", _V, 0, "A3-D6", "C4-A5", "", "G2 C1", 52, section=True),
    _make("mezzo-soprano", "mezzo-soprano", "mezzo-sopranos", _V, 0, "G3-Bb5", "A3-F5", "",
          "G2 C1 C2", 52, section=True),
    _make("alto", "alto", "altos", _V, 0, "E3-F5", "G3-D5", "", "G2 C3", 52, section=True),
    _make("tenor", "tenor", "tenors", _V, 0, "A2-C5", "C3-A4", "", "G2/-1 C4 G2", 52, section=True),
    _make("baritone", "baritone", "baritones", _V, 0, "F2-A4", "A2-F4", "", "F4", 52, section=True),
    _make("bass", "bass", "basses (voices)", _V, 0, "C2-F4", "E2-D4", "", "F4", 52, section=True),
    _make("voice", "voice", "voices", _V, 0, "", "", "", "G2", 52, section=True),
    _make("violin", "violin", "violins", _S, 0, "G3-A7", "G3-B6", "G3", "G2", 40, section=True),
    _make("viola", "viola", "violas", _S, 0, "C3-E6", "C3-A5", "C3", "C3 G2", 41, section=True),
    _make("viola-d-amore", "viola d'amore", "viole d'amore", _S, 0, "A2-D6", "D3-A5", "",
          "C3 G2", 41),
    _make("viola-da-gamba", "viola da gamba", "viole da gamba", _S, 0, "D2-D5", "D2-A4", "",
          "F4 C3", 42),
    _make("cello", "cello", "cellos", _S, 0, "C2-C6", "C2-A4", "C2", "F4 C4 G2", 42, section=True),
    _make("double-bass", "double bass", "double basses", _S, -12, "E2-C5", "E2-G4", "E1",
          "F4 C4", 43, section=True, extended="C1"),
    _make("violone", "violone", "violones", _S, -12, "C2-C5", "E2-G4", "C1", "F4", 43,
          section=True),
    _make("cello-and-bass", "cellos and basses", "cellos and basses", _S, 0, "C2-C6", "C2-A4",
          "C2", "F4 C4", 42, section=True),
    _make("strings", "strings", "strings", _S, 0, "", "", "", "G2 F4", 48, section=True),
    _make("unknown", "unknown instrument", "unknown instruments", "unknown", 0, "", "", "", "",
          0, pair=0),
)
# fmt: on

INSTRUMENTS: dict[str, Instrument] = {i.key: i for i in _ALL}

#: Open strings, sounding (common practice; music21 agrees).
OPEN_STRINGS: dict[str, tuple[int, ...]] = {
    "violin": (55, 62, 69, 76),
    "viola": (48, 55, 62, 69),
    "cello": (36, 43, 50, 57),
    "double-bass": (28, 33, 38, 43),
}


def instrument(key: str) -> Instrument:
    """The record of `key`; EngineError if there is none."""
    try:
        return INSTRUMENTS[key]
    except KeyError:
        raise EngineError(f"There is no instrument called {key!r}.") from None
