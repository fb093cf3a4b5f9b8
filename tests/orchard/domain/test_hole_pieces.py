"""Rows of holes cut into pieces."""

from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.hole_pieces import split_rows
from orchard.domain.ordering import natural_key
from orchard.domain.plan import Hole


def build_rows(lengths: list[int]) -> list[list[Hole]]:
    rows, number = [], 1
    for length in lengths:
        rows.append([Hole(number + i, (0.0, 0.0)) for i in range(length)])
        number += length
    return rows


@given(st.lists(st.integers(1, 40), min_size=1, max_size=25), st.integers(1, 120))
def test_pieces_keep_every_hole_in_order_and_fit(lengths: list[int], most: int) -> None:
    pieces = split_rows(build_rows(lengths), most)
    numbers = [hole.number for piece in pieces for hole in piece]
    assert numbers == list(range(1, sum(lengths) + 1))
    assert all(1 <= len(piece) <= most for piece in pieces)


def test_pieces_are_as_even_as_rows_allow() -> None:
    # Ten rows of ten, at most 45: three pieces are the fewest, and 40 + 40 + 20 the evenest rows.
    assert [len(piece) for piece in split_rows(build_rows([10] * 10), 45)] == [40, 40, 20]
    assert [len(piece) for piece in split_rows(build_rows([10] * 12), 100)] == [60, 60]


def test_a_row_longer_than_a_session_is_cut() -> None:
    assert [len(piece) for piece in split_rows(build_rows([25]), 10)] == [10, 10, 5]


def test_codes_sort_as_people_count() -> None:
    assert sorted(["T10", "T2", "P1-12", "P1-3"], key=natural_key) == ["P1-3", "P1-12", "T2", "T10"]
    assert sorted(["WAT2-A-1", "WAT-B-1", "WAT-A-1"], key=natural_key)[-1] == "WAT2-A-1"
