"""Instrument codes of Humdrum (``*Ivioln``) as names.

Source: the Humdrum instrument codes of the Humdrum Guide's reference manual.
"""

from __future__ import annotations

CODES = {
    "accor": "Accordion", "alto": "Alto", "archl": "Archlute", "bagpi": "Bagpipe",
    "banjo": "Banjo", "barit": "Baritone", "baset": "Basset horn", "bass": "Bass",
    "bassv": "Bass viol", "bdrum": "Bass drum", "bflt": "Bass flute", "bfl": "Bass flute",
    "bguit": "Bass guitar", "campn": "Bells", "calto": "Contralto", "canto": "Soprano",
    "cangl": "English horn", "castr": "Castanets", "castn": "Castanets", "cbass": "Contrabass",
    "celest": "Celesta", "cello": "Violoncello", "cemba": "Harpsichord", "chimes": "Chimes",
    "chlma": "Chalumeau", "clarb": "Bass clarinet", "clarp": "Piccolo clarinet",
    "clara": "Clarinet in A", "clars": "Clarinet in B flat", "clart": "Clarinet",
    "clarinet": "Clarinet", "clavi": "Clavichord", "contr": "Contralto", "cor": "Horn",
    "cornm": "Cornett", "corno": "Horn", "cornt": "Cornet", "cfagt": "Contrabassoon",
    "crshc": "Crash cymbals", "ctina": "Concertina", "ctenor": "Countertenor",
    "cymbal": "Cymbals", "dulci": "Dulcian", "enghn": "English horn", "fag_c": "Contrabassoon",
    "fagot": "Bassoon", "feme": "Female voice", "flt": "Flute", "flt_a": "Alto flute",
    "flt_b": "Bass flute", "flute": "Flute", "forte": "Piano", "fphon": "Flugelhorn",
    "glock": "Glockenspiel", "gong": "Gong", "guitr": "Guitar", "harmo": "Harmonica",
    "harp": "Harp", "hichi": "Hichiriki", "horn": "Horn", "keybd": "Keyboard", "klav": "Piano",
    "lute": "Lute", "mezzo": "Mezzo-soprano", "oboe": "Oboe", "oboeD": "Oboe d'amore",
    "oboeda": "Oboe d'amore", "oboeca": "Oboe da caccia", "oboed": "Oboe d'amore",
    "ocari": "Ocarina", "organ": "Organ", "piano": "Piano", "picco": "Piccolo",
    "pipe": "Pipe", "psalt": "Psaltery", "recda": "Alto recorder", "recdb": "Bass recorder",
    "recds": "Soprano recorder", "recdt": "Tenor recorder", "recor": "Recorder",
    "sackb": "Sackbut", "saxA": "Alto saxophone", "saxB": "Baritone saxophone",
    "saxS": "Soprano saxophone", "saxT": "Tenor saxophone", "sdrum": "Side drum",
    "soprn": "Soprano", "tambn": "Tambourine", "tenor": "Tenor", "theor": "Theorbo",
    "timpa": "Timpani", "timpn": "Timpani", "trngl": "Triangle", "tromb": "Trombone",
    "tromp": "Trumpet", "trumpt": "Trumpet", "trom": "Trombone", "tuba": "Tuba",
    "vibra": "Vibraphone", "vioda": "Viola d'amore", "viola": "Viola", "violn": "Violin",
    "violn1": "Violin I", "violn2": "Violin II", "vioin": "Violin", "vox": "Voice",
    "xylo": "Xylophone", "zither": "Zither",
}  # fmt: skip
CODES["vioIn"] = "Violin"


def name_of(code: str) -> str:
    """The name of a code with an optional number ("violn2"); "" if it is none."""
    if code in CODES:
        return CODES[code]
    stem = code.rstrip("0123456789")
    number = code[len(stem) :]
    if stem in CODES:
        return f"{CODES[stem]} {int(number)}" if number else CODES[stem]
    return ""
