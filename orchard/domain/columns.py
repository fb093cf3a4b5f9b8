"""What the columns of a table of trees or areas mean, guessed from their heads.

A guess is only a proposal: the coordinator sees it and may change it. Reading the
cells is `cells`. Front door: `guess_columns`.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from orchard.domain.table_files import Table
from orchard.domain.units import Dimension, System, find_unit


class Noun(StrEnum):
    """What one row is about."""

    TREE = "tree"
    AREA = "area"


class Meaning(StrEnum):
    """What a column may hold; the value is what a person reads."""

    TAG = "tag"
    SPECIES = "species"
    CULTIVAR = "cultivar"
    AREA = "area"
    CODE = "area code"
    NAME = "area name"
    KIND = "kind of area"
    EAST = "distance east of the peg"
    NORTH = "distance north of the peg"
    LONGITUDE = "longitude"
    LATITUDE = "latitude"
    PEG_1 = "first peg"
    TAPE_1 = "tape from the first peg"
    PEG_2 = "second peg"
    TAPE_2 = "tape from the second peg"
    PEG_3 = "third peg"
    TAPE_3 = "tape from the third peg"
    SIDE = "side (left or right)"
    CANOPY_RADIUS = "canopy radius"
    CANOPY_WIDTH = "canopy width"
    STEM_DIAMETERS = "stem diameter"
    STEM_GIRTH = "stem girth"
    STEM_HEIGHT = "height of the stem measure"
    INSPECTED_ON = "day of the last look-over"
    WAS_BUILDING = "footprint of a building"
    PAST_USE = "past use"
    SOIL_TEST_ON = "day of the soil test"
    SOIL_TEST_CLEAR = "soil test clear"


PLACES = (
    Meaning.EAST,
    Meaning.NORTH,
    Meaning.LONGITUDE,
    Meaning.LATITUDE,
    Meaning.PEG_1,
    Meaning.TAPE_1,
    Meaning.PEG_2,
    Meaning.TAPE_2,
    Meaning.PEG_3,
    Meaning.TAPE_3,
    Meaning.SIDE,
)
OF_TREES = (
    Meaning.TAG,
    Meaning.SPECIES,
    Meaning.CULTIVAR,
    Meaning.AREA,
    *PLACES,
    Meaning.CANOPY_RADIUS,
    Meaning.CANOPY_WIDTH,
    Meaning.STEM_DIAMETERS,
    Meaning.STEM_GIRTH,
    Meaning.STEM_HEIGHT,
    Meaning.INSPECTED_ON,
)
OF_AREAS = (
    Meaning.CODE,
    Meaning.NAME,
    Meaning.KIND,
    *PLACES,
    Meaning.WAS_BUILDING,
    Meaning.PAST_USE,
    Meaning.SOIL_TEST_ON,
    Meaning.SOIL_TEST_CLEAR,
)
MEANINGS = {Noun.TREE: OF_TREES, Noun.AREA: OF_AREAS}

_BIG = {System.METRIC: "m", System.US: "foot"}
_SMALL = {System.METRIC: "mm", System.US: "inch"}
# The unit supposed where the head names none.
SUPPOSED: dict[Meaning, dict[System, str]] = {
    Meaning.EAST: _BIG,
    Meaning.NORTH: _BIG,
    Meaning.TAPE_1: _BIG,
    Meaning.TAPE_2: _BIG,
    Meaning.TAPE_3: _BIG,
    Meaning.CANOPY_RADIUS: _BIG,
    Meaning.CANOPY_WIDTH: _BIG,
    Meaning.STEM_DIAMETERS: _SMALL,
    Meaning.STEM_GIRTH: _SMALL,
    Meaning.STEM_HEIGHT: _BIG,
}

_HEADS: dict[Meaning, str] = {
    Meaning.TAG: "tag|tree tag|tag no|tag number|label|tree|tree no|tree number|tree id|number|no"
    "|nr|code|id",
    Meaning.SPECIES: "species|kind|kind of tree|fruit|genus|common name|type",
    Meaning.CULTIVAR: "cultivar|variety|sort",
    Meaning.AREA: "area|area code|zone|bed|lawn|part",
    Meaning.CODE: "area code|code|area|id",
    Meaning.NAME: "area name|name|title",
    Meaning.KIND: "kind of area|kind|type|use",
    Meaning.EAST: "east|easting|x|distance east of the peg|metres east|e",
    Meaning.NORTH: "north|northing|y|distance north of the peg|metres north|n",
    Meaning.LONGITUDE: "longitude|lon|lng|long",
    Meaning.LATITUDE: "latitude|lat",
    Meaning.PEG_1: "peg 1|first peg|peg a",
    Meaning.TAPE_1: "tape 1|tape from the first peg|distance 1|tape a",
    Meaning.PEG_2: "peg 2|second peg|peg b",
    Meaning.TAPE_2: "tape 2|tape from the second peg|distance 2|tape b",
    Meaning.PEG_3: "peg 3|third peg|peg c",
    Meaning.TAPE_3: "tape 3|tape from the third peg|distance 3|tape c",
    Meaning.SIDE: "side|side left or right|hand",
    Meaning.CANOPY_RADIUS: "canopy radius|crown radius|radius",
    Meaning.CANOPY_WIDTH: "canopy width|canopy diameter|canopy spread|crown width"
    "|crown diameter|crown spread|canopy|crown|spread|width",
    Meaning.STEM_DIAMETERS: "stem diameter|stem diameters|trunk diameter|diameter|diameters|dbh"
    "|caliper|stems|stem|trunk",
    Meaning.STEM_GIRTH: "stem girth|girth|circumference|trunk girth|trunk circumference|gbh",
    Meaning.STEM_HEIGHT: "stem height|height of the stem measure|measuring height",
    Meaning.INSPECTED_ON: "inspected on|inspected|day of the last look over|last inspection",
    Meaning.WAS_BUILDING: "was building|footprint of a building|building|footprint",
    Meaning.PAST_USE: "past use|history",
    Meaning.SOIL_TEST_ON: "soil test on|day of the soil test",
    Meaning.SOIL_TEST_CLEAR: "soil test clear",
}
_IN_BRACKETS = re.compile(r"[(\[]\s*([^)\]]*)\s*[)\]]")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: what it means (None: not used) and the unit of its bare numbers."""

    index: int
    head: str
    meaning: Meaning | None
    unit: str = ""
    unit_is_supposed: bool = False


