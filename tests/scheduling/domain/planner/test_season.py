"""Tiny seasons against every plan there is, each limit by itself, and the engine from outside."""

from dataclasses import replace
from itertools import product
from math import prod

import pytest

from orchard.domain.errors import RosterError
from scheduling.domain.people import Band
from scheduling.domain.planner import season as engine
from scheduling.domain.planner.errors import EngineFault
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.relaxation import solve_relaxation
from scheduling.domain.planner.season import solve_season
from scheduling.domain.planner.season_check import find_season_faults
from scheduling.domain.planner.season_model import build_season_model
from scheduling.domain.planner.season_start import as_units
from scheduling.domain.planner.season_terms import build_terms, value_of_season
from scheduling.domain.planner.simple import plan_simply
from scheduling.domain.roster import SolveStatus
from scheduling.domain.season import Demand, PeopleClass, PlannedUnits, SetCapacity, Stock
from tests.scheduling.domain.planner.seasons import item, season, session

LIMITS = Limits(seconds=20, seed=1, workers=1)


def worth(problem, plan):
    """Return the objective by the documents' words; a plan is item -> units by session."""
    value = 0
    for it in problem.items:
        units = plan[it.id]
        value += sum(
            it.value_per_unit * d * n for d, n in zip(problem.discount, units, strict=True)
        )
        value -= it.split_penalty * max(0, sum(n > 0 for n in units) - 1)
        if it.finish_by is not None:
            late = range(it.finish_by, len(units))
            value -= it.late_penalty * sum(sum(units[: end + 1]) < it.units for end in late)
    for s, ses in enumerate(problem.sessions):
        for band, least in ses.young:
            given = 0
            for it in problem.items:
                for d in it.demands:
                    if d.skill == "" and d.least_band <= band:
                        given += plan[it.id][s] * d.minutes_per_unit
            if given < least:
                value -= problem.young_penalty * (least - given)
    return value


def holds(problem, plan):
    """Judge a plan by plain loops over the words of the season documents."""
    kinds = {c.id: c for c in problem.classes}
    items = {it.id: it for it in problem.items}
    for it in problem.items:
        units = plan[it.id]
        if sum(units) > it.units:
            return False
        for s, n in enumerate(units):
            small = problem.sessions[s].people_expected < it.crew_least
            if n and (s not in it.sessions or small):
                return False
            for before, same in it.after:
                until = s + 1 if same else s
                if n and sum(plan[before][:until]) < items[before].units:
                    return False
                if n and items[before].units:
                    finished = max(t for t in range(until) if plan[before][t])
                    rest = problem.sessions[s].on - problem.sessions[finished].on
                    if rest.days < dict(it.lag_days).get(before, 0) and not any(units[:s]):
                        return False
        if it.closes is not None and units != plan[it.closes]:
            return False
    for s, ses in enumerate(problem.sessions):
        for cap in ses.capacity:
            used = sum(
                plan[it.id][s] * d.minutes_per_unit
                for it in problem.items
                for d in it.demands
                if all(
                    c in cap.classes
                    for c, kind in kinds.items()
                    if kind.band >= d.least_band and d.skill in ("", *kind.skills)
                )
            )
            if used > cap.person_min - cap.person_min * problem.kept_free_percent / 100:
                return False
        room = max((cap.person_min for cap in ses.capacity), default=0)
        room = int(room - room * problem.kept_free_percent / 100)
        for kind in problem.heavy_kinds:
            heavy = sum(
                plan[it.id][s] * sum(d.minutes_per_unit for d in it.demands)
                for it in problem.items
                if it.kind == kind
            )
            if heavy * 100 > room * problem.heavy_most_percent:
                return False
        crew = {
            it.id: plan[it.id][s] * sum(d.minutes_per_unit for d in it.demands) / it.crew_most
            for it in problem.items
        }
        if sum(crew.values()) > ses.most_crews * ses.usable_min + 1e-9:
            return False
        for place in {it.place for it in problem.items}:
            if (
                sum(crew[it.id] for it in problem.items if it.place == place)
                > ses.usable_min + 1e-9
            ):
                return False
        for tool in {t for it in problem.items for t, _ in it.tools}:
            used = sum(crew[it.id] * dict(it.tools).get(tool, 0) for it in problem.items)
            if used > dict(ses.tools).get(tool, 0) * ses.usable_min + 1e-9:
                return False
    for stock in problem.materials:
        for end in range(len(problem.sessions)):
            need = sum(
                dict(it.materials).get(stock.material, 0) * sum(plan[it.id][: end + 1])
                for it in problem.items
            )
            if need > sum(n for s, n in stock.deliveries if s <= end):
                return False
    return True


