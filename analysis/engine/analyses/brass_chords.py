"""Natural brass that explains itself: what it can supply of a chord, and in each key.

Per chord at a telling place: what the first player has of it, what the second, what nobody has.
Per key of the route: which notes of its tonic and dominant chords are open. Players are asked
for the partials they usually have (Prout, Forsyth and Berlioz agree in outline); "nobody" asks
for all partials the instrument has at all. Doubtful partials are neither supplied nor missing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from analysis.engine.analyses.chords import find_chords
from analysis.engine.analyses.harmony import Harmony, harmony
from analysis.engine.analyses.harmony_names import Chord
from analysis.engine.analyses.key_route import Stretch, route, stretches_of
from analysis.engine.analyses.natural_brass import Group, groups_at
from analysis.engine.analyses.open_tones import UNSURE
from analysis.engine.analyses.speech import finding, names, part_values, place
from analysis.engine.model import Evidence, Finding, ScoreTable
from analysis.engine.pitch import Key, from_midi, spelled
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "open-tones.chord": (
            "{place}: of {chord} ({tones}) {supply}{together}{nobody}. They play {played}."
        ),
        "open-tones.chord-rest": (
            "{place}: of {chord} ({tones}) {supply}{together}{nobody}. They rest."
        ),
        "open-tones.key": (
            "{place}: in {key} {who} {have}, of the notes of tonic and dominant, "
            "{pitches}{missing}."
        ),
        "open-tones.key-all": (
            "{place}: in {key} {who} {have} every note of tonic and dominant: {pitches}."
        ),
    }
)

INSTRUMENTS = ("horn", "trumpet")
MOST = 4  # chords told of one movement: common practice
_PLURAL = {"horn": ("horn", "horns"), "trumpet": ("trumpet", "trumpets")}


def find_brass_in_chords(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "open-tones": what the horns have of the first and of held chords."""
    known = harmony(table)
    found: list[Finding] = []
    for movement in table.movements:
        inside: list[Finding] = []
        for told in find_chords(table, settings):
            chord = known.at(told.start)
            pair = _pair(groups_at(table, settings, told.first, "horn"))
            if told.movement == movement.index and chord is not None and pair is not None:
                inside += _in_chord(table, known, chord, told, pair, settings)
        # where something is lacking there is something to explain
        inside.sort(key=lambda f: not f.value.get("missing"))
        found += sorted(inside[:MOST], key=lambda f: f.start)
    return found


def _pair(here: Sequence[Group]) -> tuple[tuple[int, Group], tuple[int, Group]] | None:
    """Two players to ask together: of two crooks if there are two, else the first two."""
    if len(here) > 1:
        return (here[0].lines[0], here[0]), (here[1].lines[0], here[1])
    if here and len(here[0].lines) > 1:
        return (here[0].lines[0], here[0]), (here[0].lines[1], here[0])
    return None


def _in_chord(
    table: ScoreTable,
    known: Harmony,
    chord: Chord,
    told: Finding,
    pair: tuple[tuple[int, Group], tuple[int, Group]],
    settings: Settings,
) -> list[Finding]:
    lines = [line for line, _ in pair]
    open_ = frozenset().union(*(g.open(settings) for _, g in pair))
    unsure = frozenset().union(*(g.doubtful(settings) for _, g in pair))
    order = [(chord.root + t) % 12 for t in chord.tones]
    spell = Speller(known.spelling.letters(chord.start, chord.end))
    supplied = [pc for pc in order if pc in open_]
    closed = [pc for pc in order if pc not in open_ | unsure]
    half = [pc for pc in order if pc not in open_ and pc in unsure]
    supply = []
    both: set[int] = set()
    for line, group in pair:
        classes = {p % 12 for p in group.usual(line, table)}
        own = [pc for pc in order if pc in classes]
        both |= set(own)
        who = names(table, [line])
        supply.append(f"{who} has {_said(spell(own))}" if own else f"{who} has nothing")
    together = f"; together {_said(spell(pc for pc in order if pc in both))}"
    if len({s.split(" has ")[1] for s in supply}) == 1:  # both have the same
        supply = [f"{names(table, lines)} each have {supply[0].split(' has ')[1]}"]
        together = ""
    rows = [
        r
        for line in lines
        for r in table.by_line[line][
            (table.by_line[line]["onset"] < told.end)
            & (table.by_line[line]["onset"] + table.by_line[line]["duration"] > told.start)
        ]
    ]
    played = list(dict.fromkeys(spelled(int(r["step"]), int(r["alter"])) for r in rows))
    ids = [table.ids[int(r["src"])] for r in rows]
    value = {
        "kind": "open-tones",
        "parts": part_values(table, lines),
        "pair": part_values(table, lines),
        "pitches": spell(supplied),
        "missing": spell(pc for pc in closed if all(g.closed([pc]) for _, g in pair)),
    }
    if not value["pitches"] and not value["missing"]:
        return []  # out of tune all of it
    one = finding(
        table,
        {k: v for k, v in value.items() if v},
        start=told.start,
        end=told.end,
        lines=lines,
        evidence=[Evidence(ids=tuple(dict.fromkeys(ids)))] if ids else _rests(table, lines, told),
        template="open-tones.chord" if played else "open-tones.chord-rest",
        params={
            "place": place(table, told.first, told.last),
            "chord": known.spelling.words(chord),
            "tones": ", ".join(spell(order)),
            "supply": ", ".join(supply),
            "together": together,
            "nobody": (f"; nobody has {_said(spell(closed))}" if closed else "")
            + (f"; {_said(spell(half))} only out of tune" if half else ""),
            "played": _said(played) if played else "",
        },
        confidence=told.confidence,
    )
    return [one]


