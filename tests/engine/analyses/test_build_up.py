"""Build-ups and thinning-out on hand-made tables.

Sources: trade facts 9 (at least two of more parts, louder, higher, faster, over four bars or more;
the goal is an event of its own), job 6, example 10 (33-40, arrival 41: parts, loudness and top
rise). Units: common practice, no source.
"""

from dataclasses import replace

import pytest

from analysis.engine.analyses import build_up, build_up_curves, build_up_facts
from analysis.engine.claims.schema import read_claim
from analysis.engine.export import claim_json
from analysis.engine.model import Mark
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table
from .changes import reordered, ties_split, transposed, with_a_silent_part

S = Settings()
BAR = 40320


def layers(names, enters, bars, top="C5 q E5 D5 C5", rise=()):
    """Parts that enter one after the other and go on; `rise` are bars of the first part."""
    found = {}
    for name, enter in zip(names, enters, strict=True):
        music = [top.replace("5", "4")] * (bars - enter)
        found[name] = " | ".join(["r"] * enter + music)
    found[names[0]] = " | ".join(rise or [top] * bars)
    return found


NAMES = ("Vl I", "Vl II", "Vla", "Vc", "Fg", "Cl", "Ob", "Fl", "Cor", "Tr")
STEPS = ("C4", "D4", "F4", "A4", "C5", "E5", "G5", "B5", "D6", "F6", "F6", "F6")
RISING = [f"{p} q {p} r h" for p in STEPS[:1] * 3 + STEPS]
#: silence of change for four bars, then a part a bar enters and the top climbs, then it stays
ENTERS = (0, 0, 3, 4, 5, 6, 7, 8, 9, 10)
GROWING = layers(NAMES, ENTERS, 15, rise=RISING)


def signed(t, *signs):
    """The table with signs (kind, bar, bars long, text, number) for all parts."""
    marks = tuple(
        Mark(kind, part, 1, bar, bar * BAR, (bar + long) * BAR, text, number)
        for part in range(t.part_count)
        for kind, bar, long, text, number in signs
    )
    return replace(t, marks=marks)


def facts(t):
    return [(x.first, x.goal, x.way, x.by) for x in build_up_facts.swings(t, S)]


def test_more_parts_and_higher_without_a_crescendo():
    t = table(GROWING)
    (found,) = build_up.find_build_ups(t, S)
    assert found.value["by"] == ["forces", "height"]
    assert "rhythm" in found.value["without"]
    assert "loudness" not in found.value["without"]
    assert (found.first, found.last) == (3, 10)
    assert render(found.sentence) == (
        "b. 4–11: a build-up towards b. 12: more parts (3 to 10) and higher (top from about E4 to "
        "D6); the rhythm stays as it is."
    )
    assert set(found.evidence[0].ids) >= {"n0-10-0", "n9-10-0"}  # the top, and who enters last
    claim = read_claim(claim_json(t, found))
    assert (claim.kind, claim["by"]) == ("build-up", ("forces", "height"))


def test_how_much_must_grow_is_the_tutors_to_say():
    assert build_up.find_build_ups(table(GROWING), Settings(build_up_legs=3)) == []
    assert build_up.find_build_ups(table(GROWING), Settings(build_up_bars=12)) == []


def test_loudness_is_told_apart():
    grown = signed(
        table(GROWING),
        ("dynamic", 0, 0, "p", 3.0),
        ("words", 4, 0, "cresc.", 0.0),
        ("dynamic", 11, 0, "ff", 7.0),
    )
    (found,) = build_up.find_build_ups(grown, S)
    assert found.value["by"] == ["forces", "loudness", "height"]
    assert "louder (p to ff)" in render(found.sentence)
    (quiet,) = build_up.find_build_ups(signed(table(GROWING), ("dynamic", 0, 0, "p", 3.0)), S)
    assert "loudness" in quiet.value["without"]
    assert "the printed loudness stays" in render(quiet.sentence)


def test_thinning_out_is_the_reverse():
    back = {name: " | ".join(reversed(text.split(" | "))) for name, text in GROWING.items()}
    t = table(back)
    (found,) = build_up.find_build_ups(t, S)
    assert (found.value["negated"], found.value["by"][:2]) == (True, ["forces", "height"])
    assert "without" not in found.value
    assert "the music thins out: fewer parts" in render(found.sentence)
    claim = read_claim(claim_json(t, found))
    assert claim.negated
    assert claim["by"][:2] == ("forces", "height")


def test_the_curves_follow_the_signs():
    t = signed(
        table({"Fl": " | ".join(["C5 w"] * 12)}),
        ("dynamic", 1, 0, "p", 3.0),
        ("wedge", 3, 4, "crescendo", 0.0),
        ("dynamic", 7, 0, "f", 6.0),
        ("words", 9, 0, "dim.", 0.0),
    )
    level = build_up_curves.curves(t)["loudness"]
    assert level[0] != level[0]  # nothing printed yet
    assert level[[1, 2, 7, 8]].tolist() == [3, 3, 6, 6]
    assert 3 < level[3] < level[4] < level[5] < level[6] < 6
    assert level[-1] == 5


@pytest.mark.parametrize(
    ("text", "end"),
    [("cresc.", 4), ("poco a poco cresc.", 4), ("decresc.", 2), ("diminuendo", 2), ("dolce", 3)],
)
def test_words_that_grow_and_fall(text, end):
    t = table({"Fl": " | ".join(["C5 w"] * 12)})
    t = signed(t, ("dynamic", 0, 0, "p", 3.0), ("words", 2, 0, text, 0.0))
    assert build_up_curves.curves(t)["loudness"][-1] == end


@pytest.mark.parametrize(
    "lines",
    [
        # all at once: a sudden tutti
        layers(NAMES, (0, 0, *[8] * 8), 15, rise=["C4 q C4 r h"] * 8 + ["F6 q F6 r h"] * 7),
        # nothing changes
        layers(NAMES, (0,) * 10, 15),
        # one thing alone: it only gets higher
        layers(NAMES[:2], (0, 0), 15, rise=RISING),
        # too short: within three bars
        layers(NAMES, (0, 0, 6, 6, 7, 7, 7, 8, 8, 8), 15, rise=["C4 q C4 r h"] * 15),
        # up and down in turn
        layers(NAMES[:3], (0, 0, 0), 15, rise=["C4 q C4 r h", "F5 q F5 r h"] * 7),
    ],
)
def test_what_is_no_build_up(lines):
    assert facts(table(lines)) == []


def test_louder_alone_is_none():
    t = table(layers(NAMES, (0,) * 10, 15))
    louder = ("words", 4, 0, "cresc.", 0.0), ("dynamic", 11, 0, "ff", 7.0)
    assert facts(signed(t, ("dynamic", 0, 0, "p", 3.0), *louder)) == []


@pytest.mark.parametrize(
    "change", [with_a_silent_part, ties_split, reordered, lambda x: transposed(x, 2)]
)
def test_what_leaves_the_music_the_same(change):
    assert facts(table(change(GROWING))) == facts(table(GROWING)) != []


@pytest.mark.parametrize("text", ["r", "x w", "C5 w", "(C5) r"])
def test_hardly_anything(text):
    assert facts(table({"Fl": text, "Ob": text})) == []
