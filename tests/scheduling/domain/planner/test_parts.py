"""Parts of a day: nothing else changes, nothing is lost, and a part of all is the whole day.

No outside source: tiny days are enumerated whole by `oracle`.
"""

import json
from dataclasses import replace
from itertools import islice

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduling.domain.condition import CloseOut, InOrder, binding_conditions
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.planner.allowed import forbidden_cells
from scheduling.domain.planner.by_hand import make_roster_by_hand
from scheduling.domain.planner.day_parts import improve_by_parts
from scheduling.domain.planner.day_search import DaySearch
from scheduling.domain.planner.draws import draw_numbers
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.locks import lock_conditions
from scheduling.domain.planner.objective import build_stages, stage_names
from scheduling.domain.planner.part_choice import COMFORT_WAYS, WORK_WAYS, PartChooser, Way
from scheduling.domain.planner.part_model import build_part
from scheduling.domain.planner.reading import read_roster
from scheduling.domain.planner.search import Clock, run_search
from scheduling.domain.planner.worth import rank, value_of, widest_bound
from scheduling.domain.verify import find_violations
from tests.benchmarks.days_made import build_day as build_made_day
from tests.scheduling.domain.planner.days import because
from tests.scheduling.domain.planner.oracle import best_worth
from tests.scheduling.domain.planner.test_day_by_enumeration import CASES, CONDITION, coring_day

WHY = because()
LIMITS = Limits(seconds=60, seed=3, workers=1)


def every_cell(problem, forbidden):
    return frozenset(
        (person.id, task.id, r)
        for person in problem.people
        for task in problem.tasks
        for r in range(problem.rounds)
        if person.present[r] and (person.id, task.id, r) not in forbidden
    )


def begun(problem, conditions, **facts):
    """Return a search with a roster by hand, or None where there is none."""
    binding = (*binding_conditions(conditions), *lock_conditions(problem))
    forbidden = forbidden_cells(problem, binding)
    made = make_roster_by_hand(problem, binding, forbidden, **facts)
    if made is None:
        return None
    search = DaySearch(
        problem, binding, forbidden, (), Clock(LIMITS), None, None, widest_bound(problem)
    )
    search.roster, search.value = made
    return search


def solve_all(search):
    """Return the best rank of a part in which everything is free, stage after stage."""
    free = every_cell(search.problem, search.forbidden)
    found = []
    for name in stage_names(search.problem):
        day = build_part(search.problem, search.conditions, search.roster, free)
        stages = {stage.name: stage for stage in build_stages(day)}
        for earlier, value in found:
            if earlier in stages:
                day.model.add(stages[earlier].expression == value)
        if name not in stages:
            continue
        if stages[name].is_least:
            day.model.minimize(stages[name].expression)
        else:
            day.model.maximize(stages[name].expression)
        ended = run_search(day.model, Clock(LIMITS), stage=name, seconds=30)
        assert ended.proven
        assert ended.has_answer
        found.append((name, ended.objective))
        roster = read_roster(day, ended.solver)
        assert not find_violations(search.problem, search.conditions, roster)
    return rank(value_of(search.problem, roster))


def check_whole_part(problem, conditions):
    best = best_worth(problem, conditions)
    search = begun(problem, conditions)
    if search is None or best is None:
        return
    assert solve_all(search) == best


@pytest.mark.parametrize("name", sorted(set(CASES) - {"locked"}))
def test_a_part_in_which_all_is_free_is_the_whole_day(name):
    check_whole_part(*CASES[name])


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(conditions=st.lists(CONDITION, max_size=4).map(tuple))
def test_a_part_in_which_all_is_free_is_the_whole_day_under_random_conditions(conditions):
    check_whole_part(coring_day(), conditions)


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    conditions=st.lists(CONDITION, max_size=4).map(tuple),
    people=st.sets(st.sampled_from([1, 2, 3])),
    tasks=st.sets(st.sampled_from([1, 2])),
    rounds=st.sets(st.sampled_from([0, 1])),
)
def test_what_is_not_free_stays_and_every_answer_of_a_part_obeys_everything(
    conditions, people, tasks, rounds
):
    search = begun(coring_day(), conditions)
    if search is None:
        return
    everything = every_cell(search.problem, search.forbidden)
    free = frozenset(c for c in everything if c[0] in people and c[1] in tasks and c[2] in rounds)
    day = build_part(search.problem, search.conditions, search.roster, free)
    # The roster it is built around is one of its answers, so there always is one.
    ended = run_search(day.model, Clock(LIMITS), stage="part", seconds=30)
    assert ended.has_answer
    roster = read_roster(day, ended.solver)
    assert not find_violations(search.problem, search.conditions, roster)
    before = {(a.person, a.task, a.round) for a in search.roster.assignments}
    after = {(a.person, a.task, a.round) for a in roster.assignments}
    assert before ^ after <= free


