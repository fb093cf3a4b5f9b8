"""Reads what is known of each area's ground, and which treatment suits it.

Not for the readings themselves: those are `readings`.
"""

from dataclasses import dataclass
from datetime import date

from orchard.domain.diagnosis import AreaDiagnosis, diagnose_area
from orchard.domain.drawing_words import list_words
from orchard.domain.evidence import GroundVerdict
from orchard.domain.geometry import outline_area_m2
from orchard.domain.ground_history import read_history
from orchard.domain.ordering import natural_key
from orchard.domain.own_figures import read_limits
from orchard.domain.place import Area, Place, Pocket
from orchard.domain.readings import AreaReadings
from orchard.domain.treatment import Fitness, GroundFacts, Target, Treatment
from orchard.domain.treatments import TREATMENTS
from orchard.queries.plans import load_place, load_pockets
from orchard.queries.readings import ReadingLine, load_area_readings, load_reading_lines
from orchard.queries.treatment_facts import load_growth, load_own, load_site_facts


@dataclass(frozen=True, slots=True)
class AreaFit:
    """Areas that a treatment suits alike, named in words."""

    areas: str
    fitness: Fitness


@dataclass(frozen=True, slots=True)
class TreatmentFit:
    """A treatment with its fit to every area that holds ground for it."""

    treatment: Treatment
    areas: tuple[AreaFit, ...]


def load_diagnoses(site_id: int, *, on: date) -> tuple[AreaDiagnosis, ...]:
    """Return the verdict on every area of the site as of a day, areas in order of code."""
    readings = load_area_readings(site_id)
    limits = read_limits(load_own(site_id))
    areas = sorted(load_place(site_id).areas, key=lambda area: natural_key(area.code))
    return tuple(
        diagnose_area(
            area.code,
            readings.get(area.code, AreaReadings()),
            read_history(area),
            on=on,
            limits=limits,
        )
        for area in areas
    )


def load_treatment_fits(
    site_id: int, *, on: date, codes: tuple[str, ...] = ()
) -> tuple[TreatmentFit, ...]:
    """Return treatments with their fit to the site's areas, all or those of some codes."""
    facts = load_ground_facts(site_id, on=on)
    names = {area.code: area.name for area in load_place(site_id).areas}
    with_pockets = {pocket.area for pocket in load_pockets(site_id)}
    found = []
    for treatment in TREATMENTS:
        if codes and treatment.code not in codes:
            continue
        for_pockets = treatment.target is Target.POCKETS
        alike: dict[Fitness, list[str]] = {}
        for fact in facts:
            if fact.area in with_pockets if for_pockets else fact.trees:
                fitness = treatment.applies_when(fact)
                alike.setdefault(fitness, []).append(f"{fact.area} {names[fact.area]}")
        fits = tuple(AreaFit(list_words(areas), fitness) for fitness, areas in alike.items())
        found.append(TreatmentFit(treatment, fits))
    return tuple(found)


def load_ground_facts(site_id: int, *, on: date) -> tuple[GroundFacts, ...]:
    """Return what is known of each area of the site, areas in order of code."""
    place = load_place(site_id)
    growth = load_growth(site_id)
    site = load_site_facts(site_id)

    def facts(diagnosis: AreaDiagnosis) -> GroundFacts:
        trees = tuple(tree for tree in place.trees if tree.area == diagnosis.area)
        tags = {tree.tag for tree in trees}
        known = diagnosis.verdict is not GroundVerdict.UNKNOWN
        return GroundFacts(
            area=diagnosis.area,
            hardness=diagnosis.hardness if known else None,
            diagnosis=diagnosis,
            trees=trees,
            growth=tuple(one for one in growth if one.tag in tags),
            site=site,
            on=on,
        )

    return tuple(facts(diagnosis) for diagnosis in load_diagnoses(site_id, on=on))


@dataclass(frozen=True, slots=True)
class AreaRow:
    """One area as the ground's page lists it."""

    area: Area
    area_m2: float
    trees: int
    pockets: int
    readings: int
    diagnosis: AreaDiagnosis


@dataclass(frozen=True, slots=True)
class GroundPage:
    """All areas of a site, and what the place lacks before anything else can be done."""

    rows: tuple[AreaRow, ...]
    has_outline: bool
    trees: int


@dataclass(frozen=True, slots=True)
class AreaPage:
    """One area with its verdict and its readings."""

    row: AreaRow
    readings: tuple[ReadingLine, ...]
    pockets: tuple[Pocket, ...]
    place: Place


def load_ground_page(site_id: int, *, on: date) -> GroundPage:
    """Return what the ground's page shows."""
    place = load_place(site_id)
    rows = _load_area_rows(site_id, place, on)
    return GroundPage(rows, len(place.outline) > 2, len(place.trees))


def load_area_page(site_id: int, code: str, *, on: date) -> AreaPage | None:
    """Return what an area's page shows, or None if the site has no such area."""
    place = load_place(site_id)
    row = next((one for one in _load_area_rows(site_id, place, on) if one.area.code == code), None)
    if row is None:
        return None
    pockets = tuple(pocket for pocket in load_pockets(site_id) if pocket.area == code)
    return AreaPage(row, load_reading_lines(site_id, area=code), pockets, place)


def _load_area_rows(site_id: int, place: Place, on: date) -> tuple[AreaRow, ...]:
    diagnoses = {diagnosis.area: diagnosis for diagnosis in load_diagnoses(site_id, on=on)}
    pockets = [pocket.area for pocket in load_pockets(site_id)]
    readings = [line.area for line in load_reading_lines(site_id)]
    return tuple(
        AreaRow(
            area=area,
            area_m2=outline_area_m2((area.outline,)),
            trees=sum(tree.area == area.code for tree in place.trees),
            pockets=pockets.count(area.code),
            readings=readings.count(area.code),
            diagnosis=diagnoses[area.code],
        )
        for area in sorted(place.areas, key=lambda area: natural_key(area.code))
    )
