"""Findings of chosen bars: nothing lost, the same every time, and in a tutor's order.

Expected sentences and orders are argued from the notes of small tables; "common practice, no
source" where a choice is ours.
"""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace

import pytest

from analysis.engine.analyses import analyse
from analysis.engine.analyses.registry import ANALYSES
from analysis.engine.gate import admit
from analysis.engine.model import Evidence, Finding, Sentence
from analysis.engine.reader import read
from analysis.engine.sentences import TEMPLATES, render
from analysis.engine.settings import Settings
from analysis.engine.telling import (
    HEADINGS,
    TOPICS,
    beside_bars,
    confidence_word,
    tell,
    topic_of,
)
from analysis.engine.telling.reach import touching
from tests.demo.scores import path
from tests.engine.tables import table


@pytest.fixture(scope="module", params=[1, 2])
def movement(request):
    read_in = read(admit(path(request.param).read_bytes(), "demo.musicxml").canonical)
    return read_in, analyse(read_in)


def finding(kind, template, lines=(), first=0, last=0, confidence=1.0, **params):
    return Finding(
        kind=kind, movement=0, first=first, last=last, start=first * 40320,
        end=(last + 1) * 40320, lines=tuple(lines), value={"kind": kind}, confidence=confidence,
        evidence=(Evidence(ids=(f"n{lines[0] if lines else 0}-{first}-0",)),),
        sentence=Sentence(template, {"place": f"b. {first + 1}", **params}),
    )  # fmt: skip


def role(line, first, last, what="melody", confidence=0.9):
    return finding("role", f"role.{what}", (line,), first, last, confidence, line=f"part {line}")


@pytest.fixture
def four():
    """Four lines, six bars."""
    return table({name: "C5 w | D5 | E5 | F5 | G5 | A5" for name in ("Fl", "Ob", "Cl", "Fg")})


def said(telling):
    return [render(i.sentence) for i in telling.items()]


# --- topics -------------------------------------------------------------------


def test_every_analysis_has_a_topic_with_label_and_heading():
    told = {name for topic in TOPICS for name in topic.analyses}
    assert told == {a.name for a in ANALYSES}
    headings = {h.name for h in HEADINGS}
    for topic in TOPICS:
        assert topic.heading in headings
        assert topic.label, topic.name
        assert topic.label not in {a.name for a in ANALYSES if "-" in a.name}
    assert len({t.label for t in TOPICS}) == len(TOPICS) == len({t.name for t in TOPICS})


def test_every_sentence_of_the_analyses_is_of_one_topic():
    for topic in TOPICS:
        for known in topic.templates:
            hits = [t for t in TEMPLATES if t == known or (known[-1] == "." and known in t)]
            assert hits, f"{topic.name} waits for {known}, which nobody says"
    roots = {known.partition(".")[0] for topic in TOPICS for known in topic.templates}
    for template in TEMPLATES:
        if template.partition(".")[0] in roots:
            one = finding("none", template)
            assert topic_of(one).name != "other", template


def test_a_tutors_own_words_are_filed_by_kind():
    own = finding("doubling", "claim.overruled.plain")
    assert topic_of(own).name == "doubling"


# --- nothing lost, deterministic ----------------------------------------------


@pytest.mark.parametrize("span", [(0, 0), (4, 7), (8, 20), (0, 999)])
def test_every_finding_of_the_bars_is_in_exactly_one_item(movement, span):
    made, found = movement
    first, last = span[0], min(span[1], len(made.bars) - 1)
    telling = tell(made, found, first, last)
    told = Counter(id(f) for item in telling.items() for f in item.every)
    assert set(told.values()) == {1}
    assert set(told) == {id(f) for f in touching(made, found, first, last)}
    assert sum(len(s.shown) for s in telling.sections) <= 12
    assert sum(telling.counts.values()) == len(telling.items())


