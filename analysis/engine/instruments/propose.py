"""The door: what each part of a score is taken for, with doubts in words.

The reader collects one `PartSeen` a part and calls `propose_all`; a single
part can be asked about with `propose`. A proposal without a doubt may be
confirmed unseen; one with a doubt needs the tutor's own act.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from analysis.engine.instruments.clef_habits import cello_treble, old_bass_clef
from analysis.engine.instruments.evidence import PartSeen, ScoreSeen
from analysis.engine.instruments.names import parse_label
from analysis.engine.instruments.naming import name_part
from analysis.engine.instruments.player_sets import players_of
from analysis.engine.instruments.ranges import FAR, RangeNotice, check_range
from analysis.engine.instruments.sounding import pitch_of_part
from analysis.engine.instruments.table import INSTRUMENTS
from analysis.engine.model import Doubt, Family, PartReading


@dataclass(frozen=True, slots=True)
class Proposal:
    """The fields of a `PartReading` the engine proposes.

    `octave_switch`: treble-clef notes of a cello sound an octave lower than
    the file says. `old_bass_clef`: bass-clef notes of a horn sound an octave
    higher. `instrument` "cello-and-bass": one staff, two lines, the second an
    octave below (`BASS_OF_SHARED`). `number` is the section or desk number of
    strings and voices ("Violin 2": 2), whose `players` stay () = a section.
    """

    instrument: str
    family: Family
    transposition: int
    diatonic: int
    crook: str | None = None
    players: tuple[int, ...] = ()
    octave_switch: bool = False
    old_bass_clef: bool = False
    doubt: Doubt | None = None
    number: int | None = None
    notices: tuple[RangeNotice, ...] = field(default=())

    def reading(self, part_id: str, index: int, label: str, from_bar: int = 0) -> PartReading:
        """The same as the model's shape."""
        return PartReading(
            id=part_id,
            index=index,
            label=label,
            instrument=self.instrument,
            family=self.family,
            transposition=self.transposition,
            diatonic=self.diatonic,
            crook=self.crook,
            players=self.players,
            octave_switch=self.octave_switch,
            old_bass_clef=self.old_bass_clef,
            from_bar=from_bar,
            doubt=self.doubt,
        )


#: The second line of a staff shared by cellos and basses: instrument, semitones, steps.
BASS_OF_SHARED = ("double-bass", -12, -7)


def propose_all(parts: Sequence[PartSeen]) -> list[Proposal]:
    """A proposal for every part of a score, in order.

    Parameters
    ----------
    parts : sequence of PartSeen
        All parts: language, voices and sounding pitch are judged together.

    Returns
    -------
    list of Proposal
        `doubt` is None where label, file, key signature and range agree.

    Examples
    --------
    >>> parts = [PartSeen("Corni in Es", key_fifths=0), PartSeen("Violino I", key_fifths=-3)]
    >>> horn = propose_all(parts)[0]
    >>> horn.transposition, horn.crook, horn.doubt.about
    (-9, 'Eb', 'pitch')
    """
    score = ScoreSeen(parts)
    return [_propose(seen, score, index) for index, seen in enumerate(score.parts)]


def propose(
    label: str,
    *,
    abbreviation: str = "",
    instrument_names: Sequence[str] = (),
    transpose: tuple[int, int] | None = None,
    clefs: Sequence[str] = (),
    low: int | None = None,
    high: int | None = None,
    clef_ranges: Mapping[str, tuple[int, int]] | None = None,
    key_fifths: int | None = None,
    lyrics: bool = False,
    others: Sequence[PartSeen] = (),
) -> Proposal:
    """A proposal for one part; `others` are the parts above it. See `PartSeen`.

    >>> propose("Clarinetti in B", transpose=(-2, -1)).doubt is None
    True
    """
    seen = PartSeen(
        label,
        abbreviation,
        tuple(instrument_names),
        transpose,
        tuple(clefs),
        low,
        high,
        clef_ranges or {},
        key_fifths,
        lyrics,
    )
    return propose_all([*others, seen])[-1]


def propose_change(before: PartSeen, now: PartSeen, others: Sequence[PartSeen] = ()) -> Proposal:
    """The proposal from a change on ("muta in A"): `now.label` may be the words alone.

    The instrument stays that of `before` unless the words name another; the
    crook is read from the words, the file's new transposition must agree.
    """
    words = re.sub(r"(?i)\b(mutano|muta|muti|change to|nimmt|prend)\b", " ", now.label).strip()
    named = parse_label(words)
    changes: tuple[str, ...] = ()
    if parse_label(before.label).tuning and not named.candidates:
        label, changes = before.label, (now.label,)  # one drum changes, the other stays
    elif named.candidates and not named.ambiguous:
        label = words
    else:
        base = ScoreSeen([*others, before]).readings[-1]
        label = f"{base.word} {_crook_words(now.label)}".strip()
    seen = PartSeen(
        label,
        before.abbreviation,
        (),
        now.transpose,
        now.clefs,
        now.low,
        now.high,
        now.clef_ranges,
        now.key_fifths,
        before.lyrics,
        changes,
    )
    return propose_all([*others, seen])[-1]


def _crook_words(text: str) -> str:
    """The words from "in" on: "muta in A", "nimmt Klarinette in A"."""
    words = text.split()
    at = next((i for i, w in enumerate(words) if w.lower() in ("in", "en")), None)
    return " ".join(words[at:]) if at is not None else ""


def _propose(seen: PartSeen, score: ScoreSeen, index: int) -> Proposal:
    named = name_part(seen, score, index)
    record = INSTRUMENTS[named.key]
    sounding = pitch_of_part(seen, score, named.reading)
    # At sounding pitch nothing is written an octave too low.
    old, old_doubt = (False, "") if score.concert_pitch else old_bass_clef(seen, named.key)
    switch, switch_doubt = cello_treble(seen, named.key)
    players, number, players_doubt = players_of(named.reading, score, index)
    low = _lowest(seen, old)
    notices = tuple(check_range(named.key, sounding.semitones, low, seen.high))
    far = next((n.text for n in notices if n.severity == "impossible" and n.by > FAR), "")
    doubt = _doubt(
        name=[named.doubt],
        pitch=[sounding.doubt, old_doubt, switch_doubt, "" if sounding.doubt else far],
        players=[players_doubt],
    )
    return Proposal(
        instrument=named.key,
        family=record.family,
        transposition=sounding.semitones,
        diatonic=sounding.steps,
        crook=sounding.crook,
        players=players,
        octave_switch=switch,
        old_bass_clef=old,
        doubt=doubt,
        number=number,
        notices=notices,
    )


def _lowest(seen: PartSeen, old: bool) -> int | None:
    if not old or seen.low is None:
        return seen.low
    return seen.low + 12


def _doubt(*, name: list[str], pitch: list[str], players: list[str]) -> Doubt | None:
    """One doubt a part: about the weightiest thing, with every sentence in it."""
    sentences = [s for s in (*name, *pitch, *players) if s]
    if not sentences:
        return None
    if any(name):
        return Doubt("name", " ".join(sentences))
    return Doubt("pitch" if any(pitch) else "players", " ".join(sentences))
