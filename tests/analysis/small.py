"""A little score of a few parts from terse text, as a file."""

from __future__ import annotations

from collections.abc import Mapping

from tests.browser.pieces import _note


def written_score(parts: Mapping[str, tuple[str, list[str]]], tempo: int = 120) -> bytes:
    """Parts by label as (clef, bars of four quarters): "C5 - E4 -"; nothing transposes."""
    listed, bodies = "", ""
    for number, (label, (clef, bars)) in enumerate(parts.items(), 1):
        listed += f'<score-part id="P{number}"><part-name>{label}</part-name></score-part>'
        head = (
            "<attributes><divisions>1</divisions><key><fifths>0</fifths></key>"
            "<time><beats>4</beats><beat-type>4</beat-type></time>"
            f"<clef><sign>{clef[0]}</sign><line>{clef[1]}</line></clef></attributes>"
        )
        if number == 1:
            head += (
                "<direction><direction-type><words>Adagio</words></direction-type>"
                f'<sound tempo="{tempo}"/></direction>'
            )
        measures = [
            f'<measure number="{n}">{head if n == 1 else ""}'
            + "".join(_note(None if p == "-" else p, 1, "quarter") for p in bar.split())
            + "</measure>"
            for n, bar in enumerate(bars, 1)
        ]
        bodies += f'<part id="P{number}">{"".join(measures)}</part>'
    return (
        '<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0">'
        "<movement-title>Three lines</movement-title>"
        f"<part-list>{listed}</part-list>{bodies}</score-partwise>"
    ).encode()
