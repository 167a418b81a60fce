"""What goes through a whole paper, from its stored checks: said once on the tutor's page."""

from __future__ import annotations

from django.utils.translation import gettext

from analysis.engine.claims import speech
from analysis.engine.claims.constant import constant_misreadings
from submissions.models import Check, Observation, Paper


def constant_of(paper: Paper) -> list[str]:
    """Sentences about misreadings that several statements of the paper share; usually none."""
    rows = Check.objects.filter(
        current=True,
        observation_version__observation__paper=paper,
        observation_version__observation__state=Observation.State.HANDED_IN,
    ).values_list("flag", "sentences")
    told = [(str(flag), list((said or {}).get("sentence", []))) for flag, said in rows]
    return [speech.render(one.sentence, gettext) for one in constant_misreadings(told)]
