"""The policy of several sets: the strictest of every figure, and where each is from."""

from dataclasses import fields, replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import RosterError
from scheduling.domain.policy import build_default_policy, build_policy
from scheduling.domain.rule_set import (
    EVERY_AGE,
    ByAge,
    CheckValidity,
    HeatStep,
    RuleSet,
    ToolCell,
    ToolRow,
    Watch,
)
from scheduling.domain.rule_sets import RULE_SETS, get_rule_set
from scheduling.domain.strictest import figure_at

NSPCC, SITE = get_rule_set("NSPCC-2023"), get_rule_set("SITE-1")
PARTS = ("company", "loads", "exposure", "stretches", "check_validity", "weather", "facilities")


def school(**parts) -> RuleSet:
    """Return a set that a school declares on top."""
    return RuleSet(
        "SLUICE", 1, "Sluice School", "its own form", "published", date(2027, 1, 1), **parts
    )


def test_as_shipped_the_figures_are_those_of_the_two_sets_adopted() -> None:
    policy = build_default_policy()
    assert policy.tables == (NSPCC.supervision,)
    assert policy.adopted == ("NSPCC-2023 version 1", "SITE-1 version 1")
    for part in (*PARTS, "tool_ages", "heat"):
        if part != "company":
            assert getattr(policy, part) == getattr(SITE, part)
    for one in fields(SITE.company):
        if one.name != "sources":
            assert getattr(policy, one.name) == getattr(SITE.company, one.name)


@pytest.mark.parametrize(
    ("part", "figure", "of_school", "kept"),
    [
        ("exposure", "plan_points", 40, 40),
        ("exposure", "plan_points", 60, 50),
        ("exposure", "unknown_tool_m_per_s2", 12.0, 12.0),
        ("stretches", "heavy_rounds_in_a_row", 1, 1),
        ("facilities", "people_per_toilet", 15, 15),
        ("facilities", "capacity_people", 0, 100),  # 0 is none
        ("weather", "young_stop_wind_chill_c", -10, -10),
        ("weather", "young_stop_wind_chill_c", -25, -20),
        ("check_validity", "months", 0, 36),
        ("check_validity", "months", 24, 24),
        ("check_validity", "end_exclusive", False, True),
        ("heat", "sun_adds_humidex", 7, 7),
    ],
)  # fmt: skip
def test_the_stricter_of_two_figures_holds_and_names_its_set(
    part: str, figure: str, of_school, kept
) -> None:
    declared = school(**{part: replace(getattr(SITE, part), **{figure: of_school})})
    policy = build_policy((NSPCC, SITE), (declared,))
    assert getattr(getattr(policy, part), figure) == kept
    (origin,) = policy.origins_of(f"{part}.{figure}")
    assert origin.set_code == ("SLUICE" if kept == of_school else "SITE-1")
    assert policy.cite(f"{part}.{figure}").startswith(f"{origin.set_code}: ")


def test_figures_of_company_lie_flat_on_the_policy() -> None:
    declared = school(company=replace(SITE.company, guardian_below_age=14, adults_in_sight=3))
    policy = build_policy((NSPCC, SITE), (declared,))
    assert (policy.guardian_below_age, policy.adults_in_sight) == (14, 3)
    assert policy.origins_of("company.adults_in_sight")[0].set_code == "SLUICE"
    assert policy.smallest_class_part == 3


def test_figures_by_age_take_the_stricter_at_every_age() -> None:
    loads = replace(SITE.loads, carry_kg=(ByAge(9, 4), ByAge(EVERY_AGE, 7)))
    policy = build_policy((NSPCC, SITE), (school(loads=loads),))
    for age in range(90):
        asked = [figure_at(SITE.loads.carry_kg, age), figure_at(loads.carry_kg, age)]
        assert figure_at(policy.loads.carry_kg, age) == min(asked)
    assert {o.set_code for o in policy.origins_of("loads.carry_kg")} == {"SITE-1", "SLUICE"}


