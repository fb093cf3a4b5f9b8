"""SUP-2: at least two adults, even with smaller groups (NSPCC Learning, September 2023)."""

from dataclasses import replace

import pytest

from scheduling.domain.policy import build_default_policy, build_policy
from scheduling.domain.rule import Severity
from scheduling.domain.rule_sets import get_rule_set
from tests.scheduling.domain.rule_days import adult, broken, child, conditions_of, day, task, young

TASKS = [task(1, zone="lawn"), task(2, zone="lawn"), task(3, zone="bank")]


@pytest.mark.parametrize(
    ("crews", "passes"),
    [
        ({(1, 0): [1, 2, 10]}, True),
        ({(1, 0): [1, 10], (2, 0): [2]}, True),  # the next crew on the lawn is in sight
        ({(1, 0): [1, 10], (3, 0): [2]}, False),  # the bank is not
        ({(1, 0): [1, 10], (2, 1): [2]}, False),  # nor is another round
        ({(1, 0): [1]}, True),  # nobody young, nothing asked
        ({(1, 0): [1, 3, 10]}, False),  # the third has no background check
    ],
)
def test_two_in_an_area(crews: dict[tuple[int, int], list[int]], passes: bool) -> None:
    people = [adult(1), adult(2), adult(3, checked=False), child(10, 15)]
    assert (broken("SUP-2", day(people, TASKS), crews) == ()) is passes


def test_five_of_fifteen_need_two_though_the_ratio_asks_for_one() -> None:
    # NSPCC 2023: 5 aged 15 -> ceil(0.5) = 1 -> floor of two.
    people = [adult(1), *young(10, 15, 5)]
    crews = {(1, 0): [p.id for p in people]}
    ratio_only = [f for f in broken("SUP-1", day(people), crews) if f.task is not None]
    assert not ratio_only
    found = broken("SUP-2", day(people), crews)
    assert [(f.required, f.found) for f in found] == [(2, 1)]


def test_leaders_of_34_and_20_fail_where_adults_are_21() -> None:
    # Scouting America, Barriers to Abuse: two registered adults of 21 or over.
    table = replace(build_default_policy().supervision, adult_from=21)
    for age, passes in ((20, False), (21, True)):
        problem = day([adult(1, age=34), adult(2, age=age), child(3, 15)], supervision=table)
        assert (broken("SUP-2", problem, {(1, 0): [1, 2, 3]}) == ()) is passes


def test_the_larger_of_site_and_table_holds() -> None:
    # The Scouts, Squirrels: never fewer than 3 adults.
    table = replace(build_default_policy().supervision, least_adults=3)
    people = [adult(1), adult(2), child(3, 5)]
    (condition,) = conditions_of("SUP-2", day(people, supervision=table, adults_in_sight=2))
    assert condition.least == 3
    (condition,) = conditions_of("SUP-2", day(people, adults_in_sight=4))
    assert condition.least == 4


def test_an_adult_at_a_powered_tool_is_not_in_sight_of_anybody() -> None:
    # Reference 1.30: an adult operating a powered tool is not counted.
    tasks = [task(1, zone="lawn"), task(2, zone="lawn", powered_min_per_round=20)]
    problem = day([adult(1), adult(2), child(10, 15)], tasks)
    found = broken("SUP-2", problem, {(1, 0): [1, 10], (2, 0): [2]})
    assert [(f.required, f.found) for f in found] == [(2, 1)]
    assert not broken("SUP-2", problem, {(1, 0): [1, 2, 10]})


def test_each_age_from_which_adults_count_has_its_own_two() -> None:
    # NSPCC counts from 18, Scouting America from 21: both are adopted, both hold.
    further = (get_rule_set("SCOUTING-AMERICA").supervision,)
    problem = day([adult(1, age=34), adult(2, age=20), child(3, 15)], further_tables=further)
    (found,) = broken("SUP-2", problem, {(1, 0): [1, 2, 3]})
    assert "21 or over" in found.text
    assert "Scouting America" in found.source


def test_relations_are_not_known_and_are_left_to_the_lead_by_name() -> None:
    # Reference 3.3: two unrelated adults, an optional figure.
    problem = day([adult(1), adult(2), child(3, 15)], second_adult_unrelated=True)
    (noted,) = broken("SUP-2", problem, {(1, 0): [1, 2, 3]})
    assert noted.severity is Severity.NOTES
    assert not broken("SUP-2", day([adult(1), adult(2), child(3, 15)]), {(1, 0): [1, 2, 3]})


def test_the_reason_names_the_set_whose_figure_it_is() -> None:
    site, nspcc = get_rule_set("SITE-1"), get_rule_set("NSPCC-2023")
    three = replace(site.company, adults_in_sight=3, smallest_crew_with_young=5, sources=())
    school = replace(nspcc, code="SLUICE", source="its form", supervision=None, company=three)
    people = [adult(1), adult(2), child(10, 15)]
    for sets, source in (((nspcc, site), "SITE-1: "), ((nspcc, site, school), "SLUICE: its form")):
        policy = build_policy(sets)
        problem = replace(day(people, TASKS), policy=policy)
        crew = {(1, 0): [1, 10]}
        (alone,) = broken("SUP-3", problem, crew)
        assert alone.source.startswith(source)
    (found,) = broken("SUP-2", problem, crew)
    assert (found.required, found.source[:8]) == (3, "SLUICE: ")
