"""The columns of a Humdrum file: split, joined, exchanged, and counted line by line."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from analysis.engine.errors import Refused
from analysis.engine.gate.limits import Limits
from analysis.engine.gate.notices import Notices

SPINES = 128
_AGAIN = "Correct it in your notation program and upload the new file."
_FILTER = re.compile(r"!+\s*X?filter:", re.IGNORECASE)


@dataclass(slots=True, eq=False)
class Spine:
    """A column, or one of the columns it was split into."""

    root: int  # column of the exclusive interpretation, from the left
    kind: str  # "**kern"


@dataclass(frozen=True, slots=True)
class Line:
    """One line that has columns; `spines` and `tokens` go together."""

    number: int
    spines: tuple[Spine, ...]
    tokens: tuple[str, ...]


def decoded(data: bytes, notices: Notices) -> str:
    """The file as text: UTF-8, or Latin-1 with a notice."""
    if b"\0" in data:
        raise Refused(f"The file holds empty (NUL) characters. {_AGAIN}", code="nul")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        notices.add("encoding", "Some letters of the file are in an old encoding; they were read "
                    "as Western European.")  # fmt: skip
        return data.decode("latin-1")


@dataclass
class Humdrum:
    """A file, line by line.

    `records` gathers the reference records (``!!!COM``: composer, ...).
    """

    text: str
    limits: Limits
    notices: Notices

    def __post_init__(self) -> None:
        self.records: dict[str, str] = {}
        self.ended = False

    def lines(self) -> Iterator[Line]:
        """Every line with columns; comments for the whole file go into `records`.

        Raises
        ------
        Refused
            If the columns do not add up, naming the line.
        """
        active: list[Spine] = []
        for number, raw in enumerate(self.text.splitlines(), 1):
            if not raw.strip():
                continue
            if len(raw) > self.limits.text:
                raise broken(f"is far too long ({len(raw)} characters)", number)
            if raw.startswith("!!"):
                self._comment(raw)
                continue
            tokens = tuple(raw.rstrip("\r\n").split("\t"))
            if not active:
                if not all(t.startswith("**") for t in tokens):
                    raise broken("stands before any column is opened or after all are closed",
                                 number)  # fmt: skip
                active = [Spine(i, t) for i, t in enumerate(tokens)]
            if len(tokens) != len(active):
                raise broken(
                    f"has {len(tokens)} columns where there should be {len(active)}", number
                )
            yield Line(number, tuple(active), tokens)
            if any(t in ("*^", "*v", "*x", "*-", "*+") for t in tokens):
                active = self._moved(active, tokens, number)
                self.ended = not active
            if len(active) > SPINES:
                raise broken(f"splits the score into more than {SPINES} columns", number)

    def _comment(self, raw: str) -> None:
        if _FILTER.match(raw):
            self.notices.add("filter", "The file holds commands that would change it (filters); "
                             "they were not run.")  # fmt: skip
        elif raw.startswith("!!!"):
            name, colon, value = raw[3:].partition(":")
            if colon and len(name) < 40:
                self.records.setdefault(name.strip().partition("@")[0], value.strip()[:2_000])

    @staticmethod
    def _moved(active: list[Spine], tokens: tuple[str, ...], number: int) -> list[Spine]:
        after: list[Spine] = []
        i = 0
        while i < len(tokens):
            spine, token = active[i], tokens[i]
            if token == "*^":
                after += [spine, Spine(spine.root, spine.kind)]
            elif token == "*v":
                k = i
                while k + 1 < len(tokens) and tokens[k + 1] == "*v":
                    k += 1
                if k == i:
                    raise broken("joins a column to nothing", number)
                for root in dict.fromkeys(s.root for s in active[i : k + 1]):
                    after.append(next(s for s in active[i : k + 1] if s.root == root))
                i = k
            elif token == "*x":
                if i + 1 >= len(tokens) or tokens[i + 1] != "*x":
                    raise broken("exchanges a column with nothing", number)
                after += [active[i + 1], spine]
                i += 1
            elif token == "*+":
                raise broken("adds a column in the middle, which is not read", number)
            elif token != "*-":
                after.append(spine)
            i += 1
        return after


def broken(what: str, number: int) -> Refused:
    """A refusal that names the line."""
    return Refused(f"Line {number} of the file {what}. {_AGAIN}", code="kern-line",
                   where=f"line {number}")  # fmt: skip
