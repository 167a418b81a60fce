"""Invitation words, asking in, and the tutor's yes."""

from __future__ import annotations

import hashlib
import secrets
import unicodedata
from datetime import timedelta

from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from courses.models import Consent, Course, Enrolment, Invitation, User
from courses.services.events import record

WORD_NOT_KNOWN = "This word opens no course. Ask your tutor for the word of the week."
TOO_MANY_TRIES = "Too many tries. Wait ten minutes, then try again."
CONSENT_WORDING = "joining-1"
_TRIES, _WINDOW = 10, 600

#: Quiet words of the trade; three of them make an invitation.
WORDS = [
    "alto",
    "anacrusis",
    "bassoon",
    "cadence",
    "chalumeau",
    "clarion",
    "coda",
    "crook",
    "desk",
    "divisi",
    "dolce",
    "drone",
    "echo",
    "entry",
    "fermata",
    "figure",
    "flute",
    "forte",
    "grace",
    "hairpin",
    "horn",
    "largo",
    "ledger",
    "legato",
    "muta",
    "oboe",
    "octave",
    "pedal",
    "phrase",
    "pickup",
    "pizzicato",
    "reprise",
    "ripieno",
    "rondo",
    "segno",
    "serenade",
    "solo",
    "sordino",
    "staff",
    "stem",
    "tacet",
    "tenor",
    "tie",
    "timpani",
    "tremolo",
    "trill",
    "triplet",
    "tutti",
    "unison",
    "viola",
    "violin",
]


def fold(word: str) -> str:
    """Case, accents, spaces and hyphens do not matter in an invitation word."""
    plain = unicodedata.normalize("NFKD", word)
    return "".join(c for c in plain.casefold() if c.isalnum())


def _hash(word: str) -> str:
    return hashlib.sha256(fold(word).encode()).hexdigest()


@transaction.atomic
def invite(*, course: Course, by: User, days: int = 14, uses: int = 60) -> tuple[Invitation, str]:
    """A new word for students; older ones of the course end."""
    course.invitations.filter(role=Enrolment.Role.STUDENT, revoked_at=None).update(
        revoked_at=timezone.now()
    )
    word = "-".join(secrets.choice(WORDS) for _n in range(3)) + f"-{secrets.randbelow(90) + 10}"
    invitation = Invitation.objects.create(
        course=course,
        word_hash=_hash(word),
        hint=word,
        expires_at=timezone.now() + timedelta(days=days),
        uses_left=uses,
    )
    record(by, "course.invited", course, course=course)
    return invitation, word


@transaction.atomic
def invite_by_link(
    *, course: Course, by: User, role: str, hours: int = 72
) -> tuple[Invitation, str]:
    """A single-use token for an assistant or a guardian."""
    token = secrets.token_urlsafe(24)
    invitation = Invitation.objects.create(
        course=course,
        role=role,
        word_hash=_hash(token),
        hint="",
        expires_at=timezone.now() + timedelta(hours=hours),
        uses_left=1,
    )
    record(by, "course.invited", course, course=course, role=role)
    return invitation, token


def live_invitations() -> QuerySet[Invitation]:
    """Invitations that still open their course."""
    return Invitation.objects.select_related("course", "course__tutor").filter(
        revoked_at=None,
        expires_at__gt=timezone.now(),
        uses_left__gt=0,
        course__archived_at=None,
    )


def find_invitation(word: str, *, who: str) -> Invitation:
    """The live invitation behind `word`.

    Wrong words are counted by `who` (address or account) and become too many; right
    ones are not: a whole class may come in from one address.
    """
    key = f"join:{who}"
    wrong = int(cache.get(key, 0))
    if wrong >= _TRIES:
        raise ValidationError(_(TOO_MANY_TRIES), code="limited")
    found = live_invitations().filter(word_hash=_hash(word)).first()
    if found is None:
        cache.set(key, wrong + 1, _WINDOW)
        raise ValidationError(_(WORD_NOT_KNOWN), code="unknown-word")
    return found


@transaction.atomic
def ask_in(*, user: User, invitation: Invitation, age_band: str, agreed: bool) -> Enrolment:
    """Ask to join; students wait for the tutor's yes. Asking again changes nothing."""
    if not agreed:
        raise ValidationError(_("Say that you agree before you join."))
    if invitation.course.tutor_id == user.pk:
        raise ValidationError(_("This is your own course: you teach it."))
    standing = Enrolment.objects.filter(course=invitation.course, user=user).first()
    if standing and standing.state in {Enrolment.State.ASKED, Enrolment.State.ACTIVE}:
        return standing
    live = live_invitations().filter(pk=invitation.pk).values("pk")
    taken = Invitation.objects.filter(pk__in=live).update(uses_left=F("uses_left") - 1)
    if not taken:
        raise ValidationError(_(WORD_NOT_KNOWN), code="unknown-word")
    if user.age_band != age_band:
        user.age_band = age_band
        user.save(update_fields=["age_band"])
    Consent.objects.create(
        user=user, kind=Consent.Kind.JOINING, wording=CONSENT_WORDING, given_by="self"
    )
    at_once = invitation.role != Enrolment.Role.STUDENT
    enrolment, made = Enrolment.objects.get_or_create(
        course=invitation.course,
        user=user,
        defaults={
            "role": invitation.role,
            "state": Enrolment.State.ACTIVE if at_once else Enrolment.State.ASKED,
        },
    )
    if not made and enrolment.state in {Enrolment.State.LEFT, Enrolment.State.REFUSED}:
        enrolment.state = Enrolment.State.ASKED
        enrolment.save(update_fields=["state"])
    record(user, "course.asked", enrolment, course=invitation.course)
    return enrolment


@transaction.atomic
def decide(*, enrolment: Enrolment, by: User, yes: bool) -> Enrolment:
    """The tutor's yes or no to somebody who asked."""
    enrolment.state = Enrolment.State.ACTIVE if yes else Enrolment.State.REFUSED
    enrolment.decided_at = timezone.now()
    enrolment.save(update_fields=["state", "decided_at"])
    record(by, "course.decided", enrolment, course=enrolment.course, yes=yes)
    return enrolment


@transaction.atomic
def take_out(*, enrolment: Enrolment, by: User) -> Enrolment:
    """Somebody is in the course no longer; papers and threads stay on the record."""
    if enrolment.state != Enrolment.State.ACTIVE:
        return enrolment
    enrolment.state = Enrolment.State.LEFT
    enrolment.decided_at = timezone.now()
    enrolment.save(update_fields=["state", "decided_at"])
    record(by, "course.taken-out", enrolment, course=enrolment.course)
    return enrolment


@transaction.atomic
def close_invitation(*, course: Course, by: User) -> int:
    """The word for students opens the course no longer; how many words ended."""
    ended = course.invitations.filter(role=Enrolment.Role.STUDENT, revoked_at=None).update(
        revoked_at=timezone.now()
    )
    if ended:
        record(by, "course.invitation-closed", course, course=course)
    return ended
