"""A season planned chain by chain: take a few chains out, put them back in another order.

Each chain goes back with its best plan in the room that is left, units counted at
the prices of the bound so that it does not take what others need more. Worse
seasons are accepted now and then, ever more rarely. Every plan met is
remembered: `season_mix` combines them. Not exact.

Source of the ideas: ruin and recreate (Schrimpf, Schneider, Stamm-Wilbrandt and
Dueck, 2000, "Record breaking optimization results using the ruin and recreate
principle"); accepting worse by a falling temperature (Kirkpatrick, Gelatt and
Vecchi, 1983, "Optimization by simulated annealing").
"""

from collections.abc import Callable, Sequence

import numpy as np

from scheduling.domain.people import ItemId
from scheduling.domain.planner.season_chains import Chain, Chains, Floats, Plan
from scheduling.domain.planner.season_room import Room
from scheduling.domain.planner.simple import Chosen

TAKEN_OUT = (2, 6)  # how many chains at a time, fewest and most
PRICED = (1.0, 0.95, 0.9, 0.7)  # how much of the prices counts, drawn anew each time
START = 2  # which of these the first plan is made with
HEAT = 0.6  # of a usual split's penalty: how much worse may be accepted at first
MOST_TOGETHER = 4  # chains that wait for each other are taken out together up to so many


