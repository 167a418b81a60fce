"""What comes more than once: the theme with its basses, and soft off-beats."""

from __future__ import annotations

THEME = """d5:8. e5:16 f#5:8 a5 | g5:8( f#5) e5:4 | f#5:8. g5:16 a5:8 f#5 | e5:4 r
    | d5:8. e5:16 f#5:8 a5 | b5:8( a5) g5:4 | f#5:8( d5) e5( c#5) | d5:4 r"""
BASS = """d3:4 d3 | c#3 a2 | d3 f#3 | a2 r | d3 f#3 | g3 g2 | a2 a2 | d3 r"""


def off(*pitches: str) -> str:
    """Bars of soft off-beats: one pitch a bar, or two, one for each beat ("g4 f#4")."""
    found = []
    for bar in pitches:
        first, second = (bar.split() * 2)[:2]
        found.append(f"r:8 {first}' r {second}'")
    return " | ".join(found)


def long(*pitches: str) -> str:
    """One note a bar."""
    return " | ".join(f"{p}:2" for p in pitches)
