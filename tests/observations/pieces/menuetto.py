"""II. Menuetto, C minor; trio, C major. And a bar of the Rondo."""

from __future__ import annotations

from tests.engine.written import Part
from tests.observations.pieces import BASS, CLARINET, HORN, TRUMPET, Excerpt, excerpt


@excerpt
def passed_on() -> Excerpt:
    """The oboe's tune of 1-3 goes to the clarinet at bar 3 beat 3: both have G4 for that beat
    (clarinet written A4). The flute rests; strings accompany."""
    return Excerpt((
        Part("Flauto", "r | r | r | r | r | r", key=-3),
        Part("Oboe", "Eb5 q D5 C5 | B4 q D5 F5 | Eb5 q C5 G4 | r | r | r", key=-3),
        Part("Clarinetto in B", "r | r | r h A4 q | D5 q E5 F5 | E5 q G5 C#5 | D5 h.",
             transpose=CLARINET, key=-1),
        Part("Violino I", "r q G4 G4 | r G4 G4 | r G4 r | r Eb4 Eb4 | r F4 F4 | Eb4 h.", key=-3),
        Part("Violino II", "r q Eb4 Eb4 | r F4 F4 | r Eb4 r | r C4 C4 | r D4 D4 | C4 h.", key=-3),
        Part("Viola", "r q C4 C4 | r D4 D4 | r C4 r | r G3 G3 | r B3 B3 | G3 h.", clef="C3",
             key=-3),
        Part("Violoncello", "C3 h. | G2 h. | C3 h. | C3 h. | G2 h. | C3 h.", clef="F4", key=-3),
    ), time="3/4")  # fmt: skip


@excerpt
def tenor_tune() -> Excerpt:
    """Trio: clarinet arpeggios above, the tune in the bassoon's tenor register (E4 to A4),
    strings pluck chords. Eight bars."""
    return Excerpt((
        Part("Clarinetto in B", "D4 e F#4 A4 D5 A4 F#4 | D4 F#4 A4 D5 A4 F#4 | "
             "C#4 E4 A4 C#5 A4 E4 | D4 F#4 A4 D5 A4 F#4 | G4 B4 D5 G5 D5 B4 | "
             "D4 F#4 A4 D5 A4 F#4 | C#4 E4 A4 C#5 A4 E4 | D4 F#4 A4 D5 A4 F#4",
             transpose=CLARINET, key=2),
        Part("Fagotto", "E4 q. F4 e G4 q | G4 q. A4 e G4 q | F4 q. E4 e F4 q | E4 h G4 q | "
             "A4 q. G4 e F4 q | G4 q. F4 e E4 q | F4 q G4 F4 | E4 h.", clef="C4"),
        Part("Violino I", "'pizz.' r q E4 E4 | r E4 E4 | r D4 D4 | r E4 E4 | r F4 F4 | r E4 E4 | "
             "r D4 D4 | r E4 r"),
        Part("Violino II", "'pizz.' r q C4 C4 | r C4 C4 | r B3 B3 | r C4 C4 | r C4 C4 | r C4 C4 | "
             "r B3 B3 | r C4 r"),
        Part("Viola", "'pizz.' r q G3 G3 | r G3 G3 | r G3 G3 | r G3 G3 | r A3 A3 | r G3 G3 | "
             "r G3 G3 | r G3 r", clef="C3"),
        Part("Violoncello", "'pizz.' C3 q r r | C3 r r | G2 r r | C3 r r | F2 r r | C3 r r | "
             "G2 r r | C3 r r", clef="F4"),
        Part("Contrabbasso", "'pizz.' C3 q r r | C3 r r | G2 r r | C3 r r | F2 r r | C3 r r | "
             "G2 r r | C3 r r", clef="F4", transpose=BASS),
    ), time="3/4")  # fmt: skip


@excerpt
def the_drum() -> Excerpt:
    """Rondo: bar 3 is A flat major (A flat, C, E flat) in all that have a chord, and the drum,
    which has E flat and B flat only, strikes B flat; bars 1, 2, 4 the drum has the bass's note."""
    return Excerpt((
        Part("Oboi", "G5+Bb5 h | F5+Bb5 | Eb5+C6 | Eb5+G5", key=-3),
        Part("Corni in Es", "C5+E5 h | G4+D5 | 'a 2' C5 | C5+E5",
             transpose=HORN),
        Part("Trombe in Es", "'a 2' C5 h | G4 | C5 | C5", transpose=TRUMPET),
        Part("Timpani in Es-B", "Eb3 q Eb3 | Bb2 Bb2 | Bb2 Bb2 | Eb3 h", clef="F4"),
        Part("Violino I", "Eb5 q G5 | F5 D5 | Eb5 Ab5 | G5 h", key=-3),
        Part("Violino II", "G4 q Bb4 | Bb4 F4 | C5 Eb5 | Bb4 h", key=-3),
        Part("Viola", "Bb3 h | D4 | Eb4 | Eb4", clef="C3", key=-3),
        Part("Violoncello", "Eb3 h | Bb2 | Ab2 | Eb3", clef="F4", key=-3),
        Part("Contrabbasso", "Eb3 h | Bb2 | Ab2 | Eb3", clef="F4", transpose=BASS, key=-3),
    ), time="2/4")  # fmt: skip
