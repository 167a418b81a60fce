"""Turns of phrase of one meaning, and the plain word each reader knows for it.

Written by meaning, not from examples: what may be said for going with a line, taking it over,
having it, being silent. A phrase begins with its verb in the infinitive, which stands for all its
forms ("keep" for keeps, keeping, kept); a leading "=" means that it does not change. "(word)" may be missing, "a/b" is
one of two, "*" up to two words, "~self" itself or themselves, "~its" a possessive, "~line" a word
for somebody's line.
"""

from __future__ import annotations

#: Before another name: "A keeps company with B".
BEFORE_A_NAME: dict[str, tuple[str, ...]] = {
    "doubles": (
        "keep company with", "keep pace with", "keep (in) step with", "be in step with", "walk in step with",
        "stick with/to", "stay with", "hang on/onto to", "hang onto", "latch onto", "cling to", "hold on to",
        "tag along with", "run along with", "come along with", "go along with", "walk along with", "march along with",
        "travel along with", "sing along with", "play along with/to", "play together with", "sound together with",
        "double along with", "double up with", "double up", "go hand/arm in hand/arm with", "go side by side with",
        "move as one with", "sing as one with", "be as one with", "be at one with", "be one with", "become one with",
        "be united with", "be joined to/with", "be tied to", "be bound to", "be welded to", "be wedded to", "be married to",
        "be glued to", "be attached to", "be yoked to", "be hitched to", "be chained to", "be fused with", "be merged with",
        "be mixed with", "be combined with", "be coupled with/to", "be teamed with", "be partnered with", "be paired with",
        "pair up with", "team up with", "join forces with", "join in with", "join up with", "unite with", "combine with", "mix with",
        "merge with", "tally with", "coincide with", "agree with", "concur with", "correspond to/with", "conform to", "be identical with/to",
        "be equal to", "equal", "be congruent with", "be indistinguishable from", "mirror", "shadow", "trace", "track", "duplicate", "replicate",
        "reproduce", "parrot", "ape", "emulate", "assist", "help (out)", "give/lend/offer (some) help to", "come to the aid of", "come to the help of",
        "lend (some) (of) ~its sound/colour/color/voice/support/tone/timbre/warmth/help to", "lend (some) support/help/colour/color/warmth to",
        "add ~its sound/colour/color/voice/tone/timbre to", "lend a hand to", "bolster", "shore up", "prop up", "buttress", "back up", "beef up",
        "enrich", "flesh out", "fill out", "accompany in unison", "sing/play the notes of", "sing/play/have every note of",
        "sing/play/have note for note the ~line of", "take up the ~line of",         "share the/~its (same) ~line with", "share every note with", "share notes with", "share all (of) ~its notes with", "have the ~line in common with",
        "have (all) ~its notes in common with", "be a doubling of", "be a double of", "be a copy of", "be a duplicate of", "be a carbon copy of",
        "be the shadow/twin/echo of", "act as (a) doubling of/for", "serve as (a) doubling of/for", "provide a/the doubling of/for",
        "be there to double", "use the same notes as", "have the same notes as", "play in unison with", "be in agreement with",
        "play/sing/have/do the same as", "play/sing/have/do the same ~line as", "take the same road/path/route/course as",
        "not depart/deviate/differ from", "walk in the footsteps of", "borrow the ~line of",
    ),
    "sides with": (
        "be part of", "form part of", "be a part of", "be a member of", "count among/as/with", "be counted among/as/with", "rank among/with", "be numbered among", "be allied with/to", "ally ~self with", "align ~self with", "be aligned with",
        "be grouped with", "group with", "be classed with/among", "be affiliated with/to", "be on the side of", "take the side of", "side with", "be in the camp of", "be integrated in/into", "be associated with", "place it with", "place them with", "put it with", "be loyal to", "be assigned to the group of", "participate in",
    ),
    "takes the tune over from": (
        "take the baton from", "take the ~line from", "take (it) up from", "inherit the ~line from", "receive the ~line from", "snatch the ~line from",
        "get the ~line from", "steal the ~line from", "grab the ~line from", "carry on from", "take over the ~line from", "take over from", "pick up from", "pick up the ~line from", "catch the ~line from",
        "step in for", "succeed", "be handed the ~line by", "be given the ~line by", "be passed the ~line by", "get the ~line handed by",
    ),
    "passes the tune to": (
        "make way for", "give way to", "yield to", "cede (the) (~line) to", "pass the baton to", "pass on the ~line to", "pass (on) (the) (~line) (over) to", "hand (on/over/down) (the/~its) (~line) (on/over/down) to/into",
        "throw the ball to", "toss the ~line to", "surrender the ~line to", "bequeath the ~line to", "deliver the ~line to", "transfer the/~its ~line to", "relay the ~line to", "entrust the/~its ~line to",
        "leave the/~its ~line to/for", "give up the/~its ~line to", "give the/~its ~line (on/over/away) to", "give (on/over) the/~its ~line to", "turn the ~line over to", "send the ~line to", "commit the ~line to", "lose the ~line to",
    ),
    "lies above": (
        "overtop", "surpass", "outclimb", "rise past", "climb past", "rise over", "climb over", "climb above", "rise above", "go past", "jump over", "leap over", "leap above", "jump above", "soar over/above",
        "be higher than", "go/get/sound/lie/sit/play higher than", "go up over", "poke out above", "stick out above", "peep out above", "stand above", "stand higher than", "reach above", "reach over", "reach higher than", "move above/over",
        "push above", "cross over", "step over", "hover above/over", "float above/over", "be found above", "be placed above",
    ),
    "lies below": (
        "be lower than", "go/get/sound/lie/sit/play lower than", "go/get/sink/fall/drop/dip/dive/slip/plunge/descend below/under/beneath/underneath", "duck under/below", "cross below/under/beneath", "be found below/under", "be placed below", "stand below",
        "reach below", "move below/under", "sound deeper than", "be deeper than", "be overtopped by", "be surpassed by",
    ),
}  # fmt: skip

