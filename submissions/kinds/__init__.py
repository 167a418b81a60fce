"""What a student can state: one room per kind, with its form; rules are the engine's."""

from submissions.kinds.registry import KINDS, StatementKind, kind_of

__all__ = ["KINDS", "StatementKind", "kind_of"]
