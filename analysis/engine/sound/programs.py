"""Which sound plays a part: General MIDI programs (0-based) and drum keys.

Source: General MIDI level 1 program list, three listings agree. Sections of
strings use the ensemble sound, one player a string the solo sounds.
"""

from __future__ import annotations

from analysis.engine.instruments import INSTRUMENTS
from analysis.engine.model import PartReading, Technique
from analysis.engine.pitch import plain

STRING_ENSEMBLE = 48
TREMOLO = 44
PIZZICATO = 45
MUTED_TRUMPET = 59
#: Share of the velocity under a mute, where General MIDI has no muted sound (common practice).
_MUTED = 0.7
_DRUM_KEYS = (
    (("bass drum", "gran cassa", "grosse trommel", "grosse caisse", "grancassa"), 36),
    (("snare", "side drum", "kleine trommel", "caisse claire", "tamburo"), 38),
    (("triang",), 81),
    (("cymbal", "piatti", "becken", "cinelli"), 49),
    (("tam tam", "tam-tam", "tamtam", "gong"), 52),
    (("tambourine", "tamburin", "tambour de basque"), 54),
    (("wood block", "woodblock", "holzblock"), 76),
    (("castanet", "kastagn", "nacchere", "castagn"), 85),
)
_OTHER_DRUM = 41


def base_program(reading: PartReading) -> int:
    """The sound of a part in its ordinary manner."""
    record = INSTRUMENTS.get(reading.instrument, INSTRUMENTS["unknown"])
    if record.family == "strings" and record.section and not reading.players:
        return STRING_ENSEMBLE
    return record.program


def program_in(reading: PartReading, base: int, technique: int, tremolo: bool) -> int:
    """The sound in force at a note: pizzicato, unmeasured tremolo, mute change it."""
    family = INSTRUMENTS.get(reading.instrument, INSTRUMENTS["unknown"]).family
    if family == "strings":
        if technique & Technique.PIZZICATO:
            return PIZZICATO
        if tremolo:
            return TREMOLO
    if family == "brass" and technique & (Technique.CON_SORDINO | Technique.STOPPED):
        return MUTED_TRUMPET  # the one muted brass there is
    return base


def muted(reading: PartReading, technique: int) -> float:
    """Share of the velocity: less under a mute, but where a sound of its own says it."""
    if not technique & Technique.CON_SORDINO or reading.instrument == "trumpet":
        return 1.0
    return _MUTED


def is_drum(reading: PartReading) -> bool:
    """Unpitched percussion, on channel 10. Timpani are a pitched program."""
    return reading.instrument == "percussion"


def drum_key(reading: PartReading) -> int:
    """General MIDI percussion key of a part, by its label."""
    label = plain(reading.label)
    for words, key in _DRUM_KEYS:
        if any(word in label for word in words):
            return key
    return _OTHER_DRUM