def guess_columns(table: Table, noun: Noun, system: System) -> tuple[Column, ...]:
    """Return what each column seems to mean, each meaning at most once.

    Args:
        table: The table.
        noun: What its rows are about.
        system: Whose units to suppose where a head names none.
    """
    parts = [_take_apart(head) for head in table.heads]
    places = {
        meaning: {alias: place for place, alias in enumerate(_HEADS[meaning].split("|"))}
        for meaning in MEANINGS[noun]
    }
    offers = sorted(
        (aliases[words], index, order, meaning)
        for order, (meaning, aliases) in enumerate(places.items())
        for index, (words, _) in enumerate(parts)
        if words in aliases
    )
    taken: dict[int, Meaning] = {}
    for _, index, _, meaning in offers:
        if index not in taken and meaning not in taken.values():
            taken[index] = meaning
    return tuple(
        use_column(Column(index, head, None), taken.get(index), parts[index][1], system)
        for index, head in enumerate(table.heads)
    )


def use_column(column: Column, meaning: Meaning | None, unit: str, system: System) -> Column:
    """Return a column with a meaning, and the unit given or supposed for it."""
    if meaning is None or meaning not in SUPPOSED:
        return replace(column, meaning=meaning, unit="", unit_is_supposed=False)
    known = unit or SUPPOSED[meaning][system]
    return replace(column, meaning=meaning, unit=known, unit_is_supposed=not unit)


def check_columns(columns: Sequence[Column], noun: Noun) -> tuple[str, ...]:
    """Return what keeps the columns from being read, as sentences; none if they can be.

    Args:
        columns: As guessed or chosen.
        noun: What the rows are about.
    """
    used = [column.meaning for column in columns if column.meaning is not None]
    name = Meaning.TAG if noun is Noun.TREE else Meaning.CODE
    wrong = [
        f"Two columns are taken for the {meaning.value}. Keep one of them."
        for meaning in MEANINGS[noun]
        if used.count(meaning) > 1
    ]
    if name not in used:
        wrong.append(
            f"No column holds the {name.value}, by which {noun.value}s are matched. "
            "Say which one it is."
        )
    for one, other in ((Meaning.EAST, Meaning.NORTH), (Meaning.LONGITUDE, Meaning.LATITUDE)):
        if (one in used) != (other in used):
            missing = other if one in used else one
            wrong.append(f"The column with the {missing.value} is missing. Say which one it is.")
    return tuple(wrong)


def _take_apart(head: str) -> tuple[str, str]:
    """Return a head's words and the unit it names: "Canopy radius (ft)", "stem_diameters_mm"."""
    for inner in _IN_BRACKETS.findall(head):
        unit = find_unit(inner.strip(), Dimension.LENGTH)
        if unit is not None:
            return _words(_IN_BRACKETS.sub(" ", head)), unit
    words = _words(head)
    stem, _, last = words.rpartition(" ")
    unit = find_unit(last, Dimension.LENGTH)
    if stem and unit is not None:
        return stem.removesuffix(" in"), unit
    return words, ""


def _words(head: str) -> str:
    return " ".join(re.findall(r"[^\W_]+", head.casefold()))
