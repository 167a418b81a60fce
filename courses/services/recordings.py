"""Recordings attached to a score, tapped, given to be followed, taken down."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.base import File
from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from courses.models import Recording, ScoreVersion, Tapping, User
from courses.recordings import NOT_A_RECORDING, media_type_of
from courses.services.events import record
from courses.services.library import FILE_EMPTY, digest_of, shown_name

TOO_LARGE = (
    "The file has {size} MB; {limit} MB is the most this site takes. An MP3, M4A or Opus file of "
    "the same music is far smaller."
)
SAVED_ELSEWHERE = (
    "These bars were tapped in another window meanwhile. Reload the page: it shows what was saved "
    "last."
)
TOO_FEW = "Tap at least two bars: the tempo between them is known from then on."


def check_recording(file: File[bytes]) -> str:
    """The media type; ValidationError with a sentence if the file cannot be taken."""
    size = file.size or 0
    if size == 0:
        raise ValidationError(_(FILE_EMPTY), code="empty")
    if size > settings.RECORDING_MAX_BYTES:
        megabytes, limit = round(size / 2**20, 1), settings.RECORDING_MAX_BYTES // 2**20
        raise ValidationError(_(TOO_LARGE).format(size=megabytes, limit=limit), code="too-large")
    media_type = media_type_of(file)
    file.seek(0)
    if not media_type:
        raise ValidationError(_(NOT_A_RECORDING), code="not-a-recording")
    return media_type


@transaction.atomic
def attach_recording(
    *, version: ScoreVersion, by: User, file: File[bytes], **said: Any
) -> Recording:
    """Attach a file to a score; `said`: name, performers and the rights statement.

    A form sent twice is one recording.
    """
    media_type = check_recording(file)
    digest = digest_of(file)
    known = version.recordings.filter(sha256=digest, taken_down_at=None).first()
    if known:
        return known
    recording = Recording(
        version=version, filename=shown_name(file.name or ""), media_type=media_type,
        size=file.size or 0, sha256=digest, uploaded_by=by, **said,
    )  # fmt: skip
    recording.full_clean(exclude=["file"])
    recording.file.save("recording", file, save=False)
    recording.save()
    record(by, "recording.attached", recording, version=str(version.public_id))
    return recording


def save_taps(*, recording: Recording, draft: dict[str, Any], if_match: int) -> int:
    """Keep the tapping as it stands (`courses.recordings.read_taps`); the new revision.

    Raises ValidationError (code "stale") if another window saved meanwhile.
    """
    saved = Recording.objects.filter(pk=recording.pk, revision=if_match).update(
        draft=draft, revision=F("revision") + 1
    )
    if not saved:
        raise ValidationError(_(SAVED_ELSEWHERE), code="stale")
    recording.draft, recording.revision = draft, if_match + 1
    return recording.revision


@transaction.atomic
def give_to_follow(*, recording: Recording, by: User) -> Tapping:
    """From now on the score follows these taps. The same ones again are the same row."""
    recording = Recording.objects.select_for_update().get(pk=recording.pk)
    draft = recording.draft
    if len(draft["taps"]) < 2:
        raise ValidationError(_(TOO_FEW), code="too-few")
    last = recording.tappings.order_by("-number").first()
    if last and {name: getattr(last, name) for name in draft} == draft:
        return last
    tapping = Tapping.objects.create(
        recording=recording, number=last.number + 1 if last else 1, by=by, **draft
    )
    record(by, "recording.tapped", recording, number=tapping.number, taps=len(draft["taps"]))
    return tapping


@transaction.atomic
def take_down_recording(*, recording: Recording, by: User) -> None:
    """Nobody reaches it from now on, and its file is removed; the statement stays."""
    recording.taken_down_at = timezone.now()
    recording.save(update_fields=["taken_down_at"])
    record(by, "recording.taken-down", recording)
    storage, name = recording.file.storage, recording.file.name
    transaction.on_commit(lambda: storage.delete(str(name)))
