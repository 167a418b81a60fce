"""Crooks and sizes: what a written C sounds on "horn in E flat".

Semitones and steps from written to sounding. Horns: a teaching handout on
natural-horn transposition and Grove, Dictionary of Music and Musicians, vol. 1
(1879), p. 750 (C and D horns). Trumpets: a published notation page. The rest:
common practice.
"""

from __future__ import annotations

from dataclasses import dataclass

from analysis.engine.errors import EngineError
from analysis.engine.pitch import parse_note_name, spelled


@dataclass(frozen=True, slots=True)
class Crook:
    """One crook, or one size of an instrument built in several keys."""

    name: str  # "Eb", "C basso", "Bb alto"
    semitones: int
    steps: int
    rare: bool = False

    @property
    def note(self) -> str:
        """The pitch class it is named after: "Bb" of "Bb alto"."""
        return self.name.split()[0]

    @property
    def words(self) -> str:
        """As in a sentence: "E flat", "C basso"."""
        note, *rest = self.name.split()
        return " ".join([note[0] + {"b": " flat", "#": " sharp"}.get(note[1:], ""), *rest])

    @property
    def pc(self) -> int:
        found = parse_note_name(self.note, "en")
        assert found is not None
        return found.pc


_TABLES: dict[str, tuple[Crook, ...]] = {
    "horn": (
        Crook("C alto", 0, 0, rare=True),
        Crook("B alto", -1, -1, rare=True),
        Crook("Bb alto", -2, -1),
        Crook("A", -3, -2),
        Crook("Ab", -4, -2),
        Crook("G", -5, -3),
        Crook("Gb", -6, -3, rare=True),
        Crook("F#", -6, -4, rare=True),
        Crook("F", -7, -4),
        Crook("E", -8, -5),
        Crook("Eb", -9, -5),
        Crook("D", -10, -6),
        Crook("Db", -11, -6, rare=True),
        Crook("C basso", -12, -7),
        Crook("B basso", -13, -8, rare=True),
        Crook("Bb basso", -14, -8),
        Crook("A basso", -15, -9, rare=True),
        Crook("Ab basso", -16, -9, rare=True),
    ),
    "trumpet": (
        Crook("Ab basso", -4, -2, rare=True),
        Crook("A", -3, -2),
        Crook("Bb", -2, -1),
        Crook("B", -1, -1, rare=True),
        Crook("C", 0, 0),
        Crook("Db", 1, 1, rare=True),
        Crook("D", 2, 1),
        Crook("Eb", 3, 2),
        Crook("E", 4, 2),
        Crook("F", 5, 3),
        Crook("F#", 6, 3, rare=True),
        Crook("G", 7, 4, rare=True),
        Crook("Ab", 8, 5, rare=True),
    ),
    "piccolo-trumpet": (Crook("A", 9, 5), Crook("Bb", 10, 6)),
    "bass-trumpet": (
        Crook("Eb", -9, -5),
        Crook("D", -10, -6, rare=True),
        Crook("C", -12, -7),
        Crook("Bb", -14, -8),
    ),
    "cornet": (
        Crook("A", -3, -2),
        Crook("Bb", -2, -1),
        Crook("C", 0, 0, rare=True),
        Crook("Eb", 3, 2, rare=True),
    ),
    "clarinet": (
        Crook("A", -3, -2),
        Crook("Bb", -2, -1),
        Crook("C", 0, 0),
        Crook("D", 2, 1, rare=True),
        Crook("Eb", 3, 2),
    ),
    "bass-clarinet": (Crook("Bb", -14, -8), Crook("A", -15, -9), Crook("C", -12, -7, rare=True)),
    "wagner-tuba": (Crook("Bb", -2, -1), Crook("F", -7, -4)),
}

#: Instruments of one size whose label may name the key they are built in.
SINGLE: dict[str, str] = {
    "alto-flute": "G",
    "oboe-d-amore": "A",
    "oboe-da-caccia": "F",
    "cor-anglais": "F",
    "basset-horn": "F",
    "alto-clarinet": "Eb",
    "soprano-saxophone": "Bb",
    "alto-saxophone": "Eb",
    "tenor-saxophone": "Bb",
    "baritone-saxophone": "Eb",
    "flugelhorn": "Bb",
    "flute": "C",
    "oboe": "C",
    "piccolo": "C",
}

Level = str  # "alto", "basso" or ""


def table(name: str) -> tuple[Crook, ...]:
    """All crooks of "horn", "trumpet", "clarinet", ..."""
    try:
        return _TABLES[name]
    except KeyError:
        raise EngineError(f"There is no table of crooks for {name!r}.") from None


def candidates(name: str, step: int, alter: int, level: Level = "") -> tuple[Crook, ...]:
    """Crooks of table `name` on that note; several where alto and basso are both possible.

    A horn "in C" is the basso (the upper C crook "is rarely used", Grove 1879);
    "in B flat" and "in B" may be either. A and A flat are the high ones unless
    marked basso.
    """
    note = spelled(step, alter)
    found = [c for c in table(name) if c.note == note]
    if level:
        exact = [c for c in found if c.name.endswith(level)]
        plainly = [c for c in found if " " not in c.name]
        # "Horn in F alto": there is one F horn only; the word adds nothing we know.
        return tuple(exact or ([] if plainly or not found else found))
    if name == "horn" and note == "C":
        return tuple(c for c in found if c.name == "C basso")
    unmarked = [c for c in found if " " not in c.name]
    return tuple(unmarked or found)


def by_transposition(name: str, semitones: int) -> Crook | None:
    """The crook of table `name` that sounds so; G flat wins over F sharp by its steps."""
    return next((c for c in table(name) if c.semitones == semitones), None)


def find(name: str, words: str) -> Crook:
    """The crook called `words` ("Eb", "E flat", "Es", "C basso", "B flat alto").

    Raises
    ------
    EngineError
        If there is none, or two: "Bb" of a horn is alto or basso.
    """
    *head, last = words.replace("-", " ").split() or [""]
    level = {"alto": "alto", "basso": "basso", "low": "basso", "high": "alto"}.get(last.lower(), "")
    note = parse_note_name(" ".join(head) if level else words, "en")
    if note is None:
        raise EngineError(f"{words!r} names no crook.")
    found = candidates(name, note.step, note.alter, level)
    if not found:
        raise EngineError(f"There is no {name} in {words}.")
    if len(found) > 1:
        raise EngineError(f"A {name} in {words} may be {' or '.join(c.name for c in found)}.")
    return found[0]


def fundamental(crook: Crook) -> int:
    """MIDI number of partial 1: written C2 moved by the crook."""
    return 36 + crook.semitones