def test_a_heat_plan_never_asks_for_less_relief_than_any_of_its_sets() -> None:
    early = (HeatStep(30, 15, "Early."), HeatStep(40, 20, "Late."), HeatStep(44, 60, "Stop."))
    heat = replace(SITE.heat, moderate_unacclimatised=early)
    policy = build_policy((NSPCC, SITE), (school(heat=heat),))

    def relief(steps: tuple[HeatStep, ...], humidex: float) -> int:
        return max((s.relief_min_per_hour for s in steps if s.from_value <= humidex), default=0)

    for humidex in range(20, 55):
        asked = [relief(SITE.heat.moderate_unacclimatised, humidex), relief(early, humidex)]
        assert relief(policy.heat.moderate_unacclimatised, humidex) == max(asked)


def test_tools_take_the_stricter_cell_at_every_age() -> None:
    barrow = ToolRow(
        "wheelbarrow", "wheelbarrow", ("barrow", "cart"), (),
        (ToolCell(0, Watch.NOT_ALLOWED), ToolCell(13, Watch.CONSTANT, briefing=True, most_kg=45),
         ToolCell(18, Watch.OPEN)),
    )  # fmt: skip
    ages = replace(SITE.tool_ages, rows=(barrow,))
    policy = build_policy((NSPCC, SITE), (school(tool_ages=ages),))
    (row,) = policy.tool_ages.of_tool("cart")
    assert row is policy.tool_ages.of_tool("barrow")[0]
    assert [row.cell(age).watch.value for age in (12, 13, 14, 17, 18)] == ["N", "N", "C", "C", "OK"]
    assert [row.cell(age).most_kg for age in (14, 18)] == [40, 50]
    assert row.cell(15).briefing
    assert len(policy.tool_ages.rows) == len(SITE.tool_ages.rows)


def test_every_table_applies_the_leading_set_first() -> None:
    board = get_rule_set("UPPER-GRAND-508")
    policy = build_policy((NSPCC, SITE), (board,))
    assert policy.tables == (NSPCC.supervision, board.supervision)
    assert policy.supervision is NSPCC.supervision
    assert build_policy((board, NSPCC)).supervision is board.supervision


def test_without_a_table_there_is_no_policy() -> None:
    with pytest.raises(
        RosterError, match=r"adopted rule sets \(SITE-1\) hold no supervision table"
    ):
        build_policy((SITE,))


def test_a_part_nobody_declares_is_none_and_is_cited_as_proposed() -> None:
    policy = build_policy((NSPCC,))
    assert policy.exposure is None
    assert policy.cite("exposure.plan_points") == "Proposed; common practice, no source"


NUMBERS = st.integers(1, 200)


@given(figures=st.lists(st.tuples(NUMBERS, NUMBERS, NUMBERS), min_size=1, max_size=4))
def test_the_order_of_sets_changes_no_figure(figures: list[tuple[int, int, int]]) -> None:
    sets = [
        school(
            exposure=replace(SITE.exposure, plan_points=points),
            check_validity=CheckValidity(months, end_exclusive=bool(toilet % 2)),
            facilities=replace(SITE.facilities, people_per_toilet=toilet),
        )
        for points, months, toilet in figures
    ]
    one = build_policy((NSPCC, *sets))
    other = build_policy((NSPCC, *reversed(sets)))
    for part in ("exposure", "check_validity", "facilities"):
        assert getattr(one, part) == getattr(other, part)
    assert one.exposure.plan_points == min(points for points, _, _ in figures)
    assert one.check_validity.months == min(months for _, months, _ in figures)


def test_every_shipped_set_can_be_adopted_beside_the_default() -> None:
    policy = build_policy(RULE_SETS)
    assert len(policy.tables) == len(RULE_SETS) - 1
    assert {origin.set_code for origin in policy.origins} == {"SITE-1"}
