"""AGE-2: tools by age, after Scouting America's table and the boards' power tool lists."""

import pytest

from orchard.domain.plan import ToolItem
from scheduling.domain.policy import build_default_policy
from scheduling.domain.rule import Severity
from scheduling.domain.rules import all_conditions
from scheduling.domain.verify import find_violations
from tests.scheduling.domain.rule_days import (
    adult,
    broken,
    child,
    conditions_of,
    day,
    person,
    roster,
    task,
)

AUGER = ToolItem("auger", "hand auger", 2, 14)  # post-hole digger, 14 and over
BARROW = ToolItem("barrow", "barrow", 3, 14)  # wheel cart, 14 and over
POWER_AUGER = ToolItem("power", "powered auger", 1, 16, powered=True, briefing="told")
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


@pytest.mark.parametrize(
    ("tool", "columns"),
    [
        # Reference 2b, the six columns: under 8, 8-11, 12-13, 14-15, 16-17, 18 and over.
        ("tape", "C S S S S OK"),
        ("trowel", "C C S S S OK"),
        ("spade", "N C S S S OK"),
        ("rake", "C C S S S OK"),
        ("secateurs", "N N C S S OK"),
        ("loppers", "N N C C+T S+T OK+T"),
        ("mattock", "N N N C+T S+T OK+T"),
        ("hand_auger", "N N N C+T S+T OK+T"),
        ("powered_auger", "N N N N N OK+T"),
        ("barrow", "N N N S S OK"),
        ("ladder", "N N N N N OK+T"),
        ("chain_saw", "N N N N N OK+T"),
        ("watering_can", "S S S S S OK"),
    ],
)
def test_every_cell_of_the_matrix(tool: str, columns: str) -> None:
    (row,) = build_default_policy().tool_ages.of_tool(tool)
    edges = [(0, 7), (8, 11), (12, 13), (14, 15), (16, 17), (18, 90)]
    for (youngest, oldest), word in zip(edges, columns.split(), strict=True):
        for age in (youngest, oldest):
            cell = row.cell(age)
            assert cell.watch.value + "+T" * cell.briefing == word


@pytest.mark.parametrize(
    ("tool", "age", "kg"),
    [("barrow", 15, 40), ("barrow", 17, 40), ("barrow", 18, 50), ("watering_can", 7, 2),
     ("watering_can", 11, 3), ("watering_can", 13, 5), ("watering_can", 15, 8),
     ("watering_can", 17, 10), ("watering_can", 18, 0)],
)  # fmt: skip
def test_loads_of_the_matrix(tool: str, age: int, kg: int) -> None:
    (row,) = build_default_policy().tool_ages.of_tool(tool)
    assert row.cell(age).most_kg == kg


def test_the_matrix_holds_where_the_store_is_more_lenient() -> None:
    # Reference 2b: (hand auger, 13) is N whatever the store's list says.
    boring = task(1, tools={"hand_auger": 1})
    lenient = ToolItem("hand_auger", "hand auger", 2, 0, briefing="auger")
    problem = day([person(1, 13), person(2, 14)], [boring], tools=[lenient])
    assert broken("AGE-2", problem, {(1, 0): [1]})
    assert not broken("AGE-2", problem, {(1, 0): [2]})
    strict = ToolItem("hand_auger", "hand auger", 2, 16, briefing="auger")
    problem = day([person(2, 14), person(3, 16)], [boring], tools=[strict])
    assert broken("AGE-2", problem, {(1, 0): [2]})
    assert not broken("AGE-2", problem, {(1, 0): [3]})


def test_the_hand_auger_at_fourteen() -> None:
    # Reference 2b: no sign-off -> N; signed off, alone -> N; with partner and adult -> allowed.
    auger = ToolItem("hand_auger", "hand auger", 2, 14, briefing="auger")
    boring = task(1, kind="core", tools={"hand_auger": 1})
    grown = [adult(1, skills=("lead",)), adult(2), adult(4, skills=("first_aid",))]

    def found(people, crew):
        problem = day(people, [boring], tools=[auger])
        ours = {"AGE-1", "AGE-2", "SKL-1", "SUP-1", "SUP-2", "SUP-3", "CON-1"}
        seen = find_violations(problem, all_conditions(problem), roster({(1, 0): crew}))
        return {f.rule for f in seen} & ours

    told, untold = child(3, 14, skills=("auger",)), child(3, 14)
    assert "SKL-1" in found([*grown, untold], [1, 2, 3])
    assert {"SUP-1", "SUP-2", "SUP-3"} <= found([*grown, told], [3])
    assert found([*grown, told], [1, 2, 3]) == set()


def test_a_powered_tool_at_seventeen_is_refused_whatever_is_consented() -> None:
    # Reference 2b: (powered auger, 17, guardian consents) -> N; chipper, 17 -> blocked (S9).
    for code in ("powered_auger", "chipper"):
        tool = ToolItem(code, code, 1, 0, briefing="told")  # not even called powered by the store
        problem = day([child(1, 17), adult(2)], [task(1, tools={code: 1})], tools=[tool])
        assert broken("AGE-2", problem, {(1, 0): [1, 2]})
        assert not broken("AGE-2", problem, {(1, 0): [2]})


def test_a_briefing_the_store_does_not_name_is_warned_of() -> None:
    mattock = ToolItem("mattock", "mattock", 1, 14)
    problem = day([adult(1)], [task(1, tools={"mattock": 1})], tools=[mattock])
    (found,) = broken("AGE-2", problem, {(1, 0): [1]})
    assert found.severity is Severity.WARNS
    assert "the store names none" in found.text
