"""`python -m tests.planted [--matrix] [--misses] [KIND ...]`: the figures of planted statements.

Ends with 1 if the precision of a kind is under the floor, 2 if a file cannot be read.
"""

from __future__ import annotations

import argparse
import sys

from tests.planted.figures import FLOOR, figures, matrix, table_of
from tests.planted.reading import FOLDER, PlantedError, answers, sheets


def main(argv: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.planted", description=__doc__)
    parser.add_argument("kinds", nargs="*", metavar="KIND")
    parser.add_argument("--matrix", action="store_true", help="a confusion matrix for each kind")
    parser.add_argument("--misses", action="store_true", help="what was not as expected, and why")
    asked = parser.parse_args(argv)
    try:
        found = sheets(FOLDER, asked.kinds)
        told = [figures(sheet.kind, answers(sheet)) for sheet in found]
    except PlantedError as error:
        print(error, file=sys.stderr)
        return 2
    if not told:
        print(f"Nothing is planted yet: {FOLDER.name} holds no file.")
        return 0
    print(table_of(told))
    for one in told if asked.matrix else ():
        print(f"\n{matrix(one)}")
    for one in told if asked.misses else ():
        for planted, answer in one.misses:
            wanted = "/".join(planted.expected) + (f" ({planted.cause})" if planted.cause else "")
            print(f"\n{planted.name}, {planted.truth}: {wanted} expected; {planted.why}")
            print(f"  {answer['flag']} ({answer['cause']}): {answer['sentence']}")
    return int(any(one.precision < FLOOR for one in told))


if __name__ == "__main__":
    raise SystemExit(main())
