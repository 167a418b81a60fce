"""Sentences to statements: common practice, no source; the sentences are of the data folder."""

from __future__ import annotations

from pathlib import Path

import pytest

from analysis.engine import gate, reader
from analysis.engine.model import ScoreTable
from analysis.engine.prose import propose
from tests.engine.prose.sentences import FOLDER, Said, said, wrong, wrong_parts

PIECE = Path(__file__).parents[3] / "demo" / "piece" / "movement-1.musicxml"
FILES = sorted(path.name for path in FOLDER.glob("*.tsv"))


@pytest.fixture(scope="module")
def table() -> ScoreTable:
    return reader.read(gate.admit(PIECE.read_bytes(), PIECE.name).canonical)


@pytest.mark.parametrize("one", said("ours.tsv"), ids=lambda one: one.text[:60])
def test_our_own_sentences(one: Said, table: ScoreTable) -> None:
    assert wrong(one, propose(one.text, table), table) == ""


#: Lists at first sight, not learnt from: they have no nine of ten to hold, only what they reached.
UNREAD = sorted(f"unread/{path.name}" for path in (FOLDER / "unread").glob("*.tsv"))
#: Right in lists that miss more than one sentence. Of the sixty only what could have become a wrong
#: part was mended, and broken chords that accompany are moving harmony since the sixth hand.
#: "One bar after D" is asked about: the bar with D counts as the first. Of the ninth hand's first
#: list four are asked about, one is not recognised.
FLOOR = {"ninth-hand-2026-11-27.tsv": 124, "other-hand-2026-11-26.tsv": 118,
         "sixty-2026-11-26.tsv": 58, "eighth-hand-2026-11-27.tsv": 98,
         "ours-a-2026-11-27.tsv": 105, "ours-b-2026-11-27.tsv": 94, "ours-c-2026-11-27.tsv": 98,
         "unread/ours-d-2026-11-27.tsv": 77, "unread/twelfth-hand-2026-11-27.tsv": 81,
         "unread/thirteenth-hand-2026-11-27.tsv": 78}  # fmt: skip


@pytest.mark.parametrize("file", FILES + UNREAD)
def test_what_was_learnt_stays_learnt_and_no_part_is_wrong_in_silence(
    file: str, table: ScoreTable
) -> None:
    """One sentence a list may miss: a slip of the pen in a name is asked about by design."""
    rows = [(one, propose(one.text, table)) for one in said(file)]
    misses = [one.text for one, proposal in rows if wrong(one, proposal, table)]
    assert len(rows) - len(misses) >= FLOOR.get(file, len(rows) - 1), misses
    if file in FILES:
        assert len(misses) <= 0.1 * len(rows)
    silent = [(one.text, parts) for one, p in rows if (parts := wrong_parts(one, p, table))]
    assert silent == []


#: Words that narrow, part or deny a name, and words among names that are none: each was, or could
#: be, a part proposed in silence that nobody named.
NOT_SURE = [
    "the violas play the tune together with somebody in 9-12",
    "the cellos have the bass line with others, b. 9-12",
    "Under the tune in the violas, oboe 1 has a countermelody in 9-12",
    "no flutes or oboes have the melody in 9-12",
    "Strings (violins and violas) play in three octaves in 9-12",
    "upper woodwinds double violin I in 9-12",
    "the rest of the strings are silent, b. 9-12",
    "half of the violas play pizz. in 33-36",
    "low horns rest in b. 17",
    "flute 1, saxhorn and oboe 1 double violin I 9-12",
    "flute 1 doubles the wibbles and violin I 9-12",
    "cello and theorbo = bass line 1-8",
    "flute 1 or oboe 1 doubles violin I in 9-12",
    "bassoon 1 or 2 doubles the cellos in 9-12",
    "flute 1 (or 2) rests in 9-12",
    "neither the flutes nor the oboes double violin I, b. 9-12",
    "oboe 1 hardly ever doubles violin I, b. 9-12",
    "strings without zithers rest in 33-36",
    "the flutes play as they please in bar 37",
    "bar 24 is a major chord",
    "bars 17-24 are in a minor key",
    "the tune is not in oboe 1 but in flute 1, b. 33-36",
    "horns 1 to 2 rest in bar 9",
    "in 9, 10 and 13 the flutes rest",
    "trumpets rest until bar 16b",
    "after bar 33 the horns double the trumpets",
    "cellos pizz., then arco at 17",
    "the oboes do not all double the flutes in 9-12",
    "the viola repeats the tune a third below violin 2 in 9-12",
    "it is not a tutti in 33-36, as the trumpets are missing",
    "horns accompany the melody in 9-12",
    "oboe 1 colours the tune in 9-12",
    "the melody is accompanied by the horns in 9-12",
    "flute 1 gives the melody some shine in 33-36",
    "trumpets move against the bass line in 49-52",
    "strings only, without basses, 21-24",
    "flute 1 ornaments the tune, oboe 1 has a countermelody, 9-12",
    "violin I, violin II and viola imitate each other in 17-19, each time a fifth lower",
    "not everybody plays in 9-12, even the trumpets rest",
    "D major chord with an E in the bass, bar 30",
    "D major chord with the C in the bass, bar 30",
    "the tune wanders from flute 1 to the wibbles in bar 40",
    "I am not sure whether oboe 1 doubles flute 1 in 9-12",
    "I disagree that the violas double the cellos in 9-12",
    "the violas don't just double the cellos in 9-12",
    "the cellos double the basses in 1-4 if they don't rest",
    "horn 1 rests in 9-12 because it doesn't have the notes",
    "flute 1 doubles oboe 1 (not in octaves) in 9-12",
    "horns don't play the cello line in 5-8, they only rest",
    "From B, 4 bars later, the horns enter",
    "bars 9-12 are in D minor, sorry, D major",
    "horns stopped in 12",
    "V of A major in 15",
    "In bars 37-40 flutes and oboes play in octaves, the clarinets in thirds",
    "horns hold their D while the violas move, 5-8",
    "clarinet 1 begins, bassoon 1 joins an octave lower, 13-15",
    "the cellos, usually with the basses, are alone in 21-24",
    "violin I gives up the tune in 13",
    "violin I is the leader in 9-12 and the winds follow",
    "trumpets double the timpani rhythm in 49-52",
    "flute 1 echoes oboe 1 an octave higher in 20-21",
]


