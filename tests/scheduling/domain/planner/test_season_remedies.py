"""What would make work fit: each change tried by solving, only real gains told."""

from dataclasses import replace
from datetime import date, timedelta
from time import monotonic

import pytest

from scheduling.domain.people import Band
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.season import solve_season
from scheduling.domain.planner.season_remedies import (
    MOST_CHANGES,
    SeasonChanges,
    try_season_changes,
)
from scheduling.domain.planner.season_trials import list_trials, put_in
from scheduling.domain.search_progress import STAGE_WORDS
from scheduling.domain.season import Demand, PeopleClass, PlannedUnits, SetCapacity, Stock
from tests.scheduling.domain.planner.seasons import item, season, session

LIMITS = Limits(seconds=20, seed=1, workers=1)
FIRST = date(2027, 4, 17)
AUGER = (PeopleClass(0, Band.ADULT, ()), PeopleClass(1, Band.ADULT, ("auger",)))


def weekly(number, gap=7, **facts):
    return tuple(session(n, on=FIRST + timedelta(days=gap * n), **facts) for n in range(number))


def changes(problem, limits=LIMITS, **facts):
    plan = solve_season(problem, limits).planned
    return {
        change.words: change for change in try_season_changes(problem, plan, limits, **facts).gains
    }


def bored(auger_min=30, **facts):
    """Nine holes; the one signed-off person has minutes for one in each of two sessions."""
    return season(
        [
            item(
                "bore",
                kind="core",
                units=9,
                demands=(Demand("auger", Band.ADULT, 20),),
                crew_most=2,
                sessions=(0, 1),
                **facts,
            )
        ],
        weekly(
            2,
            capacity=(SetCapacity((1,), auger_min), SetCapacity((0, 1), 300)),
            tools=(("auger", 1),),
            people_expected=5,
        ),
        classes=AUGER,
    )


def test_more_people_signed_off_in_the_scarce_skill_gain_what_they_can_do():
    found = changes(bored())
    people = found["Three more people signed off for auger."]
    # One unit in each session before; each newcomer brings 300 / 5 = 60 minutes.
    assert people.units_gain == (("bore", 7),)
    assert people.work_gain_min == 140
    assert people.work_gain_h == pytest.approx(140 / 60)
    assert "Three more adults." not in found  # nobody without the skill helps


def test_one_more_session_gains_one_session_of_work():
    found = changes(bored())
    more = found["One more session at the end, on 1 May 2027."]
    assert more.units_gain == (("bore", 1),)


def test_the_change_that_gains_most_is_told_first():
    problem = bored()
    plan = solve_season(problem, LIMITS).planned
    gains = [change.value_gain for change in try_season_changes(problem, plan, LIMITS).gains]
    assert gains == sorted(gains, reverse=True)
    assert all(gain > 0 for gain in gains)


def test_a_session_in_the_widest_gap_is_tried():
    problem = bored()
    days = (FIRST, FIRST + timedelta(days=7), FIRST + timedelta(days=28))
    sessions = tuple(replace(problem.sessions[0], id=n, on=on) for n, on in enumerate(days))
    problem = replace(
        problem,
        sessions=sessions,
        discount=(1000, 1000, 1000),
        items=(replace(problem.items[0], sessions=(0, 1, 2)),),
    )
    assert "One more session in the widest gap, on 4 May 2027." in changes(problem)


def short_of_compost(deliveries):
    return season(
        [item("top", units=4, materials=(("compost", 5),), sessions=(0, 1))],
        weekly(2),
        materials=(Stock("compost", deliveries),),
    )


def test_an_earlier_and_a_larger_delivery_are_told_when_they_gain():
    early = short_of_compost(((1, 20),))
    only_first = replace(early, items=(replace(early.items[0], sessions=(0,)),))
    found = changes(only_first)
    assert found["All compost delivered before the first session."].units_gain == (("top", 4),)
    late = changes(short_of_compost(((0, 10),)))
    assert late["10 more of compost before the first session."].units_gain == (("top", 2),)
    assert "All compost delivered before the first session." not in late


def test_a_larger_delivery_is_told_in_its_unit_where_there_is_one():
    problem = short_of_compost(((0, 10),))
    litres = replace(problem, materials=(replace(problem.materials[0], unit="L"),))
    plan = solve_season(litres, LIMITS).planned
    larger = {trial.words: trial.problem for trial in list_trials(litres, plan)}
    assert larger["10 L more of compost before the first session."].materials == (
        Stock("compost", ((0, 10), (0, 10)), "L"),
    )
    assert all(each.materials[0].unit == "L" for each in larger.values())


def test_one_more_of_a_tool_is_told_when_it_is_short():
    problem = bored(auger_min=300, tools=(("auger", 2),))
    problem = replace(problem, sessions=tuple(replace(s, usable_min=30) for s in problem.sessions))
    found = changes(problem)
    # One of two augers does a crew's work for half the time: one hole a session, not three.
    assert found["One more auger."].units_gain == (("bore", 4),)


