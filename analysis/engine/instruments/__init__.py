"""Instruments: names, crooks, ranges, open tones, drums, and what a part is taken for.

`propose_all` is the reader's door, `parse_label` reads names, `instrument`
gives a record, `brass` and `timpani` answer what can be played.
"""

from analysis.engine.instruments.evidence import PartSeen
from analysis.engine.instruments.names import LabelReading, parse_label
from analysis.engine.instruments.propose import (
    BASS_OF_SHARED,
    Proposal,
    propose,
    propose_all,
    propose_change,
)
from analysis.engine.instruments.ranges import RangeNotice, check_range
from analysis.engine.instruments.table import INSTRUMENTS, Instrument, instrument

__all__ = [
    "BASS_OF_SHARED",
    "INSTRUMENTS",
    "Instrument",
    "LabelReading",
    "PartSeen",
    "Proposal",
    "RangeNotice",
    "check_range",
    "instrument",
    "parse_label",
    "propose",
    "propose_all",
    "propose_change",
]