def test_a_group_less_some_of_it_is_a_name(table: ScoreTable) -> None:
    proposal = propose("strings without basses rest in 33-36", table)
    assert proposal.sure
    assert proposal.claim is not None
    assert proposal.claim["mode"] == "rest"
    assert proposal.claim["parts"] == ["strings without basses"]


@pytest.mark.parametrize("text", NOT_SURE)
def test_what_names_nobody_for_sure_is_asked_about(text: str, table: ScoreTable) -> None:
    proposal = propose(text, table)
    assert not proposal.sure, proposal.claim


#: Bars that are not to be cut short in silence.
WHOLE = [
    ("Full orchestra from bar 49 to the end", ["49", "56"]),
    ("Horns 1-2 rest in 9-12", ["9", "12"]),
    ("the brass is silent between bars 41 and 48", ["41", "48"]),
    ("violas doubled by clarinet 1 from 21 to 24", ["21", "24"]),
    ("In the second ending the horns double the violas", ["16b"]),
    ("from 9 the violas rest until 12", ["9", "12"]),
    ("oboe 1 has the melody from C for four bars", ["25", "28"]),
    ("between A and B the trumpets are silent", ["9", "17"]),
    ("flute 1 doubles oboe 1 in 9/10", ["9", "10"]),
    ("horns rest 33f.", ["33", "34"]),
    ("oboe 1 doubles flute 1, b. 45 f.", ["45", "46"]),
    ("From C, 4 bars, the horns rest.", ["25", "28"]),
    ("a misura 12 i corni tacciono", ["12"]),
]


@pytest.mark.parametrize(("text", "bars"), WHOLE)
def test_the_whole_place_is_taken(text: str, bars: list[str], table: ScoreTable) -> None:
    proposal = propose(text, table)
    assert proposal.questions == ()
    assert proposal.claim is not None
    assert proposal.claim["bars"] == bars


@pytest.mark.parametrize(
    ("text", "bars", "note"),
    [
        ("3 after C the trumpets enter", ["27"], "3 after C is bar 27: the bar with C counts"),
        ("Three bars after letter C horn 1 rests", ["27"], "the bar with C counts as 1"),
        ("2 before C the horns rest", ["23"], "2 before C is bar 23: counted back from C"),
        ("horn 1 rests 2 after C for two bars", ["26", "27"], "2 after C is bar 26"),
    ],
)
def test_the_bar_with_the_letter_counts_as_one_and_the_number_is_told(
    text: str, bars: list[str], note: str, table: ScoreTable
) -> None:
    """Trade facts 7.4."""
    proposal = propose(text, table)
    assert proposal.sure
    assert proposal.claim is not None
    assert proposal.claim["bars"] == bars
    assert any(note in told for told in proposal.notes)


def test_one_after_a_letter_is_asked_about(table: ScoreTable) -> None:
    proposal = propose("horn 1 rests one bar after D", table)
    assert "One bar after D: the bar with D itself, 33, or 34?" in proposal.questions


def test_a_plural_said_by_its_article_stays_two(table: ScoreTable) -> None:
    claim = propose("les flûtes doublent les hautbois, mes. 33-36", table).claim
    assert claim is not None
    assert claim["with"] == ["les hautbois"]


