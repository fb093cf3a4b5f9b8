"""Spare hands: what a wish costs, and that the roster stands more often with it."""

from scheduling.domain.planner.chance import estimate_chance
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.robust import build_wishes, solve_robust
from scheduling.domain.rules import all_conditions
from tests.scheduling.domain import rule_days

LIMITS = Limits(seconds=20, seed=1, workers=1)


def augers(units: int, holders: int):
    """One boring task that needs an auger hand, weeding beside it, two leads."""
    people = [
        *(rule_days.adult(n, skills=("lead", "first_aid")) for n in (1, 2)),
        *(rule_days.adult(n, skills=("auger",) if n < 3 + holders else ()) for n in range(3, 9)),
    ]
    tasks = [
        rule_days.task(1, units=units, skills={"auger": 1}, crew_least=2, crew_most=4),
        rule_days.task(2, units=40, required=False, zone="bed"),
    ]
    return rule_days.day(people, tasks)


def test_a_second_auger_hand_and_a_spare_lead_are_wished_for_where_people_could_grant_them():
    words = [wish.words for wish in build_wishes(augers(9, 2))]
    assert words == [
        "A crew lead to spare in every round",
        "A second pair of hands signed off for auger in the crew",
    ]
    assert len(build_wishes(augers(9, 1))) == 1


def test_a_wish_is_kept_and_its_price_in_other_work_is_told():
    problem = augers(9, 2)
    conditions = all_conditions(problem)
    robust = solve_robust(problem, conditions, LIMITS, build_wishes(problem))
    assert [price.is_kept for price in robust.prices] == [True, True]
    assert robust.result.value.required_left == 0
    for round_ in range(3):
        crew = robust.result.roster.crew(1, round_)
        assert not crew or {3, 4} <= set(crew)
        at = {a.task for a in robust.result.roster.assignments if a.round == round_}
        assert len(at) <= 1
    assert robust.prices[0].other_lost >= 0
    assert "kept" in robust.prices[0].sentence


def test_a_wish_that_costs_work_that_must_be_done_gives_way_unless_it_is_hard():
    # Both crews are needed in every round: a lead to spare would leave work undone.
    people = [rule_days.adult(n, skills=("lead", "first_aid")) for n in (1, 2)]
    tasks = [rule_days.task(n, units=9, crew_most=1, zone=f"z{n}") for n in (1, 2)]
    problem = rule_days.day(people, tasks)
    conditions = all_conditions(problem)
    soft = solve_robust(problem, conditions, LIMITS, build_wishes(problem))
    assert soft.result.value.required_left == 0
    assert not soft.prices[0].is_kept
    assert "not kept" in soft.prices[0].sentence
    hard = solve_robust(problem, conditions, LIMITS, build_wishes(problem), hard=True)
    assert hard.prices[0].is_kept
    assert hard.prices[0].required_lost == hard.result.value.required_left > 0


def test_the_roster_stands_more_often_with_a_second_hand():
    problem = augers(6, 2)
    conditions = all_conditions(problem)
    plain = solve_robust(problem, conditions, LIMITS, ()).result.roster
    robust = solve_robust(problem, conditions, LIMITS, build_wishes(problem)[1:]).result.roster
    both = [
        estimate_chance(problem, all_conditions, roster, LIMITS, draws=150)
        for roster in (plain, robust)
    ]
    assert both[0].works == both[1].works  # with the best repair it is all the same
    assert both[1].stands >= both[0].stands
