"""Reading the sentences of `tests/data/sentences` and holding proposals against them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from analysis.engine import names, places
from analysis.engine.claims.chord_words import quality_named
from analysis.engine.claims.fields import PartName
from analysis.engine.model import ScoreTable
from analysis.engine.pitch import parse_key
from analysis.engine.prose import Proposal

FOLDER = Path(__file__).parents[2] / "data" / "sentences"
PART_FIELDS = ("parts", "with", "upper", "lower", "from", "to", "side", "predominant")
#: Fields of parts as well; held against a proposal where the list names one.
NAMED_THEN = ("added", "left")
Units = frozenset[tuple[int, tuple[int, ...]]]


@dataclass(frozen=True)
class Said:
    """A sentence and what it says: "ask", "none", or a kind with fields as typed.

    `others` are the other readings a person would take for right as well.
    """

    text: str
    kind: str
    fields: dict[str, str]
    denied: bool = False
    others: tuple[Said, ...] = ()


def said(file: str) -> list[Said]:
    rows = [line.split("\t") for line in (FOLDER / file).read_text("utf-8").splitlines() if line]
    found = []
    for text, expected in rows:
        first, *others = [_read(text, piece) for piece in expected.split("||")]
        found.append(replace(first, others=tuple(others)))
    return found


def _read(text: str, expected: str) -> Said:
    kind, *rest = [piece.strip() for piece in expected.split(";")]
    fields = dict(piece.split("=", 1) for piece in rest if "=" in piece)
    return Said(text, kind, fields, "not" in rest)


def units(named: Any, table: ScoreTable) -> Units:
    """Who is meant, as lines; of one name or a list of names."""
    found: set[tuple[int, tuple[int, ...]]] = set()
    for name in [named] if isinstance(named, str) else named:
        for unit in names.resolve(PartName(name), table, 0).units:
            found.add((unit.part, unit.lines))
    return frozenset(found)


def wrong(one: Said, proposal: Proposal, table: ScoreTable) -> str:
    """What is wrong with a proposal; "" if nothing is, by one of the readings."""
    problem = _wrong(one, proposal, table)
    if problem and any(not _wrong(other, proposal, table) for other in one.others):
        return ""
    return problem


def _wrong(one: Said, proposal: Proposal, table: ScoreTable) -> str:
    claim = proposal.claim
    if one.kind == "none":
        return "" if claim is None else f"proposed {claim['kind']}"
    if one.kind == "ask":
        # Bars that are not named are asked for by the form ("Where?").
        open_ = claim is None or "bars" not in claim or proposal.questions
        return "" if open_ else "should have asked"
    if claim is None or proposal.questions:
        return f"asked {list(proposal.questions)}" if claim else "not recognised"
    if claim["kind"] != one.kind:
        return f"took it for {claim['kind']}"
    if bool(claim.get("negated")) != one.denied:
        return "denied or not"
    if problem := _wrong_parts(one, proposal, table):
        return problem
    for name in ("octaves", "levels"):
        # A distance nobody named must not be made up.
        if name not in one.fields and claim.get(name) is not None:
            return f"{name}: {claim.get(name)!r}"
    for name, value in one.fields.items():
        if name in (*PART_FIELDS, *NAMED_THEN, "member", "steps", "entries"):
            continue
        if not _equal(name, value, claim.get(name), table):
            return f"{name}: {claim.get(name)!r}"
    return ""


def wrong_parts(one: Said, proposal: Proposal, table: ScoreTable) -> str:
    """Whether a certain proposal names other parts than the sentence: the one thing never to do."""
    problems = [_wrong_parts(each, proposal, table) for each in (one, *one.others)]
    return "" if "" in problems else problems[0]


def _wrong_parts(one: Said, proposal: Proposal, table: ScoreTable) -> str:
    claim = proposal.claim
    if not proposal.sure or claim is None:
        return ""
    if one.kind == claim["kind"] and (one.kind == "parallel" or claim.get("direction") is False):
        # Neither side leads: who is named first says nothing.
        said_of = [n for f in ("parts", "with") for n in one.fields.get(f, "").split("+") if n]
        there = [n for f in ("parts", "with") for n in claim.get(f) or []]
        return "" if units(there, table) == units(said_of, table) else f"parts: {there!r}"
    if one.kind in ("ask", "none"):
        named = any(claim.get(name) for name in PART_FIELDS) and "bars" in claim
        return "certain where it should have asked" if named else ""
    for name in PART_FIELDS:
        wanted = units(one.fields[name].split("+") if name in one.fields else [], table)
        if units(claim.get(name) or [], table) != wanted:
            return f"{name}: {claim.get(name)!r}"
    for name in NAMED_THEN:
        if name in one.fields and units(claim.get(name) or [], table) != units(
            one.fields[name].split("+"), table
        ):
            return f"{name}: {claim.get(name)!r}"
    for name in ("steps", "entries"):
        if name in one.fields and _rows(one.fields[name], table) != _row_of(claim, name, table):
            return f"{name}: {claim.get(name)!r}"
    member = one.fields.get("member")
    if member:
        part, word = member.split(":")
        heard = {(units(p, table), w) for p, w in claim.get("member", {}).items()}
        if heard != {(units(part, table), word)}:
            return f"member: {claim.get('member')!r}"
    return ""


def _rows(value: str, table: ScoreTable) -> list[tuple[Any, ...]]:
    """What "1-4>Viola/5-8>Oboe 1" (steps) or "Viola@17/Oboe 1@18" (entries) says."""
    found: list[tuple[Any, ...]] = []
    for row in value.split("/"):
        if "@" in row:
            part, bar = row.split("@")
            found.append((units(part, table), bar))
        else:
            bars, others = row.split(">")
            first, last = (bars if "-" in bars else f"{bars}-{bars}").split("-")
            span = places.resolve([first, last], table)
            company = [name for name in others.split("+") if name]  # none: alone
            found.append((units(company, table), span.first, span.last))
    return found


def _row_of(claim: dict[str, Any], name: str, table: ScoreTable) -> list[tuple[Any, ...]]:
    found: list[tuple[Any, ...]] = []
    for row in claim.get(name) or []:
        if name == "entries":
            at = row["at"]
            found.append((units(row["part"], table), at["bar"] if isinstance(at, dict) else at))
        else:
            span = places.resolve(row["bars"], table)
            found.append((units(row.get("with") or [], table), span.first, span.last))
    return found


def _equal(name: str, value: str, there: Any, table: ScoreTable) -> bool:
    if there is None:
        return False
    if name in ("at", "breaks-at"):
        bar, _, beat = value.partition(":")
        return bool(there == {"bar": bar, **({"beat": int(beat)} if beat else {})})
    if name == "beats":
        return [float(n) for n in there] == [float(n) for n in value.split("+")]
    if name == "direction":
        return bool(there is (value == "true"))
    if name in ("bars", "bars2"):
        first, last = (value if "-" in value else f"{value}-{value}").split("-")
        span, wanted = places.resolve(there, table), places.resolve([first, last], table)
        return (span.first, span.last) == (wanted.first, wanted.last)
    if name == "quality":
        return bool(quality_named(str(there)) == quality_named(value))
    if name in ("by", "without", "keys", "missing", "absent"):
        words = value.split("+")
        there = [there] if isinstance(there, str) else list(there or [])
        if name == "keys":
            return [parse_key(k) for k in there] == [parse_key(k) for k in words]
        return sorted(there) == sorted(words)
    if name == "key":
        return bool(parse_key(there) == parse_key(value))
    if isinstance(there, bool):
        return there == (value in ("true", "yes"))
    return str(there) == value
