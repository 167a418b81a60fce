"""The course the load is put on: one score, one assignment, a paper for each student."""

from __future__ import annotations

from datetime import date

from courses.models import (
    Assignment,
    AssignmentVersion,
    Course,
    Enrolment,
    Rights,
    Score,
    ScoreVersion,
    User,
    Work,
)
from submissions.models import Paper


def course_with(students: int) -> list[int]:
    """Student ids; each has a paper that may be written on."""
    tutor = User.objects.create_user(username="tutor", is_tutor=True)
    work = Work.objects.create(tutor=tutor, title="A work")
    score = Score.objects.create(work=work, tutor=tutor, title="A movement")
    Rights.objects.create(
        score=score,
        source="made for this test",
        basis=Rights.Basis.OWN,
        country="-",
        assessed_by="tutor",
        assessed_on=date(2026, 1, 1),
        entitled=True,
    )
    version = ScoreVersion.objects.create(
        score=score,
        filename="a.musicxml",
        size=1,
        sha256="0" * 64,
        state=ScoreVersion.State.READY,
        uploaded_by=tutor,
    )
    course = Course.objects.create(tutor=tutor, title="A course", form=Course.Form.OPEN)
    course.scores.add(score)
    assignment = Assignment.objects.create(course=course, title="An assignment")
    published = AssignmentVersion.objects.create(
        assignment=assignment,
        number=1,
        title="An assignment",
        score_version=version,
        published_by=tutor,
    )
    assignment.current, assignment.state = published, Assignment.State.PUBLISHED
    assignment.save()
    return [_paper_of(f"student{n}", course, assignment) for n in range(students)]


def _paper_of(name: str, course: Course, assignment: Assignment) -> int:
    student = User.objects.create_user(username=name)
    Enrolment.objects.create(course=course, user=student, state=Enrolment.State.ACTIVE)
    Paper.objects.create(assignment=assignment, student=student)
    shelf = Work.objects.get()
    Score.objects.create(work=shelf, tutor=shelf.tutor, title=f"Movement of {student.pk}")
    return int(student.pk)
