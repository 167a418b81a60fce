"""Two commands without a database: read a score, check claims against it.

`read_score` and `check_claims` return an exit code: 0 done, 2 file refused,
3 claims (or the confirmation of parts) unreadable, 4 the JSON cannot be
written where it was wanted. JSON goes to a file, words for people to `out`,
the reason of a refusal to `err`.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from analysis.engine import ENGINE_VERSION, claims, export
from analysis.engine.analyses import analyse
from analysis.engine.claims.constant import papers_json
from analysis.engine.claims.papers import Edition
from analysis.engine.errors import EngineError, Refused
from analysis.engine.model import Finding, Notice, PartReading, ScoreTable
from analysis.engine.settings import Settings

DONE, REFUSED, UNREADABLE, UNWRITTEN = 0, 2, 3, 4
JSON = dict[str, Any]


class Writer(Protocol):
    """A stream, or a command's own output."""

    def write(self, msg: str, /) -> Any: ...


@dataclass(frozen=True)
class Reading:
    """A file, read and analysed."""

    sha256: str  # of the file as given
    table: ScoreTable
    findings: list[Finding]
    notices: tuple[Notice, ...]


def load(
    path: Path,
    settings: Settings | None = None,
    confirmed: Sequence[PartReading] | None = None,
) -> Reading:
    """Gate, reader, analyses; raises `Refused` with one sentence."""
    from analysis.engine import reader
    from analysis.engine.gate import sandbox

    try:
        data = path.read_bytes()
    except OSError:
        raise Refused(f"There is no file {path.name} that can be read.", code="no-file") from None
    admitted = sandbox.admit_in_child(data, path.name)
    table = reader.read(admitted.canonical, confirmed=confirmed)
    found = analyse(table, settings or Settings())
    return Reading(hashlib.sha256(data).hexdigest(), table, found, admitted.notices)


def read_score(file: str, out: Writer, err: Writer, *, json_to: str | None = None) -> int:
    """Read one score; a table for people to `out`, JSON to a file."""
    try:
        reading = load(Path(file))
    except (Refused, EngineError) as refusal:
        err.write(f"{refusal}\n")
        return REFUSED
    value = export.score_json(reading.table, reading.findings, reading.notices)
    if not _written(value, json_to, err):
        return UNWRITTEN
    out.write(_score_words(value))
    return DONE


def check_claims(
    file: str,
    claims_file: str,
    out: Writer,
    err: Writer,
    *,
    parts: str | None = None,
    json_to: str | None = None,
) -> int:
    """Check the claims of a file against a score."""
    try:
        asked = read_request(_json(claims_file, "claims"))
        confirmed = export.read_parts(_json(parts, "parts")) if parts else None
    except EngineError as problem:
        err.write(f"{problem}\n")
        return UNREADABLE
    try:
        reading = load(Path(file), asked.settings, confirmed)
    except (Refused, EngineError) as refusal:
        err.write(f"{refusal}\n")
        return REFUSED
    found = claims.answers(
        asked.claims, reading.table, reading.findings, asked.settings, edition=asked.edition
    )
    value = answers_json(found, reading.sha256, asked.settings, asked.claims)
    if not _written(value, json_to, err):
        return UNWRITTEN
    for answer in value["answers"]:
        cause = f" ({answer['cause']})" if answer["cause"] else ""
        out.write(f"{answer['id']}: {answer['flag']}{cause}. {answer['sentence']}\n")
    for paper in value.get("papers", []):
        out.write(f"Paper {paper['paper']}: {paper['sentence']}\n")
    return DONE


@dataclass(frozen=True)
class Request:
    """A claims file: what is asked, under which settings."""

    claims: list[Any]
    settings: Settings
    edition: Edition | None = None


