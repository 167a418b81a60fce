"""Stages of an assignment: the order in which a page is read, and how far a student is.

A stage is JSON: {"kind", "text", "sound_locked", "line", "layers", "table"}; each kind stands once
at most, in the tutor's order. No stages: everything is open at once. `line` is a part id:
until that stage is handed in, its student sees that part's staff alone; `ANY_ONE`: one staff
at a time, of the student's choice. `layers` are the
layers on the notes that the tutor allows from this stage on. `table`: what the page shows is
written down in a table, and until it is handed in neither sound nor any word of the site tells it.

What a stage holds back is held back by the views of page and sound (`courses.locks`), not by
the page alone.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _later

from courses.models import AssignmentVersion, Prompt, Step, User

Stage = dict[str, Any]


class Kind(models.TextChoices):
    SURVEY = "survey", _later("survey the page")
    FIRST_HEARING = "first-hearing", _later("first hearing")
    CLOSE_READING = "close-reading", _later("close reading")
    SECOND_LOOK = "second-look", _later("second look")


#: What each stage says to do where the tutor has no words of their own for it.
TO_DO = {
    Kind.SURVEY: _later(
        "Before any note: which instruments, top to bottom? How many players a staff? Which "
        "transpositions, crooks and clefs? Who is missing?"
    ),
    Kind.FIRST_HEARING: _later(
        "Listen once without stopping, your eyes on one line. Then say what you heard."
    ),
    Kind.CLOSE_READING: _later(
        "Now read: from the bass up, from the melody down, family by family. State what you find."
    ),
    Kind.SECOND_LOOK: _later(
        "Read the page once more for what you have not spoken of: the inner parts, the rests, "
        "the one note that is new."
    ),
}

LAYERS = {
    "melody": _later("melody"),
    "doublings": _later("doublings"),
    "roles": _later("roles"),
    "crossings": _later("crossings"),
    "open-tones": _later("open tones"),
    "keys": _later("keys"),
}

ANY_ONE = "*"

#: Prompts that are answered twice: the first answer stays as it was given.
TWICE = frozenset({Prompt.Asking.AGAIN, Prompt.Asking.RECALL})


def new_stage(kind: str, **values: Any) -> Stage:
    stage: Stage = {
        "kind": kind, "text": "", "sound_locked": False, "line": "", "layers": [], "table": False,
    }  # fmt: skip
    stage.update(values)
    return stage


def hindrances(draft: dict[str, Any], outline: dict[str, Any] | None) -> list[str]:
    """What about the stages must be mended before publishing, as sentences."""
    kinds = [stage.get("kind") for stage in draft["stages"]]
    parts = {ANY_ONE, *(part["id"] for part in outline["parts"])} if outline else None
    found = []
    if set(kinds) - set(Kind.values) or len(set(kinds)) < len(kinds):
        found.append(_("Each stage stands once, and is one of those offered."))
    for stage in draft["stages"]:
        if stage["line"] and parts is not None and stage["line"] not in parts:
            found.append(_("The line of the first hearing is no part of this score."))
        if set(stage["layers"]) - set(LAYERS):
            found.append(_("There is no such layer."))
    for number, prompt in enumerate(draft["prompts"], 1):
        if prompt.get("stage") and prompt["stage"] not in kinds:
            said = _("Prompt {n} is asked in a stage that this assignment does not have.")
            found.append(said.format(n=number))
    return found


@dataclass(frozen=True)
class Way:
    """How far one student is in one version of an assignment.

    `done`: stages handed in. `answered`: keys of prompts whose first answer is given.
    `free`: the paper was given back, nothing is held back any more.
    """

    stages: list[Stage]
    prompts: list[Prompt] = field(default_factory=list)
    done: frozenset[str] = frozenset()
    answered: frozenset[str] = frozenset()
    free: bool = False

    @property
    def current(self) -> Stage | None:
        """The stage the student is at; None where there is none, or all are handed in."""
        if self.free:
            return None
        return next((s for s in self.stages if s["kind"] not in self.done), None)

    def reached(self, prompt: Prompt) -> bool:
        """Whether the student may know of this prompt."""
        at = self.current
        return at is None or prompt.stage in {"", at["kind"], *self.done}

    def asked_now(self, prompt: Prompt) -> bool:
        """Whether something may be said to it at the stage the student is at."""
        return self.reached(prompt) and (self.free or prompt.stage not in self.done)

    def round_of(self, prompt: Prompt | None) -> int:
        """1, or 2 once the first answer to it is given."""
        twice = prompt is not None and prompt.asking in TWICE
        return 2 if twice and prompt and str(prompt.key) in self.answered else 1

    def fixed(self, prompt: Prompt | None, round_number: int) -> bool:
        """Whether what was said to it stays as it is."""
        if prompt is None:
            return False
        return not self.asked_now(prompt) or round_number < self.round_of(prompt)

    @property
    def recalling(self) -> Prompt | None:
        """The prompt that is to be answered from memory now: until then the page is closed."""
        if self.free:
            return None
        at = self.current
        here = {"", at["kind"] if at else ""}
        return next(
            (
                prompt
                for prompt in self.prompts
                if prompt.asking == Prompt.Asking.RECALL
                and prompt.stage in here
                and str(prompt.key) not in self.answered
            ),
            None,
        )

    @property
    def sound_locked(self) -> bool:
        """Sound waits for every stage that locks it, not only for the one at hand."""
        return self.surveying or (
            not self.free
            and any(s["sound_locked"] and s["kind"] not in self.done for s in self.stages)
        )

    @property
    def surveying(self) -> bool:
        """Whether a table of the page is still to be handed in: nothing may tell its answers."""
        return not self.free and any(
            s.get("table") and s["kind"] not in self.done for s in self.stages
        )

    @property
    def line(self) -> str:
        """The one part that may be seen now, or `ANY_ONE`; "" = all."""
        at = self.current
        return str(at["line"]) if at else ""

    @property
    def layers(self) -> frozenset[str]:
        """Layers that the tutor allows at the stage the student is at; none without stages."""
        at = self.current
        reached = [s for s in self.stages if s["kind"] in self.done or s is at or at is None]
        return frozenset(layer for stage in reached for layer in stage["layers"])


def ways_of(versions: Iterable[AssignmentVersion], user: User) -> dict[int, Way]:
    """By version id, with two questions to the database however many there are."""
    wanted = list(versions)
    prompts: dict[int, list[Prompt]] = defaultdict(list)
    for prompt in Prompt.objects.filter(assignment_version__in=wanted).order_by("order"):
        prompts[prompt.assignment_version_id].append(prompt)
    steps: dict[int, list[Step]] = defaultdict(list)
    for step in Step.objects.filter(assignment__in={v.assignment_id for v in wanted}, student=user):
        steps[step.assignment_id].append(step)
    return {v.pk: _way(v, prompts[v.pk], steps[v.assignment_id]) for v in wanted}


def way_of(version: AssignmentVersion, user: User) -> Way:
    return ways_of([version], user)[version.pk]


def _way(version: AssignmentVersion, prompts: list[Prompt], steps: list[Step]) -> Way:
    return Way(
        stages=version.stages,
        prompts=prompts,
        done=frozenset(s.stage for s in steps if s.stage and s.stage != Step.EVERYTHING),
        answered=frozenset(str(s.prompt_key) for s in steps if s.prompt_key),
        free=any(s.stage == Step.EVERYTHING for s in steps),
    )
