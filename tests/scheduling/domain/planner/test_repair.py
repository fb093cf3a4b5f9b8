"""Repairs: fewest changes against every roster there is, past rounds kept, reasons that hold."""

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orchard.domain.errors import RosterError
from orchard.domain.plan import ToolItem
from scheduling.domain.condition import (
    AtLeast,
    AtMost,
    CloseOut,
    Forbid,
    InOrder,
    MinutesAtMost,
    OnlyWith,
    Per,
    ToolsAtMost,
)
from scheduling.domain.day_events import DayEvents
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.repair import repair_roster
from scheduling.domain.roster import Assignment, Roster, SolveStatus, TaskUnits
from scheduling.domain.rules import all_conditions
from scheduling.domain.verify import find_violations
from tests.scheduling.domain import rule_days
from tests.scheduling.domain.planner.days import because, day, person, task
from tests.scheduling.domain.planner.oracle import obeys, unit_plans

LIMITS = Limits(seconds=20, seed=1, workers=1)
WHY = because()


def always(*conditions):
    return lambda _problem: conditions


def coring(**facts):
    """Three people, boring that must be done and its filling, weeding; two or three rounds."""
    tasks = [
        task(1, kind="core", required=True, value_per_unit=3, points_per_unit=250, units=2),
        task(2, kind="backfill", closes=1, value_per_unit=2, points_per_unit=150, units=2),
        task(3, points_per_unit=200, units=2),
    ]
    rounds = facts.pop("rounds", 2)
    return day([person(n, rounds=rounds) for n in (1, 2, 3)], tasks, rounds=rounds, **facts)


CONDITIONS = st.lists(
    st.sampled_from(
        [
            AtMost(WHY, 2, None, None, Per.CREW),
            AtLeast(WHY, 2, None, (1,), Per.CREW),
            AtLeast(WHY, 1, (1, 2), None, Per.CREW),
            OnlyWith(WHY, (3,), ((1, 1), (2, 1)), 1, Per.CREW),
            Forbid(WHY, (3,), (1,)),
            ToolsAtMost(WHY, "fork", 1, ((1, 1), (3, 1))),
            AtMost(WHY, 1, (1, 2, 3), (1, 2), Per.PERSON),
            MinutesAtMost(WHY, (1, 2, 3), ((1, 30), (3, 20)), 40),
            AtMost(WHY, 2, None, None, Per.ROUND),
            InOrder(WHY, 1, 1, 3),
        ]
    ),
    max_size=3,
    unique_by=repr,
).map(tuple)


def best_by_enumeration(problem, conditions, published, events):
    """Return (holes left, required left, changes) of the best rest of the day, by trying all.

    The whole day is judged, its past cells and units as they were: nothing is
    taken off any limit here.
    """
    gone = dict(events.left)
    ahead = [r for r in range(events.next_round, problem.rounds) if r not in events.dropped]
    told = {(a.person, a.round): a.task for a in published.assignments}
    past = [
        (a.person, a.task, a.round)
        for a in published.assignments
        if a.round < events.next_round and a.round < gone.get(a.person, 99)
    ]
    before = {(u.task, u.round): u.units for u in published.units if u.round < events.next_round}
    slots = [(p.id, r) for p in problem.people for r in ahead if r < gone.get(p.id, 99)]
    choices = [None, *(t.id for t in problem.tasks)]
    closing = [c for c in conditions if isinstance(c, CloseOut | InOrder)]
    others = [c for c in conditions if not isinstance(c, CloseOut | InOrder)]
    best = None
    for chosen in product(choices, repeat=len(slots)):
        now = [(p, t, r) for (p, r), t in zip(slots, chosen, strict=True) if t is not None]
        filled = past + now
        if not all(obeys(problem, c, filled, {}) for c in others):
            continue
        changes = sum(told.get(slot) != t for slot, t in zip(slots, chosen, strict=True))
        for units in unit_plans(problem, filled):
            if any(units[key] != before.get(key, 0) for key in units if key[1] not in ahead):
                continue
            if not all(obeys(problem, c, filled, units) for c in closing):
                continue
            left = sum(
                t.value_per_unit * (t.units - sum(n for (k, _), n in units.items() if k == t.id))
                for t in problem.tasks
                if t.required
            )
            best = (left, changes) if best is None else min(best, (left, changes))
    return best


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    conditions=CONDITIONS,
    next_round=st.integers(0, 1),
    who=st.sampled_from([(), (1,), (2,), (3,), (1, 3)]),
)
def test_fewest_changes_is_truly_fewest(conditions, next_round, who):
    problem = coring()
    conditions = (*conditions, CloseOut(WHY, 1, 2))
    published = solve_roster(problem, conditions, LIMITS).roster
    events = DayEvents(next_round=next_round, left=tuple((p, next_round) for p in who))
    best = best_by_enumeration(problem, conditions, published, events)
    repair = repair_roster(problem, always(*conditions), published, events, LIMITS)
    if best is None:
        assert repair.holes_left
        return
    assert repair.status is SolveStatus.BEST
    assert repair.holes_left == ()
    assert (repair.required_left, len(repair.changed)) == best
    assert repair.changes_at_least == len(repair.changed)
    whole = Roster(repair.roster.assignments, repair.roster.units)
    there = replace(
        problem,
        people=tuple(
            replace(p, present=tuple(r < dict(events.left).get(p.id, 9) for r in range(2)))
            for p in problem.people
        ),
    )
    assert find_violations(there, conditions, whole) == ()


