"""Trees and areas as CSV text that reading gives back unchanged.

Metric, with the unit in each head; an area is one row for each corner. GeoJSON is
`geojson`'s. Front doors: `write_trees`, `write_areas`.
"""

from orchard.domain.ordering import natural_key
from orchard.domain.place import Place
from orchard.domain.table_files import write_number, write_table

TREE_HEADS = (
    "tag",
    "area",
    "species",
    "cultivar",
    "east_m",
    "north_m",
    "canopy_radius_m",
    "stem_diameters_mm",
    "stem_height_m",
    "inspected_on",
)
AREA_HEADS = (
    "code",
    "name",
    "kind",
    "east_m",
    "north_m",
    "was_building",
    "past_use",
    "soil_test_on",
    "soil_test_clear",
)


def write_trees(place: Place) -> str:
    """Return the site's trees as CSV text, in order of tag.

    Args:
        place: The site.
    """
    return write_table(
        TREE_HEADS,
        (
            (
                tree.tag,
                tree.area,
                tree.species,
                tree.cultivar,
                *tree.position,
                tree.canopy_radius_m,
                ";".join(write_number(stem) for stem in tree.stem_diameters_mm),
                tree.stem_height_m,
                tree.inspected_on.isoformat() if tree.inspected_on else None,
            )
            for tree in sorted(place.trees, key=lambda tree: natural_key(tree.tag))
        ),
    )


def write_areas(place: Place) -> str:
    """Return the site's areas as CSV text, one row for each corner, in order of code.

    Args:
        place: The site.
    """
    return write_table(
        AREA_HEADS,
        (
            (
                area.code,
                area.name,
                area.kind.value,
                *corner,
                "yes" if area.was_building else "no",
                area.past_use,
                area.soil_test_on.isoformat() if area.soil_test_on else None,
                None if area.soil_test_clear is None else "yes" if area.soil_test_clear else "no",
            )
            for area in sorted(place.areas, key=lambda area: natural_key(area.code))
            for corner in area.outline
        ),
    )
