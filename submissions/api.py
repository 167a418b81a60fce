"""JSON endpoints of a student's paper: statements saved, taken back, handed in."""

from __future__ import annotations

import re
from collections.abc import Container
from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers, status
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from analysis.selectors import current_run
from courses.bars import movement_of
from courses.locks import locks_on
from courses.models import User
from courses.stages import Way
from courses.templatetags.trade import in_bars
from submissions.access import own_paper
from submissions.models import Observation, ObservationVersion, Paper
from submissions.places import place_label
from submissions.proposals import proposal_of
from submissions.said import in_a_line
from submissions.services import observations, papers
from submissions.services.stages import CLOSED, is_fixed, way_on
from submissions.typed import as_typed, read_typed

NOT_READ_NOW = (
    "The score is being read again; what you typed is kept in this window. Try again in a minute."
)
NO_SUCH_FIELD = "A statement has no such field."
MOST_FIELDS = 30
_FIELD_NAME = re.compile(r"[a-z][a-z0-9_]{0,30}")
_KEY = r"[0-9A-Za-z_.:-]{1,64}"
BAD_KEY = "A statement's key has 1 to 64 letters, figures, dots, colons, hyphens."


class Refusal(serializers.Serializer[Any]):
    """Why not, in a sentence."""

    detail = serializers.CharField()


class Asked(Refusal):
    """Why not; `asked` where the same, sent as sure, would be taken."""

    asked = serializers.BooleanField()


class Said(serializers.DictField):
    """Names of form fields and what was typed into them."""

    child = serializers.CharField(max_length=400, allow_blank=True, trim_whitespace=False)

    def to_internal_value(self, data: Any) -> Any:
        """Names are looked at first: a refusal repeats them."""
        if isinstance(data, dict) and not (
            len(data) <= MOST_FIELDS and all(_FIELD_NAME.fullmatch(str(name)) for name in data)
        ):
            raise serializers.ValidationError(NO_SUCH_FIELD)
        return super().to_internal_value(data)


class TypedStatement(serializers.Serializer[Any]):
    """A statement as it stands in the form."""

    kind = serializers.CharField(max_length=20)
    prompt = serializers.UUIDField(required=False, allow_null=True)
    says = Said(required=False, help_text="The fields of the kind's form.")
    bars = serializers.CharField(max_length=60, allow_blank=True, required=False, default="")
    words = serializers.CharField(max_length=4000, allow_blank=True, required=False, default="")
    sense = serializers.ChoiceField(ObservationVersion.Sense.choices, required=False)
    doubt = serializers.CharField(max_length=300, allow_blank=True, required=False, default="")

    def to_internal_value(self, data: Any) -> Any:
        """A field nobody knows is refused, not dropped without a word."""
        if isinstance(data, dict) and set(data) - set(self.fields):
            raise serializers.ValidationError({"non_field_errors": [NO_SUCH_FIELD]})
        return super().to_internal_value(data)


class StatementState(serializers.Serializer[Any]):
    """What the server keeps of a statement."""

    id = serializers.UUIDField()
    client_key = serializers.CharField()
    number = serializers.IntegerField(help_text="Send it back as If-Match.")
    state = serializers.CharField()
    prompt = serializers.UUIDField(allow_null=True)
    bars_label = serializers.CharField()
    first_bar = serializers.IntegerField(allow_null=True)
    last_bar = serializers.IntegerField(allow_null=True)
    typed = serializers.DictField()
    said = serializers.CharField(help_text="What the kind's form says, in words.")
    problems = serializers.DictField(help_text="Field -> sentences; empty = can be handed in.")
    notice = serializers.CharField(
        help_text="How a place in words was taken; kept, but more than its prompt takes: sentences."
    )
    round = serializers.IntegerField(help_text="2: said after a second look.")
    fixed = serializers.BooleanField(help_text="It stays as it is: its stage is handed in.")


class StaleStatement(Refusal):
    theirs = StatementState()


#: What every endpoint may answer.
STRANGERS: dict[int, Any] = {403: Refusal, 404: Refusal}
KEY = OpenApiParameter("client_key", str, OpenApiParameter.PATH, pattern=f"^{_KEY}$")
BAD_FIELDS = OpenApiResponse(OpenApiTypes.OBJECT, "Sentences, by field.")


