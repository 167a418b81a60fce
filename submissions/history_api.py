"""JSON of a statement's history: every version one has kept."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from submissions.access import own_paper
from submissions.api import KEY, NOT_READ_NOW, STRANGERS, Refusal, person
from submissions.history import history_of


class KeptVersion(serializers.Serializer[Any]):
    """A statement as it stood once."""

    number = serializers.IntegerField()
    at = serializers.DateTimeField()
    kind = serializers.CharField(help_text="The kind's label.")
    bars = serializers.CharField()
    said = serializers.CharField(help_text="What the kind's form said, in words.")
    typed = serializers.DictField(help_text="As it stood in the form: send it to take it again.")


class StatementHistoryView(APIView):
    """All versions of one statement of one's own paper, the newest first."""

    permission_classes = [IsAuthenticated]

    @extend_schema(
        parameters=[KEY], responses={**STRANGERS, 200: KeptVersion(many=True), 409: Refusal}
    )
    def get(self, request: Request, paper_id: str, client_key: str) -> Response:
        paper = own_paper(person(request), paper_id)
        found = history_of(paper, client_key)
        if found is None:
            return Response({"detail": "There is no such statement."}, status.HTTP_404_NOT_FOUND)
        if not found:
            return Response({"detail": NOT_READ_NOW}, status.HTTP_409_CONFLICT)
        return Response(KeptVersion(found, many=True).data)
