"""Set the scene: change a row that the site itself would never change."""

from __future__ import annotations

from typing import Any

from django.db import models


def rewrite(rows: models.QuerySet[Any], **values: Any) -> None:
    """As a clock or another history would have made it."""
    models.QuerySet(rows.model).filter(pk__in=list(rows.values_list("pk", flat=True))).update(
        **values
    )
