"""Who may do what, in a round or a session: possible exactly when a maximum flow says so.

By Hall's theorem the places of a round can be filled exactly when no set of them has fewer
able people than places; networkx's maximum flow decides that without the engine.
"""

from itertools import combinations
from random import Random

import networkx
import pytest

from scheduling.domain.condition import AtLeast, AtMost, Forbid, Per
from scheduling.domain.people import Band
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.season import solve_season
from scheduling.domain.roster import SolveStatus
from scheduling.domain.season import Demand, PeopleClass, SetCapacity
from tests.scheduling.domain.planner.days import because, day, person, task
from tests.scheduling.domain.planner.seasons import item, season, session

LIMITS = Limits(seconds=20, seed=1, workers=1)
WHY = because()


def build_case(seed):
    """Return people, tasks, rounds, presence, who is able, places by task, rounds a person."""
    random = Random(seed)
    rounds = random.randint(1, 2)
    people = range(1, random.randint(3, 7))
    tasks = range(1, random.randint(2, 5))
    present = {p: tuple(random.random() < 0.85 for _ in range(rounds)) for p in people}
    able = {t: tuple(p for p in people if random.random() < 0.5) for t in tasks}
    places = {t: random.choice((0, 1, 1, 1, 2)) for t in tasks}
    return people, tasks, rounds, present, able, places, random.randint(1, rounds)


def flow_of(people, tasks, rounds, present, able, places, most):
    """Return how many places can be filled at once."""
    graph = networkx.DiGraph()
    graph.add_nodes_from(("source", "sink"))
    for p in people:
        graph.add_edge("source", ("person", p), capacity=most)
        for r in range(rounds):
            if present[p][r]:
                graph.add_edge(("person", p), ("round", p, r), capacity=1)
    for t in tasks:
        for r in range(rounds):
            graph.add_edge(("place", t, r), "sink", capacity=places[t])
            for p in able[t]:
                graph.add_edge(("round", p, r), ("place", t, r), capacity=1)
    return networkx.maximum_flow_value(graph, "source", "sink")


def people_and_tasks(people, tasks, rounds, present, **facts):
    return day(
        [person(p, rounds=rounds, present=present[p]) for p in people],
        [task(t, **facts) for t in tasks],
        rounds=rounds,
    )


@pytest.mark.parametrize("first", range(0, 120, 20))
def test_all_places_can_be_filled_exactly_when_the_flow_fills_them(first):
    found = set()
    for seed in range(first, first + 20):
        people, tasks, rounds, present, able, places, most = build_case(seed)
        problem = people_and_tasks(people, tasks, rounds, present, units=0)
        conditions = (
            *(AtLeast(WHY, places[t], able[t], (t,), Per.CREW, None, True) for t in tasks),
            AtMost(WHY, most, None, None, Per.PERSON),
        )
        is_possible = flow_of(people, tasks, rounds, present, able, places, most) == rounds * sum(
            places.values()
        )
        result = solve_roster(problem, conditions, LIMITS)
        wanted = SolveStatus.BEST if is_possible else SolveStatus.IMPOSSIBLE
        assert result.status is wanted, seed
        found.add(is_possible)
    assert found == {True, False}


@pytest.mark.parametrize("first", range(0, 60, 20))
def test_as_many_places_are_filled_as_flow_there_is(first):
    for seed in range(first, first + 20):
        people, tasks, rounds, present, able, places, most = build_case(seed)
        # Each place filled is one unit, worth one.
        problem = people_and_tasks(
            people, tasks, rounds, present, units=9, points_per_unit=300, value_per_unit=1
        )
        unable = {t: tuple(p for p in people if p not in able[t]) for t in tasks}
        conditions = (
            *(AtMost(WHY, places[t], None, (t,), Per.CREW) for t in tasks),
            *(Forbid(WHY, unable[t], (t,)) for t in tasks),
            AtMost(WHY, most, None, None, Per.PERSON),
        )
        result = solve_roster(problem, conditions, LIMITS)
        assert result.status is SolveStatus.BEST
        flow = flow_of(people, tasks, rounds, present, able, places, most)
        assert result.value.other_done == flow, seed


CLASSES = (
    PeopleClass(0, Band.ADULT, ()),
    PeopleClass(1, Band.ADULT, ("auger",)),
    PeopleClass(2, Band.FROM_16, ()),
    PeopleClass(3, Band.UNDER_12, ()),
)
HOLDERS = {  # skill and band asked for: classes that can give it
    ("auger", Band.ADULT): {1},
    ("", Band.ADULT): {0, 1},
    ("", Band.FROM_16): {0, 1, 2},
    ("", Band.UNDER_12): {0, 1, 2, 3},
}


def can_give(minutes, asked):
    """Say whether classes with these minutes can give what is asked of sets of them."""
    graph = networkx.DiGraph()
    graph.add_nodes_from(("source", "sink"))
    for one, there in enumerate(minutes):
        graph.add_edge("source", ("class", one), capacity=there)
    for number, (kind, needed) in enumerate(asked):
        graph.add_edge(("demand", number), "sink", capacity=needed)
        for one in HOLDERS[kind]:
            graph.add_edge(("class", one), ("demand", number))
    return networkx.maximum_flow_value(graph, "source", "sink") == sum(n for _, n in asked)


@pytest.mark.parametrize("seed", range(40))
def test_a_session_holds_as_much_work_as_the_minutes_of_its_classes_can_flow_into(seed):
    random = Random(seed)
    minutes = [10 * random.randint(0, 4) for _ in CLASSES]
    asked = [
        (random.choice(sorted(HOLDERS)), 5 * random.randint(1, 7))
        for _ in range(random.randint(3, 6))
    ]
    most = max(
        number
        for number in range(len(asked) + 1)
        if any(can_give(minutes, chosen) for chosen in combinations(asked, number))
    )
    sets = tuple(
        SetCapacity(tuple(sorted(able)), sum(minutes[one] for one in able))
        for able in HOLDERS.values()
    )
    items = [
        item(f"i{n}", units=1, demands=(Demand(*kind, needed),), sessions=(0,), value_per_unit=1)
        for n, (kind, needed) in enumerate(asked)
    ]
    problem = season(items, (session(0, capacity=sets),), classes=CLASSES, discount=(1,))
    result = solve_season(problem, LIMITS)
    assert result.status is SolveStatus.BEST
    assert result.value == most
