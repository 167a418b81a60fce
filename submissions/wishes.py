"""How far the tutor wants a statement compared: what its prompt says, and its kind.

Compared: flag and sentence go to the tutor, and with the ruling to the student.
Flagged for the tutor alone: the student sees the ruling and the reply. A flag the tutor
has accepted is the tutor's word and shows; its computed sentence and notes never do.
Not looked at: the engine is not asked; the statement is the tutor's ear.
Of prompt (`Prompt.checked`) and kind (`AssignmentVersion.kinds`) the more cautious wish counts.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from analysis.engine.claims import Answer, speech
from analysis.engine.sentences import register
from courses.models import AssignmentVersion, Prompt
from submissions.models import Check, Observation, ObservationVersion

#: Cause of an answer that was not looked for.
LEFT_ALONE = "left-alone"
register({"claim.answer.left-alone": "Not compared, by the tutor\u2019s wish: the tutor reads it."})

#: From all to nothing.
CAUTION = (Prompt.Checked.FACTS, Prompt.Checked.FLAG_ONLY, Prompt.Checked.LEFT_ALONE)


def more_cautious(*wishes: str) -> str:
    return str(max(wishes, key=CAUTION.index))


def kind_wish(kinds: Mapping[str, str], kind: str) -> str:
    """What an assignment says about a kind; a kind it does not name is compared."""
    wish = kinds.get(kind)
    return wish if wish in CAUTION else Prompt.Checked.FACTS


def wish_in(
    version: AssignmentVersion | None,
    statement: ObservationVersion,
    wishes: Mapping[Any, str] | None = None,
) -> str:
    """What a version of the assignment says about the statement's prompt and kind.

    `wishes`: those of the version's prompts by their keys, where they are known already.
    """
    observation = statement.observation
    if version is None:
        return Prompt.Checked.FACTS
    of_kind = kind_wish(version.kinds, statement.kind)
    if observation.prompt_key is None:
        return of_kind  # a free find
    if wishes is None:
        wishes = dict(version.prompts.values_list("key", "checked"))
    return more_cautious(of_kind, wishes.get(observation.prompt_key, Prompt.Checked.FACTS))


def not_compared(observation: Observation) -> Answer:
    """The answer to a statement that nobody but the tutor looks at."""
    says = (speech.say("claim.answer.left-alone"),)
    return Answer(str(observation.public_id), "ear", cause=LEFT_ALONE, says=says)


def hides(wish: str, check: Check) -> bool:
    """Whether this check's sentence and notes are kept from the student for good."""
    if check.cause == LEFT_ALONE:
        return False
    if check.shown_at is not None:  # what was once shown stays
        return check.kept_back
    return check.kept_back or wish != Prompt.Checked.FACTS