def _rests(table: ScoreTable, lines: Iterable[int], told: Finding) -> list[Evidence]:
    parts = dict.fromkeys(table.first_readings[table.lines[line].part].id for line in lines)
    return [Evidence(part=part, bars=(told.first, told.last)) for part in parts]


class Speller:
    """Names of pitch classes as a passage spells them, else plainly."""

    def __init__(self, letters: dict[int, tuple[int, int]], fifths: int | None = None) -> None:
        self.letters = letters
        self.fifths = fifths

    def __call__(self, classes: Iterable[int]) -> list[str]:
        return [spelled(*self._one(pc)) for pc in classes]

    def _one(self, pc: int) -> tuple[int, int]:
        if pc in self.letters:
            return self.letters[pc]
        pitch = from_midi(60 + pc, self.fifths)
        return pitch.step, pitch.alter


def find_brass_in_keys(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "open-tones": each settled key once, with each crook's notes of it."""
    found = []
    for movement in table.movements:
        seen: set[object] = set()
        for stretch in route(stretches_of(table, settings)[movement.index]):
            alike: dict[int, list[Group]] = {}  # horns and trumpets on one note have the same
            for instrument in INSTRUMENTS:
                for group in groups_at(table, settings, stretch.first, instrument):
                    alike.setdefault(group.crook.pc, []).append(group)
            for pc, here in alike.items():
                key = (stretch.key.sound, pc)
                if key not in seen:
                    seen.add(key)
                    found.append(_in_key(table, stretch, here, settings))
    return found


def wanted(key: Key) -> list[int]:
    """Pitch classes of the tonic and the dominant chord, tonic first."""
    third = 4 if key.mode == "major" else 3
    return [(key.tonic + s) % 12 for s in (0, third, 7, 11, 2)]


def _in_key(
    table: ScoreTable, stretch: Stretch, here: Sequence[Group], settings: Settings
) -> Finding:
    key, group = stretch.key, here[0]
    spell = Speller({}, key.fifths)
    tones = wanted(key)
    open_ = [pc for pc in tones if pc in group.open(settings)]
    closed = [pc for pc in tones if pc not in group.open(settings) | group.doubtful(settings)]
    half = [pc for pc in tones if pc not in open_ and pc not in closed]
    lines = [line for g in here for line in g.lines]
    value = {
        "kind": "open-tones",
        "parts": part_values(table, lines),
        "crook": min((g.crook.name for g in here), key=len),
        "pitches": spell(open_),
        "missing": spell(group.closed(closed)),
    }
    rows = [
        table.by_line[line][
            (table.by_line[line]["bar"] >= stretch.first)
            & (table.by_line[line]["bar"] <= stretch.last)
        ][:8]
        for line in lines
    ]
    proof = [Evidence(ids=tuple(table.note_ids(r))) for r in rows if len(r)]
    if not proof:
        part = table.first_readings[table.lines[lines[0]].part].id
        proof = [Evidence(part=part, bars=(stretch.first, stretch.last))]
    return finding(
        table,
        {k: v for k, v in value.items() if v},
        start=table.bars[stretch.first].start,
        end=table.bars[stretch.last].end,
        lines=lines,
        evidence=proof,
        template="open-tones.key-all" if len(open_) == len(tones) else "open-tones.key",
        params={
            "place": place(table, stretch.first, stretch.last),
            "key": key.words,
            "who": _who(here),
            "have": "have" if len(lines) > 1 else "has",
            "pitches": _said(spell(open_)),
            "missing": (f", but no {' and no '.join(spell(closed))}" if closed else "")
            + (f"; {_said(spell(half))} only out of tune" if half else ""),
        },
        confidence=min(stretch.confidence, 1.0 if value["pitches"] else UNSURE),
    )


def _who(here: Sequence[Group]) -> str:
    """ "the horns in C basso and the trumpet in C"."""
    said: dict[tuple[str, str], int] = {}
    for group in here:
        at = (group.instrument, group.crook.words)
        said[at] = said.get(at, 0) + len(group.lines)
    return " and ".join(
        f"the {_PLURAL[instrument][count > 1]} in {crook}"
        for (instrument, crook), count in said.items()
    )


def _said(words: Sequence[str]) -> str:
    if not words:
        return "nothing"
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]
