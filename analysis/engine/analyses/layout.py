"""Facts of the page before any note: instruments, transposition, clefs, players, staves.

"Against the original layout" (contract): a file that shows two players on two staves is
compared with the parts as they are read here; the printed label decides.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from analysis.engine.analyses.spans import heads
from analysis.engine.analyses.speech import (
    finding,
    listed,
    names,
    number,
    part_value,
    place,
)
from analysis.engine.model import Evidence, Finding, Movement, PartReading, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "layout.part": "{place}: {parts}: {instrument}{players}{transposes}{clef}.",
        "layout.change": "From {place}: {parts} changes to {instrument}{transposes}.",
        "layout.shares": "{place}: {parts} share one staff.",
        "layout.absent": "{place}: there is no {absent}.",
    }
)

#: what a tutor expects to find or to miss: the usual orchestra of two of each and its additions
USUAL = (
    "flute", "oboe", "clarinet", "bassoon", "horn", "trumpet", "trombone", "timpani", "violin",
    "viola", "cello", "double-bass",
)  # fmt: skip
#: instruments that stand for another one: a score with a tenor trombone has trombones
STANDS_FOR = {
    "alto-trombone": ("trombone",),
    "tenor-trombone": ("trombone",),
    "bass-trombone": ("trombone",),
    "cello-and-bass": ("cello", "double-bass"),
    "piccolo-trumpet": ("trumpet",),
    "violone": ("double-bass",),
}


def clefs(table: ScoreTable, part: int, first: int, last: int) -> list[str]:
    """Clefs of a part in force in the bars, in order of appearance, e.g. ["C3", "G2"]."""
    start, end = table.bars[first].start, table.bars[last].end
    marks = [m for m in table.marks if m.kind == "clef" and m.part == part and m.onset < end]
    before = [m.text for m in marks if m.onset <= start][-1:]
    return list(dict.fromkeys(before + [m.text for m in marks if m.onset > start]))


def instruments_in(table: ScoreTable, movement: Movement | None = None) -> set[str]:
    """Keys of the instruments that have a part, in a movement that play a note in it."""
    found = set()
    for line in table.lines:
        rows = table.by_line[line.index]
        if movement is not None:
            inside = (rows["bar"] >= movement.first_bar) & (rows["bar"] <= movement.last_bar)
            if not inside.any():
                continue
        found.add(line.instrument)
        found |= {p.instrument for p in table.parts if p.index == line.part}
    for key in list(found):
        found |= set(STANDS_FOR.get(key, ()))
    return found


def absent(table: ScoreTable, movement: Movement) -> list[str]:
    """Usual instruments without a part that plays in the movement."""
    there = instruments_in(table, movement)
    if "unknown" in there:
        return []  # it might be the unread part
    return [key for key in USUAL if key not in there]


def sharing(table: ScoreTable) -> list[list[int]]:
    """Lines that stand on one part's staff together."""
    by_part: dict[int, list[int]] = defaultdict(list)
    for line in heads(table):
        by_part[table.lines[line].part].append(line)
    staves = {p: {int(s) for s in table.notes["staff"][table.notes["part"] == p]} for p in by_part}
    return [lines for p, lines in by_part.items() if len(lines) > 1 and len(staves[p]) < 2]


