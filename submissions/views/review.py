"""Review: one statement a screen, keys shown. Accept, overrule, reply."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from analysis.models import CanonicalCopy
from courses.access import SignedRequest, tutor_required, with_sound
from courses.models import Assignment, Prompt
from submissions.access import own_assignment, taught_statement
from submissions.changes import change_of, why_stale
from submissions.constant import constant_of
from submissions.feedback import evidence_of, tutor_words
from submissions.kinds import kind_of
from submissions.models import Check, Flag, Observation, ObservationVersion, Paper, Ruling
from submissions.places import place_label
from submissions.said import said_fields
from submissions.services.rulings import current_check, leave_as_shown, rule, sight_of
from submissions.stock import stock_sentences
from submissions.wishes import wish_in


def _queue(assignment: Assignment) -> list[Observation]:
    """Statements in the order of the prompts, then of the passages: like beside like."""
    version = assignment.current
    order: dict[UUID | None, int] = (
        {p.key: p.order for p in version.prompts.all()} if version else {}
    )
    found = Observation.objects.filter(
        paper__assignment=assignment, state=Observation.State.HANDED_IN
    ).select_related("student", "paper")
    return sorted(found, key=lambda o: (order.get(o.prompt_key, 99), o.pk))


@with_sound
@require_GET
@tutor_required
def review(request: SignedRequest, assignment_id: str) -> HttpResponse:
    assignment = own_assignment(request.user, assignment_id)
    return _page(request, assignment, request.GET.get("statement"))


def _page(
    request: SignedRequest,
    assignment: Assignment,
    wanted: str | None,
    refused: ValidationError | None = None,
) -> HttpResponse:
    """One statement; after a refused ruling with what was typed and why."""
    queue = _queue(assignment)
    ruled = set(
        Ruling.objects.filter(current=True, observation_version__observation__in=queue).values_list(
            "observation_version__observation", "observation_version__number"
        )
    )
    open_ones = [o for o in queue if (o.pk, o.number) not in ruled]
    chosen = next((o for o in queue if str(o.public_id) == wanted), None)
    chosen = chosen or (open_ones[0] if open_ones else None)
    page: dict[str, Any] = {
        "assignment": assignment,
        "left": len(open_ones),
        "total": len(queue),
        "to_give": assignment.papers.filter(state=Paper.State.RULED).exists(),
        "here": "courses",
    }
    if refused:
        page.update(typed=request.POST, problems=refused.messages)
    if chosen:
        at = queue.index(chosen)
        page.update(
            previous=queue[at - 1] if at else None,
            following=queue[at + 1] if at + 1 < len(queue) else None,
            number=at + 1,
            **statement_page(taught_statement(request.user, chosen.public_id)),
        )
    return render(request, "submissions/review.html", page, status=422 if refused else 200)


def statement_page(statement: ObservationVersion) -> dict[str, Any]:
    """A statement with all that its ruling needs."""
    check = current_check(statement)
    copy = CanonicalCopy.objects.filter(version=statement.version).first()
    outline = copy.outline if copy else {"bars": [], "parts": []}
    prompt = None
    version = statement.observation.paper.assignment.current
    if version and statement.observation.prompt_key:
        prompt = version.prompts.filter(key=statement.observation.prompt_key).first()
    claim = statement.claim
    change = change_of(statement)
    proposal = change.new if change and change.settled else None
    return {
        "statement": statement,
        "observation": statement.observation,
        "student": statement.observation.student,
        "prompt": prompt,
        "kind": kind_of(statement.kind),
        "bars": place_label(statement, outline),
        "said": said_fields(statement, outline),
        "outline": outline,
        "score": statement.version.score if statement.version else None,
        "version": statement.version,
        "check": check,
        "for_you_alone": wish_in(version, statement) == Prompt.Checked.FLAG_ONLY,
        "words": tutor_words(check) if check else {},
        "answer": check.answer if check else {},
        "evidence": evidence_of(check) if check else [],
        "excerpt_parts": excerpt_parts(claim, check),
        "change": change,
        "proposal": proposal,
        "proposed": tutor_words(proposal) if proposal else {},
        "stale": why_stale(statement.observation.paper.assignment, statement) if check else [],
        "ruling": statement.rulings.filter(current=True).first(),
        "rulings_before": statement.rulings.filter(current=False).count(),
        "seen": sight_of(statement),
        "flags": Flag.choices,
        "levels": [c for c in Ruling.Level.choices if c[0]],
        "stock": stock_sentences(statement, check, outline),
        "constant": constant_of(statement.observation.paper),
    }


def excerpt_parts(claim: dict[str, Any], check: Check | None) -> list[str]:
    """Parts worth showing: those named and those of the evidence."""
    named = [*claim.get("parts", []), *claim.get("with", [])]
    named += [claim[k] for k in ("upper", "lower", "from", "to", "side") if k in claim]
    named += [entry["part"] for entry in claim.get("entries", [])]
    named += [part for step in claim.get("steps", []) for part in step.get("with", [])]
    return list(dict.fromkeys(p["part"] for p in named if isinstance(p, dict)))


@require_POST
@tutor_required
def rule_on(request: SignedRequest, statement_id: str) -> HttpResponse:
    """One act: accept the flag or set another, with a reply if there is one."""
    statement = taught_statement(request.user, statement_id)
    assignment = statement.observation.paper.assignment
    queue = _queue(assignment)
    try:
        if left := request.POST.get("leave"):
            leave_as_shown(statement=statement, by=request.user, left=left)
            return redirect(f"{reverse('review', args=[assignment.public_id])}"
                            f"?statement={statement.observation.public_id}")  # fmt: skip
        rule(
            statement=statement,
            by=request.user,
            flag=request.POST.get("flag") or None,
            level=request.POST.get("level", ""),
            reply=request.POST.get("reply", ""),
            reason=request.POST.get("reason", ""),
            seen=request.POST.get("seen"),
            take=request.POST.get("take") or None,
        )
    except ValidationError as error:
        return _page(request, assignment, str(statement.observation.public_id), error)
    at = _next_open(queue, statement.observation)
    where = f"?statement={at.public_id}" if at else ""
    return redirect(reverse("review", args=[assignment.public_id]) + where)


def _next_open(queue: list[Observation], done: Observation) -> Observation | None:
    ruled = set(
        Ruling.objects.filter(current=True, observation_version__observation__in=queue).values_list(
            "observation_version__observation", "observation_version__number"
        )
    )
    at = next((i for i, o in enumerate(queue) if o.pk == done.pk), -1)
    rest = queue[at + 1 :] + queue[: max(at, 0)]
    return next((o for o in rest if (o.pk, o.number) not in ruled), None)