def test_the_order_of_the_findings_changes_nothing(movement):
    made, found = movement
    mixed = list(found)
    random.Random(1).shuffle(mixed)
    for span in ((0, 12), (0, len(made.bars) - 1)):
        one, other = tell(made, found, *span), tell(made, mixed, *span)
        assert said(one) == said(other)
        assert [s.heading.name for s in one.sections] == [s.heading.name for s in other.sections]


def test_each_topic_counted_can_be_asked_for(movement):
    made, found = movement
    last = len(made.bars) - 1
    everything = tell(made, found, 0, last)
    for name, count in everything.counts.items():
        telling = tell(made, found, 0, last, topic=name)
        assert len(telling.items()) == count
        assert {i.topic.name for i in telling.items()} == {name}
        assert telling.counts == everything.counts
        assert not telling.whole, "what was asked for is not folded away"


# --- merging ------------------------------------------------------------------


def test_lines_with_one_role_in_the_same_bars_are_one_sentence(four):
    telling = tell(four, [role(0, 0, 3), role(3, 0, 3), role(1, 0, 2)], 0, 5)
    assert sorted(said(telling)) == [
        "Fl and Fg have the melody, b. 1.", "part 1 has the melody, b. 1.",
    ]  # fmt: skip


def test_one_fact_in_several_places_is_one_sentence(four):
    over = [
        finding("crossing", "crossing.over", (0, 1), n, n, upper="Fl", lower="Ob", notes=2)
        for n in (0, 2, 4)
    ]
    (item,) = tell(four, over, 0, 5).items()
    assert render(item.sentence) == "b. 1, 3 and 5: Ob crosses above Fl (6 notes)."
    assert item.places == ((0, 0), (2, 2), (4, 4))


def test_facts_that_differ_stay_apart(four):
    runs = [
        finding("doubling", "doubling.full", (0, 1), n, n, parts="Fl", with_="Ob",
                distance=distance, met=4, of=4)
        for n, distance in ((0, "in unison"), (2, "one octave higher"))
    ]  # fmt: skip
    assert len(tell(four, runs, 0, 5).items()) == 2


def test_pairs_of_one_line_in_octaves_lie_inside_it_and_stay_within_reach(four):
    """Three lines in three octaves hold three pairs: who reads the one has read the others."""
    pair = [
        finding("doubling", "doubling.full", (n, 2), 0, 3, parts=f"p{n}", with_="Cl",
                distance="d", met=4, of=4)
        for n in (0, 1)
    ]  # fmt: skip
    group = finding("doubling", "doubling.group", (0, 1, 2), 0, 3, parts="all", levels="three")
    other = replace(pair[0], last=4, end=5 * 40320)  # goes on: another fact
    telling = tell(four, [*pair, group, other], 0, 5)
    held = next(i for i in telling.items() if i.findings == (group,))
    assert held.inside == tuple(pair)
    assert [i.findings for i in telling.items() if i is not held] == [(other,)]


def test_sure_and_unsure_are_never_merged(four):
    telling = tell(four, [role(0, 0, 3, confidence=0.9), role(1, 0, 3, confidence=0.5)], 0, 5)
    assert len(telling.items()) == 2
    assert [i.findings[0].lines for i in telling.unsure] == [(1,)]


def test_the_least_sure_finding_speaks_for_the_sentence(four):
    (item,) = tell(four, [role(0, 0, 3, confidence=0.95), role(1, 0, 3, confidence=0.75)],
                   0, 5).items()  # fmt: skip
    assert item.confidence == 0.75


def test_who_rests_is_one_sentence(four):
    rests = [
        finding("playing", "playing.rests.one", (0,), 0, 5, parts="Fl", bars=6),
        finding("playing", "playing.rests", (1, 2), 2, 5, parts="Ob and Cl", bars=4),
    ]
    (item,) = tell(four, rests, 1, 4).items()
    assert render(item.sentence) == "b. 2–5: Fl rests throughout, Ob and Cl for part of it."


# --- folding ------------------------------------------------------------------


