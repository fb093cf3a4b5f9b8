"""The strictest of several sets' figures, part by part, with the set each came from.

For `policy` alone. Which of two figures is the stricter stands in the metadata
of `rule_set`'s fields. Supervision tables are never merged: all of them apply.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from typing import Any, TypeVar

from scheduling.domain.rule_set import (
    ByAge,
    FigureSource,
    HeatStep,
    RuleSet,
    ToolAges,
    ToolCell,
    ToolRow,
)

Part = TypeVar("Part")


@dataclass(frozen=True, slots=True)
class Origin:
    """The set a figure of the policy came from, and what stands behind it."""

    figure: str  # part and field: "exposure.plan_points"
    set_code: str
    title: str
    source: str
    status: str
    checked_on: date


def merge_part(name: str, sets: Sequence[RuleSet]) -> tuple[Any, tuple[Origin, ...]]:
    """Return one part of the sets with the strictest of each figure, and where each is from.

    Args:
        name: The field of `RuleSet`, such as "exposure".
        sets: The adopted sets; of equal figures the earlier set's is named.

    Returns:
        The part, or None where no set has one; one origin for each figure and
        each set that gave some of it.
    """
    having = [(rules, getattr(rules, name)) for rules in sets]
    having = [(rules, part) for rules, part in having if part is not None]
    if not having:
        return None, ()
    if name == "tool_ages":
        merged = _merge_tools([part for _, part in having])
        origins = [_origin(name, "rows", rules, part) for rules, part in having]
        return merged, tuple(origins)
    first = having[0][1]
    values: dict[str, Any] = {}
    found: list[Origin] = []
    for one in fields(first):
        if one.name == "sources":
            continue
        offers = [getattr(part, one.name) for _, part in having]
        values[one.name] = _strictest(offers, one.metadata.get("stricter", ""))
        giving = [
            (rules, part)
            for (rules, part), offer in zip(having, offers, strict=True)
            if _gave(offer, values[one.name])
        ]
        whole = [pair for pair in giving if getattr(pair[1], one.name) == values[one.name]]
        found += [_origin(name, one.name, *pair) for pair in (whole[:1] or giving)]
    values["sources"] = tuple(source for _, part in having[:1] for source in part.sources)
    return replace(first, **values), tuple(found)


def _origin(name: str, figure: str, rules: RuleSet, part: Any) -> Origin:
    sources: Iterable[FigureSource] = part.sources
    for one in sources:
        if one.figure == figure:
            return Origin(
                f"{name}.{figure}", rules.code, rules.title, one.source, one.status, one.checked_on
            )
    return Origin(
        f"{name}.{figure}", rules.code, rules.title, rules.source, rules.status, rules.checked_on
    )


def _gave(offer: Any, chosen: Any) -> bool:
    """Say whether a set's offer is in the chosen figure, whole or in part."""
    if isinstance(offer, tuple) and isinstance(chosen, tuple):
        return bool(set(offer) & set(chosen))
    return bool(offer == chosen)


def _strictest(offers: Sequence[Any], stricter: str) -> Any:
    if isinstance(offers[0], tuple):
        given = [entry for offer in offers for entry in offer]
        if given and isinstance(given[0], HeatStep):
            return _merge_steps(given)
        return _merge_ages(offers, lowest=stricter == "lower")
    if stricter == "higher":
        return max(offers)
    if stricter == "lower, 0 is none":
        return min((offer for offer in offers if offer), default=0)
    return min(offers)


def _merge_ages(offers: Sequence[tuple[ByAge, ...]], *, lowest: bool) -> tuple[ByAge, ...]:
    """Return bands at every age where any offer changes, each with the strictest figure."""
    choose = min if lowest else max
    bands: list[ByAge] = []
    for oldest in sorted({band.oldest for offer in offers for band in offer}):
        at_age = [figure_at(offer, oldest) for offer in offers if offer]
        bands.append(ByAge(oldest, choose(at_age)))
    return tuple(bands)


def figure_at(bands: Sequence[ByAge], age: int) -> int:
    """Return the figure for an age in completed years; the last band has no end.

    Args:
        bands: Ascending by age, at least one.
        age: Completed years.
    """
    return next((band.figure for band in bands if age <= band.oldest), bands[-1].figure)


def _merge_steps(given: Sequence[HeatStep]) -> tuple[HeatStep, ...]:
    """Return steps that at no value ask for less relief than any of those given."""
    steps: list[HeatStep] = []
    order = sorted(given, key=lambda s: (s.from_value, -s.relief_min_per_hour, s.text))
    for step in order:
        if steps and step.relief_min_per_hour < steps[-1].relief_min_per_hour:
            continue
        if steps and step.from_value == steps[-1].from_value:
            continue
        steps.append(step)
    return tuple(steps)


# --- tools ----------------------------------------------------------------


def _merge_tools(parts: Sequence[ToolAges]) -> ToolAges:
    codes = list(dict.fromkeys(row.code for part in parts for row in part.rows))
    by_code = [{row.code: row for row in part.rows} for part in parts]
    rows = tuple(_merge_rows([rows[code] for rows in by_code if code in rows]) for code in codes)
    return ToolAges(
        rows=rows,
        powered=_merge_rows([part.powered for part in parts]),
        powered_zone=_merge_rows([part.powered_zone for part in parts]),
        sources=parts[0].sources,
    )


def _merge_rows(rows: Sequence[ToolRow]) -> ToolRow:
    ages = sorted({cell.youngest for row in rows for cell in row.cells})
    return replace(
        rows[0],
        tools=tuple(dict.fromkeys(tool for row in rows for tool in row.tools)),
        kinds=tuple(dict.fromkeys(kind for row in rows for kind in row.kinds)),
        cells=tuple(_merge_cells(age, [row.cell(age) for row in rows]) for age in ages),
        powered=any(row.powered for row in rows),
    )


def _merge_cells(age: int, cells: Sequence[ToolCell]) -> ToolCell:
    return ToolCell(
        youngest=age,
        watch=max((cell.watch for cell in cells), key=lambda watch: watch.rank),
        briefing=any(cell.briefing for cell in cells),
        in_pairs=any(cell.in_pairs for cell in cells),
        most_kg=min((cell.most_kg for cell in cells if cell.most_kg), default=0),
        note="; ".join(dict.fromkeys(cell.note for cell in cells if cell.note)),
    )
