"""Findings as facts that can be compared: by names of lines, without whose turn it is to be named.

Two findings are the same fact if template, bars, moments, lines, value and confidence are, where
lists of parts are sets and a relation of two lines may be told from either of them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any

from analysis.engine.analyses.doubling import all_runs
from analysis.engine.analyses.registry import Analysis
from analysis.engine.model import Finding, ScoreTable
from analysis.engine.pitch import parse_key, parse_note_name, parse_pitch
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

Fact = tuple[Any, ...]
Facts = Counter[Fact]
_EITHER = frozenset({"full", "partial"})  # coverages that say the same from either line


def findings(t: ScoreTable, analysis: Analysis) -> list[Finding]:
    """Found once a table."""
    kept: dict[str, list[Finding]] = t.__dict__.setdefault("_found_in_tests", {})
    if analysis.name not in kept:
        kept[analysis.name] = analysis.find(t, Settings())
    return kept[analysis.name]


def facts(t: ScoreTable, analysis: Analysis) -> Facts:
    """All facts of an analysis, with how often each is found."""
    names = part_names(t)
    return Counter(_fact(t, f, names) for f in findings(t, analysis))


def said(t: ScoreTable, analysis: Analysis) -> Facts:
    """The same with the sentences and the notes that prove them, to the letter."""
    names = part_names(t)
    return Counter(
        (*_fact(t, f, names), render(f.sentence), _proof(f)) for f in findings(t, analysis)
    )


def moved(t: ScoreTable, analysis: Analysis, semitones: int) -> Facts:
    """The facts with every key, root and pitch as a number, so many semitones higher."""
    names = part_names(t)
    return Counter(
        _fact(t, f, names, lambda value: _shifted(value, semitones)) for f in findings(t, analysis)
    )


def without_own_staff(t: ScoreTable, analysis: Analysis) -> Facts:
    """The facts about lines of different instruments: nothing of two players of one, nor of who
    is left alone, which they decide."""
    instrument = {line.name: line.instrument for line in t.lines}
    out: Facts = Counter()
    for fact, times in facts(t, analysis).items():
        others = len({instrument[name] for name in fact[5]}) == len(fact[5])
        if others and dict(fact[6]).get("coverage") != "none":
            out[fact] += times
    return out


def by_groups(t: ScoreTable, analysis: Analysis) -> set[Fact]:
    """The facts with each line named after the first, by name, of those that double it there.

    For analyses that name one of several lines that go together: which one is the page's.
    """
    names, doubled = part_names(t), _doublings(t)
    out = set()
    for f in findings(t, analysis):
        alias = _aliases(t, doubled, f)
        told = _renamed(_fact(t, f, names, _without_octaves), alias)
        if not _of_itself(told):
            out.add(told)
    return out


def _without_octaves(value: dict[str, Any]) -> dict[str, Any]:
    """Distances as pitch classes: another line of a group may lie in another octave."""
    out = {k: v for k, v in value.items() if k != "octaves"}
    if isinstance(out.get("interval"), int):
        out["interval"] %= 12
    return out


def _of_itself(told: Fact) -> bool:
    """A doubling within a group: which pairs of it are told is the page's; `runs` has them all."""
    value = dict(told[6])
    return value.get("kind") == "doubling" and value.get("parts") == value.get("with", ())


def runs(t: ScoreTable) -> Facts:
    """All doublings between two lines: the facts behind those that are told."""
    out: Facts = Counter()
    for run in all_runs(t, Settings()):
        a, b, octaves = t.lines[run.a].name, t.lines[run.b].name, run.octaves
        shares: tuple[int, ...] = (run.of_a, run.of_b)
        if a > b:
            a, b, octaves, shares = b, a, -octaves, shares[::-1]
        out[a, b, octaves, run.coverage, run.start, run.end, run.met, shares] += 1
    return out


def part_names(t: ScoreTable) -> dict[str, str]:
    """Id of a part that is one line -> name of that line."""
    ids: dict[str, list[str]] = {}
    for line in t.lines:
        ids.setdefault(t.first_readings[line.part].id, []).append(line.name)
    return {id_: own[0] for id_, own in ids.items() if len(own) == 1}


def _fact(
    t: ScoreTable,
    f: Finding,
    names: dict[str, str],
    change: Callable[[dict[str, Any]], dict[str, Any]] = dict,
) -> Fact:
    lines = tuple(sorted(t.lines[i].name for i in f.lines))
    value = _frozen(_told(change(_at_their_moments(_named(dict(f.value), t, names), t))))
    return (f.sentence.template, f.first, f.last, f.start, f.end, lines, value,
            round(f.confidence, 6))  # fmt: skip


def _proof(f: Finding) -> Fact:
    return tuple(e.ids or (e.part, e.bars) for e in f.evidence)