#: Before another's line: "A takes part in B's tune".
BEFORE_ONES_LINE: dict[str, tuple[str, ...]] = {
    "doubles": ("take part in", "join (in)", "share (in)", "sing/play/have", "use", "follow", "copy", "borrow", "cling to", "stick to", "keep to", "help out with", "adopt", "support", "go along with", "be just/simply", "be nothing but/(more than)", "be in"),
}  # fmt: skip

#: Of one name, anywhere after it.
OF_ONE: dict[str, tuple[str, ...]] = {
    "rests": (
        "shut up", "shut ~its mouths", "keep out of it/this/things", "keep out", "stay out of it/this/things", "stay out", "keep silent/quiet/still/mum", "stay silent/quiet/still/mute/mum",
        "remain silent/quiet/still/mute", "fall silent/quiet", "go silent/quiet/dead", "be silenced", "be hushed", "be mute", "be voiceless", "say nothing", "do nothing", "play nothing (at all)", "contribute nothing",
        "have nothing (whatsoever/whatever/at all) to play/say/do/add/contribute/offer/blow/bow", "have no notes/note/music/entry/part/role to play/(at all)", "have no notes/note", "have nothing written", "have nothing but rests", "have only rests",
        "take a break/rest/breather/holiday/nap/pause", "have a break/breather/holiday/pause/rest", "have ~its break/breather/rest/pause", "have (a) free", "have time off", "make (a/~its) pause/rest/break", "make no sound",
        "sit (it/this/these/that/those) (bars) out", "sit out", "sit still", "sit there silent/silently", "sit idle", "be off", "be off duty", "be out of action", "be out of work", "be out of the game", "be unemployed", "be unoccupied",
        "hold ~its tongue/tongues/peace/fire/breath/breaths", "twiddle ~its thumbs", "count ~its rests/bars", "count rests/bars", "be counting rests/bars", "take no part", "take no part in it/this", "be on holiday", "be on break",
        "stand silent", "pass in silence", "be given (a) rest", "be given a break", "get (a) rest", "get a break", "bow out", "drop away", "retire", "withdraw", "retreat", "step back", "give it a miss", "be nowhere to be heard", "be nowhere to be found",
        "be left out", "be cut out", "be written out", "be switched off", "play no role/part", "be conspicuous by ~its absence", "be in silence", 
    ),
    "plays": (
        "be in action", "be at work", "be in use", "be in play", "be on duty", "be active", "be involved", "be engaged", "be employed", "be present", "be there", "be (all) in",
        "take part", "get to play", "get something to play", "have something/anything/notes/music to play/do/say/add/contribute/blow", "have work to do",
        "make an/~its entrance/entry/appearance", "turn up", "show up", "join in", "chime in", "come in", "step in", "make (a) sound", "get going", "be heard", "can be heard", "make ~self heard", "let ~self be heard", "play a (single) note", "sound a (single) note",
    ),
}  # fmt: skip

