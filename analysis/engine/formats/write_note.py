"""One event as the note elements of MusicXML."""

from __future__ import annotations

from xml.sax.saxutils import escape

from analysis.engine.formats.piece import Event, Head
from analysis.engine.gate.names import INVISIBLE


def note(event: Event, staves: int, ticks: int) -> str:
    """The elements of a note, chord or rest; `ticks` = its length in divisions."""
    if not event.heads:
        return _one(event, None, staves, ticks, first=True)
    return "".join(
        _one(event, head, staves, ticks, first=i == 0) for i, head in enumerate(event.heads)
    )


def _one(event: Event, head: Head | None, staves: int, ticks: int, *, first: bool) -> str:
    out = ['<note print-object="no">' if event.hidden else "<note>"]
    if event.grace:
        out.append('<grace slash="yes"/>' if event.grace == "slashed" else "<grace/>")
    if event.cue:
        out.append("<cue/>")
    if not first:
        out.append("<chord/>")
    out.append(_body(event, head))
    if not event.grace:
        out.append(f"<duration>{ticks}</duration>")
    if head is not None and not event.cue:
        out.append('<tie type="stop"/>' if head.tie_stop else "")
        out.append('<tie type="start"/>' if head.tie_start else "")
    out.append(f"<voice>{event.voice}</voice>")
    if event.type and not event.whole_bar:
        out.append(f"<type>{event.type}</type>")
        out.append("<dot/>" * event.dots)
    if head is not None and head.accidental:
        out.append(f"<accidental>{head.accidental}</accidental>")
    if event.tuplet:
        out.append(
            f"<time-modification><actual-notes>{event.tuplet[0]}</actual-notes>"
            f"<normal-notes>{event.tuplet[1]}</normal-notes></time-modification>"
        )
    if staves > 1:
        out.append(f"<staff>{event.staff}</staff>")
    if event.beam and first:
        out.append(f'<beam number="1">{event.beam}</beam>')
    out.append(_notations(event, head, first=first))
    if first:
        out += [_lyric(*lyric) for lyric in event.lyrics]
    out.append("</note>")
    return "".join(out)


def _body(event: Event, head: Head | None) -> str:
    if head is None:
        return '<rest measure="yes"/>' if event.whole_bar else "<rest/>"
    if event.unpitched:
        return (
            f"<unpitched><display-step>{head.step}</display-step>"
            f"<display-octave>{head.octave}</display-octave></unpitched>"
        )
    alter = f"<alter>{head.alter:g}</alter>" if head.alter else ""
    return f"<pitch><step>{head.step}</step>{alter}<octave>{head.octave}</octave></pitch>"


def _notations(event: Event, head: Head | None, *, first: bool) -> str:
    out: list[str] = []
    if head is not None and not event.cue:
        out.append('<tied type="stop"/>' if head.tie_stop else "")
        out.append('<tied type="start"/>' if head.tie_start else "")
    if event.arpeggio and head is not None:
        out.append("<arpeggiate/>")
    if first:
        out += [f'<slur type="{kind}" number="{number}"/>' for number, kind in event.slurs]
        out += [f'<tuplet type="{kind}"/>' for kind in event.tuplet_marks]
        ornaments = "".join(f"<{o}/>" for o in event.ornaments)
        if event.tremolo:
            ornaments += f'<tremolo type="{event.tremolo_kind}">{event.tremolo}</tremolo>'
        for group, inner in (
            ("ornaments", ornaments),
            ("technical", "".join(f"<{t}/>" for t in event.technical)),
            ("articulations", "".join(f"<{a}/>" for a in event.articulations)),
        ):
            if inner:
                out.append(f"<{group}>{inner}</{group}>")
        if event.fermata:
            out.append("<fermata/>")
    inside = "".join(out)
    return f"<notations>{inside}</notations>" if inside else ""


def _lyric(verse: int, syllabic: str, text: str) -> str:
    shown = escape(INVISIBLE.sub(" ", text))
    return f'<lyric number="{verse}"><syllabic>{syllabic}</syllabic><text>{shown}</text></lyric>'