def read_request(value: Any) -> Request:
    """A list of claims, or the object with schema, settings, edition and claims.

    Raises
    ------
    EngineError
        If it is neither, or a setting is unknown. Single claims may be
        anything: each gets its own answer.
    """
    if isinstance(value, list):
        return Request(value, Settings())
    if not isinstance(value, Mapping) or not isinstance(value.get("claims"), list):
        raise EngineError("The claims file should hold a list of claims.")
    unknown = sorted(set(map(str, value)) - {"schema", "settings", "edition", "claims"})
    if unknown:
        raise EngineError(f"The claims file has a field “{unknown[0]}” that means nothing here.")
    if value.get("schema", 1) != 1:
        raise EngineError("The claims file has another schema than 1.")
    settings = value.get("settings") or {}
    if not isinstance(settings, Mapping):
        raise EngineError("“settings” of the claims file should be an object.")
    return Request(value["claims"], Settings.from_dict(settings), _edition(value.get("edition")))


def _edition(value: Any) -> Edition | None:
    if value is None:
        return None
    offset = value.get("offset", 0) if isinstance(value, Mapping) else None
    start = value.get("from") if isinstance(value, Mapping) else None
    if isinstance(offset, bool) or not isinstance(offset, int):
        raise EngineError("“edition” should say an offset, a whole number of bars.")
    if start is not None and not isinstance(start, str | int):
        raise EngineError("“from” of the edition should be a bar.")
    return Edition(offset, str(start) if start is not None else "") if offset else None


def answers_json(
    answers: Sequence[claims.Answer],
    file_sha256: str,
    settings: Settings,
    asked: Sequence[Any] = (),
) -> JSON:
    """The answer file; `asked` are the claims as they came, for what goes through a paper."""
    told = [(a.flag, a.sentences()["sentence"]) for a in answers]
    value = {
        "schema": export.SCHEMA,
        "engine": ENGINE_VERSION,
        "file_sha256": file_sha256,
        "settings": settings.as_dict(),
        "answers": [a.as_dict() for a in answers],
    }
    papers = papers_json(asked, told)
    return {**value, "papers": papers} if papers else value


def _json(path: str, what: str) -> Any:
    try:
        return json.loads(Path(path).read_bytes())
    except OSError:
        raise EngineError(f"There is no {what} file {Path(path).name} that can be read.") from None
    except (ValueError, RecursionError):
        raise EngineError(f"The {what} file {Path(path).name} is not JSON.") from None


def write_json(value: JSON, path: str) -> None:
    """The JSON to a file; EngineError with one sentence where none can be written there."""
    text = json.dumps(value, ensure_ascii=False, indent=1) + "\n"
    try:
        Path(path).write_text(text, encoding="utf-8")
    except (OSError, ValueError):
        raise EngineError(
            f"{path} cannot be written: name a file in a folder that is there and open to you."
        ) from None


def _written(value: JSON, path: str | None, err: Writer) -> bool:
    """Whether the JSON is where it was wanted; if not, the reason goes to `err`."""
    if path is None:
        return True
    try:
        write_json(value, path)
    except EngineError as problem:
        err.write(f"{problem}\n")
        return False
    return True


def _score_words(value: JSON) -> str:
    lines = [value["title"], ""]
    for movement in value["movements"]:
        bars = movement["bars"]
        lines.append(
            f"{movement['index'] + 1}. {movement['title']}: {len(bars)} bars, "
            f"{movement['notes']} notes"
        )
        for part in movement["parts"]:
            lines.append("   " + _part_words(part))
        kinds = Counter(f["kind"] for f in movement["findings"])
        told = ", ".join(f"{n} {kind}" for kind, n in sorted(kinds.items()))
        lines += [f"   Found: {told or 'nothing'}.", ""]
    for warning in value["warnings"]:
        lines.append(f"Note: {warning['text']}")
    return "\n".join(lines).rstrip() + "\n"


def _part_words(part: JSON) -> str:
    semitones = part["transposition"]
    sounds = "as written" if not semitones else f"{semitones:+d} semitones"
    crook = f" in {part['crook']}" if part["crook"] else ""
    players = f", players {', '.join(map(str, part['players']))}" if part["players"] else ""
    doubt = f"  ? {part['doubt']['text']}" if part["doubt"] else ""
    start = f" (from bar index {part['from_bar']})" if part["from_bar"] else ""
    return f"{part['label']:<28} {part['instrument']}{crook}, {sounds}{players}{start}{doubt}"
