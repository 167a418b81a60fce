"""JSON endpoints of the stages: handing one in, giving a first answer."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers, status
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from courses.stages import Kind
from submissions.access import own_paper
from submissions.api import STRANGERS, Asked, hindrance_of, person
from submissions.services import stages

SURE = OpenApiParameter("sure", str, enum=["yes", "no"])


class StageState(serializers.Serializer[Any]):
    """Where the student is now."""

    at = serializers.CharField(allow_null=True, help_text="Null: all stages are handed in.")


class StageView(APIView):
    """A stage handed in: what is said to its prompts stays, the next one opens.

    With `?sure=no` it is refused once where a prompt asks for more (`asked`: true).
    """

    permission_classes = [IsAuthenticated]

    @extend_schema(
        request=None,
        parameters=[SURE, OpenApiParameter("stage", str, OpenApiParameter.PATH, enum=Kind.values)],
        responses={**STRANGERS, 200: StageState, 409: Asked},
    )
    def post(self, request: Request, paper_id: str, stage: str) -> Response:
        student = person(request)
        paper = own_paper(student, paper_id)
        way = stages.way_on(paper)
        mine = {str(p.key) for p in way.prompts if p.stage == stage}
        if hindrance := hindrance_of(paper, mine):
            return Response({"detail": hindrance, "asked": False}, status.HTTP_409_CONFLICT)
        sure = request.query_params.get("sure") != "no"
        try:
            stages.hand_in_stage(
                paper=paper, student=student, stage=stage, now=timezone.now(), sure=sure
            )
        except ValidationError as error:
            return _refused(error)
        at = stages.way_on(paper).current
        return Response(StageState({"at": at["kind"] if at else None}).data)


class FirstAnswerView(APIView):
    """The first answer to a prompt that is answered twice: it stays as it is."""

    permission_classes = [IsAuthenticated]

    @extend_schema(request=None, responses={**STRANGERS, 200: StageState, 409: Asked})
    def post(self, request: Request, paper_id: str, prompt_key: str) -> Response:
        student = person(request)
        paper = own_paper(student, paper_id)
        if hindrance := hindrance_of(paper, {str(prompt_key)}):
            return Response({"detail": hindrance, "asked": False}, status.HTTP_409_CONFLICT)
        try:
            stages.give_first_answer(
                paper=paper, student=student, prompt_key=str(prompt_key), now=timezone.now()
            )
        except ValidationError as error:
            return _refused(error)
        at = stages.way_on(paper).current
        return Response(StageState({"at": at["kind"] if at else None}).data)


def _refused(error: ValidationError) -> Response:
    asked = any(e.code == "too-few" for e in error.error_list)
    said = {"detail": " ".join(error.messages), "asked": asked}
    return Response(said, status.HTTP_409_CONFLICT)
