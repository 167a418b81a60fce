"""Which words of the trade each kind of statement needs; explained beside its form."""

from __future__ import annotations

from courses.glossary import WORDS, Word

WORDS_OF: dict[str, tuple[str, ...]] = {
    "playing": ("tutti", "solo", "a-2"),
    "doubling": ("doubling", "unison", "octaves", "partial-doubling", "simplified", "heterophonic"),
    "parallel": ("doubling", "unison"),
    "reinforcement": ("reinforcement", "partial-doubling"),
    "role": ("role", "melody", "countermelody", "bass-line", "held-harmony", "moving-harmony",
             "pulse", "pedal", "punctuation", "figuration"),
    "texture": ("texture", "layer"),
    "course": ("doubling", "unison", "octaves"),
    "sides-with": ("sides", "role"),
    "crossing": ("crossing", "sounding"),
    "range": ("sounding", "register"),
    "marking": ("register", "con-sord", "pizzicato", "divisi", "a-2"),
    "open-tones": ("crook", "open-tone", "stopped", "partial"),
    "pedal": ("pedal",),
    "chord": ("sounding",),
    "key": ("local-key", "cadence"),
    "sequence": ("sequence",),
    "handover": ("handover", "entry"),
    "imitation": ("imitation", "entry"),
    "key-route": ("local-key", "cadence"),
    "build-up": ("build-up",),
    "share": ("melody",),
    "comparison": ("entry", "drop-out"),
    "layout": ("transposition", "crook", "clef", "player"),
    "free": (),
}  # fmt: skip


def words_of(kind: str) -> list[tuple[str, Word]]:
    """Keys and words of a kind, in the order in which its form needs them."""
    return [(key, WORDS[key]) for key in WORDS_OF.get(kind, ())]
