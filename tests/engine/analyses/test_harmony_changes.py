"""What changes of the score do to the analyses of harmony, natural brass, drums and bass.

* Order of the parts, silent parts, notes split and tied, two players on one staff or two: nothing
  (names of parts apart; crossings belong to the page and are left out).
* Transposition: chords, keys and pedals move exactly with it; open tones and drums do not.
"""

import pytest

from analysis.engine.analyses import (
    brass_chords,
    brass_joint,
    cadences,
    chords,
    drums,
    key_route,
    pedals,
    real_bass,
    tonicisation,
)
from analysis.engine.pitch import parse_key, parse_note_name, parse_pitch
from analysis.engine.settings import Settings

from ..tables import table
from .test_route_and_cadences import CLOSE, FIFTH, HOME, TOUCH, moved, piece

HARMONY = (
    chords.find_chords,
    cadences.find_cadences,
    key_route.find_key_routes,
    tonicisation.find_tonicisations,
    pedals.find_pedals,
)
OTHERS = (
    brass_chords.find_brass_in_chords,
    brass_chords.find_brass_in_keys,
    brass_joint.find_joint,
    drums.find_drums,
    real_bass.find_real_bass,
)

STRINGS = piece(HOME, CLOSE, TOUCH, HOME, CLOSE, FIFTH, FIFTH, FIFTH, FIFTH, HOME, CLOSE)
BARS = len(STRINGS["Vc"].split("|"))


def bars(text, at=0):
    return " | ".join([*["r"] * at, *text.split(" | "), *["r"] * (BARS - at - text.count("|") - 1)])


WINDS = {
    "Ob 1": bars("E5 w | F5 w | D5 w | E5 w", 40),
    "Ob 2": bars("C5 w | A4 w | B4 w | C5 w", 40),
    "Fg": bars("G3 w | G3 w | G3 w | G3 w", 40),
    "Cor in C 1": bars("G4 w | G4 w | G4 w | G4 w", 40),
    "Cor in C 2": bars("C4 w | C4 w | D4 w | C4 w", 40),
    "Timp": bars("C3 q r h | r | G2 q r h | C3 q r h"),
}
LINES = {**WINDS, **STRINGS}


def names_in(t, value, words):
    """The value with ids of parts as names of lines."""
    ids = {}
    for line in t.lines:
        same = [other for other in t.lines if other.part == line.part]
        if len(same) == 1:
            ids[t.first_readings[line.part].id] = words(line.name)
    found = {k: v for k, v in value.items() if k not in ("parts", "pair")}
    if "member" in found:
        found["member"] = {ids.get(k, words(k)): v for k, v in found["member"].items()}
    return found


def facts(t, analyses, words=str):
    out = []
    for find in analyses:
        for f in find(t, Settings()):
            if f.kind == "crossing":
                continue
            lines = sorted(words(t.lines[i].name) for i in f.lines)
            value = names_in(t, f.value, words)
            out.append((f.sentence.template, f.first, f.last, f.start, f.end, lines, value))
    return sorted(out, key=repr)


def test_there_is_something_to_change():
    templates = {f[0] for f in facts(table(LINES), HARMONY + OTHERS)}
    assert {
        "chord.first", "chord.last", "cadence.perfect", "key-route.settled", "tonicisation.again",
        "open-tones.key-all", "drums.pair", "chord.held-winds",
    } <= templates, templates  # fmt: skip


def test_order_of_the_parts():
    mixed = dict(sorted(LINES.items(), key=lambda item: item[0][::-1]))
    assert list(mixed) != list(LINES)
    alike = facts(table(mixed), HARMONY + OTHERS)
    # whose horn is asked first belongs to the order, so pairs are compared by their notes
    assert alike == facts(table(LINES), HARMONY + OTHERS)


def test_a_silent_part():
    silent = {"Fl": bars("r"), **LINES, "Cb": bars("r")}
    assert facts(table(silent), HARMONY + OTHERS) == facts(table(LINES), HARMONY + OTHERS)


def test_notes_split_and_tied():
    tied = {
        k: " | ".join(
            " ".join(f"{w}~ q {w} q" if w[0] in "ABCDEFG" else w for w in bar.split() if w != "h")
            if k in STRINGS and "r" not in bar
            else bar
            for bar in v.split(" | ")
        )
        for k, v in LINES.items()
    }
    assert tied != LINES
    assert facts(table(tied), HARMONY + OTHERS) == facts(table(LINES), HARMONY + OTHERS)


def test_two_players_on_one_staff_or_two():
    rename = {"Ob 1": "Ob I", "Ob 2": "Ob II", "Cor in C 1": "Cor in C", "Cor in C 2": "Cor in C "}
    apart = {rename.get(k, k): v for k, v in LINES.items() if not k.startswith("Cor")}
    together = {k: v for k, v in LINES.items() if not k.startswith("Cor")}

    def words(name):
        return rename.get(name, name)

    one, other = (
        facts(table(together), HARMONY + OTHERS, words),
        facts(table(apart), HARMONY + OTHERS),
    )
    assert one == other


def classes(value):
    """Root, keys and pitches of a value as numbers."""
    found = dict(value)
    if "root" in found:
        found["root"] = parse_note_name(found["root"]).pc
    if "keys" in found:
        found["keys"] = [parse_key(k).sound for k in found["keys"]]
    if "pitch" in found:
        name = found["pitch"]
        found["pitch"] = parse_pitch(name).midi if name[-1].isdigit() else parse_note_name(name).pc
    return found


@pytest.mark.parametrize("steps", [1, 4, -3])
def test_transposition(steps):
    there = [(*f[:6], classes(f[6])) for f in facts(table(moved(LINES, steps)), HARMONY)]
    here = []
    for f in facts(table(LINES), HARMONY):
        value = classes(f[6])
        if "root" in value:
            value["root"] = (value["root"] + steps) % 12
        if "keys" in value:
            value["keys"] = [((tonic + steps) % 12, mode) for tonic, mode in value["keys"]]
        if "pitch" in value:
            whole = f[6]["pitch"][-1].isdigit()
            value["pitch"] = value["pitch"] + steps if whole else (value["pitch"] + steps) % 12
        here.append((*f[:6], value))
    assert sorted(there, key=repr) == sorted(here, key=repr)


def test_transposition_leaves_no_open_tones_as_they_were():
    up = {k: v if k.startswith(("Cor", "Timp")) else moved({k: v}, 1)[k] for k, v in LINES.items()}
    assert facts(table(up), OTHERS) != facts(table(LINES), OTHERS)
