"""The allow-list of engraved pages holds for any input."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from analysis.engine.engrave.svg import ATTRIBUTES, ELEMENTS, SVG, Marks, sanitize
from analysis.engine.errors import EngineError
from tests.corpora import require_corpora

pytestmark = pytest.mark.slow

MARKS = Marks("abc1", ((0, "P1"), (2, "P3")))
OWN = {"href", "id", "font-family", "data-id", "data-n", "data-bar", "data-part",
       "data-part-index"}  # fmt: skip
#: what runs code or fetches anything in an SVG (from memory: SVG 2, sections 15 and 16)
DANGEROUS = re.compile(
    rb"<script|foreignObject|<style|<image|<a[ >]|<animate|<set[ >]|<iframe|javascript:|url\(|"
    rb"\son\w+\s*=|\sstyle=|<\?|<!|http://(?!www\.w3\.org/2000/svg)|https://|data:",
    re.IGNORECASE,
)


def check(svg: bytes) -> etree._Element:
    """Everything a browser would see is on the list."""
    root = etree.fromstring(svg)
    ids = [e.get("id") for e in root.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    for element in root.iter():
        name = etree.QName(element)
        assert name.namespace == SVG
        assert name.localname in ELEMENTS
        for key, value in element.attrib.items():
            assert key in ATTRIBUTES or key in OWN, key
            if key in ATTRIBUTES:
                assert ATTRIBUTES[key].match(value), (key, value)
            if key == "href":
                assert re.fullmatch(r"#abc1[\w-]*", value)
    return root


names = st.sampled_from(
    ["g", "path", "use", "defs", "text", "tspan", "title", "svg", "rect", "script", "style",
     "foreignObject", "image", "a", "animate", "set", "iframe", "desc", "filter", "x"]
)  # fmt: skip
spaces = st.sampled_from([SVG, "", "http://www.w3.org/1999/xhtml"])
values = st.one_of(
    st.sampled_from(
        ["javascript:alert(1)", "url(http://127.0.0.1:9/x)", "#E050-z", "#000", "red; x:y", "1",
         "n0-1-2", "b7", "measure", "staff", "note lit", "translate(1,2)", "M0 0 L1 1",
         "http://127.0.0.1:9/", "data:text/html,x", "1e400", "²", "١"]
    ),
    st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Cn")), max_size=12),
)  # fmt: skip
keys = st.sampled_from(
    [*ATTRIBUTES, "onload", "onclick", "style", "href", "{http://www.w3.org/1999/xlink}href", "id",
     "data-id", "data-n", "font-family", "src", "filter", "clip-path", "{u}x"]
)  # fmt: skip


@st.composite
def trees(draw, depth: int = 3):
    space, name = draw(spaces), draw(names)
    element = etree.Element(f"{{{space}}}{name}" if space else name)
    for key, value in draw(st.dictionaries(keys, values, max_size=4)).items():
        element.set(key, value)
    element.text = draw(st.one_of(st.none(), values))
    if depth:
        for child in draw(st.lists(trees(depth - 1), max_size=3)):
            child.tail = draw(st.one_of(st.none(), values))
            element.append(child)
    return element


@given(trees())
@settings(max_examples=400, deadline=None)
def test_output_is_within_the_list_for_any_tree(tree: etree._Element):
    root = etree.Element(f"{{{SVG}}}svg", nsmap={None: SVG})
    root.append(tree)
    made = sanitize(etree.tostring(root), MARKS)
    check(made)
    # outside of texts, where markup is escaped, nothing dangerous may stand at all
    assert not DANGEROUS.search(re.sub(rb">[^<]*<", b"><", made))


@given(st.one_of(st.binary(max_size=200), st.text(max_size=200)))
@settings(max_examples=200, deadline=None)
def test_what_is_no_drawing_is_refused(data: bytes | str):
    with pytest.raises(EngineError):
        sanitize(data, MARKS)


def test_a_drawing_keeps_what_music_needs():
    source = (
        f'<svg xmlns="{SVG}" viewBox="0 0 10 20" id="q1" onload="alert(1)"><desc>x</desc>'
        '<style>g {fill: red}</style><defs><g id="E050-q1"><path d="M0 0h1z"/></g></defs>'
        '<svg class="definition-scale" color="black" viewBox="0 0 100 200">'
        '<g class="measure" data-id="b12" data-n="13"><g class="staff" data-id="s1" data-n="2">'
        '<g class="note" data-id="n2-12-0"><use href="#E050-q1" transform="translate(1, 2)"/></g>'
        '</g></g><text x="1" font-size="0px"><tspan font-size="4px" font-family="Leipzig">&lt;b&gt;'
        "</tspan></text></svg></svg>"
    )
    made = sanitize(source, MARKS)
    root = check(made)
    find = {e.get("class"): e for e in root.iter() if e.get("class")}
    assert root.get("class") == "engraving"
    assert root.get("viewBox") == "0 0 10 20"
    assert dict(find["measure"].attrib) == {"class": "measure", "data-id": "b12", "data-bar": "12"}
    assert find["staff"].get("data-part") == "P3"
    assert find["staff"].get("data-part-index") == "2"
    assert find["note"].get("data-id") == "n2-12-0"
    assert find["definition-scale"].get("color") is None
    use = next(root.iter(f"{{{SVG}}}use"))
    assert use.get("href") == "#abc1-E050"
    assert any(e.get("id") == "abc1-E050" for e in root.iter())
    assert b"&lt;b&gt;" in made
    assert b"style" not in made
    assert b"desc" not in made


def test_a_group_around_one_shape_is_left_out_and_nothing_it_said():
    source = (
        f'<svg xmlns="{SVG}"><defs>'
        '<g id="E050-q"><path transform="scale(1,-1)" d="M0 0h1z"/></g></defs>'
        '<g class="note" data-id="n2-12-0"><g class="notehead"><use href="#E050-q"/></g>'
        '<g class="stem"><path d="M0 0h1"/></g></g>'
        '<g class="dots"><ellipse rx="1"/></g><g class="dir"><path class="x" d="M0 0"/></g></svg>'
    )
    root = check(sanitize(source, MARKS))
    said = [(etree.QName(e).localname, e.get("class") or e.get("id")) for e in root.iter()][1:]
    assert said == [("defs", None), ("path", "abc1-E050"), ("g", "note"), ("use", "notehead"),
                    ("path", "stem"), ("g", "dots"), ("ellipse", None), ("g", "dir"),
                    ("path", "x")]  # fmt: skip
    assert root[0][0].get("transform") == "scale(1,-1)"


def test_two_pages_on_one_page_share_no_glyph_id():
    source = f'<svg xmlns="{SVG}"><defs><g id="E050-q"/></defs></svg>'
    one, two = (sanitize(source, Marks(scope)) for scope in ("a1p1", "a1p2"))
    assert b'id="a1p1-E050"' in one
    assert b'id="a1p2-E050"' in two


HOSTILE = ("mei_svg_script.mei", "mei_href_js.mei", "xss_color_url.musicxml", "xss_text.musicxml",
           "xss_attr.musicxml", "link_javascript.musicxml", "cdata_title.musicxml",
           "csv_formula.musicxml")  # fmt: skip


@pytest.mark.corpora
def test_hostile_files_past_the_gate_draw_nothing_that_runs(tmp_path: Path):
    """As if the gate had let them through: straight into the engraver, in a child."""
    script = require_corpora() / "hostile" / "make_hostile.py"
    subprocess.run(
        [sys.executable, str(script), str(tmp_path / "files")], check=True, capture_output=True
    )
    drawn = 0
    for name in HOSTILE:
        path = tmp_path / "files" / name
        if not path.exists():
            continue
        code = (
            "import sys, verovio; verovio.enableLog(verovio.LOG_OFF); t = verovio.toolkit(); "
            "t.setOptions({'svgHtml5': True, 'header': 'auto'}); "
            "t.loadData(open(sys.argv[1]).read()); sys.stdout.write(t.renderToSVG(1))"
        )
        raw = subprocess.run(
            [sys.executable, "-c", code, str(path)], check=True, capture_output=True
        ).stdout
        made = sanitize(raw, MARKS)
        check(made)
        assert not DANGEROUS.search(re.sub(rb">[^<]*<", b"><", made)), name
        if name == "mei_svg_script.mei":
            assert b"<script" in raw, "the engraver no longer copies scripts: look at this test"
        drawn += 1
    assert drawn >= 6
