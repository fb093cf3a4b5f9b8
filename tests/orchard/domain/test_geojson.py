"""GeoJSON against the clauses of RFC 7946, and there and back."""

import json
import math
from itertools import pairwise

import pytest

from orchard.domain.geojson import GeoJsonUnreadable, read_geojson, write_geojson
from tests.orchard.domain.small_files import (
    BARE,
    EMPTY,
    LAWN,
    PLANE,
    PLANTED,
    after,
    read_json,
)


def collect(*features: dict[str, object], **more: object) -> str:
    return json.dumps({"type": "FeatureCollection", "features": list(features), **more})


def point(at: object, **properties: object) -> dict[str, object]:
    geometry = {"type": "Point", "coordinates": at}
    return {"type": "Feature", "geometry": geometry, "properties": properties}


def polygon(*rings: object, **properties: object) -> dict[str, object]:
    geometry = {"type": "Polygon", "coordinates": list(rings)}
    return {"type": "Feature", "geometry": geometry, "properties": properties}


def ring(*corners: tuple[float, float]) -> list[list[float]]:
    closed = [*corners, corners[0]]
    return [list(PLANE.to_degrees(corner)) for corner in closed]


HERE = list(PLANE.to_degrees((5.0, 9.0)))
SQUARE = ((1.0, 1.0), (5.0, 1.0), (5.0, 5.0), (1.0, 5.0))


def test_positions_are_longitude_then_latitude_and_height_is_let_be() -> None:  # section 3.1.1
    changes = read_json(collect(point([*HERE, 4.2], tag="T9", species="pear")))

    assert changes.trees_added[0].tree.position == pytest.approx((5, 9), abs=0.009)


@pytest.mark.parametrize("corners", [SQUARE, SQUARE[::-1]])
def test_either_winding_is_read(corners: tuple[tuple[float, float], ...]) -> None:  # section 3.1.6
    changes = read_json(collect(polygon(ring(*corners), code="C", name="Court", kind="bed")), BARE)

    outline = changes.areas_added[0].area.outline
    assert len(outline) == 4
    assert all(math.dist(a, b) < 0.009 for a, b in zip(outline, corners, strict=True))


def test_rings_are_written_counterclockwise_and_closed() -> None:  # section 3.1.6
    clockwise = LAWN.__class__("A", "Lawn", LAWN.kind, LAWN.outline[::-1])
    place = BARE.__class__("x", BARE.outline, (), (clockwise,), ())

    (written,) = json.loads(write_geojson(place, PLANE))["features"]

    (corners,) = written["geometry"]["coordinates"]
    assert corners[0] == corners[-1]
    turn = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(corners))
    assert turn > 0


def test_seven_decimals_no_crs_and_the_tag_as_id() -> None:  # sections 11.2, 4, 3.2
    text = write_geojson(PLANTED, PLANE)
    whole = json.loads(text)

    assert "crs" not in text
    assert [feature["id"] for feature in whole["features"]] == ["A", "B", "T1"]
    numbers = [
        n for f in whole["features"] if f["id"] == "T1" for n in f["geometry"]["coordinates"]
    ]
    assert all(len(repr(number).split(".")[1]) <= 7 for number in numbers)
    assert whole["features"][-1]["properties"]["stem_diameters_mm"] == [110]


def test_importing_what_was_exported_changes_nothing() -> None:
    changes = read_json(write_geojson(PLANTED, PLANE), PLANTED)

    assert changes.is_empty
    assert (changes.areas_left, changes.trees_left) == (("A", "B"), ("T1",))


def test_a_fresh_site_gets_it_within_a_centimetre_and_writes_the_same_file() -> None:
    text = write_geojson(PLANTED, PLANE)

    fresh = after(EMPTY, read_json(text, EMPTY))

    assert math.dist(fresh.trees[0].position, PLANTED.trees[0].position) < 0.009
    assert write_geojson(fresh, PLANE) == text


def test_a_feature_id_serves_where_there_is_no_tag() -> None:  # section 3.2
    feature = point(HERE, species="pear")
    feature["id"] = 7

    assert read_json(collect(feature)).trees_added[0].tree.tag == "7"


def test_the_world_system_may_be_named_by_its_old_member() -> None:  # appendix B.1
    named = {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}
    assert read_json(collect(point(HERE, tag="T9", species="x"), crs=named)).trees_added


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("{", "cannot be read as JSON"),
        ("[]", "no GeoJSON"),
        ('{"type": "Topology"}', "FeatureCollection is wanted"),
        ('{"type": "FeatureCollection"}', "FeatureCollection is wanted"),
        (collect(), "no point and no polygon"),
        (collect(point([math.nan, 2], tag="T")), "cannot be read as JSON"),
        (
            collect(crs={"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::28992"}}),
            "EPSG::28992",
        ),
        ("[" * 100_000, "cannot be read as JSON"),
    ],
)
def test_what_is_no_geojson_of_ours_is_refused(text: str, sentence: str) -> None:
    with pytest.raises(GeoJsonUnreadable, match=sentence):
        read_geojson(text.encode())


@pytest.mark.parametrize(
    ("feature", "sentence"),
    [
        ({"type": "Feature", "geometry": None, "properties": {}}, "shape is missing"),
        ({"type": "Feature", "geometry": {"type": "LineString"}, "properties": None}, "LineString"),
        ("tree", "no Feature"),
        (point(["5.28", "52.78"], tag="T9"), "not two numbers"),
        (point([5.28], tag="T9"), "not two numbers"),
        (polygon("round", code="C"), "Its rings"),
        (point([649000, 5850000], tag="T9", species="x"), "national grid"),
        (point(HERE[::-1], tag="T9", species="x"), "changed places"),
        (
            polygon(ring(*SQUARE), ring((2, 2), (3, 2), (3, 3)), code="C", name="x"),
            "has a hole",
        ),
        (polygon(ring((1, 1), (5, 5), (5, 1), (1, 5)), code="C", name="x"), "crosses itself"),
    ],
)
def test_a_bad_feature_is_left_out_with_its_reason(feature: object, sentence: str) -> None:
    good = point(HERE, tag="T8", species="plum")
    changes = read_json(json.dumps({"type": "FeatureCollection", "features": [feature, good]}))

    assert [change.tree.tag for change in changes.trees_added] == ["T8"]
    (bad,) = changes.bad
    assert bad.where == "feature 1"
    assert sentence in bad.reason


def test_two_polygons_of_one_code_are_refused() -> None:
    one = polygon(ring(*SQUARE), code="C", name="x")
    changes = read_json(collect(one, one))

    assert "2 polygons with the code C" in changes.bad[0].reason
