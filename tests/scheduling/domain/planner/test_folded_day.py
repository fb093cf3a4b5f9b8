"""The folded day against every roster there is: its bound is never beaten, often met.

No outside source: tiny days are enumerated whole by `oracle`.
"""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduling.domain.condition import AtLeast, AtMost, CloseOut, OnlyWith, Per
from scheduling.domain.planner.allowed import forbidden_cells
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.folded_day import fold_rounds
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.outline import OutlineTask, find_outline
from scheduling.domain.planner.search import Clock
from scheduling.domain.planner.symmetry import find_kinds
from scheduling.domain.roster import SolveStatus
from tests.scheduling.domain.planner.days import because, day, person, task
from tests.scheduling.domain.planner.oracle import best_worth
from tests.scheduling.domain.planner.test_day_by_enumeration import CASES, CONDITION, coring_day

WHY = because()
LIMITS = Limits(seconds=20, seed=3, workers=1)


def outlined(problem, conditions, *, reached=None, for_comfort=False):
    kinds = find_kinds(problem, conditions, for_work_alone=not for_comfort)
    forbidden = forbidden_cells(problem, conditions)
    asked = OutlineTask(problem, conditions, forbidden, kinds, reached or {}, for_comfort)
    return find_outline(asked, Clock(LIMITS), 20)


def check_never_beaten(problem, conditions):
    """Each stage's bound, the stages before at their best, against the best of all rosters."""
    best = best_worth(problem, conditions)
    if best is None:
        return
    left, other, changes, comfort = -best[0], best[1], -best[2], best[3]
    work = outlined(problem, conditions)
    assert not work.is_impossible
    assert work.bounds.get("required_left", 0) <= left
    held = {"required_left": left}
    assert outlined(problem, conditions, reached=held).bounds.get("other_done", 0) >= other
    held["other_done"] = other
    later = outlined(problem, conditions, reached=held, for_comfort=True)
    assert later.bounds.get("changes", 0) <= changes
    held["changes"] = changes
    last = outlined(problem, conditions, reached=held, for_comfort=True)
    assert last.bounds.get("comfort", comfort) >= comfort


@pytest.mark.parametrize("name", sorted(CASES))
def test_no_roster_of_a_named_case_beats_its_outline(name):
    problem, conditions = CASES[name]
    check_never_beaten(replace(problem, locks=()), conditions)


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(conditions=st.lists(CONDITION, max_size=4).map(tuple))
def test_no_roster_under_random_conditions_beats_the_outline(conditions):
    check_never_beaten(coring_day(), conditions)


ALIKE_DAY = day(
    [person(n) for n in (1, 2, 3)],
    [task(1, required=True, points_per_unit=250), task(2, value_per_unit=3, points_per_unit=500)],
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(conditions=st.lists(CONDITION, max_size=2).map(tuple))
def test_people_who_are_alike_in_all_but_some_conditions_are_counted_rightly(conditions):
    everyone = AtMost(WHY, 1, None, (2,), Per.PERSON)
    check_never_beaten(ALIKE_DAY, (everyone, *conditions))


def test_three_people_alike_are_one_kind_and_rest_counts_for_each():
    # One round of two each: three person-rounds, 900 points, three units of 250.
    rest = AtMost(WHY, 1, None, None, Per.PERSON)
    assert find_kinds(ALIKE_DAY, (rest,), for_work_alone=True) == ((1, 2, 3),)
    alone = replace(ALIKE_DAY, tasks=(replace(ALIKE_DAY.tasks[0], units=9),))
    assert outlined(alone, (rest,)).bounds["required_left"] == 9 - 3


def test_holes_of_the_last_round_are_never_closed():
    problem = coring_day()
    closing = (CloseOut(WHY, 1, 2),)
    assert fold_rounds(problem, ()) == ((0, 1),)
    assert fold_rounds(problem, closing) == ((0,), (1,))
    last_only = replace(
        problem, people=tuple(replace(p, present=(False, True)) for p in problem.people)
    )
    assert outlined(last_only, closing).bounds["required_left"] == 2 * 3


def test_a_third_crew_that_is_hardly_needed_counts_as_a_whole_one():
    # One lead, two rounds of crews of two: 1200 points. Five units of 240 fill both rounds,
    # three of 360 need two rounds, though by points a round and four fifths would do.
    people = [person(n) for n in (1, 2, 3, 4)]
    tasks = [
        task(1, units=3, points_per_unit=360, value_per_unit=4),
        task(2, units=5, points_per_unit=240, value_per_unit=2),
    ]
    problem = day(people, tasks)
    conditions = (AtLeast(WHY, 1, (1,), None, Per.CREW), AtMost(WHY, 2, None, None, Per.CREW))
    best = solve_roster(problem, conditions, LIMITS)
    assert best.status is SolveStatus.BEST
    assert best.value.other_done == outlined(problem, conditions).bounds["other_done"] == 12


def test_someone_who_may_only_come_with_another_is_a_kind_alone():
    only = OnlyWith(WHY, (3,), ((1, 1),), 1, Per.CREW)
    assert find_kinds(ALIKE_DAY, (only,), for_work_alone=True) == ((1,), (2,), (3,))
