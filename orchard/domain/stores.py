"""What is bought, what is in stock on a day, what runs short when, and the ledger.

Front doors: `choose_offer`, `build_stock`, `find_shortages`, `build_ledger`.
Volumes and mixes are `materials`.
"""

from dataclasses import dataclass
from datetime import date
from typing import Literal


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
    """A material that runs short: the first day, the least balance, when to order at the latest."""

    material: str
    first_on: date
    what: str
    short_l: float
    worst_l: float
    order: Order | None
    order_by: date | None


@dataclass(frozen=True, slots=True)
class LedgerLine:
    """One line of the ledger. `cost_cents` is 0 for what is carried away or already there."""

    what: str
    quantity: str
    cost_cents: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class Ledger:
    """What a plan costs against its budget; `left_cents` is below 0 when it is over."""

    lines: tuple[LedgerLine, ...]
    total_cents: int
    budget_cents: int
    left_cents: int
    spoil_loose_l: float
    notes: tuple[str, ...]
