"""A Standard MIDI File as timed events, every byte counted.

Source: the Standard MIDI Files 1.0 specification: chunks, variable-length
delta times, running status, meta events.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, field

from analysis.engine.errors import Refused
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.notices import Notices

_AGAIN = "Export it again, best as MusicXML, and upload the new file."
_TRACKS = 256
_DATA = {0x80: 2, 0x90: 2, 0xA0: 2, 0xB0: 2, 0xC0: 1, 0xD0: 1, 0xE0: 2}


@dataclass(slots=True)
class Struck:
    """A key pressed and let go; times in ticks."""

    track: int
    channel: int
    key: int
    on: int
    off: int


@dataclass(slots=True)
class File:
    """What a file holds; times in ticks of `division` a quarter."""

    division: int
    notes: list[Struck] = field(default_factory=list)
    meters: list[tuple[int, int, int]] = field(default_factory=list)  # tick, beats, unit
    keys: list[tuple[int, int, bool]] = field(default_factory=list)  # tick, fifths, minor
    tempi: list[tuple[int, float]] = field(default_factory=list)  # tick, quarters a minute
    names: dict[int, str] = field(default_factory=dict)  # of tracks
    instruments: dict[int, str] = field(default_factory=dict)
    programs: dict[tuple[int, int], int] = field(default_factory=dict)  # track, channel
    texts: list[str] = field(default_factory=list)
    words: bool = False  # whether words to be sung are in it
    end: int = 0


def broken(what: str, code: str = "midi") -> Refused:
    """A refusal of the whole file."""
    return Refused(f"The MIDI file {what}. {_AGAIN}", code=code)


def parse(data: bytes, limits: Limits, notices: Notices) -> File:
    """All tracks.

    Raises
    ------
    Refused
        If the file is damaged or of a kind that tells no bars.
    """
    if len(data) < 14 or data[:4] != b"MThd":
        raise broken("has a damaged head")
    size, kind, tracks, division = struct.unpack_from(">IHHH", data, 4)
    if size < 6 or 8 + size > len(data):
        raise broken("has a damaged head")
    if kind > 1:
        raise broken("holds independent sequences (type 2), which make no score", "midi-type")
    if division & 0x8000 or division == 0:
        raise broken("counts time in film frames and not in beats, so bars cannot be told",
                     "midi-time")  # fmt: skip
    if not 0 < tracks <= _TRACKS:
        raise broken(f"has {tracks} tracks; 1 to {_TRACKS} are read", "midi-tracks")
    file = File(division)
    at, number = 8 + size, 0
    while number < tracks:
        if at + 8 > len(data):
            raise broken("is cut off: a track is missing", "midi-cut")
        name, length = data[at : at + 4], struct.unpack_from(">I", data, at + 4)[0]
        at += 8
        if at + length > len(data):
            raise broken("is cut off in the middle of a track", "midi-cut")
        if name == b"MTrk":
            _Track(file, number, data[at : at + length], limits, notices).read()
            number += 1
        at += length
    return file


@dataclass
class _Track:
    file: File
    number: int
    data: bytes
    limits: Limits
    notices: Notices

    def __post_init__(self) -> None:
        self.at = 0
        self.tick = 0
        self.held: dict[tuple[int, int], int] = {}

    def read(self) -> None:
        status, data = 0, self.data
        while self.at < len(data):
            self.tick += self._varying()
            if self.at >= len(data):
                raise broken("is cut off in the middle of a track", "midi-cut")
            first = data[self.at]
            if first >= 0x80:
                status = first
                self.at += 1
            elif not 0x80 <= status < 0xF0:
                raise broken(f"is damaged in track {self.number + 1}: an event has no kind")
            if status == 0xFF:
                if self._meta():
                    break
            elif status in (0xF0, 0xF7):
                self._take(self._varying())
            elif status >= 0xF0:
                raise broken(f"is damaged in track {self.number + 1}: an event has no kind")
            else:
                self._voice(status, self._take(_DATA[status & 0xF0]))
        end = self.tick
        for (channel, key), on in sorted(self.held.items()):
            self._hanging()
            self.tick = max(end, on + self.file.division)  # a quarter at least
            self._note(channel, key, on)
        self.file.end = max(self.file.end, self.tick)

    def _varying(self) -> int:
        value = 0
        for _ in range(4):
            byte = self._take(1)[0]
            value = value << 7 | byte & 0x7F
            if byte < 0x80:
                return value
        raise broken(f"is damaged in track {self.number + 1}: a time never ends")

    def _take(self, count: int) -> bytes:
        taken = self.data[self.at : self.at + count]
        if len(taken) < count:
            raise broken("is cut off in the middle of a track", "midi-cut")
        self.at += count
        return taken

    # -- events ------------------------------------------------------------------------

    def _voice(self, status: int, data: bytes) -> None:
        kind, channel = status & 0xF0, status & 0x0F
        if any(b >= 0x80 for b in data):
            raise broken(f"is damaged in track {self.number + 1}: an event is not whole")
        if kind == 0xC0:
            self.file.programs.setdefault((self.number, channel), data[0])
        elif kind in (0x80, 0x90):
            on = self.held.pop((channel, data[0]), None)
            if on is not None:
                self._note(channel, data[0], on)
            if kind == 0x90 and data[1]:
                if on is not None and on == self.tick:
                    self._hanging()
                self.held[channel, data[0]] = self.tick

    def _hanging(self) -> None:
        self.notices.add("hanging", "Notes begin that never end; they were ended at the next of "
                         "their kind or at the end.")  # fmt: skip

    def _note(self, channel: int, key: int, on: int) -> None:
        if self.tick > on:
            self.file.notes.append(Struck(self.number, channel, key, on, self.tick))
            if len(self.file.notes) > self.limits.notes:
                raise broken(f"has more than {self.limits.notes} notes", "notes")

    def _meta(self) -> bool:
        """Read a meta event; True at the end of the track."""
        kind = self._take(1)[0]
        data = self._take(self._varying())
        if kind == 0x2F:
            return True
        if kind in (0x01, 0x02, 0x03, 0x04, 0x05):
            self._text(kind, data)
        elif kind == 0x51 and len(data) == 3:
            self._tempo(int.from_bytes(data, "big"))
        elif kind == 0x58 and len(data) >= 2:
            if data[0] == 0 or data[1] > 7:
                raise broken("has a time signature that cannot be", "midi-meter")
            self.file.meters.append((self.tick, data[0], 1 << data[1]))
        elif kind == 0x59 and len(data) == 2:
            fifths = data[0] - 256 if data[0] > 127 else data[0]
            if abs(fifths) <= 7:
                self.file.keys.append((self.tick, fifths, data[1] == 1))
        return False

    def _tempo(self, microseconds: int) -> None:
        tempo = 60e6 / microseconds if microseconds else 0.0
        if 1 <= tempo <= 1000:
            self.file.tempi.append((self.tick, tempo))
        else:
            self.notices.add("tempo", "A tempo outside 1 to 1000 quarters a minute was left out.")

    def _text(self, kind: int, data: bytes) -> None:
        try:
            said = data.decode("utf-8")
        except UnicodeDecodeError:
            said = data.decode("latin-1")
            self.notices.add("encoding", "Some letters of the file are in an old encoding; they "
                             "were read as Western European.")  # fmt: skip
        said = " ".join(said.split())[:200]
        if kind == 0x03 and said:
            self.file.names.setdefault(self.number, said)
        elif kind == 0x04 and said:
            self.file.instruments.setdefault(self.number, said)
        elif kind == 0x05:
            self.file.words = True
