"""What heads are taken to mean."""

import pytest

from orchard.domain.columns import Meaning, Noun, check_columns, guess_columns
from orchard.domain.table_files import Table
from orchard.domain.units import System


def guess(
    *heads: str, noun: Noun = Noun.TREE, system: System = System.METRIC
) -> list[tuple[Meaning | None, str]]:
    columns = guess_columns(Table(heads, (), (), ()), noun, system)
    return [(column.meaning, column.unit) for column in columns]


@pytest.mark.parametrize(
    ("head", "meaning", "unit"),
    [
        ("Tag", Meaning.TAG, ""),
        ("tree_id", Meaning.TAG, ""),
        ("Diameter (in)", Meaning.STEM_DIAMETERS, "inch"),
        ("stem_diameters_mm", Meaning.STEM_DIAMETERS, "mm"),
        ("DBH [cm]", Meaning.STEM_DIAMETERS, "cm"),
        ("Girth in cm", Meaning.STEM_GIRTH, "cm"),
        ("Crown spread, ft", Meaning.CANOPY_WIDTH, "foot"),
        ("canopy_radius_m", Meaning.CANOPY_RADIUS, "m"),
        ("East (ft)", Meaning.EAST, "foot"),
        ("Lat", Meaning.LATITUDE, ""),
        ("Tape 1 (m)", Meaning.TAPE_1, "m"),
        ("weather", None, ""),
    ],
)
def test_a_head_and_its_unit(head: str, meaning: Meaning | None, unit: str) -> None:
    assert guess(head) == [(meaning, unit)]


def test_order_does_not_matter_and_each_meaning_goes_once() -> None:
    assert [meaning for meaning, _ in guess("north", "id", "species", "tag", "east")] == [
        Meaning.NORTH,
        None,
        Meaning.SPECIES,
        Meaning.TAG,
        Meaning.EAST,
    ]


def test_a_unit_is_supposed_by_the_sites_system_and_marked() -> None:
    table = Table(("diameter", "east"), (), (), ())

    us = guess_columns(table, Noun.TREE, System.US)
    metric = guess_columns(table, Noun.TREE, System.METRIC)

    assert [column.unit for column in us] == ["inch", "foot"]
    assert [column.unit for column in metric] == ["mm", "m"]
    assert all(column.unit_is_supposed for column in (*us, *metric))


def test_kind_is_a_species_of_a_tree_and_a_kind_of_an_area() -> None:
    assert guess("kind") == [(Meaning.SPECIES, "")]
    assert guess("kind", noun=Noun.AREA) == [(Meaning.KIND, "")]


def test_what_keeps_columns_from_being_read() -> None:
    table = Table(("species", "east"), (), (), ())

    problems = check_columns(guess_columns(table, Noun.TREE, System.METRIC), Noun.TREE)

    assert "No column holds the tag" in problems[0]
    assert "distance north of the peg is missing" in problems[1]
