"""Which instrument a part is, by its names and by the company it keeps."""

from __future__ import annotations

from dataclasses import dataclass, replace

from analysis.engine.instruments.evidence import PartSeen, ScoreSeen
from analysis.engine.instruments.names import LabelReading, parse_label
from analysis.engine.instruments.table import INSTRUMENTS

_ALTO = frozenset(("alto", "altos", "alti", "alt", "a"))
_STRINGS = frozenset(("violin", "viola", "cello", "double-bass", "cello-and-bass"))


@dataclass(frozen=True, slots=True)
class Named:
    """The instrument decided on, the label reading used, and a doubt in words or ""."""

    key: str
    reading: LabelReading
    doubt: str = ""


def name_part(seen: PartSeen, score: ScoreSeen, index: int) -> Named:
    """Decide the instrument of a part; what stays open becomes a doubt."""
    reading = parse_label(seen.label, score.language)
    if not reading.candidates:
        return _by_other_names(seen, score, reading)
    reading = _with_inner_crook(seen, score, reading)
    key, doubt = reading.instrument, ""
    if reading.ambiguous:
        key, doubt = _by_company(seen, score, index, reading)
    if not doubt and reading.others:
        names = _listed([key, *reading.others])
        doubt = f"The label “{seen.printed}” names more than one instrument: {names}."
    elif not doubt and reading.unknown:
        words = ", ".join(f"“{w}”" for w in reading.unknown)
        doubt = f"In the label “{seen.printed}” this is not understood: {words}."
    elif not doubt and key == "strings":
        doubt = f"“{seen.printed}” may be any of the strings; say which part this is."
    if not doubt and key == "flute" and ("G1" in seen.clefs or _beside_traverso(score, reading)):
        doubt = (
            f"“{seen.printed}” may be a recorder: in older scores “flauto” is the recorder "
            "where the flute is called “traverso”."
        )
    return Named(key, replace(reading, candidates=(key,)), doubt)


def _listed(keys: list[str]) -> str:
    names = [INSTRUMENTS[k].name for k in keys]
    return ", ".join(names[:-1]) + f" and {names[-1]}"


def _beside_traverso(score: ScoreSeen, reading: LabelReading) -> bool:
    if reading.word not in ("flauto", "flauti"):
        return False
    return any("travers" in r.word for r in score.readings)


def _by_other_names(seen: PartSeen, score: ScoreSeen, label: LabelReading) -> Named:
    """A label without an instrument: the file's instrument name or abbreviation may have one."""
    for text in (*seen.instrument_names, seen.abbreviation):
        reading = parse_label(text, score.language)
        if reading.candidates and not reading.ambiguous and not reading.unknown:
            doubt = ""
            if seen.label.strip():
                doubt = f"“{seen.printed}” names no instrument; “{text}” inside the file does."
            players = label.players if label.players.numbers else reading.players
            return Named(reading.instrument, replace(reading, players=players), doubt)
    if seen.label.strip():
        doubt = f"The label “{seen.printed}” names no instrument that is known here."
    else:
        doubt = "The part has no name."
    return Named("unknown", label, doubt)


def _with_inner_crook(seen: PartSeen, score: ScoreSeen, reading: LabelReading) -> LabelReading:
    """A label without crook or tuning ("Horn 1") takes those of the inner name ("Horn in D")."""
    if reading.crooks or reading.tuning or reading.ambiguous:
        return reading
    for text in seen.instrument_names:
        inner = parse_label(text, score.language)
        if inner.instrument == reading.instrument and (inner.crooks or inner.tuning):
            return replace(reading, crooks=inner.crooks, level=inner.level, tuning=inner.tuning)
    return reading


def _by_company(
    seen: PartSeen, score: ScoreSeen, index: int, reading: LabelReading
) -> tuple[str, str]:
    """Settle a word of several meanings; otherwise the likeliest with a doubt."""
    for text in seen.instrument_names:
        inner = parse_label(text, score.language)
        if len(inner.candidates) == 1 and inner.instrument in reading.candidates:
            return inner.instrument, ""
    voices = [c for c in reading.candidates if INSTRUMENTS[c].family == "voice"]
    if voices and seen.lyrics:
        return voices[0], ""
    if "cello-and-bass" in reading.candidates and len(reading.word) > 1:
        return _low_line(seen, score, index, reading)
    if voices and len(reading.candidates) <= 3 and len(score.voices) >= 2:
        return voices[0], ""
    if reading.word in _ALTO and voices:
        return _viola_or_voice(seen, score, reading, voices[0])
    names = " or ".join(_meaning(c) for c in reading.candidates)
    return reading.instrument, f"“{seen.printed}” may be {names}."


def _meaning(key: str) -> str:
    """A name that leaves no doubt of its own: "the bass voice", not "bass"."""
    record = INSTRUMENTS[key]
    if key == "voice":
        return "a singing voice"
    return f"the {record.name} voice" if record.family == "voice" else record.name


def _low_line(
    seen: PartSeen, score: ScoreSeen, index: int, reading: LabelReading
) -> tuple[str, str]:
    """ "Basso", "Bassi", "Bass": a voice, the double basses, or cellos and basses."""
    sung = len(score.voices) >= 2
    if sung and _after_a_voice(score, index):
        return "bass", ""
    if "bass" not in reading.candidates:
        sung = False
    if sung:
        return "cello-and-bass", (
            f"“{seen.printed}” may be the bass voice or the low strings; there are voices here."
        )
    if score.instruments & {"cello"}:
        return "double-bass", ""
    if reading.form == "plural" or (reading.word == "basso" and score.instruments & _STRINGS):
        return "cello-and-bass", ""
    return "cello-and-bass", (
        f"“{seen.printed}” may be the double basses, cellos and basses together, or a bass voice."
    )


def _after_a_voice(score: ScoreSeen, index: int) -> bool:
    """The part above is sung (tenor, another bass), so this one is."""
    if not 0 < index < len(score.readings):
        return False
    above = score.readings[index - 1]
    return any(INSTRUMENTS[c].family == "voice" for c in above.candidates)


def _viola_or_voice(
    seen: PartSeen, score: ScoreSeen, reading: LabelReading, voice: str
) -> tuple[str, str]:
    """ "Alto" is the viola of a French score, a voice elsewhere."""
    french = any(
        r.word.startswith(("violon", "contrebasse", "hautbois", "basson")) and "fr" in r.languages
        for r in score.readings
    )
    strings = "violin" in score.instruments
    if french and strings and not score.voices and "viola" not in score.instruments:
        return "viola", ""
    likely = "viola" if strings and "C3" in seen.clefs and not score.voices else voice
    return likely, f"“{seen.printed}” may be the viola (in French) or a singing voice."
