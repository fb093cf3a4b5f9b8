"""What is bought, what is in stock on a day, and what runs short when.

Front doors: `choose_offer`, `build_stock`, `find_shortages`. Volumes and mixes
are `materials`; money against the budget is `ledger`.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from orchard.domain.errors import PlanError

_ROUNDING_L = 1e-6


@dataclass(frozen=True, slots=True)
class SupplierOffer:
    """One way to buy a material: by the bag or loose, in steps, from a least order up."""

    code: str
    material: str
    supplier: str
    unit: Literal["bag", "bulk"]
    litres_per_unit: float  # one bag, or one step of bulk: 1000 for whole cubic metres
    price_cents_per_unit: int
    least_units: int = 1
    delivery_cents: int = 0  # once per order, 0 if fetched
    lead_days: int = 0


@dataclass(frozen=True, slots=True)
class Order:
    """What to order of one offer and what it costs, delivery included."""

    offer: SupplierOffer
    units: int
    litres: float
    cost_cents: int
    left_over_l: float

    @property
    def words(self) -> str:
        """The order as told to a supplier."""
        unit = "bags" if self.offer.unit == "bag" and self.units != 1 else self.offer.unit
        if self.offer.unit == "bulk":
            return f"{self.litres / 1000:g} m³ loose from {self.offer.supplier}"
        return f"{self.units} {unit} of {self.offer.litres_per_unit:g} L from {self.offer.supplier}"


@dataclass(frozen=True, slots=True)
class StockMove:
    """Material coming (litres above 0), going (below 0), or a count of what is there."""

    on: date
    material: str
    litres: float
    what: str  # "delivery COM-1", "session S03", "counted in the bay"
    is_count: bool = False


@dataclass(frozen=True, slots=True)
class StockLine:
    """The stock of one material after one move; below 0 is what is lacking."""

    on: date
    material: str
    what: str
    litres: float
    balance_l: float


@dataclass(frozen=True, slots=True)
class Shortage:
    """A material that runs short: first when, how much in the end, and what to order by when."""

    material: str
    first_on: date
    what: str
    short_l: float  # on that day
    worst_l: float  # on the worst day
    order: Order | None  # covers the worst
    order_by: date | None


def price_order(offer: SupplierOffer, litres: float) -> Order:
    """Return the order of one offer that covers some litres, rounded up to what is sold.

    Args:
        offer: Bag or bulk, with its least order.
        litres: Loose volume wanted, above 0.

    Raises:
        PlanError: If the offer's unit holds nothing.

    Source:
        Arithmetic: 1 yd³ is 9 bags of 3 ft³ (University of Maine Extension), 14 of 2 ft³.
    """
    if not offer.litres_per_unit > 0:
        raise PlanError(
            f"Offer {offer.code} sells {offer.litres_per_unit:g} L at a time. Enter the litres of "
            "a bag, or 1000 for whole cubic metres."
        )
    wanted = math.ceil((litres - _ROUNDING_L) / offer.litres_per_unit)
    units = max(wanted, offer.least_units, 1)
    bought_l = units * offer.litres_per_unit
    return Order(
        offer,
        units,
        bought_l,
        units * offer.price_cents_per_unit + offer.delivery_cents,
        bought_l - litres,
    )


def choose_offer(offers: Iterable[SupplierOffer], material: str, litres: float) -> Order | None:
    """Return the cheapest order that covers some litres from one offer, None without an offer.

    Of equal costs the one that leaves least over is taken.

    Raises:
        PlanError: If an offer's unit holds nothing.
    """
    orders = [price_order(offer, litres) for offer in offers if offer.material == material]
    return min(
        orders,
        key=lambda order: (order.cost_cents, order.left_over_l, order.offer.code),
        default=None,
    )


def build_stock(moves: Iterable[StockMove]) -> tuple[StockLine, ...]:
    """Return the stock of every material after each move, by material and day.

    On one day a count comes first, then deliveries, then what is used: a load is
    there when the day's work begins.
    """
    lines: list[StockLine] = []
    balances: dict[str, float] = {}
    for move in sorted(moves, key=_move_order):
        before_l = balances.get(move.material, 0.0)
        after_l = move.litres if move.is_count else before_l + move.litres
        balances[move.material] = after_l
        lines.append(StockLine(move.on, move.material, move.what, after_l - before_l, after_l))
    return tuple(lines)


def find_stock_l(moves: Iterable[StockMove], material: str, on: date) -> float:
    """Return the litres of a material at the end of a day; below 0 is what is lacking."""
    lines = [line for line in build_stock(moves) if line.material == material and line.on <= on]
    return lines[-1].balance_l if lines else 0.0


def find_shortages(
    moves: Iterable[StockMove], offers: Iterable[SupplierOffer] = ()
) -> tuple[Shortage, ...]:
    """Return what runs short and when, in order of the first day short.

    Args:
        moves: Counts, deliveries and the use by dated work.
        offers: For what to order, and by when; the order covers the worst day.
    """
    lines = build_stock(moves)
    listed = tuple(offers)
    found: list[Shortage] = []
    for material in sorted({line.material for line in lines}):
        short = [
            line for line in lines if line.material == material and line.balance_l < -_ROUNDING_L
        ]
        if not short:
            continue
        first = short[0]
        worst_l = -min(line.balance_l for line in short)
        order = choose_offer(listed, material, worst_l)
        order_by = first.on - timedelta(days=order.offer.lead_days) if order else None
        found.append(
            Shortage(material, first.on, first.what, -first.balance_l, worst_l, order, order_by)
        )
    return tuple(sorted(found, key=lambda shortage: (shortage.first_on, shortage.material)))


def _move_order(move: StockMove) -> tuple[str, date, int, str]:
    return (
        move.material,
        move.on,
        0 if move.is_count else 1 if move.litres >= 0 else 2,
        move.what,
    )