def test_with_nothing_happened_nothing_changes():
    problem = coring(rounds=3)
    conditions = (CloseOut(WHY, 1, 2),)
    published = solve_roster(problem, conditions, LIMITS).roster
    for next_round in range(4):
        events = DayEvents(next_round=next_round)
        repair = repair_roster(problem, always(*conditions), published, events, LIMITS)
        assert repair.changed == ()
        assert repair.status is SolveStatus.BEST
        assert repair.stops == ()
        assert set(repair.roster.assignments) == set(published.assignments)


def test_work_put_in_before_now_counts_for_units_finished_later():
    # 450 points a unit, 300 a round: the first unit is finished in round 2.
    problem = day([person(1)], [task(1, required=True, points_per_unit=450, units=1)])
    published = Roster((Assignment(1, 0, 1), Assignment(1, 1, 1)), (TaskUnits(1, 1, 1),))
    repair = repair_roster(problem, always(), published, DayEvents(next_round=1), LIMITS)
    assert repair.required_left == 0
    assert repair.roster.units == (TaskUnits(1, 1, 1),)


def test_holes_open_now_are_filled_by_whoever_is_left():
    problem = day(
        [person(1), person(2)],
        [task(1, units=1, required=True), task(2, units=1, closes=1), task(3, units=1)],
    )
    published = Roster(
        (Assignment(1, 0, 1), Assignment(1, 1, 2), Assignment(2, 1, 3)),
        (TaskUnits(1, 0, 1), TaskUnits(2, 1, 1), TaskUnits(3, 1, 1)),
    )
    events = DayEvents(next_round=1, left=((1, 1),))
    repair = repair_roster(problem, always(CloseOut(WHY, 1, 2)), published, events, LIMITS)
    assert repair.roster.crew(2, 1) == (2,)
    assert [(c.person, c.was, c.now) for c in repair.changed] == [(2, 3, 2)]
    assert repair.holes_left == ()
    assert any("“Task 3” does not begin" in said for said in repair.stops)


def test_holes_nobody_may_fill_are_counted_and_the_sentence_says_what_to_do():
    signed = because("A crew at “Task 2” has one signed off for the tamper; nobody is.", "SKL-1")
    problem = day([person(1), person(2)], [task(1, units=1), task(2, units=1, closes=1)])
    published = Roster(
        (Assignment(1, 0, 1), Assignment(1, 1, 2), Assignment(2, 1, 2)),
        (TaskUnits(1, 0, 1), TaskUnits(2, 1, 1)),
    )
    rules = always(CloseOut(WHY, 1, 2), AtLeast(signed, 1, (1,), (2,), Per.CREW))
    repair = repair_roster(
        problem, rules, published, DayEvents(next_round=1, left=((1, 1),)), LIMITS
    )
    assert repair.holes_left == ((2, 1),)
    assert "1 hole cannot be filled today at “Task 2”" in repair.stops[0]
    assert "signed off for the tamper" in repair.stops[0]
    assert "Cover and fence" in repair.stops[0]


