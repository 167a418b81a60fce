"""Words for several parts at once, in English, Italian, German and French.

Custom of the trade (common practice, no source). A word with two uses has two
meanings, the first the likelier: "winds" is the wind band, brass included, or
the woodwind alone; "low strings" cellos and basses, or with the violas.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Group:
    """`meanings`: families, instruments or "violin 1", each meaning a tuple of them."""

    key: str
    words: str  # as in "there are no ... in this score"
    meanings: tuple[tuple[str, ...], ...]


_BASS = ("cello", "double-bass", "violone", "cello-and-bass")

_REEDS = ("oboe", "oboe-d-amore", "oboe-da-caccia", "cor-anglais", "bassoon", "contrabassoon")

_GROUPS = (
    (
        Group("everybody", "parts", (("*",),)),
        (
            "all | everyone | everybody | all parts | all the parts | all instruments | orchestra | "
            "whole orchestra | full orchestra | entire orchestra | tutti | tutta l orchestra | alle | "
            "alle stimmen | ganzes orchester | ganze orchester | tous | tout l orchestre | toutes | "
            "tutti gli strumenti | every part | all players"
        ),
    ),
    (
        Group("woodwind", "woodwinds", (("woodwind",),)),
        (
            "woodwind | woodwinds | wood winds | wood | woods | legni | holz | holzblaser | "
            "holzblaeser | bois | woodwind section | reeds and flutes | ww | wws"
        ),
    ),
    (
        Group("double reeds", "double reeds", (_REEDS,)),
        "double reeds | double reed | oboes and bassoons | doppelrohrblatter | ance doppie | anches doubles",
    ),
    (
        Group("winds", "winds", (("woodwind", "brass"), ("woodwind",))),
        (
            "winds | wind | wind band | wind instruments | wind section | harmonie | harmoniemusik | "
            "fiati | strumenti a fiato | blaser | blaeser | vents | instruments a vent"
        ),
    ),
    (
        Group("brass", "brass", (("brass",),)),
        "brass | brasses | brass section | ottoni | blech | blechblaser | blechblaeser | cuivres",
    ),
    (
        Group("percussion", "percussion", (("percussion",),)),
        (
            "percussion | percussions | percussion section | percussioni | batteria | schlagzeug | "
            "schlagwerk | batterie"
        ),
    ),
    (
        Group("strings", "strings", (("strings",),)),
        (
            "strings | string | string section | string orchestra | tutti strings | all strings | "
            "archi | strumenti ad arco | streicher | streichorchester | cordes | quartetto d archi | "
            "full strings | string band | strs | stgs | str | strgs"
        ),
    ),
    (
        Group("voices", "voices", (("voice",),)),
        (
            "voices | voice | choir | chorus | singers | coro | voci | chor | singstimmen | choeur | "
            "voix"
        ),
    ),
    (
        Group("keyboard", "keyboard instruments", (("keyboard",),)),
        (
            "keyboard | keyboards | keyboard instruments | tastiere | strumenti a tastiera | "
            "tasteninstrumente | claviers"
        ),
    ),
    (
        Group("plucked", "plucked instruments", (("plucked",),)),
        "plucked | plucked instruments | plucked strings | zupfinstrumente | cordes pincees",
    ),
    (
        Group("high strings", "high strings", (("violin",), ("violin", "viola"))),
        (
            "high strings | upper strings | hohe streicher | hohen streicher | archi acuti | "
            "archi alti | cordes aigues"
        ),
    ),
    (
        Group("low strings", "low strings", (_BASS, (*_BASS, "viola"))),
        (
            "low strings | lower strings | tiefe streicher | tiefen streicher | archi gravi | "
            "archi bassi | cordes graves | deep strings"
        ),
    ),
    (
        Group("inner parts", "inner parts", (("violin 2", "viola"),)),
        (
            "inner parts | inner voices | inner strings | middle parts | middle voices | "
            "middle strings | mittelstimmen | parti interne | voci interne | parti intermedie | "
            "parties intermediaires | voix intermediaires | voix interieures"
        ),
    ),
    (
        Group("outer parts", "outer parts", (("violin 1", *_BASS),)),
        (
            "outer parts | outer voices | outer strings | aussenstimmen | parti estreme | "
            "voci estreme | parties extremes | voix extremes"
        ),
    ),
    (
        Group("firsts", "first violins", (("violin 1",),)),
        "firsts | 1sts | i primi | primi | ersten | premiers",
    ),
    (
        Group("seconds", "second violins", (("violin 2",),)),
        "seconds | 2nds | i secondi | secondi | zweiten | seconds violons | deuxiemes",
    ),
    (
        Group("all-four", "groups of four", ()),
        (
            "all four | all 4 | four | tutti e quattro | tutte e quattro | alle vier | "
            "tous les quatre | toutes les quatre"
        ),
    ),
)

COLLECTIVES: dict[str, Group] = {
    phrase.strip(): group for group, phrases in _GROUPS for phrase in phrases.split("|")
}

#: Words that take in every player of what follows, and how many that must be (0: any).
QUANTITIES: dict[str, int] = {
    "all": 0, "every": 0, "both": 2, "alle": 0, "beide": 2, "beiden": 2, "entrambi": 2,
    "entrambe": 2, "ambedue": 2, "tous": 0, "toutes": 0, "tutti": 0, "tutte": 0,
}  # fmt: skip
