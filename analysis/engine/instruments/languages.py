"""Names of instruments as scores print them, in English, Italian, German and French.

The reader's own vocabulary (`vocabulary.txt`) knows more words, abbreviations and plurals,
without accents; here stands the one name a reader is told, with its accents. Trade names in
common use; no single source. A test reads every one of them back.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

_TABLE = """
piccolo | piccolo | ottavino | Pikkoloflöte | petite flûte
flute | flute | flauto | Flöte | flûte
alto-flute | alto flute | flauto contralto | Altflöte | flûte alto
recorder | recorder | flauto dolce | Blockflöte | flûte à bec
oboe | oboe | oboe | Oboe | hautbois
oboe-d-amore | oboe d'amore | oboe d'amore | Liebesoboe | hautbois d'amour
cor-anglais | English horn | corno inglese | Englischhorn | cor anglais
clarinet | clarinet | clarinetto | Klarinette | clarinette
basset-horn | basset horn | corno di bassetto | Bassetthorn | cor de basset
bass-clarinet | bass clarinet | clarinetto basso | Bassklarinette | clarinette basse
bassoon | bassoon | fagotto | Fagott | basson
contrabassoon | contrabassoon | controfagotto | Kontrafagott | contrebasson
alto-saxophone | alto saxophone | sassofono contralto | Altsaxophon | saxophone alto
tenor-saxophone | tenor saxophone | sassofono tenore | Tenorsaxophon | saxophone ténor
horn | horn | corno | Horn | cor
trumpet | trumpet | tromba | Trompete | trompette
cornet | cornet | cornetta | Kornett | cornet à pistons
trombone | trombone | trombone | Posaune | trombone
alto-trombone | alto trombone | trombone alto | Altposaune | trombone alto
tenor-trombone | tenor trombone | trombone tenore | Tenorposaune | trombone ténor
bass-trombone | bass trombone | trombone basso | Bassposaune | trombone basse
tuba | tuba | tuba | Tuba | tuba
ophicleide | ophicleide | oficleide | Ophikleide | ophicléide
timpani | timpani | timpani | Pauken | timbales
glockenspiel | glockenspiel | campanelli | Glockenspiel | jeu de timbres
xylophone | xylophone | xilofono | Xylophon | xylophone
tubular-bells | tubular bells | campane tubolari | Röhrenglocken | cloches tubulaires
harp | harp | arpa | Harfe | harpe
celesta | celesta | celesta | Celesta | célesta
harpsichord | harpsichord | cembalo | Cembalo | clavecin
organ | organ | organo | Orgel | orgue
piano | piano | pianoforte | Klavier | piano
violin | violin | violino | Violine | violon
viola | viola | viola | Bratsche | alto
cello | cello | violoncello | Violoncello | violoncelle
double-bass | double bass | contrabbasso | Kontrabass | contrebasse
"""

LANGUAGES = ("en", "it", "de", "fr")


@dataclass(frozen=True, slots=True)
class Names:
    """One instrument's name in each language, singular, as a label begins with it."""

    en: str
    it: str
    de: str
    fr: str


@cache
def names() -> dict[str, Names]:
    """By the instrument's key, in score order."""
    found = {}
    for line in _TABLE.strip().splitlines():
        key, *words = (cell.strip() for cell in line.split("|"))
        found[key] = Names(*words)
    return found


def names_of(key: str) -> Names | None:
    """None for what is no single instrument, or is called alike everywhere."""
    return names().get(key)
