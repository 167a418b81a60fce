"""Hues of the layers, measured: told apart by every eye, legible on their sheet, in each scheme.

Defective colour vision after Machado, Oliveira and Fernandes (2009), severity 1; distances in Oklab
(Ottosson 2020), contrast as WCAG 2.2 counts it.
"""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

CSS = Path(__file__).resolve().parents[1] / "static" / "css"
SHEETS = {"light": "#ffffff", "dark": "#201e1a"}
EYES = {
    "full": [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
    "protanopia": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216],
                   [-0.003882, -0.048116, 1.051998]],
    "deuteranopia": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413],
                     [-0.011820, 0.042940, 0.968881]],
    "tritanopia": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602],
                   [0.004733, 0.691367, 0.303900]],
}  # fmt: skip
APART = 0.1  # in Oklab; the eye's own threshold is about 0.02
FOR = {"": list(EYES), '[data-palette="red-green"]': ["full", "protanopia", "deuteranopia"]}
_LMS = [[0.4122214708, 0.5363325363, 0.0514459929], [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005]]  # fmt: skip
_LAB = [[0.2104542553, 0.7936177850, -0.0040720468], [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660]]  # fmt: skip


def hues(selector: str) -> list[str]:
    """--l1 to --l6 of a rule of the style sheet, by its selector."""
    text = (CSS / "layers.css").read_text()
    found = re.search(rf"^ *{re.escape(selector)} {{ (--l1:[^}}]*)}}", text, re.MULTILINE)
    assert found, selector
    return re.findall(r"--l\d: (#[0-9a-f]{6})", found[1])


def linear(colour: str) -> np.ndarray:
    c = np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def contrast(one: str, other: str) -> float:
    y = sorted(float(linear(c) @ [0.2126, 0.7152, 0.0722]) for c in (one, other))
    return (y[1] + 0.05) / (y[0] + 0.05)


def seen(colour: str, eye: str) -> np.ndarray:
    rgb = np.clip(np.array(EYES[eye]) @ linear(colour), 0, 1)
    return np.array(_LAB) @ np.cbrt(np.array(_LMS) @ rgb)


@pytest.mark.parametrize("scheme", list(SHEETS))
@pytest.mark.parametrize("palette", list(FOR))
def test_any_two_hues_are_told_apart_and_each_is_read(palette: str, scheme: str) -> None:
    theme = "" if scheme == "light" else '[data-theme="dark"]'
    six = hues(f":root{theme}{palette}")
    assert len(set(six)) == 6
    assert min(contrast(hue, SHEETS[scheme]) for hue in six) >= 4.5
    for eye in FOR[palette]:
        for a, b in combinations(six, 2):
            assert np.linalg.norm(seen(a, eye) - seen(b, eye)) >= APART, (eye, a, b)


def test_a_device_in_the_dark_and_a_reader_who_wants_it_dark_have_the_same() -> None:
    for palette in FOR:
        by_device = hues(f":root:not([data-theme]){palette}")
        assert by_device == hues(f':root[data-theme="dark"]{palette}')


def test_the_measure_would_find_hues_that_look_alike() -> None:
    """Red and green of one brightness: far apart, and one colour without red cones."""
    pair = [seen(c, "full") for c in ("#a83b00", "#5f5a00")]
    assert np.linalg.norm(pair[0] - pair[1]) >= APART
    pair = [seen(c, "deuteranopia") for c in ("#a83b00", "#5f5a00")]
    assert np.linalg.norm(pair[0] - pair[1]) < APART
