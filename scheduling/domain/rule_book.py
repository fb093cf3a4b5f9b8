"""The rule book as adopted, rule by rule: sentence, source, figures and where each is from.

Front door: `build_rule_book`. Made from the register and the policy alone, so
that what is printed is what judges. Not for layout.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields, is_dataclass
from datetime import date
from typing import Any

from scheduling.domain.figure_words import label_figure, name_entry, unit_of
from scheduling.domain.figures import describe_bands, describe_cell, show_value
from scheduling.domain.policy import Policy
from scheduling.domain.rule import Rule
from scheduling.domain.rule_set import ByAge, HeatStep, SupervisionTable, ToolAges, ToolRow
from scheduling.domain.rules import RULES

# Which figures a rule reads: "part.figure", or a part for all of it. A rule without a line has
# none: what it asks is in its sentence, or on file with the task, the tool or the person.
FIGURES_OF: dict[str, tuple[str, ...]] = {
    "SUP-1": ("supervision", "company.uncommitted_leads", "company.first_aider_counts"),
    "SUP-2": ("company.adults_in_sight", "company.second_adult_unrelated"),
    "SUP-3": ("company.smallest_crew_with_young",),
    "SUP-4": ("company.watched_closely_per_adult",),
    "GUA-1": ("company.guardian_below_age",),
    "GRP-1": ("company.smallest_class_part",),
    "CON-1": ("company.consent_months",),
    "FA-1": ("company.people_per_first_aider",),
    "AGE-1": ("tool_ages",),
    "AGE-2": ("tool_ages",),
    "RST-1": ("stretches.kneeling_rounds_if_limited",),
    "HVY-1": ("stretches.heavy_rounds_in_a_row", "stretches.heavy_rounds_in_all"),
    "KNE-1": ("stretches.kneeling_rounds_in_a_row", "stretches.kneeling_min_in_all"),
    "STR-1": ("stretches.longest_stretch_min", "stretches.break_min_per_hour"),
    "LOD-1": ("loads.carry_kg", "loads.barrow_gross_kg", "loads.barrow_kg"),
    "LIF-1": ("loads.lifting_index_most", "loads.carry_kg"),
    "HAV-1": ("exposure.plan_points", "exposure.unknown_tool_m_per_s2"),
    "HAV-2": (
        "exposure.stop_points",
        "exposure.action_m_per_s2",
        "exposure.limit_m_per_s2",
        "exposure.youngest_age",
    ),
    "PWR-2": ("tool_ages.powered_zone",),
    "WEA-1": ("heat", "weather"),
    "FAC-1": (
        "facilities.people_per_toilet",
        "facilities.toilet_within_m",
        "facilities.toilets_not_asked_up_to_min",
        "facilities.water_ml_per_person_hour",
        "facilities.water_most_ml_per_person_hour",
    ),
    "CAP-1": ("facilities.capacity_people",),
    "HOL-1": ("facilities.open_holes_per_crew",),
}


@dataclass(frozen=True, slots=True)
class FigureLine:
    """One figure in force: its name, its value in words, and the set it is from."""

    label: str
    value: str
    set_code: str
    source: str
    status: str
    checked_on: date | None


@dataclass(frozen=True, slots=True)
class BookRule:
    """One rule as the book prints it."""

    code: str
    sentence: str
    applies_to: str
    source: str
    status: str
    waivable: bool
    figures: tuple[FigureLine, ...]
    reads_tools: bool


@dataclass(frozen=True, slots=True)
class ToolTable:
    """The matrix of tools by age: one head for each youngest age, one row for each tool."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    lines: tuple[FigureLine, ...]


@dataclass(frozen=True, slots=True)
class RuleBook:
    """Every rule in the order of the register, and the matrix they share."""

    rules: tuple[BookRule, ...]
    tools: ToolTable | None


