"""A stored file, whole or the part of it a browser asks for (RFC 9110, 14): one seeks in sound."""

from __future__ import annotations

from typing import Any

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, HttpRequest, HttpResponse
from whitenoise.responders import SlicedFile, StaticFile


def ranged(request: HttpRequest, field: FieldFile, size: int, kind: str, tag: str) -> Any:
    """Status 200, 206 or 416. Several parts at once, or a part of what was another file (`tag`),
    are answered with the whole, as the standard allows."""
    etag = f'"{tag}"'
    asked = request.headers.get("Range", "")
    if request.headers.get("If-Range", etag) != etag:
        asked = ""
    try:
        first, last = _span(asked, size) if asked else (0, size - 1)
    except ValueError:
        asked, first, last = "", 0, size - 1
    answer: HttpResponse | FileResponse
    if first > last or first >= size:
        answer = HttpResponse(status=416, headers={"Content-Range": f"bytes */{size}"})
    else:
        file: Any = field.open("rb")
        answer = FileResponse(SlicedFile(file, first, last), content_type=kind)
        answer["Content-Length"] = str(last - first + 1)
        if asked:
            answer.status_code = 206
            answer["Content-Range"] = f"bytes {first}-{last}/{size}"
    answer["Accept-Ranges"] = "bytes"
    answer["ETag"] = etag
    return answer


def _span(asked: str, size: int) -> tuple[int, int]:
    """First and last byte, inclusive. Raises ValueError if it is not one span of bytes."""
    first, last = StaticFile.parse_byte_range(asked)
    if first < 0:
        return max(size + first, 0), size - 1
    return first, size - 1 if last is None else min(last, size - 1)
