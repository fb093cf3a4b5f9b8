"""The arithmetic of ratios against published tables, and the ways of combining ages.

Tables: NSPCC Learning, Recommended adult to child ratios, September 2023; the
others by name. How ages combine is common practice, no source.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.domain.policy import RatioBand, SupervisionTable, build_default_policy
from scheduling.domain.supervision import (
    adults_by_band,
    adults_by_sum,
    adults_by_youngest,
    adults_required,
    supervision_load,
)

NSPCC = build_default_policy().supervision


def table(*per_adult: int) -> SupervisionTable:
    """Three bands, up to 8, up to 11, up to 18."""
    bands = tuple(RatioBand(oldest, n) for oldest, n in zip((8, 11, 18), per_adult, strict=True))
    return SupervisionTable("t", bands, 2, 18, "test", "proposed", date(2027, 1, 1))


def ages(*counts: int) -> list[int]:
    return [7] * counts[0] + [10] * counts[1] + [15] * counts[2]


@pytest.mark.parametrize(
    ("age", "per_adult"),
    [(0, 3), (1, 3), (2, 4), (3, 4), (4, 6), (8, 6), (9, 8), (12, 8), (13, 10), (18, 10)],
)
def test_the_shipped_table_is_the_published_one(age: int, per_adult: int) -> None:
    assert NSPCC.per_adult(age) == per_adult
    assert (NSPCC.least_adults, NSPCC.adult_from) == (2, 18)


@pytest.mark.parametrize(
    ("young", "adults"),
    [
        ([7] * 24, 4),  # NSPCC
        ([7] * 25, 5),
        ([15] * 5, 2),  # one by the ratio, two by the floor
        ([], 0),
    ],
)
def test_nspcc(young: list[int], adults: int) -> None:
    assert adults_required(NSPCC, young) == adults


@pytest.mark.parametrize(
    ("ratio", "young", "floor", "adults"),
    [
        # Girl Guides Australia, Ratios at a glance: adventure land, 13 aged 8 at 1:6 -> 3.
        (6, 13, 2, 3),
        # Camp, 6 aged 8 -> 1 by ratio, floor 3.
        (6, 6, 3, 3),
        # American Camp Association, day camp: 41 aged 12 at 1:10 -> 5.
        (10, 41, 2, 5),
        # Girlguiding: 16 Rainbows at 1:5 -> 4; 24 and 25 Brownies at 1:8 -> 3, 4.
        (5, 16, 2, 4),
        (8, 24, 2, 3),
        (8, 25, 2, 4),
        # Lester B. Pearson School Board, closed venue at 1:15; its open venue is 1:10 as above.
        (15, 41, 2, 3),
        # Hampshire country parks: 30 aged 9 at 1:12 -> 3.
        (12, 30, 2, 3),
        # Upper Grand District School Board policy 508: 26 in grade 2 at 1:8 -> 4.
        (8, 26, 2, 4),
    ],
)
def test_other_published_tables(ratio: int, young: int, floor: int, adults: int) -> None:
    one = replace(NSPCC, bands=(RatioBand(18, ratio),), least_adults=floor)
    assert adults_required(one, [9] * young) == adults


def test_shares_added_and_rounded_up_once() -> None:
    assert supervision_load(table(6, 8, 10), ages(7, 9, 12)) == Fraction(419, 120)
    assert adults_by_sum(table(6, 8, 10), ages(7, 9, 12)) == 4


def test_youngest_governs() -> None:
    assert adults_by_youngest(table(6, 8, 10), ages(7, 9, 12)) == 5


def test_each_band_rounded_up() -> None:
    assert adults_by_band(table(6, 8, 10), ages(7, 9, 12)) == 6


def test_the_three_ways_are_ordered_as_they_should_be() -> None:
    one = table(6, 8, 12)
    young = ages(7, 14, 17)
    ways = (adults_by_sum, adults_by_youngest, adults_by_band)
    assert [way(one, young) for way in ways] == [5, 7, 6]


def test_three_young_people_of_three_ages_need_two() -> None:
    assert adults_by_sum(table(6, 8, 10), ages(1, 1, 1)) == 1
    assert adults_required(table(6, 8, 10), ages(1, 1, 1)) == 2


@pytest.mark.parametrize(
    ("per_adult", "counts"), [((6, 8, 12), (7, 10, 7)), ((3, 4, 6), (5, 2, 5))]
)
def test_sums_that_floats_round_to_four(
    per_adult: tuple[int, int, int], counts: tuple[int, int, int]
) -> None:
    assert sum(n / r for n, r in zip(counts, per_adult, strict=True)) > 3
    assert adults_by_sum(table(*per_adult), ages(*counts)) == 3


WAYS = [adults_by_sum, adults_by_youngest, adults_by_band, adults_required]
YOUNG = st.lists(st.integers(0, 17), max_size=40)


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.__name__)
@given(young=YOUNG, more=st.integers(0, 17))
def test_one_more_child_never_lowers_the_answer(
    way: Callable[[SupervisionTable, list[int]], int], young: list[int], more: int
) -> None:
    assert way(NSPCC, [*young, more]) >= way(NSPCC, young)


@pytest.mark.parametrize("way", [adults_by_sum, adults_by_youngest, adults_required])
@given(young=YOUNG.filter(bool), data=st.data())
def test_a_younger_child_never_lowers_the_answer(
    way: Callable[[SupervisionTable, list[int]], int], young: list[int], data: st.DataObject
) -> None:
    place = data.draw(st.integers(0, len(young) - 1))
    younger = list(young)
    younger[place] = data.draw(st.integers(0, young[place]))
    assert way(NSPCC, younger) >= way(NSPCC, young)


@given(young=YOUNG)
def test_the_sum_is_never_above_the_other_ways(young: list[int]) -> None:
    least = adults_by_sum(NSPCC, young)
    assert least <= adults_by_youngest(NSPCC, young)
    assert least <= adults_by_band(NSPCC, young)
