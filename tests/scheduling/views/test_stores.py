"""The store's page: stock by date, what runs short when, the ledger's sums, entries by form."""

from datetime import date
from html import unescape

import pytest
from django.test import Client

from orchard.domain.usual_stores import build_usual_store
from orchard.models import Delivery, Material, Plan, Site, Task, Tool
from orchard.queries.stores import load_plan_ledgers
from scheduling.models import PlannedWork, SeasonPlan, Session
from scheduling.queries.material_uses import load_stock_days
from tests.signed_in import COORDINATOR, NOW, SITE, SignIn

STORE = f"{SITE}/store"


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(COORDINATOR)


def read(client: Client, address: str = f"{STORE}/") -> str:
    return unescape(client.get(address).content.decode())


def site_id() -> int:
    return Site.objects.get(slug="traverser-yard").pk


def plan_work(session: str, key: str, units: int) -> Task:
    task = Task.objects.get(key=key)
    found = Session.objects.get(code=session)
    season_plan, _ = SeasonPlan.objects.get_or_create(
        season=found.season,
        current=True,
        defaults={
            "made_at": NOW, "status": "good", "seconds": 1, "seed": 1, "engine": "by hand"
        },
    )  # fmt: skip
    PlannedWork.objects.create(season_plan=season_plan, session=found, task=task, units=units)
    return task


def test_planned_work_draws_on_the_stock_of_its_day(client: Client) -> None:
    task = Task.objects.filter(kind="mulch").order_by("position")[0]
    plan_work("S05", task.key, task.units)
    (need,) = [n for n in task.content["materials"] if n["material"] == "chips"]
    on = Session.objects.get(code="S05").starts_at.date()

    days = load_stock_days(site_id(), at=NOW).lines

    (moved,) = [day for day in days if day.material == "chips" and "S05" in day.what]
    assert (moved.on, moved.litres) == (on, -need["litres"])
    delivered = sum(
        Delivery.objects.filter(material__code="chips", on__lte=on).values_list("litres", flat=True)
    )
    assert moved.balance_l == delivered - need["litres"]


def test_what_runs_short_names_the_day_and_the_order_that_mends_it(client: Client) -> None:
    Delivery.objects.filter(material__code="chips").delete()
    task = Task.objects.filter(kind="mulch").order_by("position")[0]
    plan_work("S05", task.key, task.units)
    (need,) = [n for n in task.content["materials"] if n["material"] == "chips"]
    client.post(
        f"{STORE}/add-offer/",
        {
            "material": "chips",
            "code": "BULK",
            "supplier": "Sawmill",
            "unit": "bulk",
            "litres": "1 cu yd",
            "price": "12,50",
            "least": "1",
            "delivery": "30",
            "lead_days": "10",
        },
    )

    (short,) = load_stock_days(site_id(), at=NOW).shortages

    on = Session.objects.get(code="S05").starts_at.date()
    assert (short.material, short.first_on, short.worst_l) == ("chips", on, need["litres"])
    # International yard: 1 yd³ is 764.555 L, so whole yards are bought and one delivery paid.
    yards = -(-need["litres"] // 764.554858)
    assert short.order.units == yards
    assert short.order.cost_cents == yards * 1250 + 3000
    assert short.order_by == date.fromordinal(on.toordinal() - 10)
    text = read(client)
    assert "Runs short" in text
    assert f"{short.order.cost_cents / 100:,.2f}" in text


def test_a_count_is_truer_than_the_sum(client: Client) -> None:
    client.post(f"{STORE}/add-count/", {"material": "chips", "on": "2027-05-01", "litres": "500"})

    days = [d for d in load_stock_days(site_id(), at=NOW).lines if d.material == "chips"]

    assert {day.on: day.balance_l for day in days}[date(2027, 5, 1)] == 500


def test_the_ledgers_foot_is_the_sum_of_its_lines(client: Client) -> None:
    ((code, _title, ledger),) = load_plan_ledgers(site_id())
    plan = Plan.objects.get(code=code)

    assert ledger.total_cents == sum(line.cost_cents for line in ledger.lines)
    assert ledger.left_cents == plan.budget_cents - ledger.total_cents
    text = read(client)
    for figure in (ledger.total_cents, ledger.budget_cents, ledger.left_cents):
        assert f"{figure / 100:,.2f}" in text


def test_spoil_is_reckoned_with_the_plans_own_depth(client: Client) -> None:
    """Holes of 75 mm: 707 at 350 mm and the rest at 300 mm, swollen by 30 % (clay 30 to 60 %)."""
    cores = Task.objects.filter(kind="core").exclude(state="withdrawn")
    deep = sum(t.units for t in cores if t.content["planned"] == "pockets-spring")
    flat = sum(t.units for t in cores if t.content["planned"] == "pocket-rubble")
    bank_l = 3.14159265 * 0.375**2 * (deep * 3.5 + flat * 3.0)

    ((_code, _title, ledger),) = load_plan_ledgers(site_id())

    assert deep
    assert flat
    assert ledger.spoil_loose_l == pytest.approx(bank_l * 1.3, rel=1e-4)


def test_entries_that_cannot_be_are_sentences(client: Client) -> None:
    twice = {"material": "compost", "code": "COM-1", "on": "2027-03-01", "litres": "100"}
    assert "There is a delivery COM-1 of green compost" in unescape(
        client.post(f"{STORE}/add-delivery/", twice).content.decode()
    )
    heavy = {**twice, "code": "COM-9", "litres": "5 kg"}
    assert "volume is wanted" in client.post(f"{STORE}/add-delivery/", heavy).content.decode()
    assert not Delivery.objects.filter(code="COM-9").exists()


def test_an_empty_store_takes_over_the_usual_list_once(client: Client) -> None:
    Tool.objects.all().delete()
    Material.objects.all().delete()
    assert "Take over the usual list" in read(client)

    client.post(f"{STORE}/usual-list/")
    tools = Tool.objects.filter(site_id=site_id())
    assert tools.count() == len(build_usual_store().tools)
    client.post(f"{STORE}/usual-list/")
    assert tools.count() == len(build_usual_store().tools)
    figures = {f"tool-{tool.code}": 0 for tool in tools} | {"tool-spade": "6"}
    client.post(f"{STORE}/tools/", figures)
    assert tools.get(code="spade").on_hand == 6
