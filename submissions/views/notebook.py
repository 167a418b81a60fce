"""The notebook's pages: one's own alone, whatever became of the course."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from analysis.selectors import readable_versions
from courses.access import SignedRequest
from courses.ids import as_id
from courses.models import ScoreVersion
from submissions import notebook, notebook_export
from submissions.models import NotebookEntry
from submissions.services.notebook import change_entry, place_in, write_entry

ON_A_PAGE = 40
LISTS = ("all", "notes", "habits", "finds", "statements")


@require_http_methods(["GET", "POST"])
@login_required
def notebook_page(request: SignedRequest) -> HttpResponse:
    """Everything, or what was looked for; POST writes an entry."""
    if request.method == "POST":
        return _write(request)
    query = request.GET.get("q", "").strip()[:200]
    shown = request.GET.get("list", "all")
    shown = shown if shown in LISTS else "all"
    about = NotebookEntry.About
    found: dict[str, QuerySet[Any]] = {
        "notes": notebook.entries_of(request.user, query, about.NOTE),
        "habits": notebook.entries_of(request.user, query, about.HABIT).order_by("composer", "-id"),
        "finds": notebook.finds_of(request.user, query),
        "statements": notebook.statements_of(request.user, query),
    }
    page: dict[str, Any] = {
        "q": query,
        "list": shown,
        "lists": [(name, LABELS[name](), found[name].count()) for name in LISTS[1:]],
        "draft": _draft(request),
        "abouts": about.choices,
        "here": "notebook",
    }
    for name, rows in found.items():
        page[name] = _page(request, rows, whole=shown == name) if shown in {"all", name} else None
    if page["statements"]:
        statements = list(page["statements"].object_list)
        outlines = notebook.outlines_of(statements)
        page["statement_rows"] = [notebook.statement_row(s, outlines) for s in statements]
    if page["finds"]:
        finds = list(page["finds"].object_list)
        outlines = notebook.outlines_of(finds)
        page["find_rows"] = [notebook.find_row(f, outlines) for f in finds]
    page["any"] = any(count for _name, _label, count in page["lists"])
    return render(request, "submissions/notebook.html", page)


LABELS = {
    "notes": lambda: _("Notes"),
    "habits": lambda: _("Things composers do"),
    "finds": lambda: _("My finds"),
    "statements": lambda: _("My statements"),
}


def _page(request: SignedRequest, rows: QuerySet[Any], *, whole: bool) -> Page[Any]:
    """The first few beside other lists; alone, leaf by leaf."""
    pages = Paginator(rows, ON_A_PAGE if whole else 10)
    return pages.get_page(request.GET.get("page") if whole else 1)


def _draft(request: SignedRequest) -> dict[str, str]:
    """What stands in the empty form: a statement of one's own, if one is to be made a note of."""
    draft = {"text": "", "composer": "", "bars": "", "file": "", "score": "", "about": "note"}
    named = request.GET.get("from")
    if not named:
        return draft
    own = notebook.statements_of(request.user)
    statement = get_object_or_404(own, observation__public_id=as_id(named))
    row = notebook.statement_row(statement, notebook.outlines_of([statement]))
    text = ". ".join(part for part in (row["said"], row["words"]) if part)
    draft.update(text=text, composer=row["composer"], bars=row["bars"], about="habit",
                 score=row["score"])  # fmt: skip
    if statement.version:
        draft["file"] = str(statement.version.public_id)
    return draft


def _version(request: SignedRequest) -> ScoreVersion | None:
    """The file named in the form, if it may be read or an own statement is about it."""
    named = as_id(request.POST.get("file"))
    found = readable_versions(request.user).filter(public_id=named).select_related("score__work")
    own = ScoreVersion.objects.filter(
        public_id=named,
        pk__in=notebook.statements_of(request.user).order_by().values("version"),
    ).select_related("score__work")
    return found.first() or own.first()


def _typed(request: SignedRequest) -> dict[str, str]:
    names = ("text", "about", "composer", "bars", "file", "score")
    return {name: request.POST.get(name, "") for name in names}


def _write(request: SignedRequest) -> HttpResponse:
    typed, beside = _typed(request), "HX-Request" in request.headers
    version = _version(request)
    try:
        entry = write_entry(
            owner=request.user,
            client_key=request.POST.get("client_key", "")[:64] or uuid.uuid4().hex,
            text=typed["text"],
            about=typed["about"],
            composer=typed["composer"] or (version.score.work.composer if version else ""),
            **place_in(version, typed["bars"]),
        )
    except ValidationError as error:
        said = " ".join(error.messages)
        if beside:
            return render(request, "submissions/_noted.html", {"problem": said})
        return _again(request, None, typed, said)
    if beside:
        return render(request, "submissions/_noted.html", {"entry": entry})
    messages.success(request, _("Written in your notebook."))
    return redirect("notebook")


def _again(
    request: SignedRequest, entry: NotebookEntry | None, typed: dict[str, str], problem: str
) -> HttpResponse:
    """The form once more, with all that was typed."""
    page = {
        "entry": entry,
        "draft": typed,
        "problem": problem,
        "client_key": request.POST.get("client_key", ""),
        "abouts": NotebookEntry.About.choices,
        "here": "notebook",
    }
    return render(request, "submissions/notebook_entry.html", page, status=422)


def _own(request: SignedRequest, entry_id: str) -> NotebookEntry:
    own = NotebookEntry.objects.filter(owner=request.user).select_related("version__score__work")
    return get_object_or_404(own, public_id=entry_id)


@require_http_methods(["GET", "POST"])
@login_required
def notebook_entry(request: SignedRequest, entry_id: str) -> HttpResponse:
    entry = _own(request, entry_id)
    if request.method == "GET":
        draft = {"text": entry.text, "about": entry.about, "composer": entry.composer,
                 "bars": entry.bars_label, "score": entry.score_label}  # fmt: skip
        page = {"entry": entry, "draft": draft, "abouts": NotebookEntry.About.choices,
                "here": "notebook"}  # fmt: skip
        return render(request, "submissions/notebook_entry.html", page)
    typed = _typed(request)
    number = request.POST.get("number", "")
    try:
        place = {} if typed["bars"] == entry.bars_label else place_in(entry.version, typed["bars"])
        change_entry(
            entry=entry,
            number=int(number) if number.isdecimal() else 0,
            text=typed["text"],
            about=typed["about"],
            composer=typed["composer"],
            **place,
        )
    except ValidationError as error:
        entry.refresh_from_db()
        return _again(request, entry, typed, " ".join(error.messages))
    messages.success(request, _("Changed."))
    return redirect("notebook")


@require_POST
@login_required
def notebook_delete(request: SignedRequest, entry_id: str) -> HttpResponse:
    _own(request, entry_id).delete()
    messages.success(request, _("Taken out of your notebook."))
    return redirect("notebook")


@require_GET
@login_required
def notebook_file(request: SignedRequest, form: str) -> HttpResponse:
    """The whole notebook as a file: Markdown to read, JSON to go on working with."""
    now = timezone.now()
    makers = {
        "md": (notebook_export.as_markdown, "text/markdown; charset=utf-8"),
        "json": (notebook_export.as_json, "application/json"),
    }
    if form not in makers:
        raise Http404
    make, kind = makers[form]
    answer = HttpResponse(make(request.user, now), content_type=kind)
    answer["Content-Disposition"] = f'attachment; filename="notebook-{now:%Y-%m-%d}.{form}"'
    answer["Cache-Control"] = "private, no-store"
    return answer
