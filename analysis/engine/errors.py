"""One error root for the engine, so that callers catch one class."""

from __future__ import annotations


class EngineError(Exception):
    """Something the engine cannot do; the text is a sentence for people."""


class Refused(EngineError):
    """A file the gate does not let in.

    Parameters
    ----------
    sentence : str
        What is wrong and what to do, in plain words: no library name, no
        path, no traceback.
    code : str
        Stable word for tests and logs, e.g. ``"zip-encrypted"``.
    where : str
        Place in the file ("bar 12, Flauto 1"), or an empty string.
    """

    def __init__(self, sentence: str, *, code: str, where: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.code = code
        self.where = where


class ClaimNotUnderstood(EngineError):
    """A claim with an unknown field, kind, part or place; never reaches a page as an exception."""