def build_rule_book(policy: Policy, rules: Sequence[Rule] = RULES) -> RuleBook:
    """Return the rule book under a policy, for a page and for paper.

    Args:
        policy: The figures in force.
        rules: The register.
    """
    return RuleBook(
        rules=tuple(
            BookRule(
                code=rule.code,
                sentence=rule.sentence,
                applies_to=rule.applies_to,
                source=rule.source,
                status=rule.status,
                waivable=rule.waivable,
                figures=tuple(
                    line
                    for path in FIGURES_OF.get(rule.code, ())
                    for line in list_policy_figures(policy, path)
                ),
                reads_tools="tool_ages" in FIGURES_OF.get(rule.code, ()),
            )
            for rule in rules
        ),
        tools=_build_tools(policy),
    )


def list_policy_figures(policy: Policy, path: str) -> tuple[FigureLine, ...]:
    """Return the figures in force of one part, or one of its figures, each with its origin.

    Args:
        policy: The figures in force.
        path: "heat" for a whole part, "loads.carry_kg" for one figure of it.
    """
    if path == "supervision":
        return tuple(_table_line(table) for table in policy.tables)
    part, _, figure = path.partition(".")
    if part == "tool_ages":
        return ()
    held = policy if part == "company" else getattr(policy, part)
    if held is None:
        return ()
    names = [figure] if figure else [f.name for f in fields(held) if f.name != "sources"]
    return tuple(line for name in names for line in _lines(policy, part, held, name))


def _lines(policy: Policy, part: str, held: Any, name: str) -> tuple[FigureLine, ...]:
    value = _words(getattr(held, name), (part, name))
    origins = policy.origins_of(f"{part}.{name}")
    if not origins:
        none = "Proposed; common practice, no source"
        return (FigureLine(label_figure(name), value, "", none, "proposed", None),)
    return tuple(
        FigureLine(label_figure(name), value, one.set_code, one.source, one.status, one.checked_on)
        for one in origins
    )


def _words(value: Any, path: tuple[str, ...]) -> str:
    unit = unit_of(path)
    if isinstance(value, tuple):
        return "; ".join(_entry(entry, unit) for entry in value)
    if is_dataclass(value):
        return name_entry(value)
    shown = show_value(value)
    return f"{shown} {unit}".strip()


def _entry(entry: Any, unit: str) -> str:
    match entry:
        case ByAge():
            return f"{name_entry(entry)} {entry.figure} {unit}".strip()
        case HeatStep():
            return f"from {entry.from_value:g}: {entry.text}".rstrip(".")
        case _:
            return str(entry)


def _table_line(table: SupervisionTable) -> FigureLine:
    bands = describe_bands(table.bands) or "no ratio published"
    parts = [bands, f"at least {table.least_adults} adults"]
    if table.plus_leaders:
        parts.append(f"and {table.plus_leaders} more after the ratio")
    parts.append(f"adults count from {table.adult_from} years")
    parts.append(f"mixed ages: {table.combining.words}")
    if table.crew_combining is not None and table.crew_combining is not table.combining:
        parts.append(f"in one crew: {table.crew_combining.words}")
    if table.largest_group:
        parts.append(f"groups of at most {table.largest_group}")
    if table.needs_assessment:
        parts.append("a named person's risk assessment decides")
    return FigureLine(
        table.name, "; ".join(parts), table.code, table.source, table.status, table.checked_on
    )


def _build_tools(policy: Policy) -> ToolTable | None:
    matrix: ToolAges | None = policy.tool_ages
    if matrix is None:
        return None
    rows: tuple[ToolRow, ...] = (*matrix.rows, matrix.powered, matrix.powered_zone)
    ages = sorted({cell.youngest for row in rows for cell in row.cells})
    return ToolTable(
        heads=tuple(_age_head(age, ages) for age in ages),
        rows=tuple((row.name, tuple(describe_cell(row.cell(age)) for age in ages)) for row in rows),
        lines=tuple(
            FigureLine("Tools by age", "", one.set_code, one.source, one.status, one.checked_on)
            for one in policy.origins_of("tool_ages.rows")
        ),
    )


def _age_head(age: int, ages: Sequence[int]) -> str:
    after = [other for other in ages if other > age]
    if not after:
        return f"{age} and over"
    return f"under {after[0]}" if age == 0 else f"{age} to {after[0] - 1}"
