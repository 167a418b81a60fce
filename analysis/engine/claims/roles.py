"""The role words of claims and findings, and which are of one class."""

ROLES = (
    "melody", "countermelody", "answer", "bass line", "held harmony", "moving harmony", "pulse",
    "pedal", "punctuation", "figuration", "silence",
)  # fmt: skip

#: What a finding may say where no job is sure. As a claim it goes to the tutor's ear.
UNCLEAR = "unclear"

#: Words of one class: the right idea under another word is near.
CLASSES: tuple[frozenset[str], ...] = (
    frozenset({"melody", "countermelody"}),
    frozenset({"countermelody", "answer"}),
    frozenset({"held harmony", "moving harmony"}),
    frozenset({"held harmony", "pedal"}),
    frozenset({"moving harmony", "figuration"}),
    frozenset({"moving harmony", "pulse"}),
    frozenset({"bass line", "pedal"}),
    frozenset({"pulse", "punctuation"}),
)
