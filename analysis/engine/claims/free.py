"""Anything in the student's own words: always the tutor's to read."""

from __future__ import annotations

from analysis.engine.claims.base import Kind
from analysis.engine.claims.fields import Field, Form, Text

KIND = Kind(
    name="free",
    says="anything in your own words",
    form=Form((Field("text", Text(5000), required=True),), parts=False, bars=False),
)