def _named(value: Any, t: ScoreTable, names: dict[str, str]) -> Any:
    """Ids of parts, and parts with players, as names of lines."""
    if isinstance(value, dict):
        if set(value) == {"part", "player"}:
            return _line_of(t, value)
        return {names.get(k, k): _named(v, t, names) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_named(v, t, names) for v in value]
    return names.get(value, value) if isinstance(value, str) else value


def _at_their_moments(value: dict[str, Any], t: ScoreTable) -> dict[str, Any]:
    """Ids of notes as the onsets of what sounds."""
    if value.get("notes") and isinstance(value["notes"][0], str):
        moments: dict[str, int] = t.__dict__.setdefault("_moments_in_tests", {})
        if not moments:
            moments.update(
                (t.ids[s], int(o)) for s, o in zip(t.notes["src"], t.notes["onset"], strict=True)
            )
        value["notes"] = [moments[i] for i in value["notes"]]
    return value


def _line_of(t: ScoreTable, value: dict[str, Any]) -> str:
    number = value["player"]
    own = [x for x in t.lines if t.first_readings[x.part].id == value["part"]]
    mask = 1 << (number - 1) if isinstance(number, int) else 0
    return next((x.name for x in own if x.players == mask), f"{own[0].name}, {number}")


def _told(value: dict[str, Any]) -> dict[str, Any]:
    """Lists of parts as sets; a relation told from the one of the two whose name comes first."""
    for name in ("parts", "with", "pair", "added", "left"):
        if name in value:
            value[name] = sorted(value[name])
    one, other, steps = value.get("parts"), value.get("with"), value.get("steps")
    either = value["kind"] == "parallel" or value.get("coverage") in _EITHER
    if either and one and other and len(one) == len(other) == 1 and one > other:
        value |= {"parts": other, "with": one}
        if value.get("octaves"):
            value["octaves"] = -value["octaves"]
    if one and steps:
        for step in steps:
            step["with"] = sorted(step["with"])
        partners = {tuple(step["with"]) for step in steps if step["with"]}
        if len(partners) == 1 and len(one) == 1:  # the course of a pair, told from either
            ((partner, *more),) = partners
            if not more and one[0] > partner:
                value["parts"] = [partner]
                for step in steps:
                    step["with"] = one if step["with"] else []
                    if step.get("octaves"):
                        step["octaves"] = -step["octaves"]
    return value


def _shifted(value: dict[str, Any], semitones: int) -> dict[str, Any]:
    out = dict(value)
    if "key" in out:
        out["key"] = _key(out["key"], semitones)
    if "keys" in out:
        out["keys"] = [_key(k, semitones) for k in out["keys"]]
    for name in ("root", "pitch"):
        if out.get(name):
            out[name] = _number(out[name], semitones)
    if "pitches" in out:
        out["pitches"] = sorted(_number(p, semitones) for p in out["pitches"])
    return out


def _key(name: str, semitones: int) -> tuple[int, str]:
    tonic, mode = parse_key(name).sound
    return (tonic + semitones) % 12, mode


def _number(name: str, semitones: int) -> int:
    """MIDI number of a pitch, negative: pitch class - 12 of a name without octave."""
    if name[-1].isdigit():
        return parse_pitch(name).midi + semitones
    found = parse_note_name(name)
    assert found is not None
    return (found.pc + semitones) % 12 - 12


def _doublings(t: ScoreTable) -> list[tuple[int, int, int, int]]:
    found = all_runs(t, Settings())
    return [(r.first, r.last, r.a, r.b) for r in found if r.coverage in {"full", "noted"}]


def _aliases(t: ScoreTable, doubled: list[tuple[int, int, int, int]], f: Finding) -> dict[str, str]:
    group = list(range(len(t.lines)))

    def root(line: int) -> int:
        while group[line] != line:
            line = group[line]
        return line

    for first, last, a, b in doubled:
        if first <= f.last and f.first <= last:
            group[root(a)] = root(b)
    first_name: dict[int, str] = {}
    for line in t.lines:
        name = first_name.get(root(line.index), line.name)
        first_name[root(line.index)] = min(name, line.name)
    return {line.name: first_name[root(line.index)] for line in t.lines}


def _renamed(value: Any, alias: dict[str, str]) -> Any:
    """Lines as their groups, without repeats."""
    if isinstance(value, tuple):
        if value and all(isinstance(v, str) and v in alias for v in value):
            return tuple(sorted({alias[v] for v in value}))
        return tuple(_renamed(v, alias) for v in value)
    return alias.get(value, value) if isinstance(value, str) else value


def _frozen(value: Any) -> Any:
    if isinstance(value, dict):
        return tuple(sorted(((k, _frozen(v)) for k, v in value.items()), key=lambda kv: kv[0]))
    return tuple(_frozen(v) for v in value) if isinstance(value, list | tuple) else value
