"""Flags held against the tutor's rulings: how often each was confirmed, and where it was not.

Counted are the rulings that stand, each with the check the tutor had before the eyes; what was
ruled without a flag, and what was not compared by the tutor's wish, says nothing of the checker.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from math import sqrt
from typing import Any

from django.db.models import F, Q, QuerySet

from analysis.models import CanonicalCopy, Overrule
from courses.bars import typed
from courses.models import Course, User
from submissions.causes import in_words
from submissions.feedback import tutor_words
from submissions.kinds import KINDS, kind_of
from submissions.models import Flag, Observation, Ruling
from submissions.places import place_label, span_label
from submissions.wishes import LEFT_ALONE

#: Fewer decided flags than this, and nothing is said about a share.
ENOUGH = 10
#: Statements on one page of the list.
PAGE = 25
#: Kinds and causes named as overturned most.
MOST = 5


@dataclass(frozen=True)
class Choice:
    """Which rulings are looked at; "" = all. `ruled`: a flag, or "overturned", "confirmed"."""

    course: Course | None = None
    kind: str = ""
    cause: str | None = None  # "" is a choice of its own: no misreading was named
    flag: str = ""
    ruled: str = ""


@dataclass
class Tally:
    """Rulings on flags of one sort (a kind, a cause, a flag)."""

    name: str
    label: str
    ruled: Counter[str] = field(default_factory=Counter)  # "flag>ruling" -> number

    def count(self, flag: str, ruling: str, n: int = 1) -> None:
        self.ruled[f"{flag}>{ruling}"] += n

    def of(self, *, decided: bool | None = None, same: bool | None = None) -> int:
        """How many rulings; on decided flags (not the ear), with the same flag or another."""
        total = 0
        for pair, n in self.ruled.items():
            flag, ruling = pair.split(">")
            if decided is not None and (flag != Flag.EAR) is not decided:
                continue
            if same is not None and (flag == ruling) is not same:
                continue
            total += n
        return total

    @property
    def cells(self) -> list[dict[str, Any]]:
        """Of a flag's tally: how often it was ruled each way."""
        return [
            {
                "ruling": ruling.value,
                "n": self.ruled[f"{self.name}>{ruling.value}"],
                "same": ruling.value == self.name,
            }
            for ruling in Flag
        ]

    @property
    def total(self) -> int:
        return self.of()

    @property
    def decided(self) -> int:
        return self.of(decided=True)

    @property
    def confirmed(self) -> int:
        return self.of(decided=True, same=True)

    @property
    def overturned(self) -> int:
        return self.of(decided=True, same=False)

    @property
    def ear(self) -> int:
        return self.of(decided=False)

    @property
    def too_few(self) -> bool:
        return self.decided < ENOUGH

    @property
    def share(self) -> int:
        """Confirmed of decided, in percent."""
        return round(100 * self.confirmed / self.decided) if self.decided else 0

    @property
    def bounds(self) -> tuple[int, int]:
        """Between what percent the share may lie in the long run (Wilson, 95 %)."""
        low, high = wilson(self.confirmed, self.decided)
        return int(100 * low), int(-(-100 * high // 1))


def wilson(hits: int, n: int, z: float = 1.96) -> tuple[float, float]:
    """Score interval of a share (Wilson, J. Amer. Stat. Assoc. 22, 1927); (0, 1) for n = 0."""
    if not n:
        return 0.0, 1.0
    p, zz = hits / n, z * z
    middle = (p + zz / (2 * n)) / (1 + zz / n)
    half = z * sqrt(p * (1 - p) / n + zz / (4 * n * n)) / (1 + zz / n)
    return max(0.0, middle - half), min(1.0, middle + half)


def rulings_of(tutor: User, choice: Choice | None = None) -> QuerySet[Ruling]:
    """The rulings that say something of a flag, in the tutor's own courses."""
    found: QuerySet[Ruling] = Ruling.objects.filter(
        current=True,
        check_shown__isnull=False,
        observation_version__number=F("observation_version__observation__number"),
        observation_version__observation__state=Observation.State.HANDED_IN,
        observation_version__observation__paper__assignment__course__tutor=tutor,
    ).exclude(check_shown__cause=LEFT_ALONE)
    if choice is None:
        return found
    if choice.course is not None:
        found = found.filter(
            observation_version__observation__paper__assignment__course=choice.course
        )
    if choice.kind:
        found = found.filter(observation_version__kind=choice.kind)
    if choice.cause is not None:
        found = found.filter(check_shown__cause=choice.cause)
    if choice.flag:
        found = found.filter(check_shown__flag=choice.flag)
    same = Q(flag=F("check_shown__flag"))
    if choice.ruled == "overturned":
        found = found.exclude(same).exclude(check_shown__flag=Flag.EAR)
    elif choice.ruled == "confirmed":
        found = found.filter(same).exclude(check_shown__flag=Flag.EAR)
    elif choice.ruled:
        found = found.filter(flag=choice.ruled)
    return found


@dataclass
class Trust:
    """All the tallies of a page."""

    all: Tally
    flags: list[Tally]
    kinds: list[Tally]
    causes: list[Tally]

    @property
    def overturned_most(self) -> list[Tally]:
        """Kinds with most overturned flags, the worst share first among equals."""
        found = [t for t in self.kinds if t.overturned]
        return sorted(found, key=lambda t: (-t.overturned, t.share, t.name))[:MOST]


def trust_of(tutor: User, course: Course | None = None) -> Trust:
    """One question to the database, however many rulings there are."""
    total = Tally("", "")
    flags = {flag.value: Tally(flag.value, str(flag.label)) for flag in Flag}
    kinds = {name: Tally(name, str(kind.label)) for name, kind in KINDS.items()}
    causes: dict[str, Tally] = {}
    rows = rulings_of(tutor, Choice(course)).values_list(
        "observation_version__kind", "check_shown__cause", "check_shown__flag", "flag"
    )
    for (kind, cause, flag, ruling), n in Counter(rows.order_by()).items():
        total.count(flag, ruling, n)
        flags[flag].count(flag, ruling, n)
        kinds.setdefault(kind, Tally(kind, kind)).count(flag, ruling, n)
        causes.setdefault(cause, Tally(cause, in_words(cause))).count(flag, ruling, n)
    return Trust(
        total,
        [t for t in flags.values() if t.total],
        [t for t in kinds.values() if t.total],
        sorted(causes.values(), key=lambda t: (not t.name, -t.total, t.label)),
    )


def statements_behind(tutor: User, choice: Choice, page: int = 1) -> dict[str, Any]:
    """{"rows", "total", "page", "pages"}: the statements behind a number, newest ruling first."""
    found = rulings_of(tutor, choice)
    total = found.count()
    pages = max(1, -(-total // PAGE))
    page = min(max(1, page), pages)
    rulings = found.select_related(
        "check_shown",
        "observation_version__observation__student",
        "observation_version__observation__paper__assignment__course",
    ).order_by("-at", "-pk")[PAGE * (page - 1) : PAGE * page]
    rows = list(rulings)
    outlines = outlines_of(r.observation_version.version_id for r in rows)
    return {
        "rows": [_row(ruling, outlines) for ruling in rows],
        "total": total,
        "page": page,
        "pages": pages,
    }


def outlines_of(files: Iterable[int | None]) -> dict[int | None, dict[str, Any]]:
    wanted = {file for file in files if file is not None}
    if not wanted:
        return {}
    return dict(CanonicalCopy.objects.filter(version__in=wanted).values_list("version", "outline"))


def _row(ruling: Ruling, outlines: dict[int | None, dict[str, Any]]) -> dict[str, Any]:
    statement = ruling.observation_version
    check = ruling.check_shown
    assert check is not None
    outline = outlines.get(statement.version_id, {"bars": []})
    return {
        "ruling": ruling,
        "check": check,
        "statement": statement,
        "student": statement.observation.student,
        "assignment": statement.observation.paper.assignment,
        "kind": kind_of(statement.kind).label,
        "cause": in_words(check.cause) if check.cause else "",
        "bars": place_label(statement, outline),
        "sentence": tutor_words(check)["sentence"],
        "overturned": ruling.flag != check.flag and check.flag != Flag.EAR,
    }


def corrected_findings(tutor: User, course: Course | None = None) -> list[dict[str, Any]]:
    """[{"label", "n", "words"}]: computed facts the tutor has corrected, by kind, most first."""
    words = Overrule.objects.filter(
        version__score__tutor=tutor, state=Overrule.State.DECIDED
    ).select_related("version__score__work")
    if course is not None:
        words = words.filter(version__score__courses=course)
    by_kind: dict[str, list[Overrule]] = defaultdict(list)
    for word in words:
        by_kind[word.kind].append(word)
    outlines = outlines_of(w.version_id for own in by_kind.values() for w in own[:MOST])
    return [
        {
            "label": str(KINDS[kind].label) if kind in KINDS else kind,
            "n": len(own),
            "words": [_word(word, outlines) for word in own[:MOST]],
        }
        for kind, own in sorted(by_kind.items(), key=lambda item: (-len(item[1]), item[0]))
    ]


def _word(word: Overrule, outlines: dict[int | None, dict[str, Any]]) -> dict[str, Any]:
    outline = outlines.get(word.version_id, {"bars": []})
    first, last = word.first_bar, word.last_bar
    known = last < len(outline["bars"])
    return {
        "word": word,
        "bars": span_label(outline, first, last),
        "typed": typed(first, last, outline) if known else "",
    }
