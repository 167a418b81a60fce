"""Lines into bars, voices and parts."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

from analysis.engine.errors import Refused
from analysis.engine.formats.kern import tandem, tokens
from analysis.engine.formats.kern.spines import Humdrum, Line, Spine
from analysis.engine.formats.piece import Event, Frame, Mark, PartBar
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.notices import Notices

_BAR = re.compile(r"=+(\d+[a-z]?)?")
_DYNAMIC = re.compile(r"(?<![a-z])(sfz|sf|fz|fp|mp|mf|rfz|p{1,4}|f{1,4})(?![a-z])")
_LAYOUT = re.compile(r"!LO:TX:(?:[^:]*:)*?t=([^:]*)")


@dataclass
class Staff:
    """A **kern column as a staff: what was read of it so far."""

    root: int
    head: tandem.Head = field(default_factory=tandem.Head)
    bars: list[PartBar] = field(default_factory=list)
    slurs: int = 0
    beams: int = 0
    last: Event | None = None  # what words under the notes belong to
    wedge: str = ""
    text: str = ""  # direction that waits for the next note


@dataclass
class Reader:
    """Goes through the lines once."""

    limits: Limits
    notices: Notices
    staves: dict[int, Staff] = field(default_factory=dict)
    frames: list[Frame] = field(default_factory=list)
    lengths: list[Fraction] = field(default_factory=list)
    free: dict[int, Fraction] = field(default_factory=dict)  # id of spine -> end of its note
    start: Fraction = Fraction(0)  # of the bar
    now: Fraction = Fraction(0)
    notes: int = 0
    pending: str = ""  # bar line before the bar that is being read
    voices: tuple[Spine, ...] = ()  # columns of notes at the last line of data

    def read(self, humdrum: Humdrum) -> None:
        """All lines.

        Raises
        ------
        Refused
            Naming the line.
        """
        for line in humdrum.lines():
            first = line.tokens[0]
            if first.startswith("**"):
                self._open(line)
            elif first.startswith("="):
                self._barline(line)
            elif first.startswith("*"):
                self._interpretations(line)
            elif first.startswith("!"):
                self._comments(line)
            else:
                self._data(line)
        self._close_bar()
        if not any(e.heads for s in self.staves.values() for b in s.bars for e in b.events):
            raise Refused(
                "The file holds no note. Export the score again, best as MusicXML, and upload "
                "the new file.", code="no-music")  # fmt: skip

    def _open(self, line: Line) -> None:
        for spine, token in zip(line.spines, line.tokens, strict=True):
            if token == "**kern":
                self.staves[spine.root] = Staff(spine.root)
        if not self.staves:
            raise Refused(
                f"The file holds no column of notes (**kern) but “{line.tokens[0][:20]}”. Export "
                "the score again, best as MusicXML, and upload the new file.",
                code="kern-kind")  # fmt: skip

    # -- bars ----------------------------------------------------------------------------

    def _barline(self, line: Line) -> None:
        token = line.tokens[next(i for i, s in enumerate(line.spines) if s.root in self.staves)]
        if self._has_music():
            self._close_bar()
            self._right(token)
            self.pending = token
        else:
            self.pending = token if not self.pending or not self.frames else self.pending + token

    def _has_music(self) -> bool:
        return any(
            len(s.bars) > len(self.frames) and s.bars[-1].events for s in self.staves.values()
        )

    def _right(self, token: str) -> None:
        frame = self.frames[-1]
        if ":|" in token or ":!" in token:
            frame.repeat_end = True
        elif token.startswith("=="):
            frame.right = "light-heavy"
        elif "||" in token:
            frame.right = "light-light"

    def _close_bar(self) -> None:
        if not self._has_music():
            return
        ends = {self.free.get(id(s), self.start) for s in self.voices}
        end = max(ends, default=self.start)
        if len(ends) > 1:
            self.notices.add("voices", "Voices of a bar end at different times; compare it with "
                             "the printed page.", bar=len(self.frames))  # fmt: skip
        self.frames.append(self._frame())
        if len(self.frames) > self.limits.bars:
            raise Refused(
                f"The score has more than {self.limits.bars} bars; upload its movements as files "
                "of their own.", code="bars")  # fmt: skip
        self.lengths.append(end - self.start)
        for staff in self.staves.values():
            while len(staff.bars) < len(self.frames):
                staff.bars.append(PartBar())
            for event in staff.bars[-1].events:
                if not event.heads and event.length == end - self.start:
                    event.whole_bar = True
        self.start = self.now = end
        self.free = dict.fromkeys(self.free, end)

    def _frame(self) -> Frame:
        found = _BAR.match(self.pending)
        number = found[1] if found else None
        first = not self.frames
        frame = Frame(number or ("0" if first and not self.pending else f"X{len(self.frames)}"))
        if number is None and first and self.pending:
            frame.label = "1"
        elif number is None:
            frame.implicit = True
        frame.repeat_start = "|:" in self.pending or "!:" in self.pending
        return frame

    # -- lines ---------------------------------------------------------------------------------

    def _here(self, staff: Staff) -> PartBar:
        while len(staff.bars) <= len(self.frames):
            staff.bars.append(PartBar())
        return staff.bars[len(self.frames)]

    def _interpretations(self, line: Line) -> None:
        split: dict[int, Spine] = {}
        for spine, token in zip(line.spines, line.tokens, strict=True):
            staff = self.staves.get(spine.root)
            if staff is None or token in ("*", "*^", "*v", "*x", "*-"):
                continue
            if spine.root in split:  # the second voice repeats what the first said
                continue
            split[spine.root] = spine
            at = max(self.free.get(id(spine), self.now), self.start) - self.start
            tandem.take(token, staff.head, self._here(staff), at, line.number)

    def _comments(self, line: Line) -> None:
        for spine, token in zip(line.spines, line.tokens, strict=True):
            staff = self.staves.get(spine.root)
            found = _LAYOUT.match(token) if staff is not None else None
            if staff is not None and found is not None:
                staff.text = found[1].replace("&colon;", ":")[:200]

    def _data(self, line: Line) -> None:
        voices = tuple(s for s in line.spines if s.kind == "**kern")
        self._inherit(voices)
        self.voices = voices
        starting = [
            (spine, token)
            for spine, token in zip(line.spines, line.tokens, strict=True)
            if spine.kind == "**kern" and token != "."
        ]
        if starting:
            times = {self.free[id(s)] for s, t in starting if "q" not in t} or {
                self.free[id(s)] for s, _ in starting
            }
            if len(times) > 1:
                self.notices.add("rhythm", "Columns of the file do not meet at the same time; "
                                 "compare the bars with the printed page.",
                                 bar=len(self.frames))  # fmt: skip
            self.now = max(times)
        seen: dict[int, int] = {}
        left: Staff | None = None
        for spine, token in zip(line.spines, line.tokens, strict=True):
            if spine.kind == "**kern":
                seen[spine.root] = seen.get(spine.root, 0) + 1
                left = self.staves[spine.root]
                if token != ".":
                    self._note(left, spine, seen[spine.root], token, line.number)
            elif left is not None and token != ".":
                if spine.kind == "**dynam":
                    self._dynamics(left, token)
                elif spine.kind in ("**text", "**silbe"):
                    self._word(left, token)
                else:
                    self.notices.add("columns", "The file holds columns with other things than "
                                     "notes, words and dynamics; they were left out.")  # fmt: skip

    def _inherit(self, voices: tuple[Spine, ...]) -> None:
        """New voices begin where the voice they came from stands."""
        for i, spine in enumerate(voices):
            if id(spine) not in self.free:
                same = [s for s in voices[:i] if s.root == spine.root]
                self.free[id(spine)] = self.free[id(same[-1])] if same else self.start

    def _note(self, staff: Staff, spine: Spine, voice: int, token: str, number: int) -> None:
        made = tokens.event(token, number, unpitched=staff.head.unpitched)
        if made is None:
            self.notices.add("tokens", "The file holds signs in its columns of notes that are "
                             "neither notes nor rests; they were left out.",
                             bar=len(self.frames))  # fmt: skip
            return
        self.notes += max(1, len(made.heads))
        if self.notes > self.limits.notes:
            raise Refused(
                f"The score has more than {self.limits.notes} notes; upload its movements as "
                "files of their own.", code="notes")  # fmt: skip
        made.voice = voice
        made.onset = self.now - self.start
        bar = self._here(staff)
        bar.events.append(made)
        staff.last = made
        if not made.grace:
            self.free[id(spine)] = self.now + made.length
        if staff.text:
            bar.marks.append(Mark(made.onset, "words", staff.text))
            staff.text = ""
        self._slurs(staff, made, token)
        self._beams(staff, made, token)

    @staticmethod
    def _slurs(staff: Staff, made: Event, token: str) -> None:
        if not made.heads:
            return
        for _ in range(min(token.count(")"), staff.slurs)):
            made.slurs.append((min(staff.slurs, 6), "stop"))
            staff.slurs -= 1
        for _ in range(token.count("(")):
            staff.slurs += 1
            made.slurs.append((min(staff.slurs, 6), "start"))

    @staticmethod
    def _beams(staff: Staff, made: Event, token: str) -> None:
        if made.grace:
            return
        before = staff.beams
        staff.beams = max(0, before + token.count("L") - token.count("J"))
        if before == 0 and staff.beams:
            made.beam = "begin"
        elif before and not staff.beams:
            made.beam = "end"
        elif before and made.heads:
            made.beam = "continue"

    def _dynamics(self, staff: Staff, token: str) -> None:
        bar, at = self._here(staff), self.now - self.start
        if ("[" in token or "]" in token or "<" in token or ">" in token) and staff.wedge:
            bar.marks.append(Mark(at, "wedge", "stop"))
            staff.wedge = ""
        for found in _DYNAMIC.finditer(token):
            bar.marks.append(Mark(at, "dynamics", found[1], above=False))
        for sign, name in (("<", "crescendo"), (">", "diminuendo")):
            if sign in token:
                bar.marks.append(Mark(at, "wedge", name))
                staff.wedge = name

    def _word(self, staff: Staff, token: str) -> None:
        if staff.last is None or not staff.last.heads or staff.last.onset != self.now - self.start:
            return
        said = token.strip("-_ ")
        before, after = token.startswith("-"), token.endswith("-")
        kind = {(False, False): "single", (False, True): "begin", (True, True): "middle"}.get(
            (before, after), "end"
        )
        if said and not token.startswith("*"):
            staff.last.lyrics.append((len(staff.last.lyrics) + 1, kind, said))
