"""The files of a site, its stores and its plan, read and checked as one value.

For `import_ground`, and for whoever must know the codes in the files before
they are written. Nothing is written from here. Front door: `read_ground`.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo, available_timezones

from orchard.domain.errors import GroundError, PlannerError
from orchard.domain.geometry import build_polygon, corridor_outline, get_area_at
from orchard.domain.place import (
    Area,
    AreaKind,
    Corridor,
    Outline,
    Place,
    Pocket,
    ServiceKind,
    ShelterKind,
    Tree,
)
from orchard.domain.plan import Store
from orchard.domain.pockets import check_pockets
from orchard.domain.rates import RateTable
from orchard.domain.units import System
from orchard.services.import_files import Entry, FileReader, note_repeats
from orchard.services.plan_file import PlanFile, read_plan, read_rates
from orchard.services.store_files import DeliveryFile, ReadingFile, read_readings, read_stores

SITE_KEYS = (
    "slug",
    "name",
    "town",
    "time_zone",
    "consent_version",
    "rates_from",
    "outline",
    "entrance",
    "peg",
    "emergency",
    "organiser",
    "welfare",
    "units",
)
TREE_COLUMNS = (
    "tag",
    "area",
    "species",
    "cultivar",
    "east_m",
    "north_m",
    "canopy_radius_m",
    "stem_diameters_mm",
    "stem_height_m",
)
AREA_KEYS = (
    "code",
    "name",
    "kind",
    "outline",
    "was_building",
    "past_use",
    "soil_test_on",
    "soil_test_clear",
)
FURTHEST_M = 5000.0  # a site wider than this is a slip of the pen; invented limit


@dataclass(frozen=True, slots=True)
class SiteFile:
    """A site's facts by the names the database uses, without its ground."""

    slug: str
    fields: dict[str, object]
    rates_from: date


@dataclass(frozen=True, slots=True)
class LocateFile:
    """A locate as written."""

    number: str
    first_day: date
    last_day: date
    areas: tuple[str, ...]
    marked_on: date | None = None


@dataclass(frozen=True, slots=True)
class GroundFiles:
    """Everything the ground files say."""

    site: SiteFile
    place: Place
    pockets: tuple[Pocket, ...]
    locates: tuple[LocateFile, ...]
    readings: tuple[ReadingFile, ...]
    store: Store
    deliveries: tuple[DeliveryFile, ...]
    plan: PlanFile
    rates: RateTable


def read_ground(reader: FileReader, *, on: date) -> GroundFiles:
    """Return what the folder's ground files say; problems go to the reader's list.

    Args:
        reader: The folder and the list of problems.
        on: The day of the import: the rates must be in force by then.
    """
    site, outline = _read_site(reader, on)
    ground = reader.read_toml("areas.toml", ("area", "corridor", "pocket"))
    areas = _read_areas(reader, ground)
    corridors = _read_corridors(reader, ground)
    codes = [area.code for area in areas]
    name = str(site.fields["name"])
    bare = Place(name=name, outline=outline, trees=(), areas=areas, corridors=corridors)
    trees = _read_trees(reader, bare)
    place = Place(name=name, outline=outline, trees=trees, areas=areas, corridors=corridors)
    pockets = _read_pockets(reader, ground, codes)
    if outline and not len(reader.problems):
        _note_fault(reader, "areas.toml", check_pockets, place, pockets)
    locates = _read_locates(reader, codes)
    readings = read_readings(reader, codes)
    store, deliveries = read_stores(reader)
    rates = read_rates(reader, site.rates_from)
    return GroundFiles(
        site=site,
        place=place,
        pockets=pockets,
        locates=locates,
        readings=readings,
        store=store,
        deliveries=deliveries,
        plan=read_plan(reader, place, pockets, store, rates),
        rates=rates,
    )


