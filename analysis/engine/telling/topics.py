"""What findings are about, in the tutor's words: one table of topics under seven headings.

A topic is finer than a kind: a cadence and a held chord are both of the kind "chord", and a tutor
looks for the one or the other. The template of a finding's sentence tells its topic; a finding in
the tutor's own words is filed by its kind.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from analysis.engine.model import Finding


@dataclass(frozen=True, slots=True)
class Heading:
    name: str
    label: str


@dataclass(frozen=True, slots=True)
class Topic:
    """One row of the filter.

    Attributes
    ----------
    name : str
    label : str
        As on the page; English, translated there.
    heading : str
        Name of its heading.
    telling : int
        How much it is what a tutor came for, 0 to 10 (common practice, no source).
    templates : tuple of str
        Sentence ids, or beginnings of them that end in a dot.
    analyses : tuple of str
        Names in `analyses.registry` whose findings are told here.
    kind : str
        Kind of finding filed here where the template says nothing.
    held : bool
        Judged of a stretch of bars: one bar of it is a weak word.
    """

    name: str
    label: str
    heading: str
    telling: int
    templates: tuple[str, ...]
    analyses: tuple[str, ...]
    kind: str = ""
    held: bool = False


HEADINGS: tuple[Heading, ...] = (
    Heading("plays", "Who plays"),
    Heading("doublings", "Doublings"),
    Heading("roles", "Roles and texture"),
    Heading("harmony", "Harmony and keys"),
    Heading("brass", "Brass and drums"),
    Heading("line", "Line and phrase"),
    Heading("page", "The page"),
)

TOPICS: tuple[Topic, ...] = (
    Topic("forces", "tutti, solo, families alone", "plays", 4,
          ("playing.tutti", "playing.tutti-brass", "playing.family", "playing.winds",
           "playing.of-family", "playing.solo", "playing.soli"), ("playing",), "playing"),
    Topic("pauses", "general pauses", "plays", 5,
          ("playing.silence", "playing.silence.one", "playing.silence-unique",
           "playing.silence-unique.one"), ("playing",)),
    Topic("entries", "entries", "plays", 3, ("playing.enters",), ("playing",)),
    Topic("rests", "who rests", "plays", 1,
          ("playing.rests", "playing.rests.one", "playing.tacet", "playing.tacet.one"),
          ("playing",)),
    Topic("share", "who plays most", "plays", 2, ("share.",), ("share",), "share"),
    Topic("doubling", "doublings", "doublings", 8,
          ("doubling.full", "doubling.noted", "doubling.group", "doubling.unison",
           "doubling.a2"), ("doubling",), "doubling"),
    Topic("looser", "simplified and partial doublings", "doublings", 8,
          ("doubling.simplified", "doubling.heterophonic", "doubling.partial"), ("doubling",)),
    Topic("undoubled", "lines left undoubled", "doublings", 3, ("doubling.none",), ("doubling",)),
    Topic("reinforcement", "notes and attacks supported", "doublings", 7, ("reinforcement.",),
          ("reinforcement", "reinforcement-accents"), "reinforcement"),
    Topic("parallel", "thirds and sixths together", "doublings", 6, ("parallel.",),
          ("parallel",), "parallel"),
    Topic("course", "changes of partner, splits and joins", "doublings", 6, ("course.",),
          ("course", "pair"), "course"),
    Topic("texture", "texture", "roles", 6, ("texture.",), ("texture",), "texture", held=True),
    Topic("tune", "who has a tune", "roles", 7,
          ("role.melody", "role.countermelody", "role.answer"), ("role",), held=True),
    Topic("role", "bass, harmony, pulse and the rest", "roles", 4, ("role.",), ("role",), "role",
          held=True),
    Topic("sides", "which family a part sides with", "roles", 5, ("sides-with.",),
          ("sides-with",), "sides-with", held=True),
    Topic("key", "keys", "harmony", 5, ("key.region", "key.overtaken", "key.cadence"),
          ("key",), "key", held=True),
    Topic("arrival", "arrivals in a key", "harmony", 6,
          ("key.arrives", "key.confirmed", "key.enters"), ("key",)),
    Topic("route", "route of the keys", "harmony", 5, ("key-route.",), ("key-route",),
          "key-route"),
    Topic("touched", "keys touched", "harmony", 6, ("tonicisation.",), ("tonicisation",)),
    Topic("cadence", "cadences", "harmony", 6, ("cadence.",), ("cadence",)),
    Topic("chord", "chords and who has what", "harmony", 5, ("chord.",), ("chord",), "chord"),
    Topic("pedal", "pedal notes", "harmony", 8, ("pedal.",), ("pedal",), "pedal"),
    Topic("bass", "the real bass", "harmony", 7, ("bass.",), ("real-bass",)),
    Topic("joint", "with a line where the notes are open", "brass", 9, ("open-tones.joint",),
          ("brass-joint",)),
    Topic("open", "open tones of horns and trumpets", "brass", 5,
          ("open-tones.crook", "open-tones.valves", "open-tones.hand",
           "open-tones.not-available", "open-tones.doubtful", "open-tones.rests",
           "open-tones.pair"), ("open-tones",), "open-tones"),
    Topic("brass-chord", "brass in the chords", "brass", 6,
          ("open-tones.chord", "open-tones.chord-rest"), ("brass-chord",)),
    Topic("brass-key", "brass in the keys", "brass", 5, ("open-tones.key", "open-tones.key-all"),
          ("brass-key",)),
    Topic("drums", "drums", "brass", 6, ("drums.",), ("drums",)),
    Topic("handover", "handovers", "line", 8, ("handover.",), ("handover",), "handover"),
    Topic("crossing", "crossings", "line", 7, ("crossing.",), ("crossing",), "crossing"),
    Topic("return", "returns", "line", 9, ("comparison.",), ("comparison",), "comparison"),
    Topic("imitation", "imitation", "line", 8, ("imitation",), ("imitation",), "imitation"),
    Topic("sequence", "sequences and chains", "line", 8, ("sequence.",), ("sequence",),
          "sequence"),
    Topic("build-up", "build-ups and thinning out", "line", 8, ("build-up.",), ("build-up",),
          "build-up"),
    Topic("range", "highest and lowest notes", "line", 4, ("range.",), ("range",), "range"),
    Topic("register", "registers", "line", 3, ("marking.",), ("register",), "marking"),
    Topic("breath", "breath", "line", 5, ("playing.no-breath", "playing.fragments"),
          ("continuity",)),
    Topic("layout", "layout of the page", "page", 2, ("layout.",), ("layout",), "layout"),
)  # fmt: skip

BY_NAME = {topic.name: topic for topic in TOPICS}
_OTHER = Topic("other", "your own words", "page", 9, (), ())


def topic_of(finding: Finding) -> Topic:
    """The topic of a finding; never none."""
    return _topic(finding.sentence.template, finding.kind)


def kind_label(kind: str) -> str:
    """A kind of finding in the trade's words."""
    return next((topic.label for topic in TOPICS if topic.kind == kind), kind)


@lru_cache(maxsize=1024)
def _topic(template: str, kind: str) -> Topic:
    for topic in TOPICS:
        for known in topic.templates:
            if template == known or (known.endswith(".") and template.startswith(known)):
                return topic
    return next((topic for topic in TOPICS if topic.kind == kind), _OTHER)
