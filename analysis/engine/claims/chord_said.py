"""What is said of chords, and the claims that would be right of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from analysis.engine.analyses.chord_members import position
from analysis.engine.analyses.harmony import harmony
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Scene, Verdict
from analysis.engine.claims.chord_facts import Has, Heard
from analysis.engine.claims.naming import pause_json
from analysis.engine.claims.silence import beats_said
from analysis.engine.model import Sentence
from analysis.engine.names import Unit
from analysis.engine.pitch import Pitch
from analysis.engine.sentences import register

register(
    {
        "claim.chord.is": "In {where} there is {chord} {position}.",
        "claim.chord.is.unsure": "I read {chord} {position} in {where}, but not surely.",
        "claim.chord.plain": "In {where} there is {chord}.",
        "claim.chord.plain.unsure": "I read {chord} in {where}, but not surely.",
        "claim.chord.none": "There is no full chord in {bars}.",
        "claim.chord.member": "{part} has the {member} ({pitches}).",
        "claim.chord.foreign": "{part} has a foreign note ({pitches}).",
        "claim.chord.several": "{part} has {pitches}: {members}.",
        "claim.chord.rests": "{part} rests there.",
        "claim.chord.share": "It holds for {percent} % of these beats.",
        "claim.chord.sound": "The same notes in another spelling: {chord}.",
        "claim.chord.written": (
            "On paper {part} has the {member}; it transposes, so look at what it sounds."
        ),
    }
)

#: chords or notes named in a sentence
_NAMED = 4


def says(scene: Scene, found: Sequence[Heard], main: Heard, place: Verdict) -> list[Sentence]:
    """The chords of the claimed beats, the first few; how long the claimed one lasts."""
    words = harmony(scene.table).spelling
    says = []
    shown = [h for h in found if h.chord.named][:_NAMED] or [main]
    for h in shown:
        where = beats_said(scene.table, h.start, h.end)
        if not h.chord.named:
            says.append(speech.say("claim.chord.none", bars=where))
            continue
        said = {"where": where, "chord": words.words(h.chord), "position": position(h.chord)}
        template = "claim.chord.is" if said["position"] else "claim.chord.plain"
        says.append(speech.say(template, **said))
    if place == "near":
        total = sum(h.length for h in found)
        hits = sum(h.length for h in found if h.name in ("right", "near"))
        percent = min(round(100 * hits / total), 99)
        says.append(speech.say("claim.chord.share", percent=percent))
    return says


def who(has: Sequence[tuple[Unit, str, Has]]) -> list[Sentence]:
    """ "Fl has the third (E5)"."""
    says = []
    for unit, _, h in has[:8]:
        rows = [Pitch(int(r["step"]), int(r["alter"]), int(r["octave"])).name for r in h.rows]
        pitches = list(dict.fromkeys(rows))[:_NAMED]
        most = h.most
        if not most:
            says.append(speech.say("claim.chord.rests", part=unit.label))
        elif len(most) > 1:
            names = ["a foreign note" if m == "foreign" else m for m in most]
            said = {"part": unit.label, "pitches": pitches, "members": names}
            says.append(speech.say("claim.chord.several", **said))
        else:
            word = "foreign" if most[0] == "foreign" else "member"
            said = {"part": unit.label, "pitches": pitches, "member": most[0]}
            says.append(speech.say(f"claim.chord.{word}", **said))
    return says


def spelling(scene: Scene, bound: Bound, main: Heard) -> tuple[Sentence, ...]:
    """Where another name of the same notes was claimed."""
    root = bound["root"]
    if main.name != "right" or root is None:
        return ()
    words = harmony(scene.table).spelling
    same = root.pc % 12 == main.chord.root and words.root(main.chord)[:1] == root.text.strip()[:1]
    if same or root.text.strip()[:1].upper() not in "ABCDEFG":
        return ()
    return (speech.say("claim.chord.sound", chord=words.words(main.chord)),)


def truths(
    scene: Scene,
    told: Bound,
    found: Sequence[Heard],
    main: Heard,
    has: Sequence[tuple[Unit, str, Has]],
) -> list[dict[str, Any]]:
    base = told.claim.as_json()
    words = harmony(scene.table).spelling
    out = []
    for h in (main, *sorted(found, key=lambda h: -h.length)[:3]):
        if not h.chord.named:
            continue
        value = {**base, "bars": pause_json(scene.table, h.start, h.end)}
        value["root"], value["quality"] = words.root(h.chord), h.chord.quality
        if "inversion" in base:
            value["inversion"] = max(h.chord.inversion, 0)
        if has and h is main:
            texts = [name.text for name, _ in told["member"]]
            most = {t: x.most[0] for t, (_, _, x) in zip(texts, has, strict=False) if x.most}
            value["member"] = most
            out += [value] if most else []
        out.append({k: v for k, v in value.items() if k != "member"})
    return [*out, {**base, "negated": True}]