def _read_site(reader: FileReader, on: date) -> tuple[SiteFile, Outline]:
    entry = reader.read_toml("site.toml", SITE_KEYS)
    peg = entry.section("peg", ("latitude", "longitude"))
    emergency = entry.section(
        "emergency",
        ("number", "nearest_emergency_department", "muster_point", "shelter", "shelter_kind"),
    )
    welfare = entry.section("welfare", ("toilets", "hand_washes"))
    organiser = entry.section("organiser", ("name", "email"))
    zone = entry.text("time_zone", most=64)
    if zone and zone not in available_timezones():
        entry.note(f"“time_zone” is “{zone}”, which is no time zone. Write one as Europe/Paris.")
    fields: dict[str, object] = {
        "name": entry.text("name", most=120),
        "town": entry.text("town", most=120),
        "outline": [],
        "time_zone": zone,
        "peg_latitude": peg.number("latitude", least=-90, most=90, unit="degrees"),
        "peg_longitude": peg.number("longitude", least=-180, most=180, unit="degrees"),
        "entrance": entry.text("entrance"),
        "emergency_number": emergency.text("number", most=20),
        "nearest_emergency_department": emergency.text("nearest_emergency_department"),
        "muster_point": emergency.text("muster_point"),
        "shelter": emergency.text("shelter"),
        "shelter_kind": (
            emergency.choice("shelter_kind", [kind.value for kind in ShelterKind], "shelter")
            if emergency.has("shelter_kind")
            else ShelterKind.UNKNOWN.value
        ),
        "toilets": _read_count(welfare, "toilets"),
        "hand_washes": _read_count(welfare, "hand_washes"),
        "organiser_name": organiser.text("name", most=120),
        "organiser_email": read_email(organiser, "email"),
        "consent_version": entry.text("consent_version", most=20),
    }
    if entry.has("units"):
        fields["units"] = entry.choice("units", [system.value for system in System], "units")
    outline = entry.points("outline", 3)
    if outline:
        _note_fault(reader, entry.where, build_polygon, outline, "the site")
    fields["outline"] = as_json(outline)
    rates_from = entry.day("rates_from")
    if rates_from > on:
        entry.note(
            f"“rates_from” is {rates_from}, but today is {on}: no rate would be in force. "
            "Give today or an earlier day."
        )
    return SiteFile(entry.code("slug", most=50), fields, rates_from), outline


def _read_count(entry: Entry, key: str) -> int | None:
    return entry.whole(key, least=0, most=200) if entry.has(key) else None


def read_email(entry: Entry, key: str, *, optional: bool = False) -> str:
    """Return an address in small letters."""
    value = entry.text(key, most=254, optional=optional).lower()
    name, sign, host = value.partition("@")
    if value and not (name and sign and "." in host and " " not in value and "@" not in host):
        entry.note(f"“{key}” is “{value}”, not an e-mail address. Write it as name@example.org.")
    return value


def as_json(points: Iterable[tuple[float, float]]) -> list[list[float]]:
    """Return points as the database keeps them."""
    return [[east, north] for east, north in points]


def get_zone(site: SiteFile) -> ZoneInfo:
    """Return the site's time zone, UTC while its name is still to be put right."""
    name = str(site.fields["time_zone"])
    return ZoneInfo(name if name in available_timezones() else "UTC")


def _read_areas(reader: FileReader, ground: Entry) -> tuple[Area, ...]:
    found: list[Area] = []
    rows = reader.read_tables("areas.toml", ground, "area", AREA_KEYS)
    for row in rows:
        kind = row.choice("kind", [kind.value for kind in AreaKind], "kind of area")
        area = Area(
            code=row.code("code", most=12),
            name=row.text("name", most=80),
            kind=AreaKind(kind) if kind in list(AreaKind) else AreaKind.LAWN,
            outline=row.points("outline", 3),
            was_building=row.truth("was_building"),
            past_use=row.text("past_use", optional=True),
            soil_test_on=row.optional_day("soil_test_on"),
            soil_test_clear=row.optional_truth("soil_test_clear"),
        )
        if area.soil_test_clear is not None and area.soil_test_on is None:
            row.note("“soil_test_clear” has no “soil_test_on”. Add the day of the test.")
        if area.outline:
            _note_fault(reader, row.where, build_polygon, area.outline, f"area {area.code}")
        found.append(area)
    note_repeats(zip(rows, [area.code for area in found], strict=True), "area")
    return tuple(found)


def _read_corridors(reader: FileReader, ground: Entry) -> tuple[Corridor, ...]:
    found: list[Corridor] = []
    keys = ("code", "service", "line", "width_m", "tolerance_m")
    rows = reader.read_tables("areas.toml", ground, "corridor", keys)
    for row in rows:
        service = row.choice("service", [kind.value for kind in ServiceKind], "service")
        corridor = Corridor(
            code=row.code("code", most=12),
            service=ServiceKind(service) if service in list(ServiceKind) else ServiceKind.UNKNOWN,
            line=row.points("line", 2),
            width_m=row.number("width_m", least=0, most=20, unit="m"),
            tolerance_m=row.number("tolerance_m", least=0, most=20, unit="m"),
        )
        if corridor.line:
            _note_fault(reader, row.where, corridor_outline, corridor)
        found.append(corridor)
    note_repeats(zip(rows, [corridor.code for corridor in found], strict=True), "corridor")
    return tuple(found)


