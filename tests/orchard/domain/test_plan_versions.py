"""A plan's content kept, read back and compared."""

from dataclasses import replace

from orchard.domain.plan import Parameter, PlannedTreatment
from orchard.domain.plan_versions import (
    PlanContent,
    decode_content,
    encode_content,
    say_differences,
)

CORES = PlannedTreatment("cores", "COR", (), ("P1", "P2"), (Parameter("spacing_mm", 400.0),), 4)
CHIPS = PlannedTreatment("chips", "MUL", ("T1", "T2"), (), (), 5)
CONTENT = PlanContent("Third year", 125000, (CORES, CHIPS))


def test_a_content_comes_back_as_it_was() -> None:
    assert decode_content(encode_content(CONTENT)) == CONTENT


def test_the_same_content_has_no_difference() -> None:
    assert say_differences(CONTENT, CONTENT) == ()


def test_each_change_is_a_sentence() -> None:
    closer = replace(CORES, parameters=(Parameter("depth_mm", 350.0),), priority=2)
    water = PlannedTreatment("water", "WAT", ("T1",))
    after = PlanContent("Fourth year", 130050, (water, closer))

    assert say_differences(CONTENT, after) == (
        "Title “Third year” becomes “Fourth year”.",
        "Budget 1,250.00 becomes 1,300.50.",
        "Added Water trees (water) for T1.",
        "Took out Mulch with wood chips (chips).",
        "Core and backfill (cores): priority 4 becomes 2.",
        "Core and backfill (cores): depth of a hole the usual 300 mm becomes 350 mm.",
        "Core and backfill (cores): distance between holes 400 mm becomes the usual 300 mm.",
    )


def test_another_order_is_told() -> None:
    after = replace(CONTENT, lines=(CHIPS, CORES))

    assert say_differences(CONTENT, after) == ("The order becomes chips and cores.",)
