"""Spare hands: what a wish costs, and that the roster stands more often with it."""

from scheduling.domain.planner.chance import estimate_chance
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.robust import solve_robust
from scheduling.domain.rules import all_conditions
from scheduling.domain.spare_hands import build_wishes
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


def aided(aiders: int, *, heavy: bool = True, people: int = 9):
    """Boring with two leads; so many of those who come hold first aid."""
    folk = [
        rule_days.adult(n, skills=("lead",) * (2 <= n < 4) + ("first_aid",) * (n <= aiders))
        for n in range(1, people + 1)
    ]
    tasks = [
        rule_days.task(1, units=6, heavy=heavy, crew_most=4),
        rule_days.task(2, units=20, required=False, zone="bed"),
    ]
    return rule_days.day(folk, tasks)


def test_two_first_aiders_are_wished_for_where_there_are_two_and_heavy_work():
    assert [wish.kind for wish in build_wishes(aided(2))] == ["lead", "first aid"]
    assert [wish.words for wish in build_wishes(aided(2))][1] == (
        "Two first aiders free of heavy and powered work in every round"
    )
    assert [wish.kind for wish in build_wishes(aided(1))] == ["lead"]
    assert [wish.kind for wish in build_wishes(aided(2, heavy=False))] == ["lead"]
    # Of 26 people two must be free already, so that three are wished for.
    assert [wish.kind for wish in build_wishes(aided(2, people=26))] == ["lead"]
    assert "3 first aiders free" in build_wishes(aided(3, people=26))[1].words


def test_with_two_first_aiders_neither_does_heavy_work():
    problem = aided(2)
    conditions = all_conditions(problem)
    wishes = build_wishes(problem, ("first aid",))

    robust = solve_robust(problem, conditions, LIMITS, wishes)

    assert [price.is_kept for price in robust.prices] == [True]
    heavy = {a.person for a in robust.result.roster.assignments if a.task == 1}
    assert not heavy & {1, 2}


def two_crews(holders: int, *, beside: str):
    """Two boring tasks that each need an auger hand, the second in the zone given."""
    people = [
        *(rule_days.adult(n, skills=("lead", "first_aid")) for n in (1, 2, 3)),
        *(rule_days.adult(n, skills=("auger",) if n < 4 + holders else ()) for n in range(4, 10)),
    ]
    tasks = [
        rule_days.task(n, units=4, skills={"auger": 1}, crew_least=2, crew_most=3, zone=zone)
        for n, zone in ((1, "bed"), (2, beside))
    ]
    return rule_days.day(people, tasks)


def test_a_second_hand_in_the_zone_may_be_in_the_crew_beside():
    problem = two_crews(2, beside="bed")
    wishes = {wish.kind: wish for wish in build_wishes(problem)}
    assert wishes["zone"].words == ("A second pair of hands signed off for auger in the same zone")

    robust = solve_robust(problem, all_conditions(problem), LIMITS, [wishes["zone"]])

    assert robust.prices[0].is_kept
    for round_ in range(3):
        at = {a.person for a in robust.result.roster.assignments if a.round == round_}
        assert not at or {4, 5} <= at


def test_in_zones_of_one_crew_each_the_crew_is_all_there_is_to_wish():
    keys = [wish.kind for wish in build_wishes(two_crews(2, beside="lawn"))]

    assert keys == ["lead", "crew"]
    assert [wish.kind for wish in build_wishes(two_crews(1, beside="bed"))] == ["lead"]
