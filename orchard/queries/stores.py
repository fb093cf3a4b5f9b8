"""Reads the store: materials, suppliers' offers, deliveries and counts, and a plan's money."""

from dataclasses import dataclass, replace
from datetime import date

from orchard.domain.ledger import Ledger, SpoilFacts, build_ledger
from orchard.domain.materials import hole_volume_l
from orchard.domain.own_figures import fill_line
from orchard.domain.plan import MaterialItem, PlannedTask, PlannedTreatment, ToolItem
from orchard.domain.stores import StockMove, SupplierOffer
from orchard.domain.treatment import read_parameters
from orchard.domain.treatments.core_and_backfill import CoreAndBackfill
from orchard.models import Delivery, Offer, Plan, StockCount, Task
from orchard.queries.method_pages import load_figures
from orchard.queries.plans import load_lines, load_store
from orchard.queries.tasks import load_tasks
from orchard.queries.treatment_facts import load_own


@dataclass(frozen=True, slots=True)
class DeliveryLine:
    """A load as the store's page lists it; `cost_cents` is None while nobody told it."""

    code: str
    material: str
    on: date
    litres: int
    cost_cents: int | None


@dataclass(frozen=True, slots=True)
class StorePage:
    """What the store's page shows besides what depends on the season's days."""

    tools: tuple[ToolItem, ...]
    materials: tuple[MaterialItem, ...]
    offers: tuple[SupplierOffer, ...]
    deliveries: tuple[DeliveryLine, ...]
    moves: tuple[StockMove, ...]


def load_store_page(site_id: int) -> StorePage:
    """Return the store with its offers, deliveries and counts."""
    store = load_store(site_id)
    return StorePage(
        tools=store.tools,
        materials=store.materials,
        offers=load_offers(site_id),
        deliveries=_load_deliveries(site_id),
        moves=load_stock_moves(site_id),
    )


def load_offers(site_id: int) -> tuple[SupplierOffer, ...]:
    """Return the suppliers' offers, by material."""
    rows = Offer.objects.filter(material__site_id=site_id).select_related("material")
    return tuple(
        SupplierOffer(
            code=row.code,
            material=row.material.code,
            supplier=row.supplier,
            unit="bag" if row.unit == Offer.Unit.BAG else "bulk",
            litres_per_unit=row.litres_per_unit,
            price_cents_per_unit=row.price_cents_per_unit,
            least_units=row.least_units,
            delivery_cents=row.delivery_cents,
            lead_days=row.lead_days,
        )
        for row in rows.order_by("material__code", "code")
    )


def load_stock_moves(site_id: int) -> tuple[StockMove, ...]:
    """Return what was delivered and what was counted."""
    loads = Delivery.objects.filter(material__site_id=site_id).select_related("material")
    counts = StockCount.objects.filter(material__site_id=site_id).select_related("material")
    moves = [
        StockMove(row.on, row.material.code, float(row.litres), f"delivery {row.code}")
        for row in loads.order_by("on", "code")
    ]
    moves += [
        StockMove(row.on, row.material.code, float(row.litres), "counted", is_count=True)
        for row in counts.order_by("on", "pk")
    ]
    return tuple(moves)


def load_plan_ledgers(site_id: int) -> tuple[tuple[str, str, Ledger], ...]:
    """Return code, title and ledger of each plan, over all its tasks that stand.

    Raises:
        UnknownMaterial: If a task needs a material that the store does not list.
    """
    store, offers = load_store(site_id), load_offers(site_id)
    own = load_own(site_id)
    away_cents = load_figures(site_id).costs.spoil_away_per_m3
    found = []
    for plan in Plan.objects.filter(site_id=site_id).order_by("code"):
        kept = load_tasks(plan.pk)
        tasks = tuple(one.task for one in kept if one.state != Task.State.WITHDRAWN)
        lines = tuple(fill_line(line, own) for line in load_lines(plan.pk))
        spoil = _describe_spoil(tasks, lines, away_cents)
        ledger = build_ledger(tasks, store, offers, budget_cents=plan.budget_cents, spoil=spoil)
        found.append((plan.code, plan.title, ledger))
    return tuple(found)


def _describe_spoil(
    tasks: tuple[PlannedTask, ...], lines: tuple[PlannedTreatment, ...], away_cents: int
) -> SpoilFacts:
    """Return holes of the usual width, as deep as gives the plan's own volume a hole."""
    volumes = {}
    for line in lines:
        if line.treatment == CoreAndBackfill.code:
            values = read_parameters(CoreAndBackfill(), line)
            volumes[line.key] = hole_volume_l(values["diameter_mm"], values["depth_mm"])
    usual = SpoilFacts(away_cents_per_m3=away_cents)
    bored = [task for task in tasks if task.kind == "core" and task.planned in volumes]
    holes = sum(task.units for task in bored)
    if not holes:
        return usual
    mean_l = sum(task.units * volumes[task.planned] for task in bored) / holes
    depth_mm = usual.depth_mm * mean_l / hole_volume_l(usual.diameter_mm, usual.depth_mm)
    return replace(usual, depth_mm=depth_mm)


def _load_deliveries(site_id: int) -> tuple[DeliveryLine, ...]:
    rows = Delivery.objects.filter(material__site_id=site_id).select_related("material")
    return tuple(
        DeliveryLine(row.code, row.material.name, row.on, row.litres, row.cost_cents)
        for row in rows.order_by("on", "code")
    )
