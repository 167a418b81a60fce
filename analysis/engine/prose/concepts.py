"""What the words of a sentence are about: a table of concepts, in the languages of scores.

Words nobody has listed count for nothing. One word may speak for several concepts; which kind they
amount to is weighed in `evidence`.
"""

from __future__ import annotations

import re

#: Concept -> words and word stems, of text in lower case without accents.
CONCEPTS: dict[str, str] = {
    # two lines that go together
    "double": r"doubl\w*|verdopp\w*|raddopp\w*|duplicat\w*|coupl\w*|colla parte|coll?[ae]?(?= <)|shadow\w*|mirror\w*"
              r"|cop(?:y|ies|ied|ying)|traces?|tracing|tracks?|trails?|glued|stuck to|locked|clings?|hugs?|unite[sd]?|merge[sd]?"
              r"|fuse[sd]?|blend\w*|match\w*|coincid\w*|in lockstep|unisono?",
    "same": r"(?:exactly |precisely )?(?:the |this |that |a )?(?:very )?same(?: (?:notes?|line|melody|tune|part|thing|pitch\w*|music|octave|figure))?"
            r"|exact(?:ly)? (?:the )?notes|identical\w*|dieselbe\w*|die gleichen?|les memes notes|le stesse note|=",
    "undoubled": r"undoubled|no doubling|unsupported|unaccompanied|nobody|no one|noone|no other|nothing|no part|no instrument"
                 r"|without (?:any )?(?:doubling|support|help)|niemand|personne|nessuno|on (?:its|their) own|all alone|alone",
    "follow": r"follow\w*|folgt|folgen|suit|segue|seguono|(?:goes|go|moves?|plays?|sounds?) (?:along )?with|along with|together with|accompan\w*",
    "partly": r"partly|partial\w*|in part|part of|only (?:some|part)|some of|not every|not all|now and then|at times|intermittent\w*"
              r"|occasional\w*|every (?:other|second)|half of",
    "simplify": r"simpl\w*|plain\w*|skeleton\w*|outlin\w*|main notes|without (?:the )?(?:ornament|decoration|passing)\w*|strong notes"
                r"|reduced|bare version",
    "adorn": r"ornament\w*|decorat\w*|embellish\w*|adorn\w*|heterophon\w*|varied|variant|florid|elaborat\w*|divisions on",
    "octave": r"octaves?|8ves?|8vas?|ottav\w*|oktav\w*",
    "interval": r"(?:3|6|10)(?:rds?|ths)|thirds?|sixths?|tenths?|terz\w*|sext\w*|dezim\w*|tierces?|sixtes?|dixiemes?|sest[ae]|decime",
    "intervals": r"3rds|6ths|10ths|thirds|sixths|tenths|terzen|sexten|dezimen|tierces|sixtes|dixiemes|terze|seste|decime",
    "parallel": r"parallel\w*",
    "move": r"moves?|moving|runs?|running|proceeds?|walks?|travels?|marche\w*|gehen|geht|laufen|vanno|procedono|glides?|advance",
    "strengthen": r"reinforc\w*|strengthen\w*|support\w*|thicken\w*|back(?:s|ed) up|boost\w*|lend\w*|underpin\w*|fatten\w*",
    "accent": r"accent\w*|stress\w*|underlin\w*|punch\w*|emphasi\w*|mark(?:s|ing)? (?:out )?(?:only )?the|highlight\w*|hammer\w*"
              r"|attack\w*|pick(?:s|ing)? out|hits?|touch(?:es)?|weight",
    "beat": r"beats?|downbeats?|first notes? of (?:each|every)|strong (?:beats?|notes?)|schlag\w*|zahlzeit\w*|temps forts?|tempi forti"
            r"|on 1|on one",
    # who plays
    "rest": r"rests?|resting|silent|silence|tacet|tace|tacciono|tacent|paus\w*|schweig\w*|taisent|tait|dumb|mute(?=\W*(?:@|$))|empty"
            r"|quiet\w*|(?:is|are|falls?|goes?|stays?) out|out(?=\W*(?:@|$))|nothing|absent|missing|stops?|stopped|falls? away|drops? out|dropped|leaves? off|left out|omitted|wait\w*"
            r"|counts? bars|blank|inactive|idle|unused|don't appear|not heard|holds? back",
    "gone": r"without|no|ohne|sans|senza|missing|absent|lack(?:s|ing)?|los(?:es|en)|dropped|omit\w*|left out|leaves? out|minus|gone"
            r"|taken away|removed",
    "play": r"plays?|playing|played|spiel\w*|suona\w*|jouent|joue|sounds?|sounding|heard|hears?|a (?:single )?note|any notes?|enters?|entering|comes? (?:in|back)|returns?|re-?enters?|joins?|present|active"
            r"|used|takes? part|starts?|begins?|appear\w*|participat\w*|in action|erklingt|erklingen|sonnent|setz(?:en|t) ein",
    "only": r"only|just|alone|solely|exclusively|nur|allein\w*|seulement|seule?s?|soltanto|nothing but|nobody but|by (?:itself|themselves)"
            r"|on (?:its|their) own|all (?=<)",
    "else": r"else|others?|rest of the orchestra|remainder|remaining|autres|anderen|altri",
    "all": r"all|everybody|everyone|everything|entire|whole|full|tutti|alle|tous|tout\w*|ganz\w*|(?:each|every) (?:instrument|part)",
    "orchestra": r"orchestra\w*|orchester|orchestre|band|forces|ensemble",
    "pause": r"(?:general|grand|tutti) (?:pause|rest)|g\.? ?p\.?|generalpause|(?:complete |total )?silence",
    # what somebody's line is
    "tune": r"melod\w*|tunes?|themes?|thema|tema|hauptstimme|hauptthema|cantilena|canto|main (?:line|voice|part|idea)|mainline|subject"
            r"|leadingline|leading (?:line|voice|part)|principal (?:line|voice|part)|top line",
    "line": r"lines?|parts?|phrases?|motifs?|motives?|figures?|idea|stimme|linie|ligne|linea|passage",
    "counter": r"counter\w*|gegen\w*|contre\w*|controcanto|obbligato|second (?:tune|melody)|descant",
    "answer": r"answer\w*|antwort\w*|reply|replies|repond\w*|rispond\w*|respond\w*|response",
    "bass line": r"bass[\s-]?line|(?:true|real) bass|the bass(?=\W*(?:@|$))|foundation|ground|basslinie|ligne de basse|linea del basso|bass (?:notes?|part)",
    "hold": r"hold\w*|held|sustain\w*|long|halten|halt|liegende|tenu\w*|tien\w*|tengono|lying|stays? on|sits? on|drone|static|stationary",
    "harmony": r"harmon\w*|chords?|akkord\w*|accord\w*|background|cushion|pads?|padding|bed|filling|filler|glue",
    "moving": r"moving|changing|motion|movement",
    "pulse": r"puls\w*|eighth notes|repeat(?:ed|ing)? (?:notes|(?:eighth|sixteenth) notes|quavers|semiquavers|eighths|sixteenths|chords|crotchets)|off[\s-]?beats?"
             r"|after[\s-]?beats?|ostinato|throb\w*|ticking|heartbeat|drumming|motor|quavers?|eighths",
    "figures": r"figur(?:ation|es)|arpeggi\w*|broken chords|runs|scales|passage[\s-]?work|murmur\w*|alberti|semiquavers?|sixteenths?|sixteenth notes|rippl\w*|swirl\w*"
               r"|passaggi|lauf\w*",
    "punctuate": r"punctuat\w*|stab\w*|(?:short|isolated) chords?|interject\w*|chord hits",
    "accompany": r"accompan\w*|begleit\w*|backing|background|under(?:neath)? the",
    "has": r"has|have|had|having|gets?|got|takes?|carries|carry|carrying|sings?|singing|leads?|leading|owns?|bears?|presents?|states?"
           r"|provides?|supplies|supply|hat|haben|ont|ha|hanno|delivers?|intones?",
    "is in": r"(?:is|lies|sits|stays|belongs|given|placed|found|liegt|ist|est|sta|resides|rests with|entrusted|assigned)"
             r" ?(?:in|with|to|by|on|at|aux?|bei|nell?\w*)?(?= <)|in the hands of",
    # a line passed on
    "give": r"hand\w*|pass\w*|gives?|giving|given|throw\w*|yield\w*|transfer\w*|relay\w*|surrender\w*|leaves?|leaving|cede\w*|deliver\w*"
            r"|ubergib\w*|ubergeben|transmet\w*|baton|(?:goes|moves?) (?:over )?(?:from|to)|wander\w*|migrat\w*|switch\w*|jump\w*|shift\w*"
            r"|changes? hands",
    "take": r"takes? (?:it |the \w+ )?(?:over|up|on)?|took|taking|inherit\w*|continu\w*|pick\w* up|carr\w* on|carried on|over from|from"
            r"|receiv\w*|ubernimm\w*|ubernehm\w*|repren\w*|riprend\w*|finish\w*|complet\w*|goes on|ends? it|resum\w*",
    "arrow": r"→|->|=>",
    "begin": r"began|begun|beg[ia]ns?|start\w*|left off|open(?:s|ed)|was playing|had been playing",
    # height
    "cross": r"cross\w*|overlap\w*|swap\w*|exchang\w*|kreuz\w*|crois\w*|incroc\w*|overtak\w*",
    "above": r"above|over|higher|uber|au-dessus|sopra|on top|climbs?|rises?|tops?|overtops",
    "below": r"below|under\w*|beneath|lower|unter|au-dessous|sotto|dips?|falls?|sinks?",
    "lie": r"lies?|is|are|goes|go|sounds?|gets?|plays?",
    "register": r"register|tessitura|range|compass|chalumeau|lage|registre|registro",
    "extreme": r"highest|lowest|deepest|topmost|peak\w*|(?:top|bottom|climax) note|tiefste\w*|hochste\w*|plus (?:aigu|grave|haut|bas)\w*"
               r"|extreme",
    "reach": r"reach\w*|goes (?:up|down)|climbs? (?:up )?to|descends?|(?:up|down) to|touches|ascends?|hits",
    "note": r"notes?|pitch\w*|tones?|nota|ton",
    "pitch high": r"[a-h](?:b|#)?\d|[a-h][ -](?:flat|sharp) ?\d",
    "pitch": r"(?<=the )[b-h]|(?<=an )[a-h]|(?<=on )[a-h]|(?<=note )[a-h]|[a-h](?:#| sharp| flat|-flat|-sharp)|[b-h](?=\W*(?:pedal|$))",
    # marks
    "muted": r"con sord\w*\.?|muted|mutes?|dampfer\w*|sourdines?|sordin\w*|gestopft",
    "unmuted": r"senza|without mutes?|mutes? off|open again",
    "plucked": r"pizz\w*\.?|pluck\w*|gezupft|zupf\w*|pince\w*",
    "bowed": r"arco|bow\w*|gestrichen|archet",
    "divided": r"div\b\.?|divisi|divide\w*|split\w*|geteilt|divise\w*",
    "a 2": r"a ?2|a due|a deux|zu 2|zu zweit|unis\b\.?",
    "mark": r"col legno|ponticello|trem\w*\.?|dolce|marked|marking|espr\w*|spicc\w*|staccat\w*|tenuto|sul \w",
    "solo": r"solo|solist\w*",
    # harmony
    "pedal": r"pedal\w*|organ point|orgelpunkt|drone|bourdon",
    "chord": r"chords?|triad|akkord|dreiklang|accord[oi]?|harmony (?:is|of)|6/[345]|septakkord",
    "inversion": r"inver\w*|root position|umkehrung|renversement|rivolto|in the bass",
    "member": r"(?:the |its |their )?(?:root|third|fifth|seventh|3rd|5th|7th)(?= of|,? in| is|\W*(?:@|$))",
    "seventh": r"seventh|7th|septime|7",
    "key": r"(?:[a-h](?:[ -]?(?:flat|sharp|b|#|es|is))?|do|re|mi|fa|sol|la|si)[ -]"
           r"(?:major|minor|dur|moll|maj|min|maggiore|minore|majeur|mineur)",
    "tonality": r"key|tonality|tonart|tonalite|tonalita|tonal|tonic|region",
    "arrive": r"arriv\w*|reach\w*|modulat\w*|lands?|cadenc\w*|settles?|ends? (?:up )?in|turns? to|gets? to|confirm\w*|changes? to",
    "route": r"from .{1,40}(?:to|via|through|into)|then|via|by way of|through|passes|journey|travel\w*|touching",
    # restating
    "sequence": r"sequen\w*|rosalia|progression|transpos\w* (?:repetition|statement)",
    "repeat": r"repeat\w*|restat\w*|again|recur\w*|wiederhol\w*|repet\w*|ripet\w*",
    "times": r"(?:two|three|four|five|six|[2-6]|twice|thrice|drei|trois|tre) ?(?:times|x|statements|limbs|mal|fois|volte)",
    "each time": r"(?:each|every) time|jedesmal|jedes mal|chaque fois|ogni volta|each (?:statement|limb)|successively",
    "step": r"steps?|stufe\w*|a second|a tone|degree",
    "way": r"upwards?|downwards?|up|down|rising|falling|descend\w*|ascend\w*|higher|lower",
    "model": r"pattern|model|one-bar|two-bar|figure|motif|motive",
    "imitate": r"imitat\w*|canon\w*|fug\w*|stretto|in turn|one after (?:the other|another)|entries|entry|nachahm\w*|answered by|bars? later",
    # whole passages
    "build": r"build\w*|tension|intensif\w*|steiger\w*|climax|grow\w*|swell\w*|gradual\w*|escalat\w*|mounting|crescendo|cresc\.?"
             r"|more and more|montee|crescita",
    "loud": r"louder|dynamics?|loudness|volume",
    "forces": r"more (?:and more )?(?:instruments|parts|players|people)|added|thicker|join one by one",
    "texture": r"texture\w*|satz|faktur",
    "texture name": r"monophon\w*|single line|one (?:single )?line|homophon\w*|polyphon\w*|contrapuntal|counterpoint|fugato|chorale?|hymn\w*"
                    r"|homorhythm\w*|same rhythm|layer\w*|dialog\w*|conversation|call and response|question and answer|antiphon\w*"
                    r"|part[\s-]?writing|gesprach",
    "most": r"dominat\w*|predomina[tn]\w*|prevail\w*|prevalent\w*|most|mostly|mainly|chiefly|largely|bulk|majority|lion's? share|lion"
            r"|uberwieg\w*|domine\w*|greater part",
    "side": r"sides?|belongs? (?:to|with)|allied|grouped|goes? with|camp|team\w*|loyal|attached|aligns?|affiliat\w*",
    "rhythm": r"rhythm\w*|rythm\w*|ritm\w*",
    "role": r"role|function|job|rolle",
    "family": r"family|group|section|choir",
    "compare": r"compar\w*|than|unlike|like|versus|vs\.?|differ\w*|as (?:in|at)|identical|repeats|same music|second time|returns?"
               r"|comes back|reprise",
    "added": r"add\w*|\+|new|plus|joined by|additional\w*|extra",
    # the page
    "written": r"(?:than|below|above|what is|as) (?:what is |it is |they are )?(?:written|notated|printed)|transpos\w*|written|notated"
               r"|klingt|sounding pitch",
    "clef": r"clef\w*|schlussel|cle\b|chiave",
    "open": r"open|natural (?:notes?|tones?|harmonics?)|harmonics?|naturtone|partial",
    "crook": r"crook\w*|in [a-h](?: ?b|-flat)?(?= |$)",
    "score": r"score|orchestration|scoring|instrumentation|besetzung|orchestra",
    "then": r"then|afterwards?|after that|later|first|next|finally|dann|puis|poi",
}  # fmt: skip

_FOUND = {name: re.compile(rf"(?<![\w<\[])(?:{words})(?!\w)") for name, words in CONCEPTS.items()}


def spans(name: str, short: str) -> list[tuple[int, int]]:
    """Where words of a concept stand."""
    return [match.span() for match in _FOUND[name].finditer(short)]


def about(name: str, short: str) -> bool:
    """Whether any word of a concept stands in a text."""
    return _FOUND[name].search(short) is not None


def ordinary(word: str) -> bool:
    """Whether a word is one of the table, so that it is nobody's name."""
    return any(found.fullmatch(word) for found in _FOUND.values())
