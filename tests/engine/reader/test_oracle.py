"""Our reader against music21 on the same canonical copies (see `tests.oracle`).

The quick tests take two movements and the hand-made files of the classes; the
slow ones take everything that is there.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests import oracle, oracle_classes
from tests.corpora import require_corpora, score_files
from tests.engine.reader.reading import DATA

#: At least so many notes are equal without any class.
FLOOR = 0.995
#: parts of the whole list that are compared apart
TURNS = 8
FOLDERS = ("scores", "eval/scores_roles_keys")


def _score(name: str) -> Path:
    require_corpora()
    (found,) = (p for folder in FOLDERS for p in score_files(folder) if p.stem == name)
    return found


def test_music21_keeps_the_ids():
    """The hook works on the installed music21: every note and rest keeps its id."""
    canonical = oracle.canonical_of(DATA / "chords.musicxml")
    ids = oracle.music21_notes(canonical)["id"].tolist()
    assert sorted(ids) == [*(f"n0-0-{k}" for k in range(8)), "n0-1-0", "n0-2-0", "n0-2-1", "n0-2-2"]


@pytest.mark.corpora
@pytest.mark.parametrize("name", ["Bach_BWV.232_07b", "Brahms_Op.90_3"])
def test_two_movements_are_equal(name: str):
    result = oracle.compare(oracle.canonical_of(_score(name)), name)
    assert not result.unclassed
    assert result.equal == result.notes > 1000


@pytest.mark.parametrize("name", sorted(oracle_classes.CLASSES))
def test_each_class_has_a_file_that_shows_it(name: str):
    result = oracle.compare(oracle.canonical_of(DATA / f"oracle-{name}.musicxml"), name)
    assert set(result.classed) == {name}
    assert not result.unclassed


@pytest.mark.parametrize(
    "path",
    [p for p in sorted(DATA.glob("*.musicxml")) if not p.name.startswith("oracle-")],
    ids=lambda p: p.stem,
)
def test_our_own_small_files(path: Path):
    result = oracle.compare(oracle.canonical_of(path), path.stem)
    assert not result.unclassed


def test_a_wrong_reader_is_found(monkeypatch: pytest.MonkeyPatch):
    """The comparison can fail: one note a tick-step too high is unclassed."""
    canonical = oracle.canonical_of(DATA / "chords.musicxml")
    right = oracle.ours(canonical)
    wrong = {k: s._replace(step=(s.step + (k == "n0-1-0")) % 7) for k, s in right.items()}
    monkeypatch.setattr(oracle, "ours", lambda _: wrong)
    assert len(oracle.compare(canonical).unclassed) == 1


# -- everything -------------------------------------------------------------------


def _check(paths: list[Path]) -> oracle.Comparison:
    whole = oracle.total(oracle.run(paths))
    print(oracle.line(whole))
    assert not whole.unclassed, whole.unclassed[:5]
    return whole


@pytest.mark.corpora
@pytest.mark.slow
@pytest.mark.parametrize("turn", range(TURNS))
def test_all_scores(turn: int):
    """In turns, so that two workers share them."""
    require_corpora()
    paths = [p for folder in FOLDERS for p in score_files(folder)]
    assert len(paths) >= 69
    assert _check(paths[turn::TURNS]).share >= FLOOR


@pytest.mark.slow
def test_music21_test_suite(tmp_path: Path):
    """music21's bundled MusicXML test-suite: files and strings; what the gate refuses is told."""
    import music21
    from music21.musicxml import testPrimitive

    folder = Path(music21.__file__).parent / "musicxml" / "lilypondTestSuite"
    paths = sorted(p for p in folder.iterdir() if p.suffix in (".xml", ".mxl"))
    for n, text in enumerate(testPrimitive.ALL):
        path = tmp_path / f"primitive-{n:02}.xml"
        path.write_text(text, encoding="utf-8")
        paths.append(path)
    whole, refused = _all_that_enter(paths)
    assert len(refused) <= 4, refused
    assert whole.notes > 2500
    assert whole.share >= FLOOR


@pytest.mark.slow
def test_music21_corpus():
    """Pieces of music21's corpus: every folder, every fourth piece of the three large ones."""
    from music21 import corpus

    paths, seen = [], {}
    for path in map(Path, corpus.getPaths()):
        if path.suffix not in (".mxl", ".xml", ".musicxml"):
            continue
        folder = path.parent.name
        seen[folder] = seen.get(folder, 0) + 1
        if folder not in ("bach", "trecento", "monteverdi") or seen[folder] % 4 == 0:
            paths.append(path)
    assert len(paths) > 200
    whole, _ = _all_that_enter(paths)
    assert whole.share >= FLOOR


def _all_that_enter(paths: list[Path]) -> tuple[oracle.Comparison, list[str]]:
    from analysis.engine.errors import Refused

    results, refused = [], []
    for path in paths:
        try:
            canonical = oracle.canonical_of(path)
        except Refused as refusal:
            refused.append(f"{path.name}: {refusal.sentence}")
            continue
        results.append(oracle.compare(canonical, path.stem))
        print(oracle.line(results[-1]))
    whole = oracle.total(results)
    print(oracle.line(whole), refused)
    assert not whole.unclassed, whole.unclassed[:5]
    return whole, refused
