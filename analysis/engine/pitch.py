"""Pitches, intervals and keys by name, in four languages.

One spelling inside: letter, accidentals ``b`` or ``#``, octave with C4 =
middle C = MIDI 60 ("Eb4"). What people type may be German ("Es", "B" for B
flat, "H"), Italian ("Mi bemolle", "Sib") or French ("Ré", "si bémol").
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import Literal

from analysis.engine.errors import EngineError

Language = Literal["en", "de", "it", "fr"]
Mode = Literal["major", "minor"]

LETTERS = "CDEFGAB"
#: Semitones of the seven natural steps above C.
NATURAL = (0, 2, 4, 5, 7, 9, 11)
#: Places of the natural steps on the line of fifths, C = 0.
FIFTHS = (0, 2, 4, -1, 1, 3, 5)

_SOLFEGE = {"do": 0, "ut": 0, "re": 1, "mi": 2, "fa": 3, "sol": 4, "la": 5, "si": 6}
_FLAT_WORDS = ("flat", "bemolle", "bemol", "b")
_SHARP_WORDS = ("sharp", "diesis", "diese", "#")
_GERMAN = {"es": (2, -1), "as": (5, -1), "h": (6, 0), "b": (6, -1)}


def plain(text: str) -> str:
    """`text` in small letters without accents; musical signs become ``b`` and ``#``.

    >>> plain("Si♭ – Flûte")
    'sib - flute'
    """
    text = text.replace("♭", "b").replace("♯", "#").replace("♮", " natural")
    text = text.replace("’", "'").replace("–", "-").replace("—", "-").replace("ß", "ss")
    text = text.replace("°", "o").replace("º", "o")
    decomposed = unicodedata.normalize("NFKD", text)
    return "".join(c for c in decomposed if not unicodedata.combining(c)).casefold()


@dataclass(frozen=True, slots=True)
class Pitch:
    """A spelled pitch: step 0 = C .. 6 = B, alter in semitones, octave with C4 = 60."""

    step: int
    alter: int
    octave: int

    @property
    def midi(self) -> int:
        return 12 * (self.octave + 1) + NATURAL[self.step] + self.alter

    @property
    def diatonic(self) -> int:
        """Steps above C0, for counting generic intervals."""
        return 7 * self.octave + self.step

    @property
    def name(self) -> str:
        return f"{spelled(self.step, self.alter)}{self.octave}"


_SIGNS = {-2: " double flat", -1: " flat", 0: "", 1: " sharp", 2: " double sharp"}


def in_words(step: int, alter: int) -> str:
    """A note's name as in a sentence: "E flat", "F double sharp".

    >>> in_words(2, -1)
    'E flat'
    """
    return f"{LETTERS[step]}{_SIGNS.get(alter, '')}"


def spelled(step: int, alter: int) -> str:
    """The letter with its accidentals.

    >>> spelled(2, -1), spelled(3, 2)
    ('Eb', 'F##')
    """
    return LETTERS[step] + ("#" * alter if alter > 0 else "b" * -alter)


_PITCH = re.compile(r"^([A-Ga-g])(bb?|b{3,4}|#{1,4}|x|)(-?\d{1,2})$")


def parse_pitch(text: str) -> Pitch:
    """Read "Eb4", "F#3", "B♭2", "Fx4".

    Raises
    ------
    EngineError
        If `text` is no pitch with an octave.

    >>> parse_pitch("Eb4").midi
    63
    """
    cleaned = text.strip().replace("♭", "b").replace("♯", "#").replace("-flat", "b")
    match = _PITCH.match(cleaned)
    if match is None:
        raise EngineError(f"{text!r} is not a pitch; write a letter, b or #, and the octave: Eb4.")
    letter, accidental, octave = match.groups()
    alter = 2 if accidental == "x" else accidental.count("#") - accidental.count("b")
    return Pitch(LETTERS.index(letter.upper()), alter, int(octave))


def midi(text: str) -> int:
    """Sounding MIDI number of a pitch name; see `parse_pitch`."""
    return parse_pitch(text).midi


#: Spelling of the twelve pitch classes where no key tells better: (step, alter).
_DEFAULT = tuple(
    zip((0, 0, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6), (0, 1, 0, -1, 0, 0, 1, 0, -1, 0, -1, 0), strict=True)
)


def from_midi(number: int, fifths: int | None = None) -> Pitch:
    """Spell a MIDI number, in the key signature of `fifths` if given.

    With a signature the spelling is the one nearest to it on the line of
    fifths (within -5..+6 of the signature's centre), so 66 is F#4 in D major
    (2) and Gb4 in D flat major (-5).
    """
    pc = number % 12
    if fifths is None:
        step, alter = _DEFAULT[pc]
    else:
        centre = fifths + 2  # the middle of the diatonic collection
        line = next(p for p in range(centre - 5, centre + 7) if p * 7 % 12 == pc)
        step, alter = from_fifths(line)
    return Pitch(step, alter, (number - alter - NATURAL[step]) // 12 - 1)


def from_fifths(line: int) -> tuple[int, int]:
    """Step and alteration of a place on the line of fifths (C = 0, G = 1, F = -1)."""
    step = line * 4 % 7
    return step, (line - FIFTHS[step]) // 7


def to_fifths(step: int, alter: int) -> int:
    """Place on the line of fifths; the inverse of `from_fifths`."""
    return FIFTHS[step] + 7 * alter


def transpose(pitch: Pitch, semitones: int, steps: int) -> Pitch:
    """Move a pitch by an interval given in semitones and in steps.

    >>> transpose(parse_pitch("C5"), -9, -5).name
    'Eb4'
    """
    octave, step = divmod(pitch.diatonic + steps, 7)
    natural = 12 * (octave + 1) + NATURAL[step]
    return Pitch(step, pitch.midi + semitones - natural, octave)


def steps_of(semitones: int) -> int:
    """The usual number of steps of an interval in semitones (tritone = a fourth).

    >>> steps_of(-9), steps_of(-14), steps_of(5)
    (-5, -8, 3)
    """
    octaves, rest = divmod(abs(semitones), 12)
    steps = 7 * octaves + (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)[rest]
    return steps if semitones >= 0 else -steps


_GENERIC = ("unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave")
_PERFECT = {0, 3, 4}
_MAJOR_SIZE = (0, 2, 4, 5, 7, 9, 11)


def interval_name(semitones: int, steps: int) -> str:
    """Name of an interval without its direction, up to two octaves and beyond.

    >>> interval_name(-9, -5), interval_name(14, 8), interval_name(-12, -7)
    ('major sixth', 'major ninth', 'octave')
    """
    if steps < 0 or (steps == 0 and semitones < 0):
        semitones, steps = -semitones, -steps
    octaves, rest = divmod(steps, 7)
    deviation = semitones - 12 * octaves - _MAJOR_SIZE[rest]
    if rest in _PERFECT:
        quality = {0: "perfect", 1: "augmented", -1: "diminished"}.get(deviation, "")
    else:
        names = {0: "major", -1: "minor", 1: "augmented", -2: "diminished"}
        quality = names.get(deviation, "")
    number = _ordinal_name(steps)
    if rest == 0 and deviation == 0:
        return number
    return f"{quality or f'{semitones} semitones written as a'} {number}"


def _ordinal_name(steps: int) -> str:
    more = {8: "ninth", 9: "tenth", 10: "eleventh", 11: "twelfth", 12: "thirteenth"}
    more |= {13: "fourteenth", 14: "double octave", 21: "triple octave"}
    if steps < len(_GENERIC):
        return _GENERIC[steps]
    return more.get(steps, f"interval of {steps} steps")


@dataclass(frozen=True, slots=True)
class NoteName:
    """A pitch class with its spelling, and whether German usage was needed to read it."""

    step: int
    alter: int
    german_b: bool = False  # "B" that means B flat in German and B natural in English

    @property
    def name(self) -> str:
        return spelled(self.step, self.alter)

    @property
    def pc(self) -> int:
        return (NATURAL[self.step] + self.alter) % 12


def parse_note_name(text: str, language: Language | None = None) -> NoteName | None:
    """Read a note name without octave, in any of the four languages.

    Parameters
    ----------
    text : str
        "Eb", "E flat", "E-flat", "Es", "Mi bemolle", "Mib", "mi bémol", "H", ...
    language : {"en", "de", "it", "fr"} or None
        Decides a bare "B": B natural in English, B flat elsewhere (German
        letters are what Italian titles of German prints use too). With None
        it is read as B natural, `german_b` set.

    Returns
    -------
    NoteName or None
        None if the words name no note.
    """
    words = plain(text).replace("-", " ").replace(".", " ").split()
    joined = "".join(words)
    if joined == "b":
        flat = language in ("de", "it", "fr")
        return NoteName(6, -1 if flat else 0, german_b=True)
    return _german(joined, language) or _letter(joined) or _solfege(joined)


def _german(joined: str, language: Language | None) -> NoteName | None:
    if joined in ("h", "es", "as"):
        return NoteName(*_GERMAN[joined])
    if joined == "heses" or (joined == "bes" and language == "de"):
        return NoteName(6, -2)
    match = re.fullmatch(r"([cdefgah])(isis|is|eses|es|s)", joined)
    if match is None:
        return None
    letter, ending = match.groups()
    if ending in ("s", "eses") and letter not in "ea" and ending == "s":
        return None
    step = 6 if letter == "h" else LETTERS.index(letter.upper())
    alter = {"isis": 2, "is": 1, "es": -1, "s": -1, "eses": -2}[ending]
    return NoteName(step, alter)


def _letter(joined: str) -> NoteName | None:
    match = re.fullmatch(r"([a-g])(.*)", joined)
    if match is None:
        return None
    alter = _alteration(match.group(2))
    return None if alter is None else NoteName(LETTERS.index(match.group(1).upper()), alter)


def _solfege(joined: str) -> NoteName | None:
    for word in sorted(_SOLFEGE, key=len, reverse=True):
        if joined.startswith(word):
            alter = _alteration(joined[len(word) :])
            if alter is not None:
                return NoteName(_SOLFEGE[word], alter)
    return None


def _alteration(word: str) -> int | None:
    if word in ("", "natural", "naturale", "naturel", "becarre", "bequadro"):
        return 0
    if word in _FLAT_WORDS:
        return -1
    if word in _SHARP_WORDS:
        return 1
    return {"bb": -2, "##": 2, "x": 2, "doubleflat": -2, "doublesharp": 2}.get(word)


def pitch_class(text: str) -> int:
    """Pitch class 0..11 of a note name; EngineError if it is none.

    >>> pitch_class("Es"), pitch_class("si bémol")
    (3, 10)
    """
    note = parse_note_name(text)
    if note is None:
        raise EngineError(f"{text!r} is not the name of a note.")
    return note.pc


@dataclass(frozen=True, slots=True)
class Key:
    """A key with its spelling. Keys compare by sound through `sound`."""

    step: int
    alter: int
    mode: Mode

    @property
    def name(self) -> str:
        """As in claims: "eb major", "f# minor"."""
        return f"{spelled(self.step, self.alter).lower()} {self.mode}"

    @property
    def words(self) -> str:
        """As in a sentence: "E flat major"."""
        return f"{in_words(self.step, self.alter)} {self.mode}"

    @property
    def tonic(self) -> int:
        return (NATURAL[self.step] + self.alter) % 12

    @property
    def sound(self) -> tuple[int, Mode]:
        """Pitch class of the tonic and mode: equal for A flat and G sharp minor."""
        return self.tonic, self.mode

    @property
    def fifths(self) -> int:
        """Sharps (positive) or flats (negative) of the signature."""
        return to_fifths(self.step, self.alter) - (3 if self.mode == "minor" else 0)

    @property
    def relative(self) -> Key:
        line = to_fifths(self.step, self.alter)
        other: Mode = "minor" if self.mode == "major" else "major"
        return Key(*from_fifths(line + (3 if self.mode == "major" else -3)), other)

    @property
    def parallel(self) -> Key:
        return Key(self.step, self.alter, "minor" if self.mode == "major" else "major")


_MODES: dict[str, tuple[Mode, Language]] = {
    "major": ("major", "en"),
    "minor": ("minor", "en"),
    "maj": ("major", "en"),
    "min": ("minor", "en"),
    "dur": ("major", "de"),
    "moll": ("minor", "de"),
    "maggiore": ("major", "it"),
    "magg": ("major", "it"),
    "minore": ("minor", "it"),
    "majeur": ("major", "fr"),
    "mineur": ("minor", "fr"),
}


def parse_key(text: str) -> Key:
    """Read "E flat major", "Es-Dur", "mi mineur", "si bemolle maggiore", "f# minor".

    The mode word tells the language, so "B-Dur" is B flat major and
    "B major" B major.

    Raises
    ------
    EngineError
        If the tonic or the mode is missing or not understood.

    >>> parse_key("B-Dur").name, parse_key("h-moll").name
    ('bb major', 'b minor')
    """
    words = plain(text).replace("-", " ").replace(".", " ").split()
    mode = _MODES.get(words[-1]) if words else None
    if mode is None:
        raise EngineError(f"{text!r} is not a key; write a tonic and major or minor.")
    note = parse_note_name(" ".join(words[:-1]), mode[1])
    if note is None or abs(note.alter) > 1:
        raise EngineError(f"{text!r} names no tonic that is understood.")
    return Key(note.step, note.alter, mode[0])
