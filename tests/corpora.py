"""Where the open corpora are, and what a test does when they are not there."""

from __future__ import annotations

import os
from pathlib import Path
from typing import NoReturn

import pytest

CHECKOUT = Path(__file__).resolve().parent.parent


def corpora_dir() -> Path:
    """The folder named by CORPORA, or `shared` beside the checkout."""
    return Path(os.environ.get("CORPORA") or CHECKOUT.parent / "shared")


def have_corpora() -> bool:
    """Whether scores are there."""
    return (corpora_dir() / "scores").is_dir()


def require_corpora() -> Path:
    """The folder; without it the test is skipped, or fails when STRICT is set.

    Use it inside a test or fixture marked `corpora`.
    """
    if have_corpora():
        return corpora_dir()
    _absent(f"The open corpora are not in {corpora_dir()}; set CORPORA to their folder.")


def require_score(stem: str) -> Path:
    """The score of that name; without it as without the corpora."""
    require_corpora()
    for path in score_files():
        if path.stem == stem:
            return path
    _absent(f"{stem} is not among the scores in {corpora_dir()}.")


def _absent(sentence: str) -> NoReturn:
    if os.environ.get("STRICT") == "1":
        pytest.fail(sentence)
    pytest.skip(sentence)


def score_files(folder: str = "scores") -> list[Path]:
    """All MXL files of a folder of the corpora, sorted; empty when it is absent."""
    return sorted((corpora_dir() / folder).glob("*.mxl"))
