"""Which function does which kind of job. Filled in AppConfig.ready of the app that owns it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.utils.module_loading import import_string

from analysis.jobs.models import Job

Handler = Callable[[Job], None]
Policy = Callable[[Any, Job], bool]


class UnknownKind(LookupError):
    pass


def only_the_tutor(user: Any, job: Job) -> bool:
    return bool(job.tutor_id is not None and job.tutor_id == user.pk)


@dataclass(frozen=True)
class Kind:
    name: str
    function: Handler | str  # a dotted name is imported by the worker, not by the web process
    time_limit: float  # seconds of one attempt
    on_failed: Handler | str | None  # same transaction as the job's end; may only write rows
    may_see: Policy | str
    may_retry: Policy | str

    def run(self, job: Job) -> None:
        _resolve(self.function)(job)

    def failed(self, job: Job) -> None:
        if self.on_failed:
            _resolve(self.on_failed)(job)

    def seen_by(self, user: Any, job: Job) -> bool:
        return bool(_resolve(self.may_see)(user, job))

    def retried_by(self, user: Any, job: Job) -> bool:
        return bool(_resolve(self.may_retry)(user, job))


_KINDS: dict[str, Kind] = {}


def _resolve(function: Any) -> Callable[..., Any]:
    found: Callable[..., Any] = import_string(function) if isinstance(function, str) else function
    return found


def register(
    kind: str,
    function: Handler | str,
    *,
    time_limit: float = 600,
    on_failed: Handler | str | None = None,
    may_see: Policy | str = only_the_tutor,
    may_retry: Policy | str = only_the_tutor,
) -> None:
    """Name the function that does a kind of job. It must be safe to run again.

    `on_failed` is told when the last attempt is over; `may_see` and `may_retry`
    decide who gets the progress fragment and the retry button.
    """
    known = _KINDS.get(kind)
    new = Kind(kind, function, time_limit, on_failed, may_see, may_retry)
    if known is not None and known != new:
        raise ValueError(f"The job kind {kind!r} is registered twice.")
    _KINDS[kind] = new


def unregister(kind: str) -> None:
    """For tests."""
    _KINDS.pop(kind, None)


def get(kind: str) -> Kind:
    try:
        return _KINDS[kind]
    except KeyError:
        raise UnknownKind(kind) from None


def kinds() -> list[str]:
    return sorted(_KINDS)
