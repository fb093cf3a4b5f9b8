"""Hundreds of small random seasons: the engine and its parts against every plan there is."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import count
from math import prod
from random import Random

import pytest

from scheduling.domain.people import Band
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.season import solve_season
from scheduling.domain.planner.season_bound import find_bound
from scheduling.domain.planner.season_chains import build_chains
from scheduling.domain.planner.season_check import find_season_faults
from scheduling.domain.planner.season_coupling import Coupling
from scheduling.domain.planner.season_mix import build_mix
from scheduling.domain.planner.season_polish import Polish, as_chosen, as_plans
from scheduling.domain.planner.season_pricing import Pricing
from scheduling.domain.planner.season_start import as_units
from scheduling.domain.planner.season_terms import build_terms, value_of_season
from scheduling.domain.roster import SolveStatus
from scheduling.domain.season import Demand, PeopleClass, PlannedUnits, SetCapacity, Stock
from tests.scheduling.domain.planner.seasons import item, season, session
from tests.scheduling.domain.planner.test_season import every_plan, holds, plan_of, worth

LIMITS = Limits(seconds=20, seed=1, workers=1)
CLASSES = (
    PeopleClass(0, Band.ADULT, ()),
    PeopleClass(1, Band.ADULT, ("auger",)),
    PeopleClass(2, Band.FROM_12, ()),
)
DEMANDS = (
    (Demand("", Band.UNDER_12, 10),),
    (Demand("", Band.FROM_16, 10),),
    (Demand("auger", Band.ADULT, 6), Demand("", Band.FROM_12, 6)),
    (Demand("", Band.UNDER_12, 7),),
)


def make_item(chance, name, earlier, sessions):
    after = [(other, chance.random() < 0.5) for other in earlier if chance.random() < 0.5]
    if chance.random() < 0.04:
        after.append((name, True))  # to be done in one go
    lags = [(other, chance.choice([1, 7, 8, 14])) for other, _ in after if chance.random() < 0.3]
    fewer = chance.random() < 0.3
    return item(
        name,
        units=chance.choice([0, 1, 2, 2, 3]) if len(earlier) < 2 else 1,
        place=chance.choice("PQ"),
        kind=chance.choice(["core", "weed"]),
        value_per_unit=chance.choice([3, 5, 8]),
        demands=chance.choice(DEMANDS),
        crew_least=chance.choice([1, 2]),
        crew_most=chance.choice([2, 3]),
        tools=chance.choice([(), (("hoe", 1),)]),
        materials=chance.choice([(), (("compost", 2),)]),
        sessions=tuple(sorted(chance.sample(range(sessions), sessions - fewer))),
        after=tuple(after),
        lag_days=tuple(lags),
        split_penalty=chance.choice([0, 500, 4000]),
        late_penalty=chance.choice([0, 700]),
        finish_by=chance.choice([None, 0, sessions - 1]),
    )


def make_season(seed):
    chance = Random(seed)
    number = chance.choice([2, 3, 3])
    items = []
    for name in "abc"[: chance.choice([2, 3])]:
        items.append(make_item(chance, name, [it.id for it in items], number))
    if chance.random() < 0.3:
        items[0] = replace(items[0], after=(), lag_days=())
        others = tuple(pair for pair in items[1].after if pair[0] not in "ab")
        items[1] = replace(items[1], closes="a", units=items[0].units, after=others, lag_days=())
    sessions = []
    for index in range(number):
        minutes = chance.choice([20, 30, 45, 70])
        sessions.append(
            session(
                index,
                on=date(2027, 4, 17) + timedelta(days=7 * index),
                usable_min=chance.choice([10, 20, 60]),
                people_expected=chance.choice([1, 3, 5]),
                capacity=(
                    SetCapacity((1,), chance.choice([0, 12, 30])),
                    SetCapacity((0, 1), minutes),
                    SetCapacity((0, 1, 2), minutes + 10),
                ),
                tools=chance.choice([(), (("hoe", 1),)]),
                most_crews=chance.choice([1, 2]),
                young=chance.choice([(), ((Band.FROM_12, 15),)]),
            )
        )
    return season(
        items,
        sessions,
        classes=CLASSES,
        materials=(Stock("compost", tuple((s, chance.choice([0, 2, 5])) for s in range(number))),),
        discount=(1000, 900, 800)[:number],
        heavy_kinds=chance.choice([(), ("core",)]),
        heavy_most_percent=chance.choice([100, 60]),
        kept_free_percent=chance.choice([0, 0, 15]),
        young_penalty=chance.choice([0, 0, 90]),
    )


def all_that_hold(problem):
    return [plan for plan in every_plan(problem) if holds(problem, plan)]


def kept_units(problem, seed):
    """Return a promise: part of some plan that holds."""
    chance = Random(seed)
    plan = chance.choice(all_that_hold(problem))
    return tuple(
        PlannedUnits(name, s, 1 + chance.randrange(units))
        for name, by_session in sorted(plan.items())
        for s, units in enumerate(by_session)
        if units and chance.random() < 0.5
    )


SEEDS = tuple(range(0, 240, 12))


@pytest.mark.parametrize("first", SEEDS)
def test_the_engine_finds_the_best_of_all_plans(first):
    for seed in range(first, first + 12):
        problem = make_season(seed)
        best = max(worth(problem, plan) for plan in all_that_hold(problem))
        result = solve_season(problem, LIMITS)
        assert (result.status, result.value, result.bound) == (SolveStatus.BEST, best, best), seed
        assert worth(problem, plan_of(problem, result.planned)) == best, seed


@pytest.mark.parametrize("first", SEEDS[:8])
def test_the_check_and_the_worth_agree_with_plain_loops(first):
    for seed in range(first, first + 12):
        problem = make_season(seed)
        for number, plan in enumerate(every_plan(problem)):
            if number % 5 == seed % 5:
                planned = tuple(
                    PlannedUnits(name, s, units)
                    for name, by_session in plan.items()
                    for s, units in enumerate(by_session)
                    if units
                )
                assert (find_season_faults(problem, planned) == ()) == holds(problem, plan), seed
                assert value_of_season(problem, planned) == worth(problem, plan), seed


def polish_of(problem, kept=()):
    """Return the chains' bound and a polish of fifty changes, as the engine makes them."""
    terms = build_terms(problem)
    chosen = {}
    for part in kept:
        key = (terms.block_of[part.item], part.session)
        chosen[key] = max(chosen.get(key, 0), part.units)
    chains = build_chains(terms, chosen)
    coupling = Coupling(chains)
    bounded = find_bound(Pricing(chains), coupling, first=None, seconds_left=lambda: 5.0)
    polish = Polish(chains, coupling.margins(bounded.prices), seed=1)
    if bounded.is_possible and polish.start(lambda: 1.0):
        left = count(50, -1)
        polish.run(lambda: float(next(left)), 1.0)
    return bounded, polish


