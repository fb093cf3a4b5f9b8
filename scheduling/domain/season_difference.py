"""What changes for which task when one season plan takes the place of another.

Front door: `compare_plans`. Not for judging which plan is the better one: the
planner's worth and bound say that.
"""

from collections import defaultdict
from dataclasses import dataclass
from enum import StrEnum

from scheduling.domain.people import ItemId, SessionId
from scheduling.domain.season import PlannedUnits

UnitsAt = tuple[SessionId, int]  # a session, and the units it is given


class PlanChange(StrEnum):
    """What happens to an item, in the words a page shows."""

    ADDED = "added"
    LEFT_OUT = "left out"
    MORE = "more"
    LESS = "less"
    MOVED = "moved"


@dataclass(frozen=True, slots=True)
class ItemDifference:
    """One item that the two plans treat differently; sessions in order of id."""

    item: ItemId
    before: tuple[UnitsAt, ...]
    after: tuple[UnitsAt, ...]

    @property
    def units_before(self) -> int:
        """Units given to any session by the plan before."""
        return sum(units for _, units in self.before)

    @property
    def units_after(self) -> int:
        """Units given to any session by the plan after."""
        return sum(units for _, units in self.after)

    @property
    def change(self) -> PlanChange:
        """What happens to the item as a whole; moved when only the sessions differ."""
        if not self.units_before:
            return PlanChange.ADDED
        if not self.units_after:
            return PlanChange.LEFT_OUT
        if self.units_before != self.units_after:
            more = self.units_after > self.units_before
            return PlanChange.MORE if more else PlanChange.LESS
        return PlanChange.MOVED


def compare_plans(
    before: tuple[PlannedUnits, ...], after: tuple[PlannedUnits, ...]
) -> tuple[ItemDifference, ...]:
    """Return the items that two plans treat differently, in order of id.

    Args:
        before: Units by item and session of the plan that is kept; lines of the
            same item and session are added up.
        after: The same of the plan that would replace it.

    Returns:
        A line for each item with other units in any session; empty when the
        plans give the same work to the same sessions.
    """
    was, will = _by_item(before), _by_item(after)
    return tuple(
        ItemDifference(item, was.get(item, ()), will.get(item, ()))
        for item in sorted({*was, *will})
        if was.get(item, ()) != will.get(item, ())
    )


def _by_item(planned: tuple[PlannedUnits, ...]) -> dict[ItemId, tuple[UnitsAt, ...]]:
    sums: dict[ItemId, dict[SessionId, int]] = defaultdict(lambda: defaultdict(int))
    for part in planned:
        if part.units:
            sums[part.item][part.session] += part.units
    return {item: tuple(sorted(at.items())) for item, at in sums.items()}
