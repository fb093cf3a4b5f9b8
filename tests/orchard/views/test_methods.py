"""Methods compared: the table, the plot, the site's own figures, and what fits."""

from html import unescape
from http import HTTPStatus

import pytest
from django.test import Client

from orchard.domain.methods import Method
from orchard.models import Site
from orchard.queries.method_pages import load_fit_page, load_method_page
from tests.signed_in import COORDINATOR, NOW, SITE, SignIn


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(COORDINATOR)


def site_id() -> int:
    return Site.objects.get(slug="traverser-yard").pk


def read(client: Client, address: str) -> str:
    return unescape(client.get(address).content.decode())


def test_a_pocket_of_twenty_square_metres_takes_what_the_reference_says(client: Client) -> None:
    """Section 0 G and 2b of the reference: 222 holes in 20 m² at 30 cm, 22 person-hours in firm."""
    from dataclasses import replace

    from orchard.domain.methods import compare_methods
    from orchard.queries.rates import load_rate_table

    page = load_method_page(site_id(), code="area-A", on=NOW.date())
    piece = replace(page.piece, area_m2=20.0, pockets=1, pocket_m2=20.0)
    rows = compare_methods(
        piece, load_rate_table(site_id(), on=NOW.date()), page.figures.turn_out, page.figures.costs
    )
    by_hand = next(row for row in rows if row.method is Method.HAND_POCKETS)
    mulch = next(row for row in rows if row.method is Method.MULCH)

    assert by_hand.holes == 222
    hours = (by_hand.effort.mean_min - mulch.effort.mean_min) / 60
    # 5.883 min a hole with the reference's rates, from which marking out may differ.
    assert hours == pytest.approx(21.8, rel=0.15)


def test_the_page_compares_every_way_with_its_plot(client: Client) -> None:
    text = read(client, f"{SITE}/methods/?ground=pocket-P1")

    assert "Pocket P1, between the two rows" in text
    for words in (
        "Leave it",
        "Mulch only",
        "Pockets by hand auger, 30 cm apart",
        "Cores over the whole",
    ):
        assert words in text
    assert f'src="{SITE}/methods/pocket-P1/plot.svg"' in text
    svg = client.get(f"{SITE}/methods/pocket-P1/plot.svg")
    png = client.get(f"{SITE}/methods/pocket-P1/plot.png")
    assert svg.headers["Content-Type"] == "image/svg+xml"
    assert b"<svg" in svg.content
    assert png.content.startswith(b"\x89PNG\r\n")
    for wrong in ("methods/pocket-P1/plot.gif", "methods/pocket-P77/plot.svg"):
        assert client.get(f"{SITE}/{wrong}").status_code == HTTPStatus.NOT_FOUND


def test_own_prices_change_the_table(client: Client) -> None:
    before = load_method_page(site_id(), code="area-A", on=NOW.date())
    given = {
        "adults": "5",
        "working_min": "60",
        "chips_per_m3": "40",
        "mix_per_m3": "50",
        "powered_auger_per_session": "90",
        "contractor_per_m2": "25",
        "contractor_call_out": "400",
        "spoil_away_per_m3": "0",
    }

    client.post(f"{SITE}/methods/figures/", given)

    after = load_method_page(site_id(), code="area-A", on=NOW.date())
    mulch = [next(r for r in page.rows if r.method is Method.MULCH) for page in (before, after)]
    assert mulch[1].money_cents == pytest.approx(2 * mulch[0].money_cents, rel=0.001)
    assert mulch[1].sessions >= 3 * mulch[0].sessions  # a quarter of the hands at a session
    assert "They were set here." in read(client, f"{SITE}/methods/")
    wrong = client.post(f"{SITE}/methods/figures/", {**given, "adults": "0"})
    assert "outside what can be: 1 to 500" in wrong.content.decode()


def test_what_fits_is_the_best_of_all_combinations(client: Client) -> None:
    """Every combination tried here in a plain loop; the page's answer is worth as much."""
    from itertools import product

    codes = ["area-A", "area-B", "area-C", "area-D"]
    options = [load_method_page(site_id(), code=code, on=NOW.date()).rows for code in codes]
    fitting = [
        sum(row.benefit for row in rows)
        for rows in product(*options)
        if sum(row.effort.mean_min for row in rows) <= 150 * 60
        and sum(row.money_cents for row in rows) <= 200000
    ]

    page = load_fit_page(site_id(), hours=150, money_cents=200000, on=NOW.date())

    assert page.choice is not None
    assert page.choice.benefit == pytest.approx(max(fitting))
    text = read(client, f"{SITE}/methods/fit/?hours=150&money=2000")
    assert "combinations, proven" in text
    assert f"{page.choice.money_cents / 100:,.2f}" in text


def test_no_hours_at_all_leaves_the_ground(client: Client) -> None:
    text = read(client, f"{SITE}/methods/fit/?hours=0&money=0")

    assert text.count("Leave it") == 4
    assert "outside what can be" in read(client, f"{SITE}/methods/fit/?hours=-1&money=0")
