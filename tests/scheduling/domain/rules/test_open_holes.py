"""HOL-1: open holes to one crew. Six, proposed; covers: California Title 8 §1542(a)(3)."""

import pytest

from tests.scheduling.domain.rule_days import broken, day, person, task
from tests.scheduling.domain.rule_facts import grades


@pytest.mark.parametrize(
    ("holes", "opens", "told"), [(6, True, []), (7, True, ["notes"]), (7, False, [])]
)
def test_a_seventh_open_hole(holes: int, opens: bool, told: list[str]) -> None:
    problem = day([person(1)], [task(1, units=holes, unit="hole", opens_ground=opens)])
    found = broken("HOL-1", problem, {(1, 0): [1]})
    assert grades(found) == told
    assert [(finding.required, finding.found) for finding in found] == [(6, holes)] * len(told)
