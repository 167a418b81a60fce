"""Small MusicXML files from terse text, as a copyist would write them: WRITTEN pitches.

>>> data = score(Part("Clarinetto in B", "'dolce' D5 q E5 h. | F5~ w | F5 q (G5) E5 q / C5 h",
...                   transpose=(-2, -1)), Part("Fagotto", "C3 w | r | r", clef="F4"))

Bars are divided by ``|``, voices within a bar by ``/`` between blanks (first stems up, then stems
down). Tokens:

* a pitch ``C5``, ``Eb4``, ``F##3``; a chord ``C5+E5``; a rest ``r``; an unpitched stroke ``x``;
  ``C5^50`` is fifty cents sharp; ``c:C5`` a cue note;
* a length after it (it holds until the next one): w h q e s t, dots ``q.``, triplets ``e3``,
  or a number of quarters ``1.5``;
* ``~`` after a pitch: tied on; ``%`` a tremolo of three strokes; a grace note in brackets ``(D5)``;
* words for the part in quotes, ``'a 2'``; ``clef:C4``, ``staff:2``, ``key:-3``, ``time:3/4``
  (``time:senza`` for none), ``transpose:-3/-2``, ``repeat:forward``, ``repeat:backward``,
  ``ending:1``, ``tempo:96``, ``dyn:ff`` from here on.

A bar that is not filled is left short; nothing is checked, so that bad files can be made as well.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from xml.sax.saxutils import escape

from analysis.engine.gate import admit
from analysis.engine.model import ScoreTable
from analysis.engine.reader import read

DIVISIONS = 48
_LENGTHS = {"w": 4, "h": 2, "q": 1, "e": Fraction(1, 2), "s": Fraction(1, 4), "t": Fraction(1, 8)}
_TYPES = {"w": "whole", "h": "half", "q": "quarter", "e": "eighth", "s": "16th", "t": "32nd"}
_LENGTH = re.compile(r"^(?:([whqest])(\.*)(3?)|(\d+(?:\.\d+)?))$")
_PITCH = re.compile(r"^([A-G])(b*|#*)(-?\d)(?:\^(-?\d+))?$")
_TOKEN = re.compile(r"'[^']*'|\S+")


@dataclass(frozen=True)
class Part:
    """One printed part: `transpose` = (semitones, steps) from written to sounding."""

    label: str
    text: str
    clef: str = "G2"
    transpose: tuple[int, int] | None = None
    key: int = 0
    staves: int = 1


@dataclass
class _Voice:
    number: int
    several: bool
    staff: int
    staves: int
    length: str = "q"
    out: list[str] = field(default_factory=list)
    filled: int = 0


def score(*parts: Part, time: str = "4/4", pickup: float = 0, numbers: bool = True) -> bytes:
    """A MusicXML file; `pickup` = quarters of a short first bar, printed as 0."""
    listed = "".join(
        f'<score-part id="P{i}"><part-name>{escape(p.label)}</part-name></score-part>'
        for i, p in enumerate(parts, 1)
    )
    music = "".join(
        f'<part id="P{i}">{_bars(p, time, pickup, numbers)}</part>' for i, p in enumerate(parts, 1)
    )
    return (
        f'<score-partwise version="4.0"><part-list>{listed}</part-list>{music}</score-partwise>'
    ).encode()


def table(*parts: Part, time: str = "4/4", pickup: float = 0, numbers: bool = True) -> ScoreTable:
    """The note table of such a file, through gate and reader."""
    made = score(*parts, time=time, pickup=pickup, numbers=numbers)
    return read(admit(made, "passage.musicxml").canonical)


def _bars(part: Part, time: str, pickup: float, numbers: bool) -> str:
    bars, carried, staff = [], "q", 1
    held: set[str] = set()
    for i, text in enumerate(part.text.split("|")):
        short = i == 0 and pickup
        number = i if pickup else i + 1
        head = _head(part, time) if i == 0 else ""
        content = ""
        voices = re.split(r"\s/\s", text)
        for n, words in enumerate(voices, 1):
            voice = _Voice(n, len(voices) > 1, staff, part.staves, carried)
            _fill(voice, _TOKEN.findall(words), held, short=bool(short))
            back = f"<backup><duration>{voice.filled}</duration></backup>"
            content += "".join(voice.out) + (back if n < len(voices) else "")
            carried = voice.length
            staff = voice.staff if len(voices) == 1 else staff
        name = f' number="{number}"' if numbers else ""
        implicit = ' implicit="yes"' if short else ""
        bars.append(f"<measure{name}{implicit}>{head}{content}</measure>")
    return "".join(bars)


def _head(part: Part, time: str) -> str:
    staves = f"<staves>{part.staves}</staves>" if part.staves > 1 else ""
    clefs = "".join(
        _clef(part.clef if n == 1 else "F4", n if part.staves > 1 else 0)
        for n in range(1, part.staves + 1)
    )
    moved = _transposed(*part.transpose) if part.transpose else ""
    return (
        f"<attributes><divisions>{DIVISIONS}</divisions><key><fifths>{part.key}</fifths></key>"
        f"{_time(time)}{staves}{clefs}{moved}</attributes>"
    )


def _time(text: str) -> str:
    if text == "senza":
        return "<time><senza-misura/></time>"
    beats, unit = text.split("/")
    return f"<time><beats>{beats}</beats><beat-type>{unit}</beat-type></time>"


def _clef(text: str, number: int = 0) -> str:
    if text == "percussion":
        return "<clef><sign>percussion</sign></clef>"
    octave = -1 if text.endswith("8vb") else 1 if text.endswith("8va") else 0
    change = f"<clef-octave-change>{octave}</clef-octave-change>" if octave else ""
    where = f' number="{number}"' if number else ""
    return f"<clef{where}><sign>{text[0]}</sign><line>{text[1]}</line>{change}</clef>"


def _transposed(semitones: int, steps: int) -> str:
    """Octaves stand apart from the rest, both counted away from zero (MusicXML)."""
    octaves = int(semitones / 12)
    inside = f"<diatonic>{steps - 7 * octaves}</diatonic>"
    inside += f"<chromatic>{semitones - 12 * octaves}</chromatic>"
    inside += f"<octave-change>{octaves}</octave-change>" if octaves else ""
    return f"<transpose>{inside}</transpose>"


def _fill(voice: _Voice, tokens: list[str], held: set[str], *, short: bool) -> None:
    if tokens in ([], ["r"]) and not short:
        voice.out.append(_whole_rest(voice))
        return
    at = 0
    while at < len(tokens):
        token = tokens[at]
        at += 1
        if sign := _sign(token, voice):
            voice.out.append(sign)
            continue
        if at < len(tokens) and _LENGTH.match(tokens[at]):
            voice.length = tokens[at]
            at += 1
        voice.out.append(_note(voice, token, held))


def _sign(token: str, voice: _Voice) -> str:
    kind, _, value = token.partition(":")
    staff = f"<staff>{voice.staff}</staff>" if voice.staves > 1 else ""
    if token.startswith("'"):
        return (
            f'<direction placement="above"><direction-type><words>{escape(token[1:-1])}</words>'
            f"</direction-type>{staff}</direction>"
        )
    if kind == "dyn":
        return (
            f"<direction><direction-type><dynamics><{value}/></dynamics></direction-type>"
            f"{staff}</direction>"
        )
    if kind == "tempo":
        return (
            "<direction><direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>"
            f'{value}</per-minute></metronome></direction-type><sound tempo="{value}"/></direction>'
        )
    if kind == "staff":
        voice.staff = int(value)
        return "<!-- other staff -->"
    if kind == "repeat":
        side = "left" if value == "forward" else "right"
        return f'<barline location="{side}"><repeat direction="{value}"/></barline>'
    if kind == "ending":
        return f'<barline location="left"><ending number="{value}" type="start"/></barline>'
    made = {
        "clef": _clef,
        "key": lambda v: f"<key><fifths>{v}</fifths></key>",
        "time": _time,
        "transpose": lambda v: _transposed(*map(int, v.split("/"))),
    }.get(kind)
    return f"<attributes>{made(value)}</attributes>" if made and value else ""


def _whole_rest(voice: _Voice) -> str:
    return f'<note><rest measure="yes"/><duration>{4 * DIVISIONS}</duration>{_place(voice)}</note>'


def _place(voice: _Voice, kind: str = "") -> str:
    stem = f"<stem>{'up' if voice.number % 2 else 'down'}</stem>" if voice.several else ""
    staff = f"<staff>{voice.staff}</staff>" if voice.staves > 1 else ""
    return f"<voice>{voice.number}</voice>{kind}{stem}{staff}"


def _note(voice: _Voice, token: str, held: set[str]) -> str:
    cue, token = token.startswith("c:"), token.removeprefix("c:")
    grace, token = token.startswith("("), token.strip("()")
    tied, shaken = "~" in token, "%" in token
    ticks, kind = _length(voice.length)
    duration = "<grace/>" if grace else ""
    after = "" if grace else f"<duration>{ticks}</duration>"
    if not grace:
        voice.filled += ticks
    out = ""
    for i, name in enumerate(token.translate(str.maketrans("", "", "~%")).split("+")):
        key = f"{voice.number} {name}"
        ties = "".join(
            f'<tie type="{t}"/>' for t, on in (("stop", key in held), ("start", tied)) if on
        )
        held.discard(key)
        if tied:
            held.add(key)
        signs = ties.replace("<tie ", "<tied ")
        if shaken:
            signs += '<ornaments><tremolo type="single">3</tremolo></ornaments>'
        out += (
            f"<note>{duration}{'<cue/>' if cue else ''}{'<chord/>' if i else ''}{_pitched(name)}"
            f"{after}{ties}{_place(voice, kind)}"
            f"{f'<notations>{signs}</notations>' if signs else ''}</note>"
        )
    return out


def _pitched(name: str) -> str:
    if name == "r":
        return "<rest/>"
    if name == "x":
        place = "<display-step>E</display-step><display-octave>4</display-octave>"
        return f"<unpitched>{place}</unpitched>"
    found = _PITCH.match(name)
    if not found:
        raise ValueError(f"{name!r} is no pitch")
    alter = Fraction(len(found[2]) * (-1 if "b" in found[2] else 1)) + Fraction(
        int(found[4] or 0), 100
    )
    altered = f"<alter>{float(alter):g}</alter>" if alter else ""
    return f"<pitch><step>{found[1]}</step>{altered}<octave>{found[3]}</octave></pitch>"


def _length(text: str) -> tuple[int, str]:
    found = _LENGTH.match(text)
    assert found
    if found[4]:
        return int(Fraction(found[4]) * DIVISIONS), ""
    value = Fraction(_LENGTHS[found[1]]) * (2 - Fraction(1, 2 ** len(found[2])))
    value *= Fraction(2, 3) if found[3] else 1
    three = (
        "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
        "</time-modification>"
        if found[3]
        else ""
    )
    return int(
        value * DIVISIONS
    ), f"<type>{_TYPES[found[1]]}</type>{'<dot/>' * len(found[2])}{three}"
