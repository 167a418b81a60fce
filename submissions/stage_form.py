"""The stages of an assignment on the tutor's form: read out of it, and shown in it."""

from __future__ import annotations

from typing import Any

from django.http import QueryDict
from django.utils.translation import gettext as _

from courses import drafts
from courses.models import Prompt
from courses.stages import LAYERS, TO_DO, Kind, new_stage

Draft = dict[str, Any]

#: Whose page may be read with layers on the notes; whose sound may wait; who follows a line.
WITH_LAYERS = frozenset({Kind.CLOSE_READING, Kind.SECOND_LOOK})
FIRST_BARS = 8  # of the movement: what a survey's prompt is about until the tutor says more


def read_stages(post: QueryDict, draft: Draft, outline: dict[str, Any] | None) -> None:
    """Put the stages of the form into the draft, in the order of their places."""
    if post.get("usual-stages"):
        _usual(draft, outline)
        return
    placed = []
    for n, kind in enumerate(Kind):
        place = str(post.get(f"stage-{kind}-place", ""))
        if not place.isdecimal():
            continue
        stage = new_stage(
            kind.value,
            text=str(post.get(f"stage-{kind}-text", "")).strip(),
            sound_locked=kind == Kind.SURVEY and bool(post.get(f"stage-{kind}-sound")),
            table=kind == Kind.SURVEY and bool(post.get(f"stage-{kind}-table")),
            line=str(post.get(f"stage-{kind}-line", "")) if kind == Kind.FIRST_HEARING else "",
            layers=[
                name
                for name in post.getlist(f"stage-{kind}-layers")
                if name in LAYERS and kind in WITH_LAYERS
            ],
        )
        placed.append((int(place), n, stage))
    draft["stages"] = [stage for _place, _n, stage in sorted(placed, key=lambda row: row[:2])]


def _usual(draft: Draft, outline: dict[str, Any] | None) -> None:
    """All four in the order in which reading is taught, and a prompt for the first of them."""
    draft["stages"] = [
        new_stage(kind.value, sound_locked=kind == Kind.SURVEY, table=kind == Kind.SURVEY)
        for kind in Kind
    ]
    if any(prompt.get("stage") == Kind.SURVEY for prompt in draft["prompts"]):
        return
    prompt = drafts.new_prompt(
        title=_("Before any note"), stage=Kind.SURVEY.value, kinds=["layout"]
    )
    if outline:
        start = outline["movements"][0]
        last = min(start["last"], start["first"] + FIRST_BARS - 1)
        prompt.update(movement=start["index"], first_bar=start["first"], last_bar=last)
    draft["prompts"].insert(0, prompt)


def prompt_fields(key: str, post: QueryDict) -> dict[str, Any]:
    """The fields of one prompt that have to do with stages and with asking twice."""
    stage = str(post.get(f"{key}-stage", ""))
    asking = str(post.get(f"{key}-asking", Prompt.Asking.ONCE))
    return {
        "stage": stage if stage in Kind.values else "",
        "asking": asking if asking in Prompt.Asking.values else Prompt.Asking.ONCE.value,
        "again_text": str(post.get(f"{key}-again_text", "")),
    }


def for_page(draft: Draft, outline: dict[str, Any] | None) -> dict[str, Any]:
    """What the form shows: a row for each kind, those in use first."""
    used = {stage["kind"]: stage for stage in draft["stages"]}
    kinds = [Kind(k) for k in used if k in Kind.values]
    kinds += [kind for kind in Kind if kind not in used]
    places = {kind: n for n, kind in enumerate(used, 1)}
    return {
        "stage_rows": [
            {
                "kind": kind.value,
                "label": kind.label,
                "to_do": TO_DO[kind],
                "place": places.get(kind),
                "stage": used.get(kind, new_stage(kind.value)),
                "with_sound": kind == Kind.SURVEY,
                "with_line": kind == Kind.FIRST_HEARING,
                "with_layers": kind in WITH_LAYERS,
            }
            for kind in kinds
        ],
        "stages_used": [(kind.value, kind.label) for kind in kinds if kind in used],
        "stage_places": range(1, len(Kind) + 1),
        "layers": LAYERS.items(),
        "lines": outline["parts"] if outline else [],
        "askings": Prompt.Asking.choices,
    }
