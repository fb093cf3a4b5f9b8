"""Trees and areas as GeoJSON: points and polygons in longitude and latitude.

Reading gives tables of text, so that properties are matched to meanings as the columns
of a CSV file are. Not for lines, several-part shapes or other coordinate systems.
Front doors: `read_geojson`, `write_geojson`.

Source: RFC 7946, The GeoJSON Format (2016); its sections are named where they apply.
"""

import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from orchard.domain.columns import Noun
from orchard.domain.coordinates import Degrees, LocalPlane
from orchard.domain.errors import PlannerError
from orchard.domain.place import Area, Outline, Place, Tree
from orchard.domain.table_files import MOST_ROWS, BadRow, Table, TableRow

WANTED = {"Point": Noun.TREE, "Polygon": Noun.AREA}
_WORLD = ("CRS84", "4326")  # the only system RFC 7946 section 4 knows, under its two names


class GeoJsonUnreadable(PlannerError):
    """A file that is no GeoJSON of trees and areas."""

    code = "geojson.unreadable"


@dataclass(frozen=True, slots=True)
class _Feature:
    where: str
    noun: Noun
    values: dict[str, str]
    rings: tuple[tuple[Degrees, ...], ...]


def read_geojson(data: bytes) -> Mapping[Noun, Table]:
    """Return a table of the points (trees) and one of the polygons (areas), those there are.

    A point's position stands in the columns longitude and latitude; a polygon's
    ring in the row itself. Features that are neither are among the bad rows.

    Args:
        data: The file, UTF-8 (RFC 8259 section 8.1).

    Raises:
        GeoJsonUnreadable: If it is no JSON, no FeatureCollection or Feature,
            names another coordinate system, or holds too many features.
    """
    whole = _parse(data)
    _check_system(whole)
    kind = whole.get("type")
    features = whole.get("features") if kind == "FeatureCollection" else [whole]
    if kind not in ("FeatureCollection", "Feature") or not isinstance(features, list):
        raise GeoJsonUnreadable(
            f"The file's type is {kind!r}; a FeatureCollection is wanted. "
            "Export the points and polygons as GeoJSON again."
        )
    if len(features) > MOST_ROWS:
        raise GeoJsonUnreadable(
            f"The file has {len(features)} features; at most {MOST_ROWS} are read at once. "
            "Split it in two."
        )
    found: list[_Feature] = []
    bad: list[BadRow] = []
    for number, feature in enumerate(features, start=1):
        read = _read_feature(f"feature {number}", feature)
        if isinstance(read, BadRow):
            bad.append(read)
        else:
            found.append(read)
    if not found:
        why = f" {bad[0].where}: {bad[0].reason}" if bad else ""
        raise GeoJsonUnreadable(f"The file holds no point and no polygon.{why}")
    nouns = sorted({feature.noun for feature in found}, reverse=True)  # trees before areas
    return {noun: _tabulate(noun, found, tuple(bad) if noun is nouns[0] else ()) for noun in nouns}


def write_geojson(place: Place, plane: LocalPlane) -> str:
    """Return the site's areas and trees as GeoJSON text.

    Outer rings go counterclockwise (section 3.1.6), seven decimals (section 11.2),
    no "crs" member (section 4), the code or tag as "id" (section 3.2).

    Args:
        place: The site.
        plane: The metre plane about its peg.

    Raises:
        OffTheMap: If something stands too far from the peg to be placed.
    """
    features = [_area_feature(area, plane) for area in place.areas]
    features += [_tree_feature(tree, plane) for tree in place.trees]
    lines = ",\n".join(json.dumps(feature, ensure_ascii=False) for feature in features)
    return '{"type": "FeatureCollection", "features": [\n' + lines + "\n]}\n"


def _area_feature(area: Area, plane: LocalPlane) -> dict[str, Any]:
    ring = [plane.to_degrees(point) for point in _counterclockwise(area.outline)]
    return {
        "type": "Feature",
        "id": area.code,
        "geometry": {"type": "Polygon", "coordinates": [[*ring, ring[0]]]},
        "properties": {
            "code": area.code,
            "name": area.name,
            "kind": area.kind.value,
            "was_building": area.was_building,
            "past_use": area.past_use or None,
            "soil_test_on": area.soil_test_on.isoformat() if area.soil_test_on else None,
            "soil_test_clear": area.soil_test_clear,
        },
    }


def _tree_feature(tree: Tree, plane: LocalPlane) -> dict[str, Any]:
    return {
        "type": "Feature",
        "id": tree.tag,
        "geometry": {"type": "Point", "coordinates": plane.to_degrees(tree.position)},
        "properties": {
            "tag": tree.tag,
            "area": tree.area,
            "species": tree.species,
            "cultivar": tree.cultivar or None,
            "canopy_radius_m": tree.canopy_radius_m,
            "stem_diameters_mm": list(tree.stem_diameters_mm),
            "stem_height_m": tree.stem_height_m,
            "inspected_on": tree.inspected_on.isoformat() if tree.inspected_on else None,
        },
    }


