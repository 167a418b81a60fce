"""Nothing printed over a staff, and no label asked for, breaks the reader."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from analysis.engine.reader.force import technique_changes
from analysis.engine.reader.player_words import read_words

_SOME = (
    "a 2 1. 2. I. II. solo soli div. unis. non tutti Vc. Cb. senza con col Basso e Vl. arco "
    "pizz. simile come sopra 1o primo ( ) [ ] . , à zu"
)
_WORDS = st.lists(st.sampled_from(_SOME.split()), max_size=5).map(" ".join)


@given(_WORDS | st.text(max_size=30))
def test_any_words(text: str):
    for low in (False, True):
        word = read_words(text, low_strings=low)
        assert word is None or all(1 <= n <= 9 for n in word.numbers)
    on, off = technique_changes(text)
    assert not on & off