def test_nothing_is_bored_that_cannot_be_filled_any_more():
    problem = day(
        [person(1, rounds=3), person(2, rounds=3)],
        [task(1, units=4, required=True), task(2, units=4, closes=1)],
        rounds=3,
    )
    conditions = (CloseOut(WHY, 1, 2),)
    published = solve_roster(problem, conditions, LIMITS).roster
    events = DayEvents(next_round=1, dropped=(2,))
    repair = repair_roster(problem, always(*conditions), published, events, LIMITS)
    bored = sum(u.units for u in repair.roster.units if u.task == 1)
    filled = sum(u.units for u in repair.roster.units if u.task == 2)
    assert bored == filled
    assert not [a for a in repair.roster.assignments if a.round == 2]


def test_a_rest_earned_before_now_still_counts():
    # At most one round of task 1 each: whoever did it in round 1 may not do it in round 2.
    problem = day([person(1), person(2)], [task(1, required=True, units=2)])
    limit = AtMost(WHY, 1, None, (1,), Per.PERSON)
    published = Roster((Assignment(1, 0, 1), Assignment(2, 1, 1)), ())
    events = DayEvents(next_round=1, left=((2, 1),))
    repair = repair_roster(problem, always(limit), published, events, LIMITS)
    assert repair.roster.crew(1, 1) == ()


def test_minutes_of_rounds_behind_count_in_full_when_rounds_become_shorter():
    problem = day([person(1, rounds=3)], [task(1, required=True, units=9)], rounds=3)
    published = Roster(tuple(Assignment(1, r, 1) for r in range(3)), ())

    def rules(now):
        return (MinutesAtMost(WHY, (1,), ((1, now.round_minutes),), 60),)

    events = DayEvents(next_round=1, round_minutes=20)
    repair = repair_roster(problem, rules, published, events, LIMITS)
    # 30 minutes are behind; one round of 20 more makes 50, two would make 70.
    assert len([a for a in repair.roster.assignments if a.round > 0]) == 1


def test_lost_tools_and_tasks_called_off_take_their_crews_out():
    tools = (ToolItem("fork", "fork", 2, 0),)
    tasks = [rule_days.task(n, tools={"fork": 1}, units=3, zone=f"z{n}") for n in (1, 2)] + [
        rule_days.task(3, units=3)
    ]
    people = [rule_days.adult(n, skills=("lead", "first_aid")) for n in range(1, 7)]
    problem = rule_days.day(people, tasks, tools=tools)
    published = solve_roster(problem, all_conditions(problem), LIMITS).roster
    events = DayEvents(tools_lost=(("fork", 1),), called_off=(3,))
    repair = repair_roster(problem, all_conditions, published, events, LIMITS)
    for round_ in range(3):
        at = {a.task for a in repair.roster.assignments if a.round == round_}
        assert 3 not in at
        assert len(at & {1, 2}) <= 1


def class_day():
    """A class of six with two staff, two checked adults who lead; three rounds of weeding."""
    pupils = [rule_days.pupil(-n, 12) for n in range(1, 7)]
    staff = [rule_days.adult(n, staff_of=rule_days.CLASS_5A.id, skills=()) for n in (11, 12)]
    leads = [rule_days.adult(n, skills=("lead", "first_aid")) for n in (1, 2, 3)]
    return rule_days.day([*pupils, *staff, *leads], [rule_days.task(1, units=70)])


def test_a_class_that_nobody_may_supervise_waits_with_its_own_staff():
    problem = class_day()
    published = solve_roster(problem, all_conditions(problem), LIMITS).roster
    assert any(a.person < 0 and a.round > 0 for a in published.assignments)
    # The leads go, all but one unchecked helper: the class may not work any more.
    events = DayEvents(next_round=1, left=((1, 1), (2, 1), (3, 1)))
    repair = repair_roster(problem, all_conditions, published, events, LIMITS)
    ahead = [a for a in repair.roster.assignments if a.round >= 1]
    assert not ahead
    waits = [said for said in repair.stops if said.startswith("Class 5a (6 pupils) waits")]
    assert waits
    assert "of its own staff" in waits[0]