def _counterclockwise(outline: Outline) -> Outline:
    pairs = zip(outline, (*outline[1:], outline[0]), strict=True)
    turn = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)
    return outline if turn >= 0 else (outline[0], *reversed(outline[1:]))


def _parse(data: bytes) -> dict[str, Any]:
    try:
        whole = json.loads(data.decode("utf-8-sig"), parse_constant=_refuse_constant)
    except UnicodeDecodeError as fault:
        raise GeoJsonUnreadable(
            f"The file is not UTF-8 text (byte {fault.start}). Export it again."
        ) from fault
    except (ValueError, RecursionError) as fault:
        raise GeoJsonUnreadable(
            f"The file cannot be read as JSON ({str(fault)[:80]}). Export it again."
        ) from fault
    if not isinstance(whole, dict):
        raise GeoJsonUnreadable("The file is JSON but no GeoJSON: it must begin with {.")
    return whole


def _refuse_constant(word: str) -> float:
    raise ValueError(f"{word} is no number in JSON")


def _check_system(whole: Mapping[str, Any]) -> None:
    """Refuse the old "crs" member unless it names what RFC 7946 has anyway."""
    named = whole.get("crs")
    if named is None:
        return
    properties = named.get("properties") if isinstance(named, dict) else None
    name = str(properties.get("name")) if isinstance(properties, dict) else str(named)
    if not name.endswith(_WORLD):
        raise GeoJsonUnreadable(
            f"The file is in the coordinate system “{name[:60]}”. GeoJSON is read in longitude "
            "and latitude only (RFC 7946). Export it again as WGS 84."
        )


def _read_feature(where: str, feature: object) -> "_Feature | BadRow":
    if not isinstance(feature, dict) or feature.get("type") != "Feature":
        return BadRow(where, "", "It is no Feature. Export the file again.")
    properties = feature.get("properties") or {}
    if not isinstance(properties, dict):
        return BadRow(where, "", "Its properties are no names with values.")
    values = {str(key).strip(): _say(value) for key, value in properties.items()}
    if isinstance(feature.get("id"), str | int):
        values.setdefault("id", str(feature["id"]))
    name = next((values[key] for key in ("tag", "code", "id") if values.get(key)), "")
    geometry = feature.get("geometry")
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    if not isinstance(geometry, dict) or kind not in WANTED:
        reason = f"Its shape is {kind or 'missing'}. A tree is a Point, an area a Polygon."
        return BadRow(where, name, reason)
    coordinates = geometry.get("coordinates")
    if kind == "Point":
        position = _read_position(coordinates)
        if position is None:
            return BadRow(where, name, "Its position is not two numbers: longitude, latitude.")
        at = dict(zip(("longitude", "latitude"), map(repr, position), strict=True))
        return _Feature(where, Noun.TREE, {**at, **_without(values, at)}, ())
    rings = _read_rings(coordinates)
    if rings is None:
        return BadRow(where, name, "Its rings are not lists of longitude and latitude.")
    return _Feature(where, Noun.AREA, values, rings)


def _without(values: Mapping[str, str], taken: Mapping[str, str]) -> dict[str, str]:
    return {key: value for key, value in values.items() if key.casefold() not in taken}


def _read_position(raw: object) -> Degrees | None:
    if not isinstance(raw, list) or len(raw) < 2 or not all(_is_number(part) for part in raw[:2]):
        return None
    return float(raw[0]), float(raw[1])


def _read_rings(raw: object) -> tuple[tuple[Degrees, ...], ...] | None:
    rings: list[tuple[Degrees, ...]] = []
    for listed in raw if isinstance(raw, list) else ():
        corners = [_read_position(corner) for corner in listed] if isinstance(listed, list) else []
        ring = tuple(corner for corner in corners if corner is not None)
        if not ring or len(ring) != len(corners):
            return None
        rings.append(ring[:-1] if len(ring) > 1 and ring[0] == ring[-1] else ring)
    return tuple(rings) or None


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _say(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ";".join(_say(part) for part in value)
    return value.strip() if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _tabulate(noun: Noun, features: Iterable[_Feature], bad: tuple[BadRow, ...]) -> Table:
    own = [feature for feature in features if feature.noun is noun]
    heads = tuple(dict.fromkeys(head for feature in own for head in feature.values))
    rows = tuple(
        TableRow(
            feature.where, tuple(feature.values.get(head, "") for head in heads), feature.rings
        )
        for feature in own
    )
    what = f"{len(own)} {'points' if noun is Noun.TREE else 'polygons'}"
    return Table(heads, rows, bad, (f"Read as GeoJSON: {what}.",))
