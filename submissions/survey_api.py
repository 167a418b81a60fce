"""JSON endpoint of the table of the page: cells kept as they are typed."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from analysis.engine.survey import MOST_LETTERS, OF_PAGE, OF_STAFF
from analysis.selectors import copy_of
from submissions.access import own_paper
from submissions.api import BAD_FIELDS, NOT_READ_NOW, STRANGERS, Refusal, person
from submissions.services.surveys import keep_cells


class Cells(serializers.Serializer[Any]):
    """Cells by name: the place of the staff and a column, "0-clef", or "page-metre"."""

    cells = serializers.DictField(
        child=serializers.CharField(max_length=4 * MOST_LETTERS, allow_blank=True),
        help_text=f"Columns: {', '.join(OF_STAFF)}. Of the page: {', '.join(OF_PAGE)}.",
    )


class SurveyView(APIView):
    """The table of one's own paper; nothing of the comparison is in the answer."""

    permission_classes = [IsAuthenticated]

    @extend_schema(
        request=Cells,
        responses={**STRANGERS, 200: Cells, 400: BAD_FIELDS, 409: Refusal, 415: Refusal},
    )
    def patch(self, request: Request, paper_id: str) -> Response:
        """Keep the cells sent; the others stay. The answer has all of them, as kept."""
        student = person(request)
        paper = own_paper(student, paper_id)
        form = Cells(data=request.data)
        form.is_valid(raise_exception=True)
        version = paper.assignment.current
        copy = copy_of(version.score_version) if version else None
        if copy is None:
            return Response({"detail": NOT_READ_NOW}, status.HTTP_409_CONFLICT)
        try:
            survey = keep_cells(
                paper=paper,
                student=student,
                cells=form.validated_data["cells"],
                staves=len(copy.outline["parts"]),
                now=timezone.now(),
            )
        except ValidationError as error:
            return Response({"detail": " ".join(error.messages)}, status.HTTP_409_CONFLICT)
        return Response({"cells": survey.cells})
