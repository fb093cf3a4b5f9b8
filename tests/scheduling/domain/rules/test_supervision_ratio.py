"""SUP-1: adopted tables of ratios, crew by crew and over the round, in exact fractions."""

from dataclasses import replace
from datetime import date

import pytest

from scheduling.domain.condition import AtMost, Notice, Per, Severity, Supervised
from scheduling.domain.policy import RatioBand, build_default_policy
from scheduling.domain.rule_set import Combining
from scheduling.domain.rule_sets import get_rule_set
from tests.scheduling.domain.rule_days import (
    ON,
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

NSPCC = build_default_policy().supervision


def findings(ages: list[int], adults: int, per: Per, **policy: object):
    """Return what is found of one crew: in it, or in its round."""
    policy = {"uncommitted_leads": 0, **policy}
    people = [adult(n) for n in range(adults)]
    people += [child(100 + n, age) for n, age in enumerate(ages)]
    found = broken("SUP-1", day(people, **policy), {(1, 0): [p.id for p in people]})
    return [f for f in found if (f.task is None) is (per is Per.ROUND)]


def fewest(ages: list[int], per: Per, **policy: object) -> int:
    """Return the fewest adults with whom nothing is found."""
    return next(n for n in range(20) if not findings(ages, n, per, **policy))


@pytest.mark.parametrize(
    ("ages", "adults"),
    [
        # NSPCC 2023: 24 children of 7 need 4, 25 need 5 (S1); 5 of 15 need the floor of 2 (S2).
        ([7] * 24, 4),
        ([7] * 25, 5),
        ([15] * 5, 2),
        # Mixed, by sum: 7/6 + 9/8 + 12/10 = 3.4917 (1.20); one of each is 0.39, floor 2 (1.25).
        ([7] * 7 + [10] * 9 + [15] * 12, 4),
        ([7, 10, 15], 2),
    ],
)
def test_fewest_adults_of_a_round(ages: list[int], adults: int) -> None:
    assert fewest(ages, Per.ROUND) == adults
    assert fewest(ages, Per.ROUND, uncommitted_leads=1) == max(
        adults, fewest(ages, Per.ROUND, supervision=replace(NSPCC, least_adults=0)) + 1
    )


@pytest.mark.parametrize(
    ("ages", "adults"),
    [
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
        # Mixed, the youngest governing in one crew: 28/6 (1.21).
        ([7] * 7 + [10] * 9 + [15] * 12, 5),
        # Method D: {7, 11, 11, 14, 14, 14} fills one adult, a seventh does not fit (1.23).
        ([7, 11, 11, 14, 14, 14], 1),
        ([7, 11, 11, 14, 14, 14, 14], 2),
    ],
)
def test_fewest_adults_of_a_crew(ages: list[int], adults: int) -> None:
    assert fewest(ages, Per.CREW) == adults


@pytest.mark.parametrize(
    ("combining", "counts", "adults"),
    [
        (Combining.SUM, (7, 9, 12), 4),
        (Combining.YOUNGEST, (7, 9, 12), 5),
        (Combining.SECTIONS, (7, 9, 12), 6),
    ],
)
@pytest.mark.parametrize("per", [Per.CREW, Per.ROUND])
def test_each_way_of_combining(
    combining: Combining, counts: tuple[int, ...], adults: int, per: Per
) -> None:
    table = replace(NSPCC, combining=combining, crew_combining=None)
    ages = [7] * counts[0] + [10] * counts[1] + [15] * counts[2]
    assert fewest(ages, per, supervision=table) == adults


def test_a_sum_that_floats_get_wrong() -> None:
    # 7/6 + 10/8 + 7/12 is exactly 3 (1.26, S6); added as floats it comes out above 3.
    assert 7 / 6 + 10 / 8 + 7 / 12 > 3
    bands = (RatioBand(8, 6), RatioBand(12, 8), RatioBand(18, 12))
    table = replace(NSPCC, bands=bands)
    assert fewest([7] * 7 + [10] * 10 + [15] * 7, Per.ROUND, supervision=table) == 3


def test_leaders_are_added_and_floors_held_over_the_round_only() -> None:
    # The Scouts, Squirrels outdoors: 9 -> ceil(9/4) + 1 = 4, 4 -> 1 + 1, floor 3 (S3).
    squirrels = get_rule_set("SCOUTS-UK-SQUIRRELS").supervision
    assert fewest([5] * 9, Per.ROUND, supervision=squirrels) == 4
    assert fewest([5] * 4, Per.ROUND, supervision=squirrels) == 3
    assert fewest([5] * 9, Per.CREW, supervision=squirrels) == 3
    assert fewest([5] * 4, Per.CREW, supervision=squirrels) == 1


def test_the_strictest_of_several_tables_holds() -> None:
    # Reference 1.28: NSPCC gives 4, another 2, a board 5: 5 are needed.
    another = replace(NSPCC, name="another", bands=(RatioBand(18, 12),))
    board = replace(NSPCC, name="a board", bands=(RatioBand(18, 5),))
    ages = [7] * 24
    assert fewest(ages, Per.ROUND) == 4
    assert fewest(ages, Per.ROUND, supervision=another) == 2
    both = {"supervision": another, "further_tables": (NSPCC, board)}
    assert fewest(ages, Per.ROUND, **both) == 5
    found = findings(ages, 4, Per.ROUND, **both)
    assert ["a board" in f.text for f in found] == [True]


@pytest.mark.parametrize(
    ("counts", "extra"),
    [
        (True, adult(9)),
        # NSPCC: accompanying parents without a check do not count; nor do under-18s (3.11).
        (False, adult(9, checked=False)),
        (False, person(9, 17, checked=True)),
        (True, person(9, 18, checked=True)),
        # 18 as a pupil is supervised, as a volunteer supervises, never both (1.3).
        (False, pupil(9, 18, checked=True)),
    ],
)
def test_who_counts_as_a_supervising_adult(counts: bool, extra) -> None:
    people = [adult(1), *young(100, 15, 11), extra]  # 11/10: one adult is not enough
    found = broken("SUP-1", day(people, uncommitted_leads=0), {(1, 0): [p.id for p in people]})
    assert (found == ()) is counts


def test_three_unchecked_parents_leave_one_counted_adult_for_twelve() -> None:
    # Reference 1.2: 12 aged 7, one leader, three unvetted parents: fails, needs 2.
    parents = [adult(n, checked=False) for n in (2, 3, 4)]
    people = [adult(1), *parents, *young(100, 7, 12)]
    found = broken("SUP-1", day(people, uncommitted_leads=0), {(1, 0): [p.id for p in people]})
    assert {(f.required, f.found) for f in found} == {(2, 1)}


def test_an_adult_at_the_powered_auger_does_not_count() -> None:
    # Reference 1.30: 2 adults, one on the auger -> supply 1 -> fails.
    tasks = [task(1), task(2, powered_min_per_round=20)]
    people = [adult(1), adult(2), child(3, 15)]
    problem = day(people, tasks, uncommitted_leads=0)
    assert not broken("SUP-1", problem, {(1, 0): [1, 2, 3]})
    (found,) = broken("SUP-1", problem, {(1, 0): [1, 3], (2, 0): [2]})
    assert (found.required, found.found, found.round) == (2, 1, 0)


def test_the_only_first_aider_does_not_count_and_one_of_two_does() -> None:
    # Reference 1.30: the first aider may have to leave. From round 2 on there is only one.
    early = adult(2, skills=("first_aid",), present=(True, False, False))
    people = [adult(1, skills=("first_aid",)), early, adult(4), child(3, 15)]
    problem = day(people, uncommitted_leads=0)
    assert not broken("SUP-1", problem, {(1, 0): [1, 2, 3]})
    (found,) = broken("SUP-1", problem, {(1, 1): [1, 4, 3]})
    assert (found.required, found.found, found.round) == (2, 1, 1)
    assert found.text.endswith("P2 and P4; not P1, the only first aider there.")
    lenient = day(people, uncommitted_leads=0, first_aider_counts=True)
    assert not broken("SUP-1", lenient, {(1, 1): [1, 4, 3]})


def test_adults_of_twenty_one_where_the_table_asks_for_that() -> None:
    # Scouting America (S7): leaders of 34 and 20 do not make two; 34 and 21 do.
    table = get_rule_set("SCOUTING-AMERICA").supervision
    for age, passes in ((20, False), (21, True)):
        people = [adult(1, age=34), adult(2, age=age), *young(100, 15, 11)]
        problem = day(people, supervision=table, uncommitted_leads=0)
        found = broken("SUP-1", problem, {(1, 0): [p.id for p in people]})
        assert (found == ()) is passes


def test_one_of_two_adults_leaves_and_the_young_people_stay() -> None:
    # Reference 3.2: fails from the round in which the second has left.
    people = [adult(1), adult(2, present=(True, False, False)), child(3, 15)]
    problem = day(people, uncommitted_leads=0)
    found = broken("SUP-1", problem, {(1, 0): [1, 2, 3], (1, 1): [1, 3], (1, 2): [1, 3]})
    assert [f.round for f in found] == [1, 2]


def test_each_crew_has_its_own() -> None:
    people = [adult(1), adult(2), child(3, 7)]
    side_by_side = day(people, [task(1, zone="lawn"), task(2, zone="lawn")], uncommitted_leads=0)
    assert broken("SUP-1", side_by_side, {(1, 0): [1, 2], (2, 0): [3]})
    assert broken("SUP-1", side_by_side, {(1, 0): [1, 2], (1, 1): [3]})
    assert not broken("SUP-1", side_by_side, {(1, 0): [1, 3], (2, 0): [2]})


def test_no_number_is_a_risk_assessment_by_name_and_date() -> None:
    # Outdoor Education Advisers' Panel, National Guidance 4.3b: no ratio (1.11).
    oeap = get_rule_set("OEAP").supervision
    people = [adult(1), child(2, 10)]
    (missing,) = conditions_of("SUP-1", day(people, supervision=oeap))
    assert isinstance(missing, Notice)
    assert missing.reason.severity is Severity.BLOCKS
    done = replace(oeap, assessed_by="A. Example", assessed_on=date(2027, 4, 1))
    (noted,) = conditions_of("SUP-1", day(people, supervision=done))
    assert noted.reason.severity is Severity.NOTES
    assert "A. Example on 1 April 2027" in noted.reason.text
    late = replace(done, assessed_on=date(2027, 4, 18))
    (missing,) = conditions_of("SUP-1", day(people, supervision=late))
    assert missing.reason.severity is Severity.BLOCKS
    assert date(2027, 4, 18) > ON


def test_withdrawn_guidance_says_so() -> None:
    old = get_rule_set("HASPEV-1998").supervision
    found = broken("SUP-1", day([adult(1), child(2, 10)], supervision=old), {})
    assert [f.severity for f in found] == [Severity.NOTES]
    assert "withdrawn" in found[0].text


def test_the_largest_group_of_a_park() -> None:
    # Hampshire: a ranger's session has at most 15 children; 30 aged 9 are two groups.
    parks = get_rule_set("HAMPSHIRE-PARKS").supervision
    people = [*(adult(n) for n in range(6)), *young(100, 9, 30)]
    problem = day(people, [task(1), task(2)], supervision=parks, uncommitted_leads=0)
    one = {(1, 0): [p.id for p in people]}
    two = {(1, 0): [*range(3), *range(100, 115)], (2, 0): [*range(3, 6), *range(115, 130)]}
    assert [f.required for f in broken("SUP-1", problem, one)] == [15]
    assert not broken("SUP-1", problem, two)
    assert [type(c) for c in conditions_of("SUP-1", problem)] == [AtMost, Supervised, Supervised]