def made_case(size, seed):
    return build_day(read_day_problem(json.dumps(build_made_day(size, seed))))


def test_part_after_part_is_never_worse_and_mostly_much_better():
    case = made_case("M", 31)
    search = begun(case.problem, case.conditions)
    told = []
    search.on_progress = told.append
    chooser = PartChooser(case.problem, search.conditions, search.forbidden, draw_numbers(2))
    ranks = [rank(search.value)]
    for name in stage_names(case.problem):
        improve_by_parts(search, name, chooser, 1.5)
        ranks.append(rank(search.value))
        assert not find_violations(case.problem, search.conditions, search.roster)
        assert value_of(case.problem, search.roster) == search.value
    assert ranks == sorted(ranks)
    assert ranks[-1] > ranks[0]
    assert told


def test_parts_end_at_once_when_told_to_stop():
    case = made_case("M", 31)
    search = begun(case.problem, case.conditions)
    search.should_stop = lambda: True
    chooser = PartChooser(case.problem, search.conditions, search.forbidden, draw_numbers(2))
    before = search.value
    improve_by_parts(search, "comfort", chooser, 60)
    assert search.value == before
    assert search.clock.seconds < 5


@pytest.mark.parametrize("ways", [WORK_WAYS, COMFORT_WAYS])
def test_parts_hold_only_cells_that_may_change_and_come_in_the_same_order(ways):
    case = made_case("M", 7)
    search = begun(case.problem, case.conditions)
    may = every_cell(case.problem, search.forbidden)
    doing = {(a.person, a.round): a.task for a in search.roster.assignments}

    def parts():
        chooser = PartChooser(case.problem, search.conditions, search.forbidden, draw_numbers(5))
        while True:
            way, free = chooser.choose(search.roster, ways)
            chooser.learn(way, effort=0.02, is_solved=True, gained=way is Way.TASKS)
            yield way, free

    first = list(islice(parts(), 40))
    assert first == list(islice(parts(), 40))
    assert {way for way, _ in first} == set(ways)
    for _, free in first:
        assert free
        assert free <= may
        tasks = {task for _, task, _ in free}
        # Whoever is elsewhere then has no cell free: they could not come.
        assert all(doing.get((p, r)) in {None, *tasks} for p, _, r in free)


def test_tasks_whose_units_hang_together_are_set_free_together():
    problem = replace(coring_day(), locks=())
    for one in (CloseOut(WHY, 1, 2), InOrder(WHY, 1, 1, 2)):
        chooser = PartChooser(problem, (one,), frozenset(), draw_numbers(1))
        search = begun(problem, (one,))
        for _ in range(10):
            _, free = chooser.choose(search.roster, (Way.TASKS,))
            assert {task for _, task, _ in free} == {1, 2}


def test_a_part_grows_while_it_is_easy_and_shrinks_when_it_is_not():
    case = made_case("M", 7)
    search = begun(case.problem, case.conditions)

    def size_after(effort, is_solved):
        chooser = PartChooser(case.problem, search.conditions, search.forbidden, draw_numbers(5))
        for _ in range(12):
            chooser.learn(Way.PEOPLE, effort=effort, is_solved=is_solved, gained=False)
        return len(chooser.choose(search.roster, (Way.PEOPLE,))[1])

    assert size_after(0.4, False) < size_after(0.02, True) < size_after(0.001, True)
