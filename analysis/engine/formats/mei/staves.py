"""Staff definitions: which staves there are, what parts they make, what holds in them."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from analysis.engine.errors import Refused
from analysis.engine.formats.mei import values
from analysis.engine.formats.mei.tree import Element, words
from analysis.engine.formats.piece import Change, Clef, Group, Part
from analysis.engine.gate.limits import Limits

_AGAIN = "Export the score again, best as MusicXML, and upload the new file."
_SYMBOLS = {"brace": "brace", "bracket": "bracket", "bracketsq": "square", "line": "line"}


@dataclass
class Staff:
    """A staff and what holds in it."""

    n: str
    part: int
    index: int  # within the part, from 1
    fifths: int = 0
    meter: Fraction | None = None  # quarters of a bar
    unit: int = 4
    duration: str = ""  # default of its notes
    octave: str = ""
    percussion: bool = False
    pending: list[Change] = field(default_factory=list)


@dataclass
class Layout:
    staves: dict[str, Staff] = field(default_factory=dict)
    parts: list[Part] = field(default_factory=list)
    groups: list[Group] = field(default_factory=list)


def layout(score_def: Element, limits: Limits) -> Layout:
    """The parts of a score definition.

    Staves under one brace whose name stands at the brace are one part (piano,
    harp); braced staves with names of their own are parts of their own.
    """
    made = Layout()
    for group in score_def.iterchildren("staffGrp", "staffDef"):
        _group(group, made)
    if not made.staves:
        raise Refused(f"The file defines no staff. {_AGAIN}", code="no-staff")
    if len(made.parts) > limits.parts:
        raise Refused(
            f"The score lists {len(made.parts)} parts; at most {limits.parts} are taken. Put "
            "several players on one staff, or leave parts out, and upload it again.",
            code="parts")  # fmt: skip
    for definition in score_def.iter("staffDef"):
        whole = score_def
        take(whole, made.staves[definition.get("n", "")], "")
        take(definition, made.staves[definition.get("n", "")], "")
    return made


def _group(element: Element, made: Layout) -> None:
    if element.tag == "staffDef":
        made.parts.append(_part([element], element, made))
        return
    children = [c for c in element if c.tag in ("staffGrp", "staffDef")]
    symbol = _symbol(element)
    own = [c for c in children if c.tag == "staffDef"]
    if symbol == "brace" and 2 <= len(own) == len(children) <= 4:
        named = [c for c in own if label(c)]
        if len(named) == 0 or (len(named) == 1 and not label(element)):
            made.parts.append(_part(own, element if label(element) else (named or own)[0], made))
            return
    first = len(made.parts)
    at = len(made.groups)
    for child in children:
        _group(child, made)
    if symbol and len(made.parts) - first > 1:
        made.groups.insert(at, Group(first, len(made.parts) - 1, symbol, label(element)))


def _part(definitions: list[Element], named: Element, made: Layout) -> Part:
    number = len(made.parts)
    for i, definition in enumerate(definitions, 1):
        n = definition.get("n", "")
        if not n or n in made.staves:
            raise Refused(f"Staves of the file share a number, or one is not numbered. {_AGAIN}",
                          code="staff-number")  # fmt: skip
        made.staves[n] = Staff(n, number, i)
    instrument = next((d for e in (named, *definitions) for d in e.iterchildren("instrDef")), None)
    program = instrument.get("midi.instrnum") if instrument is not None else None
    return Part(
        name=label(named) or f"Part {number + 1}",
        abbreviation=label(named, short=True),
        staves=len(definitions),
        program=int(program) if program and program.isdecimal() and int(program) < 128 else None,
        drums=instrument is not None and instrument.get("midi.channel") in ("9", "10"),
    )


def _symbol(group: Element) -> str:
    sign = group.find("grpSym")
    return _SYMBOLS.get(sign.get("symbol", "") if sign is not None else group.get("symbol", ""), "")


def label(element: Element, *, short: bool = False) -> str:
    """Printed name of a staff or group."""
    inner = element.find("labelAbbr" if short else "label")
    if inner is not None:
        return words(inner)
    return " ".join(element.get("label.abbr" if short else "label", "").split())


# -- keys, clefs, metres ------------------------------------------------------------


def take(definition: Element, staff: Staff, where: str) -> None:
    """Let a score or staff definition, or its like inside music, change a staff."""
    change = read_change(definition, staff, where)
    if change is not None:
        staff.pending.append(change)
    staff.duration = definition.get("dur.default", staff.duration)
    staff.octave = definition.get("oct.default", staff.octave)


def read_change(element: Element, staff: Staff, where: str) -> Change | None:
    """The change an element brings to a staff; the staff's own state follows it."""
    change = Change(staff=staff.index)
    _key(element, staff, change)
    _meter(element, staff, change, where)
    _clef(element, staff, change, where)
    if element.get("lines") is not None and element.tag == "staffDef":
        lines = values.whole(element.get("lines"), 0, 12, "the number of staff lines", where)
        change.lines = lines if lines != 5 else None
    if element.get("trans.semi") is not None:
        semitones = values.whole(element.get("trans.semi"), -60, 60, "a transposition", where)
        steps = element.get("trans.diat")
        change.transpose = (
            values.whole(steps, -40, 40, "a transposition", where)
            if steps is not None
            else _steps(semitones),
            semitones,
        )
    return change if change != Change(staff=staff.index) else None


