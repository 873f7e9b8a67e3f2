"""The line drawings: well-formed, titled, safe to inline, mirrored left and right."""

import re
from xml.etree import ElementTree

import pytest

import programs.library as library

SVG = "{http://www.w3.org/2000/svg}"
ALLOWED = {"svg", "title", "desc", "g", "path", "circle"}
CODES = sorted(library.load())
LEFT = [code for code in CODES if code.endswith("_left")]


def _root(code: str) -> ElementTree.Element:
    return ElementTree.fromstring(library.drawing(code))  # noqa: S314 - our own files


def _said(svg: str, *, swapped: bool = False) -> list[str]:
    words = re.findall(r"<(?:title|desc)>([^<]+)<", svg)
    if not swapped:
        return words
    turn = {"left": "right", "right": "left"}
    return [re.sub("left|right", lambda hit: turn[hit.group()], w) for w in words]


def test_every_exercise_has_a_drawing_and_no_drawing_is_left_over() -> None:
    folder = library._folder() / "drawings"
    assert sorted(p.name.removesuffix(".svg") for p in folder.iterdir()) == CODES


@pytest.mark.parametrize("code", CODES)
def test_drawing_says_in_words_what_it_shows(code: str) -> None:
    title, desc = list(_root(code))[:2]
    assert (title.tag, desc.tag) == (f"{SVG}title", f"{SVG}desc")
    assert title.text and desc.text and len(desc.text) > 30


@pytest.mark.parametrize("code", CODES)
def test_drawing_holds_lines_only(code: str) -> None:
    tags = {element.tag.removeprefix(SVG) for element in _root(code).iter()}
    assert tags <= ALLOWED


@pytest.mark.parametrize("code", CODES)
def test_drawing_passes_a_strict_content_policy(code: str) -> None:
    names = {name for e in _root(code).iter() for name in e.attrib}
    assert not {n for n in names if n.startswith("on") or n in ("style", "href", "id")}
    assert "url(" not in library.drawing(code)


@pytest.mark.parametrize("code", CODES)
def test_drawing_takes_its_color_from_the_page(code: str) -> None:
    root = _root(code)
    assert root.get("stroke") == "currentColor"
    assert {e.get("stroke") for e in root.iter()} == {"currentColor", None}
    assert {e.get("fill") for e in root.iter()} == {"none", None}
    assert {e.get("class") for e in root.iter()} <= {"accent", None}


@pytest.mark.parametrize("code", CODES)
def test_drawing_is_one_size_and_named_as_an_image(code: str) -> None:
    root = _root(code)
    assert root.get("viewBox") == "0 0 320 200"
    assert root.get("role") == "img"


@pytest.mark.parametrize("code", CODES)
def test_every_figure_has_one_head_a_view(code: str) -> None:
    heads = len(_root(code).findall(f".//{SVG}circle"))
    assert heads == (2 if "_shift_" in code else 1)


@pytest.mark.parametrize("code", LEFT)
def test_the_right_drawing_is_the_left_one_flipped(code: str) -> None:
    left = library.drawing(code)
    right = library.drawing(code.replace("_left", "_right"))
    assert "scale(-1 1)" in right and "scale(" not in left
    assert re.findall(r' d="([^"]+)"', left) == re.findall(r' d="([^"]+)"', right)
    assert _said(left, swapped=True) == _said(right)


@pytest.mark.parametrize("code", LEFT)
def test_the_hips_arrow_points_left_in_a_left_drawing(code: str) -> None:
    """Every sided figure is seen from behind or above, so left is left."""
    hips = re.findall(r'class="accent"[^>]* d="M(\d+) \d+H(\d+)', library.drawing(code))
    start, end = hips[-1]
    assert int(start) > int(end)


@pytest.mark.parametrize("code", ["../templates", "", "prone_lying.svg"])
def test_a_name_from_outside_is_never_a_path(code: str) -> None:
    with pytest.raises(library.LibraryError, match="no exercise is called"):
        library.drawing(code)
