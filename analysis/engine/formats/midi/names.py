"""Names of the General MIDI sounds that stand for orchestral instruments.

Source: General MIDI level 1 sound set. Sounds without an instrument in the
orchestra keep a plain family name.
"""

from __future__ import annotations

_EXACT = {
    6: "Harpsichord", 8: "Celesta", 9: "Glockenspiel", 11: "Vibraphone", 12: "Marimba",
    13: "Xylophone", 14: "Tubular bells", 40: "Violin", 41: "Viola", 42: "Violoncello",
    43: "Contrabass", 44: "Tremolo strings", 45: "Pizzicato strings", 46: "Harp", 47: "Timpani",
    56: "Trumpet", 57: "Trombone", 58: "Tuba", 59: "Muted trumpet", 60: "Horn",
    64: "Soprano saxophone", 65: "Alto saxophone", 66: "Tenor saxophone",
    67: "Baritone saxophone", 68: "Oboe", 69: "English horn", 70: "Bassoon", 71: "Clarinet",
    72: "Piccolo", 73: "Flute", 74: "Recorder",
}  # fmt: skip
_FAMILIES = ("Piano", "Chromatic percussion", "Organ", "Guitar", "Bass", "Strings", "Strings",
             "Brass", "Reed", "Pipe", "Synth lead", "Synth pad", "Synth effects", "Ethnic",
             "Percussion", "Sound effects")  # fmt: skip


def program_name(program: int | None, *, drums: bool) -> str:
    """The name of a sound; "" if none was chosen."""
    if drums:
        return "Percussion"
    if program is None or not 0 <= program < 128:
        return ""
    if 48 <= program < 56:
        return "Strings" if program < 52 else "Choir"
    return _EXACT.get(program, _FAMILIES[program // 8])
