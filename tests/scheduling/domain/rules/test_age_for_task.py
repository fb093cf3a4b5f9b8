"""AGE-1: refused and allowed ages, as the sources print them."""

from dataclasses import replace

import pytest

from scheduling.domain.policy import build_default_policy
from scheduling.domain.rule_set import ToolCell, ToolRow, Watch
from tests.scheduling.domain.rule_days import broken, child, conditions_of, day, person, task


@pytest.mark.parametrize(
    ("least", "age", "allowed"),
    [
        # Ontario Ministry of Labour, Minimum working age by industry: logging 16.
        (16, 15, False),
        (16, 16, True),
        # Youth.gov hazardous jobs (HO 14): wood chippers 18.
        (18, 17, False),
        (18, 18, True),
        # Scouting America: no tools on service projects for about 5 to 7.
        (8, 7, False),
        (8, 8, True),
        (0, 0, True),
    ],
)
def test_age_against_the_task(least: int, age: int, allowed: bool) -> None:
    problem = day([person(1, age)], [task(1, minimum_age=least)])
    assert (broken("AGE-1", problem, {(1, 0): [1]}) == ()) is allowed


def test_consent_does_not_lift_an_age() -> None:
    problem = day([child(1, 17)], [task(1, minimum_age=18)])
    found = broken("AGE-1", problem, {(1, 2): [1]})
    assert [(f.people, f.task, f.round) for f in found] == [((1,), 1, 2)]
    assert "consent does not lift" in found[0].remedy


def test_reason_names_person_age_and_tasks_once_for_each_age_asked() -> None:
    problem = day(
        [person(1, 9, name="Mia"), person(2, 30)],
        [task(1, minimum_age=16), task(2, minimum_age=16), task(3, minimum_age=12), task(4)],
    )
    texts = [condition.reason.text for condition in conditions_of("AGE-1", problem)]
    assert texts == [
        "Mia is 9; only people of 12 or over work at “Task 3”.",
        "Mia is 9; only people of 16 or over work at “Task 1” and “Task 2”.",
    ]


def test_the_matrix_holds_where_the_treatment_is_more_lenient() -> None:
    # Ontario Ministry of Labour: logging from 16 (S9), here as a kind of work in the matrix.
    ages = build_default_policy().tool_ages
    logging = ToolRow(
        "logging", "logging", (), ("log",),
        (ToolCell(0, Watch.NOT_ALLOWED), ToolCell(16, Watch.IN_SIGHT)),
    )  # fmt: skip
    with_logging = replace(ages, rows=(*ages.rows, logging))
    problem = day([person(1, 15), person(2, 16)], [task(1, kind="log")], tool_ages=with_logging)
    (found,) = broken("AGE-1", problem, {(1, 0): [1, 2]})
    assert found.people == (1,)
    assert found.source.startswith("SITE-1: ")
