"""What changes between two season plans, and that the difference leads from one to the other."""

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from scheduling.domain.people import ItemId, SessionId
from scheduling.domain.season import PlannedUnits
from scheduling.domain.season_difference import PlanChange, compare_plans


def plan(*parts: tuple[str, int, int]) -> tuple[PlannedUnits, ...]:
    return tuple(PlannedUnits(ItemId(item), SessionId(at), units) for item, at, units in parts)


BEFORE = plan(("core", 1, 8), ("mulch", 1, 5), ("weed", 2, 6), ("rake", 3, 2), ("edge", 1, 4))
AFTER = plan(("core", 1, 8), ("mulch", 2, 5), ("weed", 2, 4), ("water", 3, 1), ("edge", 1, 9))


def test_each_kind_of_change_is_named_once() -> None:
    found = {line.item: line.change for line in compare_plans(BEFORE, AFTER)}

    assert found == {
        "edge": PlanChange.MORE,
        "mulch": PlanChange.MOVED,
        "rake": PlanChange.LEFT_OUT,
        "water": PlanChange.ADDED,
        "weed": PlanChange.LESS,
    }


def test_the_same_work_in_the_same_sessions_is_no_change_however_it_is_written() -> None:
    parts = plan(("core", 1, 3), ("core", 1, 5), ("mulch", 2, 0))

    assert compare_plans(parts, plan(("core", 1, 8))) == ()


PARTS = st.lists(
    st.tuples(st.sampled_from("abc"), st.integers(1, 3), st.integers(0, 4)), max_size=8
)


@given(PARTS, PARTS)
def test_the_difference_leads_from_one_plan_to_the_other(before, after) -> None:
    def sums(parts) -> Counter:
        total: Counter = Counter()
        for item, at, units in parts:
            total[item, at] += units
        return +total

    reached = sums(before)
    for line in compare_plans(plan(*before), plan(*after)):
        for at, units in line.before:
            reached[line.item, at] -= units
        for at, units in line.after:
            reached[line.item, at] += units

    assert +reached == sums(after)
