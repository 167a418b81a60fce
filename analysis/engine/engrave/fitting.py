"""What a line needs when it is written out alone: rests, whole beams, whole slurs, accidentals."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass, field

from lxml import etree

from analysis.engine.engrave.children import add_child
from analysis.engine.engrave.sounding import key_alteration

Element = etree._Element

_STEPS = "CDEFGAB"
_SIGNS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}


@dataclass(slots=True)
class Group:
    """What begins together in one voice: graces, then the notes of a chord."""

    onset: int
    length: int
    voice: str
    notes: list[Element] = field(default_factory=list)

    @property
    def end(self) -> int:
        return self.onset + self.length


def fill(
    stream: list[Group], length: int, printed: list[Group], *, rests: bool
) -> list[Group]:  # fmt: skip
    """The groups of a voice with rests in between, those printed where there are any."""
    if not rests:
        return stream
    if not any(g.length for g in stream):
        return [*_whole(length, printed), *stream]
    out: list[Group] = []
    at = 0
    for group in stream:
        out += _gap(at, group.onset, printed)
        out.append(group)
        at = max(at, group.end)
    return out + _gap(at, length, printed)


def _whole(length: int, printed: list[Group]) -> list[Group]:
    if not length:
        return []
    note = etree.Element("note")
    etree.SubElement(note, "rest", measure="yes")
    etree.SubElement(note, "duration").text = str(length)
    for held in [f for g in printed for n in g.notes for f in n.iterfind("notations/fermata")][:1]:
        etree.SubElement(note, "notations").append(deepcopy(held))
    return [_group(0, length, note)]


def _gap(start: int, end: int, printed: list[Group]) -> list[Group]:
    """Rests from `start` to `end`: printed ones, else as long as the other players' notes are."""
    out: list[Group] = []
    at = start
    while at < end:
        here = [g for g in printed if g.onset == at and g.length > 0 and g.end <= end]
        resting = [g for g in here if g.notes[-1].find("rest") is not None]
        if not here:
            later = [g.onset for g in printed if at < g.onset < end]
            at = min(later, default=end)  # nobody's note ends here: an empty space
            continue
        chosen = max(resting or here, key=lambda g: g.length)
        out.append(_group(at, chosen.length, _as_rest(chosen.notes[-1])))
        at += chosen.length
    return out


def _as_rest(note: Element) -> Element:
    made = etree.Element("note")
    etree.SubElement(made, "rest")
    for tag in ("duration", "type", "dot", "time-modification"):
        for child in note.findall(tag):
            made.append(deepcopy(child))
    tuplets = note.findall("notations/tuplet")
    if tuplets:
        notations = etree.SubElement(made, "notations")
        for tuplet in tuplets:
            notations.append(deepcopy(tuplet))
    return made


def _group(onset: int, length: int, note: Element) -> Group:
    return Group(onset, length, "1", [note])


def tidy(bar: Element) -> None:
    """Beams and tuplets of which only a part is left go."""
    for voice in {n.findtext("voice") for n in bar.iterchildren("note")}:
        notes = [n for n in bar.iterchildren("note") if n.findtext("voice") == voice]
        _whole_beams([n for n in notes if n.find("chord") is None and n.find("grace") is None])
        _whole_tuplets(notes)


def _whole_beams(notes: list[Element]) -> None:
    run: list[Element] = []
    for note in notes:
        beams = [b for b in note.findall("beam") if b.get("number", "1") == "1"]
        said = (beams[0].text or "").strip() if beams else ""
        if said in ("continue", "end") and run:
            run.append(note)
            if said == "end":
                run = []
            continue
        _unbeam(run if said in ("", "begin") else [*run, note])
        run = [note] if said == "begin" else []
    _unbeam(run)


def _unbeam(notes: list[Element]) -> None:
    for note in notes:
        for beam in note.findall("beam"):
            note.remove(beam)


def _whole_tuplets(notes: list[Element]) -> None:
    open_: dict[str, Element] = {}
    for note in notes:
        for tuplet in note.findall("notations/tuplet"):
            number = tuplet.get("number", "1")
            if tuplet.get("type") == "start":
                if number in open_:
                    _drop(open_[number])
                open_[number] = tuplet
            elif open_.pop(number, None) is None:
                _drop(tuplet)
    for tuplet in open_.values():
        _drop(tuplet)


def paired_slurs(part: Element) -> None:
    """Slurs and wedges that begin or end with a note of another player go."""
    for path, ends in (("note/notations/slur", "stop"), ("direction/direction-type/wedge", "stop")):
        open_: dict[str, Element] = {}
        for sign in [s for bar in part for s in bar.iterfind(path)]:
            number = sign.get("number", "1")
            if sign.get("type") == "continue":
                continue
            if sign.get("type") != ends:
                if number in open_:
                    _drop(open_[number])
                open_[number] = sign
            elif open_.pop(number, None) is None:
                _drop(sign)
        for sign in open_.values():
            _drop(sign)


def _drop(sign: Element) -> None:
    above = sign.getparent()
    if above is None:
        return
    above.remove(sign)
    if above.tag == "direction-type" and not len(above):
        direction = above.getparent()
        if direction is not None:
            direction.remove(above)
            bar = direction.getparent()
            if direction.find("direction-type") is None and bar is not None:
                bar.remove(direction)


def complete_accidentals(part: Element) -> None:
    """Accidentals that stood with another player's note are added; none is taken away."""
    fifths = 0
    tied: set[tuple[int, float, int]] = set()
    for bar in part:
        standing: dict[tuple[int, int], float] = {}
        ending: set[tuple[int, float, int]] = set()
        for child, _ in _in_time(bar):
            if child.tag == "attributes":
                fifths = int(child.findtext("key/fifths") or fifths)
                continue
            pitch = child.find("pitch")
            if pitch is None:
                continue
            step = _STEPS.index(pitch.findtext("step") or "C")
            alter = float(pitch.findtext("alter") or 0)
            octave = int(pitch.findtext("octave") or 4)
            ties = {t.get("type") for t in child.iterchildren("tie")}
            held = "stop" in ties and (step, alter, octave) in tied
            before = standing.get((step, octave), key_alteration(step, fifths))
            if not held:
                standing[step, octave] = alter
                if alter != before and child.find("accidental") is None:
                    _add_accidental(child, alter)
            if "start" in ties:
                ending.add((step, alter, octave))
                tied.add((step, alter, octave))
        tied = ending


def _in_time(bar: Element) -> list[tuple[Element, int]]:
    at = onset = 0
    found = []
    for child in bar:
        length = int(child.findtext("duration") or 0)
        if child.tag == "backup":
            at -= length
        elif child.tag == "forward":
            at += length
        elif child.tag == "note":
            if child.find("chord") is None:
                onset = at
                at += length if child.find("grace") is None else 0
            found.append((child, onset))
        elif child.tag == "attributes":
            found.append((child, at))
    return sorted(found, key=lambda row: (row[1], row[0].tag != "attributes"))


def _add_accidental(note: Element, alter: float) -> None:
    sign = _SIGNS.get(int(alter)) if alter == int(alter) else None
    if sign is not None:
        add_child(note, "accidental", sign)
