"""Importing a site, its ground, stores, plan and rates from a folder of files.

Safe to run again: rows are matched by their codes, so files that did not change
change nothing. The files hold the whole of a site's ground, stores and plan:
what they no longer name is removed. People and sessions are `scheduling`'s.
"""

from datetime import datetime
from pathlib import Path
from typing import Any

from django.db import transaction

from orchard.domain.rates import RateTable
from orchard.models import (
    Area,
    Corridor,
    Delivery,
    Locate,
    Material,
    Plan,
    PlanTreatment,
    Pocket,
    RateVersion,
    Reading,
    Site,
    Tool,
    Tree,
)
from orchard.services.ground_files import GroundFiles, as_json, read_ground
from orchard.services.import_files import FileReader, Problems
from orchard.services.import_rows import ImportReport, NounCount, save_rows
from orchard.services.rates import keep_rates

RATES_NOTE = "from the site's files"


def import_ground(folder: Path, *, at: datetime) -> ImportReport:
    """Bring the site, its ground, stores, plan and rates in line with a folder's files.

    Args:
        folder: Holds site.toml, areas.toml, trees.csv, readings.csv,
            locates.toml, stores.toml, plan.toml and, if wanted, rates.csv.
        at: The moment of the import, aware; rates that begin later are refused.

    Returns:
        What was created, changed, left alone and removed, noun by noun.

    Raises:
        ImportRefused: If anything is wrong with any file; nothing is written then.
    """
    problems = Problems()
    files = read_ground(FileReader(folder, problems), on=at.date())
    problems.refuse_if_any()
    return write_ground(files)


@transaction.atomic
def write_ground(files: GroundFiles) -> ImportReport:
    """Write ground files that were read without a problem, all or nothing."""
    site, site_count = _write_site(files)
    # What stands in an area keeps the area alive: it goes before the area, and comes after it.
    old_areas = {area.code: area for area in Area.objects.filter(site=site)}
    gone = [area for code, area in old_areas.items() if code not in _codes(files)]
    area_rows, area_count = save_rows(
        "areas",
        lambda code: Area(site=site, code=code),
        old_areas,
        {
            area.code: {
                "name": area.name,
                "kind": area.kind.value,
                "outline": as_json(area.outline),
                "was_building": area.was_building,
                "past_use": area.past_use,
                "soil_test_on": area.soil_test_on,
                "soil_test_clear": area.soil_test_clear,
            }
            for area in files.place.areas
        },
        remove=False,
    )
    counts = [
        site_count,
        area_count,
        _write_corridors(site, files),
        _write_trees(site, files, area_rows),
        _write_pockets(site, files, area_rows),
        _write_locates(site, files, area_rows),
        _write_readings(site, files, area_rows),
        *_write_stores(site, files),
        *_write_plan(site, files),
        _write_rates(site, files.rates),
    ]
    for area in gone:
        area.delete()
    counts[1] = NounCount(
        "areas", area_count.created, area_count.changed, area_count.unchanged, len(gone)
    )
    return ImportReport(tuple(counts))


def _codes(files: GroundFiles) -> frozenset[str]:
    return frozenset(area.code for area in files.place.areas)


def _write_site(files: GroundFiles) -> tuple[Site, NounCount]:
    slug = files.site.slug
    rows, count = save_rows(
        "sites",
        lambda key: Site(slug=key),
        {site.slug: site for site in Site.objects.filter(slug=slug)},
        {slug: files.site.fields},
        remove=False,
    )
    return rows[slug], count


def _write_corridors(site: Site, files: GroundFiles) -> NounCount:
    _, count = save_rows(
        "corridors",
        lambda code: Corridor(site=site, code=code),
        {corridor.code: corridor for corridor in Corridor.objects.filter(site=site)},
        {
            corridor.code: {
                "service": corridor.service.value,
                "line": as_json(corridor.line),
                "width_m": corridor.width_m,
                "tolerance_m": corridor.tolerance_m,
            }
            for corridor in files.place.corridors
        },
        remove=True,
    )
    return count


def _write_trees(site: Site, files: GroundFiles, areas: dict[str, Area]) -> NounCount:
    _, count = save_rows(
        "trees",
        lambda tag: Tree(site=site, tag=tag),
        {tree.tag: tree for tree in Tree.objects.filter(site=site)},
        {
            tree.tag: {
                "area_id": areas[tree.area].pk,
                "species": tree.species,
                "cultivar": tree.cultivar,
                "east_m": tree.position[0],
                "north_m": tree.position[1],
                "canopy_radius_m": tree.canopy_radius_m,
                "stem_diameters_mm": list(tree.stem_diameters_mm),
                "stem_height_m": tree.stem_height_m,
                "inspected_on": tree.inspected_on,
            }
            for tree in files.place.trees
        },
        remove=True,
    )
    return count


def _write_pockets(site: Site, files: GroundFiles, areas: dict[str, Area]) -> NounCount:
    _, count = save_rows(
        "pockets",
        lambda code: Pocket(site=site, code=code),
        {pocket.code: pocket for pocket in Pocket.objects.filter(site=site)},
        {
            pocket.code: {
                "area_id": areas[pocket.area].pk,
                "name": pocket.name,
                "outline": as_json(pocket.outline),
            }
            for pocket in files.pockets
        },
        remove=True,
    )
    return count