def every_plan(problem):
    number = len(problem.sessions)
    options = [
        [u for u in product(range(it.units + 1), repeat=number) if sum(u) <= it.units]
        for it in problem.items
    ]
    assert prod(len(o) for o in options) < 30_000
    for chosen in product(*options):
        yield {it.id: units for it, units in zip(problem.items, chosen, strict=True)}


TIGHT = tuple(session(n, capacity=(SetCapacity((0,), 30),)) for n in range(3))
AUGER = (PeopleClass(0, Band.ADULT, ()), PeopleClass(1, Band.ADULT, ("auger",)))
CORE = {
    "demands": (Demand("auger", Band.FROM_16, 10), Demand("", Band.FROM_16, 5)),
    "crew_most": 2,
    "value_per_unit": 9,
}
SEASONS = {
    "room for all": season([item("a"), item("b"), item("c")]),
    "too few minutes": season([item("a"), item("b", value_per_unit=7), item("c", units=1)], TIGHT),
    "in order": season(
        [item("a", after=(("b", True),)), item("b", after=(("c", False),)), item("c")], TIGHT
    ),
    "splitting costs": season(
        [item("a", split_penalty=4000), item("b", split_penalty=100), item("c", value_per_unit=4)],
        tuple(session(n, capacity=(SetCapacity((0,), 20 + 10 * (n == 1)),)) for n in range(3)),
    ),
    "lateness costs": season(
        [
            item("a", finish_by=1, late_penalty=900),
            item("b", value_per_unit=6),
            item("c", finish_by=0, late_penalty=3000),
        ],
        TIGHT,
    ),
    "close-out": season(
        [item("a", **CORE), item("b", closes="a", after=(("c", True),)), item("c", units=1)],
        tuple(
            session(n, capacity=(SetCapacity((1,), 15), SetCapacity((0, 1), 40))) for n in range(3)
        ),
        classes=AUGER,
    ),
    "windows and small sessions": season(
        [item("a", sessions=(1,)), item("b", crew_least=4), item("c", sessions=())],
        (session(0, people_expected=3), session(1), session(2, people_expected=0)),
    ),
    "one place": season(
        [item("a", place="T1"), item("b", place="T1"), item("c", place="T2")],
        tuple(session(n, usable_min=20) for n in range(3)),
    ),
    "few crews": season(
        [item("a", crew_most=2), item("b"), item("c", crew_most=3)],
        tuple(session(n, usable_min=15, most_crews=1) for n in range(3)),
    ),
    "one tool": season(
        [item("a", tools=(("auger", 1),)), item("b", tools=(("auger", 2),)), item("c")],
        tuple(session(n, usable_min=20, tools=(("auger", n),)) for n in range(3)),
    ),
    "late compost": season(
        [item("a", materials=(("compost", 3),)), item("b", materials=(("compost", 2),)), item("c")],
        materials=(Stock("compost", ((1, 5), (2, 3))),),
    ),
}  # fmt: skip


def plan_of(problem, planned):
    index = {s.id: n for n, s in enumerate(problem.sessions)}
    plan = {it.id: [0] * len(problem.sessions) for it in problem.items}
    for part in planned:
        plan[part.item][index[part.session]] += part.units
    return {name: tuple(units) for name, units in plan.items()}


@pytest.mark.parametrize("name", sorted(SEASONS))
def test_the_plan_is_as_good_as_the_best_of_all_plans(name):
    problem = SEASONS[name]
    best = max(worth(problem, plan) for plan in every_plan(problem) if holds(problem, plan))
    result = solve_season(problem, LIMITS)
    assert result.status is SolveStatus.BEST
    assert result.value == best == result.bound
    plan = plan_of(problem, result.planned)
    assert holds(problem, plan)
    assert worth(problem, plan) == best


@pytest.mark.parametrize("name", sorted(SEASONS))
def test_the_check_agrees_with_plain_loops_on_every_plan(name):
    problem = SEASONS[name]
    for number, plan in enumerate(every_plan(problem)):
        if number % 7 == 0:
            planned = tuple(
                PlannedUnits(it, problem.sessions[s].id, n)
                for it, units in plan.items()
                for s, n in enumerate(units)
                if n
            )
            assert (find_season_faults(problem, planned) == ()) == holds(problem, plan)
            assert value_of_season(problem, planned) == worth(problem, plan)


@pytest.mark.parametrize("name", sorted(SEASONS))
def test_the_simple_plan_holds_and_the_relaxation_bounds_it(name):
    problem = SEASONS[name]
    terms = build_terms(problem)
    simple = as_units(terms, plan_simply(terms))
    assert holds(problem, plan_of(problem, simple))
    relaxed = solve_relaxation(build_season_model(terms).model, 5)
    assert relaxed.bound >= solve_season(problem, LIMITS).value


