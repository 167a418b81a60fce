"""The assignment's draft as the tutor's form sees it: printed bars to indices and back."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext as _

from analysis.models import CanonicalCopy
from courses import drafts
from courses.bars import movement_of, parse_bars, typed
from courses.ids import as_id
from courses.models import Assignment, Prompt, ScoreVersion
from submissions.kinds import KINDS
from submissions.stage_form import prompt_fields, read_stages
from submissions.strictness import read_strictness


def outline_for(draft: dict[str, Any]) -> dict[str, Any] | None:
    copy = CanonicalCopy.objects.filter(
        version__public_id=as_id(draft.get("score_version"))
    ).first()
    return copy.outline if copy else None


def with_bars(draft: dict[str, Any]) -> list[dict[str, Any]]:
    """The prompts with their bars as one types them."""
    outline = outline_for(draft)
    rows = []
    for prompt in draft.get("prompts", []):
        bars = prompt.get("typed_bars", "")
        if outline and prompt["first_bar"] is not None:
            bars = typed(prompt["first_bar"], prompt["last_bar"], outline)
        rows.append({**prompt, "bars": bars})
    return rows


def read_draft(post: QueryDict, assignment: Assignment) -> tuple[dict[str, Any], list[str]]:
    """The draft out of the form, and sentences about what could not be read.

    Nothing typed is lost: bars that are not in the score stay as typed.
    """
    draft = {**drafts.empty_draft(), **assignment.draft}
    said: list[str] = []
    draft["text"] = post.get("text", "")
    draft["score_version"] = post.get("score_version") or None
    for name in ("opens_wall", "closes_wall"):
        draft[name] = post.get(name, "").replace("T", " ")
    draft["zone"] = post.get("zone") or draft["zone"]
    draft["free_finds_max"] = _number(post.get("free_finds_max"), 5)
    said += read_strictness(post, draft)
    outline = outline_for(draft)
    draft["prompts"] = []
    for key in post.getlist("prompt"):
        if post.get(f"{key}-remove"):
            continue
        prompt, problem = _prompt(key, post, outline)
        draft["prompts"].append(prompt)
        if problem:
            said.append(_("Prompt {n}: {problem}").format(n=len(draft["prompts"]), problem=problem))
    if post.get("add"):
        draft["prompts"].append(drafts.new_prompt())
    read_stages(post, draft, outline)
    return draft, said


def _prompt(
    key: str, post: QueryDict, outline: dict[str, Any] | None
) -> tuple[dict[str, Any], str]:
    def field(name: str, default: str = "") -> str:
        return str(post.get(f"{key}-{name}", default))

    checked = field("checked", Prompt.Checked.FACTS)
    prompt = drafts.new_prompt(
        key=key,
        title=field("title")[:150],
        text=field("text"),
        kinds=[k for k in post.getlist(f"{key}-kinds") if k in KINDS],
        checked=checked if checked in Prompt.Checked.values else Prompt.Checked.FACTS,
        wanted_min=_number(field("wanted_min"), 1),
        wanted_max=_number(field("wanted_max"), 3),
        shown_when_ruled=bool(field("shown_when_ruled")),
        model_answer=field("model_answer"),
        **prompt_fields(key, post),
    )
    bars = field("bars").strip()
    if not bars:
        return prompt, ""
    if outline is None:
        return {**prompt, "typed_bars": bars}, _("choose the score first, then its bars.")
    try:
        first, last = parse_bars(bars, outline)
    except ValidationError as error:
        return {**prompt, "typed_bars": bars}, " ".join(error.messages)
    prompt.update(first_bar=first, last_bar=last, movement=movement_of(first, outline))
    return prompt, ""


def _number(text: str | None, default: int) -> int:
    try:
        return min(20, max(0, int(text or default)))
    except ValueError:
        return default


def score_choices(assignment: Assignment) -> list[ScoreVersion]:
    """Files of the library that are ready: the newest of each score, and the draft's own."""
    chosen = str(assignment.draft.get("score_version"))
    found = (
        ScoreVersion.objects.filter(
            score__tutor=assignment.course.tutor,
            score__taken_down_at=None,
            state=ScoreVersion.State.READY,
        )
        .select_related("score__work")
        .order_by("score__work__title", "score__order", "-number")
    )
    newest: dict[int, ScoreVersion] = {}
    for version in found:
        newest.setdefault(version.score_id, version)
    return [v for v in found if v in newest.values() or str(v.public_id) == chosen]
