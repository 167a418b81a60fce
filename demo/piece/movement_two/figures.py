"""What comes more than once: the tune, the soft quavers."""

from __future__ import annotations

TUNE = """b4:8.( c5:16 b4:8 e5:4) f#5:8 | g5:8.( f#5:16 e5:8 d#5:4) b4:8
    | c5:8.( d5:16 e5:8 a4:4) c5:8 | b4:4.( f#4:4) b4:8"""


def pulses(a: str, b: str | None = None) -> str:
    """Two soft quavers after each of the two beats."""
    b = b or a
    return f"r:8 {a}' {a}' r {b}' {b}'"
