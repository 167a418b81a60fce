"""How findings are told: ordered, merged and folded for the bars a tutor chose."""

from analysis.engine.telling.tell import Item, Section, Telling, tell
from analysis.engine.telling.topics import BY_NAME, HEADINGS, TOPICS, Topic, kind_label, topic_of
from analysis.engine.telling.words import beside_bars, confidence_word

__all__ = ["BY_NAME", "HEADINGS", "TOPICS", "Item", "Section", "Telling", "Topic",
           "beside_bars", "confidence_word",
           "kind_label", "tell", "topic_of"]  # fmt: skip
