"""What pages may know of a job."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from analysis.jobs import registry
from analysis.jobs.models import Job


@dataclass(frozen=True)
class JobState:
    """For the template `analysis/jobs/_progress.html`."""

    public_id: str
    state: str
    percent: int
    doing: str
    problem: str
    ahead: int  # jobs of the same class that came before it
    may_retry: bool

    @property
    def live(self) -> bool:
        return self.state in {Job.State.QUEUED, Job.State.RUNNING}

    @property
    def stopped(self) -> bool:
        return self.state == Job.State.FAILED


def state_of(job: Job, user: Any) -> JobState:
    ahead = 0
    if job.state == Job.State.QUEUED:
        ahead = Job.objects.filter(
            state=Job.State.QUEUED, klass=job.klass, tutor=job.tutor_id, id__lt=job.pk
        ).count()
    return JobState(
        public_id=str(job.public_id),
        state=job.state,
        percent=job.progress,
        doing=job.doing,
        problem=job.problem,
        ahead=ahead,
        may_retry=job.state == Job.State.FAILED and registry.get(job.kind).retried_by(user, job),
    )


def job_of(key: str) -> Job | None:
    """The job with this key, if it was ever put down."""
    return Job.objects.filter(key=key).first()