def test_the_tutors_setting_decides_what_is_unsure(four):
    weak = [role(0, 0, 3, confidence=0.65)]
    assert tell(four, weak, 0, 5).unsure
    assert not tell(four, weak, 0, 5, Settings(min_confidence=0.6)).unsure


def test_a_judgement_of_one_bar_is_folded_unless_that_bar_was_chosen(four):
    one = [role(0, 2, 2, confidence=0.9)]
    assert tell(four, one, 0, 5).unsure
    assert not tell(four, one, 2, 2).unsure


def test_an_exact_fact_of_one_bar_is_not_folded(four):
    assert not tell(four, [finding("crossing", "crossing.dip", (0, 1), 2, 2, upper="Fl",
                                   lower="Ob")], 0, 5).unsure  # fmt: skip


def test_what_holds_of_the_whole_movement_is_no_news_of_some_bars(four):
    layout = [finding("layout", "layout.absent", (), 0, 5, absent="harp")]
    assert tell(four, layout, 1, 2).whole
    assert not tell(four, layout, 0, 5).whole, "the whole movement was chosen"


def test_a_return_is_told_at_both_of_its_places(four):
    again = finding("comparison", "comparison.same", (0,), 0, 1, place2="b. 5–6", level="",
                    again=[4, 5])  # fmt: skip
    for first, last, told in ((0, 0, 1), (2, 3, 0), (5, 5, 1)):
        assert len(tell(four, [again], first, last).items()) == told
    assert tell(four, [again], 0, 0).items()[0].places == ((0, 1), (4, 5))


# --- order (common practice, no source) ---------------------------------------


def test_a_doubling_comes_before_an_entry_and_a_long_one_before_a_short(four):
    enters = finding("playing", "playing.enters", (3,), 0, 5, parts="Fg", bars="two")
    short, long = (
        finding("doubling", "doubling.full", lines, 0, last, parts="a", with_="b",
                distance="d", met=4, of=4)
        for lines, last in (((0, 1), 1), ((1, 2), 4))
    )  # fmt: skip
    telling = tell(four, [enters, short, long], 0, 5, shown=1)
    assert [i.findings[0] for s in telling.sections for i in s.shown] == [long]
    telling = tell(four, [enters, short, long], 0, 5, shown=2)
    assert [i.findings[0] for s in telling.sections for i in s.shown] == [long, short]


def test_what_is_so_in_most_bars_comes_after_what_is_so_once(four):
    """Double basses under the cellos are no news; a flute under them would be."""
    usual = [
        finding("doubling", "doubling.full", (2, 3), n, n + 1, parts="a", with_="b",
                distance="d", met=4, of=4)
        for n in (0, 2, 4)
    ]  # fmt: skip
    once = finding("doubling", "doubling.full", (0, 3), 2, 3, parts="a", with_="b",
                   distance="d", met=4, of=4)  # fmt: skip
    (section,) = tell(four, [*usual, once], 2, 3).sections
    assert section.shown[0].findings == (once,)


def test_headings_stand_in_the_order_of_the_trade(movement):
    made, found = movement
    names = [h.name for h in HEADINGS]
    told = [s.heading.name for s in tell(made, found, 0, len(made.bars) - 1).sections]
    assert told == [n for n in names if n in told]


# --- words --------------------------------------------------------------------


def test_a_sentence_beside_its_bars_does_not_say_them_again():
    assert beside_bars(finding("doubling", "doubling.none", parts="Fl").sentence) == (
        "Nobody doubles Fl."
    )
    assert beside_bars(role(1, 0, 0).sentence) == "part 1 has the melody.".capitalize()
    back = finding("comparison", "comparison.same", place2="b. 9", level="")
    assert beside_bars(back.sentence).startswith("B. 1 come again in b. 9")


WORDS = {1.0: "sure", 0.9: "sure", 0.89: "likely", 0.7: "likely", 0.69: "unsure"}


@pytest.mark.parametrize("value", WORDS)
def test_confidence_in_words(value):
    assert confidence_word(value) == WORDS[value]
