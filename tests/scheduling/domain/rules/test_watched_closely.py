"""SUP-4: constant watching, a level of its own that the ratio alone does not satisfy (1.17)."""

from dataclasses import replace

import pytest

from scheduling.domain.policy import build_default_policy
from tests.scheduling.domain.rule_days import adult, broken, child, conditions_of, day, task, young


@pytest.mark.parametrize(
    ("age", "kind", "children", "adults", "passes"),
    [
        # Matrix 2b: hand weeding C up to 11, S from 12; measuring C up to 7; six is proposed.
        (8, "weed", 6, 1, True),
        (8, "weed", 7, 1, False),
        (11, "weed", 7, 1, False),
        (11, "weed", 12, 2, True),
        (12, "weed", 13, 1, True),
        (8, "measure", 13, 1, True),
        (7, "measure", 7, 1, False),
        (11, "mulch", 7, 1, False),
        (7, "core", 7, 1, True),  # nobody of seven bores: AGE-2 sees to that
        (8, "weed", 1, 0, False),
    ],
)
def test_few_enough_for_one_adult(
    age: int, kind: str, children: int, adults: int, passes: bool
) -> None:
    people = [*(adult(n) for n in range(adults)), *young(100, age, children)]
    problem = day(people, [task(1, kind=kind)])
    found = broken("SUP-4", problem, {(1, 0): [p.id for p in people]})
    assert (found == ()) is passes


def test_older_ones_in_the_crew_ask_for_nothing_here() -> None:
    people = [adult(1), *young(100, 8, 6), *young(200, 15, 9)]
    crew = {(1, 0): [p.id for p in people]}
    assert not broken("SUP-4", day(people), crew)


def test_an_adult_in_the_next_crew_is_not_at_arms_reach() -> None:
    people = [adult(1), adult(2, checked=False), child(3, 8)]
    problem = day(people, [task(1), task(2)])
    (found,) = broken("SUP-4", problem, {(1, 0): [2, 3], (2, 0): [1]})
    assert (found.required, found.found, found.task) == (1, 0, 1)


def test_without_a_matrix_or_a_figure_nothing_is_asked() -> None:
    people = [adult(1), child(3, 8)]
    assert conditions_of("SUP-4", day(people, tool_ages=None)) == ()
    assert conditions_of("SUP-4", day(people, watched_closely_per_adult=0)) == ()
    policy = replace(build_default_policy(), watched_closely_per_adult=2)
    assert policy.cite("tool_ages.rows").startswith("SITE-1: Proposed; common practice")
