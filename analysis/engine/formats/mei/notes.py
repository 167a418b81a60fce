"""Pitches, printed lengths and small signs of single notes."""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from analysis.engine.formats.mei import values
from analysis.engine.formats.mei.staves import Staff
from analysis.engine.formats.mei.tree import Element, words
from analysis.engine.formats.piece import Event, Head

_TUPLET = 255


@dataclass
class Pitches:
    """Note names into pitches.

    A file that gives sounding accidentals (`accid.ges`) anywhere says all it
    means; in one that never does, the key signature and the signs before in
    the bar are applied as a reader of the page would.
    """

    explicit: bool
    bar: dict[tuple[str, str, int], float] = field(default_factory=dict)  # staff, step, octave
    implied: bool = False  # whether a note was altered by rule
    sounding: bool = False  # whether a note gave its sounding octave

    def new_bar(self) -> None:
        self.bar.clear()

    def head(self, note: Element, staff: Staff, where: str) -> tuple[Head, bool]:
        """The head of a note; whether it has no pitch of its own."""
        name = note.get("pname", "").upper()
        if len(name) != 1 or name not in "ABCDEFG":
            if name and not staff.percussion:
                raise values.refuse(f"a note is called “{name[:10]}”.", where)
            return self._placed(note, where), True
        octave = note.get("oct", staff.octave or "4")
        number = values.whole(octave, 0, 9, "an octave", where)
        sounding = note.get("oct.ges")
        if sounding is not None:
            number = values.whole(sounding, 0, 9, "an octave", where)
        if staff.percussion:
            return Head(name, 0, number), True
        written, told = _accidentals(note)
        if told is not None:
            alter = _alter(told, where)
        elif written is not None:
            alter = _alter(written, where)
        elif self.explicit:
            alter = 0.0
        else:
            alter = self.bar.get((staff.n, name, number), values.key_alter(staff.fifths, name))
            self.implied = self.implied or alter != 0
        if written is not None:
            self.bar[staff.n, name, number] = _alter(written, where)
        head = Head(name, alter, number, accidental=values.SIGNS.get(written or "", ""))
        if sounding is not None:
            self.sounding = True
        return head, False

    def _placed(self, note: Element, where: str) -> Head:
        """A note known by its place on the staff only: 0 = the lowest line, treble clef."""
        loc = note.get("loc")
        if loc is None:
            return Head("B", 0, 4)
        at = values.whole(loc, -30, 40, "the place of a note", where) + 30  # E4 = 4 * 7 + 2
        return Head("CDEFGAB"[at % 7], 0, at // 7)


def _accidentals(note: Element) -> tuple[str | None, str | None]:
    written, told = note.get("accid"), note.get("accid.ges")
    for inner in note.iter("accid"):
        if inner.get("func") == "caution" and written:
            continue
        written = inner.get("accid", written)
        told = inner.get("accid.ges", told)
    return written, told


def _alter(value: str, where: str) -> float:
    if value not in values.ALTER:
        raise values.refuse(f"an accidental is given as “{value[:10]}”.", where)
    return values.ALTER[value]


def says_accidentals(root: Element) -> bool:
    """Whether a file gives sounding accidentals."""
    return any(e.get("accid.ges") is not None for e in root.iter("note", "accid"))


# -- lengths -------------------------------------------------------------------------


def printed_length(
    element: Element, also: Element | None, staff: Staff, where: str
) -> tuple[str, int]:
    """Type and dots of a note, chord, rest or space."""
    sources = [element] if also is None or also is element else [element, also]
    given = next((s.get("dur") for s in sources if s.get("dur") is not None), None)
    given = given or next((s.get("dur.ges") for s in sources if s.get("dur.ges")), None)
    given = given or staff.duration or _parent_length(element)
    if given in values.MENSURAL:
        raise values.refuse("a note has a mensural value; common notation is read.", where,
                            "not-common")  # fmt: skip
    if given is None and element.get("grace") is not None:
        given = "8"
    if given not in values.TYPES:
        raise values.refuse(f"a note has the length “{(given or '')[:20]}”.", where, "duration")
    dots = next((s.get("dots") for s in sources if s.get("dots") is not None), None)
    inner = sum(1 for _ in element.iterchildren("dot"))
    count = values.whole(dots, 0, 4, "the number of dots", where) if dots is not None else inner
    if count > 4:
        raise values.refuse("a note has more than four dots.", where, "dots")
    return values.TYPES[given], count


def _parent_length(element: Element) -> str | None:
    parent = element.getparent()
    return parent.get("dur") if parent is not None and parent.tag in ("bTrem", "fTrem") else None


def ratio_of(element: Element, where: str) -> tuple[int, int]:
    """`num` in the time of `numbase`."""
    num = values.whole(element.get("num", "3"), 1, _TUPLET, "a tuplet", where)
    base = element.get("numbase")
    if base is None:
        return num, max(1, 2 ** int(math.log2(num)))
    return num, values.whole(base, 1, _TUPLET, "a tuplet", where)


def multiplied(a: tuple[int, int], b: tuple[int, int], where: str) -> tuple[int, int]:
    """Tuplets within tuplets."""
    product = (a[0] * b[0], a[1] * b[1])
    if max(product) > _TUPLET:
        reduced = Fraction(*product)
        product = (reduced.numerator, reduced.denominator)
    if max(product) > _TUPLET:
        raise values.refuse("tuplets are nested too deeply.", where, "tuplet")
    return product


def strokes(element: Element, event: Event) -> int:
    """Tremolo strokes beyond a note's own flags."""
    stem = next((e.get("stem.mod") for e in element.iter() if e.get("stem.mod")), "") or ""
    if stem[:1].isdigit():
        return min(8, int(stem[0]))
    beams = element.get("beams")
    if beams and beams.isdecimal():
        return min(8, max(1, int(beams)))
    unit = element.get("unitdur", "32")
    flags = {t: max(0, i - 4) for i, t in enumerate(values.TYPES.values())}
    wanted = flags.get(values.TYPES.get(unit, "32nd"), 3)
    return max(1, wanted - flags.get(event.type, 0))


def copied(event: Event, onset: Fraction) -> Event:
    """The event once more, without ties, slurs and words."""
    again = copy.deepcopy(event)
    again.onset, again.slurs, again.lyrics = onset, [], []
    for head in again.heads:
        head.tie_start = head.tie_stop = False
    return again


# -- signs ---------------------------------------------------------------------------


def ties_of(element: Element, note: Element, head: Head) -> None:
    """Ties given as attributes, of the chord or of the note."""
    kinds = (element.get("tie", "") + " " + note.get("tie", "")).split()
    head.tie_start = any(k in ("i", "m") for k in kinds)
    head.tie_stop = any(k in ("m", "t") for k in kinds)


def signs_of(source: Element, event: Event) -> None:
    """Articulations, ornaments, words and tremolo strokes a note carries itself."""
    for name in _listed(source, "artic"):
        if name in values.ARTICULATIONS:
            _once(event.articulations, values.ARTICULATIONS[name])
        elif name in values.TECHNICAL:
            _once(event.technical, values.TECHNICAL[name])
    stem = source.get("stem.mod", "")
    if stem[:1].isdigit() and event.heads:
        event.tremolo = min(8, int(stem[0]))
    if source.get("fermata") is not None:
        event.fermata = True
    for verse in source.iterchildren("verse"):
        syllables = list(verse.iterchildren("syl"))
        said = " ".join(words(s) for s in syllables).strip()
        if said:
            kind = {"i": "begin", "m": "middle", "t": "end"}.get(syllables[0].get("wordpos", ""),
                                                                 "single")  # fmt: skip
            n = verse.get("n", "1")
            event.lyrics.append((int(n) if n.isdecimal() and int(n) < 100 else 1, kind, said))


def _listed(source: Element, name: str) -> Iterator[str]:
    yield from source.get(name, "").split()
    for inner in source.iterchildren(name):
        yield from inner.get(name, "").split()


def _once(names: list[str], name: str) -> None:
    if name not in names:
        names.append(name)
