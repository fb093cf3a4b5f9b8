"""SUP-1: NSPCC Learning, September 2023, crew by crew, in exact fractions."""

from dataclasses import replace

import pytest

from scheduling.domain.condition import Balance
from scheduling.domain.policy import RatioBand, build_default_policy
from tests.scheduling.domain.rule_days import (
    adult,
    broken,
    child,
    conditions_of,
    day,
    person,
    pupil,
    task,
    young,
)


def crew_passes(ages: list[int], adults: int, **policy: object) -> bool:
    people = [adult(n) for n in range(adults)]
    people += [child(100 + n, age) for n, age in enumerate(ages)]
    problem = day(people, **policy)
    return not broken("SUP-1", problem, {(1, 0): [p.id for p in people]})


@pytest.mark.parametrize(
    ("ages", "adults"),
    [
        # NSPCC 2023: 24 children of 7 need 4, 25 need 5.
        ([7] * 24, 4),
        ([7] * 25, 5),
        # Each band at its edges: one full share, then one more.
        ([1] * 3, 1),
        ([1] * 4, 2),
        ([3] * 4, 1),
        ([3] * 5, 2),
        ([8] * 6, 1),
        ([12] * 8, 1),
        ([12] * 9, 2),
        ([17] * 10, 1),
        ([17] * 11, 2),
        # Mixed: 7/6 + 9/8 + 12/10 = 3.4917 (reference 1.20).
        ([7] * 7 + [10] * 9 + [15] * 12, 4),
        # Exactly one: 3/6 + 4/8.
        ([7] * 3 + [10] * 4, 1),
    ],
)
def test_fewest_adults_of_a_crew(ages: list[int], adults: int) -> None:
    assert crew_passes(ages, adults)
    assert not crew_passes(ages, adults - 1)


def test_a_sum_that_floats_get_wrong() -> None:
    # 7/6 + 10/8 + 7/12 is exactly 3; added as floats it comes out above 3.
    assert 7 / 6 + 10 / 8 + 7 / 12 > 3
    table = replace(
        build_default_policy().supervision,
        bands=(RatioBand(8, 6), RatioBand(12, 8), RatioBand(18, 12)),
    )
    ages = [7] * 7 + [10] * 10 + [15] * 7
    assert crew_passes(ages, 3, supervision=table)
    assert not crew_passes(ages, 2, supervision=table)


def test_shares_stand_over_the_least_common_denominator() -> None:
    problem = day([adult(1), child(2, 7), child(3, 10), child(4, 15)])
    (condition,) = conditions_of("SUP-1", problem)
    assert isinstance(condition, Balance)
    assert condition.supply == ((1, 120),)  # lcm(6, 8, 10)
    assert condition.demand == ((2, 20), (3, 15), (4, 12))


@pytest.mark.parametrize(
    ("counts", "extra"),
    [
        (True, adult(9)),
        # NSPCC: accompanying parents without a check do not count; nor do under-18s.
        (False, adult(9, checked=False)),
        (False, person(9, 17, checked=True)),
        (True, person(9, 18, checked=True)),
        # 18 as a pupil is supervised, as a volunteer supervises, never both.
        (False, pupil(9, 18, checked=True)),
    ],
)
def test_who_counts_as_a_supervising_adult(counts: bool, extra) -> None:
    people = [adult(1), *young(100, 15, 11), extra]  # 11/10: one adult is not enough
    found = broken("SUP-1", day(people), {(1, 0): [p.id for p in people]})
    assert (found == ()) is counts


def test_three_unchecked_parents_leave_one_counted_adult_for_twelve() -> None:
    # Reference 1.2: 12 aged 7, one leader, three unvetted parents: fails, needs 2.
    parents = [adult(n, checked=False) for n in (2, 3, 4)]
    people = [adult(1), *parents, *young(100, 7, 12)]
    found = broken("SUP-1", day(people), {(1, 0): [p.id for p in people]})
    assert [(f.required, f.found) for f in found] == [(2, 1)]


def test_adults_of_twenty_one_where_the_table_asks_for_that() -> None:
    # Scouting America: leaders of 34 and 20 do not make two; 34 and 21 do.
    table = replace(build_default_policy().supervision, adult_from=21)
    for age, passes in ((20, False), (21, True)):
        people = [adult(1, age=34), adult(2, age=age), *young(100, 15, 11)]
        problem = day(people, supervision=table)
        found = broken("SUP-1", problem, {(1, 0): [p.id for p in people]})
        assert (found == ()) is passes


def test_each_crew_has_its_own() -> None:
    people = [adult(1), adult(2), child(3, 7)]
    side_by_side = day(people, [task(1, zone="lawn"), task(2, zone="lawn")])
    assert broken("SUP-1", side_by_side, {(1, 0): [1, 2], (2, 0): [3]})
    assert broken("SUP-1", side_by_side, {(1, 0): [1, 2], (1, 1): [3]})
    assert not broken("SUP-1", side_by_side, {(1, 0): [1, 3], (2, 0): [2]})
