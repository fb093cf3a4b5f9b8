"""Better rosters near a roster: some of the day is set free, the rest stays as it is.

Large neighbourhood search (Shaw, "Using constraint programming and local search
methods to solve vehicle routing problems", 1998). Two ways of setting free: all
people while the crews stay where they are, which is nearly an assignment and is
solved to its end; and everything in two or three rounds. Not for bounds.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

from scheduling.domain.planner.day_model import DayModel
from scheduling.domain.roster import Roster

STRIDE = 7  # from pair to pair, so that the next one seldom shares a round


PEOPLE_CELLS = 4000  # cells of people set free at once while crews stay
ROUND_CELLS = 1500  # cells of whole rounds set free at once


@dataclass(frozen=True, slots=True)
class Freed:
    """What a neighbourhood sets free: people in rounds with crews kept, or whole rounds."""

    rounds: frozenset[int]
    keeps_crews: bool
    is_all: bool = False  # whether it frees people in every round


def neighbourhoods(rounds: int, cells: int, seed: int) -> Iterator[Freed]:
    """Yield neighbourhoods without end: people in many rounds, then a round or two, and again.

    Args:
        rounds: Of the day.
        cells: Of one round; the more, the fewer rounds at a time.
        seed: Says with which to begin; nothing is left to chance.
    """
    at_once = max(1, min(rounds, PEOPLE_CELLS // max(1, cells)))
    whole = max(1, min(rounds, 2, ROUND_CELLS // max(1, cells)))
    people = [frozenset(some) for some in combinations(range(rounds), at_once)]
    few = [frozenset(some) for some in combinations(range(rounds), whole)]
    while True:
        for step in range(min(len(people), rounds)):
            some = people[(seed + step * STRIDE) % len(people)]
            yield Freed(some, True, at_once == rounds)
        for step in range(len(few)):
            yield Freed(few[(seed + step * STRIDE) % len(few)], False)


def narrow(day: DayModel, roster: Roster, freed: Freed) -> DayModel:
    """Return a copy of the day in which only what is freed may differ from the roster.

    Args:
        day: With the roster as its hint.
        roster: What stays elsewhere.
        freed: The neighbourhood.
    """
    filled = {(a.person, a.task, a.round) for a in roster.assignments}
    crews = {(a.task, a.round) for a in roster.assignments}
    narrowed = replace(day, model=day.model.clone())
    for crew, active in day.active.items():
        if freed.keeps_crews or crew[1] not in freed.rounds:
            narrowed.model.add(active == (crew in crews))
    for cell, works in day.works.items():
        if cell[2] not in freed.rounds:
            narrowed.model.add(works == (cell in filled))
    return narrowed
