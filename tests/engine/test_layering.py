"""Marks on the page: the notes of their finding, all of them, no others, and where they stand."""

from __future__ import annotations

import os
import random
from functools import lru_cache

import pytest

from analysis.engine import engrave, reader
from analysis.engine.analyses.registry import analyse
from analysis.engine.engrave.view import View
from analysis.engine.gate import admit
from analysis.engine.layering import LAYERS, ids_of, marks
from analysis.engine.model import Finding, ScoreTable
from analysis.engine.note_told import told
from tests.browser.pieces import serenade
from tests.corpora import require_corpora, score_files
from tests.engine.engrave.test_engraver import drawn_ids

SOME = ("Bach_BWV.1048_2", "Bach_BWV.232_07b", "Beethoven_Op.21_3")
WHOLE = os.environ.get("LAYERS_WHOLE") == "1"  # every score, 200 findings
COUNT = 200 if WHOLE else 60


@lru_cache(maxsize=1)
def reading(name: str) -> tuple[bytes, ScoreTable, tuple[Finding, ...]]:
    path = require_corpora() / "scores" / f"{name}.mxl"
    canonical = admit(path.read_bytes(), path.name).canonical
    table = reader.read(canonical)
    return canonical, table, tuple(analyse(table))


def same_layer(finding: Finding, table: ScoreTable) -> list[str]:
    return [name for name, make in LAYERS.items() if make(table, finding)]


@pytest.mark.corpora
@pytest.mark.slow
@pytest.mark.parametrize("name", [p.stem for p in score_files()] if WHOLE else SOME)
def test_the_notes_lit_are_those_of_the_finding(name: str) -> None:
    canonical, table, findings = reading(name)
    able = [f for f in findings if same_layer(f, table) and f.evidence]
    dice = random.Random(name)
    each = max(1, COUNT // (len(score_files()) if WHOLE else len(SOME)))
    chosen = dice.sample(able, min(each + 1, len(able)))
    drawn_of: dict[tuple[int, int], set[str]] = {}
    lines = {table.ids[r["src"]]: table.lines[r["line"]] for r in table.notes}
    rows = table.notes
    sounds = {table.ids[r["src"]]: (r["onset"], r["onset"] + r["duration"]) for r in rows}
    for number, finding in enumerate(chosen):
        layer = dice.choice(same_layer(finding, table))
        alone = marks(table, [finding], [layer], 0, len(table.bars) - 1)
        assert [(m.layer, m.ids, m.first, m.last) for m in alone] == [
            (layer, ids_of(finding), finding.first, finding.last)
        ]
        ids = alone[0].ids
        heads = [i for i in ids if i in lines]  # others are tied on
        if layer != "keys":  # what confirms a key may stand in the bar before it
            spans = [sounds[i] for i in heads]
            assert all(on <= finding.end and off >= finding.start for on, off in spans)
        if alone[0].parts:
            parts = {table.first_readings[lines[i].part].id for i in heads}
            assert parts <= set(alone[0].parts)
        if number < 2:  # and the page has each of them, once
            bars = finding.first, min(finding.last, finding.first + 7)
            if bars not in drawn_of:
                drawn_of[bars] = drawn_ids(engrave.passage(canonical, View(bars=bars)).svg)
            shown = {i for i in ids if bars[0] <= int(i.split("-")[1]) <= bars[1]}
            assert shown <= drawn_of[bars]


def small() -> tuple[ScoreTable, list[Finding]]:
    table = reader.read(admit(serenade(), "s.musicxml").canonical)
    return table, analyse(table)


def test_a_mark_is_cut_at_the_bars_asked_for() -> None:
    table, findings = small()
    whole = {(m.layer, m.first, m.last) for m in marks(table, findings, LAYERS, 0, 7)}
    assert ("melody", 0, 3) in whole or ("melody", 0, 7) in whole
    for mark in marks(table, findings, LAYERS, 2, 2):
        assert (mark.first, mark.last) == (2, 2)
        assert {i.split("-")[1] for i in mark.ids} <= {"2"}
    assert marks(table, findings, [], 0, 7) == []


def test_a_key_has_the_whole_system_and_a_doubt_its_sign() -> None:
    table, findings = small()
    keys = marks(table, findings, ["keys"], 0, 7)
    assert keys
    assert {m.parts for m in keys} == {()}
    roles = marks(table, findings, ["roles"], 0, 7)
    unsure = [f for f in findings if f.kind == "role" and f.confidence < 0.6]
    doubted = [m for m in roles if str(m.word).endswith("?")]
    assert len(doubted) == len([f for f in unsure if f.value["role"] != "unclear"])


def test_a_note_is_told_written_and_sounding() -> None:
    table, _ = small()
    horn = told(table, "n1-0-0")
    assert horn is not None
    assert horn.written is not None
    assert horn.sounding is not None
    assert (horn.written.name, horn.sounding.name) == ("C5", "Eb4")
    assert (horn.apart, horn.lower) == ("major sixth", True)
    assert horn.tone is not None
    assert (horn.tone.openness, horn.tone.partial) == ("open", 8)
    bass = told(table, "n4-0-0")
    assert bass is not None
    assert (bass.apart, bass.lower, bass.tone) == ("octave", True, None)
    assert told(table, "n1-0-1") is None, "a rest"
    assert told(table, "no note") is None


def test_a_change_of_instrument_is_followed() -> None:
    """The same written note before and after the instrument changes within its part."""
    head, start, rest = serenade().decode().partition('<part id="P2">')
    body, end, tail = rest.partition("</part>")
    body = body.replace(
        '<measure number="5">',
        '<measure number="5"><attributes><transpose><diatonic>-1</diatonic>'
        "<chromatic>-2</chromatic></transpose></attributes>",
    )
    xml = (head + start + body + end + tail).encode()
    table = reader.read(admit(xml, "s.musicxml").canonical, trust_labels=False)
    before, after = told(table, "n1-0-0"), told(table, "n1-4-0")
    assert before is not None
    assert after is not None
    assert before.written == after.written
    assert (before.apart, after.apart) == ("major sixth", "major second")
