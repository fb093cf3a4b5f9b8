"""Drawings on the screen: well-formed, safe under a strict content policy, true to scale."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain import svg
from orchard.domain.drawing import build_site_drawing, build_task_drawing
from orchard.domain.svg import encode_svg
from tests.scheduling.sheets import packed_day

NS = "{http://www.w3.org/2000/svg}"
PLACE = packed_day.build_place()
TASKS = packed_day.build_tasks(PLACE)


def all_drawings():
    planned = tuple(entry.task for entry in TASKS)
    yield build_site_drawing(PLACE, packed_day.POCKETS, tasks=planned, marks=("A", "B", "C", "D"))
    for task in planned:
        yield build_task_drawing(PLACE, packed_day.POCKETS, task)


def test_it_is_well_formed_and_names_itself_for_a_screen_reader():
    for drawing in all_drawings():
        root = ElementTree.fromstring(encode_svg(drawing, scale=100, prefix="plan-7"))
        assert root.tag == f"{NS}svg"
        assert root.get("role") == "img"
        # SVG Accessibility API Mappings: title and desc, referenced by id, name the graphic.
        assert root.get("aria-labelledby") == "plan-7-title plan-7-desc"
        assert root.find(f"{NS}title").get("id") == "plan-7-title"
        assert root.find(f"{NS}title").text == drawing.title
        assert root.find(f"{NS}desc").text == drawing.description


def test_it_passes_a_content_policy_without_inline_style_or_script():
    for drawing in all_drawings():
        text = encode_svg(drawing, scale=100)
        root = ElementTree.fromstring(text)
        for element in root.iter():
            assert element.tag not in (f"{NS}style", f"{NS}script", f"{NS}foreignObject")
            # CSP Level 3: style attributes need unsafe-inline; on… attributes are scripts.
            assert "style" not in element.attrib
            assert not any(name.startswith("on") for name in element.attrib)
            assert not any("href" in name for name in element.attrib)


def test_every_class_is_listed_for_the_style_sheet():
    listed = set(re.findall(r"[a-z]+(?:-[a-z]+)*", svg.__doc__))
    for drawing in all_drawings():
        for element in ElementTree.fromstring(encode_svg(drawing, scale=100)).iter():
            assert set(element.get("class", "").split()) <= listed


def test_every_id_is_unique_and_every_reference_is_met():
    for drawing in all_drawings():
        text = encode_svg(drawing, scale=100, prefix="p")
        ids = re.findall(r' id="([^"]+)"', text)
        assert len(ids) == len(set(ids))
        assert set(re.findall(r"url\(#([^)]+)\)", text)) <= set(ids)


@pytest.mark.parametrize("scale", [20, 50, 100, 250])
def test_holes_lie_true_to_scale(scale):
    task = TASKS[0].task
    drawing = build_task_drawing(PLACE, packed_day.POCKETS, task)
    root = ElementTree.fromstring(encode_svg(drawing, scale=scale))
    circles = [c for c in root.iter(f"{NS}circle") if "pen-hole" in c.get("class").split()]
    found = [(float(c.get("cx")), -float(c.get("cy"))) for c in circles]
    assert len(found) == len(task.holes)
    for (x, y), hole in zip(found, task.holes, strict=True):
        # One unit of the view box is a millimetre: metres × 1000 / scale (ISO 5455).
        assert x - found[0][0] == pytest.approx(
            (hole.at[0] - task.holes[0].at[0]) * 1000 / scale, abs=0.011
        )
        assert y - found[0][1] == pytest.approx(
            (hole.at[1] - task.holes[0].at[1]) * 1000 / scale, abs=0.011
        )


def test_north_is_up():
    text = encode_svg(build_site_drawing(PLACE, ()), scale=250)
    root = ElementTree.fromstring(text)
    places = {t.text: float(t.get("y")) for t in root.iter(f"{NS}text")}
    assert places["T28"] < places["T01"]  # T28 stands north of T01; y runs down the screen


def test_names_with_markup_stay_words():
    hostile = 'Tom & <b>Jerry</b> "]]> <script>alert(1)</script>'
    place = replace(
        PLACE,
        name=hostile,
        areas=tuple(replace(area, name=hostile) for area in PLACE.areas),
        trees=tuple(replace(tree, tag=f"{tree.tag}<&>") for tree in PLACE.trees),
    )
    text = encode_svg(build_site_drawing(place, ()), scale=100, prefix='a"b')
    root = ElementTree.fromstring(text)
    assert hostile in root.find(f"{NS}title").text
    assert "<script>" not in text


@given(st.text(max_size=40))
def test_any_text_gives_well_formed_xml(name):
    drawing = build_site_drawing(replace(PLACE, name=name, trees=PLACE.trees[:2]), ())
    ElementTree.fromstring(encode_svg(drawing, scale=500))


def test_the_same_drawing_gives_the_same_text():
    one, other = (encode_svg(next(all_drawings()), scale=250) for _ in range(2))
    assert one == other