def test_nobody_young_waits_alone_while_an_adult_could_stay():
    # One child may not work in round 2; the checked adult stays though work is left.
    child = person(1, age=10)
    adult = person(2, checked=True)
    problem = day([child, adult], [task(1, units=9, required=True)])
    published = Roster(tuple(Assignment(p, r, 1) for p in (1, 2) for r in (0, 1)), ())
    rules = always(Forbid(because("Too hot for children."), (1,), None, (1,)))
    repair = repair_roster(problem, rules, published, DayEvents(next_round=1), LIMITS)
    assert not [a for a in repair.roster.assignments if a.round == 1]
    assert any("P1 waits in round 2 with P2" in said for said in repair.stops)


def test_past_rounds_stay_as_they_were_less_those_who_never_came():
    problem = coring(rounds=3)
    published = solve_roster(problem, (CloseOut(WHY, 1, 2),), LIMITS).roster
    events = DayEvents(next_round=2, left=((2, 0),))
    repair = repair_roster(problem, always(CloseOut(WHY, 1, 2)), published, events, LIMITS)
    was = {a for a in published.assignments if a.round < 2 and a.person != 2}
    assert {a for a in repair.roster.assignments if a.round < 2} == was


def test_who_came_unasked_may_help():
    problem = day([person(1)], [task(1, required=True, units=4)])
    published = Roster((Assignment(1, 0, 1), Assignment(1, 1, 1)), ())
    events = DayEvents(came=(person(2),))
    repair = repair_roster(problem, always(), published, events, LIMITS)
    assert repair.required_left == 0
    assert repair.changed == ()


def test_everybody_gone_leaves_an_empty_rest():
    problem = coring()
    published = solve_roster(problem, (CloseOut(WHY, 1, 2),), LIMITS).roster
    events = DayEvents(next_round=1, left=((1, 1), (2, 1), (3, 1)))
    repair = repair_roster(problem, always(CloseOut(WHY, 1, 2)), published, events, LIMITS)
    assert not [a for a in repair.roster.assignments if a.round == 1]
    opened = sum(u.units for u in published.units if u.task == 1 and u.round == 0)
    assert sum(n for _, n in repair.holes_left) == opened


@pytest.mark.parametrize(
    ("events", "said"),
    [
        (DayEvents(next_round=9), "has 2 rounds"),
        (DayEvents(left=((77, 0),)), "Nobody with number 77"),
        (DayEvents(left=((1, 5),)), "no round 6"),
        (DayEvents(called_off=(9,)), "no task with number 9"),
        (DayEvents(tools_lost=(("auger", 1),)), "0 are on hand"),
        (DayEvents(round_minutes=0), "drop the round instead"),
        (DayEvents(done=(TaskUnits(1, 0, 1),)), "0 rounds that are over"),
        (DayEvents(came=(person(1),)), "a number nobody has"),
    ],
)
def test_events_that_cannot_be_are_refused_with_a_sentence(events, said):
    with pytest.raises(RosterError, match=said):
        repair_roster(coring(), always(), Roster((), ()), events, LIMITS)


def test_without_time_the_published_roster_stays():
    problem = class_day()
    published = Roster((Assignment(1, 0, 1),), ())
    repair = repair_roster(
        problem, all_conditions, published, DayEvents(), Limits(seconds=1e-6, workers=1)
    )
    assert repair.status is SolveStatus.UNDECIDED
    assert repair.roster is None
    assert "The published roster stays as it is" in repair.stops[0]


def test_locks_that_cannot_hold_are_named():
    problem = day([person(1)], [task(1)], locks=((1, 1, 1),))
    rules = always(Forbid(because("P1 leaves the spade alone."), (1,), (1,)))
    repair = repair_roster(problem, rules, Roster((), ()), DayEvents(), LIMITS)
    assert repair.status is SolveStatus.IMPOSSIBLE
    said = " ".join(repair.stops)
    assert "P1 is fixed at “Task 1” in round 2." in said
    assert "leaves the spade alone" in said
