"""What is said of many: "Corni in F hold the harmony", "Corno 1 holds the harmony".

The analyses write their sentences of one line. Where the name that stands first is a plural, or
several names, the sentence of this table is told instead, with the same parameters.
"""

from __future__ import annotations

from functools import lru_cache
from string import Formatter
from typing import Any

from analysis.engine.instruments.names import parse_label

#: template id -> the same with a plural verb
THEY: dict[str, str] = {
    "bass.above": (
        "{place}: the real bass is {bass}: {section} sound above it, although they stand below it "
        "on the page."
    ),
    "course.changes": "{place}: {parts} change partner: {steps}.",
    "crossing.dip": "{place}: {lower} are above {upper} for a moment.",
    "crossing.held": "{place}: {lower} cross above {upper} for a beat or longer.",
    "crossing.over": "{place}: {lower} cross above {upper} ({notes} notes).",
    "doubling.full": "{place}: {parts} double {with_} {distance} ({met} of {of} attacks).",
    "doubling.heterophonic": (
        "{place}: {parts} play plainly what is decorated in {with_}, {distance} "
        "({met} of {of} attacks shared)."
    ),
    "doubling.none": "{place}: {parts} are left undoubled.",
    "doubling.noted": (
        "{place}: {parts} double {with_} {distance}, nearly throughout ({met} of {of} attacks)."
    ),
    "doubling.partial": (
        "{place}: {parts} double {with_} in part, {distance} ({met} of {of} attacks)."
    ),
    "doubling.simplified": (
        "{place}: {parts} play the line of {with_} in a simpler form, {distance} "
        "({met} of its {of} attacks)."
    ),
    "drums.more": (
        "{place}: {parts} play {pitches}: more than a pair, or tuned anew{relation}."
        "{serves}{not_serves}"
    ),
    "drums.one": "{place}: {parts} use one drum only, {pitches}{relation}.{serves}{not_serves}",
    "drums.pair": "{place}: {parts} are tuned to {pitches}{relation}.{serves}{not_serves}",
    "handover.answer": (
        "{place}: {to} answer the end of {from_} with the same figure ({count} notes alike)."
    ),
    "handover.gap": "{place}: {from_} hand the line to {to}, after a breath{note}.",
    "handover.meets": (
        "{place}: {from_} hand the line to {to}; the end of the one meets the entry of the "
        "other{note}."
    ),
    "handover.overlap": (
        "{place}: {from_} hand the line to {to}; for a moment both have it{note}."
    ),
    "handover.takes-over": "{place}: {to} take the line over from {from_}, still heard beneath.",
    "imitation": ("{place}: imitation: {first} begin, {others}; {count} notes are alike ({sort})."),
    "layout.change": "From {place}: {parts} change to {instrument}{transposes}.",
    "marking.register": "{place}: {parts} stay in their {register} register{name}.",
    "open-tones.crook": "{place}: {parts} (crook {crook}) have {pitches} as open tones; {tally}.",
    "open-tones.doubtful": (
        "{place}: {parts} play {pitches}, {partials} of the crook {crook}: out of tune."
    ),
    "open-tones.hand": (
        "{place}: {parts} play {missing}, no open tone of the crook {crook}: that would need the "
        "hand."
    ),
    "open-tones.joint": (
        "{place}: {parts} (crook {crook}) go with {line} on {pitches} but leave out {missing}: "
        "only the former are open there."
    ),
    "open-tones.not-available": (
        "{place}: {parts} play {missing}, which a natural trumpet with the crook {crook} does not "
        "have."
    ),
    "open-tones.rests": (
        "{place}: {parts} rest; the chord ({missing}) has no open tone of the crook {crook}."
    ),
    "open-tones.valves": (
        "{place}: {parts} (crook {crook}) are not written in open tones: {closed} of their {count} "
        "notes would need valves or the hand."
    ),
    "parallel.run": (
        "{place}: {parts} move in {interval}s {side} {with_} ({met} of {of} attacks)."
    ),
    "playing.enters": "{place}: {parts} enter after {bars} bars of rest.",
    "playing.rests.one": "{place}: {parts} rest ({bars} bars).",
    "playing.solo": "{place}: {parts} play alone.",
    "playing.tacet.one": "{place}: {parts} rest throughout the movement.",
    "reinforcement.accents": (
        "{place}: {parts} support the accents of {with_}, {distance} ({met} of {of} attacks)."
    ),
    "reinforcement.beats": (
        "{place}: {parts} support {with_} only on beat {beats}, {distance} ({met} of {of} attacks)."
    ),
    "reinforcement.beats.many": (
        "{place}: {parts} support {with_} only on beats {beats}, {distance} "
        "({met} of {of} attacks)."
    ),
    "reinforcement.notes": (
        "{place}: {parts} support only some notes of {with_}, {distance} "
        "({met} of {of} attacks{which})."
    ),
    "reinforcement.struck": (
        "{place}: {parts} strike with {with_} on other notes, marking {met} of {of} attacks{which}."
    ),
    "role.melody": "{line} have the melody, {place}.",
    "role.countermelody": "{line} have a second tune, {place}.",
    "role.answer": "{line} answer in the gaps of the melody, {place}.",
    "role.bass line": "{line} carry the bass, {place}.",
    "role.held harmony": "{line} hold the harmony, {place}.",
    "role.moving harmony": "{line} move through the harmony, {place}.",
    "role.pulse": "{line} keep the pulse, {place}.",
    "role.pedal": "{line} have a pedal note, {place}.",
    "role.punctuation": "{line} punctuate, {place}.",
    "role.figuration": "{line} have figuration, {place}.",
    "role.unclear": "What {line} do is not clear, {place}.",
    "sides-with.pitch": "{place}: {parts} side with {side}: they share notes in {bars} they play.",
    "sides-with.rhythm": (
        "{place}: {parts} side with {side} by rhythm, not by notes, in {bars} they play."
    ),
    "sides-with.role": (
        "{place}: {parts} side with {side} by their job, not by notes or rhythm, in {bars} they "
        "play."
    ),
}

#: the name that decides, where it is not the first of the sentence of one
_SUBJECT = {"bass.above": "section"}


def subject(id_: str, template: str) -> str | None:
    """The parameter whose name decides on the verb: the first that is no place."""
    names = (name for _text, name, _spec, _how in Formatter().parse(template) if name)
    return _SUBJECT.get(id_) or next((name for name in names if name != "place"), None)


def is_many(name: Any) -> bool:
    """Whether a name is a plural, or several names: "Corni in F", "Flauto and Oboe 1"."""
    return isinstance(name, str) and _is_many(name)


@lru_cache(maxsize=4096)
def _is_many(name: str) -> bool:
    name = name.partition(" (")[0]  # "Violino I (with Flauto and Oboe 1)" is one
    return " and " in name or parse_label(name).form == "plural"
