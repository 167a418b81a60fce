"""What the words and signs of a page mean: a claimed mark, read in four languages.

Common practice, no source. A mark the engine knows is looked for in the notes it governs; any
other word is looked for as printed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from analysis.engine.model import Articulation, NoteFlag, Technique
from analysis.engine.pitch import plain
from analysis.engine.reader.directions import level_of
from analysis.engine.reader.force import technique_changes


@dataclass(frozen=True, slots=True)
class Sense:
    """A mark understood.

    Attributes
    ----------
    name : str
        As the trade prints it: "con sord.", "pizz.", "p"; for other words as claimed.
    sets, clears : int
        `Technique` bits in force, and those that are not.
    flag, sign : int
        `NoteFlag` or `Articulation` bits at the notes.
    level : int
        Dynamic, 1 ppp .. 8 fff; 0 if it is none.
    """

    name: str
    sets: int = 0
    clears: int = 0
    flag: int = 0
    sign: int = 0
    level: int = 0

    @property
    def is_state(self) -> bool:
        """In force until something else is printed."""
        return bool(self.sets or self.clears or self.level)

    @property
    def is_word(self) -> bool:
        """No more than a printed word."""
        return not (self.is_state or self.flag or self.sign)


_BOW = int(Technique.PIZZICATO | Technique.COL_LEGNO)
_SOLO = int(Technique.SOLO | Technique.SOLI)
_KNOWN: tuple[tuple[re.Pattern[str], Sense], ...] = tuple(
    (re.compile(pattern), sense)
    for pattern, sense in (
        (r"^(a\s?2|a due|zu 2|zu zweit|a deux|beide|both)$", Sense("a 2", flag=NoteFlag.A2)),
        (r"^(non|nicht|pas|not) (div|get)", Sense("non div.")),
        (r"^(div|divis|divided|get(eilt|h)?\b)", Sense("div.", flag=NoteFlag.DIVISI)),
        (r"^(trem)", Sense("trem.", flag=NoteFlag.TREMOLO | NoteFlag.TREMOLO_PAIR)),
        (r"^(tr\.?|trill\w*)$", Sense("tr", flag=NoteFlag.TRILL)),
        (r"^(bowed|gestrichen|coll'? ?arco|arco|with the bow)\b", Sense("arco", clears=_BOW)),
        (r"^(plucked|gezupft|pinces?)\b", Sense("pizz.", sets=Technique.PIZZICATO)),
        (r"^(unmuted|without mutes?|open|ohne dampfer)$", Sense("senza sord.",
         clears=Technique.CON_SORDINO)),
        (r"^(muted|mutes?|sord(ino|ini|\.)?|gedampft|en sourdine)$", Sense("con sord.",
         sets=Technique.CON_SORDINO)),
        (r"^(harmonics?|flag(eolet)?\w*|armonic[oi]|harmoniques?)", Sense("harmonics",
         sets=Technique.HARMONIC)),
        (r"^(stopped|gestopft|bouches?|chius[oi]|hand ?stopped|\+)$", Sense("stopped",
         sets=Technique.STOPPED)),
        (r"^(stacc(ato|\.)?|dots?)$", Sense("staccato", sign=Articulation.STACCATO)),
        (r"^(staccatissimo|wedges?)$", Sense("staccatissimo", sign=Articulation.STACCATISSIMO)),
        (r"^(accent\w*|akzent\w*)$", Sense("accents",
         sign=Articulation.ACCENT | Articulation.MARCATO)),
        (r"^(ten(uto|\.)?)$", Sense("tenuto", sign=Articulation.TENUTO)),
        (r"^(fermatas?|fermate|corona|point d'orgue)$", Sense("fermata",
         sign=Articulation.FERMATA)),
        (r"^(slurs?|slurred|legato|gebunden|lie)$", Sense("slurs", sign=Articulation.SLURRED)),
        (r"^(solo|sola|allein)$", Sense("solo", sets=Technique.SOLO)),
        (r"^(soli)$", Sense("soli", sets=Technique.SOLI)),
        (r"^(tutti)$", Sense("tutti", clears=_SOLO)),
    )
)  # fmt: skip
_NAMES = {
    int(Technique.PIZZICATO): "pizz.",
    int(Technique.CON_SORDINO): "con sord.",
    int(Technique.COL_LEGNO): "col legno",
    int(Technique.SUL_PONTICELLO): "sul pont.",
    int(Technique.HARMONIC): "harmonics",
    int(Technique.STOPPED): "stopped",
    int(Technique.SOLO): "solo",
    int(Technique.SOLI): "soli",
}
_CLEARED = {int(Technique.CON_SORDINO): "senza sord.", int(Technique.SUL_PONTICELLO): "ord."}
_LEVELS = {
    "piano": 3, "soft": 3, "forte": 6, "loud": 6, "mezzo forte": 5, "mezzoforte": 5,
    "mezzo piano": 4, "pianissimo": 2, "fortissimo": 7, "pianississimo": 1, "fortississimo": 8,
}  # fmt: skip
LEVEL_NAMES = ("", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff")


def read_mark(text: str) -> Sense:
    """Understand a mark as a reader types it.

    >>> read_mark("mit Dämpfer").name, read_mark("Pizzicato").name, read_mark("ff").level
    ('con sord.', 'pizz.', 7)
    """
    word = " ".join(plain(text).strip(" .").split())
    for pattern, sense in _KNOWN:
        if pattern.search(word) or pattern.search(f"{word}."):
            return sense
    if word in _LEVELS or (level_of(word) and word in LEVEL_NAMES):
        level = _LEVELS.get(word) or level_of(word)
        return Sense(LEVEL_NAMES[level], level=level)
    sets, clears = technique_changes(text)
    if sets:
        return Sense(in_words(sets), sets=sets)
    if clears:
        return Sense(next((n for b, n in _CLEARED.items() if clears & b), "arco"), clears=clears)
    return Sense(text.strip())


def in_words(technique: int) -> str:
    """ "con sord., pizz." for bits in force; "" for none."""
    return ", ".join(name for bit, name in _NAMES.items() if technique & bit)


def same_word(printed: str, claimed: str) -> bool:
    """Whether a printed phrase has the claimed word: "espr." is "espressivo", "cresc" "cresc."."""
    theirs, ours = _letters(printed), _letters(claimed)
    if not ours:
        return False
    size = len(ours)
    return any(
        all(_alike(a, b) for a, b in zip(theirs[k : k + size], ours, strict=True))
        for k in range(len(theirs) - size + 1)
    )


def _letters(text: str) -> list[str]:
    return re.findall(r"[a-z0-9]+", plain(text))


def _alike(a: str, b: str) -> bool:
    short = min(len(a), len(b))
    return a == b or (short >= 3 and a[:short] == b[:short])
