"""What a season's terms are made of: blocks of work, limits, stock and wishes as numbers.

Knows no solver. Not for building them: `season_terms` does.
"""

from dataclasses import dataclass

from scheduling.domain.people import ItemId
from scheduling.domain.season import Demand, Item, PeopleClass, SeasonProblem


@dataclass(frozen=True, slots=True)
class Before:
    """A block that must be finished before another begins.

    To begin in session t, the earlier must be finished by the end of session
    `until[t]`; -1 means that it cannot be in time.
    """

    id: ItemId
    until: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Block:
    """An item, or an opening item with the one that closes it: always equal units."""

    items: tuple[Item, ...]
    units: int
    sessions: tuple[int, ...]  # indices in which it may be done
    after: tuple[Before, ...]

    @property
    def id(self) -> ItemId:
        """The id of the block's first item."""
        return self.items[0].id

    @property
    def split_penalty(self) -> int:
        """What each session beyond the first costs."""
        return sum(item.split_penalty for item in self.items)

    def late_penalty(self, end: int) -> int:
        """Return what it costs to be unfinished at the end of a session."""
        return sum(
            item.late_penalty
            for item in self.items
            if item.finish_by is not None and item.finish_by <= end
        )


@dataclass(frozen=True, slots=True)
class Row:
    """One limit on what a session can hold: Σ coefficient × units ≤ limit.

    `text` names what runs out, for sentences; `thing` is the same in every
    session for the same set of classes, place, tool, kind of work or the crews.
    """

    session: int
    limit: int
    parts: tuple[tuple[ItemId, int], ...]  # block id, how much one unit takes
    text: str
    thing: str


@dataclass(frozen=True, slots=True)
class StockRow:
    """A material up to the end of a session: Σ need × units so far ≤ delivered."""

    session: int
    delivered: int
    parts: tuple[tuple[ItemId, int], ...]
    text: str
    material: str


@dataclass(frozen=True, slots=True)
class Wish:
    """What a session should hold at least; each one short costs `penalty`.

    Source of the idea: soft constraints with a linear price for falling short.
    """

    session: int
    least: int
    parts: tuple[tuple[ItemId, int], ...]
    penalty: int
    text: str
    thing: str


def may_do(demand: Demand, people: PeopleClass) -> bool:
    """Say whether a class of people can meet a demand."""
    return people.band >= demand.least_band and (
        demand.skill == "" or demand.skill in people.skills
    )


def holders(problem: SeasonProblem, demand: Demand) -> frozenset[int]:
    """Return the ids of the classes that can meet a demand."""
    return frozenset(people.id for people in problem.classes if may_do(demand, people))
