"""Points: tenths of an adult working minute, the arithmetic by hand."""

from datetime import date

import pytest

from scheduling.domain.people import PersonId
from scheduling.domain.points import points_by_band, points_of
from scheduling.domain.policy import Policy, RatioBand, SupervisionTable
from scheduling.domain.problem import Person, RosterProblem

TABLE = SupervisionTable("any", (RatioBand(18, 10),), 2, 18, "test", "proposed", date(2027, 1, 1))


def build(round_minutes: int, pace: tuple[int, int, int, int]) -> RosterProblem:
    return RosterProblem(
        "p",
        date(2027, 4, 17),
        1,
        round_minutes,
        (),
        (),
        (),
        (),
        (),
        Policy(TABLE),
        "1",
        pace_percent=pace,
    )


@pytest.mark.parametrize(
    ("age", "points"),
    # 35 min × 10 × 40, 55, 70, 100 % = 140, 192.5 rounded down, 245, 350
    [(7, 140), (11, 140), (12, 192), (15, 192), (16, 245), (17, 245), (18, 350), (78, 350)],
)
def test_points_of_a_round_of_35_minutes_by_age(age: int, points: int) -> None:
    problem = build(35, (40, 55, 70, 100))
    assert points_of(problem, Person(PersonId(1), "A", age, (True,))) == points


def test_points_follow_the_problem_and_not_a_constant() -> None:
    assert points_by_band(build(20, (0, 50, 75, 110))) == (0, 100, 150, 220)
