"""Smallest sets against sets known to clash, whatever else is there."""

from hypothesis import given
from hypothesis import strategies as st

from scheduling.domain.planner.smallest_set import find_smallest, shrink_one_by_one

ITEMS = tuple(range(12))
CORES = st.lists(
    st.frozensets(st.sampled_from(ITEMS), min_size=1, max_size=5), min_size=1, max_size=3
)


@given(cores=CORES)
def test_what_is_found_clashes_and_nothing_in_it_can_be_spared(cores):
    def clashes(items):
        return any(core <= set(items) for core in cores)

    found = find_smallest(ITEMS, clashes)
    assert clashes(found)
    assert not any(clashes(tuple(x for x in found if x != one)) for one in found)
    assert list(found) == sorted(found)
    assert shrink_one_by_one(found, clashes) == (found, True)


@given(cores=CORES)
def test_leaving_one_out_finds_the_same_kind_of_set(cores):
    def clashes(items):
        return any(core <= set(items) for core in cores)

    found, is_smallest = shrink_one_by_one(ITEMS, clashes)
    assert is_smallest
    assert clashes(found)
    assert not any(clashes(tuple(x for x in found if x != one)) for one in found)


def test_what_is_not_known_is_kept_and_said():
    found, is_smallest = shrink_one_by_one((1, 2), lambda _items: None)
    assert found == (1, 2)
    assert not is_smallest
    assert find_smallest((1, 2, 3), lambda items: True if len(items) == 3 else None)


def test_nothing_is_asked_of_nothing():
    assert find_smallest((), lambda _items: True) == ()
