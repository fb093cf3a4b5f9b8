"""Reasons for work undone, changes that mend a day, and what each thing more would bring."""

from dataclasses import replace

import pytest

from orchard.domain.plan import ToolItem
from scheduling.domain.planner.changes import find_changes
from scheduling.domain.planner.costs import weigh_costs
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.explain import explain_impossible, explain_undone, find_clash
from scheduling.domain.planner.goal import Answer, reach_goal, required_goal
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.search import Clock
from scheduling.domain.roster import SolveStatus
from scheduling.domain.rules import all_conditions
from tests.scheduling.domain import rule_days

LIMITS = Limits(seconds=30, seed=1, workers=1)
FORK = ToolItem("fork", "fork", 1, 0)


def lead(number, **more):
    return rule_days.adult(number, skills=("lead", "first_aid"), **more)


def two_crews_at_once(**more):
    """One fork and two tasks that want it in every round; too little time for both by one crew."""
    tasks = [
        rule_days.task(n, tools={"fork": 1}, units=18, crew_most=2, zone=f"z{n}") for n in (1, 2)
    ]
    people = [lead(1), lead(2), rule_days.adult(3), rule_days.adult(4)]
    return rule_days.day(people, tasks, tools=(FORK,), **more)


def works(problem, goal=None):
    wanted = required_goal(problem) if goal is None else goal
    clock = Clock(LIMITS)
    return reach_goal(problem, all_conditions(problem), wanted, clock, seconds=20).answer


def test_work_that_cannot_be_done_is_explained_with_the_tool_it_lacks():
    problem = two_crews_at_once()
    assert works(problem) is Answer.NO
    said = explain_undone(problem, all_conditions(problem), LIMITS)
    assert said[0].endswith("cannot all hold; without any one of them the rest is possible.")
    text = " ".join(said)
    assert "18 rings of “Task 1” must be done." in text
    assert "18 rings of “Task 2” must be done." in text
    assert "There are 1 × fork on hand in a round." in text


def test_each_reason_of_a_clash_is_needed():
    problem = two_crews_at_once()
    clash = find_clash(problem, all_conditions(problem), required_goal(problem), LIMITS)
    assert clash.is_smallest
    clock = Clock(LIMITS)
    everything = reach_goal(problem, clash.conditions, clash.goal, clock, seconds=20)
    assert everything.answer is Answer.NO
    texts = {c.reason.text for c in clash.conditions}
    for text in texts:
        rest = tuple(c for c in clash.conditions if c.reason.text != text)
        found = reach_goal(problem, rest, clash.goal, clock, seconds=20)
        assert found.answer is Answer.YES
    for part in clash.goal:
        goal = tuple(other for other in clash.goal if other != part)
        found = reach_goal(problem, clash.conditions, goal, clock, seconds=20)
        assert found.answer is Answer.YES


def test_work_that_can_be_done_needs_no_reasons():
    problem = rule_days.day([lead(1), lead(2)], [rule_days.task(1, units=3)])
    assert explain_undone(problem, all_conditions(problem), LIMITS) == ()


LOCKS = {
    "too young for the task": (
        rule_days.day(
            [lead(1), lead(2), rule_days.child(3, 13)],
            [rule_days.task(1, minimum_age=16), rule_days.task(2)],
        ),
        ((3, 0, 1),),
        ("P3 is fixed at “Task 1” in round 1.", "only people of 16 or over"),
    ),
    "one lead, two crews": (
        rule_days.day([lead(1), rule_days.adult(2)], [rule_days.task(1), rule_days.task(2)]),
        ((1, 1, 1), (2, 1, 2)),
        ("P1 is fixed at “Task 1” in round 2.", "P2 is fixed at “Task 2”", "crew lead"),
    ),
    "one fork, two crews": (
        two_crews_at_once(),
        ((1, 0, 1), (2, 0, 2)),
        ("P1 is fixed at “Task 1”", "P2 is fixed at “Task 2”", "1 × fork"),
    ),
    "a crew larger than it may be": (
        rule_days.day([lead(1), lead(2), lead(3)], [rule_days.task(1, crew_most=2)]),
        ((1, 0, 1), (2, 0, 1), (3, 0, 1)),
        ("P1 is fixed", "P2 is fixed", "P3 is fixed", "1 to 2 people"),
    ),
    "a hole is filled before one is bored": (
        rule_days.day(
            [lead(1), lead(2)],
            [
                rule_days.task(1, opens_ground=True, kind="weed"),
                rule_days.task(2, closes=1, kind="weed"),
            ],
        ),
        ((1, 0, 2),),
        ("P1 is fixed at “Task 2” in round 1.", "only when holes of “Task 1” are open"),
    ),
    "fixed where and when they are away": (
        rule_days.day([lead(1, present=(True, False, True)), lead(2)], [rule_days.task(1)]),
        ((1, 1, 1),),
        ("P1 is fixed at “Task 1” in round 2, but is not there then.",),
    ),
    "fixed at two places at once": (
        rule_days.day([lead(1), lead(2)], [rule_days.task(1), rule_days.task(2)]),
        ((1, 0, 1), (1, 0, 2)),
        ("P1 is fixed at “Task 1” in round 1.", "P1 is fixed at “Task 2” in round 1."),
    ),
    "fixed free and at work": (
        rule_days.day([lead(1), lead(2)], [rule_days.task(1)]),
        ((1, 0, None), (1, 0, 1)),
        ("P1 is fixed free in round 1.", "P1 is fixed at “Task 1” in round 1."),
    ),
}


