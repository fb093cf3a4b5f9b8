"""A plan's money: what to buy, what to carry away, against the budget.

Front door: `build_ledger`. What runs short on which day is `stores`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from orchard.domain.coring import SPOIL_KG_PER_M3
from orchard.domain.materials import (
    POURED,
    SPOIL_SWELL,
    count_loads,
    get_material,
    hole_volume_l,
    loose_volume_l,
    mass_kg,
)
from orchard.domain.plan import PlannedTask, Store
from orchard.domain.stores import SupplierOffer, choose_offer


@dataclass(frozen=True, slots=True)
class LedgerLine:
    """One line of the ledger. `cost_cents` is 0 for what is there already.

    `mass_kg` is of the loose material, and the loads are whole barrows as an adult and
    as a teenager may push them; 0 for what no barrow carries.
    """

    what: str
    quantity: str
    cost_cents: int
    note: str = ""
    mass_kg: float = 0.0
    adult_loads: int = 0
    teenager_loads: int = 0


@dataclass(frozen=True, slots=True)
class Ledger:
    """What a plan costs against its budget; `left_cents` is below 0 when it is over."""

    lines: tuple[LedgerLine, ...]
    total_cents: int
    budget_cents: int
    left_cents: int
    spoil_loose_l: float
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SpoilFacts:
    """How spoil is reckoned: the holes' width and depth, swell, and what taking it away costs."""

    diameter_mm: float = 75.0
    depth_mm: float = 300.0
    swell: float = SPOIL_SWELL
    away_cents_per_m3: int = 0


DEFAULT_SPOIL = SpoilFacts()


def build_ledger(
    tasks: Iterable[PlannedTask],
    store: Store,
    offers: Iterable[SupplierOffer] = (),
    *,
    budget_cents: int,
    in_stock_l: Mapping[str, float] | None = None,
    extras: Iterable[LedgerLine] = (),
    spoil: SpoilFacts = DEFAULT_SPOIL,
) -> Ledger:
    """Return the ledger of some tasks.

    A material is bought once for the whole plan, from the cheapest offer that
    covers what stock does not; without an offer its loose price counts.

    Args:
        tasks: As broken down, or those still open.
        store: For names and loose prices.
        offers: Suppliers' bags and bulk.
        budget_cents: 0 or more.
        in_stock_l: Litres there already, by material.
        extras: Lines of their own, such as a contractor or a hired auger.
        spoil: For the spoil of the bored holes.

    Raises:
        UnknownMaterial: If a task needs a material that the store does not list.
    """
    listed, offered = tuple(tasks), tuple(offers)
    stock = dict(in_stock_l or {})
    wanted: dict[str, float] = {}
    for task in listed:
        for need in task.materials:
            wanted[need.material] = wanted.get(need.material, 0.0) + need.litres
    lines = [
        _material_line(code, wanted[code], stock.get(code, 0.0), store, offered)
        for code in sorted(wanted)
    ]
    bored = sum(task.units for task in listed if task.kind == "core")
    bank_l = bored * hole_volume_l(spoil.diameter_mm, spoil.depth_mm)
    loose_l = loose_volume_l(bank_l, spoil.swell)
    if bored:
        lines.append(_spoil_line(bored, bank_l, loose_l, spoil))
    lines += list(extras)
    total = sum(line.cost_cents for line in lines)
    left = budget_cents - total
    notes = (
        (f"Over the budget by {-left / 100:.2f}. Leave lines out, or ask for more.",)
        if left < 0
        else ()
    )
    return Ledger(tuple(lines), total, budget_cents, left, loose_l, notes)


def _spoil_line(bored: int, bank_l: float, loose_l: float, spoil: SpoilFacts) -> LedgerLine:
    return LedgerLine(
        "spoil to carry away",
        f"{loose_l:.0f} L loose",
        round(loose_l / 1000 * spoil.away_cents_per_m3),
        f"{bored} holes, {bank_l:.0f} L in the ground",
        mass_kg(loose_l, SPOIL_KG_PER_M3),
        count_loads(loose_l, SPOIL_KG_PER_M3, "adult"),
        count_loads(loose_l, SPOIL_KG_PER_M3, "teenager"),
    )


def _material_line(
    code: str, litres: float, stock_l: float, store: Store, offers: tuple[SupplierOffer, ...]
) -> LedgerLine:
    item = get_material(store, code)
    buy_l = max(0.0, litres - stock_l)
    had = f"; {min(litres, stock_l):.0f} L of it in stock" if stock_l > 0 else ""
    poured = code in POURED
    line = LedgerLine(
        item.name,
        f"{litres:.0f} L",
        0,
        mass_kg=mass_kg(litres, item.kg_per_m3),
        adult_loads=0 if poured else count_loads(litres, item.kg_per_m3, "adult"),
        teenager_loads=0 if poured else count_loads(litres, item.kg_per_m3, "teenager"),
    )
    if buy_l <= 1e-6:
        return replace(line, note=f"all in stock{had}")
    order = choose_offer(offers, code, buy_l)
    if order is None:
        cost = -(-round(buy_l * item.price_cents_per_m3) // 1000)
        return replace(line, cost_cents=cost, note=f"at the loose price, no offer on file{had}")
    over = f"; {order.left_over_l:.0f} L left over" if order.left_over_l >= 1 else ""
    return replace(line, cost_cents=order.cost_cents, note=f"{order.words}{over}{had}")
