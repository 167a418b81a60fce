"""One bar of one part: cleaned, checked, counted, and given its ids."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, field
from fractions import Fraction

from lxml import etree

from analysis.engine.errors import Refused
from analysis.engine.gate import clean, values
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.notices import Notices

Element = etree._Element
Pitch = tuple[str, float, int]

_MEND = "Correct it in your notation program and export the score again."
_EMPTY_MEANS_NOTHING = frozenset({"measure-repeat", "tremolo"})
_ODD_GRID = 60  # tuplets of one bar whose counts meet only beyond this are worth a look
_FRAME = frozenset({"attributes", "print", "barline"})
_CROWDED = 1_000  # notes in one bar of one part


@dataclass
class PartState:
    """What holds from bar to bar in one part."""

    index: int  # in document order
    id: str
    name: str
    divisions: int = 0
    time: Fraction | None = None  # length of a bar in whole notes; None = free or not said
    notes: int = 0
    pitched: int = 0  # neither cue nor rest
    cues: int = 0
    open_ties: dict[Pitch, int] = field(default_factory=dict)  # pitch -> bar it began in
    open_slurs: Counter[str] = field(default_factory=Counter)
    bars: int = 0


class BarReader:
    """Checks bars one after the other; keeps what is asked of the whole score.

    Attributes
    ----------
    notices : Notices
        Warnings gathered so far.
    notes : int
        Note elements, rests included.
    """

    def __init__(self, limits: Limits, notices: Notices) -> None:
        self.limits = limits
        self.notices = notices
        self.notes = 0
        self.times: dict[int, Fraction | None] = {}

    def refuse(self, text: str, code: str, part: PartState, label: str) -> Refused:
        """A refusal that names bar and part."""
        where = f"bar {label or part.bars + 1}, {part.name}"
        return Refused(f"{where[0].upper()}{where[1:]}: {text} {_MEND}", code=code, where=where)

    def read(self, bar: Element, part: PartState, label: str) -> None:
        """Check and clean `bar` in place.

        Raises
        ------
        Refused
            With bar and part, if a value cannot be music.
        """
        self._clean(bar, part, label)
        bar.text = None
        if not part.bars:
            self._default_divisions(bar, part)
        self._stamp(bar, part)
        self._walk(bar, part, label)
        part.bars += 1

    # -- outside: names, attributes, texts ------------------------------------

    def _clean(self, bar: Element, part: PartState, label: str) -> None:
        limits, unwanted = self.limits, []
        for element in bar.iter():
            tag = element.tag
            if not isinstance(tag, str) or clean.unwanted(tag):
                unwanted.append(element)
                continue
            if element.attrib:
                if len(element.attrib) > limits.attributes:
                    raise self.refuse("a sign has too many properties.", "attributes", part, label)
                given = element.get("id")
                if given is not None and not clean.is_id(given):
                    raise self.refuse("an id in the file is no valid name.", "id", part, label)
                clean.tidy_attributes(element)
            text = element.text
            if text is not None and len(text) > limits.text:
                raise self.refuse("a text is far too long.", "text-long", part, label)
        for element in unwanted:
            self._drop(element, part)
        for element in bar.iter():
            self._text(element, part, label)
        self._depth(bar, part, label)

    def _drop(self, element: Element, part: PartState) -> None:
        parent = element.getparent()
        if parent is None:
            return
        tag = str(element.tag)
        if clean.worth_a_word(tag):
            self.notices.add(
                "left-out",
                "Links, pictures or foreign elements were in the file; they were left out.",
                bar=part.bars,
                part=part.id,
            )
        parent.remove(element)

    def _text(self, element: Element, part: PartState, label: str) -> None:
        element.tail = None
        checked = values.RANGES.get(element.tag)
        if len(element):
            element.text = None
            if checked is not None:
                raise self.refuse(
                    f"{checked[1]} holds signs instead of a number.", "range", part, label
                )
            return
        text = element.text
        if checked is None:
            if text is not None:
                element.text = clean.tidy_words(text, clean.WORDS)
            return
        text = (text or "").strip()
        if not text and element.tag in _EMPTY_MEANS_NOTHING:
            element.text = None
            return
        check, what, allowed = checked
        good = check(text)
        if good is None:
            shown = clean.tidy_text(text, 20)
            raise self.refuse(
                f"{what} is given as “{shown}”; {allowed} can be read.", "range", part, label
            )
        element.text = good

    def _depth(self, bar: Element, part: PartState, label: str) -> None:
        level, depth = list(bar), 1
        while level:
            depth += 1
            if depth > self.limits.depth:
                raise self.refuse("signs are nested too deeply.", "depth", part, label)
            level = [child for element in level for child in element]

    def _default_divisions(self, bar: Element, part: PartState) -> None:
        """Write the time unit of a part that gives none: a quarter."""
        if bar.find("attributes/divisions") is not None:
            return
        attributes = bar.find("attributes")
        if attributes is None:
            attributes = etree.Element("attributes")
            bar.insert(0, attributes)
        attributes.text = None
        divisions = etree.Element("divisions")
        divisions.text = "1"
        attributes.insert(0, divisions)
        self._note("no-divisions", "The file does not say what its durations are counted in; "
                   "quarters were assumed.", part)  # fmt: skip

    # -- ids -------------------------------------------------------------------

    def _stamp(self, bar: Element, part: PartState) -> None:
        k = -1
        for k, note in enumerate(bar.iterchildren("note")):
            note.set("id", f"n{part.index}-{part.bars}-{k}")
        own = f"b{part.bars}" if part.index == 0 else f"b{part.bars}-p{part.index}"
        bar.set("id", own)
        self.notes += k + 1
        part.notes += k + 1
        if k + 1 > _CROWDED:
            self._note("crowded", "A bar holds unusually many notes; look whether it is right.",
                       part)  # fmt: skip

    # -- inside: time and notes ------------------------------------------------

    def _note(self, code: str, text: str, part: PartState) -> None:
        self.notices.add(code, text, bar=part.bars, part=part.id)

    def _walk(self, bar: Element, part: PartState, label: str) -> None:
        at, longest, chord, onset_known = 0, 0, 0, False
        tuplets: set[int] = set()
        for child in bar:
            tag = child.tag
            if tag == "note":
                if child.find("chord") is not None:
                    chord += 1
                    if not onset_known:
                        raise self.refuse("a chord has no first note.", "chord-first", part, label)
                    if chord >= self.limits.chord:
                        raise self.refuse(
                            f"a chord has more than {self.limits.chord} notes.", "chord", part,
                            label)  # fmt: skip
                    self._one_note(child, part, label, tuplets)
                else:
                    chord, onset_known = 0, True
                    at += self._one_note(child, part, label, tuplets)
            elif tag == "backup":
                at = self._back(child, at, part, label)
                onset_known = False
            elif tag == "forward":
                at += self._length(child, part, label)
                onset_known = False
            elif tag == "attributes":
                self._attributes(child, part, label)
            elif tag == "direction":
                self._direction(child, part)
            elif tag == "sound":
                self._sound(child, part)
            longest = max(longest, at)
        if all(child.tag in _FRAME for child in bar):
            self._note("empty-bar", "Bars without any content are in the file.", part)
        if len(tuplets) > 1 and math.lcm(*tuplets) > _ODD_GRID:
            self._note("odd-tuplets", "A bar mixes tuplets that meet on no common grid; compare "
                       "it with the printed page.", part)  # fmt: skip
        self._compare_length(longest, part)

    def _compare_length(self, longest: int, part: PartState) -> None:
        held = Fraction(longest, 4 * part.divisions) if part.divisions else Fraction(0)
        if part.time is not None and held > part.time:
            self._note("overfull", "Bars hold more than their time signature allows; compare "
                       "them with the printed page.", part)  # fmt: skip
        known = self.times.setdefault(part.bars, part.time)
        if known != part.time:
            self._note("polymetric", "Parts stand in different metres at the same bar.", part)

    def _length(self, element: Element, part: PartState, label: str) -> int:
        text = element.findtext("duration")
        if text is None:
            raise self.refuse("a note or gap has no duration.", "duration", part, label)
        if not part.divisions:
            raise self.refuse(
                "the file does not say what its durations are counted in (divisions).",
                "divisions", part, label)  # fmt: skip
        return int(text)

    def _back(self, element: Element, at: int, part: PartState, label: str) -> int:
        length = self._length(element, part, label)
        if length <= at:
            return at - length
        if length - at > max(1, part.divisions // 32):
            raise self.refuse(
                "a voice goes back to before the start of the bar.", "backup", part, label
            )
        duration = element.find("duration")
        assert duration is not None
        duration.text = str(at)
        self._note("backup", "A voice began a hair before its bar; it was moved to the start.",
                   part)  # fmt: skip
        return 0

    def _one_note(self, note: Element, part: PartState, label: str, tuplets: set[int]) -> int:
        """Check a note; return its length in divisions."""
        bodies = [c for c in note if c.tag in ("pitch", "unpitched", "rest")]
        if len(bodies) != 1:
            raise self.refuse(
                "a note is neither clearly a pitch nor a rest.", "note-body", part, label
            )
        body = bodies[0]
        sounds = body.tag != "rest"
        if note.find("cue") is not None:
            part.cues += sounds
        else:
            part.pitched += sounds
        if body.tag == "pitch":
            self._pitch(note, body, part, label)
        actual = note.findtext("time-modification/actual-notes")
        if actual is not None:
            tuplets.add(int(actual))
        if len(note.findall("dot")) > 4:
            raise self.refuse("a note has more than four dots.", "dots", part, label)
        self._slurs(note, part)
        if note.find("grace") is not None:
            for duration in note.findall("duration"):
                note.remove(duration)
            return 0
        return self._length(note, part, label)

    def _pitch(self, note: Element, body: Element, part: PartState, label: str) -> None:
        step, octave = body.findtext("step"), body.findtext("octave")
        if step is None or octave is None:
            raise self.refuse("a pitch lacks its letter or octave.", "pitch", part, label)
        alter = float(body.findtext("alter") or 0)
        if abs(alter) > 2:
            self._note("triple", "Notes are altered by three or four semitones; they were read "
                       "as written.", part)  # fmt: skip
        self._ties(note, (step, alter, int(octave)), part)

    def _ties(self, note: Element, pitch: Pitch, part: PartState) -> None:
        kinds = {t.get("type") for t in note.iterchildren("tie")}
        if not kinds and not part.open_ties:
            return
        if "stop" in kinds and part.open_ties.pop(pitch, None) is None:
            self._dangling(part, part.bars)
        if "start" in kinds:
            began = part.open_ties.get(pitch)
            if began is not None:
                self._dangling(part, began)
            part.open_ties[pitch] = part.bars

    def _dangling(self, part: PartState, bar: int) -> None:
        self.notices.add("tie", "Ties lack their other end; the notes were read as they stand.",
                         bar=bar, part=part.id)  # fmt: skip

    def _slurs(self, note: Element, part: PartState) -> None:
        for slur in note.iterfind("notations/slur"):
            number, kind = slur.get("number", "1"), slur.get("type")
            if kind == "start":
                part.open_slurs[number] += 1
            elif kind == "stop":
                part.open_slurs[number] -= 1

    def _attributes(self, element: Element, part: PartState, label: str) -> None:
        divisions = element.findtext("divisions")
        if divisions is not None:
            part.divisions = int(divisions)
        for transpose in element.findall("transpose"):
            fill_diatonic(transpose)
        time = element.find("time")
        if time is not None:
            part.time = self._time(time, part, label)
        if element.find("measure-style/measure-repeat") is not None:
            self._note("bar-repeat", "Bar repeat signs are in the file; such bars were read as "
                       "written, without the music they stand for.", part)  # fmt: skip

    def _time(self, time: Element, part: PartState, label: str) -> Fraction | None:
        upper, lower = time.findall("beats"), time.findall("beat-type")
        if len(upper) != len(lower):
            raise self.refuse("a time signature is incomplete.", "time", part, label)
        total = Fraction(0)
        for above, below in zip(upper, lower, strict=True):
            total += Fraction(values.beats(above.text or "") or 0, int(below.text or 1))
        return total or None

    def _direction(self, element: Element, part: PartState) -> None:
        for sound in element.findall("sound"):
            self._sound(sound, part)

    def _sound(self, sound: Element, part: PartState) -> None:
        tempo = sound.get("tempo")
        if tempo is None:
            return
        value = values.decimal(tempo.strip())
        if value is None or not 1 <= value <= 1000:
            del sound.attrib["tempo"]
            self._note("tempo", "A tempo outside 1 to 1000 quarters a minute was left out.", part)

    def finish(self, part: PartState) -> None:
        """What can only be said at the end of a part."""
        for bar in part.open_ties.values():
            self._dangling(part, bar)
        if any(part.open_slurs.values()):
            self.notices.add("slur", "Slurs lack their other end.", part=part.id)


#: semitones of the octave -> steps, for the transpositions instruments are built in:
#: 1 = minor second ... 11 = major seventh (common practice; 6 read as a diminished fifth)
_STEPS = (0, 1, 1, 2, 2, 3, 4, 4, 5, 5, 6, 6)


def fill_diatonic(transpose: Element) -> None:
    """Write the steps of a transposition that gives semitones only.

    MusicXML 4.0 leaves ``diatonic`` optional; readers that need it would
    otherwise stumble over every double bass. Octaves stand in
    ``octave-change`` and are not part of either number.
    """
    chromatic = transpose.find("chromatic")
    if chromatic is None or transpose.find("diatonic") is not None:
        return
    semitones = int(float(chromatic.text or "0"))
    octaves, rest = divmod(abs(semitones), 12)
    steps = 7 * octaves + _STEPS[rest]
    diatonic = etree.Element("diatonic")
    diatonic.text = str(steps if semitones >= 0 else -steps)
    chromatic.addprevious(diatonic)