class Polish:
    """A season's plan that holds at all times, and the best one met."""

    def __init__(self, chains: Chains, margin: Floats, seed: int) -> None:
        self.chains = chains
        self.margin = margin
        self.random = np.random.default_rng(seed)
        self.room = Room(chains)
        self.plans: list[Plan] = [() for _ in chains.chains]
        self.values = [0.0 for _ in chains.chains]
        self.pool: dict[tuple[int, Plan], tuple[float, float]] = {}  # value, value less prices
        self.value = 0.0
        self.best: list[Plan] = []
        self.best_value = -np.inf
        self.near = self._find_near()
        self.priced = [
            np.asarray(share * margin + (1 - share) * chains.worth, dtype=np.float64)
            for share in PRICED
        ]
        self.using: list[set[int]] = [set() for _ in range(chains.sessions)]
        splits = chains.split[chains.split > 0]
        self.heat = HEAT * float(np.median(splits)) if len(splits) else 0.0

    def _find_near(self) -> list[list[int]]:
        """Return the chains that wait for each other, by chain, each with itself first."""
        near: list[list[int]] = [[chain.number] for chain in self.chains.chains]
        for arc in self.chains.arcs:
            one, other = self.chains.chain_of[arc.before], self.chains.chain_of[arc.after]
            for here, there in ((one, other), (other, one)):
                if there not in near[here]:
                    near[here].append(there)
        return [among[:MOST_TOGETHER] for among in near]

    def remember(self, number: int, plan: Plan) -> float:
        """Keep a plan of a chain for later mixing and return what it is worth."""
        known = self.pool.get((number, plan))
        if known is None:
            chain = self.chains.chains[number]
            value = self.chains.value(chain, plan)
            paid = sum(
                float(self.chains.worth[block, session] - self.margin[block, session]) * units
                for block, session, units in chain.units_of(plan)
            )
            known = self.pool[number, plan] = (value, value - paid)
        return known[0]

    def start(
        self, seconds_left: Callable[[], float], plans: dict[int, Plan] | None = None
    ) -> bool:
        """Make a first plan, from those given or in order, and say whether one was found.

        When time runs out the chains still to come stay undone, but for promises.
        """
        order = sorted(self.chains.chains, key=lambda chain: (not chain.kept, chain.number))
        margin = self.priced[START]
        for position, chain in enumerate(order):
            if plans is not None:
                plan: Plan | None = plans[chain.number]
            elif chain.kept or seconds_left() > 0:
                plan = self.room.find_plan(chain, margin)
            else:
                plan = ()
            if plan is None:
                for placed in order[:position]:
                    self._lift(placed)
                return False
            self._put(chain, plan)
        self._note()
        return True

    def _put(self, chain: Chain, plan: Plan) -> None:
        self.room.put(chain, plan)
        self.plans[chain.number] = plan
        for session, _, _ in plan:
            self.using[session].add(chain.number)
        self.values[chain.number] = self.remember(chain.number, plan)

    def _lift(self, chain: Chain) -> None:
        plan = self.plans[chain.number]
        self.room.lift(chain, plan)
        for session, _, _ in plan:
            self.using[session].discard(chain.number)

    def _note(self) -> None:
        self.value = sum(self.values) - self.room.wishes_cost
        if self.value > self.best_value + 0.5:
            self.best_value, self.best = self.value, list(self.plans)

    def go_back(self) -> None:
        """Go on from the best plan."""
        self._change_to(self.best)

    def adopt(self, base: list[Plan], plans: dict[int, Plan]) -> None:
        """Go on from a plan with some chains' plans changed, if it is better than the best.

        Args:
            base: A whole plan; what it and the changes give together must hold.
            plans: By the chain's number.
        """
        ours, before = list(self.best), self.best_value
        for whole in (ours, base):
            self._change_to([plans.get(number, plan) for number, plan in enumerate(whole)])
            if self.value > before and self.room.holds():
                self._note()
                return
        self._change_to(ours)

    def _change_to(self, target: list[Plan]) -> None:
        changed = [
            chain
            for chain in self.chains.chains
            if target[chain.number] != self.plans[chain.number]
        ]
        for chain in changed:
            self._lift(chain)
        for chain in changed:
            self._put(chain, target[chain.number])
        self.value = sum(self.values) - self.room.wishes_cost

    def run(self, seconds_left: Callable[[], float], share: float) -> int:
        """Take chains out and put them back until no time is left.

        Args:
            seconds_left: Of this run; asked before every change.
            share: How much of the heat there is, 0 to 1.

        Returns:
            How many times that was done.
        """
        rounds = 0
        while seconds_left() > 0 and self.chains.chains:
            rounds += 1
            self._change(self.heat * share)
        return rounds

    def _change(self, heat: float) -> None:
        out = self._choose()
        old = [(chain, self.plans[chain.number]) for chain in out]
        before = self.value
        for chain in out:
            self._lift(chain)
        margin = self.priced[int(self.random.integers(len(PRICED)))]
        placed = []
        for chain in out:
            found = self.room.find_plan(chain, margin)
            if found is None:
                break
            self._put(chain, found)
            placed.append((chain, found))
        self.value = sum(self.values) - self.room.wishes_cost
        worse = before - self.value
        if len(placed) == len(out) and (
            worse <= 0 or (heat > 0 and self.random.random() < np.exp(-worse / heat))
        ):
            self._note()
            return
        for chain, _ in placed:
            self._lift(chain)
        for chain, plan in old:
            self._put(chain, plan)
        self.value = before

    def _choose(self) -> list[Chain]:
        """Return chains to take out: any, or such as share a session; neighbours with them."""
        wanted = int(self.random.integers(TAKEN_OUT[0], TAKEN_OUT[1] + 1))
        numbers: Sequence[int] = range(len(self.plans))
        if self.random.random() < 0.5:
            session = int(self.random.integers(self.chains.sessions))
            around = self.using[max(0, session - 1) : session + 2]
            here = sorted(set().union(*around))
            numbers = here if len(here) >= wanted else numbers
        drawn = self.random.permutation(len(numbers))[:wanted]
        found: list[int] = []
        for number in drawn:
            for near in self.near[numbers[int(number)]]:
                if near not in found:
                    found.append(near)
        return [self.chains.chains[number] for number in found]


def as_plans(chains: Chains, chosen: Chosen) -> dict[int, Plan] | None:
    """Return units of blocks by session as plans of chains; None if a chain's order is not kept."""
    index = {block.id: number for number, block in enumerate(chains.blocks)}
    units = {(index[block], session): count for (block, session), count in chosen.items()}
    plans = {}
    for chain in chains.chains:
        at, steps = 0, []
        for session in range(chains.sessions):
            reached = at + sum(units.get((block, session), 0) for block in chain.blocks)
            if reached > at:
                steps.append((session, at, reached))
                at = reached
        plans[chain.number] = tuple(steps)
        planned = sorted(chain.units_of(plans[chain.number]))
        wanted = sorted(
            (block, session, units[block, session])
            for block in chain.blocks
            for session in range(chains.sessions)
            if units.get((block, session), 0)
        )
        if planned != wanted:
            return None
    return plans


def as_chosen(chains: Chains, plans: list[Plan]) -> Chosen:
    """Return plans of chains as units of blocks by session."""
    chosen: dict[tuple[ItemId, int], int] = {}
    for chain, plan in zip(chains.chains, plans, strict=True):
        for block, session, units in chain.units_of(plan):
            chosen[chains.blocks[block].id, session] = units
    return chosen