def _write_locates(site: Site, files: GroundFiles, areas: dict[str, Area]) -> NounCount:
    _, count = save_rows(
        "locates",
        lambda number: Locate(site=site, number=number),
        {locate.number: locate for locate in Locate.objects.filter(site=site)},
        {
            locate.number: {"first_day": locate.first_day, "last_day": locate.last_day}
            # A file that says nothing of the marks leaves what somebody entered on the page.
            | ({"marked_on": locate.marked_on} if locate.marked_on else {})
            for locate in files.locates
        },
        remove=True,
        links={
            "areas": {
                locate.number: [areas[code] for code in locate.areas] for locate in files.locates
            }
        },
    )
    return count


def _write_readings(site: Site, files: GroundFiles, areas: dict[str, Area]) -> NounCount:
    existing = Reading.objects.filter(area__site=site).select_related("area")
    _, count = save_rows(
        "readings",
        lambda key: Reading(area=areas[key[0]], code=key[1]),
        {(reading.area.code, reading.code): reading for reading in existing},
        {(reading.area, reading.code): reading.fields for reading in files.readings},
        remove=True,
    )
    return count


def _write_stores(site: Site, files: GroundFiles) -> tuple[NounCount, NounCount, NounCount]:
    _, tool_count = save_rows(
        "tools",
        lambda code: Tool(site=site, code=code),
        {tool.code: tool for tool in Tool.objects.filter(site=site)},
        {
            tool.code: {
                "name": tool.name,
                "on_hand": tool.on_hand,
                "minimum_age": tool.minimum_age,
                "powered": tool.powered,
                "briefing": tool.briefing,
                "inspected_on": tool.inspected_on,
                "vibration_m_s2": tool.vibration_m_s2,
                "mass_kg": tool.mass_kg,
            }
            for tool in files.store.tools
        },
        remove=True,
    )
    materials, material_count = save_rows(
        "materials",
        lambda code: Material(site=site, code=code),
        {material.code: material for material in Material.objects.filter(site=site)},
        {
            item.code: {
                "name": item.name,
                "kg_per_m3": item.kg_per_m3,
                "price_cents_per_m3": item.price_cents_per_m3,
                "bag_litres": item.bag_litres,
            }
            for item in files.store.materials
        },
        remove=True,
    )
    existing = Delivery.objects.filter(material__site=site).select_related("material")
    _, delivery_count = save_rows(
        "deliveries",
        lambda key: Delivery(material=materials[key[0]], code=key[1]),
        {(delivery.material.code, delivery.code): delivery for delivery in existing},
        {
            (delivery.material, delivery.code): {"on": delivery.on, "litres": delivery.litres}
            for delivery in files.deliveries
        },
        remove=True,
    )
    return tool_count, material_count, delivery_count


def _write_plan(site: Site, files: GroundFiles) -> tuple[NounCount, NounCount]:
    code = files.plan.code
    plans, plan_count = save_rows(
        "plans",
        lambda key: Plan(site=site, code=key),
        {plan.code: plan for plan in Plan.objects.filter(site=site, code=code)},
        {code: {"title": files.plan.title, "budget_cents": files.plan.budget_cents}},
        remove=False,
    )
    plan = plans[code]
    trees = {tree.tag: tree for tree in Tree.objects.filter(site=site)}
    pockets = {pocket.code: pocket for pocket in Pocket.objects.filter(site=site)}
    wanted: dict[str, dict[str, Any]] = {
        line.key: {
            "position": position,
            "treatment": line.treatment,
            "parameters": {given.name: given.value for given in line.parameters},
            "priority": line.priority,
        }
        for position, line in enumerate(files.plan.lines, start=1)
    }
    _, line_count = save_rows(
        "plan lines",
        lambda key: PlanTreatment(plan=plan, key=key),
        {line.key: line for line in PlanTreatment.objects.filter(plan=plan)},
        wanted,
        remove=True,
        links={
            "trees": {line.key: [trees[tag] for tag in line.trees] for line in files.plan.lines},
            "pockets": {line.key: [pockets[c] for c in line.pockets] for line in files.plan.lines},
        },
    )
    return plan_count, line_count


def _write_rates(site: Site, table: RateTable) -> NounCount:
    """Add a version when the rates differ from the last imported one; versions never change."""
    wanted = sorted(
        (
            rate.activity,
            rate.unit,
            rate.effort.low_min,
            rate.effort.likely_min,
            rate.effort.high_min,
            rate.basis,
        )
        for rate in table.rates
    )
    last = (
        RateVersion.objects.filter(site=site, as_of=table.as_of, note=RATES_NOTE)
        .order_by("id")
        .last()
    )
    if last is not None:
        kept = last.rates.values_list(
            "activity", "unit", "low_min", "likely_min", "high_min", "basis"
        )
        if sorted(kept) == wanted:
            return NounCount("rate versions", unchanged=1)
    keep_rates(site_id=site.pk, table=table, note=RATES_NOTE)
    return NounCount("rate versions", created=1)
