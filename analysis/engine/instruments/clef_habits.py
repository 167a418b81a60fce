"""Old habits of clefs: horns in the bass clef, cellos in the treble clef.

Horns: partials 2 and 3 stand as bass-clef C2 and G2 in old notation, as C3
and G3 in new; three published notation pages and Grove (1879), p. 750. Cello:
Forsyth and Piston, from memory.
"""

from __future__ import annotations

from analysis.engine.instruments.evidence import PartSeen

#: C2 and G2 are partials 2 and 3 of the old habit; below F#2 no valve horn goes in new notation.
_OLD_LOWEST = 43
_VALVE_LOWEST = 42
#: A passage above G3 (partial 6 of the old habit) would stand in the treble clef there.
_OLD_HIGHEST = 55
#: New notation writes partial 2 as C3.
_NEW_LOWEST = 48
_CELLO_TOP = 84


def old_bass_clef(seen: PartSeen, instrument: str) -> tuple[bool, str]:
    """Whether bass-clef notes stand an octave too low, and the doubt in words.

    Returns
    -------
    (bool, str)
        (False, "") where nothing suggests it.
    """
    if instrument not in ("horn", "basset-horn") or "F4" not in seen.clefs:
        return False, ""
    low, high = seen.clef_ranges.get("F4", (seen.low, None))
    if low is None:
        return False, ""
    too_high = high is not None and high > _OLD_HIGHEST
    if instrument == "horn" and low <= _OLD_LOWEST and not too_high:
        return True, (
            "Notes in the bass clef go down to C or G at the bottom of the staff: old notation, "
            "written an octave too low. They are read an octave higher."
        )
    if low >= _NEW_LOWEST or (too_high and low >= _VALVE_LOWEST):
        return False, ""
    return False, (
        "Notes in the bass clef may stand at their place or, in old notation, an octave too low; "
        "they are read at their place."
    )


def cello_treble(seen: PartSeen, instrument: str) -> tuple[bool, str]:
    """Whether treble-clef notes sound an octave lower, and the doubt in words."""
    if instrument not in ("cello", "cello-and-bass") or "G2" not in seen.clefs:
        return False, ""
    follows_bass = any(
        clef == "G2" and place and seen.clefs[place - 1] == "F4"
        for place, clef in enumerate(seen.clefs)
    )
    high = seen.clef_ranges.get("G2", (None, seen.high))[1]
    if not follows_bass:
        return False, ""
    octave = high is not None and high > _CELLO_TOP
    read = "an octave lower" if octave else "as written"
    return octave, (
        "The treble clef follows directly on the bass clef: older scores write the cello an "
        f"octave higher there. It is read {read}."
    )
