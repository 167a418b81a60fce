"""Every name told to a reader is one the reader of scores knows."""

from __future__ import annotations

import pytest

from analysis.engine.instruments.languages import LANGUAGES, names, names_of
from analysis.engine.instruments.names import parse_label
from analysis.engine.instruments.table import INSTRUMENTS

CASES = [(key, code, getattr(row, code)) for key, row in names().items() for code in LANGUAGES]


@pytest.mark.parametrize(("key", "code", "name"), CASES, ids=lambda v: str(v))
def test_a_name_is_read_back_as_its_instrument(key: str, code: str, name: str) -> None:
    assert name
    assert key in parse_label(name).candidates


def test_the_table_names_instruments_the_engine_has() -> None:
    assert set(names()) <= set(INSTRUMENTS)
    assert len(names()) >= 35
    assert names_of("unknown") is None
