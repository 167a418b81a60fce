"""The trade's words in a sentence each, for whoever meets one for the first time.

A word's key stands in templates (`{% explained "crook" %}`) and in the lists of the kinds of
statement (`submissions.kinds.words`). One word, one thing.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True, slots=True)
class Word:
    term: str | Promise
    text: str | Promise


WORDS: dict[str, Word] = {
    "part": Word(
        _("part"),
        _("What one desk or one section plays; in the score it has a staff, or shares one."),
    ),
    "player": Word(
        _("player"),
        _(
            "One musician. A staff of winds often holds two: the upper notes are the first’s, the "
            "lower the second’s."
        ),
    ),
    "a-2": Word(_("a 2"), _("Both players of a staff play the same notes, in unison.")),
    "divisi": Word(
        _("divisi"),
        _("A section divides: some of its players take one line, the others another."),
    ),
    "solo": Word(
        _("solo, soli"),
        _("One player steps out of a section (solo), or a few parts stand out together (soli)."),
    ),
    "tutti": Word(_("tutti"), _("Everybody plays, or so nearly everybody that the ear says so.")),
    "written": Word(
        _("written pitch"),
        _(
            "The note as it stands on the page. For a transposing instrument it is not the one "
            "that sounds."
        ),
    ),
    "sounding": Word(
        _("sounding pitch"),
        _("The note one hears. A clarinet in B flat sounds a whole tone lower than it is written."),
    ),
    "transposition": Word(
        _("transposition"),
        _("How far an instrument sounds from what is written for it: always the same interval."),
    ),
    "crook": Word(
        _("crook"),
        _(
            "A piece of tube that a natural horn or trumpet player puts in; it sets the key and "
            "with it the transposition. “Corno in Mi” has the crook of E."
        ),
    ),
    "open-tone": Word(
        _("open tone"),
        _(
            "A note that a natural horn or trumpet has of itself, without hand or valve: the "
            "partials of its crook."
        ),
    ),
    "stopped": Word(
        _("stopped"),
        _("Made with the hand in the bell of a natural horn: possible, but of another colour."),
    ),
    "partial": Word(
        _("partial"),
        _(
            "One of the tones of a tube, counted from its lowest: 2 is the octave, 3 the fifth "
            "above, 4 the next octave, 5 the third."
        ),
    ),
    "doubling": Word(
        _("doubling"),
        _(
            "Two parts play one line together: in unison or one or more octaves apart. Thirds and "
            "sixths are no doubling."
        ),
    ),
    "unison": Word(_("unison"), _("The very same pitch, no octave between.")),
    "octaves": Word(
        _("octaves apart"),
        _(
            "Count the distance: one octave is 12 semitones, two are 24. “In three octaves” means "
            "three levels: two octaves from end to end."
        ),
    ),
    "partial-doubling": Word(
        _("partial doubling"),
        _("The companion plays only some of the line’s notes."),
    ),
    "simplified": Word(
        _("simplified doubling"),
        _("The companion plays the line’s main notes and leaves out its turns."),
    ),
    "heterophonic": Word(
        _("heterophonic doubling"),
        _("Both have the same line at once, one of them with ornaments."),
    ),
    "reinforcement": Word(
        _("reinforcement"),
        _("A part supports single notes of a line, by pitch or by attack alone, and not the line."),
    ),
    "role": Word(_("role"), _("A part’s job in these bars: what would be missing without it.")),
    "melody": Word(_("melody"), _("What you would sing if asked for the tune.")),
    "countermelody": Word(
        _("countermelody"),
        _("A second tune that goes its own way beside the first."),
    ),
    "bass-line": Word(
        _("bass line"),
        _("The lowest line that carries the harmony; it need not be in the lowest staff."),
    ),
    "held-harmony": Word(_("held harmony"), _("Notes of the chord held under or around the tune.")),
    "moving-harmony": Word(
        _("moving harmony"),
        _("The chord in motion: broken, repeated, rocking."),
    ),
    "pulse": Word(_("pulse"), _("Notes whose point is time: repeated, regular.")),
    "pedal": Word(
        _("pedal"),
        _("One note that stays while the harmony above or around it changes."),
    ),
    "punctuation": Word(
        _("punctuation"),
        _("Short strokes at the joints: accents, cadences, full stops."),
    ),
    "figuration": Word(
        _("figuration"),
        _("Quick notes around a line, without a tune of their own."),
    ),
    "layer": Word(_("layer"), _("All parts that share one role, taken together.")),
    "texture": Word(_("texture"), _("How many layers there are, and how they hang together.")),
    "entry": Word(_("entry"), _("Where a part begins after rests.")),
    "drop-out": Word(_("drop-out"), _("Where a part falls silent while others go on.")),
    "handover": Word(_("handover"), _("A line passes from one part to another.")),
    "crossing": Word(
        _("crossing"),
        _("A part that stands lower on the page sounds above its neighbour."),
    ),
    "sides": Word(
        _("taking sides"),
        _("A part goes with another family than its own for a while."),
    ),
    "sequence": Word(
        _("sequence"),
        _("A short model said again on other steps, at least twice more."),
    ),
    "imitation": Word(
        _("imitation"),
        _("Parts enter one after the other with the same beginning."),
    ),
    "build-up": Word(
        _("build-up"),
        _("Tension grows: more players, louder, higher, quicker, or harmony that will not settle."),
    ),
    "local-key": Word(
        _("local key"),
        _(
            "The key the music is in just here; the signature at the head of the staff may say "
            "another."
        ),
    ),
    "cadence": Word(_("cadence"), _("The turn that closes a phrase and proves its key.")),
    "register": Word(
        _("register"),
        _(
            "The region of an instrument a passage lies in: low, middle or high, each with its "
            "colour."
        ),
    ),
    "clef": Word(
        _("clef"),
        _(
            "The sign that says which line is which note. Violas read the alto clef; cellos and "
            "bassoons go up into the tenor clef."
        ),
    ),
    "col": Word(
        _("col, colla parte"),
        _("“With”: the part plays what another one has; the copyist saved the notes."),
    ),
    "con-sord": Word(_("con sordino"), _("With the mute; “senza sord.” takes it off again.")),
    "pizzicato": Word(_("pizzicato"), _("Plucked; “arco” calls the bow back.")),
    "pickup": Word(_("pickup"), _("The short bar before bar 1.")),
    "ending": Word(
        _("first, second ending"),
        _("Bars played only the first, or only the second time through a repeat."),
    ),
}
