"""A stored table is the same table, and nothing but a table is taken."""

from __future__ import annotations

import io
import zipfile

import numpy as np
import pytest

from analysis.engine.errors import EngineError
from analysis.engine.reader import store
from tests.engine.reader.reading import DATA, table

NAMES = sorted(p.stem for p in DATA.glob("*.musicxml"))


@pytest.mark.parametrize("name", NAMES)
def test_there_and_back(name: str):
    t = table(name)
    data = store.dumps(t)
    back = store.loads(data)
    for field in ("title", "movements", "parts", "bars", "lines", "ids", "marks", "order",
                  "warnings", "sha256"):  # fmt: skip
        assert getattr(back, field) == getattr(t, field), field
    assert (back.notes == t.notes).all()
    assert np.array_equal(back.continuations, t.continuations)
    assert store.dumps(back) == data


def test_other_bytes_are_refused():
    for data in (b"", b"PK\x03\x04", b"nothing"):
        with pytest.raises(EngineError, match="not a stored note table"):
            store.loads(data)


def test_an_older_shape_is_refused():
    data = store.dumps(table("pickup"))
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            text = old.read(name)
            new.writestr(name, text.replace(b'"version":1', b'"version":0'))
    with pytest.raises(EngineError, match="another version"):
        store.loads(out.getvalue())


def test_pickles_are_never_read():
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        member = io.BytesIO()
        np.save(member, np.array([{"a": 1}], dtype=object), allow_pickle=True)
        archive.writestr("notes.npy", member.getvalue())
        archive.writestr("continuations.npy", member.getvalue())
        archive.writestr("table.json", "{}")
    with pytest.raises(EngineError):
        store.loads(data.getvalue())