def test_a_bass_among_names_is_a_name_and_alone_a_line(table: ScoreTable) -> None:
    claim = propose("cello and bass = bass line 1-8", table).claim
    assert claim is not None
    assert (claim["role"], claim["parts"]) == ("bass line", ["Violoncello", "Contrabbasso"])


def test_nothing_to_play_is_a_rest(table: ScoreTable) -> None:
    claim = propose("the trumpets have nothing to play in 17-32", table).claim
    assert claim is not None
    assert (claim["mode"], claim["parts"]) == ("rest", ["Trombe 1, 2 in Re"])


def test_a_bare_capital_beside_a_key_is_a_key_and_no_mark(table: ScoreTable) -> None:
    claim = propose("from D major by E minor back to D, bars 33-48", table).claim
    assert claim is not None
    assert claim["keys"] == ["D major", "E minor", "D major"]
    assert claim["bars"] == ["33", "48"]


@pytest.mark.parametrize(
    ("text", "root", "quality"),
    [
        ("bar 4 is a B minor seventh chord", "B", "minor seventh"),
        ("A moll chord in bar 4", "A", "minor"),
        ("bar 4: E half diminished 7", "E", "half-diminished seventh"),
        ("dim chord on C# in b. 4", "C#", "diminished"),
        ("b. 4: G major in first inversion", "G", "major"),
    ],
)
def test_a_chord_keeps_its_root_and_its_sort(
    text: str, root: str, quality: str, table: ScoreTable
) -> None:
    proposal = propose(text, table)
    assert proposal.sure
    assert proposal.claim is not None
    assert (proposal.claim["root"], proposal.claim["quality"]) == (root, quality)


def test_an_article_is_no_tonic(table: ScoreTable) -> None:
    claim = propose("bars 37-40 are a b minor passage", table).claim
    assert claim is not None
    assert claim["key"] == "B minor"


def test_a_metre_is_no_place(table: ScoreTable) -> None:
    claim = propose("in 3/4 the flutes rest", table).claim
    assert claim is not None
    assert "bars" not in claim


def test_parallel_sixths_are_no_mere_playing(table: ScoreTable) -> None:
    claim = propose("flutes 1 and 2 play parallel sixths, b. 37", table).claim
    assert claim is not None
    assert (claim["kind"], claim["interval"]) == ("parallel", "sixth")
    assert (claim["parts"], claim["with"]) == (["Flauto 1"], ["Flauto 2"])


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("flute 1 doubles violin I in 33-36 but you can't hear it", {"kind": "doubling"}),
        ("violas have the tune in 21-24, not on top", {"kind": "role", "role": "melody"}),
        ("cellos and basses are written in unison but sound in octaves, 5-8",
         {"kind": "doubling", "octaves": 1}),
        ("only the oboes rest in bar 20", {"kind": "playing", "mode": "rest"}),
        ("the only ones who rest in bar 20 are the oboes", {"kind": "playing", "mode": "rest"}),
        ("strings 9-12, all the others rest", {"kind": "playing", "mode": "only"}),
        ("the brass drop out in 9-12, leaving the woodwinds alone",
         {"kind": "playing", "mode": "only", "parts": ["woodwinds"]}),
        ("the second horn doubles the first an octave lower in 9-12",
         {"kind": "doubling", "with": ["Corno 1 in Re"], "octaves": -1}),
        ("A7 chord with C# in the bass, bar 30", {"kind": "chord", "root": "A", "inversion": 1}),
        ("oboe 1 gives an accent to violin I on beat 1, b. 9-12", {"kind": "reinforcement"}),
    ],
)  # fmt: skip
def test_what_is_said_beside_a_statement_does_not_turn_it(
    text: str, fields: dict[str, object], table: ScoreTable
) -> None:
    proposal = propose(text, table)
    assert proposal.sure
    assert proposal.claim is not None
    assert {name: proposal.claim.get(name) for name in fields} == fields
    assert "negated" not in proposal.claim