def test_one_more_lead_is_told_when_crews_are_short():
    items = [item(name, place=name, units=4, sessions=(0,)) for name in "ab"]
    problem = season(items, weekly(1, usable_min=40, most_crews=1), discount=(1000,))
    found = changes(problem)
    (gained,) = found["One more crew lead in every session."].units_gain
    assert gained in (("a", 4), ("b", 4))


def test_nothing_is_tried_when_everything_fits():
    problem = season([item("a"), item("b")], weekly(3))
    plan = solve_season(problem, LIMITS).planned
    assert list(list_trials(problem, plan)) == []
    assert try_season_changes(problem, plan, LIMITS) == SeasonChanges((), 0, 0)


def test_what_cannot_be_helped_gets_no_change():
    problem = season([item("a", sessions=())], weekly(2), discount=(1000, 900))
    assert changes(problem) == {}


def test_promises_stay_in_every_trial():
    problem = bored()
    keep = (PlannedUnits("bore", 1, 1),)
    plan = solve_season(problem, LIMITS, keep=keep).planned
    assert try_season_changes(problem, plan, LIMITS, keep=keep).gains


def test_a_stop_ends_the_trials_at_once():
    problem = bored()
    plan = solve_season(problem, LIMITS).planned
    begun = monotonic()
    found = try_season_changes(problem, plan, LIMITS, should_stop=lambda: True)
    assert (found.gains, found.tried) == ((), 0)
    assert found.not_tried == len(list(list_trials(problem, plan)))
    assert monotonic() - begun < 3


def test_before_each_trial_it_is_told_how_many_were_tried_and_which_gains_most():
    problem = bored()
    plan = solve_season(problem, LIMITS).planned
    heard = []
    found = try_season_changes(problem, plan, LIMITS, on_progress=heard.append)
    number = len(list(list_trials(problem, plan)))
    assert (found.tried, found.not_tried) == (number, 0)
    assert [one.value for one in heard] == [None, *range(number)]
    assert {one.stage for one in heard} <= set(STAGE_WORDS)
    assert heard[1].said == f"0 of 0 tried gain; {number} are to be tried"
    most = found.gains[0].words.removesuffix(".")
    assert f"the best so far: {most}" in heard[-1].said


def test_a_stop_between_trials_keeps_what_was_found():
    problem = bored()
    plan = solve_season(problem, LIMITS).planned
    heard = []
    found = try_season_changes(
        problem, plan, LIMITS, on_progress=heard.append, should_stop=lambda: len(heard) > 3
    )
    # Heard: the season as it is, then the word before each of three trials.
    assert found.tried == 2
    assert "One more session at the end, on 1 May 2027." in {one.words for one in found.gains}
    assert found.not_tried == len(list(list_trials(problem, plan))) - 2


def test_a_longer_search_tries_more_changes_than_a_short_one():
    tools = tuple((f"tool{n:02}", 1) for n in range(20))
    problem = bored(tools=tools)
    problem = replace(problem, sessions=tuple(replace(s, tools=tools) for s in problem.sessions))
    plan = solve_season(problem, replace(LIMITS, seconds=3)).planned
    number = len(list(list_trials(problem, plan)))
    heard = []
    short = try_season_changes(problem, plan, replace(LIMITS, seconds=3))
    try_season_changes(
        problem, plan, replace(LIMITS, seconds=600),
        on_progress=heard.append, should_stop=lambda: len(heard) > 1,
    )  # fmt: skip
    assert number > MOST_CHANGES
    assert short.tried + short.not_tried == number
    assert short.tried <= MOST_CHANGES
    assert heard[1].said.endswith(f"{number} are to be tried")


def test_a_session_put_in_keeps_what_the_others_were():
    problem = short_of_compost(((0, 10), (1, 7)))
    problem = replace(problem, items=(replace(problem.items[0], finish_by=1),))
    more = put_in(problem, 1, FIRST + timedelta(days=3))
    assert [s.on.day for s in more.sessions] == [17, 20, 24]
    assert more.items[0].sessions == (0, 1, 2)
    assert more.items[0].finish_by == 2
    assert more.materials[0].deliveries == ((0, 10), (2, 7))
    assert more.discount == (1000, 1000, 900)


def test_a_skill_that_nobody_holds_can_be_brought():
    problem = season(
        [item("bore", units=2, demands=(Demand("auger", Band.ADULT, 20),), sessions=(0,))],
        weekly(1, capacity=(SetCapacity((), 0), SetCapacity((0,), 100))),
        discount=(1000,),
    )
    found = changes(problem)
    assert found["Three more people signed off for auger."].units_gain == (("bore", 2),)
