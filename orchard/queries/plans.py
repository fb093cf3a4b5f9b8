"""Reads a plan with its ground, its soil and its store, as the core wants them."""

from orchard.domain import place as ground
from orchard.domain.diagnosis import diagnose_area
from orchard.domain.errors import PlanError
from orchard.domain.ground_history import GroundHistory
from orchard.domain.plan import (
    AreaHardness,
    MaterialItem,
    Parameter,
    Plan,
    PlannedTreatment,
    Store,
    ToolItem,
)
from orchard.domain.plan_versions import PlanContent
from orchard.models import Material, PlanTreatment, Pocket, Site, Tool
from orchard.models import Plan as PlanRow
from orchard.queries.holes import load_hole_facts
from orchard.queries.readings import find_latest_day, load_area_readings
from orchard.queries.treatment_facts import load_growth, load_site_facts


def load_place(site_id: int) -> ground.Place:
    """Return the site as plain geometry."""
    site = Site.objects.get(pk=site_id)
    return ground.Place(
        name=site.name,
        outline=_points(site.outline),
        trees=tuple(
            ground.Tree(
                tag=tree.tag,
                species=tree.species,
                cultivar=tree.cultivar,
                position=(tree.east_m, tree.north_m),
                canopy_radius_m=tree.canopy_radius_m,
                stem_diameters_mm=tuple(tree.stem_diameters_mm),
                stem_height_m=tree.stem_height_m,
                area=tree.area.code,
                inspected_on=tree.inspected_on,
            )
            for tree in site.trees.select_related("area").order_by("tag")
        ),
        areas=tuple(
            ground.Area(
                code=area.code,
                name=area.name,
                kind=ground.AreaKind(area.kind),
                outline=_points(area.outline),
                was_building=area.was_building,
                past_use=area.past_use,
                soil_test_on=area.soil_test_on,
                soil_test_clear=area.soil_test_clear,
            )
            for area in site.areas.order_by("code")
        ),
        corridors=tuple(
            ground.Corridor(
                corridor.code,
                ground.ServiceKind(corridor.service),
                _points(corridor.line),
                corridor.width_m,
                corridor.tolerance_m,
            )
            for corridor in site.corridors.order_by("code")
        ),
    )


def load_pockets(site_id: int) -> tuple[ground.Pocket, ...]:
    """Return the site's pockets in order of code."""
    return tuple(
        ground.Pocket(pocket.code, pocket.name, _points(pocket.outline), pocket.area.code)
        for pocket in Pocket.objects.filter(site_id=site_id).select_related("area")
    )


def load_hardness(site_id: int) -> tuple[AreaHardness, ...]:
    """Return how hard the ground of each area with readings is, by its diagnosis."""
    hardness = []
    for area, readings in load_area_readings(site_id).items():
        latest = find_latest_day(readings)
        # Who may dig does not change how hard the ground is, so its history is left aside.
        diagnosis = diagnose_area(area, readings, GroundHistory(area), on=latest)
        hardness.append(diagnosis.to_hardness())
    return tuple(hardness)


def load_plan(plan_id: int) -> Plan:
    """Return a plan with everything its breakdown needs.

    Raises:
        PlanError: If there is no such plan.
    """
    row = PlanRow.objects.filter(pk=plan_id).first()
    if row is None:
        raise PlanError(f"There is no plan number {plan_id}. Load or make one first.")
    return Plan(
        key=row.code,
        title=row.title,
        place=load_place(row.site_id),
        pockets=load_pockets(row.site_id),
        treatments=load_lines(row.pk),
        hardness=load_hardness(row.site_id),
        facts=load_site_facts(row.site_id),
        growth=load_growth(row.site_id),
        hole_facts=load_hole_facts(row.site_id),
    )


def load_content(plan_id: int) -> PlanContent:
    """Return what a coordinator wrote in a plan: title, budget and lines."""
    row = PlanRow.objects.get(pk=plan_id)
    return PlanContent(row.title, row.budget_cents, load_lines(plan_id))


def load_lines(plan_id: int) -> tuple[PlannedTreatment, ...]:
    """Return a plan's lines in their order."""
    lines = PlanTreatment.objects.filter(plan_id=plan_id).prefetch_related("trees", "pockets")
    return tuple(
        PlannedTreatment(
            key=line.key,
            treatment=line.treatment,
            trees=tuple(sorted(tree.tag for tree in line.trees.all())),
            pockets=tuple(sorted(pocket.code for pocket in line.pockets.all())),
            parameters=tuple(
                Parameter(name, float(value)) for name, value in sorted(line.parameters.items())
            ),
            priority=line.priority,
        )
        for line in lines
    )


def load_store(site_id: int) -> Store:
    """Return the site's tools and materials in order of code."""
    return Store(
        tools=tuple(
            ToolItem(
                code=tool.code,
                name=tool.name,
                on_hand=tool.on_hand,
                minimum_age=tool.minimum_age,
                powered=tool.powered,
                briefing=tool.briefing,
                inspected_on=tool.inspected_on,
                vibration_m_s2=tool.vibration_m_s2,
                mass_kg=tool.mass_kg,
            )
            for tool in Tool.objects.filter(site_id=site_id)
        ),
        materials=tuple(
            MaterialItem(
                code=material.code,
                name=material.name,
                kg_per_m3=material.kg_per_m3,
                price_cents_per_m3=material.price_cents_per_m3,
                bag_litres=material.bag_litres,
            )
            for material in Material.objects.filter(site_id=site_id)
        ),
    )


def _points(kept: list[list[float]]) -> ground.Outline:
    return tuple((float(point[0]), float(point[1])) for point in kept)
