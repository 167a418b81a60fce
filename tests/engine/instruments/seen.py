"""An independent little collector of `PartSeen` from MusicXML, for these tests only."""

from __future__ import annotations

import zipfile
from pathlib import Path
from typing import Any

from lxml import etree

from analysis.engine.instruments import PartSeen

NATURAL = dict(zip("CDEFGAB", (0, 2, 4, 5, 7, 9, 11), strict=True))


def root_of(path: Path) -> Any:
    """Root element of an MXL or MusicXML file."""
    if path.suffix != ".mxl":
        return etree.parse(str(path)).getroot()
    with zipfile.ZipFile(path) as archive:
        container = etree.fromstring(archive.read("META-INF/container.xml"))
        name = container.find(".//{*}rootfile").get("full-path")
        return etree.fromstring(archive.read(name))


def parts_of(path: Path) -> list[PartSeen]:
    """Every part of a score as `propose_all` wants it."""
    root = root_of(path)
    heads = {head.get("id"): head for head in root.iter("score-part")}
    return [_part(heads[part.get("id")], part) for part in root.findall("part")]


def _part(head: Any, part: Any) -> PartSeen:
    clefs: list[str] = []
    ranges: dict[str, tuple[int, int]] = {}
    for element in part.iter("clef", "note"):
        if element.tag == "clef":
            change = element.findtext("clef-octave-change")
            name = (element.findtext("sign") or "") + (element.findtext("line") or "")
            name += f"/{change}" if change and change != "0" else ""
            if not clefs or clefs[-1] != name:
                clefs.append(name)
        elif element.find("pitch") is not None and element.find("cue") is None:
            pitch = _midi(element.find("pitch"))
            low, high = ranges.get(clefs[-1] if clefs else "", (pitch, pitch))
            ranges[clefs[-1] if clefs else ""] = (min(low, pitch), max(high, pitch))
    key = part.find(".//key/fifths")
    return PartSeen(
        label=head.findtext("part-name") or "",
        abbreviation=head.findtext("part-abbreviation") or "",
        instrument_names=tuple(e.text or "" for e in head.iter("instrument-name")),
        transpose=transpose_of(part),
        clefs=tuple(clefs),
        low=min((r[0] for r in ranges.values()), default=None),
        high=max((r[1] for r in ranges.values()), default=None),
        clef_ranges=ranges,
        key_fifths=None if key is None else int(key.text),
        lyrics=part.find(".//lyric") is not None,
    )


def transpose_of(part: Any) -> tuple[int, int] | None:
    """First transposition of a part, octaves included."""
    found = part.find(".//attributes/transpose")
    if found is None:
        return None
    octaves = int(found.findtext("octave-change") or 0)
    semitones = int(found.findtext("chromatic"))
    return semitones + 12 * octaves, int(found.findtext("diatonic") or 0) + 7 * octaves


def _midi(pitch: Any) -> int:
    alter = round(float(pitch.findtext("alter") or 0))
    return 12 * (int(pitch.findtext("octave")) + 1) + NATURAL[pitch.findtext("step")] + alter
