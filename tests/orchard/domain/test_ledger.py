"""A plan's money against its budget, worked by hand."""

from orchard.domain.breakdown import break_down_plan
from orchard.domain.ledger import LedgerLine, SpoilFacts, build_ledger
from orchard.domain.plan import Store
from orchard.domain.rates import RateTable
from orchard.domain.stores import SupplierOffer
from tests.orchard.domain.small_orchard import build_line, build_place, build_plan, build_pocket

BAG = SupplierOffer("B40", "compost", "Allotment shop", "bag", 40, 600)


def test_a_pocket_of_eighty_holes(rates: RateTable, store: Store) -> None:
    # 80 holes of 75 × 300 mm: 1.3254 L each, 106.0 L; 15 % settling -> 124.74 L loose; 60:40 ->
    # 74.85 and 49.90 L. Split into two tasks of 50 and 30 holes, each rounded up to whole litres.
    plan = build_plan(
        build_place(), build_line("COR", pockets=("P1",), spacing_mm=500), pockets=(build_pocket(),)
    )
    tasks = break_down_plan(plan, rates, store).tasks
    litres = {}
    for task in tasks:
        for need in task.materials:
            litres[need.material] = litres.get(need.material, 0) + need.litres
    ledger = build_ledger(
        tasks, store, [BAG], budget_cents=2500, in_stock_l={"topsoil": 1000},
        extras=[LedgerLine("auger hired", "1 day", 900)],
        spoil=SpoilFacts(swell=0.4, away_cents_per_m3=3000),
    )  # fmt: skip
    lines = {line.what: line for line in ledger.lines}
    assert 49.9 <= litres["compost"] <= 52
    assert lines["Compost"].cost_cents == 1200  # two bags
    assert lines["Topsoil"].cost_cents == 0
    assert "in stock" in lines["Topsoil"].note
    # 106.03 L × 1.40 = 148.4 L; 30.00 a cubic metre -> 4.45.
    assert round(ledger.spoil_loose_l, 1) == 148.4
    assert lines["spoil to carry away"].cost_cents == 445
    # 148.4 L of 1,300 kg/m³ is 193.0 kg; 60 kg (46.2 L) an adult's barrow, 30 kg a teenager's.
    spoil = lines["spoil to carry away"]
    assert round(spoil.mass_kg, 1) == 193.0
    assert (spoil.adult_loads, spoil.teenager_loads) == (4, 7)
    # Compost of 700 kg/m³: 50 to 52 L weigh 35 to 36.4 kg, one load of an adult, two of a teenager.
    assert 35 <= lines["Compost"].mass_kg <= 36.4
    assert (lines["Compost"].adult_loads, lines["Compost"].teenager_loads) == (1, 2)
    assert ledger.total_cents == 1200 + 445 + 900
    assert ledger.left_cents == 2500 - 2545
    assert ledger.notes == ("Over the budget by 0.45. Leave lines out, or ask for more.",)


def test_without_an_offer_the_loose_price_counts(rates: RateTable, store: Store) -> None:
    plan = build_plan(
        build_place(), build_line("COR", pockets=("P1",), spacing_mm=900), pockets=(build_pocket(),)
    )
    tasks = break_down_plan(plan, rates, store).tasks
    ledger = build_ledger(tasks, store, budget_cents=10000)
    (compost,) = [line for line in ledger.lines if line.what == "Compost"]
    litres = sum(n.litres for t in tasks for n in t.materials if n.material == "compost")
    assert compost.cost_cents == -(-int(litres) * 4500 // 1000)
    assert "no offer on file" in compost.note
    assert ledger.notes == ()


def test_nothing_planned_costs_nothing(store: Store) -> None:
    ledger = build_ledger((), store, budget_cents=0)
    assert (ledger.lines, ledger.total_cents, ledger.left_cents) == ((), 0, 0)