def _read_pockets(reader: FileReader, ground: Entry, areas: list[str]) -> tuple[Pocket, ...]:
    found: list[Pocket] = []
    rows = reader.read_tables("areas.toml", ground, "pocket", ("code", "name", "area", "outline"))
    for row in rows:
        pocket = Pocket(
            code=row.code("code", most=12),
            name=row.text("name", most=80),
            outline=row.points("outline", 3),
            area=row.choice("area", areas, "area"),
        )
        if pocket.outline:
            _note_fault(reader, row.where, build_polygon, pocket.outline, f"pocket {pocket.code}")
        found.append(pocket)
    note_repeats(zip(rows, [pocket.code for pocket in found], strict=True), "pocket")
    return tuple(found)


def _read_trees(reader: FileReader, place: Place) -> tuple[Tree, ...]:
    areas = {area.code: area for area in place.areas}
    found: list[Tree] = []
    rows = reader.read_csv("trees.csv", TREE_COLUMNS, optional=("inspected_on",))
    for row in rows:
        tree = Tree(
            tag=row.code("tag", most=12),
            species=row.text("species", most=60),
            cultivar=row.text("cultivar", most=80, optional=True),
            position=(
                row.number("east_m", least=-FURTHEST_M, most=FURTHEST_M, unit="m"),
                row.number("north_m", least=-FURTHEST_M, most=FURTHEST_M, unit="m"),
            ),
            canopy_radius_m=row.optional_number("canopy_radius_m", least=0.1, most=20, unit="m"),
            stem_diameters_mm=_read_stems(row),
            stem_height_m=row.number("stem_height_m", least=0.1, most=2, unit="m"),
            area=row.choice("area", areas, "area"),
            inspected_on=row.optional_day("inspected_on"),
        )
        if tree.area in areas and areas[tree.area].outline:
            _note_outside(row, place, areas[tree.area], tree)
        found.append(tree)
    note_repeats(zip(rows, [tree.tag for tree in found], strict=True), "tree")
    return tuple(found)


def _read_stems(row: Entry) -> tuple[int, ...]:
    stems: list[int] = []
    for part in row.texts("stem_diameters_mm"):
        if part.isascii() and part.isdigit() and 1 <= int(part) <= 3000:
            stems.append(int(part))
        else:
            row.note(
                f"“stem_diameters_mm” holds “{part}”; each stem is a whole number of "
                "millimetres from 1 to 3000, several parted by semicolons."
            )
    return tuple(stems)


def _note_outside(row: Entry, place: Place, area: Area, tree: Tree) -> None:
    alone = Place(place.name, place.outline, (), (area,), ())
    try:
        get_area_at(alone, tree.position)
    except GroundError:
        return  # the area's own outline is bad and was noted with the area
    except PlannerError:
        row.note(
            f"tree {tree.tag} stands at {tree.position[0]:g} m east, {tree.position[1]:g} m "
            f"north, outside area {area.code}. Correct its position or its area."
        )


def _read_locates(reader: FileReader, areas: list[str]) -> tuple[LocateFile, ...]:
    file = reader.read_toml("locates.toml", ("locate",))
    keys = ("number", "first_day", "last_day", "areas", "marked_on")
    rows = reader.read_tables("locates.toml", file, "locate", keys, "number")
    found = [
        LocateFile(
            number=row.text("number", most=40),
            first_day=row.day("first_day"),
            last_day=row.day("last_day"),
            areas=row.choices("areas", areas, "area"),
            marked_on=row.optional_day("marked_on"),
        )
        for row in rows
    ]
    for row, locate in zip(rows, found, strict=True):
        if locate.last_day < locate.first_day:
            row.note(f"it ends on {locate.last_day}, before it begins on {locate.first_day}.")
    note_repeats(zip(rows, [locate.number for locate in found], strict=True), "locate")
    return tuple(found)


def _note_fault(
    reader: FileReader, where: str, check: Callable[..., object], *args: object
) -> None:
    """Run a check of the pure core and note what it refuses."""
    try:
        check(*args)
    except PlannerError as fault:
        reader.problems.note(where, fault.message)