#: By class what the tenth and eleventh hand said in ways of their own.
TURNS = [
    ("oboe 2's lowest note in the movement is d' in b. 31", {"pitch": "D4"}),
    ("the top note of violin I is fis''' (bar 46)", {"pitch": "F#6"}),
    ("Oboe 2 goes down to c#' in b. 12, its lowest note", {"pitch": "C#4", "bars": ["12"]}),
    ("the only passage where the horns rest is 17-20", {"mode": "rest", "unique": True}),
    ("bars 33-36 are the only time the trumpets are alone", {"mode": "only", "unique": True}),
    ("clarinet 2 picks out certain notes of the violas in 17-20",
     {"kind": "reinforcement", "by": "pitch"}),
    ("bassoon 2 goes with the cellos in 1-8, but not the whole time", {"coverage": "partial"}),
    ("not unexpectedly the brass rests in 17-20", {"mode": "rest"}),
    ("flute 1 is doubled by oboe 1 in 33-36, and not vice versa", {"parts": ["Oboe 1"]}),
    ("horn 1 rests in 25-28 (lovely if the oboe doesn't hurry)", {"mode": "rest"}),
    ("clarinet 1 doubles bassoon 1 in 9-12 though I can't tell in which octave",
     {"kind": "doubling", "octaves": None}),
    ("In 17-24 the violas pass the line to the cellos, namely in bar 21",
     {"at": {"bar": "21"}, "bars": ["17", "24"]}),
    ("cello sequence in 9-15, breaks off in 13", {"breaks-at": {"bar": "13"}}),
    ("viola in 21 imitates violin II in 20",
     {"entries": [{"part": "Violino II", "at": {"bar": "20"}},
                  {"part": "Viola", "at": {"bar": "21"}}]}),
    ("In 33-36 the violas begin and at 35 the cellos come in with the same subject an octave lower",
     {"kind": "imitation", "interval": -12, "bars": ["33", "36"]}),
    ("melody: fl 1 > cl 1, b. 21", {"kind": "handover", "to": "Clarinetto 1 in La"}),
    ("in 9-12 only the strings play, which is a nice contrast to the winds before",
     {"kind": "playing", "mode": "only", "parts": ["strings"]}),
    ("trumpets don't follow the horns in 9-12 but only support their downbeats",
     {"kind": "reinforcement", "beats": [1]}),
    ("Bar 20 is a diminished chord", {"kind": "chord", "quality": "diminished", "root": None}),
    ("bars 33-40 in D major (D-Dur)", {"kind": "key", "key": "D major"}),
    ("we come back to D major at 45", {"how": "arrives"}),
    ("I would describe the violas' part in 5-8 as a pulse", {"role": "pulse"}),
    ("what horn 2 does in 9-12 remains unclear to me", {"role": "unclear"}),
    ("the theme begins in the cellos, then the violas continue it, b. 33-36",
     {"kind": "handover", "from": "Violoncello", "to": "Viola"}),
    ("vl. I and vl. II in octaves, vl. I on top, 53f.",
     {"parts": ["Violino I"], "with": ["Violino II"], "octaves": 1}),
]  # fmt: skip


@pytest.mark.parametrize(("text", "fields"), TURNS)
def test_classes_of_turns(text: str, fields: dict[str, object], table: ScoreTable) -> None:
    proposal = propose(text, table)
    assert proposal.sure, proposal.questions
    assert proposal.claim is not None
    assert {name: proposal.claim.get(name) for name in fields} == fields
    assert "negated" not in proposal.claim


def test_whom_it_goes_with_in_rhythm_is_no_doubling(table: ScoreTable) -> None:
    claim = propose("the bassoons go with the strings rhythmically in 9-12", table).claim
    assert claim is not None
    assert (claim["kind"], claim["side"], claim["by"]) == ("sides-with", "strings", "rhythm")


ODD = ["", " ", "?", "9-12", "@ <0> [up:1] doubles <7>", "🎻" * 300, "bar 9" * 200, "b. 0-0",
       "fl 1 " * 120, "doubles", "not", "\x00", "bar 9999999999"]  # fmt: skip


@pytest.mark.parametrize("text", ODD)
def test_no_sentence_is_an_accident(text: str, table: ScoreTable) -> None:
    proposal = propose(text, table)
    assert proposal.claim is None or proposal.claim["kind"]


@pytest.mark.parametrize("word", ["it", "they", "them", "these"])
def test_a_pronoun_in_any_place_is_no_accident(word: str, table: ScoreTable) -> None:
    for one in said("ours.tsv"):
        for name in (n for value in one.fields.values() for n in value.split("+")):
            proposal = propose(one.text.replace(name, word), table)
            assert proposal.claim is None or proposal.claim["kind"]
    proposal = propose(f"clarinet 2 lies below {word} in bar 9", table)
    assert not proposal.sure


def test_octave_words_are_kept_apart(table: ScoreTable) -> None:
    """Levels against distance: the product's own contract of octave words."""
    levels = propose("flute 1, violin 1 and bassoon 1 in three octaves", table).claim
    distance = propose("bassoon 1 doubles flute 1 three octaves below", table).claim
    assert levels is not None
    assert distance is not None
    assert (levels["levels"], "octaves" in levels) == (3, False)
    assert (distance["octaves"], "levels" in distance) == (-3, False)
    both = propose("flute 1 and oboe 1 double violin 1 in two octaves", table)
    assert any("levels" in q for q in both.questions)
