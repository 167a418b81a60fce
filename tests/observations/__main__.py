"""`python -m tests.observations [NUMBER ...]`: each statement, what is expected, and the answer.

Ends with 1 if a flag is not among the expected ones, or a cause that must be named is not.
"""

from __future__ import annotations

import sys
from collections import Counter

from tests.observations.reading import answer, statements


def main(numbers: list[str]) -> int:
    missed, counts = 0, Counter[str]()
    for one in statements():
        if numbers and str(one.number) not in numbers:
            continue
        got = answer(one)
        good = got["flag"] in one.expected and one.cause in (None, got["cause"])
        missed += not good
        counts[f"{'right' if one.right else 'wrong'}: {got['flag']}"] += 1
        wanted = "/".join(sorted(one.expected)) + (f" ({one.cause})" if one.cause else "")
        sign = "    " if good else "MISS"
        print(f"{sign} {one.name:12} {got['flag']} ({got['cause']}, {got['confidence']}); {wanted}")
        print(f"       {got['sentence']} {got['note']}")
    print("\n" + ", ".join(f"{what} {n}" for what, n in sorted(counts.items())))
    print(f"{missed} of {counts.total()} are not as expected.")
    return int(missed > 0)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