def state_of(
    observation: Observation,
    version: ObservationVersion,
    outline: dict[str, Any],
    problems: dict[str, list[str]] | None = None,
    way: Way | None = None,
    notice: str = "",
) -> dict[str, Any]:
    return {
        "id": str(observation.public_id),
        "client_key": observation.client_key,
        "number": observation.number,
        "state": observation.state,
        "prompt": str(observation.prompt_key) if observation.prompt_key else None,
        "bars_label": place_label(version, outline),
        "first_bar": version.first_bar,
        "last_bar": version.last_bar,
        "typed": as_typed(version, outline),
        "said": in_a_line(version, outline),
        "problems": problems or {},
        "notice": notice,
        "round": observation.round,
        "fixed": is_fixed(way, observation) if way else False,
    }


def person(request: Request) -> User:
    """Who asks; `IsAuthenticated` has seen to it that it is somebody."""
    assert isinstance(request.user, User)
    return request.user


def _sentence(error: ValidationError) -> str:
    return " ".join(error.messages)


def _made_from(request: Request) -> int | None:
    """The version a change was made from; 0 for what is called new, None where nothing is said."""
    match = request.headers.get("If-Match", "").strip('"')
    if match.isascii() and match.isdecimal():
        return int(match)
    return 0 if request.headers.get("If-None-Match", "").strip() == "*" else None


def _page_closed(paper: Paper) -> bool:
    """Whether this or another assignment asks from memory now: what names the parts waits."""
    version = paper.assignment.current
    if version is None:
        return False
    return locks_on(paper.student, version.score_version.score, timezone.now()).page


class StatementView(APIView):
    """One statement of one's own paper, by the key the browser made for it."""

    permission_classes = [IsAuthenticated]

    @extend_schema(
        request=TypedStatement,
        parameters=[
            KEY,
            OpenApiParameter(
                "If-Match",
                int,
                OpenApiParameter.HEADER,
                description="The number of the version that was changed; wanted for every change.",
            ),
            OpenApiParameter(
                "If-None-Match",
                str,
                OpenApiParameter.HEADER,
                description="* says that the statement is a new one.",
            ),
        ],
        responses={
            **STRANGERS,
            200: StatementState,
            400: BAD_FIELDS,
            409: Refusal,
            412: StaleStatement,
            415: Refusal,
            428: Refusal,
        },
    )
    def put(self, request: Request, paper_id: str, client_key: str) -> Response:
        """Save the statement; a retry with the same content changes nothing."""
        student = person(request)
        paper = own_paper(student, paper_id)
        if not re.fullmatch(_KEY, client_key):
            raise serializers.ValidationError({"client_key": [BAD_KEY]})
        form = TypedStatement(data=request.data)
        form.is_valid(raise_exception=True)
        version = paper.assignment.current
        run = current_run(version.score_version) if version else None
        if run is None:
            return Response({"detail": NOT_READ_NOW}, status.HTTP_409_CONFLICT)
        if form.validated_data["kind"] != "free" and _page_closed(paper):
            return Response({"detail": CLOSED}, status.HTTP_409_CONFLICT)
        found = read_typed(form.validated_data, run)
        try:
            kept = observations.save_statement(
                paper=paper,
                student=student,
                client_key=client_key,
                values=found.values,
                prompt_key=form.validated_data.get("prompt"),
                if_match=_made_from(request),
            )
        except observations.Unnumbered as unnumbered:
            return Response(
                {"detail": _sentence(unnumbered)}, status.HTTP_428_PRECONDITION_REQUIRED
            )
        except observations.Stale as stale:
            theirs = state_of(
                stale.theirs.observation, stale.theirs, run.copy.outline, way=way_on(paper)
            )
            return Response(
                {"detail": _sentence(stale), "theirs": theirs}, status.HTTP_412_PRECONDITION_FAILED
            )
        except ValidationError as error:
            return Response({"detail": _sentence(error)}, status.HTTP_409_CONFLICT)
        last, way = observations.latest(kept), way_on(paper)
        notice = " ".join(filter(None, (found.notice, papers.too_many_for(kept))))
        return Response(state_of(kept, last, run.copy.outline, found.problems, way, notice))

    @extend_schema(parameters=[KEY], responses={**STRANGERS, 204: None, 409: Refusal})
    def delete(self, request: Request, paper_id: str, client_key: str) -> Response:
        """Take the statement back; its versions stay on the record."""
        student = person(request)
        paper = own_paper(student, paper_id)
        known = re.fullmatch(_KEY, client_key) is not None
        observation = paper.observations.filter(client_key=client_key).first() if known else None
        if observation is None:
            return Response({"detail": "There is no such statement."}, status.HTTP_404_NOT_FOUND)
        try:
            observations.take_back(observation=observation, student=student)
        except ValidationError as error:
            return Response({"detail": _sentence(error)}, status.HTTP_409_CONFLICT)
        return Response(status=status.HTTP_204_NO_CONTENT)


