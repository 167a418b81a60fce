"""Every row of the trade facts is tested somewhere, or it is said why not: the list is walked.

The facts are read through CORPORA; `tests/data/trade_facts_rows.csv` names their rows by section,
kind and number alone.
"""

from __future__ import annotations

import ast
import re
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from analysis.engine.analyses.keys_profiles import PROFILES
from tests.corpora import require_corpora
from tests.published import table

ENGINE = Path(__file__).resolve().parent.parent
Row = tuple[str, str, int]
_HEAD = re.compile(r"#{2,3} (\d+(?:\.\d+)?)")
_ITEM = re.compile(r"(?:^|(?<=\s))(\d+)\. ")


@cache
def facts() -> list[str]:
    path = require_corpora() / "trade-facts.md"
    return path.read_text(encoding="utf-8").splitlines()


def rows() -> list[Row]:
    """(section, kind, number) of every table row, bullet and paragraph, in order."""
    section, in_table, items, count = "0", 0, 0, Counter()
    found: list[Row] = []
    for line in facts():
        if line.startswith("#"):
            head = _HEAD.match(line)
            section = head[1] if head else section
        in_table = in_table + 1 if line.startswith("|") else 0
        if line.startswith("#") or not line.strip() or 0 < in_table <= 2:
            continue  # the first two lines of a table are its head
        kind = "table" if in_table else "bullet" if line.startswith("- ") else "text"
        before = items
        for number in _ITEM.findall(line) if section == "12" else ():
            if int(number) == items + 1:  # "partial 6. 21." holds one item, not two
                items += 1
                found.append((section, "item", items))
        if items > before:
            continue
        count[section, kind] += 1
        found.append((section, kind, count[section, kind]))
    return found


def listed() -> dict[Row, dict[str, str]]:
    out: dict[Row, dict[str, str]] = {}
    for entry in table("trade_facts_rows.csv"):
        for n in range(int(entry["first"]), int(entry["last"]) + 1):
            row = (entry["section"], entry["kind"], n)
            assert row not in out, f"{row} is listed twice"
            out[row] = entry
    return out


@pytest.mark.corpora
def test_no_row_is_forgotten_and_none_is_invented():
    there, named = rows(), listed()
    assert len(there) == len(set(there))
    assert sorted(set(there) - set(named)) == []
    assert sorted(set(named) - set(there)) == []
    assert [n for s, k, n in there if k == "item"] == list(range(1, 37))


def test_each_names_a_test_or_a_reason():
    functions: dict[str, set[str]] = {}
    for row, entry in listed().items():
        assert bool(entry["tests"]) != bool(entry["reason"]), row
        for name in entry["tests"].split():
            file, _, function = name.partition("::")
            if file not in functions:
                tree = ast.parse((ENGINE / file).read_text(encoding="utf-8"))
                functions[file] = {n.name for n in tree.body if isinstance(n, ast.FunctionDef)}
            assert function in functions[file], (row, name)


def test_most_rows_are_tested():
    named = listed()
    tested = sum(bool(entry["tests"]) for entry in named.values())
    assert tested >= 0.75 * len(named), (tested, len(named))


@pytest.mark.corpora
@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("krumhansl-kessler", "Krumhansl & Kessler 1982"),
        ("temperley-kostka-payne", "Kostka"),
        ("albrecht-shanahan", "Albrecht & Shanahan 2013"),
        ("bellmann-budge", "Bellmann 2005"),
    ],
)
def test_profiles_number_by_number(name, words):
    """Both rows of each profile, read from the facts themselves."""
    at = next(i for i, line in enumerate(facts()) if line.startswith("|") and words in line)
    for mode in (0, 1):
        cells = [cell.strip() for cell in facts()[at + mode].strip("|").split("|")]
        assert cells[1] == ("major", "minor")[mode]
        assert PROFILES[name][mode] == pytest.approx([float(c) for c in cells[2:14]])