def big_season():
    items = [
        item(
            f"i{n:03}",
            place=f"P{n % 12}",
            units=5 + n % 7,
            demands=(Demand("", Band.ADULT, 7 + n % 5),),
            crew_most=2 + n % 3,
            value_per_unit=20 + (7 * n) % 13,
            split_penalty=9000,
            sessions=tuple(range(6)),
            after=((f"i{n - 1:03}", True),) if n % 4 else (),
        )
        for n in range(60)
    ]
    sessions = tuple(session(n, capacity=(SetCapacity((0,), 400),)) for n in range(6))
    return season(items, sessions, discount=(1000, 980, 960, 941, 922, 904))


def test_a_stop_keeps_the_best_so_far_with_its_bound():
    problem = big_season()
    seen = []
    result = solve_season(
        problem,
        replace(LIMITS, seconds=60),
        on_progress=seen.append,
        should_stop=lambda: bool(seen),
    )
    assert result.status in (SolveStatus.GOOD, SolveStatus.BEST)
    assert result.seconds < 20
    assert result.value <= result.bound
    assert find_season_faults(problem, result.planned) == ()


def test_a_limit_is_kept_and_the_answer_is_near_its_bound():
    problem = big_season()
    result = solve_season(problem, replace(LIMITS, seconds=4, workers=2))
    assert result.seconds <= 4 * 1.1 + 1
    assert result.bound >= result.value > 0.93 * result.bound


def test_what_was_promised_stays():
    problem = SEASONS["too few minutes"]
    promised = (PlannedUnits("c", 2, 1), PlannedUnits("a", 2, 1))
    result = solve_season(problem, LIMITS, keep=promised)
    assert result.status is SolveStatus.BEST
    assert {("c", 2), ("a", 2)} <= {(part.item, part.session) for part in result.planned}
    free = solve_season(problem, LIMITS)
    assert free.value > result.value


def test_a_promise_that_cannot_be_kept_is_impossible_not_undecided():
    problem = SEASONS["windows and small sessions"]
    result = solve_season(problem, LIMITS, keep=(PlannedUnits("a", 0, 1),))
    assert result.status is SolveStatus.IMPOSSIBLE
    assert result.planned == ()
    assert result.value is None


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("too few minutes", "adults have no minutes left|nobody expected has minutes left"),
        ("windows and small sessions", "no session lies in the days it may be done"),
        ("one place", "place T1 is taken for the whole session"),
        ("one tool", "every auger is in use"),
        ("late compost", "not enough compost is delivered by then"),
    ],
)
def test_what_is_left_out_says_why(name, reason):
    problem = SEASONS[name]
    if name == "one place":
        problem = replace(
            problem, sessions=tuple(replace(s, usable_min=10) for s in problem.sessions)
        )
    if name == "one tool":
        none = tuple(replace(s, tools=(("auger", s.id // 2),)) for s in problem.sessions)
        problem = replace(problem, sessions=none)
    if name == "late compost":
        problem = replace(problem, materials=(Stock("compost", ((1, 5),)),))
    if name == "too few minutes":
        problem = replace(problem, sessions=problem.sessions[:1], discount=(1000,))
        fewer = tuple(replace(it, sessions=(0,)) for it in problem.items)
        problem = replace(problem, items=fewer)
    said = " ".join(solve_season(problem, LIMITS).left_out)
    assert any(part in said for part in reason.split("|")), said


def test_nothing_left_out_says_nothing():
    assert solve_season(SEASONS["room for all"], LIMITS).left_out == ()


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"discount": (1000,)}, "1 discounts"),
        ({"items": (item("a"), item("a"))}, "twice"),
        ({"items": (item("a", units=-1),)}, "-1 units"),
        ({"items": (item("a", after=(("z", True),)),)}, "names item z"),
        ({"items": (item("a", sessions=(9,)),)}, "a session the season does not have"),
        ({"items": (item("a"), item("b", closes="a", units=1))}, "closes 1 holes"),
        ({"items": (item("a", closes="b"), item("b", closes="a"))}, "closes itself"),
    ],
)
def test_a_season_that_contradicts_itself_gets_a_sentence(changed, message):
    with pytest.raises(RosterError, match=message):
        solve_season(replace(SEASONS["room for all"], **changed), LIMITS)


def test_a_fault_found_by_the_check_stops_the_line(monkeypatch):
    monkeypatch.setattr(engine, "find_season_faults", lambda *_: ("Overfull.",))
    with pytest.raises(EngineFault, match="Overfull"):
        solve_season(SEASONS["room for all"], LIMITS)