@pytest.mark.parametrize("name", sorted(LOCKS))
def test_what_locks_contradict_is_named_and_a_change_that_mends_it_is_tried(name):
    problem, locks, said = LOCKS[name]
    problem = replace(problem, locks=locks)
    conditions = all_conditions(problem)
    assert solve_roster(problem, conditions, LIMITS).status is SolveStatus.IMPOSSIBLE
    sentences = explain_impossible(problem, conditions, LIMITS)
    text = " ".join(sentences)
    for part in said:
        assert part in text
    assert "time ran out" not in text
    changes = find_changes(problem, all_conditions, LIMITS, goal=())
    assert changes.found
    assert changes.sentences[0].startswith("Release ")
    for entry in changes.found:
        mended = problem
        for change in entry:
            mended = change.apply(mended)
        result = solve_roster(mended, all_conditions(mended), LIMITS)
        assert result.roster is not None


def test_a_borrowed_fork_is_cheaper_than_a_person_and_both_are_tried():
    problem = two_crews_at_once()
    changes = find_changes(problem, all_conditions, LIMITS)
    assert changes.sentences[0] == "Borrow one more fork."
    costs = [sum(change.cost for change in entry) for entry in changes.found]
    assert costs == sorted(costs)
    for entry in changes.found:
        mended = problem
        for change in entry:
            mended = change.apply(mended)
        assert works(mended) is Answer.YES


def test_where_no_single_change_does_a_pair_is_found():
    # Nobody leads and nobody has first aid.
    problem = rule_days.day(
        [rule_days.adult(1), rule_days.adult(2)], [rule_days.task(1, units=6), rule_days.task(2)]
    )
    changes = find_changes(problem, all_conditions, LIMITS)
    assert changes.found
    assert all(len(entry) == 2 for entry in changes.found)
    assert changes.sentences[0] == "Find one more first aider and one more crew lead."


def test_no_change_breaks_a_rule_and_time_is_honest():
    problem = two_crews_at_once()
    changes = find_changes(problem, all_conditions, Limits(seconds=1e-6))
    assert changes.found == ()
    assert not changes.is_whole


def test_a_second_lead_is_what_a_day_of_one_crew_gains_most_from():
    tasks = [rule_days.task(n, required=False, units=20, crew_most=2, zone=f"z{n}") for n in (1, 2)]
    people = [lead(1), *(rule_days.adult(n, skills=("first_aid",)) for n in (2, 3, 4))]
    problem = rule_days.day(people, tasks)
    costs = weigh_costs(problem, all_conditions, LIMITS)
    first = costs.gains[0]
    assert first.words == "one more crew lead"
    assert first.other > 0
    assert first.most is None or first.most >= first.other
    assert "more of “Task" in first.sentence
    lead_rule = next(cost for cost in costs.rules if cost.rule == "LED-1")
    assert lead_rule.gain.other > 0
    assert "It stays; one more crew lead meets it better." in lead_rule.sentence
    assert costs.not_asked == 0


def test_without_time_nothing_is_claimed():
    problem = two_crews_at_once()
    known = solve_roster(problem, all_conditions(problem), LIMITS)
    costs = weigh_costs(
        problem, all_conditions, Limits(seconds=0.01), known=(known.roster, known.value)
    )
    assert costs.gains == ()
    assert costs.not_asked > 0
