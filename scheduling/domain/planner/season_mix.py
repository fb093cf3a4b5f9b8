"""The best season that can be put together from plans of chains already met.

One plan for each chain that is free, so that together they fit; the other chains
stay. A whole plan of a chain is one choice here, so splits, lateness and order
within it cost the solver nothing. Not for making such plans.

Source of the idea: the restricted master heuristic of column generation
(Joncour, Michel, Sadykov, Sverdlov and Vanderbeck, 2010, "Column generation based
primal heuristics").
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from ortools.sat.python import cp_model

from scheduling.domain.planner.linear import Linear, total
from scheduling.domain.planner.season_chains import Chain, Plan
from scheduling.domain.planner.season_coupling import find_turns
from scheduling.domain.planner.season_polish import Polish

FREE_CHAINS = 40  # how many chains one mixture chooses for at most
MOST_PLANS = 450  # beyond this the solver is slow to a first answer
NEAR = 0.004  # of the season's value: plans this much worse at the prices are left out


@dataclass(slots=True, eq=False)
class Mix:
    """A model of the choice, and what each of its variables stands for."""

    model: cp_model.CpModel
    choices: list[tuple[Chain, Plan, cp_model.IntVar]]
    rest: list[Plan]  # the whole season's plans when it was built


def build_mix(polish: Polish, free: Iterable[int]) -> Mix:
    """Return the choice of plans for some chains beside the best plans of all others.

    Args:
        polish: Its best plan must be the present one; the chains' room is restored.
        free: Numbers of the chains to choose for.
    """
    numbers = sorted(set(free))
    chains = [polish.chains.chains[number] for number in numbers]
    for chain in chains:
        polish.room.lift(chain, polish.plans[chain.number])
        polish.room.reserve(chain, -1)
    model = cp_model.CpModel()
    choices = []
    for chain, plans in zip(chains, _choose_plans(polish, numbers), strict=True):
        chosen: list[cp_model.IntVar] = []
        for plan in plans:
            variable = model.new_bool_var(f"c{chain.number}p{len(chosen)}")
            model.add_hint(variable, plan == polish.plans[chain.number])
            chosen.append(variable)
            choices.append((chain, plan, variable))
        model.add_exactly_one(chosen)
    _add_limits(polish, model, choices)
    _add_stock(polish, model, choices)
    _add_order(polish, model, choices, set(numbers))
    rest = sum(value for n, value in enumerate(polish.values) if n not in set(numbers))
    worth = [
        round(polish.remember(chain.number, plan)) * variable for chain, plan, variable in choices
    ]
    model.maximize(total(worth) - _add_wishes(polish, model, choices) + round(rest))
    for chain in chains:
        polish.room.reserve(chain, 1)
        polish.room.put(chain, polish.plans[chain.number])
    return Mix(model, choices, list(polish.plans))


def _choose_plans(polish: Polish, numbers: list[int]) -> list[list[Plan]]:
    """Return for each chain the plan it has and those that are best at the prices."""
    known: dict[int, list[tuple[float, Plan]]] = {number: [] for number in numbers}
    for (number, plan), (_, reduced) in polish.pool.items():
        if number in known:
            known[number].append((reduced, plan))
    most = max(4, MOST_PLANS // max(1, len(numbers)))
    near = NEAR * abs(polish.best_value)
    found = []
    for number in numbers:
        listed = sorted(known[number], key=lambda pair: (-pair[0], pair[1]))
        plans = [plan for value, plan in listed[:most] if value >= listed[0][0] - near]
        present = polish.plans[number]
        found.append(plans if present in plans else [*plans, present])
    return found


Choices = list[tuple[Chain, Plan, cp_model.IntVar]]


def _add_limits(polish: Polish, model: cp_model.CpModel, choices: Choices) -> None:
    takers: dict[tuple[int, int], list[tuple[int, cp_model.IntVar]]] = defaultdict(list)
    for chain, plan, variable in choices:
        for session, low, high in plan:
            taken = chain.need[:, high] - chain.need[:, low]
            for thing, amount in zip(chain.things.tolist(), taken.tolist(), strict=True):
                if amount:
                    takers[thing, session].append((int(amount), variable))
    for (thing, session), parts in sorted(takers.items()):
        room = int(np.floor(polish.room.free[thing, session] + 1e-6))
        if sum(amount for amount, _ in parts) > room:
            model.add(total(amount * variable for amount, variable in parts) <= room)


def _add_stock(polish: Polish, model: cp_model.CpModel, choices: Choices) -> None:
    for material in range(len(polish.chains.materials)):
        takers: dict[int, list[Linear]] = defaultdict(list)
        for chain, plan, variable in choices:
            need = chain.stock_need[material]
            for session, low, high in plan:
                if need[high] > need[low]:
                    takers[session].append(int(need[high] - need[low]) * variable)
        before: Linear = 0
        for session in range(polish.chains.sessions) if takers else ():
            room = int(polish.room.stock[material, session])
            so_far = model.new_int_var(0, max(0, room), f"m{material}s{session}")
            model.add(so_far == before + total(takers.get(session, ())))
            before = so_far


def _add_order(polish: Polish, model: cp_model.CpModel, choices: Choices, free: set[int]) -> None:
    begins: dict[int, dict[int, list[cp_model.IntVar]]] = defaultdict(lambda: defaultdict(list))
    ends: dict[int, dict[int, list[cp_model.IntVar]]] = defaultdict(lambda: defaultdict(list))
    for chain, plan, variable in choices:
        begun, ended = find_turns(chain, plan)
        for block, session in begun.items():
            begins[block][session].append(variable)
        for block, session in ended.items():
            ends[block][session].append(variable)
    chain_of = polish.chains.chain_of
    for arc in polish.chains.arcs:
        if chain_of[arc.after] not in free and chain_of[arc.before] not in free:
            continue
        starts: dict[int, list[Linear]] = {s: list(v) for s, v in begins[arc.after].items()}
        if chain_of[arc.after] not in free and arc.after in polish.room.begins:
            starts = {polish.room.begins[arc.after]: [1]}
        begun_by: list[Linear] = []
        for session in sorted(starts):
            begun_by += starts[session]
            last = arc.until[session]
            finished: Linear
            if chain_of[arc.before] in free:
                finished = total(
                    variable
                    for end, variables in sorted(ends[arc.before].items())
                    if end <= last
                    for variable in variables
                )
            else:
                finished = int(polish.room.ends.get(arc.before, len(arc.until)) <= last)
            model.add(total(begun_by) <= finished)


def _add_wishes(polish: Polish, model: cp_model.CpModel, choices: Choices) -> Linear:
    planned: dict[int, list[Linear]] = defaultdict(list)
    for chain, plan, variable in choices if polish.room.wished_for else ():
        for block, session, units in chain.units_of(plan):
            for wish, amount in polish.room.wished_for.get((block, session), ()):
                planned[wish].append(amount * units * variable)
    costs: list[Linear] = []
    for wish, lacking in enumerate(polish.room.lacking.tolist()):
        short = model.new_int_var(0, max(0, round(lacking)), f"w{wish}")
        model.add(short + total(planned.get(wish, ())) >= round(lacking))
        costs.append(round(polish.room.penalty[wish]) * short)
    return total(costs)


def choose_free(polish: Polish, draws: np.random.Generator) -> list[int]:
    """Return the chains to choose for: all of a small season, else those about some session."""
    chains = polish.chains
    numbers = [chain.number for chain in chains.chains]
    if len(numbers) <= FREE_CHAINS:
        return numbers
    session = int(draws.integers(chains.sessions))

    def distance(number: int) -> float:
        used = [abs(at - session) for at, _, _ in polish.best[number]]
        return min(used, default=chains.sessions / 4) + float(draws.random()) * 2

    return sorted(sorted(numbers, key=distance)[:FREE_CHAINS])