@pytest.mark.parametrize("first", SEEDS[:10])
def test_prices_bound_every_plan_and_polished_plans_hold(first):
    best_found = 0
    for seed in range(first, first + 12):
        problem = make_season(seed)
        best = max(worth(problem, plan) for plan in all_that_hold(problem))
        bounded, polish = polish_of(problem)
        assert bounded.value >= best - 1e-3, seed
        planned = as_units(build_terms(problem), as_chosen(polish.chains, polish.best))
        assert holds(problem, plan_of(problem, planned)), seed
        assert value_of_season(problem, planned) == pytest.approx(polish.best_value), seed
        best_found += value_of_season(problem, planned) == best
    assert best_found >= 9  # no rule: a few changes find most of the best plans of tiny seasons


@pytest.mark.parametrize("first", SEEDS[:10])
def test_promises_are_kept_and_bounded_with_them(first):
    for seed in range(first, first + 12):
        problem = make_season(seed)
        kept = kept_units(problem, seed)
        least = {(part.item, part.session): part.units for part in kept}
        allowed = [
            plan
            for plan in all_that_hold(problem)
            if all(plan[name][s] >= units for (name, s), units in least.items())
        ]
        best = max(worth(problem, plan) for plan in allowed)
        result = solve_season(problem, LIMITS, keep=kept)
        assert (result.status, result.value) == (SolveStatus.BEST, best), seed
        bounded, polish = polish_of(problem, kept)
        assert bounded.is_possible, seed
        assert bounded.value >= best - 1e-3, seed
        if polish.best:
            planned = as_units(build_terms(problem), as_chosen(polish.chains, polish.best))
            plan = plan_of(problem, planned)
            assert holds(problem, plan), seed
            assert all(plan[name][s] >= units for (name, s), units in least.items()), seed


@pytest.mark.parametrize("first", SEEDS[:6])
def test_a_mixture_of_plans_is_never_worse_than_the_plan_it_starts_from(first):
    from ortools.sat.python import cp_model

    for seed in range(first, first + 12):
        problem = make_season(seed)
        _, polish = polish_of(problem)
        polish.go_back()
        mix = build_mix(polish, range(len(polish.chains.chains)))
        solver = cp_model.CpSolver()
        assert solver.solve(mix.model) == cp_model.OPTIMAL, seed
        assert solver.objective_value >= polish.best_value - 0.5, seed
        plans = {c.number: plan for c, plan, chosen in mix.choices if solver.value(chosen)}
        polish.adopt(mix.rest, plans)
        assert polish.best_value == pytest.approx(solver.objective_value), seed
        planned = as_units(build_terms(problem), as_chosen(polish.chains, polish.best))
        assert holds(problem, plan_of(problem, planned)), seed


def test_plans_of_chains_and_units_of_blocks_say_the_same():
    for seed in range(60):
        _, polish = polish_of(make_season(seed))
        chosen = as_chosen(polish.chains, polish.best)
        assert as_plans(polish.chains, chosen) == dict(enumerate(polish.best)), seed


def test_the_made_seasons_are_small_and_of_all_kinds():
    made = [make_season(seed) for seed in range(240)]
    assert any(it.lag_days for problem in made for it in problem.items)
    assert any(it.closes for problem in made for it in problem.items)
    assert any((it.id, True) in it.after for problem in made for it in problem.items)
    assert any(problem.young_penalty and s.young for problem in made for s in problem.sessions)
    assert prod(len(problem.items) for problem in made[:3]) < 30
