"""LOD-1: loads by age. Code du travail D4153-39 (repealed text), barrows; carried: proposed."""

import pytest

from orchard.domain.plan import ToolItem
from scheduling.domain.day_facts import ToolFacts
from tests.scheduling.domain.rule_days import broken, child, conditions_of, day, person, task
from tests.scheduling.domain.rule_facts import blocking, grades, knowing

BARROW = ToolItem("barrow", "wheelbarrow", 4, 14)
COMPOST = task(1, tools={"barrow": 1}, load_kg_per_litre=0.6)


def test_fills_are_told_in_litres_of_the_material() -> None:
    # 40 kg with a barrow of 13 kg, compost 0.6 kg/L: 45 L. A cap of 3 kg is 5 L.
    found = broken("LOD-1", day([person(1)], [COMPOST], tools=[BARROW]), {})
    assert grades(found) == ["notes"]
    assert "to 17 years 45 L" in found[0].text
    assert "to 11 years 5 L" in found[0].text


def test_dry_chips_fill_more() -> None:
    chips = task(1, tools={"barrow": 1}, load_kg_per_litre=0.3)
    (note,) = conditions_of("LOD-1", day([person(1)], [chips], tools=[BARROW]))
    assert "to 17 years 90 L" in note.reason.text


@pytest.mark.parametrize(
    ("barrow_kg", "age", "passes"),
    [(13, 15, True), (39, 15, True), (40, 15, False), (40, 17, False), (40, 18, True)],
)
def test_young_people_are_kept_from_a_barrow_too_heavy_when_empty(
    barrow_kg: float, age: int, passes: bool
) -> None:
    problem = knowing(
        day([child(1, age)], [COMPOST], tools=[BARROW]),
        tools=(ToolFacts("barrow", mass_kg=barrow_kg),),
    )
    found = broken("LOD-1", problem, {(1, 0): [1]})
    assert (blocking(found) == []) is passes


def test_work_without_loose_material_asks_for_nothing() -> None:
    assert conditions_of("LOD-1", day([child(1, 9)], [task(1)])) == ()