class StatementsView(APIView):
    """All statements of one's own paper."""

    permission_classes = [IsAuthenticated]

    @extend_schema(responses={**STRANGERS, 200: StatementState(many=True)})
    def get(self, request: Request, paper_id: str) -> Response:
        student = person(request)
        paper = own_paper(student, paper_id)
        return Response(statements_of(paper))


def statements_of(paper: Paper) -> list[dict[str, Any]]:
    """The paper's statements as the page needs them, in order, with what stands in the way."""
    version = paper.assignment.current
    run = current_run(version.score_version) if version else None
    if run is None:
        return []
    rows = []
    way = way_on(paper)
    kept = paper.observations.exclude(state=Observation.State.WITHDRAWN)
    for observation in kept.prefetch_related("versions"):
        last = next(v for v in observation.versions.all() if v.number == observation.number)
        problems: dict[str, list[str]] = {}
        if observation.state == Observation.State.DRAFT:
            problems = read_typed(as_typed(last, run.copy.outline), run).problems
        rows.append(state_of(observation, last, run.copy.outline, problems, way))
    return rows


class Sentence(serializers.Serializer[Any]):
    """A sentence, and a bar of the movement it is about."""

    sentence = serializers.CharField(max_length=600)
    bar = serializers.IntegerField(min_value=0, required=False, default=0)


class Proposed(serializers.Serializer[Any]):
    """How the form would be filled in; nothing is kept, nothing is judged."""

    kind = serializers.CharField(allow_null=True, help_text="Null: no kind was recognised.")
    kind_label = serializers.CharField()
    says = serializers.DictField(help_text="Field of the kind's form -> text.")
    bars = serializers.CharField()
    said = serializers.CharField(help_text="The fields in words.")
    questions = serializers.ListField(child=serializers.CharField())
    notes = serializers.ListField(
        child=serializers.CharField(), help_text="How something was taken, such as “3 after C”."
    )


class ProposalView(APIView):
    """What a sentence would state."""

    permission_classes = [IsAuthenticated]

    @extend_schema(
        request=Sentence,
        responses={**STRANGERS, 200: Proposed, 400: BAD_FIELDS, 409: Refusal, 415: Refusal},
    )
    def post(self, request: Request, paper_id: str) -> Response:
        paper = own_paper(person(request), paper_id)
        form = Sentence(data=request.data)
        form.is_valid(raise_exception=True)
        if _page_closed(paper):  # a proposal names the parts of the page
            return Response({"detail": CLOSED}, status.HTTP_409_CONFLICT)
        version = paper.assignment.current
        run = current_run(version.score_version) if version else None
        if run is None:
            return Response({"detail": NOT_READ_NOW}, status.HTTP_409_CONFLICT)
        movement = movement_of(form.validated_data["bar"], run.copy.outline)
        return Response(proposal_of(form.validated_data["sentence"], run, movement))


class HandedIn(serializers.Serializer[Any]):
    state = serializers.CharField()
    late = serializers.BooleanField()
    handed_in_at = serializers.DateTimeField()


class HandInView(APIView):
    """Hand in all drafts of a paper.

    With `?sure=no` it is refused once where a prompt asks for more (`asked`: true).
    """

    permission_classes = [IsAuthenticated]

    @extend_schema(
        request=None,
        parameters=[OpenApiParameter("sure", str, enum=["yes", "no"])],
        responses={**STRANGERS, 200: HandedIn, 409: Asked},
    )
    def post(self, request: Request, paper_id: str) -> Response:
        student = person(request)
        paper = own_paper(student, paper_id)
        if hindrance := hindrance_of(paper):
            return Response({"detail": hindrance, "asked": False}, status.HTTP_409_CONFLICT)
        try:
            sure = request.query_params.get("sure") != "no"
            done = papers.hand_in(paper=paper, student=student, now=timezone.now(), sure=sure)
        except ValidationError as error:
            asked = any(e.code == "too-few" for e in error.error_list)
            said = {"detail": " ".join(error.messages), "asked": asked}
            return Response(said, status.HTTP_409_CONFLICT)
        return Response(HandedIn(done).data)


def hindrance_of(paper: Paper, prompts: Container[str | None] | None = None) -> str:
    """The first thing to mend before the drafts can go, as a sentence; "" if nothing.

    `prompts`: only what is said to these.
    """
    for row in statements_of(paper):
        if prompts is not None and row["prompt"] not in prompts:
            continue
        for sentences in row["problems"].values():
            label = row["bars_label"] or str(row["typed"].get("bars", ""))
            where = in_bars(label) or "no bars yet"
            return f"One statement ({where}) is not complete: {sentences[0]}"
    return ""
