"""AGE-2: tools by age, after Scouting America's table and the boards' power tool lists."""

import pytest

from orchard.domain.plan import ToolItem
from tests.scheduling.domain.rule_days import broken, child, conditions_of, day, person, task

AUGER = ToolItem("auger", "hand auger", 2, 14)  # post-hole digger, 14 and over
BARROW = ToolItem("barrow", "barrow", 3, 14)  # wheel cart, 14 and over
POWER_AUGER = ToolItem("power", "powered auger", 1, 16, powered=True)
RAKE = ToolItem("rake", "rake", 9, 0)


@pytest.mark.parametrize(
    ("tool", "count", "ages", "allowed"),
    [
        (BARROW, 1, [13], False),  # wheelbarrow, 13: refused in that table
        (BARROW, 1, [14], True),
        (BARROW, 1, [13, 40], True),  # the adult pushes it
        (AUGER, 2, [13, 40], False),  # two augers, one person old enough
        (AUGER, 2, [14, 40], True),
        (AUGER, 2, [13, 13, 15, 40], True),
        (RAKE, 4, [8], True),  # rake: all youth
        # York Region and Durham boards: power tools, any student age.
        (POWER_AUGER, 1, [17, 40], False),
        (POWER_AUGER, 1, [18, 40], True),
    ],
)
def test_tool_against_the_ages_of_a_crew(
    tool: ToolItem, count: int, ages: list[int], allowed: bool
) -> None:
    people = [person(n, age) for n, age in enumerate(ages)]
    bystander = person(99, 7)  # somebody young is there, whoever is in the crew
    work = task(1, tools={tool.code: count})
    problem = day([*people, bystander], [work], tools=[tool])
    found = broken("AGE-2", problem, {(1, 0): list(range(len(ages)))})
    assert (found == ()) is allowed


def test_powered_minutes_count_as_powered_even_without_a_listed_tool() -> None:
    problem = day([child(1, 17), person(2)], [task(1, powered_min_per_round=15)])
    assert broken("AGE-2", problem, {(1, 0): [1, 2]})
    assert not broken("AGE-2", problem, {(1, 0): [2]})


def test_consent_never_lifts_a_powered_tool() -> None:
    problem = day([child(1, 17)], [task(1, tools={"power": 1})], tools=[POWER_AUGER])
    assert broken("AGE-2", problem, {(1, 0): [1]})


def test_nothing_is_asked_when_everybody_is_old_enough() -> None:
    work = task(1, tools={"auger": 2})
    assert conditions_of("AGE-2", day([person(1, 14)], [work], tools=[AUGER])) == ()
    assert len(conditions_of("AGE-2", day([person(1, 13)], [work], tools=[AUGER]))) == 1
