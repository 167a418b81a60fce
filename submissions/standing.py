"""What a check depends on, as it stands now: equal standings, equal answers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from analysis.engine import claims
from analysis.models import Run
from analysis.selectors import current_run, overrule_marks, overrules_in_force, revision_of
from analysis.services.runs import settings_hash
from courses.models import Assignment, AssignmentVersion, Enrolment, Prompt
from submissions.models import Check, ObservationVersion
from submissions.services.editions import enrolment_of
from submissions.wishes import wish_in

#: Keys of `asked` that are no threshold of the engine.
EDITION, WISH = "edition", "wish"


@dataclass(frozen=True)
class Standing:
    """Reading, the tutor's word on it, and what is asked of it."""

    run: Run | None = None
    overrules: tuple[str, ...] | None = None  # marks; None: no reading is looked at
    #: thresholds that differ, bars the student's edition counts more, how far it is compared
    asked: dict[str, Any] = field(default_factory=dict)

    @property
    def wish(self) -> str:
        return str(self.asked.get(WISH, Prompt.Checked.FACTS))

    @property
    def offset(self) -> int:
        return int(self.asked.get(EDITION, 0))

    @property
    def tolerances(self) -> dict[str, Any]:
        return {k: v for k, v in self.asked.items() if k not in (EDITION, WISH)}

    @property
    def key(self) -> dict[str, Any]:
        """The fields of a check that make it the one of this standing."""
        return {
            "run": self.run,
            "checker_version": claims.CHECKER_VERSION,
            "settings_hash": settings_hash(self.asked),
            "overrule_revision": "" if self.overrules is None else revision_of(self.overrules),
        }

    def made(self, check: Check) -> bool:
        """Whether the check was made of just this; if not, it is stale."""
        ours = self.key
        run = ours.pop("run")
        return check.run_id == (run.pk if run else None) and all(
            getattr(check, name) == value for name, value in ours.items()
        )


def standing_of(statement: ObservationVersion) -> Standing:
    """Asked of the database each time: nothing the statement has loaded is trusted."""
    version = current_assignment(statement)
    run, words = None, None
    if wish_in(version, statement) != Prompt.Checked.LEFT_ALONE and statement.version:
        run = current_run(statement.version)
        words = tuple(overrule_marks(overrules_in_force(statement.version)))
    return _standing(version, statement, run, words, _offset(statement))


def _standing(
    version: AssignmentVersion | None,
    statement: ObservationVersion,
    run: Run | None,
    words: tuple[str, ...] | None,
    offset: int,
    wishes: dict[Any, str] | None = None,
) -> Standing:
    wish = wish_in(version, statement, wishes)
    if wish == Prompt.Checked.LEFT_ALONE:
        return Standing(asked={WISH: wish})  # nothing is looked at
    asked: dict[str, Any] = dict(version.settings) if version else {}
    if wish != Prompt.Checked.FACTS:
        asked[WISH] = wish
    if offset:
        asked[EDITION] = offset
    return Standing(run, words, asked)


def standings_of(
    assignment: Assignment, statements: Sequence[ObservationVersion]
) -> dict[int, Standing]:
    """The same for many statements of one assignment, by their ids, in few questions."""
    version = assignment.current
    wishes = dict(version.prompts.values_list("key", "checked")) if version else {}
    files = {s.version_id: s.version for s in statements if s.version}
    runs = {
        run.copy.version_id: run
        for run in Run.objects.filter(
            copy__version__in=files, current=True, state=Run.State.READY
        ).select_related("copy")
    }
    words = {pk: tuple(overrule_marks(overrules_in_force(file))) for pk, file in files.items()}
    offsets = dict(
        Enrolment.objects.active()
        .students()
        .filter(course=assignment.course_id)
        .values_list("user", "bar_offset")
    )
    return {
        s.pk: _standing(
            version,
            s,
            runs.get(s.version_id or 0),
            words.get(s.version_id or 0),
            offsets.get(s.observation.student_id, 0),
            wishes,
        )
        for s in statements
    }


def current_assignment(statement: ObservationVersion) -> AssignmentVersion | None:
    """The assignment of the statement as published now."""
    paper = statement.observation.paper
    current = Assignment.objects.filter(pk=paper.assignment_id).values("current")
    return AssignmentVersion.objects.filter(pk__in=current).first()


def _offset(statement: ObservationVersion) -> int:
    """How many bars more the student's own copy counts."""
    paper = statement.observation.paper
    enrolment = enrolment_of(paper.student, paper.assignment.course)
    return enrolment.bar_offset if enrolment else 0
