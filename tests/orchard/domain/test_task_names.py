"""What sentences call work that a plan does more than once."""

import pytest

from orchard.domain.task_names import name_task


@pytest.mark.parametrize(
    ("time", "name"),
    [
        (0, "Water T01"),
        (1, "Water T01, first time"),
        (2, "Water T01, second time"),
        (12, "Water T01, twelfth time"),
        (13, "Water T01, time 13"),
    ],
)
def test_a_name_says_which_time_it_is_where_there_are_several(time: int, name: str) -> None:
    assert name_task("Water T01", time) == name
