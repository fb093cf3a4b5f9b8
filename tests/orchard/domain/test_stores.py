"""Offers, stock by date and shortages, worked by hand."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import PlanError
from orchard.domain.stores import (
    StockMove,
    SupplierOffer,
    build_stock,
    choose_offer,
    find_shortages,
    find_stock_l,
    price_order,
)

CUBIC_FOOT_L, CUBIC_YARD_L = 28.316846592, 764.554857984
BAG = SupplierOffer("B40", "compost", "Allotment shop", "bag", 40, 600)
BULK = SupplierOffer("M3", "compost", "Yard", "bulk", 1000, 3400, 2, 5000, lead_days=7)


@pytest.mark.parametrize(("bag_ft3", "bags"), [(3, 9), (2, 14)])
def test_bags_in_a_cubic_yard(bag_ft3: float, bags: int) -> None:
    # University of Maine Extension: 9 bags of 3 ft³; 13.5 of 2 ft³, rounded up.
    offer = SupplierOffer("B", "mulch", "Shop", "bag", bag_ft3 * CUBIC_FOOT_L, 100)
    assert price_order(offer, CUBIC_YARD_L).units == bags


@pytest.mark.parametrize(
    ("litres", "code", "cents", "left_over"),
    [
        # 300 L: 8 bags at 6.00 = 48.00; bulk 2 m³ at 34.00 + 50.00 delivery = 118.00.
        (300, "B40", 4800, 20),
        # 1,000 L: 25 bags = 150.00; bulk 118.00.
        (1000, "M3", 11800, 1000),
    ],
)
def test_the_cheaper_way_with_least_order_and_delivery(
    litres: float, code: str, cents: int, left_over: float
) -> None:
    order = choose_offer([BULK, BAG], "compost", litres)
    assert order is not None
    assert (order.offer.code, order.cost_cents, order.left_over_l) == (code, cents, left_over)


def test_words_of_an_order() -> None:
    assert price_order(BAG, 300).words == "8 bags of 40 L from Allotment shop"
    assert price_order(BULK, 300).words == "2 m³ loose from Yard"
    assert price_order(BAG, 5).words == "1 bag of 40 L from Allotment shop"


def test_no_offer_is_none_and_an_empty_bag_is_refused() -> None:
    assert choose_offer([BAG], "chips", 10) is None
    with pytest.raises(PlanError, match="0 L at a time"):
        price_order(SupplierOffer("X", "compost", "Y", "bag", 0, 1), 10)


MARCH = date(2027, 3, 1)


def move(day: int, litres: float, what: str, *, count: bool = False) -> StockMove:
    return StockMove(MARCH + timedelta(days=day), "compost", litres, what, count)


def test_stock_by_date() -> None:
    moves = [
        move(10, -500, "session S02"),
        move(0, 200, "counted", count=True),
        move(10, 600, "delivery COM-1"),
        move(5, -150, "session S01"),
        move(20, 100, "counted", count=True),
    ]
    lines = build_stock(moves)
    assert [line.balance_l for line in lines] == [200, 50, 650, 150, 100]
    assert lines[-1].litres == -50  # what the count found missing
    assert find_stock_l(moves, "compost", MARCH + timedelta(days=9)) == 50
    assert find_stock_l(moves, "chips", MARCH) == 0
    assert find_shortages(moves) == ()


def test_what_runs_short_when_and_by_when_to_order() -> None:
    moves = [move(0, 300, "delivery"), move(20, -400, "session S03"), move(30, -900, "session S04")]
    (short,) = find_shortages(moves, [BAG, BULK])
    assert (short.first_on, short.what) == (MARCH + timedelta(days=20), "session S03")
    assert (short.short_l, short.worst_l) == (100, 1000)
    assert short.order is not None
    assert short.order.offer.code == "M3"
    assert short.order_by == MARCH + timedelta(days=13)


def test_a_shortage_without_an_offer_is_still_told() -> None:
    (short,) = find_shortages([move(0, -1, "session S01")])
    assert (short.order, short.order_by) == (None, None)


@given(st.lists(st.tuples(st.integers(0, 60), st.integers(-900, 900)), max_size=20))
def test_stock_ends_where_the_moves_add_up(pairs: list[tuple[int, int]]) -> None:
    moves = [move(day, litres, f"m{i}") for i, (day, litres) in enumerate(pairs)]
    end = find_stock_l(moves, "compost", MARCH + timedelta(days=100))
    assert end == sum(litres for _, litres in pairs)
    short = find_shortages(moves)
    least = min((line.balance_l for line in build_stock(moves)), default=0)
    assert bool(short) == (least < 0)
    if short:
        assert short[0].worst_l == -least


@given(st.floats(0.1, 20000), st.integers(1, 5))
def test_an_order_covers_what_is_wanted_and_no_smaller_one_would(litres: float, least: int) -> None:
    offer = SupplierOffer("B", "compost", "S", "bag", 40, 600, least)
    order = price_order(offer, litres)
    assert order.litres >= litres - 1e-5
    assert order.units == least or (order.units - 1) * 40 < litres
