"""III. Adagio, A flat major."""

from __future__ import annotations

from tests.engine.written import Part
from tests.observations.pieces import BASS, CLARINET, HORN, Excerpt, excerpt


@excerpt
def veiled() -> Excerpt:
    """Violins muted, basses plucked, the clarinet between written E3 and F sharp 4; violas and
    cellos bowed, without mutes. In 5-6 the violins take the mutes off and the basses bow."""
    return Excerpt((
        Part("Clarinetto in B", "E3 q F3 Bb3 F3 | G3 h F4 | E4 q C4 Bb3 G3 | F3 w | F4 w | F4 w",
             transpose=CLARINET, key=-2),
        Part("Violino I", "'con sord.' C5 h Eb5 | Db5 h C5 | Bb4 h Eb5 | C5 w | "
             "'senza sord.' Eb5 h C5 | Ab4 w", key=-4),
        Part("Violino II", "'con sord.' Ab4 h C5 | Bb4 h Ab4 | G4 h Bb4 | Ab4 w | "
             "'senza sord.' C5 h Ab4 | Eb4 w", key=-4),
        Part("Viola", "Eb4 w | F4 h Eb4 | Eb4 w | Eb4 w | Eb4 w | C4 w", clef="C3", key=-4),
        Part("Violoncello", "Ab2 w | Db3 h Ab2 | Eb3 w | Ab2 w | Ab2 w | Ab2 w", clef="F4", key=-4),
        Part("Contrabbasso", "'pizz.' Ab2 q r Ab2 r | Db3 r Ab2 r | Eb3 r Eb3 r | Ab2 q r r h | "
             "'arco' Ab2 w | Ab2 w", clef="F4", transpose=BASS, key=-4),
    ))  # fmt: skip


@excerpt
def glue() -> Excerpt:
    """Both horns hold E flat (written C5) through A flat, E flat 7, C minor and F 7 in 1-4; in 5 B
    flat minor they rest."""
    return Excerpt((
        Part("Corni in Es", "'a 2' C5~ w | C5~ | C5~ | C5 | r | r", transpose=HORN),
        Part("Violino I", "C5 q Eb5 Ab5 Eb5 | Db5 Eb5 G5 Db5 | C5 Eb5 G5 C5 | A4 C5 F5 C5 | "
             "Bb4 Db5 F5 Db5 | Db5 w", key=-4),
        Part("Violino II", "Ab4 w | Bb4 | G4 | A4 | F4 | Bb4", key=-4),
        Part("Viola", "Eb4 w | G4 | Eb4 | C4 | Db4 | F4", clef="C3", key=-4),
        Part("Violoncello", "Ab2 w | G2 | C3 | F2 | Bb2 | Bb2", clef="F4", key=-4),
    ))  # fmt: skip


@excerpt
def when_it_holds() -> Excerpt:
    """Violins I have long notes; while they hold, the flute moves, in a line of its own; violas
    and cellos accompany. Eight bars of 3/4."""
    return Excerpt((
        Part("Flauto", "r q Eb6 e F6 Eb6 C6 | r q Db6 e C6 Bb5 G5 | r q Ab5 e Bb5 C6 Eb6 | "
             "r q F6 e Eb6 Db6 Bb5 | r q C6 e Eb6 Ab6 F6 | r q Eb6 e Db6 C6 Bb5 | "
             "r q G5 e Bb5 Db6 Bb5 | C6 h.", key=-4),
        Part("Violino I", "C5 h. | Bb4 | Ab4 | Db5 | Eb5 | C5 | Bb4 | Ab4", key=-4),
        Part("Viola", "r q Eb4 Eb4 | r Eb4 Eb4 | r Eb4 Eb4 | r F4 F4 | r Eb4 Eb4 | r Eb4 Eb4 | "
             "r Db4 Db4 | Eb4 h.", clef="C3", key=-4),
        Part("Violoncello", "Ab2 h. | G2 | C3 | Db3 | C3 | Ab2 | Eb3 | Ab2", clef="F4", key=-4),
    ), time="3/4")  # fmt: skip


@excerpt
def divided() -> Excerpt:
    """1-4: the violas divide, in sixths, above the cellos, below violins II; 5: not divided."""
    return Excerpt((
        Part("Violino I", "Eb5 h F5 | Eb5 h Db5 | C5 h Db5 | C5 w | Eb5 w", key=-4),
        Part("Violino II", "C5 h Db5 | C5 h Bb4 | Ab4 h Bb4 | Ab4 w | C5 w", key=-4),
        Part("Viola", "'div.' Ab4 q Bb4 Ab4 F4 / C4 q Db4 C4 Ab3 | G4 q Ab4 G4 Eb4 / "
             "Bb3 q C4 Bb3 G3 | Eb4 q F4 G4 F4 / G3 q Ab3 Bb3 Ab3 | Eb4 w / G3 w | 'unis.' Eb4 w",
             clef="C3", key=-4),
        Part("Violoncello", "Ab2 w | Eb3 w | Ab2 h Eb2 | Ab2 w | Ab2 w", clef="F4", key=-4),
    ))  # fmt: skip