#: Before what somebody has: a line, a job, notes.
BEFORE_A_LINE: dict[str, tuple[str, ...]] = {
    "has": (
        "get to sing/play/have/state/carry", "be allowed to sing/play/have/state/carry", "be entrusted with", "be charged with", "be assigned", "be given", "be trusted with", "be responsible for", "be in charge of", "be in possession of",
        "be the owner/bearer/carrier of", "be busy with", "busy ~self with", "occupy ~self with", "be occupied with", "keep ~self busy with", "content ~self with", "be content with", "make do with", "get by with", "restrict ~self to", "confine ~self to",
        "limit ~self to", "be restricted to", "be confined to", "be limited to", "be reduced to", "serve as", "act as", "function as", "work as", "operate as", "be used as", "be there as", "be there for", "be employed as", "fulfil the role/function/job/task of",
        "take (on/over) the role/function/job/task/part of", "play the role/part of", "have the role/function/job/task of", "assume the role/function of", "constitute", "make up", "furnish", "represent", "come up with",
        "throb away in", "throb away on", "chug along/away in/on/with", "tick along/away in/on/with", "hammer away at/on", "murmur away in/on", "ripple along in", "look after", "take care of", "see to", "be in the lead with", "shine with", "be heard with", "expose", "intone", "deliver", "perform", "render", "unfold", "spin (out)", "lay down", "spread (out)", "weave", "set up", "put down", "keep up", "maintain", "pump out", "tap out", "beat out",
    ),
}  # fmt: skip

#: Names of things, wherever they stand. Not verbs.
THINGS: dict[str, tuple[str, ...]] = {
    "melody": ("main/leading/principal/chief voice/part/line/idea/motif/strand", "lead/solo/cantabile/lyrical/singing line/melody", "main melody", "leading melody", "principal melody", "vocal line", "song", "topline", "lead voice"),
    "countermelody": ("counter-tune/countertune/counter-voice/countervoice/counterline/counter-line/counter-theme/countertheme/counter-idea", "secondary/second/subsidiary/opposing/contrasting melody/tune/theme/voice", "contrapuntal line/voice/melody", "second tune/melody"),
    "bass line": ("bass function/role/job/part/duty/voice/foundation/support/notes", "harmonic/bass foundation/basis/base/fundament", "low foundation", "ground bass", "fundamental bass", "bottom line", "fundament"),
    "held harmony": ("harmonic/chordal/sustained carpet/cushion/backdrop/blanket/layer/bed/glue/padding/pad/haze/curtain/wash/surface", "carpet of long/held/sustained notes/chords/harmony/tones", "cushion of sound", "carpet of sound", "bed of chords", "bed of sound"),
    "pulse": ("um-pah/oom-pah/oompah/umpah/um-pa-pa/oom-pah-pah", "beating quavers/eighths", "ticking/throbbing/pulsing/pulsating/repeating/reiterated/hammering/chugging quavers/eighths/semiquavers/sixteenths/notes/chords", "reiterations", "rhythmic pulse/motor/background/foundation"),
    "figuration": ("passagework/passage-work", "running/rippling/flowing/rolling/swirling/busy/fast/quick/rapid figures/semiquavers/sixteenths/quavers/eighths/notes/arpeggios/scales", "figurations/figurework", "arpeggiated figures/figure/chords", "arpeggiations/arpeggiation",),
    "answer": ("reply/response/retort/riposte/rejoinder/comeback",),
    "punctuation": ("stabs/hits/interjections", "dry/single/cadential chords/strokes/blows", "short strokes/hits/blows", "full stops", "exclamation marks"),
}  # fmt: skip
