"""The layouts of the orchestra: movement I in D, II in E minor, III in D with a horn in G."""

from __future__ import annotations

from .notation import Part

WOOD = "Fl1 Fl2 Ob1 Ob2 Cl1 Cl2 Fg1 Fg2"
HORNS = "Co1 Co2"
BRASS = "Co1 Co2 Tr"
STRINGS = "V1 V2 Va Vc Cb"
ALL = f"{WOOD} {BRASS} Ti {STRINGS}"


def _layout(
    cl: tuple[str, int, int, int],
    co1: tuple[str, int, int],
    co2: tuple[str, int, int],
    tr: tuple[str, int, int],
    timpani: str,
) -> list[Part]:
    def clarinet(n: int) -> Part:
        return Part(
            f"Cl{n}",
            f"Clarinetto {n} in {cl[0]}",
            f"Cl. {n}",
            "Clarinetto",
            "wind.reed.clarinet",
            72,
            "treble",
            cl[1],
            cl[2],
            cl[3],
        )

    def horn(n: int, crook: tuple[str, int, int]) -> Part:
        return Part(
            f"Co{n}",
            f"Corno {n} in {crook[0]}",
            f"Cor. {n}",
            "Corno",
            "brass.natural-horn",
            61,
            "treble",
            crook[1],
            crook[2],
            None,
            "brass",
        )

    def wind(key: str, label: str, short: str, sound: str, program: int, clef: str) -> Part:
        return Part(key, label, short, label.split()[0], sound, program, clef)

    def string(key: str, label: str, short: str, sound: str, program: int, clef: str) -> Part:
        return Part(key, label, short, label, sound, program, clef, family="strings")

    parts = [
        wind(f"Fl{n}", f"Flauto {n}", f"Fl. {n}", "wind.flutes.flute", 74, "treble") for n in (1, 2)
    ]
    parts += [
        wind(f"Ob{n}", f"Oboe {n}", f"Ob. {n}", "wind.reed.oboe", 69, "treble") for n in (1, 2)
    ]
    parts += [clarinet(1), clarinet(2)]
    parts += [
        wind(f"Fg{n}", f"Fagotto {n}", f"Fg. {n}", "wind.reed.bassoon", 71, "bass") for n in (1, 2)
    ]
    parts += [horn(1, co1), horn(2, co2)]
    parts.append(
        Part(
            "Tr",
            f"Trombe 1, 2 in {tr[0]}",
            "Tr. 1, 2",
            "Trombe",
            "brass.trumpet",
            57,
            "treble",
            tr[1],
            tr[2],
            None,
            "brass",
        )
    )
    parts.append(
        Part(
            "Ti",
            f"Timpani in {timpani}",
            "Timp.",
            "Timpani",
            "drum.timpani",
            48,
            "bass",
            0,
            0,
            None,
            "percussion",
        )
    )
    parts += [
        string("V1", "Violino I", "Vl. I", "strings.violin", 41, "treble"),
        string("V2", "Violino II", "Vl. II", "strings.violin", 41, "treble"),
        string("Va", "Viola", "Vla.", "strings.viola", 42, "alto"),
        string("Vc", "Violoncello", "Vc.", "strings.cello", 43, "bass"),
        Part(
            "Cb",
            "Contrabbasso",
            "Cb.",
            "Contrabbasso",
            "strings.contrabass",
            44,
            "bass",
            -7,
            -12,
            0,
            "strings",
        ),
    ]
    return parts


def in_d() -> list[Part]:
    return _layout(("La", -2, -3, -3), ("Re", -6, -10), ("Re", -6, -10), ("Re", 1, 2), "Re-La")


def in_e_minor() -> list[Part]:
    return _layout(("Do", 0, 0, 0), ("Mi", -5, -8), ("Sol", -3, -5), ("Mi", 2, 4), "Mi-Si")


def in_d_and_g() -> list[Part]:
    return _layout(("La", -2, -3, -3), ("Re", -6, -10), ("Sol", -3, -5), ("Re", 1, 2), "Re-La")
