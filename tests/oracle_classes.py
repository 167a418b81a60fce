"""Why our reader and music21 may differ: predicates over the source file, never over a result.

Each class has a hand-made file in `tests/engine/reader/data/oracle-*.musicxml`.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from lxml import etree

_NATURALS = dict(zip("CDEFGAB", (0, 2, 4, 5, 7, 9, 11), strict=True))

#: name -> what is true of the source, and who is right
CLASSES = {
    "chord-after-other-element": "A chord note does not follow its chord's first note directly"
    " (a harmony or direction stands between); music21 strikes it, and what follows in the"
    " bar, later.",
    "transpose-in-mid-bar": "The transposition changes inside the bar; music21 takes it for the"
    " whole bar.",
    "chord-of-unequal-durations": "Notes of one chord have different durations; music21 gives"
    " all of them the first one's.",
    "accidental-without-alter": "The note prints an accidental but has no <alter>; MusicXML lets"
    " <alter> alone decide the pitch, music21 takes the accidental.",
    "tied-without-tie": "<tied> without <tie>: the page shows a tie, music21 hears none.",
    "enharmonic-tie": "A tie joins two spellings of one pitch; the comparison joins by spelling.",
    "tie-out-of-short-bar": "A tie leads out of a bar that this part does not fill; our onsets"
    " come from the longest part, music21 counts each part by itself.",
    "sign-beyond-bar": "A direction stands beyond the end of its bar; music21 makes the bar"
    " longer.",
    "tie-into-other-voice": "The stop of a tie has no start in its own voice, or the start no"
    " stop; the two readers look for another one in different order.",
}


@dataclass
class _Note:
    element: Any
    part: int
    bar: int
    voice: str
    start: Fraction
    end: Fraction
    spelling: tuple[str, Fraction, int] | None
    head_duration: str
    after_other: bool
    starts: bool
    stops: bool

    @property
    def midi(self) -> Fraction | None:
        if self.spelling is None:
            return None
        step, alter, octave = self.spelling
        return 12 * (octave + 1) + _NATURALS[step] + alter


@dataclass
class _Bar:
    played: Fraction = Fraction(0)  # end of the last note or rest
    signs: Fraction = Fraction(0)  # place of the last direction
    late_chord: bool = False  # a chord note after another element has been met
    transposed_late: bool = False


@dataclass
class Source:
    """A canonical copy, its notes by id and by pitch, its bars by part."""

    canonical: bytes
    notes: dict[str, _Note] = field(default_factory=dict)
    bars: dict[tuple[int, int], _Bar] = field(default_factory=dict)
    tied: dict[tuple[int, int, Fraction | None], list[_Note]] = field(
        default_factory=lambda: defaultdict(list)
    )

    def __post_init__(self) -> None:
        root = etree.fromstring(self.canonical)
        for part, element in enumerate(root.findall("part")):
            divisions = Fraction(1)
            for bar, measure in enumerate(element.findall("measure")):
                divisions = self._measure(measure, part, bar, divisions)
        self.longest: dict[int, Fraction] = defaultdict(Fraction)
        for (_, bar), found in self.bars.items():
            self.longest[bar] = max(self.longest[bar], found.played)

    def _measure(self, measure: Any, part: int, bar: int, divisions: Fraction) -> Fraction:
        here = self.bars[part, bar] = _Bar()
        cursor = onset = Fraction(0)
        head: Any = None
        before: Any = None
        for child in measure:
            if child.tag == "attributes" and child.find("divisions") is not None:
                divisions = Fraction(child.findtext("divisions"))
            if child.tag == "attributes" and cursor and child.find("transpose") is not None:
                here.transposed_late = True
            length = Fraction(child.findtext("duration") or 0) / divisions
            if child.tag == "backup":
                cursor -= length
            elif child.tag == "forward":
                cursor += length
            elif child.tag == "direction":
                offset = Fraction(child.findtext("offset") or 0) / divisions
                here.signs = max(here.signs, cursor + offset)
            elif child.tag == "note":
                chord = child.find("chord") is not None
                if not chord:
                    onset, head = cursor, child
                    cursor += length
                here.late_chord |= chord and before is not head
                self._note(child, part, bar, onset, length, head, here.late_chord)
            if child.tag == "note":
                before = child if child.find("chord") is None or before is not head else head
            else:
                before = child
            here.played = max(here.played, cursor)
        return divisions

    def _note(
        self,
        child: Any,
        part: int,
        bar: int,
        onset: Fraction,
        length: Fraction,
        head: Any,
        after_other: bool,
    ) -> None:
        pitch = child.find("pitch")
        spelling = None
        if pitch is not None:
            alter = Fraction(pitch.findtext("alter") or 0)
            spelling = (pitch.findtext("step"), alter, int(pitch.findtext("octave")))
        marks = [e.get("type") for e in (*child.findall("tie"), *child.iter("tied"))]
        note = _Note(
            child,
            part,
            bar,
            child.findtext("voice") or "1",
            onset,
            onset + length,
            spelling,
            head.findtext("duration") if head is not None else "",
            after_other,
            "start" in marks or "continue" in marks,
            "stop" in marks or "continue" in marks,
        )
        self.notes[child.get("id")] = note
        if marks:
            self.tied[part, bar, note.midi].append(note)

    # -- classes ----------------------------------------------------------------

    def classes(self, key: str) -> str:
        """The class of a note both readers tell differently; "" if no predicate holds."""
        note = self.notes.get(key)
        if note is None:
            return ""
        own = self._own(note)
        if own:
            return own
        if not (note.starts or note.stops):
            return ""
        chain = self._chain(note)
        for other in chain:
            found = self._own(other) or self._tie(other)
            if found:
                return found
        return ""

    def _own(self, note: _Note) -> str:
        element = note.element
        chord, grace = element.find("chord") is not None, element.find("grace") is not None
        if note.after_other:
            return "chord-after-other-element"
        if self.bars[note.part, note.bar].transposed_late:
            return "transpose-in-mid-bar"
        if chord and not grace and element.findtext("duration") != note.head_duration:
            return "chord-of-unequal-durations"
        printed = element.findtext("accidental") not in (None, "natural", "natural-natural")
        if printed and note.spelling is not None and element.find("pitch/alter") is None:
            return "accidental-without-alter"
        ties = {t.get("type") for t in element.findall("tie")}
        tied = {t.get("type") for t in element.iter("tied")} & {"start", "stop", "continue"}
        if tied and not ties:
            return "tied-without-tie"
        return ""

    def _tie(self, note: _Note) -> str:
        here = self.bars[note.part, note.bar]
        if note.starts and note.end == here.played < self.longest[note.bar]:
            return "tie-out-of-short-bar"
        if note.starts and here.signs > here.played:
            return "sign-beyond-bar"
        answers = self._answers(note) if note.starts else []
        if note.starts and answers and all(a.spelling != note.spelling for a in answers):
            return "enharmonic-tie"
        if note.starts and not any(a.voice == note.voice for a in answers):
            return "tie-into-other-voice"
        if note.stops and not any(a.voice == note.voice for a in self._openers(note)):
            return "tie-into-other-voice"
        return ""

    def _near(self, note: _Note) -> list[_Note]:
        return [
            other
            for bar in (note.bar - 1, note.bar, note.bar + 1)
            for other in self.tied.get((note.part, bar, note.midi), ())
            if other is not note
        ]

    def _answers(self, note: _Note) -> list[_Note]:
        """Stops on the same pitch where this note ends: in the bar, or at the next one's head."""
        at_end = note.end >= self.bars[note.part, note.bar].played
        return [
            o
            for o in self._near(note)
            if o.stops
            and (
                (o.bar == note.bar and o.start == note.end)
                or (at_end and o.bar == note.bar + 1 and o.start == 0)
            )
        ]

    def _openers(self, note: _Note) -> list[_Note]:
        return [o for o in self._near(note) if o.starts and note in self._answers(o)]

    def _chain(self, note: _Note) -> list[_Note]:
        """All notes of the tie, over any number of bars."""
        seen, todo = [note], [note]
        while todo:
            current = todo.pop()
            linked = (self._answers(current) if current.starts else []) + (
                self._openers(current) if current.stops else []
            )
            for other in linked:
                if not any(other is s for s in seen):
                    seen.append(other)
                    todo.append(other)
        return seen