def _steps(semitones: int) -> int:
    steps = (0, 1, 1, 2, 2, 3, 4, 4, 5, 5, 6, 6)
    octaves, rest = divmod(abs(semitones), 12)
    count = 7 * octaves + steps[rest]
    return count if semitones >= 0 else -count


def _inner(element: Element, name: str) -> Element | None:
    return element if element.tag == name else element.find(name)


def _key(element: Element, staff: Staff, change: Change) -> None:
    inner = _inner(element, "keySig")
    if inner is not None:
        value, mode = inner.get("sig"), inner.get("mode", "")
    else:
        value = element.get("keysig", element.get("key.sig"))
        mode = element.get("key.mode", "")
    count = None if value is None else values.fifths(value)
    if count is not None:
        staff.fifths = change.fifths = count
        change.mode = mode


def _meter(element: Element, staff: Staff, change: Change, where: str) -> None:
    inner = _inner(element, "meterSig")
    if inner is None and element.find("meterSigGrp/meterSig") is not None:
        inner = element.find("meterSigGrp/meterSig")
    if inner is not None:
        count, unit, symbol = inner.get("count"), inner.get("unit"), inner.get("sym", "")
    else:
        count, unit = element.get("meter.count"), element.get("meter.unit")
        symbol = element.get("meter.sym", "")
    if count is None and symbol in ("common", "cut"):
        count, unit = ("4", "4") if symbol == "common" else ("2", "2")
    if symbol == "open":
        change.unmetered, staff.meter = True, None
    if count is None:
        return
    shown, total = values.beats(count, where)
    lower = values.whole(unit or "4", 1, 128, "the lower number of a time signature", where)
    change.time, staff.unit = (shown, lower), lower
    change.time_symbol = symbol if symbol in ("common", "cut") else ""
    staff.meter = total * 4 / lower


def _clef(element: Element, staff: Staff, change: Change, where: str) -> None:
    inner = _inner(element, "clef")
    prefix = "" if inner is not None else "clef."
    given = inner if inner is not None else element
    shape = given.get(prefix + "shape")
    if shape is None:
        return
    staff.percussion = shape == "perc"
    if shape == "perc":
        change.clef = Clef("percussion")
        return
    octave = {"8": 1, "15": 2, "22": 3}.get(given.get(prefix + "dis", ""), 0)
    if given.get(prefix + "dis.place") == "below":
        octave = -octave
    sign = {"GG": "G", "TAB": "TAB"}.get(shape, shape)
    if shape == "GG":
        octave = -1
    if sign not in ("G", "F", "C", "TAB"):
        return
    line = given.get(prefix + "line")
    default = {"G": 2, "F": 4, "C": 3}.get(sign, 5)
    change.clef = Clef(
        sign,
        default if line is None else values.whole(line, 1, 12, "the line of a clef", where),
        octave,
    )
