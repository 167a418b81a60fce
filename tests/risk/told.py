"""The figures in words and tables, as `docs/risk.md`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from analysis.engine.settings import Settings
from tests.risk.curve import Flagged, Point, best, curve, point

FLAGS = ("agrees", "partly", "conflicts", "ear")
#: least precision of "agrees" by kind, of "conflicts", and share that must be decided
LEAST = {"key": "key_confidence", "role": "role_confidence", "key-route": "min_confidence"}
AGREES, CONFLICTS = {"key": 0.90, "role": 0.80, "key-route": 0.95}, 0.95
DECIDED = {"key": 0.5, "role": 0.5, "key-route": 0.0}  # of routes the share is only told

HEAD = """\
# Risk and coverage: statements about roles, keys and routes of keys

`make risk`, {day}. ![Precision against the share decided](risk.svg)

Statements are made of human answers (true) and of plausible others (false), `tests/risk/stated.py`;
each is asked of the checker with all parts confirmed and no setting changed but the two thresholds.
{seen}

*Decided*: every flag but "ear". Shares and precisions weigh the statements so that half of them
are false; *as made* is the precision counted with as many false ones as were made. The threshold
is the least confidence of any flag; "conflicts" needs {conflict:.2f} besides. Answers: S3 (Lin et
al., ISMIR 2024 late-breaking) for roles, keys and routes; texture labels (Le, Giraud, Leve,
Maccarini, DLfM 2022) for roles, with finer conventions. The corpora know three classes of work and
no words within them, so a true class may be stated in a wrong word; what is then called a conflict
counts as wrong. Routes may leave out keys that are annotated for less than four bars.
"""
UNSEEN = "All that is trained was trained without the work that is asked about."
SEEN = "**The models have seen these works.**"


def operating(found: Sequence[Flagged], settings: Settings | None = None) -> Point:
    """Where the product stands: its own thresholds for this kind."""
    own = settings or Settings()
    least = getattr(own, LEAST[found[0].kind])
    return point(found, least, max(least, own.conflict_confidence))


def kept(found: Sequence[Flagged], here: Point) -> bool:
    """Whether a point keeps the limits of its kind."""
    agrees = AGREES[found[0].kind]
    return best([here], agrees, CONFLICTS, DECIDED[found[0].kind]) is not None


def limits_kept(found: Mapping[str, Sequence[Flagged]]) -> bool:
    return all(kept(own, operating(own)) for own in found.values())


def told(found: Mapping[str, Sequence[Flagged]], *, seen: bool, left: Sequence[str] = ()) -> str:
    """The page. `left`: movements with an answer that were not asked."""
    lines = [HEAD.format(day=f"{date.today():%d %B %Y}", seen=SEEN if seen else UNSEEN,
                         conflict=Settings().conflict_confidence)]  # fmt: skip
    if left:
        lines.append(f"Not asked this time: {', '.join(left)}.\n")
    for name, own in sorted(found.items()):
        lines += _kind(name, own)
    return "\n".join(lines) + "\n"


def _kind(name: str, found: Sequence[Flagged]) -> Iterator[str]:
    here = operating(found)
    agrees = AGREES[found[0].kind]
    true = sum(one.true for one in found)
    decided = DECIDED[found[0].kind]
    wanted = f"{decided:.2f} decided, " if decided else ""
    yield f"## {name[0].upper()}{name[1:]}\n"
    yield f"{true} true statements, {len(found) - true} false, {_works(found)}.\n"
    yield (
        f"The product stands at {here.least:.2f} (conflicts {here.conflict:.2f}): "
        f'{_share(here.decided)} decided, precision of "agrees" {_share(here.agrees)} (as made '
        f'{_share(here.plain("agrees", True))}), of "conflicts" {_share(here.conflicts)} (as '
        f"made {_share(here.plain('conflicts', False))}). Asked for: {wanted}"
        f"{agrees:.2f}, {CONFLICTS:.2f}: **{'kept' if kept(found, here) else 'not kept'}**.\n"
    )
    points = curve(found, Settings().conflict_confidence)
    most = best(points, agrees, CONFLICTS, 0.0)
    if most:
        yield (
            f"The threshold that decides most within both precisions: {most.least:.2f} "
            f"({_share(most.decided)} decided).\n"
        )
    yield "| threshold | decided | agrees | as made | conflicts | as made |"
    yield "|---|---|---|---|---|---|"
    for p in points:
        row = (p.decided, p.agrees, p.plain("agrees", True), p.conflicts,
               p.plain("conflicts", False))  # fmt: skip
        yield f"| {p.least:.2f} | " + " | ".join(map(_share, row)) + " |"
    yield "\nFlags where the product stands:\n"
    yield "| statement | truth | " + " | ".join(FLAGS) + " |"
    yield "|---|---|" + "---|" * len(FLAGS)
    for sort, truth in dict.fromkeys((one.sort, one.true) for one in found):
        own = [one.at(here.least, here.conflict) for one in found
               if (one.sort, one.true) == (sort, truth)]  # fmt: skip
        counts = " | ".join(str(own.count(flag)) for flag in FLAGS)
        yield f"| {sort} | {'true' if truth else 'false'} | {counts} |"
    yield "\nBy movement:\n"
    yield "| movement | statements | decided | agrees | conflicts |"
    yield "|---|---|---|---|---|"
    for movement in dict.fromkeys(one.movement for one in found):
        part = [one for one in found if one.movement == movement]
        p = point(part, here.least, here.conflict)
        yield (f"| {movement} | {len(part)} | {_share(p.decided)} | {_share(p.agrees)} | "
               f"{_share(p.conflicts)} |")  # fmt: skip
    yield ""


def _works(found: Sequence[Flagged]) -> str:
    count = len({one.movement for one in found})
    return f"{count} movement{'s' if count != 1 else ''}"


def _share(value: float | None) -> str:
    return "" if value is None else f"{value:.3f}"
