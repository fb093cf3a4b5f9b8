"""What is asked of a season beyond the documents: rest, variety, work for the young, slack."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from orchard.domain.errors import RosterError
from scheduling.domain.people import Band
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.season import solve_season
from scheduling.domain.planner.season_check import find_season_faults
from scheduling.domain.season import Demand, PeopleClass, PlannedUnits, SetCapacity
from scheduling.domain.season_comfort import Comfort
from tests.scheduling.domain.planner.seasons import item, season, session

LIMITS = Limits(seconds=20, seed=1, workers=1)
FIRST = date(2027, 4, 17)


def weekly(number, **facts):
    return tuple(session(n, on=FIRST + timedelta(days=7 * n), **facts) for n in range(number))


def sessions_of(result, name):
    return sorted(part.session for part in result.planned if part.item == name and part.units)


def settling(days):
    """Filling first, topping up some days after it is finished."""
    return season(
        [
            item("fill", units=1, sessions=(0, 1, 2)),
            item("top", units=1, after=(("fill", False),), lag_days=(("fill", days),)),
        ],
        weekly(3),
    )


@pytest.mark.parametrize(("days", "session_of_top"), [(0, 1), (7, 1), (8, 2), (14, 2)])
def test_work_waits_for_the_days_that_must_pass(days, session_of_top):
    result = solve_season(settling(days), LIMITS)
    assert sessions_of(result, "fill") == [0]
    assert sessions_of(result, "top") == [session_of_top]


def test_work_that_would_wait_too_long_is_left_out_and_says_so():
    result = solve_season(settling(15), LIMITS)
    assert sessions_of(result, "top") == []
    assert "must lie finished for some days first (fill)" in result.left_out[0]


def test_a_plan_that_does_not_wait_is_refused():
    planned = (PlannedUnits("fill", 0, 1), PlannedUnits("top", 1, 1))
    assert find_season_faults(settling(7), planned) == ()
    assert find_season_faults(settling(8), planned) == (
        "Item top begins 7 days after item fill is finished; it must wait 8.",
    )


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"lag_days": (("fill", -1),)}, "to rest -1 days"),
        ({"lag_days": (("weed", 3),)}, "item weed; name an item it comes after"),
    ],
)
def test_rest_that_makes_no_sense_gets_a_sentence(changed, message):
    problem = settling(7)
    items = (problem.items[0], replace(problem.items[1], **changed))
    with pytest.raises(RosterError, match=message):
        solve_season(replace(problem, items=items), LIMITS)


def test_rest_needs_sessions_in_order_of_day():
    problem = settling(7)
    with pytest.raises(RosterError, match="not in order of day"):
        solve_season(replace(problem, sessions=problem.sessions[::-1]), LIMITS)


def two_kinds(**facts):
    """One session's minutes could all go to boring, which is worth most."""
    return season(
        [
            item("bore", kind="core", units=10, value_per_unit=9, sessions=(0,)),
            item("weed", kind="weed", units=10, value_per_unit=5, sessions=(0,)),
        ],
        weekly(1),
        **facts,
    )


def units_of(result):
    return {part.item: part.units for part in result.planned}


def test_without_the_wish_for_variety_one_heavy_kind_may_fill_a_session():
    assert units_of(solve_season(two_kinds(), LIMITS)) == {"bore": 10}


def test_no_session_is_filled_with_one_heavy_kind():
    problem = two_kinds(heavy_kinds=("core",), heavy_most_percent=70)
    assert units_of(solve_season(problem, LIMITS)) == {"bore": 7, "weed": 3}
    bore, weed = problem.items
    problem = replace(problem, items=(bore, replace(weed, units=2)))
    result = solve_season(problem, LIMITS)
    assert units_of(result) == {"bore": 7, "weed": 2}  # there are minutes left for more boring
    assert "heavy work of one kind (core)" in " ".join(result.left_out)
    assert "no heavy kind of work (core) takes more than 70 %" in result.notes[0]
    too_much = (PlannedUnits("bore", 0, 8),)
    assert "80 minutes of core; of one heavy kind it may have 70" in " ".join(
        find_season_faults(problem, too_much)
    )


def test_light_work_alone_may_fill_a_session():
    problem = two_kinds(heavy_kinds=("core",), heavy_most_percent=0)
    assert units_of(solve_season(problem, LIMITS)) == {"weed": 10}


def test_minutes_are_kept_free_for_weather():
    problem = two_kinds(kept_free_percent=25)
    result = solve_season(problem, LIMITS)
    assert units_of(result) == {"bore": 7}
    assert "25 % of each session's person-minutes is kept free" in result.notes[0]
    assert find_season_faults(problem, (PlannedUnits("bore", 0, 8),))
    assert find_season_faults(two_kinds(), (PlannedUnits("bore", 0, 8),)) == ()


def young_season(penalty, least=40):
    """Adults' work is worth more than what the young may do too; ten minutes a unit."""
    classes = (PeopleClass(0, Band.ADULT, ()), PeopleClass(1, Band.FROM_12, ()))
    return season(
        [
            item("prune", units=9, demands=(Demand("", Band.ADULT, 10),), value_per_unit=9),
            item("mulch", units=9, demands=(Demand("", Band.FROM_12, 10),), value_per_unit=5),
        ],
        (
            session(
                0,
                on=FIRST,
                capacity=(SetCapacity((0,), 90), SetCapacity((0, 1), 90)),
                young=((Band.FROM_12, least),),
            ),
        ),
        classes=classes,
        young_penalty=penalty,
        discount=(1000,),
    )


def only_first(problem):
    return replace(problem, items=tuple(replace(it, sessions=(0,)) for it in problem.items))


def test_without_a_penalty_the_young_may_go_without_work():
    assert units_of(solve_season(only_first(young_season(0)), LIMITS)) == {"prune": 9}


def test_young_people_get_work_they_may_do_where_it_costs_less_than_its_penalty():
    # A unit for the young instead of one for adults loses 4000 and saves ten minutes' penalty.
    result = solve_season(only_first(young_season(401)), LIMITS)
    assert units_of(result) == {"prune": 5, "mulch": 4}
    assert result.notes == ()
    weaker = solve_season(only_first(young_season(399)), LIMITS)
    assert units_of(weaker) == {"prune": 9}
    assert weaker.notes == (
        "17 April 2027 holds 0 of the 40 minutes of work wished for its young people.",
    )


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"kept_free_percent": 101}, "101 % of a session's minutes kept free"),
        ({"heavy_most_percent": -1}, "-1 % of a session's minutes of one heavy kind"),
        ({"young_penalty": -5}, "costs -5"),
    ],
)
def test_figures_nobody_can_plan_with_get_a_sentence(changed, message):
    with pytest.raises(RosterError, match=message):
        solve_season(two_kinds(**changed), LIMITS)


@pytest.mark.parametrize(
    "changed",
    [{"kept_free_percent": 120}, {"young_percent": -1}, {"young_penalty": -1}],
)
def test_a_sites_figures_are_checked_too(changed):
    with pytest.raises(RosterError, match="give 0"):
        Comfort(**changed)
    assert Comfort().source == "proposed"
