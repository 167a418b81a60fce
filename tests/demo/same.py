"""When a finding is a planted device: the comparison, field by field.

A finding is the device if it has its kind, speaks of its parts, lies on more than half of the
shorter of the two spans, says the same wherever both say something, and has in its sentence the
words the list gives as `told`, if it gives any.
"""

from __future__ import annotations

from typing import Any

from analysis.engine import names, places
from analysis.engine.analyses.spans import heads
from analysis.engine.claims.base import Scene
from analysis.engine.claims.fields import PartField
from analysis.engine.model import Finding
from analysis.engine.sentences import render

#: what only one side may say, or says by its parts
_BOTH = {"levels", "absent", "pair", "negated", "chain"}
#: what a finding must say if the claim says it
_TOLD = {"breaks-at", "interval", "member", "missing", "keys", "statements", "steps"}
_VERSIONS = {"simplified", "heterophonic"}  # contract 3: one sort
_PARTS = ("parts", "with", "upper", "lower", "from", "to")
_PLACE = {"id", "kind", "movement", "bars", *_PARTS, "pair", "unique"}


def lines_of(scene: Scene, named: Any) -> set[int]:
    """The lines of a PART, or of a list of them; empty for nothing."""
    many = named if isinstance(named, list) else [named] if named else []
    read = PartField().read
    units = [u for n in many for u in names.resolve(read(n, "part"), scene.table, 0).units]
    whole = heads(scene.table)  # a divided section goes by its first line
    return {line for u in units for line in u.lines if line in whole}


def is_device(scene: Scene, row: dict[str, Any], finding: Finding) -> bool:
    claim, value = row["claim"], dict(finding.value)
    if finding.kind != claim["kind"] or row.get("told", "") not in render(finding.sentence):
        return False
    if any((field in claim) != (field in value) for field in _BOTH):
        return False
    if any(claim.get(field) is not None and field not in value for field in _TOLD):
        return False
    if not _lies_there(scene, claim, finding) or not _has_parts(scene, claim, finding):
        return False
    turned = claim["kind"] == "doubling" and lines_of(scene, claim["parts"]) != lines_of(
        scene, value["parts"]
    )
    said = set(claim) & set(value) - _PLACE
    return all(same(scene, field, claim[field], value[field], turned=turned) for field in said)


def _lies_there(scene: Scene, claim: dict[str, Any], finding: Finding) -> bool:
    span = places.resolve(claim["bars"], scene.table, 0)
    met = min(span.end, finding.end) - max(span.start, finding.start)
    shorter = min(span.end - span.start, finding.end - finding.start)
    return 2 * met > shorter


def _has_parts(scene: Scene, claim: dict[str, Any], finding: Finding) -> bool:
    value = dict(finding.value)
    if claim["kind"] in {"handover", "crossing"}:
        ends = [field for field in _PARTS if field in claim and field != "parts"]
        return all(lines_of(scene, claim[f]) == lines_of(scene, value[f]) for f in ends)
    wanted = {line for field in _PARTS for line in lines_of(scene, claim.get(field))}
    if claim.get("mode") == "only":
        return not set(finding.lines) - wanted
    return wanted <= set(finding.lines) or not finding.lines


def same(scene: Scene, field: str, wanted: Any, found: Any, *, turned: bool = False) -> bool:
    """Whether a finding says of `field` what the claim says."""
    if wanted is None or found is None:
        return True
    if field in _SPECIAL:
        return _SPECIAL[field](scene, wanted, found)
    if field == "octaves" and turned:
        return bool(wanted == -found)
    if field == "coverage" and wanted in _VERSIONS and not turned:
        return found in _VERSIONS
    if isinstance(wanted, str):
        return wanted.casefold() == str(found).casefold()
    return bool(wanted == found)


def _pitches(scene: Scene, wanted: Any, found: Any) -> bool:
    """Some of what the finding names; to the octave where both sides say it."""
    classes = {str(p).rstrip("0123456789") for p in found}
    return all(p in found or (p[-1] not in "0123456789" and p in classes)
               or (p.rstrip("0123456789") in found) for p in map(str, wanted))  # fmt: skip


def _pitch(scene: Scene, wanted: Any, found: Any) -> bool:
    return _pitches(scene, [wanted], [found])


def _steps(scene: Scene, wanted: Any, found: Any) -> bool:
    """The steps stand in this order, one after the other, among those of the finding."""
    count = len(wanted)
    rows = [found[k : k + count] for k in range(len(found) - count + 1)]
    return any(all(_step(scene, *pair) for pair in zip(wanted, row, strict=True)) for row in rows)


def _step(scene: Scene, wanted: dict[str, Any], found: dict[str, Any]) -> bool:
    if wanted["bars"] != found["bars"]:
        return False
    company, there = lines_of(scene, wanted.get("with")), lines_of(scene, found.get("with"))
    if not company <= there or bool(company) != bool(there):
        return False
    return same(scene, "octaves", wanted.get("octaves"), found.get("octaves"))


def _entries(scene: Scene, wanted: Any, found: Any) -> bool:
    return [(lines_of(scene, e["part"]), _point(e["at"])) for e in wanted] == [
        (lines_of(scene, e["part"]), _point(e["at"])) for e in found
    ]


def _point(at: dict[str, Any] | str) -> tuple[str, float]:
    """Bar and beat; a bar alone begins on its first beat."""
    if isinstance(at, str):
        return at, 1.0
    return str(at["bar"]), float(at.get("beat") or 1)


def _row(scene: Scene, wanted: Any, found: Any) -> bool:
    """`wanted` stands in `found`, one after the other."""
    count = len(wanted)
    return any(found[k : k + count] == wanted for k in range(len(found) - count + 1))


def _place2(scene: Scene, wanted: Any, found: Any) -> bool:
    """The other place of a comparison, to a bar."""
    one, two = (places.resolve(p, scene.table, 0) for p in (wanted, found))
    return abs(one.first - two.first) <= 1 and abs(one.last - two.last) <= 1


def _member(scene: Scene, wanted: Any, found: Any) -> bool:
    who = {frozenset(lines_of(scene, part)): word for part, word in found.items()}
    return all(who.get(frozenset(lines_of(scene, p))) == word for p, word in wanted.items())


def _same_lines(scene: Scene, wanted: Any, found: Any) -> bool:
    return lines_of(scene, wanted) == lines_of(scene, found)


_SPECIAL = {
    "pitches": _pitches,
    "missing": _pitches,
    "pitch": _pitch,
    "steps": _steps,
    "entries": _entries,
    "at": lambda _, wanted, found: _point(wanted) == _point(found),
    "breaks-at": lambda _, wanted, found: _point(wanted) == _point(found),
    "by": lambda _, w, f: set(w) <= set(f) if isinstance(w, list) else w == f,
    "without": lambda _, wanted, found: set(wanted) <= set(found),
    "keys": _row,
    "bars2": _place2,
    "added": _same_lines,
    "left": _same_lines,
    "member": _member,
    "side": _same_lines,
}
