"""From four verdicts to a flag (contract, "Verdicts, readings, flag", steps 1 and 3)."""

from __future__ import annotations

from analysis.engine.claims.base import Flag, Judgement
from analysis.engine.settings import Settings


def flag_of(judgement: Judgement, settings: Settings) -> Flag:
    """The flag of a judgement as it stands, without readings.

    All right agrees; a wrong verdict conflicts if there is contrary evidence
    and nothing open, a judged kind only if it is sure enough; up to two near
    ones are partly; everything else, and whatever is below the tutor's
    confidence, goes to the ear.
    """
    if not judgement.is_sure(settings):
        return "ear"
    verdicts = judgement.verdicts
    if judgement.all_right:
        return "agrees"
    if "open" in verdicts:
        return "ear"
    if judgement.any_wrong:
        sure = not judgement.judged or judgement.confidence >= settings.conflict_confidence
        return "conflicts" if judgement.contrary and sure else "ear"
    return "partly" if verdicts.count("near") <= 2 else "ear"
