"""Repeats and jumps over the whole score: bounded, and looked at for sense."""

from __future__ import annotations

from lxml import etree

from analysis.engine.gate import values
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.notices import Notices

Element = etree._Element


class Repeats:
    """Collects the signs of all parts by bar; a sign in any part counts."""

    def __init__(self, limits: Limits, notices: Notices) -> None:
        self.limits = limits
        self.notices = notices
        self.forward: set[int] = set()
        self.backward: set[int] = set()
        self.segno: set[int] = set()
        self.dalsegno: set[int] = set()

    def look(self, bar: Element, index: int) -> None:
        """Note the signs of one bar; absurd counts of repeats are cut to two."""
        for repeat in bar.iterfind("barline/repeat"):
            if repeat.get("direction") == "forward":
                self.forward.add(index)
            else:
                self.backward.add(index)
            self._times(repeat, index)
        for sound in bar.iter("sound"):
            if sound.get("segno") is not None:
                self.segno.add(index)
            if sound.get("dalsegno") is not None:
                self.dalsegno.add(index)

    def _times(self, repeat: Element, index: int) -> None:
        times = repeat.get("times")
        if times is None:
            return
        count = values.whole(times.strip())
        if count is None or not 1 <= count <= self.limits.repeat_times:
            repeat.set("times", "2")
            self.notices.add(
                "repeat-times", "A repeat is to be played absurdly often; twice was read instead.",
                bar=index)  # fmt: skip

    def finish(self) -> None:
        """Repeats that never end, or begin inside one another; jumps to nowhere."""
        opened: int | None = None
        for index in sorted(self.forward | self.backward):
            if index in self.forward:
                if opened is not None:
                    self._odd(opened)
                opened = index
            if index in self.backward:
                opened = None
        if opened is not None:
            self._odd(opened)
        if self.dalsegno and not self.segno:
            for index in sorted(self.dalsegno):
                self.notices.add(
                    "segno", "“D.S.” leads to a sign that is not in the file.", bar=index
                )

    def _odd(self, index: int) -> None:
        self.notices.add(
            "repeat-open", "Repeats begin that never end, or begin inside one another.", bar=index
        )
