"""Make the MusicXML files beside this script: `python -m demo.piece.compose`."""

from __future__ import annotations

from pathlib import Path

from . import movement_one, movement_three, movement_two
from .write_musicxml import to_xml

HERE = Path(__file__).parent


def files() -> dict[str, str]:
    return {
        "movement-1.musicxml": to_xml(movement_one.compose()),
        "movement-2.musicxml": to_xml(movement_two.compose()),
        "movement-3.musicxml": to_xml(movement_three.compose()),
    }


def main() -> None:
    for name, text in files().items():
        (HERE / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