def find_layout(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "layout", for the whole of each movement."""
    found = []
    for movement in table.movements:
        for reading in table.first_readings:
            now = table.reading_at(reading.index, movement.first_bar)
            found.append(_part(table, now, movement))
        for lines in sharing(table):
            found.append(_shared(table, lines, movement))
        if missing := absent(table, movement):
            found.append(_absent(table, missing, movement))
    starts = {m.first_bar for m in table.movements}
    for reading in table.parts:
        if reading.from_bar and reading.from_bar not in starts:
            found.append(_change(table, reading))
    return found


def _words(reading: PartReading) -> dict[str, Any]:
    name = reading.instrument.replace("-", " ")
    if reading.crook:
        name += f" in {reading.crook}"
    move = reading.transposition
    count = len(reading.players)
    return {
        "instrument": name,
        "transposes": f", sounding {_distance(move)} than written" if move else "",
        "players": f", {count} players" if count > 1 else "",
    }


#: by semitones; beyond an octave "an octave and a tone"
_INTERVALS = (
    "",
    "a semitone",
    "a tone",
    "a minor third",
    "a major third",
    "a fourth",
    "a tritone",
    "a fifth",
    "a minor sixth",
    "a major sixth",
    "a minor seventh",
    "a major seventh",
)
_CLEFS = {"G2": "treble", "F4": "bass", "C3": "alto", "C4": "tenor", "C1": "soprano",
          "C2": "mezzo-soprano", "F3": "baritone", "G1": "French violin", "G2-8": "octave treble",
          "F4-8": "octave bass", "percussion": "percussion"}  # fmt: skip


def _distance(semitones: int) -> str:
    """ "a minor third lower", "an octave higher", "an octave and a tone lower"."""
    octaves, rest = divmod(abs(semitones), 12)
    whole = {0: [], 1: ["an octave"]}.get(octaves, [f"{number(octaves)} octaves"])
    words = listed([*whole, *([_INTERVALS[rest]] if rest else [])])
    return f"{words} {'higher' if semitones > 0 else 'lower'}"


def _clef_words(used: Sequence[str]) -> str:
    """ ", in the treble clef", ", in the bass and tenor clefs"."""
    if not used:
        return ""
    return f", in the {listed([_CLEFS.get(c, c) for c in used])} clef{'s' if len(used) > 1 else ''}"


def _lines(table: ScoreTable, part: int) -> list[int]:
    return [line.index for line in table.lines if line.part == part]


def _whole(
    table: ScoreTable,
    value: dict[str, Any],
    lines: list[int],
    first: int,
    last: int,
    template: str,
    params: dict[str, Any],
) -> Finding:
    return finding(
        table,
        {"kind": "layout", **value},
        start=table.bars[first].start,
        end=table.bars[last].end,
        lines=lines,
        evidence=_first(table, lines, first, last),
        template=template,
        params={"place": place(table, first, last), **params},
    )


def _first(table: ScoreTable, lines: list[int], first: int, last: int) -> list[Evidence]:
    """First note of each line; the part's rests where it has none."""
    found = []
    for line in lines:
        rows = table.by_line[line]
        rows = rows[(rows["bar"] >= first) & (rows["bar"] <= last)][:1]
        id_ = table.first_readings[table.lines[line].part].id
        if len(rows):
            found.append(Evidence(ids=tuple(table.note_ids(rows))))
        else:
            found.append(Evidence(part=id_, bars=(first, last)))
    return found


def _part(table: ScoreTable, reading: PartReading, movement: Movement) -> Finding:
    lines = _lines(table, reading.index)
    used = clefs(table, reading.index, movement.first_bar, movement.last_bar)
    value: dict[str, Any] = {
        "parts": [reading.id],
        "transposition": reading.transposition,
    }
    if reading.instrument != "unknown":
        value["instrument"] = reading.instrument
    if len(used) == 1:
        value["clef"] = used[0]
    if reading.players:
        value["players"] = len(reading.players)
    words = _words(reading)
    words["clef"] = _clef_words(used)
    return _whole(
        table,
        value,
        lines,
        movement.first_bar,
        movement.last_bar,
        "layout.part",
        {"parts": reading.label, **words},
    )


def _change(table: ScoreTable, reading: PartReading) -> Finding:
    movement = table.movements[table.bars[reading.from_bar].movement]
    later = [
        p.from_bar
        for p in table.parts
        if p.index == reading.index and p.from_bar > reading.from_bar
    ]
    last = min([movement.last_bar, *(b - 1 for b in later)])
    value: dict[str, Any] = {"parts": [reading.id], "transposition": reading.transposition}
    if reading.instrument != "unknown":
        value["instrument"] = reading.instrument
    found = _whole(
        table,
        value,
        _lines(table, reading.index),
        reading.from_bar,
        last,
        "layout.change",
        {"parts": reading.label, **_words(reading)},
    )
    return found


def _shared(table: ScoreTable, lines: list[int], movement: Movement) -> Finding:
    return _whole(
        table,
        {
            "parts": [part_value(table, lines[0])],
            "shares-staff-with": [part_value(table, line) for line in lines[1:]],
        },
        lines,
        movement.first_bar,
        movement.last_bar,
        "layout.shares",
        {"parts": names(table, lines)},
    )


def _absent(table: ScoreTable, missing: list[str], movement: Movement) -> Finding:
    words = [key.replace("-", " ") for key in missing]
    said = words[0] if len(words) == 1 else ", ".join(words[:-1]) + " or " + words[-1]
    return _whole(
        table,
        {"parts": [], "absent": missing},
        [],
        movement.first_bar,
        movement.last_bar,
        "layout.absent",
        {"absent": said},
    )
