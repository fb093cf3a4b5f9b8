"""Which chains of a season to take out of a plan together, and in which order to put them back.

Chains that wait for each other hang together: taken out one by one they could
not move. What is worth most beside the prices goes back first, since work that
any other could replace fills what is left. Not for putting them back:
`season_polish` does.

Source of the ideas: related removal (Shaw, 1998, "Using constraint programming
and local search methods to solve vehicle routing problems"); orders drawn with
noise (Ropke and Pisinger, 2006, "An adaptive large neighborhood search heuristic
for the pickup and delivery problem with time windows").
"""

from collections.abc import Iterable, Sequence

import numpy as np

from scheduling.domain.planner.season_chains import Chain, Chains

TAKEN_OUT = (2, 6)  # how many chains at a time, fewest and most
MOST_TOGETHER = 4  # chains that wait for each other are taken out together up to so many
WHOLE_SHARE = 0.3  # how often whole sessions are emptied instead
MOST_WHOLE = 16  # how many chains then at most
DEAREST_SHARE = 0.5  # how often the dearest go back first, else what others wait for
NOISE = 0.3


class Choice:
    """How the chains of a season hang together, for drawing some of them."""

    def __init__(self, chains: Chains, random: np.random.Generator) -> None:
        self.chains = chains
        self.random = random
        self.near = self._find_near()
        self.part, self.parts = self._find_parts()
        self.rank = self._find_ranks()
        self.dear = np.zeros(len(chains.chains))

    def _find_near(self) -> list[list[int]]:
        """Return the chains that wait for each other, by chain, each with itself first."""
        near: list[list[int]] = [[chain.number] for chain in self.chains.chains]
        for arc in self.chains.arcs:
            one, other = self.chains.chain_of[arc.before], self.chains.chain_of[arc.after]
            for here, there in ((one, other), (other, one)):
                if there not in near[here]:
                    near[here].append(there)
        return near

    def _find_parts(self) -> tuple[list[int], list[list[int]]]:
        """Return, by chain, which part of the season it hangs together with, and all parts."""
        part = [-1] * len(self.near)
        parts: list[list[int]] = []
        for number in range(len(self.near)):
            if part[number] >= 0:
                continue
            waiting, members = [number], []
            while waiting:
                here = waiting.pop()
                if part[here] < 0:
                    part[here] = len(parts)
                    members.append(here)
                    waiting += self.near[here]
            parts.append(sorted(members))
        return part, parts

    def _find_ranks(self) -> list[int]:
        """Return, by chain, a rank above all that it waits for; rings are cut anywhere."""
        before: list[set[int]] = [set() for _ in self.near]
        for arc in self.chains.arcs:
            before[self.chains.chain_of[arc.after]].add(self.chains.chain_of[arc.before])
        rank = [0] * len(before)
        for members in self.parts:
            for _ in members:
                higher = {
                    number: 1 + max(rank[other] for other in before[number])
                    for number in members
                    if before[number] and rank[number] <= max(rank[o] for o in before[number])
                }
                if not higher:
                    break
                for number, new in higher.items():
                    rank[number] = new
        return rank

    def weigh(self, reduced: dict[int, float]) -> None:
        """Learn what chains can bring beyond the prices of what they take, by chain."""
        for members in self.parts:
            worth = sum(
                float(self.chains.worth[block].max()) * int(self.chains.units[block])
                for number in members
                for block in self.chains.chains[number].blocks
            )
            self.dear[members] = sum(reduced.get(n, 0.0) for n in members) / max(1.0, worth)

    def list_dearest_first(self) -> list[Chain]:
        """Return all chains, promised ones first, then those of the dearest parts."""
        return sorted(
            self.chains.chains,
            key=lambda chain: (
                not chain.kept,
                -self.dear[chain.number],
                self.part[chain.number],
                self.rank[chain.number],
            ),
        )

    def draw(self, using: Sequence[set[int]]) -> list[Chain]:
        """Return chains to take out, in the order to put them back.

        Args:
            using: By session, the chains that do something in it.
        """
        if self.random.random() < WHOLE_SHARE:
            numbers = self._draw_sessions(using)
        else:
            numbers = self._draw_few(using)
        return [self.chains.chains[number] for number in self._put_in_order(numbers)]

    def _draw_few(self, using: Sequence[set[int]]) -> list[int]:
        """Return any chains, or such as share a session; neighbours with them."""
        wanted = int(self.random.integers(TAKEN_OUT[0], TAKEN_OUT[1] + 1))
        numbers: Sequence[int] = range(len(self.near))
        if self.random.random() < 0.5:
            session = int(self.random.integers(self.chains.sessions))
            here = sorted(set().union(*using[max(0, session - 1) : session + 2]))
            numbers = here if len(here) >= wanted else numbers
        drawn = self.random.permutation(len(numbers))[:wanted]
        found: dict[int, None] = {}
        for number in drawn:
            for near in self.near[numbers[int(number)]][:MOST_TOGETHER]:
                found.setdefault(near)
        return list(found)

    def _draw_sessions(self, using: Sequence[set[int]]) -> list[int]:
        """Return what uses one or two sessions, and some part that hangs together."""
        sessions = self.random.permutation(self.chains.sessions)[: self.random.integers(1, 3)]
        found = set().union(*(using[int(session)] for session in sessions))
        several = [members for members in self.parts if len(members) > 1]
        if several:
            found |= set(several[int(self.random.integers(len(several)))][:MOST_WHOLE])
        return [int(n) for n in self.random.permutation(sorted(found))[:MOST_WHOLE]]

    def _put_in_order(self, numbers: Iterable[int]) -> list[int]:
        if self.random.random() >= DEAREST_SHARE:
            return sorted(numbers, key=lambda number: self.rank[number])
        noise = 1 + NOISE * self.random.standard_normal(len(self.parts))
        return sorted(
            numbers,
            key=lambda number: (
                -self.dear[number] * noise[self.part[number]],
                self.part[number],
                self.rank[number],
            ),
        )
