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

from collections.abc import Callable

import numpy as np

from scheduling.domain.people import ItemId
from scheduling.domain.planner.season_chains import Chain, Chains, Plan
from scheduling.domain.planner.season_choice import Choice
from scheduling.domain.planner.season_coupling import find_turns
from scheduling.domain.planner.season_pricing import Margins
from scheduling.domain.planner.season_room import Room
from scheduling.domain.planner.simple import Chosen

PRICED = (1.0, 0.95, 0.9, 0.7)  # how much of the prices counts, drawn anew each time
START = 2  # which of these the first plan is made with
HEAT = 0.6  # of a usual split's penalty: how much worse may be accepted at first


class Polish:
    """A season's plan that holds at all times, and the best one met."""

    def __init__(self, chains: Chains, margins: Margins, seed: int) -> None:
        self.chains = chains
        self.margins = margins
        self.random = np.random.default_rng(seed)
        self.room = Room(chains)
        self.plans: list[Plan] = [() for _ in chains.chains]
        self.values = [0.0 for _ in chains.chains]
        self.pool: dict[tuple[int, Plan], tuple[float, float]] = {}  # value, value less prices
        self.value = 0.0
        self.best: list[Plan] = []
        self.best_value = -np.inf
        self.choice = Choice(chains, self.random)
        self.priced = [_share(margins, chains, share) for share in PRICED]
        self.using: list[set[int]] = [set() for _ in range(chains.sessions)]
        splits = chains.split[chains.split > 0]
        self.heat = HEAT * float(np.median(splits)) if len(splits) else 0.0

    def remember(self, number: int, plan: Plan) -> float:
        """Keep a plan of a chain for later mixing and return what it is worth."""
        known = self.pool.get((number, plan))
        if known is None:
            chain = self.chains.chains[number]
            value = self.chains.value(chain, plan)
            paid = sum(
                float(self.chains.worth[block, session] - self.margins.units[block, session])
                * units
                for block, session, units in chain.units_of(plan)
            )
            known = self.pool[number, plan] = (
                value,
                value - paid + self._paid_for_turns(chain, plan),
            )
        return known[0]

    def _paid_for_turns(self, chain: Chain, plan: Plan) -> float:
        """Return what the prices of order pay a plan for when its blocks begin and end."""
        first, last = self.margins.first, self.margins.last
        if first is None or last is None:
            return 0.0
        begins, ends = find_turns(chain, plan)
        return float(
            sum(first[block, session] for block, session in begins.items())
            + sum(last[block, session] for block, session in ends.items())
        )

    def weigh(self) -> None:
        """Let what chains bring at the prices, by the plans met, say which go back first."""
        reduced: dict[int, float] = {}
        for (number, _), (_, value) in self.pool.items():
            value -= self.chains.chains[number].empty
            reduced[number] = max(reduced.get(number, value), value)
        self.choice.weigh(reduced)

    def start(
        self, seconds_left: Callable[[], float], plans: dict[int, Plan] | None = None
    ) -> bool:
        """Make a first plan, from those given or in order, and say whether one was found.

        When time runs out the chains still to come stay undone, but for promises.
        """
        order = sorted(self.chains.chains, key=lambda chain: (not chain.kept, chain.number))
        is_placed = self._place(order, self.priced[START], seconds_left, plans)
        if is_placed:
            self._note()
        return is_placed

    def start_again(self, seconds_left: Callable[[], float]) -> None:
        """Make other first plans, in other orders and at other prices; go on from the best."""
        by_number = sorted(self.chains.chains, key=lambda chain: (not chain.kept, chain.number))
        dearest = self.choice.list_dearest_first()
        for margins in self.priced:
            for order in (dearest, by_number):
                if seconds_left() <= 0:
                    return
                for chain in self.chains.chains:
                    self._lift(chain)
                if not self._place(order, margins, seconds_left, None):
                    for chain in self.chains.chains:
                        self._put(chain, self.best[chain.number])
                self._note()
                self.go_back()

    def _place(
        self,
        order: list[Chain],
        margins: Margins,
        seconds_left: Callable[[], float],
        plans: dict[int, Plan] | None,
    ) -> bool:
        for position, chain in enumerate(order):
            if plans is not None:
                plan: Plan | None = plans[chain.number]
            elif chain.kept or seconds_left() > 0:
                plan = self.room.find_plan(chain, margins)
            else:
                plan = ()
            if plan is None:
                for placed in order[:position]:
                    self._lift(placed)
                return False
            self._put(chain, plan)
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
        out = self.choice.draw(self.using)
        old = [(chain, self.plans[chain.number]) for chain in out]
        before = self.value
        for chain in out:
            self._lift(chain)
        margins = self.priced[int(self.random.integers(len(PRICED)))]
        placed = []
        for chain in out:
            found = self.room.find_plan(chain, margins)
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


def _share(margins: Margins, chains: Chains, share: float) -> Margins:
    """Return margins at which only a share of the prices is paid."""
    first, last = margins.first, margins.last
    return Margins(
        share * margins.units + (1 - share) * chains.worth,
        None if first is None else share * first,
        None if last is None else share * last,
    )


def as_plans(chains: Chains, chosen: Chosen) -> dict[int, Plan] | None:
    """Return units of blocks by session as plans of chains; None if a chain's order is not kept."""
    index = {block.id: number for number, block in enumerate(chains.blocks)}
    units = {(index[block], session): count for (block, session), count in chosen.items()}
    plans = {}
    for chain in chains.chains:
        plan = as_plan(chain, units, chains.sessions)
        if plan is None:
            return None
        plans[chain.number] = plan
    return plans


def as_plan(chain: Chain, units: dict[tuple[int, int], int], sessions: int) -> Plan | None:
    """Return units by block and session as a chain's plan; None if its order is not kept."""
    at, steps = 0, []
    for session in range(sessions):
        reached = at + sum(units.get((block, session), 0) for block in chain.blocks)
        if reached > at:
            steps.append((session, at, reached))
            at = reached
    plan = tuple(steps)
    wanted = sorted(
        (block, session, units[block, session])
        for block in chain.blocks
        for session in range(sessions)
        if units.get((block, session), 0)
    )
    return plan if sorted(chain.units_of(plan)) == wanted else None


def as_chosen(chains: Chains, plans: list[Plan]) -> Chosen:
    """Return plans of chains as units of blocks by session."""
    chosen: dict[tuple[ItemId, int], int] = {}
    for chain, plan in zip(chains.chains, plans, strict=True):
        for block, session, units in chain.units_of(plan):
            chosen[chains.blocks[block].id, session] = units
    return chosen
